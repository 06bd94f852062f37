//! How long the worms of a forecast have nothing to eat.

use super::clocks::Clocks;
use chrono::NaiveDate;

/// Worms that have nothing to eat for more warm days than this are reported. Source: common practice, no source (eight weeks).
const LONG: f64 = 56.0;

/// A time in which the worms have nothing to eat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unfed {
    /// The morning on which all is eaten, or on which the castings of a cycle are finished.
    pub start_on: NaiveDate,
    /// The morning on which there is feed again, or the last day of the forecast.
    pub end_on: NaiveDate,
    /// The warm days in between.
    pub warm_days: f64,
}

/// When the worms have feed, followed in the order of time.
#[derive(Debug, Default)]
pub(super) struct Fed {
    /// Since when they have none, in days since the first morning of the clocks; `None` while they have some or are not there.
    since: Option<f64>,
    longest: Option<Unfed>,
}

impl Fed {
    /// All feed is eaten, or the worms are there without any.
    pub(super) fn eaten(&mut self, at: f64) {
        self.since = Some(at);
    }

    /// All feed of a cycle is eaten, and its castings finish until then; `None`: until the forecast ends.
    pub(super) fn finishing(&mut self, until: Option<f64>) {
        self.since = self.since.and(until);
    }

    /// There is feed again, or the forecast ends.
    pub(super) fn again(&mut self, at: f64, clocks: &Clocks) {
        let Some(since) = self.since.take() else { return };
        let (start_on, end_on) = (clocks.by_morning(since), clocks.on_day(at));
        let warm_days = clocks.warm_days(start_on, end_on);
        let unfed = Unfed { start_on, end_on: end_on.min(clocks.last()), warm_days };
        if self.longest.is_none_or(|longest| longest.warm_days < unfed.warm_days) {
            self.longest = Some(unfed);
        }
    }

    /// The longest time without feed, where that is long.
    pub(super) fn long(&self) -> Option<Unfed> {
        self.longest.filter(|unfed| unfed.warm_days > LONG)
    }
}
