//! How the volume of a material goes with the steps it is put through: shredding, soaking, shredding again.

use super::notes::{Notes, of_particles, of_water};
use super::water::Treatment;
use super::{Ingredient, Material};
use crate::garden::assumptions::Assumption;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{Settled, SolidsAndWater, StirredIn};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare, OfVolume};
use crate::garden::units::{Estimate, Volume};

/// Water added before the first shredding.
const DRY: &str = "no water is added before the first shredding";

/// The steps that take air from between the pieces of a material, each with the share of the air that it leaves.
#[derive(Debug, Clone, Copy)]
pub struct Settling {
    shredded: Option<Estimate<OfShare>>,
    soaked: Option<Estimate<OfShare>>,
    shredded_again: Option<Estimate<OfShare>>,
    is_stirred_in: bool,
    water: Estimate<OfDensity>,
    particles: Estimate<OfDensity>,
}

/// Volumes of a material after its steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Volumes {
    /// Once it is shredded, where it is.
    pub shredded: Option<Estimate<OfVolume>>,
    /// As it is mixed.
    pub mixed: Estimate<OfVolume>,
}

impl Settling {
    /// The steps of an ingredient.
    pub fn of<R: Recorder>(ingredient: &Ingredient, notes: &mut Notes<'_, R>) -> Self {
        let is_soaked = ingredient.treatment == Treatment::Soaked;
        let mut left = |is: bool, assumption| is.then(|| notes.take(assumption));
        let shredded = left(ingredient.shred, Assumption::AirAfterShredding);
        let soaked = left(is_soaked, Assumption::AirAfterSoaking);
        let shredded_again = left(is_soaked && ingredient.shred, Assumption::AirAfterSecondShredding);
        let is_stirred_in = matches!(ingredient.treatment, Treatment::Rehydrated(_));
        let (water, particles) = (of_water(notes.recorder), of_particles(notes.recorder));
        Self { shredded, soaked, shredded_again, is_stirred_in, water, particles }
    }

    /// The volumes of so much of it, which takes up this water.
    #[expect(non_snake_case, reason = "the symbols of the formulas")]
    pub fn volumes(
        &self,
        (m, V): (Estimate<OfMass>, Estimate<OfVolume>),
        (material, W): (&Material, Estimate<OfVolume>),
        recorder: impl Recorder,
    ) -> Volumes {
        let solids = |W| {
            let (rho_p, rho_w) = (self.particles, self.water);
            recorder.figure(SolidsAndWater { m, w: material.moisture(), W, rho_p, rho_w })
        };
        let none = || recorder.by_rule(DRY, &[], Volume::from_litres(0.0).into());
        let shredded = self.shredded.map(|k| recorder.figure(Settled { V, S: solids(none()), k }));
        let V = shredded.unwrap_or(V);
        if self.is_stirred_in {
            return Volumes { shredded, mixed: recorder.figure(StirredIn { V, S: solids(W) }) };
        }
        let Some(k) = self.soaked else { return Volumes { shredded, mixed: V } };
        let S = solids(W);
        let soaked = recorder.figure(Settled { V, S, k });
        let mixed = self.shredded_again.map_or(soaked, |k| recorder.figure(Settled { V: soaked, S, k }));
        Volumes { shredded, mixed }
    }
}
