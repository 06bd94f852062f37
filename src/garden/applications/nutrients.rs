//! The nutrients that castings carry.

use crate::garden::figures::Recorder;
use crate::garden::formulas::{MassOfTimes, PerArea, Phosphate, Potash, TotalMass};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass, OfMassPerArea, OfRatio};

/// N, P and K in what is applied.
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
}

impl Nutrients {
    /// N, the N available, P and K, and the phosphate and potash that these are.
    #[must_use]
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn of([nitrogen, available_nitrogen, P, K]: [Estimate<OfMass>; 4], recorder: impl Recorder) -> Self {
        let (phosphate, potash) = (recorder.figure(Phosphate { P }), recorder.figure(Potash { K }));
        Self { nitrogen, available_nitrogen, phosphorus: P, phosphate, potassium: K, potash }
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
        }
    }
}

/// A nutrient over its ground.
#[must_use]
#[expect(non_snake_case, reason = "the symbols of the formulas")]
pub fn per_area(N: Estimate<OfMass>, A: Estimate<OfArea>, recorder: impl Recorder) -> Estimate<OfMassPerArea> {
    recorder.figure(PerArea { N, A })
}
