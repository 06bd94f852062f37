//! Castings of lots that weigh or hold something else than those that a demand was computed with.

use super::Allocated;
use super::figures::ALLOCATION;
use crate::garden::applications::{Application, Nutrient, Order, Portion, Rate};
use crate::garden::areas::Extent;
use crate::garden::assumptions::{Assumption, Castings, CountedBy, Known};
use crate::garden::beds;
use crate::garden::figures::{Recorder, WholeVolume};
use crate::garden::formulas::{
    AvailableInVolume, DryInCastings, MassForEach, MassOfTimes, MassOfVolume, MassPerArea, NutrientInVolume, PerArea,
    PhosphatePerArea, PotashPerArea, ShareSupplied, TotalMass,
};
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfArea, OfMass, OfShare, OfVolume};
use crate::garden::units::{End, Estimate, Mass, ROUNDING_TOLERANCE, Ratio};

impl CountedBy {
    /// How much of it a volume of these castings holds, with its range.
    #[must_use]
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn content(self, V: Estimate<OfVolume>, of: &Castings, recorder: impl Recorder) -> Estimate<OfMass> {
        let rho_d = of.dry_bulk_density;
        let nutrient = |n| recorder.figure(NutrientInVolume { V, rho_d, n });
        match self {
            Self::Mass => recorder.figure(MassOfVolume { V, rho: of.bulk_density }),
            Self::DryMass => recorder.figure(DryInCastings { V, rho_d }),
            Self::AvailableNitrogen => recorder.figure(AvailableInVolume { V, rho_d, n: of.nitrogen, a: of.available }),
            Self::Phosphorus => nutrient(of.phosphorus),
            Self::Potassium => nutrient(of.potassium),
        }
    }

    /// How much of it an application asks for each time.
    #[must_use]
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn asked(self, order: &Order, application: &Application, recorder: impl Recorder) -> Option<Estimate<OfMass>> {
        let carried = &application.carried;
        Some(match (self, order.rate) {
            (Self::DryMass, Rate::DryMassPerArea(r)) => recorder.figure(MassPerArea { A: application.extent.area?, r }),
            (Self::DryMass, Rate::Total(Portion::DryMass(D))) => D,
            (Self::DryMass, _) => return None,
            (Self::Mass, _) => carried.mass,
            (Self::AvailableNitrogen, _) => carried.nutrients.available_nitrogen,
            (Self::Phosphorus, _) => carried.nutrients.phosphorus,
            (Self::Potassium, _) => carried.nutrients.potassium,
        })
    }
}

/// What a demand counts castings by, how much of it each time asks for, and the castings that its volume was computed with.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// What it counts.
    pub by: CountedBy,
    /// How much of it is needed each time.
    pub needed: Estimate<OfMass>,
    /// The castings of its volume.
    pub castings: Castings,
}

/// What allocations bring of what their demand counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Content {
    /// How much is needed.
    pub needed: Estimate<OfMass>,
    /// How much they bring, by what each lot holds.
    pub supplied: Estimate<OfMass>,
    /// Brought over needed.
    pub share_supplied: Estimate<OfShare>,
}

/// What one allocation brings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supplied {
    /// Its volume.
    pub volume: WholeVolume,
    /// What that holds of what the demand counts.
    pub content: Estimate<OfMass>,
}

