//! Water: soaking, starter, rehydration.

use crate::garden::figures::Recorder;
use crate::garden::formulas::{Rehydration as Stirred, Soak as Soaked, SoakWater, StarterInSoak};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare, OfVolume};
use crate::garden::units::{Duration, End, Estimate, Share, Volume};

/// Shortest soak computed with, in days. Source: limit of this service.
pub const MIN_SOAK_DAYS: u32 = 1;
/// Longest soak computed with, in days. Source: limit of this service.
pub const MAX_SOAK_DAYS: u32 = 30;

/// A soak: the material lies in water, is stirred daily, and drains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soak {
    /// How many days, [`MIN_SOAK_DAYS`] to [`MAX_SOAK_DAYS`].
    pub days: u32,
    /// Liquid starter over water, by volume; 0 for none.
    pub starter: Estimate<OfShare>,
}

impl Soak {
    /// Four days, of the usual three to five, stirred daily, without starter. Source: common practice, no source.
    pub const COMMON: Self = Self { days: 4, starter: Estimate::exactly(Share::from_fraction(0.0)) };

    /// # Errors
    /// `out_of_range` at `days` outside the bounds; `out_of_range` at `starter` if more starter than water is asked for.
    pub fn check(self) -> Result<(), Refusal> {
        if !(MIN_SOAK_DAYS..=MAX_SOAK_DAYS).contains(&self.days) {
            let (min, max) = (f64::from(MIN_SOAK_DAYS), f64::from(MAX_SOAK_DAYS));
            let detail = format!("a soak must last {min} to {max} days; three to five days are usual");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(min, max).at("days"));
        }
        if !(0.0..=1.0).contains(&self.starter.fraction()) {
            let detail = "the dose of starter must be from 0 to 1 L for each litre of water (0 to 100 %)";
            return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, 100.0).at("starter"));
        }
        Ok(())
    }

    /// Splits what the materials take up into water and starter, both together the uptake; nothing where none is soaked.
    /// Starter counts as water; its little dry matter is left out.
    #[must_use]
    pub fn split(
        self,
        uptake: Vec<Estimate<OfVolume>>,
        recorder: impl Recorder,
    ) -> (Estimate<OfVolume>, Estimate<OfVolume>) {
        if uptake.is_empty() {
            let none = Volume::from_litres(0.0).into();
            return (none, none);
        }
        let water = recorder.figure(SoakWater { W: uptake, q: self.starter });
        (water, recorder.figure(StarterInSoak { S: water, q: self.starter }))
    }
}

/// Dry manure in water before mixing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rehydration {
    /// Water for each kilogram of manure.
    pub water_per_kilogram: Estimate<OfVolume>,
    /// How long it soaks.
    pub soaking_time: Duration,
}

impl Rehydration {
    /// 2 L to 1 kg of dry poultry manure for some hours, here four. Source: common practice, no source.
    pub const COMMON: Self = Self {
        water_per_kilogram: Estimate::exactly(Volume::from_litres(2.0)),
        soaking_time: Duration::from_hours(4.0),
    };
    /// The most water for a kilogram that is computed with. Source: limit of this service.
    pub const MAX: Volume = Volume::from_litres(20.0);
    /// The longest time that manure soaks in water, in hours: three days. Source: limit of this service.
    pub const LONGEST: f64 = 72.0;

    /// # Errors
    /// `out_of_range` at `water` or `soaking_time`.
    pub fn check(self) -> Result<(), Refusal> {
        let most = Self::MAX.litres();
        if !(0.0..=most).contains(&self.water_per_kilogram.litres()) {
            let detail =
                format!("water must be from 0 to {most} L for each kilogram; 2 L is usual for dry poultry manure");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, most).at("water"));
        }
        if !(0.0..=Self::LONGEST).contains(&self.soaking_time.hours()) {
            let detail = "manure must stay in water for 0 to 72 h; some hours are usual";
            return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, Self::LONGEST).at("soaking_time"));
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

/// A material on its way into water.
#[derive(Debug, Clone, Copy)]
pub struct Soaking {
    /// What it goes through.
    pub treatment: Treatment,
    /// What soaked material is drained to.
    pub soaked: Estimate<OfShare>,
    /// Water for each kilogram of what is mixed as it is: none.
    pub none: Estimate<OfVolume>,
    /// The density of water.
    pub water: Estimate<OfDensity>,
}

impl Soaking {
    /// At one end of what it is drained to.
    #[must_use]
    pub const fn at(self, end: End) -> Self {
        Self { soaked: self.soaked.only(end), ..self }
    }

    /// Water added to so much of it, of this moisture; a soak adds nothing where the material is as wet already.
    #[must_use]
    pub fn water(&self, m: Estimate<OfMass>, w: Estimate<OfShare>, recorder: impl Recorder) -> Estimate<OfVolume> {
        match self.treatment {
            Treatment::AsItIs => recorder.figure(Stirred { m, u: self.none }),
            Treatment::Rehydrated(r) => recorder.figure(Stirred { m, u: r.water_per_kilogram }),
            Treatment::Soaked => recorder.figure(Soaked { m, w, s: self.soaked, rho_w: self.water }),
        }
    }
}
