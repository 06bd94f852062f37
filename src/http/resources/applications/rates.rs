//! Rates in answers, and `GET /v1/rates`.

use super::AreaRequest;
use crate::garden::applications::typical::Purpose;
use crate::garden::applications::{Portion, Rate};
use crate::garden::units::Containers;
use crate::http::input::rate::RateInput;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, System, View};
use crate::http::problem::{ListProblems, Problem};
use crate::http::resources::reference::json;
use crate::http::resources::respond::Accepted;
use actix_web::{HttpRequest, HttpResponse, get};
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// A rate, written as a request has it: the document shows it as the rate of a request.
#[derive(Debug, Serialize)]
pub struct RateOut {
    /// The kind of rate.
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
            Rate::AvailableNitrogen(x) | Rate::Nutrient(_, x) => view.estimate(Role::NutrientPerArea, x),
            Rate::DryMassPerArea(x) => view.estimate(Role::MassPerArea, x),
            Rate::VolumePerLength(x) => view.estimate(Role::BulkPerLength, x),
            Rate::PerPlant(Portion::Volume(x)) | Rate::Total(Portion::Volume(x)) => view.estimate(Role::Bulk, x),
            Rate::PerPlant(Portion::Mass(x) | Portion::DryMass(x))
            | Rate::Total(Portion::Mass(x) | Portion::DryMass(x)) => view.estimate(Role::Mass, x),
            Rate::Share(x) => view.estimate(Role::Share, x),
        };
        Self { kind: rate.kind(), amount }
    }
}

/// A rate that is usual for a purpose.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TypicalRateOfPurpose)]
pub struct TypicalRateOut {
    /// The purpose, as a request names it: `"rate": {"kind": "typical", "purpose": "seedling_mix"}`.
    pub purpose: &'static str,
    /// The purpose in words.
    pub name: &'static str,
    /// The kind of rate, as in the request.
    #[schema(schema_with = crate::http::output::enums::rate_kinds)]
    pub kind: &'static str,
    /// How much castings, with its range.
    pub amount: QuantityOut,
    /// Where the rate is from, or that a value has no source.
    pub source: &'static str,
    /// Which parts are from memory. Everything else was read, often in a stored copy or a summary.
    pub checked: Option<&'static str>,
}

impl TypicalRateOut {
    fn new(of: Purpose, view: &View<'_>) -> Self {
        let typical = of.typical();
        let RateOut { kind, amount } = RateOut::new(&typical.range(), view);
        let (source, checked) = (typical.source, typical.checked);
        Self { purpose: typical.id, name: typical.name, kind, amount, source, checked }
    }
}

impl AreaRequest {
    /// The typical rate that it asks for, if it asks for one.
    pub(super) fn typical_rate(&self, view: &View<'_>) -> Option<TypicalRateOut> {
        match &self.rate {
            Some(RateInput::Typical(it)) => Some(TypicalRateOut::new(it.purpose.into(), view)),
            _ => None,
        }
    }
}

/// The typical rates.
#[derive(Debug, Serialize, ToSchema)]
pub struct RatesAnswer {
    /// One for each purpose.
    pub rates: Vec<TypicalRateOut>,
}

/// Typical rates
///
/// The usual amount of castings for a purpose, with range and source: in mixes for seedlings and pots, at transplanting, beside plants
/// and rows, on beds, fields and lawns. A starting point: a soil test and your own trial are better than any table.
#[utoipa::path(tag = "reference", operation_id = "list_rates", security(()), responses((status = 200, description = "The rates", body = RatesAnswer), ListProblems))]
#[get("/v1/rates")]
pub async fn list_rates(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    let none = Containers::default();
    let view = View { system: System::Metric, containers: &none, recording: None };
    let rates = Purpose::ALL.iter().map(|one| TypicalRateOut::new(*one, &view)).collect();
    json((&request, &accepted), &RatesAnswer { rates })
}
