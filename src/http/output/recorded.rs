//! The explanations made of what was recorded: one walk over the answer finds the figures that were recorded, and the book tells how
//! each came.

use super::explain::{ExplanationOut, TermOut};
use super::quantity::{Number, QuantityOut, Role, View};
use super::recording::Recording;
use super::report;
use crate::garden::assumptions::{Assumed, Assumption, SetBy, Span};
use crate::garden::figures::{Entry, Origin, Source};
use crate::garden::formulas::Input;
use crate::garden::units::Dimension;
use ciborium::Value;
use serde::Serialize;
use std::collections::BTreeMap;

/// Explains the figures of an answer that a formula gave, in the order of the answer.
#[must_use]
pub fn explain<T: Serialize>(answer: &T, recording: &Recording, view: &View<'_>) -> Vec<ExplanationOut> {
    let Ok(tree) = Value::serialized(answer) else { return Vec::new() };
    let mut written = Vec::new();
    walk(&tree, &mut String::new(), &mut written);
    let mut first: BTreeMap<u32, &Written> = BTreeMap::new();
    for one in &written {
        first.entry(one.value.node).or_insert(one);
    }
    let reported = Reported { recording, view, first: &first };
    written.iter().filter_map(|one| reported.explanation(one)).collect()
}

/// A recorded figure of an answer.
#[derive(Debug)]
struct Written {
    pointer: String,
    value: QuantityOut,
}

/// Finds what was recorded, in order.
fn walk(tree: &Value, at: &mut String, found: &mut Vec<Written>) {
    let below = |step: String, value: &Value, at: &mut String, found: &mut Vec<Written>| {
        let length = at.len();
        *at += "/";
        *at += &step;
        walk(value, at, found);
        at.truncate(length);
    };
    match tree {
        Value::Map(fields) => {
            if let Some(value) = recorded(fields) {
                found.push(Written { pointer: at.clone(), value });
                return;
            }
            for (name, value) in fields {
                below(name.as_text().unwrap_or_default().to_owned(), value, at, found);
            }
        }
        Value::Array(items) => items.iter().enumerate().for_each(|(i, item)| below(i.to_string(), item, at, found)),
        _ => {}
    }
}

/// The quantity or count that a map is, if it was recorded.
fn recorded(fields: &[(Value, Value)]) -> Option<QuantityOut> {
    let field = |name: &str| fields.iter().find(|(key, _)| key.as_text() == Some(name)).map(|(_, value)| value);
    let integer = |value: &Value| value.as_integer().and_then(|whole| i64::try_from(whole).ok());
    let number = |name: &str| {
        let value = field(name)?;
        #[expect(clippy::as_conversions, reason = "whole numbers are written as such below 2^53 only")]
        let whole = integer(value).map(|whole| whole as f64);
        value.as_float().or(whole).map(Number::exactly)
    };
    let node = integer(field("node")?).and_then(|node| u32::try_from(node).ok())?;
    let unit = field("unit").and_then(Value::as_text).unwrap_or_default().to_owned();
    let (low, high) = (number("low"), number("high"));
    Some(QuantityOut { value: number("value")?, low, high, unit: unit.into(), node })
}

/// Names figures: what was written by its pointer, the rest by its source.
struct Reported<'a> {
    recording: &'a Recording,
    view: &'a View<'a>,
    first: &'a BTreeMap<u32, &'a Written>,
}

