//! What makes an amount of stock or of a demand uncertain.

use super::{DemandRequest, Source, StockRequest};
use crate::garden::assumptions::Assumption;
use crate::garden::assumptions::CountedBy;
use crate::garden::seasons::{Amount, Factor};
use crate::garden::units::Dimension;
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, MassInput, QuantityInput, VolumeOrMassInput};
use crate::http::wire::JsonPath;

impl StockRequest {
    /// What makes its amount uncertain: a range, a mass, a heap. Only asked once it was read without an error.
    pub(in crate::http::resources) fn uncertain(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        heap: Option<&crate::garden::harvests::Harvest>,
    ) -> Amount {
        let mut amount = Amount { overrides: self.own(context, place), ..Amount::default() };
        if let Some(input) = &self.amount {
            amount.factors = factors((&input.0, VolumeOrMassInput::DIMENSIONS), context, place.field("amount"));
        }
        if let Some(input) = &self.dry_mass {
            amount.factors = dry_factors(input, context, place.field("dry_mass"));
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
            amount.factors = factors((&input.0, VolumeOrMassInput::DIMENSIONS), context, place.field("amount"));
        }
        if let Some(input) = &self.dry_mass {
            amount.factors = dry_factors(input, context, place.field("dry_mass"));
        }
        if let (Some(application), Some(Source::Application(order, _))) = (&self.application, source) {
            let at = place.field("application");
            amount.overrides = context.overrides(application.assumptions.as_ref(), at.field("assumptions"));
            amount.factors.extend(order.rate.counted_by().map(Factor::By));
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
fn factors(
    (input, dimensions): (&QuantityInput, &[Dimension]),
    context: &RequestContext<'_>,
    place: JsonPath<'_>,
) -> Vec<Factor> {
    let due = Due::any(dimensions).from(0.0);
    let Some((dimension, span)) = context.span(input, due, place) else { return Vec::new() };
    let mut factors = Vec::new();
    if span.low < span.high {
        context.range_is_used(place);
        factors.push(Factor::Range(span));
    }
    if dimension == Dimension::Mass {
        factors.push(Factor::By(CountedBy::Mass));
    }
    factors
}

/// What makes an amount of castings by dry mass uncertain.
fn dry_factors(input: &MassInput, context: &RequestContext<'_>, place: JsonPath<'_>) -> Vec<Factor> {
    let factors = factors((&input.0, MassInput::DIMENSIONS), context, place).into_iter();
    let dry = |factor| if factor == Factor::By(CountedBy::Mass) { Factor::By(CountedBy::DryMass) } else { factor };
    factors.map(dry).collect()
}
