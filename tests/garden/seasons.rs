//! Seasons: the plan, its chances, the rule that a grower follows, the work; against closed forms and by laws.

#![expect(clippy::unwrap_used, clippy::as_conversions, reason = "a test may stop at whatever is wrong")]

mod amounts;
mod certain;
mod chances;
mod drawn;
mod laws;
mod rule;
mod runs;
mod work;

use crate::support::{known, on, span};
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, Chances, Factor, Season, SeasonPlan, plan, simulate};
use barrowful::garden::units::{Millilitres, Volume};
use barrowful::garden::work::Work;

pub fn ml(litres: f64) -> Millilitres {
    Millilitres::nearest(Volume::from_litres(litres))
}

/// Known amounts.
pub fn sure() -> Amount {
    Amount::default()
}

/// An amount with a range of its own.
pub fn ranged(low: f64, likely: f64, high: f64) -> Amount {
    Amount { factors: vec![Factor::Range(span(low, likely, high))], overrides: Overrides::default() }
}

/// Days by their text; an empty one is open.
pub fn window(first: &str, last: &str) -> Window {
    let day = |text: &str| (!text.is_empty()).then(|| on(text));
    Window { first: day(first), last: day(last) }
}

pub fn lot(litres: f64, first: &str, use_by: &str) -> Lot {
    Lot { amount: ml(litres), window: window(first, use_by), ..Lot::default() }
}

pub fn requirement(litres: f64, (first, last): (&str, &str), priority: u8) -> Requirement {
    Requirement {
        parts: vec![Part { amount: ml(litres), window: window(first, last), pieces: None, ..Part::default() }],
        priority,
        whole_portions: false,
        minimum: None,
        grown: None,
    }
}

/// Every assumption at its likely value, without a range, and every year like another.
pub fn exact() -> Overrides {
    let likely = |a: &Assumption| {
        let [_, likely, _] = a.definition().default?;
        Some((*a, if *a == Assumption::YearToYear { 0.0 } else { likely }))
    };
    known(&Assumption::ALL.iter().filter_map(likely).collect::<Vec<_>>())
}

/// The same but for some of them.
pub fn exact_but(values: &[(Assumption, Span)]) -> Overrides {
    let mut request = exact();
    for (which, span) in values {
        request.set(*which, *span).unwrap();
    }
    request
}

/// A season of stock and demands to the end of 2027.
pub fn season<'a>(
    stock: Vec<(Lot, Amount)>,
    requirements: Vec<(Requirement, Amount)>,
    request: &'a Overrides,
) -> Season<'a> {
    Season {
        beds: Vec::new(),
        stock,
        requirements,
        until: on("2027-12-31"),
        as_of: None,
        sack: None,
        request,
        beside: Work::default(),
    }
}

pub fn played(season: &Season<'_>, runs: (u32, u64)) -> (SeasonPlan, Chances) {
    let plan = plan(season, Off).unwrap();
    let chances = simulate(season, &plan, runs).unwrap();
    (plan, chances)
}

const RUNS: u32 = 20_000;

/// Within three standard errors of a share, and exactly where it is certain.
#[track_caller]
fn assert_chance(times: u32, expected: f64) {
    let n = f64::from(RUNS);
    let error = (expected * (1.0 - expected) / n).sqrt();
    let found = f64::from(times) / n;
    assert!((found - expected).abs() <= 3.0 * error, "{found} is not {expected} +- {error}");
}
