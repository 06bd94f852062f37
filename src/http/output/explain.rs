//! Explanations: for each figure of an answer the formula, the numbers put in, and where they are from.
//!
//! A room names formula and places; the numbers are taken out of the answer itself, so an explanation cannot show other ones.

use super::quantity::{Number, QuantityOut, Role, View};
use crate::garden::assumptions::Assumption;
use crate::garden::formulas::{Formula, Symbol};
use crate::garden::units::{Estimate, Measured, Quantity};
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// How a figure of the answer came about.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Explanation)]
pub struct ExplanationOut {
    /// The figure, as a pointer into the answer.
    #[schema(example = "/areas/0/castings/volume")]
    pub of: String,
    /// The formula's name in `GET /v1/formulas`.
    #[schema(example = "layer")]
    pub name: &'static str,
    /// In plain text. It holds between quantities; symbols side by side are multiplied, before any division. Bounds of the
    /// figure are the formula at the ends of what is put in, tied ones moved together. What is wanted and in stock in a balance or a
    /// season is rounded to whole millilitres.
    #[schema(example = "V = A d")]
    pub formula: String,
    /// What is put in. A symbol that stands for a list is there once for each of its items.
    pub with: Vec<TermOut>,
    /// Where the formula is from.
    pub sources: &'static [&'static str],
}

/// A number put into a formula.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ExplanationTerm)]
pub struct TermOut {
    /// As it stands in the formula.
    pub symbol: &'static str,
    /// What it stands for.
    pub meaning: &'static str,
    /// The number, and its range where it has one.
    pub value: QuantityOut,
    /// Where it is from: `request:` or `answer:` and a pointer; `assumption:`, `material:` or `constant:` and its id.
    #[schema(example = "assumption:castings.bulk_density")]
    pub taken_from: String,
}

/// A number and where it is from.
#[derive(Debug, Clone)]
pub struct Given {
    value: QuantityOut,
    taken_from: String,
}

impl Given {
    /// The same without its range.
    #[must_use]
    pub fn likely(self) -> Self {
        Self { value: QuantityOut { low: None, high: None, ..self.value }, ..self }
    }

    /// True if it is this number.
    #[must_use]
    pub fn is(&self, number: f64) -> bool {
        self.value.value.get() == number
    }
}

/// Makes the explanations of one answer.
#[derive(Debug)]
pub struct Explainer<'a> {
    answer: Value,
    /// The assumptions of the answer by id and item; none of an item is of all.
    assumed: BTreeMap<(String, String), QuantityOut>,
    view: &'a View<'a>,
    made: Vec<ExplanationOut>,
    /// What is explained already.
    told: BTreeSet<String>,
}

impl<'a> Explainer<'a> {
    /// Explains this answer.
    #[must_use]
    pub fn of<T: Serialize>(answer: &T, view: &'a View<'a>) -> Self {
        let answer = serde_json::to_value(answer).unwrap_or_default();
        let list = answer.pointer("/assumptions").and_then(Value::as_array);
        let text = |one: &Value, name: &str| one.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
        let assumed = list.into_iter().flatten();
        let assumed = assumed
            .filter_map(|one| Some(((text(one, "id"), text(one, "at")), quantity(one.get("value")?)?)))
            .collect();
        Self { answer, assumed, view, made: Vec::new(), told: BTreeSet::new() }
    }

    /// The same, where some figures are explained already.
    #[must_use]
    pub fn after(self, made: Vec<ExplanationOut>) -> Self {
        Self { told: made.iter().map(|one| one.of.clone()).collect(), made, ..self }
    }

    /// What was made, in order.
    #[must_use]
    pub fn done(self) -> Vec<ExplanationOut> {
        self.made
    }

    /// True if the answer has something there.
    #[must_use]
    pub fn has(&self, pointer: &str) -> bool {
        self.answer.pointer(pointer).is_some()
    }

    /// A figure of the answer.
    #[must_use]
    pub fn answer(&self, pointer: &str) -> Option<Given> {
        let value = quantity(self.answer.pointer(pointer)?)?;
        Some(Given { value, taken_from: format!("answer:{pointer}") })
    }

    /// A figure of each item of a list of the answer: `/areas`, `/castings/volume`; none unless every item has it.
    #[must_use]
    pub fn each(&self, list: &str, below: &str) -> Option<Vec<Given>> {
        let count = self.answer.pointer(list)?.as_array()?.len();
        (0..count).map(|i| self.answer(&format!("{list}/{i}{below}"))).collect()
    }

