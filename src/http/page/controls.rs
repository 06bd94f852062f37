//! The controls of the form. Each carries the JSON pointer of its field, counted from its item or from the request; the script reads and
//! writes by these pointers, so that no field is named twice.

use maud::{Markup, html};

/// Units to choose from, with the first of metric and of US gardens.
#[derive(Debug, Clone, Copy)]
pub(super) struct Units {
    /// All of them, as they are written.
    pub all: &'static [&'static str],
    /// What is chosen at first.
    pub metric: &'static str,
    /// The same where the units are US customary.
    pub us: &'static str,
    /// Whether the caller's containers measure it too.
    pub takes_containers: bool,
}

const fn units(all: &'static [&'static str], metric: &'static str, us: &'static str) -> Units {
    Units { all, metric, us, takes_containers: false }
}

pub(super) const LENGTH: Units = units(&["m", "cm", "ft", "in"], "m", "ft");
pub(super) const WIDTH: Units = units(&["m", "cm", "ft", "in"], "cm", "in");
pub(super) const DEPTH: Units = units(&["mm", "cm", "in"], "cm", "in");
pub(super) const AREA: Units = units(&["m2", "ft2"], "m2", "ft2");
pub(super) const POT: Units = units(&["mL", "L", "US gal", "US qt"], "L", "US gal");
pub(super) const WORMS: Units = units(&["g", "kg", "oz", "lb"], "kg", "lb");
pub(super) const SHARE: Units = units(&["%"], "%", "%");
pub(super) const TEMPERATURE: Units = units(&["C", "F"], "C", "F");
pub(super) const BY_AREA: Units = units(&["L/m2", "L/ft2", "ft3/100 ft2"], "L/m2", "ft3/100 ft2");
pub(super) const MASS_BY_AREA: Units = units(&["kg/m2", "lb/ft2", "lb/100 ft2"], "kg/m2", "lb/100 ft2");
pub(super) const BY_ROW: Units = units(&["mL/m", "L/m", "US qt/ft"], "L/m", "US qt/ft");
pub(super) const BY_PLANT: Units = units(&["mL", "L", "US qt", "g", "oz"], "mL", "US qt");
pub(super) const AMOUNT: Units =
    Units { all: &["L", "m3", "ft3", "US gal", "kg", "lb"], metric: "L", us: "ft3", takes_containers: true };
pub(super) const CAPACITY: Units = units(&["L", "ft3", "US gal", "kg", "lb"], "L", "US gal");

/// A label with its control. The script joins the two, since a line can be there many times.
fn field(label: &str, control: &Markup) -> Markup {
    html! { div.field { label { (label) } (control) } }
}

/// A number with its unit. The last choice takes what is written with its unit, such as 8 ft 6 in.
pub(super) fn quantity(label: &str, pointer: &str, units: Units) -> Markup {
    let containers = units.takes_containers.then_some("");
    let control = html! {
        span.quantity data-quantity=(pointer) {
            input type="text" inputmode="decimal" autocomplete="off" maxlength="200";
            select aria-label=(format!("{label}: unit")) data-metric=(units.metric) data-us=(units.us) data-containers=[containers] {
                @for unit in units.all { option value=(unit) { (unit) } }
                option value="" { "unit in the text" }
            }
        }
    };
    field(label, &control)
}

/// A short text.
pub(super) fn text(label: &str, pointer: &str) -> Markup {
    field(
        label,
        &html! { input type="text" dir="auto" autocomplete="off" maxlength="200" data-at=(pointer) data-type="text"; },
    )
}

/// A plain number.
pub(super) fn number(label: &str, pointer: &str) -> Markup {
    numeric(label, pointer, ("decimal", "Write a number, for example 12.5."))
}

/// A whole number.
pub(super) fn count(label: &str, pointer: &str) -> Markup {
    numeric(label, pointer, ("numeric", "Write a whole number, for example 1."))
}

/// A number, and what is said where something else is written.
fn numeric(label: &str, pointer: &str, (keys, takes): (&str, &str)) -> Markup {
    let control = html! {
        input type="text" inputmode=(keys) autocomplete="off" maxlength="20" data-at=(pointer) data-type="number" data-takes=(takes);
    };
    field(label, &control)
}

/// A day.
pub(super) fn date(label: &str, pointer: &str) -> Markup {
    day(label, pointer, false)
}

/// The day on which the form is filled in.
pub(super) fn today(label: &str, pointer: &str) -> Markup {
    day(label, pointer, true)
}

fn day(label: &str, pointer: &str, is_today: bool) -> Markup {
    let control = html! {
        input type="date" min="1900-01-01" max="2199-12-31" data-at=(pointer) data-type="date" data-today[is_today];
    };
    field(label, &control)
}

/// One of several words.
pub(super) fn pick(label: &str, pointer: &str, words: impl Iterator<Item = (&'static str, &'static str)>) -> Markup {
    let control = html! {
        select data-at=(pointer) data-type="word" {
            option value="" { "choose" }
            @for (word, text) in words { option value=(word) { (text) } }
        }
    };
    field(label, &control)
}

/// A way of saying something, by which other controls show.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Way {
    /// Its name; the word of the kind, where the choice has one.
    pub value: &'static str,
    /// What is read.
    pub text: &'static str,
    /// The pointers of which one is there if this way is meant; empty where the word of the kind tells.
    pub has: &'static str,
    /// The shapes that it fits; all unless given.
    pub fits: &'static str,
}

impl Way {
    pub const fn new(value: &'static str, text: &'static str) -> Self {
        Self { value, text, has: "", fits: "" }
    }

    pub const fn fits(self, fits: &'static str) -> Self {
        Self { fits, ..self }
    }

    pub const fn has(self, has: &'static str) -> Self {
        Self { has, ..self }
    }
}

/// A choice between ways of saying something; `kind` is where the word of it goes, if one does.
pub(super) fn choice(label: &str, (name, kind): (&str, Option<&str>), ways: &[Way]) -> Markup {
    let given = |text: &'static str| Some(text).filter(|text| !text.is_empty());
    let control = html! {
        select data-choice=(name) data-kind=[kind] {
            @for way in ways { option value=(way.value) data-has=[given(way.has)] data-fits=[given(way.fits)] { (way.text) } }
        }
    };
    field(label, &control)
}

/// Controls that show with some ways of a choice: `shape=rows circle`.
pub(super) fn case(of: &str, controls: &Markup) -> Markup {
    html! { div.case data-case=(of) { (controls) } }
}

/// What the form has no fields for, as JSON.
pub(super) fn rest() -> Markup {
    html! {
        details.rest {
            summary { "More, as JSON" }
            div.field {
                label { "Anything else, as JSON" }
                textarea data-rest rows="4" spellcheck="false" autocapitalize="off" {}
            }
        }
    }
}
