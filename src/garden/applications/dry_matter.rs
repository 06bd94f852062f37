//! Castings by their dry matter or by a nutrient in it.

use super::{Applied, Carried, Nutrient, Nutrients};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    AvailableByNutrient, AvailableInDryMass, MassByNutrient, MassOfDryMass, MassPerArea, NutrientInDryMass,
    OrganicByNutrient, OrganicInDryMass, OtherNutrient, PhosphorusOfPhosphate, PotassiumOfPotash, VolumeByNutrient,
    VolumeOfDryMass,
};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass, OfMassPerArea};

#[expect(non_snake_case, reason = "the symbols of the formulas")]
impl<R: Recorder> Applied<'_, R> {
    /// Castings with so much dry matter.
    pub(super) fn by_dry_mass(&self, D: Estimate<OfMass>) -> Carried {
        let (c, recorder) = (self.castings, self.recorder);
        let content = |n| recorder.figure(NutrientInDryMass { D, n });
        let available = recorder.figure(AvailableInDryMass { D, n: c.nitrogen, a: c.available });
        let organic = recorder.figure(OrganicInDryMass { D, x: c.ash });
        let pure = [content(c.nitrogen), available, content(c.phosphorus), content(c.potassium), organic];
        // The mass is low where the solids are high.
        let [low, likely, high] = c.ends();
        let mass = recorder.figure_at([high, likely, low].map(|(_, rho, rho_d)| MassOfDryMass { D, rho, rho_d }));
        let volume = recorder.figure(VolumeOfDryMass { D, rho_d: c.dry_bulk_density });
        Carried { volume, mass, nutrients: Nutrients::of(pure, recorder) }
    }

    /// Castings that bring so much phosphorus or potassium.
    pub(super) fn by_nutrient(
        &self,
        A: Estimate<OfArea>,
        (nutrient, rate): (Nutrient, Estimate<OfMassPerArea>),
    ) -> Carried {
        let (c, recorder) = (self.castings, self.recorder);
        let r = match nutrient {
            Nutrient::Phosphorus | Nutrient::Potassium => rate,
            Nutrient::Phosphate => recorder.figure(PhosphorusOfPhosphate { f: rate }),
            Nutrient::Potash => recorder.figure(PotassiumOfPotash { f: rate }),
        };
        let p = if nutrient.is_phosphorus() { c.phosphorus } else { c.potassium };
        let asked = recorder.figure(MassPerArea { A, r });
        let other = |n| recorder.figure(OtherNutrient { A, r, n, p });
        let [phosphorus, potassium] = match nutrient.is_phosphorus() {
            true => [asked, other(c.potassium)],
            false => [other(c.phosphorus), asked],
        };
        let available = recorder.figure(AvailableByNutrient { A, r, n: c.nitrogen, a: c.available, p });
        let organic = recorder.figure(OrganicByNutrient { A, r, x: c.ash, p });
        let pure = [other(c.nitrogen), available, phosphorus, potassium, organic];
        // The mass is low where the solids are high.
        let [low, likely, high] = c.ends();
        let mass = recorder.figure_at([high, likely, low].map(|(end, rho, rho_d)| {
            let p = p.only(end);
            MassByNutrient { A, r, rho, rho_d, p }
        }));
        let volume = recorder.figure(VolumeByNutrient { A, r, rho_d: c.dry_bulk_density, p });
        Carried { volume, mass, nutrients: Nutrients::of(pure, recorder) }
    }
}
