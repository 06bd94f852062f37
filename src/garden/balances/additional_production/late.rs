//! Where it is too late: the first possible start, and what prevents an earlier one.

use super::{Batch, Means};
use crate::garden::assumptions::Assumption;
use crate::garden::beds::{Clock, Clocks, Deadly, Needs};
use crate::garden::closed_list::closed_list;
use crate::garden::formulas::DAY;
use chrono::{Days, NaiveDate};

closed_list! {
    /// What prevents an earlier start.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum LimitingFactor {
        /// It would have had to begin before today.
        Today = "today",
        /// The materials are not there before.
        Materials = "materials",
        /// The bed is not free before.
        Bed = "bed",
        /// A frost before then kills the worms.
        Frost = "frost",
        /// A heat before then kills the worms.
        Heat = "heat",
        /// The ground that was given does not hold so much feed.
        Ground = "ground",
        /// There is not enough warmth before that day in the years looked at.
        Warmth = "warmth",
    }
}

impl LimitingFactor {
    /// What the first possible day of a start is, in words.
    #[must_use]
    pub const fn first_day(self) -> &'static str {
        match self {
            Self::Today => "today",
            Self::Materials => "when the materials are there",
            Self::Bed => "when the bed is free",
            Self::Frost => "after the frost",
            Self::Heat => "after the heat",
            Self::Ground => "with enough ground",
            Self::Warmth => "when it is warm enough",
        }
    }
}

/// Why a shortfall cannot be met in time by producing, and when it could.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Late {
    /// What prevents an earlier start.
    pub limiting_factor: LimitingFactor,
    /// The first day on which the production can begin.
    pub first_start_on: Option<NaiveDate>,
    /// The castings are ready then, if it starts on that day; `None`: not within the days looked at.
    pub ready_on: Option<NaiveDate>,
}

/// Days between two deadly ones: worms can go in from the morning `from` on, and the castings must be finished by the morning
/// `end`, which kills (infinite after the last). Days since the clocks' first morning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    pub from: f64,
    pub end: f64,
}

impl Stretch {
    /// The last morning in it on which worms can go in so that castings are ready on the morning `by`. In one stretch every
    /// earlier start is in time as well.
    pub fn latest(self, needs: Needs, clock: &Clock, by: f64) -> Option<f64> {
        needs.latest(clock, by.min(self.end + needs.drying)).filter(|start| *start >= self.from)
    }
}

/// What can prevent an earlier start.
#[derive(Debug)]
pub(super) struct Bounds<'a> {
    clocks: &'a Clocks,
    days: Days,
    given: Vec<(NaiveDate, LimitingFactor)>,
    /// The last one first.
    stretches: Vec<Stretch>,
}

impl<'a> Bounds<'a> {
    pub fn of(means: &Means<'a>) -> Self {
        let days = Days::new(u64::from(means.recipe.days));
        let mut given: Vec<(NaiveDate, LimitingFactor)> = Vec::new();
        given.extend(means.as_of.map(|day| (day, LimitingFactor::Today)));
        given.extend(means.materials_from.map(|day| (day, LimitingFactor::Materials)));
        given.extend(means.bed_from.and_then(|day| day.checked_sub_days(days)).map(|day| (day, LimitingFactor::Bed)));
        let clocks = means.clocks;
        let (mut stretches, mut end) = (Vec::new(), f64::INFINITY);
        let mut before = clocks.last().succ_opt();
        while let Some((day, _)) = before.and_then(|day| clocks.deadly_before(day)) {
            let deadly = clocks.time(day);
            stretches.extend((deadly + 1.0 < end).then_some(Stretch { from: deadly + 1.0, end }));
            (end, before) = (deadly, Some(day));
        }
        stretches.extend((end > 0.0).then_some(Stretch { from: 0.0, end }));
        // Castings finish for at least so many warm days; a stretch without them on the quickest clock holds no start in any run.
        let least = means.known.get(Assumption::Finishing).map_or(0.0, |finishing| finishing.span.low / DAY);
        stretches.retain(|stretch| clocks.most_warm_days(stretch.from, stretch.end) >= least);
        Self { clocks, days, given, stretches }
    }

    /// How many stretches there are.
    pub fn count(&self) -> usize {
        self.stretches.len()
    }

