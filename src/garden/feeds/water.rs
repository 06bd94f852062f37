//! Water: soaking, starter, rehydration.

use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfMass, OfShare};
use crate::garden::units::{Duration, Estimate, Share, Volume};

/// Shortest soak computed with, in days. Source: limit of this service.
pub const LEAST_SOAK_DAYS: u32 = 1;
/// Longest soak computed with, in days. Source: limit of this service.
pub const MOST_SOAK_DAYS: u32 = 30;

/// Liquid starter for the soak: so much for each litre of water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Starter {
    /// Starter over water, by volume.
    pub dose: Share,
}

impl Starter {
    /// 200 mL of starter in 5 L of water. Source: common practice, no source.
    pub const COMMON: Self = Self { dose: Share::from_fraction(0.04) };
}

/// A soak: the material lies in water, is stirred daily, and drains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soak {
    /// How many days, [`LEAST_SOAK_DAYS`] to [`MOST_SOAK_DAYS`].
    pub days: u32,
    /// Starter in the water.
    pub starter: Option<Starter>,
}

impl Soak {
    /// Four days, of the usual three to five, stirred daily, without starter. Source: common practice, no source.
    pub const COMMON: Self = Self { days: 4, starter: None };

    /// # Errors
    /// `out_of_range` at `days` outside the bounds; `out_of_range` at `starter` if more starter than water is asked for.
    pub fn check(self) -> Result<(), Refusal> {
        if !(LEAST_SOAK_DAYS..=MOST_SOAK_DAYS).contains(&self.days) {
            let (min, max) = (f64::from(LEAST_SOAK_DAYS), f64::from(MOST_SOAK_DAYS));
            let detail = format!("a soak takes {min} to {max} days; three to five is usual");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(min, max).at("days"));
        }
        match self.starter {
            Some(starter) if !(0.0..=1.0).contains(&starter.dose.fraction()) => {
                let detail = "the dose of starter lies between 0 and 1 L for each litre of water (0 and 100 %)";
                Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, 100.0).at("starter"))
            }
            _ => Ok(()),
        }
    }

    /// Splits what the materials take up into starter and water: `starter = dose x water`, both together the uptake.
    /// Starter counts as water; its little dry matter is left out.
    #[must_use]
    pub fn split(self, uptake: Estimate<OfMass>) -> (Estimate<OfMass>, Estimate<OfMass>) {
        let dose = self.starter.map_or(0.0, |s| s.dose.fraction());
        (uptake.times(1.0 / (1.0 + dose)), uptake.times(dose / (1.0 + dose)))
    }
}

/// Dry manure in water before mixing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rehydration {
    /// Water for each kilogram of manure.
    pub water_per_kilogram: Volume,
    /// How long it stands.
    pub stands: Duration,
}

impl Rehydration {
    /// 2 L to 1 kg of dry poultry manure for some hours, here four. Source: common practice, no source.
    pub const COMMON: Self = Self { water_per_kilogram: Volume::from_litres(2.0), stands: Duration::from_hours(4.0) };
    /// The most water for a kilogram that is computed with. Source: limit of this service.
    pub const MOST: Volume = Volume::from_litres(20.0);
    /// The longest time that manure stands in water, in hours: three days. Source: limit of this service.
    pub const LONGEST: f64 = 72.0;

    /// # Errors
    /// `out_of_range` at `water` or `stands`.
    pub fn check(self) -> Result<(), Refusal> {
        let most = Self::MOST.litres();
        if !(0.0..=most).contains(&self.water_per_kilogram.litres()) {
            let detail =
                format!("water for each kilogram lies between 0 and {most} L; 2 L is usual for dry poultry manure");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, most).at("water"));
        }
        if !(0.0..=Self::LONGEST).contains(&self.stands.hours()) {
            let detail = "manure stands in water for 0 to 72 h; some hours are usual";
            return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, Self::LONGEST).at("stands"));
        }
        Ok(())
    }
}

/// What a material goes through before it is mixed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Treatment {
    /// Mixed as it is.
    #[default]
    AsItIs,
    /// Soaked with the others and drained to `soak.moisture`.
    Soaked,
    /// Stirred into its own water, all of which goes into the mix.
    Rehydrated(Rehydration),
}

/// Water added for each kilogram as given, in kilograms: soaking to moisture s takes up `(1 - w)/(1 - s) - 1`, nothing
/// where the material is as wet already; rehydration adds its water.
///
/// Bounds: least with the wettest material and the driest soak.
#[must_use]
pub fn added(treatment: Treatment, moisture: Estimate<OfShare>, soaked: Estimate<OfShare>) -> Estimate<OfShare> {
    match treatment {
        Treatment::AsItIs => Estimate::exactly(Share::from_fraction(0.0)),
        Treatment::Rehydrated(r) => Estimate::exactly(Share::from_fraction(r.water_per_kilogram.litres())),
        Treatment::Soaked => {
            let takes = |w: Share, s: Share| ((1.0 - w.fraction()) / (1.0 - s.fraction()) - 1.0).max(0.0);
            super::estimate(
                takes(moisture.high(), soaked.low()),
                takes(moisture.likely(), soaked.likely()),
                takes(moisture.low(), soaked.high()),
            )
        }
    }
}
