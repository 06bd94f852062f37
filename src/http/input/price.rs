//! Prices.

use super::RequestContext;
use super::bounded::{Currency, Price};
use super::quantity::{Due, VolumeOrMassInput};
use crate::garden::balances::options::{Per, UnitPrice};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Mass, Volume};
use crate::http::limits::MIN_AMOUNT;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// The price of an amount.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct UnitPriceInput {
    /// What it costs.
    #[validate(nested)]
    pub price: Price,
    /// For this amount: `"1 kg"`, `"40 L"`, one of the caller's containers.
    pub per: VolumeOrMassInput,
    /// In which currency; the same in all of a request.
    #[validate(nested)]
    pub currency: Option<Currency>,
}

impl UnitPriceInput {
    /// Reads it.
    pub fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<UnitPrice> {
        self.due(VolumeOrMassInput::DIMENSIONS, context, place)
    }

    /// Reads one that has to be by mass.
    pub fn by_mass(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<UnitPrice> {
        self.due(&[Dimension::Mass], context, place)
    }

    /// Refuses a currency that differs from that of the prices before it; without any it is the same.
    pub fn in_currency<'a>(
        &'a self,
        before: &mut Option<&'a str>,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
    ) -> bool {
        let Some(named) = self.currency.as_deref() else { return true };
        let other = before.replace(named).filter(|other| *other != named);
        if let Some(other) = other {
            let detail = format!("prices in {other} and in {named} cannot be compared: use one currency in a request");
            context.refuse(place.field("currency"), Refusal::new(Reason::InconsistentAssumptions, detail));
        }
        other.is_none()
    }

    fn due(
        &self,
        dimensions: &'static [Dimension],
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
    ) -> Option<UnitPrice> {
        let at = place.field("per");
        let (dimension, span) = context.span(&self.per.0, Due::any(dimensions).from(MIN_AMOUNT), at)?;
        context.note_range(span, at);
        let per = match dimension {
            Dimension::Mass => Per::Mass(Mass::from_base(span.likely)),
            _ => Per::Volume(Volume::from_base(span.likely)),
        };
        Some(UnitPrice { price: self.price.0, per })
    }
}
