//! How the document describes assumptions.

use super::assumptions::AssumptionsInput;
use super::bounded::{RecordCount, SourceText};
use super::correlations::{self, CORRELATIONS, CorrelationsInput};
use super::quantity::{
    DensityInput, DurationInput, LengthInput, MassInput, MassPerAreaInput, ShareInput, TemperatureInput, VolumeInput,
    VolumePerAreaInput,
};
use super::quantity_schema::{object, object_ref, text_schema};
use crate::garden::assumptions::{Assumption, bounds, counts};
use crate::garden::units::Dimension;
use crate::garden::units::round::to_nine_digits;
use utoipa::openapi::schema::{AdditionalProperties, ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

impl PartialSchema for AssumptionsInput {
    fn schema() -> RefOr<Schema> {
        let mut object = ObjectBuilder::new()
            .schema_type(Type::Object)
            .description(Some(
                "What you know better than the defaults, by the id of the assumption (GET /v1/assumptions). One value means \
                 known, without a range. In an item it overrides that of the request.",
            ))
            .additional_properties(Some(AdditionalProperties::FreeForm(false)));
        for assumption in Assumption::ALL {
            object = object.property(assumption.id(), value_schema(*assumption));
        }
        object = object.property(CORRELATIONS, correlations::schema());
        RefOr::T(Schema::Object(object.build()))
    }
}

impl ToSchema for AssumptionsInput {
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((BUCKET.to_owned(), RefOr::T(bucket_schema().build().into())));
        schemas.push((WITH_SOURCE.to_owned(), RefOr::T(with_source_schema().build().into())));
        CorrelationsInput::schemas(schemas);
        schemas.push(object());
        schemas.push(named::<MassInput>());
        schemas.push(named::<VolumeInput>());
        schemas.extend(Assumption::ALL.iter().filter_map(|assumption| of_dimension(assumption.definition().dimension)));
    }
}

/// The name of the schema of a weighed bucket.
const BUCKET: &str = "WeighedBucket";

/// The name of the schema of a value that says what it is from.
const WITH_SOURCE: &str = "ValueWithSource";

/// A schema with its name.
fn named<T: ToSchema>() -> (String, RefOr<Schema>) {
    (T::name().into_owned(), T::schema())
}

/// The schema of an assumption of a dimension: that of its quantities in requests, and a value that says what it is from.
fn known<T: ToSchema>() -> (String, RefOr<Schema>) {
    let mut schema = T::schema();
    if let RefOr::T(Schema::OneOf(one_of)) = &mut schema {
        one_of.description = Some(format!("As {}, or with its source.", T::name()));
        one_of.items.push(Ref::from_schema_name(WITH_SOURCE).into());
    }
    (T::name().replace("Input", "Assumption"), schema)
}

/// The schema that assumptions of a dimension share, where they have one.
fn of_dimension(dimension: Dimension) -> Option<(String, RefOr<Schema>)> {
    Some(match dimension {
        Dimension::Share => known::<ShareInput>(),
        Dimension::Length => known::<LengthInput>(),
        Dimension::Duration => known::<DurationInput>(),
        Dimension::MassPerArea => known::<MassPerAreaInput>(),
        Dimension::VolumePerArea => known::<VolumePerAreaInput>(),
        Dimension::Temperature => known::<TemperatureInput>(),
        Dimension::Density => known::<DensityInput>(),
        _ => return None,
    })
}

fn value_schema(assumption: Assumption) -> RefOr<Schema> {
    let definition = assumption.definition();
    let is_ratio = definition.dimension == Dimension::Ratio;
    let about = match example(assumption) {
        _ if is_ratio => format!("{}.", definition.meaning),
        example => format!("{}; such as `{example}`.", definition.meaning),
    };
    if let Some((name, _)) = of_dimension(definition.dimension).filter(|_| assumption != Assumption::BulkDensity) {
        let mut reference = Ref::from_schema_name(name);
        reference.description = about;
        return RefOr::Ref(reference);
    }
    let mut one_of = OneOfBuilder::new().description(Some(about));
    one_of = if is_ratio {
        let (min, max) = bounds(assumption);
        let kind = if counts(assumption) { Type::Integer } else { Type::Number };
        let number = ObjectBuilder::new().schema_type(kind).minimum(Some(min)).maximum(Some(max));
        one_of.item(number.description(Some("A ratio.")))
    } else {
        one_of.item(text_schema(&definition.dimension.as_str().replace('_', "-"), &example(assumption)))
    };
    one_of = one_of.item(object_ref()).item(Ref::from_schema_name(WITH_SOURCE));
    if assumption == Assumption::BulkDensity {
        one_of = one_of.item(Ref::from_schema_name(BUCKET));
    }
    RefOr::T(Schema::OneOf(one_of.build()))
}

/// The default in its base unit; half, where a share has none.
fn example(assumption: Assumption) -> String {
    let definition = assumption.definition();
    let (share, unit) = (definition.dimension == Dimension::Share, definition.dimension.base_unit());
    let likely = definition.default.map_or(0.5, |[_, likely, _]| likely);
    format!("{} {unit}", to_nine_digits(if share { likely * 100.0 } else { likely }))
}

/// The weighed bucket.
fn bucket_schema() -> ObjectBuilder {
    let quantity = |of: &str, text: &str| {
        let mut reference = Ref::from_schema_name(of);
        text.clone_into(&mut reference.description);
        reference
    };
    let (mass, volume) = (MassInput::name(), VolumeInput::name());
    ObjectBuilder::new()
        .description(Some("A weighed bucket: (full - empty) / capacity."))
        .property("full", quantity(&mass, "Mass of the full bucket, such as 8.2 kg."))
        .property("empty", quantity(&mass, "Mass of the empty bucket, such as 1 kg."))
        .property("capacity", quantity(&volume, "What the bucket takes, such as 12 L."))
        .required("full")
        .required("empty")
        .required("capacity")
        .additional_properties(Some(AdditionalProperties::FreeForm(false)))
}

/// The value that says what it is from.
fn with_source_schema() -> ObjectBuilder {
    let number = |about: &str| ObjectBuilder::new().schema_type(Type::Number).description(Some(about));
    let unit = ObjectBuilder::new().schema_type(Type::String).description(Some("The unit; empty for a ratio."));
    ObjectBuilder::new()
        .description(Some("A value and what it is from, as `POST /v1/calibrations` returns it."))
        .property("value", number("The likely value."))
        .property("low", number("The lower bound, where there is a range."))
        .property("high", number("The upper bound, where there is a range."))
        .property("unit", unit)
        .property("source", SourceText::schema())
        .property("observations", observations())
        .required("value")
        .required("unit")
        .required("source")
        .additional_properties(Some(AdditionalProperties::FreeForm(false)))
}

/// The number of observations, with what it says.
fn observations() -> RefOr<Schema> {
    let mut schema = RecordCount::schema();
    if let RefOr::T(Schema::Object(number)) = &mut schema {
        number.description = Some("How many observations it is based on.".to_owned());
    }
    schema
}