    /// The assumption that the answer used for the item at this pointer into the request.
    #[must_use]
    pub fn assumption(&self, assumption: Assumption, item: &str) -> Option<Given> {
        let id = assumption.id();
        let told = |at: &str| self.assumed.get(&(id.to_owned(), at.to_owned()));
        let value = told(item).or_else(|| told(""))?.clone();
        Some(Given { value, taken_from: format!("assumption:{id}") })
    }

    /// A number of the request, as it was read.
    #[must_use]
    pub fn request<D: Measured>(&self, role: Role, value: Quantity<D>, pointer: impl Into<String>) -> Option<Given> {
        self.from("request", self.view.exact(role, value), pointer)
    }

    /// A count or ratio of the request; nothing where it is not given.
    #[must_use]
    pub fn count(&self, value: f64, pointer: impl Into<String>) -> Option<Given> {
        self.from("request", plain(value), pointer)
    }

    /// A quantity as the answer writes it.
    #[must_use]
    pub fn written<D: Measured>(&self, role: Role, value: Quantity<D>) -> QuantityOut {
        self.view.exact(role, value)
    }

    /// A range as the answer writes it.
    #[must_use]
    pub fn estimated<D: Measured>(&self, role: Role, value: Estimate<D>) -> QuantityOut {
        self.view.estimate(role, value)
    }

    /// A constant of docs/sources.md.
    #[must_use]
    pub fn constant<D: Measured>(&self, role: Role, value: Quantity<D>, name: &str) -> Option<Given> {
        self.from("constant", self.view.exact(role, value), name)
    }

    /// A written quantity and where it is from.
    #[must_use]
    pub fn from(&self, of: &str, value: QuantityOut, place: impl Into<String>) -> Option<Given> {
        Some(Given { value, taken_from: format!("{of}:{}", place.into()) })
    }

    /// Explains a figure, if the answer has it: one number for each symbol of the formula, in its order.
    pub fn explain<const N: usize>(&mut self, of: impl Into<String>, formula: Formula, with: [Option<Given>; N]) {
        self.explain_lists(of, formula, with.map(|one| one.map(|given| vec![given])));
    }

    /// The same where a symbol stands for a list.
    pub fn explain_lists<const N: usize>(
        &mut self,
        of: impl Into<String>,
        formula: Formula,
        with: [Option<Vec<Given>>; N],
    ) {
        let (of, definition) = (of.into(), formula.definition());
        if self.told.contains(&of) || !self.has(&of) || definition.terms.len() != N {
            return;
        }
        let mut terms = Vec::with_capacity(N);
        for (symbol, given) in definition.terms.iter().zip(with) {
            let Some(given) = given else { return };
            terms.extend(given.into_iter().map(|one| term(symbol, one)));
        }
        self.made.push(ExplanationOut {
            of,
            name: definition.id,
            formula: definition.text(),
            with: terms,
            sources: definition.sources,
        });
    }
}

fn term(symbol: &Symbol, given: Given) -> TermOut {
    TermOut { symbol: symbol.name, meaning: symbol.meaning, value: given.value, taken_from: given.taken_from }
}

/// A list of one.
#[must_use]
pub fn one(given: Option<Given>) -> Option<Vec<Given>> {
    given.map(|given| vec![given])
}

/// A number without a unit.
#[must_use]
pub fn plain(value: f64) -> QuantityOut {
    QuantityOut { value: Number::rounded(value), low: None, high: None, unit: Cow::Borrowed(""), node: 0 }
}

/// A quantity as it stands in an answer; a plain number counts as one without a unit.
fn quantity(value: &Value) -> Option<QuantityOut> {
    if let Some(number) = value.as_f64() {
        return Some(QuantityOut {
            value: Number::exactly(number),
            low: None,
            high: None,
            unit: Cow::Borrowed(""),
            node: 0,
        });
    }
    let bound = |name: &str| value.get(name).and_then(Value::as_f64).map(Number::exactly);
    let unit = value.get("unit")?.as_str()?.to_owned();
    Some(QuantityOut {
        value: bound("value")?,
        low: bound("low"),
        high: bound("high"),
        unit: Cow::Owned(unit),
        node: 0,
    })
}
