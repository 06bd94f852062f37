//! Rates in answers.

use crate::garden::applications::{Portion, Rate};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use serde::Serialize;
use utoipa::ToSchema;

/// A rate.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ResultingRate)]
pub struct RateOut {
    /// The kind of rate, as in the request.
    #[schema(schema_with = crate::http::output::words::rate_kinds)]
    pub kind: &'static str,
    /// How much castings it makes, in the unit of its kind.
    pub amount: QuantityOut,
}

impl RateOut {
    /// Writes a rate in the unit of its role.
    #[must_use]
    pub fn new(rate: &Rate, view: &View<'_>) -> Self {
        let amount = match *rate {
            Rate::Depth(x) => view.estimate(Role::Depth, x),
            Rate::MassPerArea(x) => view.estimate(Role::MassPerArea, x),
            Rate::VolumePerArea(x) => view.estimate(Role::BulkPerArea, x),
            Rate::AvailableNitrogen(x) => view.estimate(Role::NutrientPerArea, x),
            Rate::VolumePerLength(x) => view.estimate(Role::BulkPerLength, x),
            Rate::PerPlant(Portion::Volume(x)) | Rate::Total(Portion::Volume(x)) => view.estimate(Role::Bulk, x),
            Rate::PerPlant(Portion::Mass(x)) | Rate::Total(Portion::Mass(x)) => view.estimate(Role::Mass, x),
            Rate::Share(x) => view.estimate(Role::Share, x),
        };
        Self { kind: rate.kind(), amount }
    }
}
