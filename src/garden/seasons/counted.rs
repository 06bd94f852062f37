//! What a demand counts in castings, in one run: each lot by its own analysis.

use super::plan::{Season, SeasonPlan};
use crate::garden::assumptions::{Castings, CountedBy, Known, Overrides};
use crate::garden::balances::Allocated;
use crate::garden::balances::allocation::LotSource;
use crate::garden::balances::lot_analysis::of_harvest;
use crate::garden::draws::{CastingsDrawn, Run, Variables};
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;

/// The least that castings are taken to hold of what is counted, over what was expected: those that hold nothing would need a volume
/// without end. Source: how this service works.
const MIN_HELD: f64 = 1e-6;

/// What an amount counts in castings: it takes more room as they hold less of it.
#[derive(Debug, Clone)]
pub(super) struct Counted {
    pub by: CountedBy,
    asked: CastingsDrawn,
    /// Lots that know their castings better, each with its share of what the plan allocates to the amount. The rest holds what the amount
    /// was computed with.
    pub lots: Vec<(f64, CastingsDrawn)>,
}

impl Counted {
    /// Of castings that are known so.
    pub fn new(by: CountedBy, of: (&Castings, Known<'_>), variables: &mut Variables) -> Self {
        Self { by, asked: drawn(by, of, variables), lots: Vec::new() }
    }

    /// The litres that hold as much in a run, over those that were computed at the likely values.
    pub fn times(&self, run: &Run<'_>) -> f64 {
        let expected = held(self.by, &self.asked, &Run::LIKELY);
        let of_lots: f64 = self.lots.iter().map(|(share, lot)| share * held(self.by, lot, run)).sum();
        let rest = 1.0 - self.lots.iter().map(|(share, _)| share).sum::<f64>();
        let mix = rest.max(0.0) * held(self.by, &self.asked, run) + of_lots;
        expected / mix.max(MIN_HELD * expected)
    }
}

/// Castings as they are drawn for what is counted in them.
pub(super) fn drawn(
    by: CountedBy,
    (castings, known): (&Castings, Known<'_>),
    variables: &mut Variables,
) -> CastingsDrawn {
    let drawn = CastingsDrawn::new(castings, known, variables);
    match by {
        CountedBy::Mass | CountedBy::DryMass | CountedBy::AvailableNitrogen => drawn,
        CountedBy::Phosphorus | CountedBy::Potassium => {
            drawn.with_nutrient(castings, by == CountedBy::Phosphorus, variables)
        }
    }
}

/// How much of what is counted castings hold in a run.
fn held(by: CountedBy, castings: &CastingsDrawn, run: &Run<'_>) -> f64 {
    match by {
        CountedBy::Mass => castings.densities(run).0,
        CountedBy::AvailableNitrogen => castings.available_nitrogen(run),
        CountedBy::DryMass | CountedBy::Phosphorus | CountedBy::Potassium => castings.dry_matter_or_nutrient(run),
    }
}

/// The castings of the lot that an allotment is from, where it knows better how much of what is counted they hold.
pub(super) fn own_castings<'a>(
    allotment: &Allocated,
    by: CountedBy,
    (season, plan): (&'a Season<'_>, &SeasonPlan),
) -> Result<Option<(Castings, Known<'a>)>, Refusal> {
    let known_with = |item| Known { request: season.request, item };
    let counts = |own: &Overrides, castings: &Castings| own.iter().any(|(which, _)| by.depends_on(which, castings));
    match allotment.source {
        LotSource::Stock(place) => {
            let own = season.stock.get(place).map(|(_, amount)| &amount.overrides).filter(|own| !own.is_empty());
            let Some(own) = own else { return Ok(None) };
            let castings = Castings::known(known_with(own), Off)?;
            Ok(counts(own, &castings).then(|| (castings, known_with(own))))
        }
        LotSource::Bed { bed, cycle } => {
            let lots = plan.forecasts.get(bed).map(|forecast| forecast.lots.as_slice()).unwrap_or_default();
            let lot = lots.iter().find(|lot| lot.cycle == cycle);
            let Some((lot, own)) = lot.zip(season.beds.get(bed).map(|bed| bed.overrides)) else { return Ok(None) };
            let follows = by == CountedBy::AvailableNitrogen && lot.nitrogen.is_some();
            let castings = of_harvest(lot, known_with(own), Off)?;
            Ok((follows || counts(own, &castings)).then(|| (castings, known_with(own))))
        }
    }
}
