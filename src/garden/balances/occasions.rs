//! The times of a demand that repeats. Each is allocated on its own day, and a minimum is about each of them.

use super::allocation::Window;
use super::untreated::Grown;
use super::{Part, Requirement, add};
use crate::garden::units::Millilitres;
use chrono::{Days, NaiveDate};
use std::ops::Range;

/// One time of a demand: all of it where the demand does not repeat.
#[derive(Debug, Clone, Copy)]
pub(super) struct Occasion<'a> {
    /// The place of its demand in the list, from 0.
    pub demand: usize,
    /// Its demand.
    pub requirement: &'a Requirement,
    /// Its parts.
    pub parts: &'a [Part],
    /// The place of its first part among the parts of all demands, from 0.
    pub first: usize,
}

/// Every time of every demand, in list order.
pub(super) fn occasions(requirements: &[Requirement]) -> Vec<Occasion<'_>> {
    let mut all = Vec::with_capacity(requirements.len());
    let mut first = 0;
    for (demand, requirement) in requirements.iter().enumerate() {
        for parts in requirement.parts.chunk_by(|one, next| one.occasion == next.occasion) {
            all.push(Occasion { demand, requirement, parts, first });
            first += parts.len();
        }
    }
    all
}

impl Occasion<'_> {
    /// The places of its parts among those of all demands.
    pub const fn places(&self) -> Range<usize> {
        self.first..self.first.saturating_add(self.parts.len())
    }

    /// Which time it is, from 1; 0 where its demand does not repeat.
    pub fn number(&self) -> u32 {
        self.parts.first().map_or(0, |part| part.occasion)
    }

    /// What it asks.
    pub fn amount(&self) -> Millilitres {
        amount(self.parts)
    }

    /// The last day of its last part; `None` when that is open.
    pub fn last_day(&self) -> Option<NaiveDate> {
        window(self.parts).last
    }
}

/// What these parts ask together.
pub(super) fn amount(parts: &[Part]) -> Millilitres {
    parts.iter().fold(Millilitres::ZERO, |sum, part| add(sum, part.amount))
}

/// How many pieces these parts ask together, where they are counted.
pub(super) fn pieces(parts: &[Part]) -> Option<u64> {
    parts.iter().map(|part| part.pieces.map(u64::from)).sum()
}

/// From the first day of the first of these parts to the last day of the last.
pub(super) fn window(parts: &[Part]) -> Window {
    let open = parts.iter().any(|part| part.window.last.is_none());
    Window {
        first: parts.iter().map(|part| part.window.first).min().flatten(),
        last: parts.iter().filter_map(|part| part.window.last).max().filter(|_| !open),
    }
}

impl Requirement {
    /// The same again, so many days after the first time; as it is where it does not repeat.
    #[must_use]
    pub fn repeated(self, days_after: &[u64]) -> Self {
        if days_after.is_empty() {
            return self;
        }
        let later = |day: Option<NaiveDate>, days: u64| day.and_then(|day| day.checked_add_days(Days::new(days)));
        let again = |(occasion, days): (u32, &u64)| {
            let window = |window: Window| Window { first: later(window.first, *days), last: later(window.last, *days) };
            let part = move |part: &Part| Part { window: window(part.window), occasion, ..*part };
            self.parts.iter().map(part).collect::<Vec<_>>()
        };
        let parts = (1..).zip(days_after).flat_map(again).collect();
        let grown = self.grown.map(|grown| Grown { later: grown.later.repeat(days_after.len()), ..grown });
        Self { parts, grown, ..self }
    }
}
