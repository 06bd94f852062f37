//! Castings of lots that weigh or hold something else than those that a demand was computed with.

use super::Allocated;
use crate::garden::applications::{Portion, Rate};
use crate::garden::assumptions::{Assumption, Castings, Known};
use crate::garden::beds;
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::units::{Density, Millilitres, ROUNDING_TOLERANCE, Share};

/// What castings are counted by, where that is not their volume.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountedBy {
    /// Their moist mass.
    Mass,
    /// The mass of their dry matter.
    DryMass,
    /// Nitrogen available in the first season.
    AvailableNitrogen,
    /// Phosphorus.
    Phosphorus,
    /// Potassium.
    Potassium,
}

impl CountedBy {
    /// What a rate counts castings by; `None` where that is their volume.
    #[must_use]
    pub const fn rate(rate: &Rate) -> Option<Self> {
        match rate {
            Rate::MassPerArea(_) | Rate::PerPlant(Portion::Mass(_)) | Rate::Total(Portion::Mass(_)) => Some(Self::Mass),
            Rate::DryMassPerArea(_) | Rate::PerPlant(Portion::DryMass(_)) | Rate::Total(Portion::DryMass(_)) => {
                Some(Self::DryMass)
            }
            Rate::AvailableNitrogen(_) => Some(Self::AvailableNitrogen),
            Rate::Nutrient(nutrient, _) if nutrient.is_phosphorus() => Some(Self::Phosphorus),
            Rate::Nutrient(..) => Some(Self::Potassium),
            _ => None,
        }
    }

    /// How much of it a volume of castings holds, at the likely values.
    #[must_use]
    pub fn held(self, castings: &Castings) -> Density {
        let dry = castings.dry_bulk_density.likely();
        match self {
            Self::Mass => castings.bulk_density.likely(),
            Self::DryMass => dry,
            Self::AvailableNitrogen => dry * castings.nitrogen.likely() * castings.available.likely(),
            Self::Phosphorus => dry * castings.phosphorus.likely(),
            Self::Potassium => dry * castings.potassium.likely(),
        }
    }

    /// Whether an assumption changes how much of it castings hold.
    #[must_use]
    pub fn depends_on(self, assumption: Assumption) -> bool {
        let of_nitrogen = [Assumption::Nitrogen, Assumption::AvailableNitrogen, Assumption::CarbonToNitrogen];
        Assumption::OF_WEIGHT.contains(&assumption)
            || match self {
                Self::Mass | Self::DryMass => false,
                Self::AvailableNitrogen => of_nitrogen.contains(&assumption),
                Self::Phosphorus => assumption == Assumption::Phosphorus,
                Self::Potassium => assumption == Assumption::Potassium,
            }
    }
}

/// What a demand counts castings by, and how much of it a volume of those holds that it was computed with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Basis {
    /// What it counts.
    pub by: CountedBy,
    /// How much of it a volume holds.
    pub held: Density,
}

impl Basis {
    /// By the castings that the demand was computed with.
    #[must_use]
    pub fn of(by: CountedBy, castings: &Castings) -> Self {
        Self { by, held: by.held(castings) }
    }

    /// Answers "what share of what was asked do these draws bring, by what each lot holds?" `lots` are the castings of the lots that
    /// know them better. `None` where no draw is of such a lot that holds something else: then volumes say it.
    ///
    /// `sum(drawn x held in the lot) / (needed x held)`.
    #[must_use]
    pub fn brought<'a>(
        &self,
        draws: impl Iterator<Item = &'a Allocated>,
        needed: Millilitres,
        lots: &[Option<Castings>],
    ) -> Option<Share> {
        let mut differs = false;
        let mut litres = 0.0;
        for draw in draws {
            let own = own_castings(draw, lots).map(|castings| self.by.held(castings).base() / self.held.base());
            differs |= own.is_some_and(|held| (held - 1.0).abs() > ROUNDING_TOLERANCE);
            litres += draw.amount.volume().litres() * own.unwrap_or(1.0);
        }
        (differs && needed > Millilitres::ZERO).then(|| Share::from_fraction(litres / needed.volume().litres()))
    }
}

/// The castings of the lot that a draw is from, where that knows them better.
#[must_use]
pub fn own_castings<'a>(draw: &Allocated, lots: &'a [Option<Castings>]) -> Option<&'a Castings> {
    lots.get(draw.lot)?.as_ref()
}

/// The castings of a harvest of a worm bed: by what is known of those of the bed, with the nitrogen and the carbon to nitrogen ratio that
/// follow from its feed, unless these are given.
///
/// # Errors
/// What [`Castings::known`] refuses.
pub fn of_harvest(lot: &beds::Lot, known: Known<'_>) -> Result<Castings, Refusal> {
    let follows = |assumption| known.given(assumption).is_none();
    let nitrogen = lot.nitrogen.filter(|_| follows(Assumption::Nitrogen));
    let ratio = lot.carbon_to_nitrogen.filter(|_| follows(Assumption::CarbonToNitrogen));
    Ok(Castings::known(known, Off)?.of_feed(nitrogen, ratio))
}
