//! Castings, feed and water counted in the caller's containers: buckets, barrows, sacks.

use super::figures::Recorder;
use super::formulas::{ContainersOfMass, ContainersOfVolume};
use super::units::Estimate;
use super::units::quantity::{OfMass, OfRatio, OfVolume};

/// How many containers of one volume `h` a volume fills: `V / h`.
#[must_use]
#[expect(non_snake_case, reason = "the symbols of the formula")]
pub fn filled(V: Estimate<OfVolume>, h: Estimate<OfVolume>, recorder: impl Recorder) -> Estimate<OfRatio> {
    recorder.figure(ContainersOfVolume { V, h })
}

/// How many containers of one mass `h` a mass fills: `m / h`.
#[must_use]
pub fn weighed(m: Estimate<OfMass>, h: Estimate<OfMass>, recorder: impl Recorder) -> Estimate<OfRatio> {
    recorder.figure(ContainersOfMass { m, h })
}
