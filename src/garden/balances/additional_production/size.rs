//! How large a bed a feed takes.

use super::{Batch, Means, SPARE, check_layers};
use crate::garden::assumptions::{Assumption, Known};
use crate::garden::beds::sizing::MAX_CHOICES;
use crate::garden::beds::{Bed, Feed, Supply, first_cycle};
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfLength, OfMassPerArea};
use crate::garden::units::{Area, Estimate, Length, Mass, Millilitres, Volume, whole};

/// More layers than any bed takes. Source: how this service works.
const PLENTY: u32 = 1_000;

/// The dry feed for this volume of castings, if each kilogram gives so many litres.
pub(super) fn for_castings(amount: Millilitres, each: f64) -> Mass {
    Mass::from_kilograms(whole(amount.get()) / 1000.0 * (1.0 + SPARE) / each)
}

/// Sizes beds.
#[derive(Debug)]
pub(super) struct Sizer<'a> {
    means: &'a Means<'a>,
    known: Known<'a>,
    first: Length,
    later: Length,
    stocking: Estimate<OfMassPerArea>,
    /// The most layers that the greatest depth allows.
    most: u32,
}

impl<'a> Sizer<'a> {
    pub fn new(means: &'a Means<'a>, known: Known<'a>) -> Result<Self, Refusal> {
        let length = |which| -> Length {
            let (estimate, _): (Estimate<OfLength>, _) = known.estimate(which);
            estimate.likely()
        };
        let (stocking, _) = known.estimate(Assumption::StockingDensity);
        let (first, later) = (length(Assumption::FirstLayer), length(Assumption::LaterLayer));
        let mut sizer = Self { means, known, first, later, stocking, most: 1 };
        let bed = sizer.bed((Area::from_square_metres(1.0), None), Supply::AsNeeded);
        sizer.most = first_cycle(&bed, known)?.0.max(1);
        Ok(sizer)
    }

    /// The numbers of layers to choose among.
    pub fn layers(&self) -> Result<Vec<u32>, Refusal> {
        if let Some(layers) = self.means.layers {
            check_layers(layers, self.most)?;
            return Ok(vec![layers]);
        }
        if self.means.area.is_some() {
            return Ok(vec![self.most]);
        }
        Ok((1..=self.most.min(MAX_CHOICES)).collect())
    }

    fn bed(&self, (area, worms): (Area, Option<Mass>), supply: Supply) -> Bed {
        let recipe = &self.means.recipe;
        let (moisture, ash) = (recipe.moisture.into(), recipe.ash.into());
        Bed {
            area: area.into(),
            worms: worms.map(Into::into),
            running: None,
            start_on: self.means.clocks.first(),
            feed: Feed {
                moisture,
                ash,
                nitrogen: Some(recipe.nitrogen.into()),
                supply,
                cautions: Vec::new(),
                assumed: Vec::new(),
            },
            layers_per_cycle: Some(PLENTY),
            cycles: Some(1),
        }
    }

    /// Dry feed over ground in so many layers, kg/m2.
    fn load(&self, layers: u32) -> f64 {
        let depth = self.first.metres() + f64::from(layers.saturating_sub(1)) * self.later.metres();
        depth * self.means.recipe.dry_density.base()
    }

    /// The bed for this feed, without its dates. On ground that was given, the layers follow from the feed.
    pub fn batch(&self, feed: Mass, layers: u32) -> Result<Batch, Refusal> {
        let area_needed = Area::from_square_metres(feed.kilograms() / self.load(layers));
        let area = self.means.area.unwrap_or(area_needed);
        let worms = self.means.worms.unwrap_or_else(|| self.stocking.likely() * area);
        let (layers, fits) = match self.means.area {
            None => (layers, true),
            Some(_) => {
                let bed = self.bed((area, Some(worms)), Supply::AllAtOnce(feed.into()));
                let (laid, fits) = first_cycle(&bed, self.known)?;
                (laid, fits && self.means.layers.is_none_or(|most| laid <= most))
            }
        };
        Ok(Batch {
            castings: Millilitres::nearest(Volume::from_litres(0.0)),
            feed,
            area,
            worms,
            layers,
            fits,
            area_needed,
            start_on: None,
            worms_in_on: None,
            ready_on: None,
            late: None,
        })
    }
}
