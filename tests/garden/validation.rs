//! Forecasts against published trials: docs/validation.md and its chart are made from the rows of `validation/trials.csv`.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop at whatever is wrong"
)]

mod chart;
mod claims;
mod halves;
mod model;
mod page;
mod trials;

use model::{QUESTIONS, Said, question, said};
use std::path::Path;
use trials::{Kind, Row, trials};

/// How the page and the chart are written anew.
const MEND: &str = "UPDATE_SNAPSHOTS=1 cargo test --test garden validation";

/// A row with what the service says to it.
type Answered = (Row, Said);

fn answered() -> Vec<Answered> {
    trials().into_iter().map(|row| (row.clone(), said(&row))).collect()
}

/// Compares a file with what it should hold, or writes it.
fn compare(name: &str, make: impl FnOnce(&str) -> String) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs").join(name);
    let was = std::fs::read_to_string(&path).unwrap_or_default();
    let wanted = make(&was);
    if std::env::var("UPDATE_SNAPSHOTS").is_ok_and(|value| value == "1") {
        std::fs::write(path, wanted).unwrap();
        return;
    }
    for (was, is) in was.lines().zip(wanted.lines()) {
        assert_eq!(was, is, "docs/{name} is not what the service says; mend it with\n    {MEND}");
    }
    assert!(was == wanted, "docs/{name} lacks lines; mend it with\n    {MEND}");
}

#[test]
fn the_page_and_the_chart_of_trials_are_what_the_service_says() {
    let answered = answered();
    compare("validation.md", |page| page::with_tables(page, &answered));
    compare("validation.svg", |_| chart::chart(&answered));
}

/// Where each row is from, and that no row has an input that nothing uses.
#[test]
fn every_trial_says_where_it_was_read() {
    let rows = trials();
    for row in &rows {
        let at = &row.id;
        assert_eq!(rows.iter().filter(|other| other.id == row.id).count(), 1, "{at}");
        assert!(row.source.len() > 10, "{at}");
        match row.address.strip_prefix("claims.md, ") {
            Some(claim) => assert!(include_str!("../../docs/claims.md").contains(&format!("| `{claim}` |")), "{at}"),
            None => assert!(row.address.starts_with("http") && row.quote.len() > 10, "{at}"),
        }
        if let Some([low, high]) = row.printed {
            assert!(low <= high, "{at}");
        }
    }
    for question in QUESTIONS {
        assert!(rows.iter().any(|row| row.question == question.id), "nothing asks {}", question.id);
    }
}

/// The runs of a row lie around its likely value, and vary where something is open.
#[test]
fn the_runs_of_a_trial_lie_around_the_likely_forecast() {
    for (row, said) in answered() {
        let [low, high] = said.runs;
        assert!(low < high && low <= said.likely && said.likely <= high, "{}: {said:?}", row.id);
        assert!(!question(&row).compared.is_empty());
    }
}

/// More worms leave less: the forecast says so, the trial did not see it.
#[test]
fn more_worms_in_a_basket_leave_less_feed() {
    let baskets: Vec<Answered> = answered().into_iter().filter(|(row, _)| row.kind == Kind::Whole).collect();
    assert_eq!(baskets.len(), 5);
    assert!(baskets.windows(2).all(|two| two[1].1.likely < two[0].1.likely));
}
