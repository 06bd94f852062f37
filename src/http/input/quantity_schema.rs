//! How quantities stand in the document: a text, or an object.

use crate::garden::units::Dimension;
use utoipa::openapi::schema::{AdditionalProperties, ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};

/// The schema of a quantity: a text, or an object.
#[must_use]
pub fn quantity_schema(format: &str, dimensions: &[Dimension], example: &str) -> RefOr<Schema> {
    let words: Vec<_> = dimensions.iter().map(|d| d.words()).collect();
    let mut units: Vec<&str> = dimensions.iter().flat_map(|d| d.examples()).copied().collect();
    units.dedup();
    let description = format!(
        "{}: a text of number and unit, or an object. Units: {}, or a container of the caller's; see GET /v1/units.",
        first_upper(&words.join(" or ")),
        units.join(", ")
    );
    let text = text_schema(format, example);
    OneOfBuilder::new().description(Some(description)).item(text).item(Ref::from_schema_name(PARTS)).build().into_ref()
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

/// The name of the schema of the object form, which all quantities share.
pub const PARTS: &str = "QuantityParts";

/// That schema with its name.
#[must_use]
pub fn parts() -> (String, RefOr<Schema>) {
    let object = object_schema("A quantity in parts: the likely value, its unit, and its range where there is one.");
    (PARTS.to_owned(), object.build().into_ref())
}

/// The schema of an object form.
#[must_use]
pub fn object_schema(description: &str) -> ObjectBuilder {
    let number = |text: &str| ObjectBuilder::new().schema_type(Type::Number).description(Some(text));
    let unit = ObjectBuilder::new()
        .schema_type(Type::String)
        .description(Some("The unit, written as in the text form."))
        .min_length(Some(1));
    ObjectBuilder::new()
        .description(Some(description))
        .property("value", number("The likely value."))
        .property("unit", unit)
        .property("low", number("The lower bound."))
        .property("high", number("The upper bound."))
        .required("value")
        .required("unit")
        .additional_properties(Some(AdditionalProperties::FreeForm(false)))
}

/// A text with its first letter in upper case.
pub(super) fn first_upper(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