impl Basis {
    /// Whether any of these allotments is of a lot that holds another amount in a volume than the demand was computed with. `lots` are the
    /// castings of the lots that know them better.
    #[must_use]
    pub fn differs<'a>(&self, allotments: impl Iterator<Item = &'a Allocated>, lots: &[Option<Castings>]) -> bool {
        let held = self.by.held(&self.castings).base();
        let mut own =
            allotments.filter_map(|allotment| own_castings(allotment, lots)).map(|own| self.by.held(own).base() / held);
        own.any(|share| (share - 1.0).abs() > ROUNDING_TOLERANCE)
    }

    /// What an allotment brings by what its lot holds; a lot that does not know its castings better holds those of the demand.
    #[must_use]
    pub fn supplied(
        &self,
        (allotment, needed): (&Allocated, WholeVolume),
        lots: &[Option<Castings>],
        recorder: impl Recorder,
    ) -> Supplied {
        let volume = recorder.amount(ALLOCATION, &[needed], allotment.amount);
        let castings = own_castings(allotment, lots).unwrap_or(&self.castings);
        Supplied { volume, content: self.by.content(volume.figure(), castings, recorder) }
    }

    /// What allotments bring together, where so many times are asked for.
    #[must_use]
    pub fn content<'a>(
        &self,
        allotments: impl Iterator<Item = &'a Supplied>,
        times: Option<u32>,
        recorder: impl Recorder,
    ) -> Content {
        let (u, w): (Vec<_>, _) =
            (allotments.map(|allotment| allotment.content).collect(), self.needed.only(End::Likely));
        let w = times.map_or(w, |times| {
            let t = Ratio::from_number(f64::from(times)).into();
            recorder.figure(MassOfTimes { t: recorder.by_rule("counted on the calendar", &[w.node()], t), u: w })
        });
        let s = if u.is_empty() { Mass::from_kilograms(0.0).into() } else { recorder.figure(TotalMass { u }) };
        Content { needed: w, supplied: s, share_supplied: recorder.figure(ShareSupplied { s, w }) }
    }
}

#[expect(non_snake_case, reason = "the symbols of the formulas")]
impl Content {
    /// The rate that it makes on a place at its likely value, where the rate of the place counts it.
    #[must_use]
    pub fn rate(&self, rate: &Rate, extent: &Extent, recorder: impl Recorder) -> Option<Rate> {
        let likely = self.supplied.only(End::Likely);
        let over = |A: Estimate<OfArea>| recorder.figure(PerArea { N: likely, A });
        let area = extent.area.map(|area| area.only(End::Likely));
        Some(match *rate {
            Rate::MassPerArea(_) => Rate::MassPerArea(over(area?)),
            Rate::DryMassPerArea(_) => Rate::DryMassPerArea(over(area?)),
            Rate::AvailableNitrogen(_) => Rate::AvailableNitrogen(over(area?)),
            Rate::Nutrient(of, _) => Rate::Nutrient(
                of,
                match of {
                    Nutrient::Phosphorus | Nutrient::Potassium => over(area?),
                    Nutrient::Phosphate => recorder.figure(PhosphatePerArea { P: likely, A: area? }),
                    Nutrient::Potash => recorder.figure(PotashPerArea { K: likely, A: area? }),
                },
            ),
            Rate::PerPlant(Portion::Mass(_)) => {
                Rate::PerPlant(Portion::Mass(recorder.figure(MassForEach { m: likely, k: extent.plants? })))
            }
            _ => return None,
        })
    }
}

/// The castings of the lot that an allotment is from, where that knows them better.
#[must_use]
pub fn own_castings<'a>(allotment: &Allocated, lots: &'a [Option<Castings>]) -> Option<&'a Castings> {
    lots.get(allotment.lot)?.as_ref()
}

/// The castings of a harvest of a worm bed: by what is known of those of the bed, with the nitrogen and the carbon to nitrogen ratio that
/// follow from its feed, unless these are given.
///
/// # Errors
/// What [`Castings::known`] refuses.
pub fn of_harvest(lot: &beds::Lot, known: Known<'_>, recorder: impl Recorder) -> Result<Castings, Refusal> {
    let follows = |assumption| known.given(assumption).is_none();
    let nitrogen = lot.nitrogen.filter(|_| follows(Assumption::Nitrogen));
    let ratio = lot.carbon_to_nitrogen.filter(|_| follows(Assumption::CarbonToNitrogen));
    Ok(Castings::known(known, recorder)?.of_feed((nitrogen, ratio), recorder))
}
