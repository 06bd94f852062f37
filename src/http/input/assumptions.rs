//! Assumptions on the wire: `{"castings.bulk_density": "620 kg/m3"}`.

use super::RequestContext;
use super::quantity::{
    DensityInput, Due, DurationInput, LengthInput, MassInput, MassPerAreaInput, QuantityInput, QuantityObject,
    ShareInput, TemperatureInput, VolumeInput, VolumePerAreaInput,
};
use super::quantity_schema::{object, object_ref, text_schema};
use crate::garden::assumptions::{Assumption, Overrides, Span, bounds, counts, weighed};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Dimension;
use crate::garden::units::round::to_nine_digits;
use crate::http::wire::{JsonPath, Other, nearest};
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, Visitor};
use std::fmt;
use utoipa::openapi::schema::{AdditionalProperties, ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// Values by the id of the assumption, in the order given.
#[derive(Debug, Clone, Default)]
pub struct AssumptionsInput(pub Vec<(String, AssumptionInput)>);

impl<'de> Deserialize<'de> for AssumptionsInput {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Entries;
        impl<'de> Visitor<'de> for Entries {
            type Value = AssumptionsInput;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object with assumptions by their id")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut entries = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    entries.push(entry);
                }
                Ok(AssumptionsInput(entries))
            }
        }
        deserializer.deserialize_map(Entries)
    }
}

/// One value: a text, an object, or a plain number for a ratio.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "TextOrAssumption")]
pub enum AssumptionInput {
    /// `"620 kg/m3"`.
    #[serde(rename = "text")]
    Text(String),
    /// With a range, or a weighed bucket.
    #[serde(rename = "object")]
    Object(Box<AssumptionObject>),
    /// A plain number or something else.
    #[serde(rename = "other")]
    Other(Other),
}

/// A value with its range, or a weighed bucket.
#[derive(Debug, Clone, Deserialize)]
pub struct AssumptionObject {
    value: Option<f64>,
    unit: Option<String>,
    low: Option<f64>,
    high: Option<f64>,
    full: Option<QuantityInput>,
    empty: Option<QuantityInput>,
    capacity: Option<QuantityInput>,
}

impl PartialSchema for AssumptionsInput {
    fn schema() -> RefOr<Schema> {
        let mut object = ObjectBuilder::new()
            .schema_type(Type::Object)
            .description(Some(
                "What is known better than the defaults, by the id of the assumption (GET /v1/assumptions). One value means \
                 known, without a range. In an item it goes before that of the request.",
            ))
            .additional_properties(Some(AdditionalProperties::FreeForm(false)));
        for assumption in Assumption::ALL {
            object = object.property(assumption.id(), value_schema(*assumption));
        }
        RefOr::T(Schema::Object(object.build()))
    }
}

impl ToSchema for AssumptionsInput {
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((BUCKET.to_owned(), RefOr::T(bucket_schema().build().into())));
        schemas.push(object());
        schemas.push(named::<MassInput>());
        schemas.push(named::<VolumeInput>());
        schemas.extend(Assumption::ALL.iter().filter_map(|assumption| of_dimension(assumption.definition().dimension)));
    }
}

/// The name of the schema of a weighed bucket.
const BUCKET: &str = "WeighedBucket";

/// A schema with its name.
fn named<T: ToSchema>() -> (String, RefOr<Schema>) {
    (T::name().into_owned(), T::schema())
}

