//! What one place or brew asks for, in parts by day.

use super::allocation::{Eligibility, Window};
use super::untreated::Grown;
use super::{Served, add, occasions};
use crate::garden::brews::{Batch, Brew};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

/// A part of a demand: a tea whose batches start on several days draws on each of them.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Part {
    /// How much.
    pub amount: Millilitres,
    /// When.
    pub window: Window,
    /// How many plants, pots or batches it is for; only used when they are served whole.
    pub pieces: Option<u32>,
    /// Up to which day it may draw on which lots.
    pub eligibility: Eligibility,
    /// Which time of a demand that repeats, from 1; 0 where it does not repeat. The parts of one time follow one another.
    pub occasion: u32,
}

/// What one place or brew asks for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Requirement {
    /// Its parts; one unless it is a tea in several rounds or repeats.
    pub parts: Vec<Part>,
    /// Served from 1 upwards.
    pub priority: u8,
    /// True if only whole plants, pots or batches are of use.
    pub whole_portions: bool,
    /// The smallest amount that is of use each time, over all parts of that time; below it that time is dropped. `None`: any
    /// amount is.
    pub minimum: Option<Millilitres>,
    /// What is grown with it, where that is said.
    pub grown: Option<Grown>,
}

impl Requirement {
    /// What is asked in all.
    #[must_use]
    pub fn amount(&self) -> Millilitres {
        occasions::amount(&self.parts)
    }

    /// How many pieces are asked in all, where they are counted.
    #[must_use]
    pub fn pieces(&self) -> Option<u64> {
        occasions::pieces(&self.parts)
    }

    /// From the first day of its first part to the last day of its last.
    #[must_use]
    pub fn window(&self) -> Window {
        occasions::window(&self.parts)
    }

    /// The last day of its last part; `None` when that is open.
    #[must_use]
    pub fn last_day(&self) -> Option<NaiveDate> {
        self.window().last
    }

    /// The last days of its parts that get less than they ask, in their order; a part without a last day has none.
    #[must_use]
    pub fn short_on(&self, served: &Served) -> Vec<NaiveDate> {
        let mut missing: Vec<u64> = self.parts.iter().map(|part| part.amount.get()).collect();
        for allocated in &served.allocations {
            if let Some(missing) = missing.get_mut(allocated.part) {
                *missing = missing.saturating_sub(allocated.amount.get());
            }
        }
        let short = self.parts.iter().zip(missing).filter(|(_, missing)| *missing > 0);
        short.filter_map(|(part, _)| part.window.last).collect()
    }

    /// Whether it is asked again and again.
    #[must_use]
    pub fn repeats(&self) -> bool {
        self.parts.first().is_some_and(|part| part.occasion > 0)
    }

    /// What is asked each time; every time asks the same.
    #[must_use]
    pub fn amount_each_time(&self) -> Millilitres {
        let times = self.parts.chunk_by(|one, next| one.occasion == next.occasion);
        times.map(occasions::amount).next().unwrap_or_default()
    }

    /// How often it is asked: once unless it repeats.
    #[must_use]
    pub fn times(&self) -> usize {
        self.parts.chunk_by(|one, next| one.occasion == next.occasion).count()
    }
}

/// Opens the days that lie ahead today at the earliest: castings cannot be used in the past, and an interval begins when they are used.
///
/// What has ended before today stays as it is, since it may be served late.
pub fn open_from(requirements: &mut [Requirement], today: NaiveDate) {
    let parts = requirements.iter_mut().flat_map(|requirement| &mut requirement.parts);
    for part in parts.filter(|part| part.window.last.is_none_or(|last| last >= today)) {
        part.window.first = part.window.first.max(Some(today));
    }
}

/// The parts of a tea: the castings of its batches, drawn on the date on which each batch starts. Without times, all of it
/// within the window given.
#[must_use]
pub fn parts_of_brew(brew: &Brew, window: Window) -> Vec<Part> {
    let part = |(date, batches): (Option<NaiveDate>, Vec<&Batch>)| {
        let window = date.map_or(window, |day| Window { first: Some(day), last: Some(day) });
        let amount = batches.iter().fold(Millilitres::default(), |sum, batch| add(sum, batch.castings));
        Part { amount, window, pieces: u32::try_from(batches.len()).ok(), ..Part::default() }
    };
    brew.by_day().into_iter().map(part).collect()
}
