//! What makes an amount of stock or of a demand uncertain.

use super::{DemandRequest, Source, StockRequest};
use crate::garden::applications::{Portion, Rate};
use crate::garden::assumptions::Assumption;
use crate::garden::seasons::{Amount, Factor};
use crate::garden::units::Dimension;
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, VolumeOrMassInput};
use crate::http::wire::JsonPath;

impl StockRequest {
    /// What makes its amount uncertain: a range, a mass, a heap. Only asked once it was read without an error.
    pub(in crate::http::resources) fn uncertain(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        heap: Option<&crate::garden::harvests::Harvest>,
    ) -> Amount {
        let mut amount = Amount::default();
        if let Some(input) = &self.amount {
            amount.factors = factors(input, context, place.field("amount"));
        }
        amount.factors.extend(heap.map(|harvest| Factor::Range(harvest.stored.into())));
        amount
    }
}

impl DemandRequest {
    /// What makes its amount uncertain: a range, a mass, nitrogen, the strength of a tea. Only asked once it was read without an error.
    pub(in crate::http::resources) fn uncertain(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        source: Option<&Source>,
    ) -> Amount {
        let mut amount = Amount::default();
        if let Some(input) = &self.amount {
            amount.factors = factors(input, context, place.field("amount"));
        }
        if let (Some(application), Some(Source::Application(order, _))) = (&self.application, source) {
            let at = place.field("application");
            amount.overrides = context.overrides(application.assumptions.as_ref(), at.field("assumptions"));
            amount.factors.extend(match order.rate {
                Rate::MassPerArea(_) | Rate::PerPlant(Portion::Mass(_)) | Rate::Total(Portion::Mass(_)) => {
                    Some(Factor::ByMass)
                }
                Rate::AvailableNitrogen(_) => Some(Factor::ByNitrogen),
                _ => None,
            });
        }
        if let Some(Source::Brew(brew)) = source
            && amount.overrides.set(Assumption::TeaStrength, brew.strength.into()).is_ok()
        {
            amount.factors.push(Factor::ByStrength);
        }
        amount
    }
}

/// What makes an amount of castings uncertain.
fn factors(input: &VolumeOrMassInput, context: &RequestContext<'_>, place: JsonPath<'_>) -> Vec<Factor> {
    let due = Due::any(VolumeOrMassInput::DIMENSIONS).from(0.0);
    let Some((dimension, span)) = context.span(&input.0, due, place) else { return Vec::new() };
    let mut factors = Vec::new();
    if span.low < span.high {
        context.range_is_used(place);
        factors.push(Factor::Range(span));
    }
    if dimension == Dimension::Mass {
        factors.push(Factor::ByMass);
    }
    factors
}
