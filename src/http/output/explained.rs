//! "How it is computed" on a printed page: the explanations of the answer, for reading.

use super::explain::{ExplanationOut, TermOut};
use super::page::shown;
use maud::{Markup, html};

/// The section; nothing where nothing is explained.
#[must_use]
pub fn how_it_is_computed(explanations: Option<&[ExplanationOut]>) -> Markup {
    let list = explanations.unwrap_or_default();
    html! {
        @if !list.is_empty() {
            h2 { "How it is computed" }
            p.small {
                "Formulas hold between quantities, in whatever units; symbols side by side are multiplied, before any division."
            }
            table {
                tr { th { "figure" } th { "formula" } th { "with" } th { "source" } }
                @for one in list {
                    tr {
                        td { (place(&one.of)) }
                        td { (one.formula) }
                        td.small {
                            @for (i, term) in one.with.iter().enumerate() {
                                @if i > 0 { br; }
                                (with(term))
                            }
                        }
                        td.small { (one.sources.join("; ")) }
                    }
                }
            }
        }
    }
}

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
    fn pointers_are_told_in_words_and_counted_from_one() {
        assert_eq!(place("/materials/0/dry_matter"), "materials 1, dry matter");
        assert_eq!(place("/mix/in_measures/1"), "mix, in measures 2");
    }
}
