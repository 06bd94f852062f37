//! How the document describes quantities: a text, or an object.

use crate::garden::units::Dimension;
use crate::garden::units::text::fitting;
use crate::http::output::QuantityOut;
use crate::http::wire::capitalised;
use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// The schema of a quantity: a text, or an object.
#[must_use]
pub fn quantity_schema(format: &str, dimensions: &[Dimension], example: &str) -> RefOr<Schema> {
    let words: Vec<_> = dimensions.iter().map(|d| d.text()).collect();
    let or_container =
        if dimensions.iter().any(|d| d.takes_container()) { ", or a container of the caller's" } else { "" };
    let description = format!(
        "{}: a text or an object. Units: {}{or_container}; see GET /v1/units.",
        capitalised(&words.join(" or ")),
        fitting(dimensions).join(", ")
    );
    let text = text_schema(format, example);
    OneOfBuilder::new().description(Some(description)).item(text).item(object_ref()).build().into_ref()
}

/// A builder's result as a schema without a name.
trait IntoRef {
    fn into_ref(self) -> RefOr<Schema>;
}

impl<T: Into<Schema>> IntoRef for T {
    fn into_ref(self) -> RefOr<Schema> {
        RefOr::T(self.into())
    }
}

/// A character that belongs to a unit and not to a number: every text has one, since a number without its unit is refused.
const HAS_UNIT: &str = r"[^\d\s.,+/-]";

/// The schema of the text form.
#[must_use]
pub fn text_schema(format: &str, example: &str) -> ObjectBuilder {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .format(Some(utoipa::openapi::SchemaFormat::Custom(format!("barrowful-{format}"))))
        .min_length(Some(1))
        .pattern(Some(HAS_UNIT))
        .examples([serde_json::Value::from(example)])
}

/// The object form, which all quantities share: what answers hold, so that it may be sent back as it is.
#[must_use]
pub fn object() -> (String, RefOr<Schema>) {
    (QuantityOut::name().into_owned(), QuantityOut::schema())
}

/// A reference to the object form.
#[must_use]
pub fn object_ref() -> Ref {
    Ref::from_schema_name(QuantityOut::name())
}
