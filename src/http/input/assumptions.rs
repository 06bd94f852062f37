//! Assumptions on the wire: `{"castings.bulk_density": "620 kg/m3"}`.

use super::RequestContext;
use super::bounded::{RecordCount, SourceText};
use super::correlations::{CORRELATIONS, CorrelationsInput};
use super::quantity::{Due, QuantityInput, QuantityObject};
use super::unknown_assumption::unknown;
use crate::garden::assumptions::{Assumption, Overrides, Span, weighed};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Dimension;
use crate::garden::units::round::to_nine_digits;
use crate::http::wire::{JsonPath, Other, check};
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, Visitor};
use std::fmt;
use validator::Validate;

/// Values by the id of the assumption, in the order given, and how they go together.
#[derive(Debug, Clone, Default, Validate)]
pub struct AssumptionsInput {
    /// Each is checked where it is read, since only there it has its place. `None` counts as left out.
    values: Vec<(String, Option<AssumptionInput>)>,
    #[validate(nested)]
    correlations: Option<CorrelationsInput>,
}

impl<'de> Deserialize<'de> for AssumptionsInput {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Entries;
        impl<'de> Visitor<'de> for Entries {
            type Value = AssumptionsInput;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object with assumptions by their id")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut entries = AssumptionsInput::default();
                while let Some(id) = map.next_key::<String>()? {
                    if id == CORRELATIONS {
                        entries.correlations = map.next_value()?;
                    } else {
                        entries.values.push((id, map.next_value()?));
                    }
                }
                Ok(entries)
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

/// A value with its range, and what it is from; or a weighed bucket.
#[derive(Debug, Clone, Deserialize, Validate)]
pub struct AssumptionObject {
    value: Option<f64>,
    unit: Option<String>,
    low: Option<f64>,
    high: Option<f64>,
    #[validate(nested)]
    source: Option<SourceText>,
    #[validate(nested)]
    observations: Option<RecordCount>,
    full: Option<QuantityInput>,
    empty: Option<QuantityInput>,
    capacity: Option<QuantityInput>,
}

/// A value of an assumption as an example, its default if it has one: its number in the base unit, and as a text.
fn example(assumption: Assumption) -> [String; 2] {
    let definition = assumption.definition();
    let is_share = definition.dimension == Dimension::Share;
    let [_, likely, _] = definition.default.unwrap_or(if is_share { [0.7; 3] } else { [18.0; 3] });
    let scale = if is_share { 100.0 } else { 1.0 };
    let number = to_nine_digits(likely * scale).to_string();
    let text = format!("{number} {}", definition.dimension.base_unit());
    [number, text.trim_end().to_owned()]
}

impl RequestContext<'_> {
    /// Sets an assumption of an item by a field of its own; one that the item gives under `assumptions` too has no effect.
    pub fn set_by_field(
        &self,
        overrides: &mut Overrides,
        (which, span): (Assumption, Span),
        (item, field): (JsonPath<'_>, &'static str),
    ) -> Option<()> {
        if overrides.get(which).is_some() {
            let pointer = item.field("assumptions").field(which.id()).to_pointer();
            self.unused_assumptions.borrow_mut().push(pointer);
        }
        self.keep(item.field(field), overrides.set(which, span))
    }

    /// Reads the assumptions of the request as a whole.
    pub fn read_assumptions(&mut self, input: Option<&AssumptionsInput>) {
        let root = JsonPath::root();
        let place = root.field("assumptions");
        let mut overrides = self.values(input, place);
        if let Some(given) = input {
            check(given, place, self.errors);
            self.correlate(&mut overrides, given.correlations.as_ref(), place.field(CORRELATIONS));
        }
        self.overrides = overrides;
    }

    /// Reads the assumptions of an item.
    pub fn overrides(&self, input: Option<&AssumptionsInput>, place: JsonPath<'_>) -> Overrides {
        if input.is_some_and(|given| given.correlations.is_some()) {
            let detail = "correlations hold for all runs of a request; move them to the assumptions of the request";
            self.refuse(place.field(CORRELATIONS), Refusal::new(Reason::NotAllowedHere, detail));
        }
        self.values(input, place)
    }

    /// Refuses what records gave already, where records are read: the same records would count twice.
    pub fn refuse_calibrated(&self, input: Option<&AssumptionsInput>, place: JsonPath<'_>) {
        let Some(given) = input else { return };
        let refuse = |at: JsonPath<'_>| {
            let detail = "records gave this already, and would count twice; give all records in one request, and here only what you know \
                          without them";
            self.refuse(at, Refusal::new(Reason::NotAllowedHere, detail));
        };
        for (id, value) in &given.values {
            if matches!(value, Some(AssumptionInput::Object(object)) if object.observations.is_some()) {
                refuse(place.field(id).field("observations"));
            }
        }
        if given.correlations.as_ref().is_some_and(|pairs| !pairs.is_empty()) {
            refuse(place.field(CORRELATIONS));
        }
    }