    /// The stretches that begin before a morning, the last one first.
    pub fn stretches(&self, by: f64) -> impl Iterator<Item = Stretch> {
        self.stretches.iter().copied().filter(move |stretch| stretch.from < by)
    }

    /// The last morning on which worms can go in so that castings are ready on the morning `by` and no deadly day comes between.
    pub fn latest(&self, needs: Needs, by: f64) -> Option<f64> {
        self.stretches(by).find_map(|stretch| stretch.latest(needs, self.clocks.likely(), by))
    }

    /// The first day on which a production can begin, and what prevents an earlier one; of reasons on one day, the
    /// one that comes first in the list.
    pub fn first(&self) -> Option<(NaiveDate, LimitingFactor)> {
        let mut first: Option<(NaiveDate, LimitingFactor)> = None;
        for bound in self.given.iter().copied() {
            if first.is_none_or(|(day, _)| bound.0 > day) {
                first = Some(bound);
            }
        }
        first
    }

    /// True if a start is before the first possible one.
    pub fn is_late(&self, start: NaiveDate) -> bool {
        self.first().is_some_and(|(first, _)| start < first)
    }

    /// When castings are ready, for a start on a day; the deadly day after it ends a bed that is not finished by then.
    pub fn ready(&self, needs: Needs, start_on: NaiveDate) -> Option<NaiveDate> {
        let clocks = self.clocks;
        let worms_in = start_on.checked_add_days(self.days).filter(|day| *day >= clocks.first())?;
        let last = clocks.time(clocks.last()) + 1.0;
        let end = clocks.deadly_from(worms_in).map_or(last, |(day, _)| clocks.time(day));
        let ready = needs.ready(clocks.likely(), clocks.time(worms_in), end)?;
        (ready < last).then(|| clocks.on_day(ready))
    }

    /// Why this batch is too late, if it is. `warm`: some start would do if no day were deadly.
    pub fn late(
        &self,
        (start_on, by, warm): (Option<NaiveDate>, NaiveDate, bool),
        batch: &Batch,
        ready: impl Fn(NaiveDate) -> Option<NaiveDate>,
    ) -> Option<Late> {
        if batch.fits && start_on.is_some_and(|start| !self.is_late(start)) {
            return None;
        }
        let deadly = self.clocks.deadly_before(by).filter(|_| warm);
        let after = deadly.and_then(|(day, why)| Some((self.after(day)?, limiting_factor(why))));
        // Without any start it is not what was given that prevents it.
        let no_start = after.map_or(LimitingFactor::Warmth, |(_, why)| why);
        let Some((first, given)) = self.first().or(after) else {
            let limiting_factor = if batch.fits { no_start } else { LimitingFactor::Ground };
            return Some(Late { limiting_factor, first_start_on: None, ready_on: None });
        };
        if !batch.fits {
            return Some(Late { limiting_factor: LimitingFactor::Ground, first_start_on: Some(first), ready_on: None });
        }
        let (first, met, ready_on) = self.first_alive((first, given), ready);
        let limiting_factor = if start_on.is_some() { met } else { no_start };
        Some(Late { limiting_factor, first_start_on: Some(first), ready_on })
    }

    /// The first start, from a day on, that no deadly day ends before the castings are finished.
    fn first_alive(
        &self,
        (mut first, mut why): (NaiveDate, LimitingFactor),
        ready: impl Fn(NaiveDate) -> Option<NaiveDate>,
    ) -> (NaiveDate, LimitingFactor, Option<NaiveDate>) {
        loop {
            let ready_on = ready(first);
            let deadly = first.checked_add_days(self.days).and_then(|worms_in| self.clocks.deadly_from(worms_in));
            match deadly.and_then(|(day, kills)| Some((self.after(day)?, limiting_factor(kills)))) {
                Some(next) if ready_on.is_none() => (first, why) = next,
                _ => return (first, why, ready_on),
            }
        }
    }

    /// The day on which to begin, so that worms go in on the morning after a deadly day.
    fn after(&self, deadly: NaiveDate) -> Option<NaiveDate> {
        deadly.succ_opt()?.checked_sub_days(self.days)
    }
}

fn limiting_factor(why: Deadly) -> LimitingFactor {
    if why == Deadly::Frost { LimitingFactor::Frost } else { LimitingFactor::Heat }
}
