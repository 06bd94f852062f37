//! The nutrients and the organic matter that castings carry.

use crate::garden::applications::{Nutrients, per_area};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// What castings carry.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Nutrients)]
pub struct NutrientsOut {
    /// Total nitrogen (N).
    pub nitrogen: NutrientOut,
    /// N available in the first season.
    pub available_nitrogen: NutrientOut,
    /// Phosphorus, as the element (P).
    pub phosphorus: NutrientOut,
    /// The same phosphorus as phosphate (P2O5).
    pub phosphate: NutrientOut,
    /// Potassium, as the element (K).
    pub potassium: NutrientOut,
    /// The same potassium as potash (K2O).
    pub potash: NutrientOut,
    /// Organic matter: the dry matter without its ash.
    pub organic_matter: NutrientOut,
}

/// One nutrient, or organic matter.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Nutrient)]
pub struct NutrientOut {
    /// The mass of it in all.
    pub mass: QuantityOut,
    /// Over the ground, where there is ground.
    pub per_area: Option<QuantityOut>,
}

impl NutrientsOut {
    pub(super) fn new(view: &View<'_>, nutrients: &Nutrients, area: Option<Estimate<OfArea>>) -> Self {
        let in_roles = |mass: Estimate<OfMass>, (of_mass, over_ground)| NutrientOut {
            mass: view.estimate(of_mass, mass),
            per_area: area.map(|area| view.estimate(over_ground, per_area(mass, area, view.book()))),
        };
        let one = |mass| in_roles(mass, (Role::Nutrient, Role::NutrientPerArea));
        Self {
            nitrogen: one(nutrients.nitrogen),
            available_nitrogen: one(nutrients.available_nitrogen),
            phosphorus: one(nutrients.phosphorus),
            phosphate: one(nutrients.phosphate),
            potassium: one(nutrients.potassium),
            potash: one(nutrients.potash),
            organic_matter: in_roles(nutrients.organic_matter, (Role::Mass, Role::MassPerArea)),
        }
    }
}
