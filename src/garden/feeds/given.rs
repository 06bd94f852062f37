//! A material as it is given: what is known of it, and a row of the table for the rest.

use super::{Carbon, Family, Feedstock, Material, Size};
use crate::garden::figures::{Recorder, Source};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfShare};
use crate::garden::units::{Estimate, Measured};

/// What is known of a material.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct KnownMaterial {
    /// The place where it is asked for, by its number.
    pub asked: u32,
    /// The row of the table that has the rest.
    pub row: Option<&'static Feedstock>,
    /// Water over the whole.
    pub moisture: Option<Estimate<OfShare>>,
    /// Nitrogen over dry matter.
    pub nitrogen: Option<Estimate<OfShare>>,
    /// Its carbon.
    pub carbon: Option<Carbon>,
    /// Mass over volume as it lies at its moisture.
    pub bulk_density: Option<Estimate<OfDensity>>,
}

impl KnownMaterial {
    /// What sort of material it is.
    #[must_use]
    pub fn family(&self) -> Family {
        self.row.map_or(Family::Other, |row| row.family)
    }

    /// How large its pieces are; medium where it has no row.
    #[must_use]
    pub fn size(&self) -> Size {
        self.row.map_or(Size::Medium, |row| row.size)
    }

    /// True if it is usually shredded: dry, carbon-rich material in large pieces.
    #[must_use]
    pub fn is_usually_shredded(&self) -> bool {
        self.family().is_brown() && self.size() == Size::Coarse
    }

    /// The material: what is given counts, and the row has the rest. Its bulk density is that of the row at this moisture.
    ///
    /// # Errors
    /// `missing_field` at `moisture`, `nitrogen` and `carbon`, where neither is given nor has a row; what [`Material::new`] refuses.
    pub fn material(&self, recorder: impl Recorder) -> Result<Material, Vec<Refusal>> {
        let moisture = self.moisture.or_else(|| self.of_row(Feedstock::moisture, recorder));
        let nitrogen = self.nitrogen.or_else(|| self.of_row(Feedstock::nitrogen, recorder));
        let both =
            || Some(Carbon::Both(self.of_row(Feedstock::carbon, recorder)?, self.of_row(Feedstock::ash, recorder)?));
        let carbon = self.carbon.or_else(both);
        let (Some(moisture), Some(nitrogen), Some(carbon)) = (moisture, nitrogen, carbon) else {
            let parts =
                [("moisture", moisture.is_none()), ("nitrogen", nitrogen.is_none()), ("carbon", carbon.is_none())];
            return Err(parts
                .into_iter()
                .filter(|(_, is_missing)| *is_missing)
                .map(|(part, _)| missing(part))
                .collect());
        };
        let dry = |row: &Feedstock| row.material().ok()?.at_moisture(moisture).ok()?.bulk_density();
        let of_row = || self.row.and_then(|row| Some(recorder.source(Source::Material(row.id, self.asked), dry(row)?)));
        let density = self.bulk_density.or_else(of_row);
        Material::new((moisture, nitrogen), carbon, density, recorder).map_err(|refusal| vec![refusal])
    }

    fn of_row<D: Measured>(
        &self,
        value: fn(&Feedstock) -> Estimate<D>,
        recorder: impl Recorder,
    ) -> Option<Estimate<D>> {
        self.row.map(|row| recorder.source(Source::Material(row.id, self.asked), value(row)))
    }
}

fn missing(part: &'static str) -> Refusal {
    let detail =
        "a material that is not in the table needs moisture, nitrogen, and one of carbon, ash and carbon_to_nitrogen";
    Refusal::new(Reason::MissingField, detail).at(part)
}
