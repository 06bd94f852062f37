//! What was assumed for a mix, and what to mind.

use crate::garden::assumptions::{Assumed, Assumption, Known, PARTICLE_DENSITY, WATER_DENSITY};
use crate::garden::cautions::Rule;
use crate::garden::figures::{Recorder, Source};
use crate::garden::units::quantity::OfDensity;
use crate::garden::units::{Density, End, Estimate, Measured};

/// Looks assumptions up and remembers which.
pub struct Notes<'a, R> {
    /// Where they are looked up.
    pub known: Known<'a>,
    /// Where figures are recorded.
    pub recorder: R,
    /// Which were used.
    pub assumed: Vec<Assumed>,
    /// What they give reason to say.
    pub cautions: Vec<Rule>,
}

impl<R: Recorder> Notes<'_, R> {
    /// The likely value to use, noted where it counts.
    pub fn take_if<D: Measured>(&mut self, assumption: Assumption, counts: bool) -> Estimate<D> {
        let (estimate, used) = self.known.figure(assumption, self.recorder);
        self.assumed.extend(used.filter(|_| counts));
        estimate.only(End::Likely)
    }

    /// Which were used, each once.
    pub fn listed(mut self) -> Vec<Assumed> {
        self.assumed.sort_by_key(|one| one.assumption);
        self.assumed.dedup();
        self.assumed
    }

    /// The value to use.
    pub fn take<D: Measured>(&mut self, assumption: Assumption) -> Estimate<D> {
        let (estimate, used) = self.known.figure(assumption, self.recorder);
        self.assumed.extend(used);
        estimate
    }
}

/// The density of the particles of dry matter.
pub fn of_particles(recorder: impl Recorder) -> Estimate<OfDensity> {
    let density = Density::from_kilograms_per_cubic_metre(PARTICLE_DENSITY);
    recorder.source(Source::Constant("PARTICLE_DENSITY"), density.into())
}

/// The density of water: 1 kg is 1 L.
pub fn of_water(recorder: impl Recorder) -> Estimate<OfDensity> {
    let density = Density::from_kilograms_per_cubic_metre(WATER_DENSITY);
    recorder.source(Source::Constant("WATER_DENSITY"), density.into())
}
