//! What the tests of the core share.

#![expect(clippy::panic, clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use barrowful::garden::applications::{Application, Order, Rate, apply};
use barrowful::garden::areas::{Ground, Shape, Surface};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::dates::date;
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::Refusal;
use barrowful::garden::units::text::{Reader, read};
use barrowful::garden::units::{Dimension, Estimate, Length, Measured, Quantity, Share};
use chrono::NaiveDate;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// So many cases, the same at every run.
pub fn laws(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(2027),
        max_shrink_iters: 2_000,
        ..ProptestConfig::default()
    }
}

/// True if `a` and `b` differ by at most this share of the larger.
pub fn near(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * a.abs().max(b.abs())
}

/// Stops unless `found` is `expected` to within this share of it.
#[track_caller]
pub fn assert_near(found: f64, expected: f64, share: f64) {
    assert!(near(found, expected, share), "{found} is not {expected}");
}

/// Reads a quantity: `q::<OfLength>("2.4 m")`, or by the type that is expected.
#[track_caller]
pub fn q<D: Measured>(text: &str) -> Quantity<D> {
    Quantity::from_base(base(text, D::DIMENSION))
}

/// Reads a quantity of this dimension, in base units.
#[track_caller]
pub fn base(text: &str, dimension: Dimension) -> f64 {
    match read(text, &[dimension], &Reader::default()) {
        Ok(read) => read.base,
        Err(refusal) => panic!("{text:?} was refused: {refusal}"),
    }
}

/// The refusal of a text.
#[track_caller]
pub fn refusal(text: &str, dimension: Dimension) -> Refusal {
    match read(text, &[dimension], &Reader::default()) {
        Ok(read) => panic!("{text:?} was read as {} {}", read.base, dimension.base_unit()),
        Err(refusal) => refusal,
    }
}

/// Assumptions given.
#[track_caller]
pub fn given(values: &[(Assumption, Span)]) -> Overrides {
    let mut overrides = Overrides::default();
    for (assumption, span) in values {
        overrides.set(*assumption, *span).unwrap();
    }
    overrides
}

/// Assumptions known without a range.
#[track_caller]
pub fn known(values: &[(Assumption, f64)]) -> Overrides {
    given(&values.iter().map(|(assumption, value)| (*assumption, Span::exactly(*value))).collect::<Vec<_>>())
}

/// The values that an assumption has unless they are given.
pub fn default_of(assumption: Assumption) -> [f64; 3] {
    assumption.definition().default.unwrap()
}

/// A span by its three values.
pub fn span(low: f64, likely: f64, high: f64) -> Span {
    Span { low, likely, high }
}

/// The three values of an estimate, in base units.
pub fn three<D: Measured>(estimate: Estimate<D>) -> [f64; 3] {
    [estimate.low().base(), estimate.likely().base(), estimate.high().base()]
}

/// Computes with assumptions that the request gives.
pub fn with<T>(request: &Overrides, compute: impl FnOnce(Known<'_>) -> T) -> T {
    compute(Known { request, item: &Overrides::default() })
}

/// A day by its text.
#[track_caller]
pub fn on(text: &str) -> NaiveDate {
    date(text).unwrap()
}

/// A length in metres.
pub fn m(metres: f64) -> Length {
    Length::from_metres(metres)
}

/// One rectangle.
pub fn rectangle(length: Length, width: Length) -> Ground {
    Ground { shape: Shape::Rectangle { length: length.into(), width: width.into() }, count: 1_u32.into() }
}

/// Open ground of so many square metres.
pub fn plain(text: &str) -> Surface {
    Surface::Ground(Ground { shape: Shape::Plain(q(text).into()), count: 1_u32.into() })
}

/// An application without settling, outside nitrate zones.
pub fn order(surface: Surface, rate: Rate) -> Order {
    Order { surface, rate, settling: Share::from_fraction(0.0).into(), nitrate_zone: false }
}

/// What comes of an order that must not be refused.
#[track_caller]
pub fn applied(order: &Order, request: &Overrides) -> Application {
    with(request, |known| apply(order, known, Off)).unwrap_or_else(|refusal| panic!("{order:?}: {refusal}"))
}

/// How much an application takes.
pub fn litres(application: &Application) -> f64 {
    application.carried.volume.likely().litres()
}

/// Every number of an application's answer: each with its bounds.
pub fn outputs(application: &Application) -> Vec<(&'static str, [f64; 3])> {
    let (carried, nutrients) = (&application.carried, &application.carried.nutrients);
    let mut all = vec![
        ("volume", three(carried.volume)),
        ("mass", three(carried.mass)),
        ("nitrogen", three(nutrients.nitrogen)),
        ("available nitrogen", three(nutrients.available_nitrogen)),
        ("phosphorus", three(nutrients.phosphorus)),
        ("potassium", three(nutrients.potassium)),
        ("phosphate", three(nutrients.phosphate)),
        ("potash", three(nutrients.potash)),
        ("organic matter", three(nutrients.organic_matter)),
    ];
    all.extend(application.depth.map(|depth| ("depth", three(depth))));
    all.extend(application.phosphorus_limited_depth.map(|depth| ("phosphorus-limited depth", three(depth))));
    all
}
