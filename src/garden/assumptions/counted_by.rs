//! What castings are counted by, where that is not their volume, and the assumptions that decide it.

use super::{Assumption, Castings};
use crate::garden::closed_list::closed_list;
use crate::garden::units::Density;

closed_list! {
    /// What castings are counted by, where that is not their volume.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum CountedBy {
        /// Their moist mass.
        Mass = "mass",
        /// The mass of their dry matter.
        DryMass = "dry_mass",
        /// Nitrogen available in the first season.
        AvailableNitrogen = "available_nitrogen",
        /// Phosphorus.
        Phosphorus = "phosphorus",
        /// Potassium.
        Potassium = "potassium",
    }
}

impl CountedBy {
    /// How much of it a volume of castings holds, at the likely values.
    #[must_use]
    pub fn held(self, castings: &Castings) -> Density {
        let dry = castings.dry_bulk_density.likely();
        match self {
            Self::Mass => castings.bulk_density.likely(),
            Self::DryMass => dry,
            Self::AvailableNitrogen => dry * castings.nitrogen.likely() * castings.available.likely(),
            Self::Phosphorus => dry * castings.phosphorus.likely(),
            Self::Potassium => dry * castings.potassium.likely(),
        }
    }

    /// Whether an assumption changes how much of it a volume of these castings holds.
    #[must_use]
    pub fn depends_on(self, assumption: Assumption, castings: &Castings) -> bool {
        let of_nitrogen = [Assumption::Nitrogen, Assumption::AvailableNitrogen, Assumption::CarbonToNitrogen];
        let weighs = |which| castings.weighs_by(which, assumption);
        match self {
            Self::Mass => weighs(Assumption::BulkDensity),
            Self::DryMass => weighs(Assumption::DryBulkDensity),
            Self::AvailableNitrogen => weighs(Assumption::DryBulkDensity) || of_nitrogen.contains(&assumption),
            Self::Phosphorus => weighs(Assumption::DryBulkDensity) || assumption == Assumption::Phosphorus,
            Self::Potassium => weighs(Assumption::DryBulkDensity) || assumption == Assumption::Potassium,
        }
    }
}

impl Castings {
    /// Whether the bulk density or the dry bulk density (`of`) depends on an assumption.
    #[must_use]
    pub fn weighs_by(&self, of: Assumption, assumption: Assumption) -> bool {
        let [bulk, dry] = self.derived;
        let is_derived = if of == Assumption::BulkDensity { bulk } else { dry };
        assumption == of || (is_derived && Assumption::OF_WEIGHT.contains(&assumption))
    }
}