    fn values(&self, input: Option<&AssumptionsInput>, place: JsonPath<'_>) -> Overrides {
        let mut overrides = Overrides::default();
        for (id, value) in input.into_iter().flat_map(|given| &given.values) {
            let at = place.field(id);
            let Some(assumption) = Assumption::find(id) else {
                // Looking for the nearest of all names costs too much to be done for errors that are only counted.
                if !self.errors.is_full_by_one_more() {
                    self.refuse(at, unknown(id, Some(CORRELATIONS)));
                }
                continue;
            };
            let Some(value) = value else { continue };
            if let AssumptionInput::Object(object) = value {
                self.read_source(object, at);
            }
            if let Some(span) = self.assumption(assumption, value, at) {
                self.keep(at, overrides.set(assumption, span));
            }
        }
        overrides
    }

    /// Reads what a value is from, for the assumptions of the answer.
    fn read_source(&self, object: &AssumptionObject, at: JsonPath<'_>) {
        check(object, at, self.errors);
        let observations = object.observations.map(|records| records.0);
        match &object.source {
            Some(source) => self.note_source(at, source, observations),
            None if observations.is_some() => {
                let detail = "add a source that says which observations these are, as in \"own records: 3 beds\"";
                self.refuse(at.field("source"), Refusal::new(Reason::MissingField, detail));
            }
            None => {}
        }
    }

    fn assumption(&self, assumption: Assumption, value: &AssumptionInput, at: JsonPath<'_>) -> Option<Span> {
        let dimension = assumption.definition().dimension;
        // The table's own bounds are checked when the value is set; here only what can be computed with.
        let wide = Some((f64::MIN, f64::MAX));
        let ([number, example], dimensions) = (example(assumption), [dimension]);
        let quantity = |input: QuantityInput| {
            let due = Due { bounds: wide, example: Some(&example), ..Due::any(&dimensions) };
            self.span(&input, due, at).map(|(_, span)| span)
        };
        match value {
            AssumptionInput::Object(object)
                if object.full.is_some() || object.empty.is_some() || object.capacity.is_some() =>
            {
                self.bucket(assumption, object, at)
            }
            _ if dimension == Dimension::Ratio => self.ratio((value, &number), at),
            AssumptionInput::Text(text) => quantity(QuantityInput::Text(text.clone())),
            AssumptionInput::Other(other) => quantity(QuantityInput::Other(*other)),
            AssumptionInput::Object(object) => {
                let missing = |field: &'static str, example: &str| {
                    let detail = format!("the {field} is missing: add it, as in \"{field}\": {example}");
                    self.refuse(at.field(field), Refusal::new(Reason::MissingField, detail));
                };
                // A value that is something else than a number has been reported already.
                if object.value.is_none() {
                    missing("value", &number);
                }
                if object.unit.is_none() {
                    missing("unit", &format!("\"{}\"", dimension.base_unit()));
                }
                let unit = Some(object.unit.clone()?);
                let value = object.value?;
                quantity(QuantityInput::Object(QuantityObject { value, unit, low: object.low, high: object.high }))
            }
        }
    }

    fn ratio(&self, (value, example): (&AssumptionInput, &str), at: JsonPath<'_>) -> Option<Span> {
        match value {
            AssumptionInput::Other(Other(Some(number))) => Some(Span::exactly(*number)),
            AssumptionInput::Object(_) if self.errors.touches(at) => None,
            AssumptionInput::Object(object)
                if object.unit.as_deref().unwrap_or_default().is_empty() && object.value.is_some() =>
            {
                let likely = object.value?;
                Some(Span { low: object.low.unwrap_or(likely), likely, high: object.high.unwrap_or(likely) })
            }
            _ => {
                let detail = format!("a ratio is a plain number without a unit, as in {example}");
                self.refuse(at, Refusal::new(Reason::BadNumber, detail));
                None
            }
        }
    }

    fn bucket(&self, assumption: Assumption, object: &AssumptionObject, at: JsonPath<'_>) -> Option<Span> {
        let has_more = object.value.is_some() || object.unit.is_some() || object.source.is_some();
        if assumption != Assumption::BulkDensity || has_more {
            let detail = "a weighed bucket (full, empty, capacity) gives castings.bulk_density only, without value, unit and source";
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
