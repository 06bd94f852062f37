//! What every answer tells besides its figures: the assumptions it used, and the cautions that travel with it.

use super::quantity::{QuantityOut, Role, View};
use super::texts::Texts;
use crate::garden::assumptions::{Assumed, Assumption, SetBy};
use crate::garden::cautions::Rule;
use crate::garden::units::Dimension;
use crate::http::wire::JsonPath;
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use utoipa::ToSchema;

/// An assumption that the answer used.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Assumption)]
pub struct AssumptionOut {
    /// Its id: `castings.bulk_density`.
    pub id: &'static str,
    /// The value used, with its range.
    pub value: QuantityOut,
    /// `default`, `request` or `item`.
    #[schema(schema_with = crate::http::output::enums::givers)]
    pub set_by: &'static str,
    /// The item that gave it, as a pointer into the request.
    pub pointer: Option<String>,
    /// Where the value is from; left out of a brief answer.
    #[schema(value_type = Option<String>)]
    pub source: Option<Cow<'static, str>>,
    /// How many observations it is based on, if the request says so.
    pub observations: Option<u32>,
    /// How to measure the value yourself; left out of a brief answer.
    pub measure_it: Option<&'static str>,
}

/// A caution.
#[skip_serializing_none]
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Caution)]
pub struct CautionOut {
    /// The rule it follows from; items list these.
    pub rule: &'static str,
    /// `notice`, `caution` or `warning`.
    #[schema(schema_with = crate::http::output::enums::severities)]
    pub severity: &'static str,
    /// What it is about, in at most ten words.
    pub heading: &'static str,
    /// What to do, and why; left out of a brief answer.
    pub text: Option<&'static str>,
    /// Where the rule is from; left out of a brief answer.
    pub source: Option<&'static str>,
    /// What it is about, as pointers into the request; none means all of it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub at: Vec<String>,
}

impl CautionOut {
    /// The caution as it is printed: its heading, then its text unless the answer is brief.
    #[must_use]
    pub fn in_words(&self) -> String {
        let text = self.text.map(|text| format!(" {text}")).unwrap_or_default();
        format!("{}.{text}", self.heading)
    }
}

/// Gathers assumptions and cautions while an answer is made.
#[must_use]
#[derive(Debug, Default)]
pub struct Report {
    /// What was reported already, of the table or the request: a few dozen at most.
    seen: Vec<(Assumption, SetBy)>,
    assumptions: Vec<(Assumed, Option<String>)>,
    cautions: BTreeMap<Rule, Vec<String>>,
}

impl Report {
    /// A report that already holds what holds of every answer about castings.
    pub fn of_castings() -> Self {
        let mut report = Self::default();
        for rule in [Rule::RawManure, Rule::Handling, Rule::Estimates] {
            report.cautions.insert(rule, Vec::new());
        }
        report
    }

    /// Takes back a caution about the request as a whole.
    pub fn take_back(&mut self, rule: Rule) {
        self.cautions.remove(&rule);
    }

    /// Adds what one item used.
    pub fn used(&mut self, assumed: &[Assumed], place: JsonPath<'_>) {
        for a in assumed {
            if matches!(a.set_by, SetBy::Item | SetBy::Material) {
                let at = Some(place.to_pointer()).filter(|at| !at.is_empty());
                self.assumptions.push((*a, at));
            } else if !self.seen.contains(&(a.assumption, a.set_by)) {
                self.seen.push((a.assumption, a.set_by));
                self.assumptions.push((*a, None));
            }
        }
    }

    /// Whether it reports this assumption of this place already.
    #[must_use]
    pub fn knows(&self, which: Assumption, place: JsonPath<'_>) -> bool {
        let place = Some(place.to_pointer());
        self.assumptions.iter().any(|(assumed, at)| assumed.assumption == which && *at == place)
    }

