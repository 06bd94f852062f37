//! What every answer ends with: what to mind, how each figure is computed, and what was assumed.

use super::table::{Cell, Column, Rows, Table};
use super::words::shown;
use super::{Description, item_of};
use crate::http::output::explain::{ExplanationOut, TermOut};
use crate::http::output::{AssumptionOut, CautionOut};

/// How many items a caution names before it says that there are more.
const PLACES: usize = 5;

/// The items that a caution is about: `carrot rows, salad bed`; empty where it is about all of the request.
#[must_use]
pub fn places(caution: &CautionOut, description: &Description<'_>) -> String {
    let mut places: Vec<&str> = Vec::new();
    for at in &caution.at {
        let place = description.items.get(item_of(at)).map(String::as_str);
        if let Some(place) = place.filter(|place| !places.contains(place)) {
            places.push(place);
        }
        if places.len() > PLACES {
            places.truncate(PLACES);
            return format!("{} and others", places.join(", "));
        }
    }
    places.join(", ")
}

/// The cautions as lines of text, each with the items that it is about.
#[must_use]
pub fn cautions(description: &Description<'_>) -> Vec<String> {
    let line = |caution: &CautionOut| {
        let places = places(caution, description);
        let places = if places.is_empty() { places } else { format!(" [{places}]") };
        format!("{}: {}{places}", caution.severity, caution.in_words())
    };
    description.cautions.iter().map(line).collect()
}

/// How each figure is computed.
pub fn explanations(list: &[ExplanationOut]) -> Table {
    Rows::of(list, ["explanation", "explanations"])
        .column(Column::words("", "figure"), |one| place(&one.figure))
        .column(Column::words("", "formula"), |one| &one.formula)
        .column(Column::fine("with"), |one| one.inputs.iter().map(with).collect::<Vec<_>>().join("; "))
        .column(Column::fine("source"), |one| one.sources.join("; "))
        .done()
}

/// What was assumed.
pub fn assumptions(list: &[AssumptionOut]) -> Table {
    Rows::of(list, ["assumption", "assumptions"])
        .column(Column::id("what"), |one| one.id)
        .column(Column::shown("value"), |one| Cell::from(&one.value))
        .column(Column::words("", "set by"), |one| one.set_by)
        .column(Column::fine("source"), |one| one.source.as_deref())
        .done()
}

/// What formulas are read as.
pub const OF_FORMULAS: &str =
    "Formulas hold between quantities, in whatever units; symbols side by side are multiplied, before any division.";

/// `rho = 600 (450–900) kg/m3, bulk density (assumption castings.bulk_density)`.
fn with(term: &TermOut) -> String {
    let taken = match term.taken_from.split_once(':') {
        Some((kind @ ("request" | "answer"), "")) => kind.to_owned(),
        Some(("answer", pointer)) => place(pointer),
        Some(("request", pointer)) => format!("request: {}", place(pointer)),
        Some((kind, name)) => format!("{kind} {name}"),
        None => term.taken_from.clone(),
    };
    format!("{} = {}, {} ({taken})", term.symbol, shown(&term.value), term.meaning)
}

/// A pointer in words: `/materials/0/dry_matter` is "materials 1, dry matter".
fn place(pointer: &str) -> String {
    let mut words = String::new();
    for step in pointer.split('/').skip(1) {
        match step.parse::<usize>() {
            Ok(index) => words += &format!(" {}", index.saturating_add(1)),
            Err(_) => {
                words += if words.is_empty() { "" } else { ", " };
                words += &step.replace('_', " ");
            }
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pointers_are_reported_in_words_and_counted_from_one() {
        assert_eq!(place("/materials/0/dry_matter"), "materials 1, dry matter");
        assert_eq!(place("/mix/in_containers/1"), "mix, in containers 2");
    }
}