impl Reported<'_> {
    /// How a figure came; nothing where no formula gave it, or what was put in has no name.
    fn explanation(&self, written: &Written) -> Option<ExplanationOut> {
        let entry = self.recording.book.entry(written.value.node)?;
        let Origin::Formula { definition, inputs, .. } = entry.origin else { return None };
        let term = |(term, input): &(usize, Input)| {
            let symbol = definition.terms.get(*term)?;
            let (taken_from, mut value) = self.named(input.node)?;
            let [low, _, high] = input.values;
            // What is written without a range is of the likely values.
            if low == high || written.value.low.is_none() {
                (value.low, value.high) = (None, None);
            }
            Some(TermOut { symbol: symbol.name, meaning: symbol.meaning, value, taken_from })
        };
        Some(ExplanationOut {
            figure: written.pointer.clone(),
            name: definition.id,
            formula: definition.text(),
            inputs: inputs.iter().map(term).collect::<Option<_>>()?,
            sources: definition.sources,
        })
    }

    /// Where a figure is from, and the figure as it is written there.
    fn named(&self, node: u32) -> Option<(String, QuantityOut)> {
        let entry = self.recording.book.entry(node)?;
        if let Origin::Source(Source::Assumption(id)) = entry.origin {
            return Some((format!("assumption:{id}"), self.assumption(Assumption::find(id)?, &entry)));
        }
        if let Some(written) = self.first.get(&node) {
            return Some((format!("answer:{}", written.pointer), written.value.clone()));
        }
        let role = role_of(entry.dimension);
        let (taken_from, role) = match entry.origin {
            // Of the constants that are volumes each is of water.
            Origin::Source(Source::Constant(name)) if role == Role::Bulk => (format!("constant:{name}"), Role::Water),
            Origin::Source(Source::Constant(name)) => (format!("constant:{name}"), role),
            Origin::Source(Source::Rate(id, _)) => (format!("rate:{id}"), role),
            Origin::Source(Source::Material(id, _)) => (format!("material:{id}"), role),
            Origin::Source(source) => {
                let (pointer, role) = self.recording.place_of(source)?;
                (format!("request:{pointer}"), role)
            }
            Origin::Formula { .. } | Origin::Rule { .. } => (format!("request:{}", self.common(node)?), role),
        };
        Some((taken_from, self.view.values(role, entry.values)))
    }

    fn assumption(&self, assumption: Assumption, entry: &Entry) -> QuantityOut {
        let [low, likely, high] = entry.values;
        if assumption.definition().dimension == entry.dimension {
            let span = Span { low, likely, high };
            return report::value(&Assumed { assumption, span, set_by: SetBy::Default }, self.view);
        }
        // It gave reason for a figure of another kind.
        self.view.values(role_of(entry.dimension), entry.values)
    }

    /// The part of the request that a figure is from which the answer does not show: all that the answer does not show of it either,
    /// or else all of it.
    fn common(&self, node: u32) -> Option<String> {
        let common_place = |shown| {
            let mut places = Vec::new();
            self.places(node, shown, &mut places);
            places.into_iter().reduce(|one, other| shared(&one, &other))
        };
        common_place(false).or_else(|| common_place(true))
    }

    /// The places of the request that a figure is from, with or without what the answer shows.
    fn places(&self, node: u32, shown: bool, found: &mut Vec<String>) {
        match self.recording.book.entry(node).map(|entry| entry.origin) {
            Some(Origin::Source(source)) => found.extend(self.recording.place_of(source).map(|(pointer, _)| pointer)),
            Some(Origin::Formula { inputs, .. }) => {
                let hidden = inputs.iter().filter(|(_, input)| shown || !self.first.contains_key(&input.node));
                hidden.for_each(|(_, input)| self.places(input.node, shown, found));
            }
            Some(Origin::Rule { inputs, .. }) => {
                let hidden = inputs.into_iter().filter(|node| shown || !self.first.contains_key(node));
                hidden.for_each(|node| self.places(node, shown, found));
            }
            None => {}
        }
    }
}

/// The pointer to what two pointers lie in.
fn shared(one: &str, other: &str) -> String {
    let steps = one.split('/').zip(other.split('/')).take_while(|(one, other)| one == other);
    steps.map(|(step, _)| step).collect::<Vec<_>>().join("/")
}

/// The role of a figure that the answer does not show.
const fn role_of(dimension: Dimension) -> Role {
    match dimension {
        Dimension::Length => Role::Length,
        Dimension::Area => Role::Area,
        Dimension::Volume | Dimension::VolumePerPlant => Role::Bulk,
        Dimension::Mass | Dimension::MassPerPlant => Role::Mass,
        Dimension::Duration => Role::Days,
        Dimension::Share => Role::Share,
        Dimension::MassPerArea => Role::NutrientPerArea,
        Dimension::VolumePerArea => Role::BulkPerArea,
        Dimension::VolumePerLength => Role::BulkPerLength,
        Dimension::Density => Role::Density,
        Dimension::FeedRate => Role::FeedRate,
        Dimension::Conductivity => Role::Conductivity,
        Dimension::Ratio | Dimension::Temperature | Dimension::TemperatureDifference => Role::Ratio,
    }
}