    /// Adds cautions about one place, and returns their names for the item. One about the request as a whole stays so.
    pub fn cautions(&mut self, rules: &[Rule], place: JsonPath<'_>) -> Vec<&'static str> {
        for rule in rules {
            match self.cautions.entry(*rule) {
                Entry::Vacant(entry) => {
                    entry.insert(vec![place.to_pointer()]);
                }
                Entry::Occupied(entry) if entry.get().is_empty() => {}
                Entry::Occupied(mut entry) => entry.get_mut().push(place.to_pointer()),
            }
        }
        rules.iter().map(|rule| rule.text().rule).collect()
    }

    /// Adds cautions about the request as a whole.
    pub fn reported(&mut self, rules: &[Rule]) {
        for rule in rules {
            self.cautions.entry(*rule).or_default();
        }
    }

    /// Adds a caution about these places, as pointers; nothing where there are none.
    pub fn about(&mut self, rule: Rule, at: Vec<String>) {
        if !at.is_empty() {
            self.cautions.entry(rule).or_default().extend(at);
        }
    }

    /// Writes everything out.
    #[must_use]
    pub fn write(mut self, view: &View<'_>, texts: Texts) -> (Vec<AssumptionOut>, Vec<CautionOut>) {
        self.assumptions.sort_by_key(|(a, _)| a.assumption);
        let assumptions = self.assumptions.into_iter().map(|(a, at)| assumption(&a, at, (view, texts))).collect();
        let cautions = self.cautions.into_iter().map(|(rule, at)| caution(rule, at, texts)).collect();
        (assumptions, cautions)
    }
}

fn caution(rule: Rule, at: Vec<String>, texts: Texts) -> CautionOut {
    let text = rule.text();
    CautionOut {
        rule: text.rule,
        severity: text.severity.as_str(),
        heading: text.heading,
        text: texts.unless_brief(text.text),
        source: texts.unless_brief(text.source),
        at,
    }
}

fn assumption(assumed: &Assumed, at: Option<String>, (view, texts): (&View<'_>, Texts)) -> AssumptionOut {
    let definition = assumed.assumption.definition();
    let source = match assumed.set_by {
        SetBy::Default => definition.source,
        SetBy::Request => "given in the request",
        SetBy::Item => "given in the item",
        SetBy::Material => "of its material as it is collected, which is denser than feed usually lies",
    };
    AssumptionOut {
        id: definition.id,
        value: value(assumed, view),
        set_by: assumed.set_by.as_str(),
        pointer: at,
        source: texts.unless_brief(source.into()),
        observations: None,
        measure_it: texts.unless_brief(definition.measure_it).flatten().filter(|_| assumed.set_by == SetBy::Default),
    }
}

/// The role of the values of an assumption; none where they are temperatures.
fn role(assumption: Assumption) -> Option<Role> {
    let is_of = |group: &str| assumption.id().starts_with(group);
    Some(match assumption.definition().dimension {
        Dimension::Density => Role::Density,
        Dimension::Duration if is_of("tea.") => Role::Hours,
        Dimension::Duration => Role::Days,
        Dimension::MassPerArea if is_of("worms.") => Role::WormsPerArea,
        Dimension::MassPerArea => Role::NutrientPerArea,
        Dimension::VolumePerArea => Role::WaterPerArea,
        Dimension::FeedRate => Role::FeedRate,
        Dimension::Conductivity => Role::Conductivity,
        Dimension::Length => Role::Depth,
        Dimension::TemperatureDifference => Role::TemperatureDifference,
        Dimension::Temperature => return None,
        Dimension::Ratio => Role::Ratio,
        _ => Role::Share,
    })
}

/// The value of an assumption in the unit of its role.
pub fn value(assumed: &Assumed, view: &View<'_>) -> QuantityOut {
    let span = assumed.span;
    match role(assumed.assumption) {
        Some(role) => view.values(role, [span.low, span.likely, span.high]),
        None => view.temperature(span.estimate()),
    }
}

/// By how much two values of an assumption lie apart, in the unit of its role.
pub fn difference(assumption: Assumption, by: f64, view: &View<'_>) -> QuantityOut {
    view.values(role(assumption).unwrap_or(Role::TemperatureDifference), [by; 3])
}
