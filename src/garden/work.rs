//! How much computing a question takes, estimated from its numbers before any of it is done.
//!
//! Work is counted in steps and not timed, so that the same request is refused on every machine. `benches/balances.rs` holds the
//! estimate of sharing against the time it takes.

use super::refusal::{Reason, Refusal};

/// The most steps of one answer. A step is 25 ns of one core at the most, as measured, so this is within 2 s. Source: limit of this service.
pub const MAX_STEPS: u64 = 80_000_000;

/// The most simulation runs x steps of a run of a season, and simulation runs x days to produce for x numbers of layers x stretches between
/// deadly days: within two seconds of one core. Source: limit of this service.
pub const MAX_STEPS_OF_RUNS: u64 = 50_000_000;
/// The most simulation runs x lots of beds of a season, and simulation runs x days to produce for x numbers of layers: each keeps a date
/// and an amount, 16 bytes, until the end. Source: limit of this service.
pub const MAX_DATES_KEPT: u64 = 5_000_000;

/// An amount of work, in steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Work(u64);

impl Work {
    /// So many steps.
    #[must_use]
    pub const fn steps(steps: u64) -> Self {
        Self(steps)
    }

    /// `count` items of `steps` steps each.
    #[must_use]
    pub fn of(count: usize, steps: u64) -> Self {
        Self(steps).times(count)
    }

    /// The sum of both.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// `count` times this work.
    #[must_use]
    pub fn times(self, count: usize) -> Self {
        Self(self.0.saturating_mul(u64::try_from(count).unwrap_or(u64::MAX)))
    }

    /// The number of steps.
    #[must_use]
    pub const fn count(self) -> u64 {
        self.0
    }

    /// The steps that are left of [`MAX_STEPS`] beside this.
    #[must_use]
    pub const fn left(self) -> u64 {
        MAX_STEPS.saturating_sub(self.0)
    }

    /// So many steps of runs. A step of a run takes 5/4 of a step at the most.
    #[must_use]
    pub const fn of_runs(steps: u64) -> Self {
        Self((steps / 4).saturating_mul(5).saturating_add(5))
    }

    /// How many of [`MAX_STEPS_OF_RUNS`] are there beside this.
    #[must_use]
    pub const fn runs_beside(self) -> u64 {
        let left = self.left() / 5 * 4;
        if left < MAX_STEPS_OF_RUNS { left } else { MAX_STEPS_OF_RUNS }
    }

    /// Refuses more than one answer may take, with what it takes beside this. `what` says which numbers multiply, `mend` what to reduce.
    ///
    /// # Errors
    /// `too_large` above [`MAX_STEPS`].
    pub fn check(self, beside: Self, what: &str, mend: &str) -> Result<(), Refusal> {
        let all = self.and(beside).0;
        if all <= MAX_STEPS {
            return Ok(());
        }
        let times = all.div_ceil(MAX_STEPS);
        let before = if self.0 <= MAX_STEPS { ", with all that was answered before it," } else { "" };
        let detail = format!("{what}: that is{before} up to {times} times the work that one answer may take; {mend}");
        Err(Refusal::new(Reason::TooLarge, detail))
    }
}