/// The schema that requests have for quantities of a dimension, where they have one.
fn of_dimension(dimension: Dimension) -> Option<(String, RefOr<Schema>)> {
    Some(match dimension {
        Dimension::Share => named::<ShareInput>(),
        Dimension::Length => named::<LengthInput>(),
        Dimension::Duration => named::<DurationInput>(),
        Dimension::MassPerArea => named::<MassPerAreaInput>(),
        Dimension::VolumePerArea => named::<VolumePerAreaInput>(),
        Dimension::Temperature => named::<TemperatureInput>(),
        Dimension::Density => named::<DensityInput>(),
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
        one_of.item(text_schema(&definition.dimension.name().replace('_', "-"), &example(assumption)))
    };
    one_of = one_of.item(object_ref());
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

impl RequestContext<'_> {
    /// Reads the assumptions of the request as a whole.
    pub fn read_assumptions(&mut self, input: Option<&AssumptionsInput>) {
        self.overrides = self.overrides(input, JsonPath::root().field("assumptions"));
    }

    /// Reads assumptions.
    pub fn overrides(&self, input: Option<&AssumptionsInput>, place: JsonPath<'_>) -> Overrides {
        let mut overrides = Overrides::default();
        for (id, value) in input.into_iter().flat_map(|a| &a.0) {
            let at = place.field(id);
            let Some(assumption) = Assumption::find(id) else {
                // Looking for the nearest of all names costs too much to be done for errors that are only counted.
                if !self.errors.is_full_by_one_more() {
                    self.refuse(at, unknown(id));
                }
                continue;
            };
            if let Some(span) = self.assumption(assumption, value, at) {
                self.keep(at, overrides.set(assumption, span));
            }
        }
        overrides
    }

    fn assumption(&self, assumption: Assumption, value: &AssumptionInput, at: JsonPath<'_>) -> Option<Span> {
        let dimension = assumption.definition().dimension;
        // The table's own bounds are checked when the value is set; here only what can be computed with.
        let wide = Some((f64::MIN, f64::MAX));
        let quantity = |input: QuantityInput| {
            self.span(&input, Due { dimensions: &[dimension], bounds: wide, least: None }, at).map(|(_, span)| span)
        };
        match value {
            AssumptionInput::Object(object)
                if object.full.is_some() || object.empty.is_some() || object.capacity.is_some() =>
            {
                self.bucket(assumption, object, at)
            }
            AssumptionInput::Object(_) if self.errors.touches(at) => None,
            _ if dimension == Dimension::Ratio => self.ratio(value, at),
            AssumptionInput::Text(text) => quantity(QuantityInput::Text(text.clone())),
            AssumptionInput::Other(other) => quantity(QuantityInput::Other(*other)),
            AssumptionInput::Object(object) => {
                let missing = |field: &'static str, what: &str| {
                    self.refuse(at.field(field), Refusal::new(Reason::MissingField, format!("{what} is missing")));
                };
                if object.value.is_none() {
                    missing("value", "the value");
                }
                if object.unit.is_none() {
                    missing("unit", "the unit");
                }
                let (value, unit) = (object.value?, object.unit.clone()?);
                quantity(QuantityInput::Object(QuantityObject { value, unit, low: object.low, high: object.high }))
            }
        }
    }

    fn ratio(&self, value: &AssumptionInput, at: JsonPath<'_>) -> Option<Span> {
        match value {
            AssumptionInput::Other(Other(Some(number))) => Some(Span::exactly(*number)),
            AssumptionInput::Object(object)
                if object.unit.as_deref().unwrap_or_default().is_empty() && object.value.is_some() =>
            {
                let likely = object.value?;
                Some(Span { low: object.low.unwrap_or(likely), likely, high: object.high.unwrap_or(likely) })
            }
            _ => {
                let detail = "a ratio is a plain number without a unit, as in 18";
                self.refuse(at, Refusal::new(Reason::BadNumber, detail));
                None
            }
        }
    }

    fn bucket(&self, assumption: Assumption, object: &AssumptionObject, at: JsonPath<'_>) -> Option<Span> {
        if assumption != Assumption::BulkDensity || object.value.is_some() || object.unit.is_some() {
            let detail = "a weighed bucket (full, empty, capacity) stands alone and gives castings.bulk_density only";
            self.refuse(at, Refusal::new(Reason::NotAllowedHere, detail));
            return None;
        }
        let required = |field: &'static str, input: Option<&QuantityInput>| {
            if input.is_none() {
                let detail = "a weighed bucket needs full, empty and capacity";
                self.refuse(at.field(field), Refusal::new(Reason::MissingField, detail));
            }
            input.cloned()
        };
        let (full, empty, capacity) = (
            required("full", object.full.as_ref()),
            required("empty", object.empty.as_ref()),
            required("capacity", object.capacity.as_ref()),
        );
        let (full, empty, capacity) = (full?, empty?, capacity?);
        let full = self.exact(&full, at.field("full"));
        let empty = self.exact(&empty, at.field("empty"));
        let capacity = self.exact(&capacity, at.field("capacity"));
        let density = self.keep(at, weighed(full?, empty?, capacity?))?;
        Some(Span::exactly(density.base()))
    }
}

fn unknown(id: &str) -> Refusal {
    let known: Vec<&str> = Assumption::ALL.iter().map(|a| a.id()).collect();
    // "bulk_density" means "castings.bulk_density" if no other id ends like that.
    let mut ends = known.iter().copied().filter(|full| full.split_once('.').is_some_and(|(_, end)| end == id));
    let by_end = ends.next().filter(|_| ends.next().is_none());
    let shown = crate::garden::units::text::clip(id);
    let detail = format!("there is no assumption \"{shown}\"; GET /v1/assumptions lists them");
    let mut refusal = Refusal::new(Reason::UnknownAssumption, detail);
    refusal.nearest = by_end.or_else(|| nearest(id, &known)).map(str::to_owned);
    refusal.allowed(known)
}
