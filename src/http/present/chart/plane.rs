//! The plane of a chart of amounts over days: its scales, its axes, and lines in it that go in steps.

use super::amounts::Amounts;
use super::axes::{Scale, days_from, marks, round_numbers};
use super::curves::Step;
use super::paper::{at, steps};
use chrono::NaiveDate;
use maud::{Markup, html};

/// Amounts over days.
pub struct Plane<'a> {
    days: (NaiveDate, NaiveDate),
    across: Scale,
    up: Scale,
    /// How amounts are written.
    pub amounts: Amounts<'a>,
}

impl<'a> Plane<'a> {
    /// From the first day to the last, with places from left to right and from bottom to top, for amounts up to the most with so much room above
    /// it, in this unit.
    pub fn new(
        days: (NaiveDate, NaiveDate),
        (across, up): ((f64, f64), (f64, f64)),
        (most, headroom): (f64, f64),
        unit: &'a str,
    ) -> Self {
        let top = if most > 0.0 { most * headroom } else { 1.0 };
        Self {
            days,
            across: Scale { values: (0.0, days_from(days.0, days.1)), places: across },
            up: Scale { values: (0.0, top), places: up },
            amounts: Amounts::new(most, unit),
        }
    }

    /// The place of a day.
    pub fn x(&self, on: NaiveDate) -> f64 {
        self.across.at(days_from(self.days.0, on))
    }

    /// The place of an amount.
    pub fn y(&self, value: f64) -> f64 {
        self.up.at(value)
    }

    /// Both axes with about so many numbers, and with years so far below.
    pub fn axes(&self, numbers: f64, years: f64) -> Markup {
        let ((left, right), bottom) = (self.across.places, self.up.places.0);
        html! {
            @for number in round_numbers(self.up.values.1, numbers) {
                @let y = self.y(number);
                path.grid d=(format!("M{left} {}H{right}", at(y))) {}
                text.quiet x=(at(left - 8.0)) y=(at(y + 4.0)) text-anchor="end" { (self.amounts.number(number)) }
            }
            @for mark in marks(self.days.0, self.days.1) {
                @let x = at(self.x(mark.on));
                path.axis d=(format!("M{x} {}v5", at(bottom))) {}
                text.quiet x=(x) y=(at(bottom + 20.0)) text-anchor="middle" { (mark.label) }
                @if let Some(year) = &mark.year {
                    text.quiet x=(x) y=(at(bottom + years)) text-anchor="middle" { (year) }
                }
            }
            path.axis d=(format!("M{left} {}H{right}", at(bottom))) {}
        }
    }

    /// The path of a curve that goes in steps, to the right edge.
    pub fn steps(&self, curve: &[Step]) -> String {
        steps(curve.iter().map(|(on, value)| (self.x(*on), self.y(*value))), self.across.places.1)
    }
}
