//! Castings and tea in parts of water, and reading them.

use crate::garden::assumptions::Span;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::text::{clip, read, unit_missing};
use crate::http::input::RequestContext;
use crate::http::input::quantity::{Due, QuantityInput, ShareInput};
use crate::http::input::quantity_schema::{object, object_ref};
use crate::http::wire::{JsonPath, Other};
use serde::Deserialize;
use serde_json::Value;
use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, SchemaFormat, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// One part to so many of water: `"1:10"`, `"100 mL/L"` or `"10 %"` of the water.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct DilutionInput(pub QuantityInput);

impl PartialSchema for DilutionInput {
    fn schema() -> RefOr<Schema> {
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::Custom("barrowful-dilution".to_owned())))
            .min_length(Some(1))
            .examples([Value::from("1:10")]);
        let description = "Parts by volume: \"1:10\" is one part to ten of water, \"100 mL/L\" and \"10 %\" (of the water) are the same.";
        RefOr::T(Schema::OneOf(
            OneOfBuilder::new().description(Some(description)).item(text).item(object_ref()).build(),
        ))
    }
}

impl ToSchema for DilutionInput {
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push(object());
    }
}

impl RequestContext<'_> {
    /// Reads `"1:10"`, `"100 mL/L"` or `"10 %"` as the first part over the second.
    pub(super) fn parts(&self, input: &DilutionInput, bounds: (f64, f64), place: JsonPath<'_>) -> Option<Span> {
        let as_share = || self.share_of_water(input, bounds, place);
        let QuantityInput::Text(text) = &input.0 else { return as_share() };
        let in_words = !text.contains(|c: char| c.is_numeric());
        let parts = text.split_once(':').or(in_words.then_some((text, "")));
        let Some((one, other)) = parts else { return as_share() };
        let number = |part: &str| {
            let part = part.trim();
            let plain = !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            part.parse::<f64>().ok().filter(|n| plain && *n > 0.0 && n.is_finite())
        };
        let ratio = number(one).zip(number(other)).map(|(one, other)| one / other);
        let Some(ratio) = ratio else {
            self.refuse(place, no_dilution(text, Reason::BadNumber));
            return None;
        };
        if ratio < bounds.0 || ratio > bounds.1 {
            let turned = format!("{}:{}", other.trim(), one.trim());
            let hint = if (bounds.0..=bounds.1).contains(&(1.0 / ratio)) {
                format!(" Did you mean \"{turned}\"? The water comes second")
            } else {
                String::new()
            };
            let detail = format!("this lies outside {} to {} parts to one of water.{hint}", bounds.0, bounds.1);
            self.refuse(place, Refusal::new(Reason::OutOfRange, detail).between(bounds.0, bounds.1));
            return None;
        }
        Some(Span::exactly(ratio))
    }
    /// Reads `"100 mL/L"` or `"10 %"`.
    fn share_of_water(&self, input: &DilutionInput, bounds: (f64, f64), place: JsonPath<'_>) -> Option<Span> {
        let refusal = match &input.0 {
            QuantityInput::Text(text) => {
                read(text, ShareInput::DIMENSIONS, &self.reader).err().map(|it| (text.clone(), it))
            }
            QuantityInput::Other(Other(Some(number))) => {
                Some((number.to_string(), unit_missing(*number, ShareInput::DIMENSIONS)))
            }
            _ => None,
        };
        // Whoever writes no share may not know that parts can be written.
        let is_other = |reason| matches!(reason, Reason::UnitMissing | Reason::UnknownUnit | Reason::UnitDoesNotFit);
        if let Some((text, refusal)) = refusal.filter(|(_, refusal)| !refusal.follows && is_other(refusal.reason)) {
            self.refuse(place, no_dilution(&text, refusal.reason).allowed(refusal.allowed));
            return None;
        }
        self.span(&input.0, Due::share(bounds.0, bounds.1), place).map(|(_, span)| span)
    }
}

fn no_dilution(text: &str, reason: Reason) -> Refusal {
    let shown = clip(text);
    let detail = format!(
        "\"{shown}\" is not a dilution; write \"1:10\" for one part to ten of water, or a share such as \"10 %\""
    );
    Refusal::new(reason, detail)
}
