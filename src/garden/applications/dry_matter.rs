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
        let (c, it) = (self.castings, self.recorder);
        let of = |n| it.figure(NutrientInDryMass { D, n });
        let available = it.figure(AvailableInDryMass { D, n: c.nitrogen, a: c.available });
        let organic = it.figure(OrganicInDryMass { D, x: c.ash });
        let pure = [of(c.nitrogen), available, of(c.phosphorus), of(c.potassium), organic];
        // The mass is low where the solids are high.
        let [low, likely, high] = c.ends();
        let mass = it.figure_at([high, likely, low].map(|(_, rho, rho_d)| MassOfDryMass { D, rho, rho_d }));
        let volume = it.figure(VolumeOfDryMass { D, rho_d: c.dry_bulk_density });
        Carried { volume, mass, nutrients: Nutrients::of(pure, it) }
    }

    /// Castings that bring so much phosphorus or potassium.
    pub(super) fn by_nutrient(
        &self,
        A: Estimate<OfArea>,
        (nutrient, rate): (Nutrient, Estimate<OfMassPerArea>),
    ) -> Carried {
        let (c, it) = (self.castings, self.recorder);
        let r = match nutrient {
            Nutrient::Phosphorus | Nutrient::Potassium => rate,
            Nutrient::Phosphate => it.figure(PhosphorusOfPhosphate { f: rate }),
            Nutrient::Potash => it.figure(PotassiumOfPotash { f: rate }),
        };
        let p = if nutrient.is_phosphorus() { c.phosphorus } else { c.potassium };
        let asked = it.figure(MassPerArea { A, r });
        let of = |n| it.figure(OtherNutrient { A, r, n, p });
        let [phosphorus, potassium] = match nutrient.is_phosphorus() {
            true => [asked, of(c.potassium)],
            false => [of(c.phosphorus), asked],
        };
        let available = it.figure(AvailableByNutrient { A, r, n: c.nitrogen, a: c.available, p });
        let organic = it.figure(OrganicByNutrient { A, r, x: c.ash, p });
        let pure = [of(c.nitrogen), available, phosphorus, potassium, organic];
        // The mass is low where the solids are high.
        let [low, likely, high] = c.ends();
        let mass = it.figure_at([high, likely, low].map(|(end, rho, rho_d)| {
            let p = p.only(end);
            MassByNutrient { A, r, rho, rho_d, p }
        }));
        let volume = it.figure(VolumeByNutrient { A, r, rho_d: c.dry_bulk_density, p });
        Carried { volume, mass, nutrients: Nutrients::of(pure, it) }
    }
}
