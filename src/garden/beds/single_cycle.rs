//! A bed that is fed once and harvested once: how long it takes, when it is ready, and the latest day on which it can start.

use super::Bed;
use super::clock::{Clock, morning};
use super::drawn::DrawnBed;
use super::inputs::Inputs;
use super::layers::{LayerPlanner, Rules};
use super::loss::Keeps;
use crate::garden::assumptions::Known;
use crate::garden::draws::{Run, Variables};
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::units::{Area, Mass, Share};
use chrono::NaiveDate;

/// How long a bed needs in one run: warm days of feeding and finishing, calendar days of drying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Needs {
    /// Until all feed is worked through and the castings are finished, warm days.
    pub warm_days: f64,
    /// Drying, whole days.
    pub drying: f64,
}

impl Needs {
    /// The morning on which castings are ready, if worms go in on the morning `start`; days since the clock's first morning.
    /// `None` if not by `end`.
    #[must_use]
    pub fn ready(self, clock: &Clock, start: f64, end: f64) -> Option<f64> {
        clock.after(start, self.warm_days, end).map(|finished| morning(finished) + self.drying)
    }

    /// The last morning on which worms can go in so that castings are ready on the morning `by`: the largest `s` with
    /// `tau(by - drying) - tau(s) >= warm days`. `None` if that is before the clock's first morning.
    #[must_use]
    pub fn latest(self, clock: &Clock, by: f64) -> Option<f64> {
        clock.latest(by - self.drying, self.warm_days)
    }
}

/// A bed fed once, with what is known of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SingleCycle {
    drawn: DrawnBed,
}

impl SingleCycle {
    /// By what is known.
    ///
    /// # Errors
    /// What [`crate::garden::assumptions::Castings::known`] refuses.
    pub fn new(ash: Share, known: Known<'_>, variables: &mut Variables) -> Result<Self, Refusal> {
        DrawnBed::new(ash, known, variables).map(|drawn| Self { drawn })
    }

    /// How long worms of this mass need for this dry feed on this ground, all of it there at the start:
    /// `tau(W) + finishing`, then drying.
    #[must_use]
    pub fn needs(&self, (area, worms, feed): (Area, Mass, Mass), run: &Run<'_>) -> Needs {
        let pacing = self.drawn.pacing(area, Some(worms), run);
        Needs { warm_days: pacing.pace.warm_days_for(feed) + pacing.finishing, drying: pacing.drying }
    }

    /// Sieved castings in store from each kilogram of dry feed, L: `(ash + (1 - ash)(1 - lambda)) x sieve yield / rho_d`.
    #[must_use]
    pub fn castings_for_each(&self, run: &Run<'_>) -> f64 {
        self.drawn.stored(self.drawn.kept(run), run)
    }
}

/// The morning on which enough feed for the first layer of this bed has come; `None` where it is there from the start.
///
/// # Errors
/// What [`super::forecast`] refuses of layers.
pub fn first_feed_on(bed: &Bed, known: Known<'_>) -> Result<Option<NaiveDate>, Refusal> {
    let mut inputs = Inputs::new(known, Off);
    let keeps = Keeps::known(bed.feed.ash, &mut inputs);
    let rules = Rules::known(bed, &keeps, &mut inputs)?;
    let first = LayerPlanner::new(bed, &rules).next()?;
    Ok(first.and_then(|cycle| cycle.portions.first()?.there_on))
}

/// How many layers this bed takes in its first cycle, and whether that is all feed that ever comes.
///
/// # Errors
/// What [`super::forecast`] refuses of layers.
pub fn first_cycle(bed: &Bed, known: Known<'_>) -> Result<(u32, bool), Refusal> {
    let mut inputs = Inputs::new(known, Off);
    let keeps = Keeps::known(bed.feed.ash, &mut inputs);
    let rules = Rules::known(bed, &keeps, &mut inputs)?;
    let mut planner = LayerPlanner::new(bed, &rules);
    let Some(cycle) = planner.next()? else { return Ok((0, true)) };
    let layers = u32::try_from(cycle.portions.iter().filter(|p| p.laid()).count()).unwrap_or(u32::MAX);
    Ok((layers, planner.is_all_laid()))
}
