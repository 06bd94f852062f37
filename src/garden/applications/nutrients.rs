//! The nutrients and the organic matter that castings carry.

use crate::garden::figures::Recorder;
use crate::garden::formulas::{MassOfTimes, PerArea, Phosphate, Potash, TotalMass};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass, OfMassPerArea, OfRatio};

/// N, P, K and organic matter in what is applied.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nutrients {
    /// Total N.
    pub nitrogen: Estimate<OfMass>,
    /// N available in the first season.
    pub available_nitrogen: Estimate<OfMass>,
    /// P.
    pub phosphorus: Estimate<OfMass>,
    /// Phosphate, P2O5.
    pub phosphate: Estimate<OfMass>,
    /// K.
    pub potassium: Estimate<OfMass>,
    /// Potash, K2O.
    pub potash: Estimate<OfMass>,
    /// Organic matter.
    pub organic_matter: Estimate<OfMass>,
}

impl Nutrients {
    /// N, the N available, P, K and organic matter, and the phosphate and potash that P and K are.
    #[must_use]
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn of(
        [nitrogen, available_nitrogen, P, K, organic_matter]: [Estimate<OfMass>; 5],
        recorder: impl Recorder,
    ) -> Self {
        let (phosphate, potash) = (recorder.figure(Phosphate { P }), recorder.figure(Potash { K }));
        Self { nitrogen, available_nitrogen, phosphorus: P, phosphate, potassium: K, potash, organic_matter }
    }

    /// The same so many times.
    #[must_use]
    pub fn times(&self, t: Estimate<OfRatio>, recorder: impl Recorder) -> Self {
        let all = |u| recorder.figure(MassOfTimes { t, u });
        Self {
            nitrogen: all(self.nitrogen),
            available_nitrogen: all(self.available_nitrogen),
            phosphorus: all(self.phosphorus),
            phosphate: all(self.phosphate),
            potassium: all(self.potassium),
            potash: all(self.potash),
            organic_matter: all(self.organic_matter),
        }
    }

    /// All of several together, bound by bound.
    #[must_use]
    pub fn total(each: &[Self], recorder: impl Recorder) -> Self {
        let sum = |of: fn(&Self) -> Estimate<OfMass>| recorder.figure(TotalMass { u: each.iter().map(of).collect() });
        Self {
            nitrogen: sum(|one| one.nitrogen),
            available_nitrogen: sum(|one| one.available_nitrogen),
            phosphorus: sum(|one| one.phosphorus),
            phosphate: sum(|one| one.phosphate),
            potassium: sum(|one| one.potassium),
            potash: sum(|one| one.potash),
            organic_matter: sum(|one| one.organic_matter),
        }
    }
}

/// A nutrient or organic matter over its ground.
#[must_use]
#[expect(non_snake_case, reason = "the symbols of the formulas")]
pub fn per_area(N: Estimate<OfMass>, A: Estimate<OfArea>, recorder: impl Recorder) -> Estimate<OfMassPerArea> {
    recorder.figure(PerArea { N, A })
}
