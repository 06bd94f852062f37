//! Where it is too late: the first possible start, and what stands in the way of an earlier one.

use super::{Batch, Means};
use crate::garden::beds::{Deadly, Needs};
use chrono::{Days, NaiveDate};

/// What stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Binds {
    /// It would have had to begin before today.
    Today,
    /// The materials are not there before.
    Materials,
    /// The bed is not free before.
    Bed,
    /// A frost before then kills the worms.
    Frost,
    /// A heat before then kills the worms.
    Heat,
    /// The ground that was given does not hold so much feed.
    Ground,
    /// There is not enough warmth before that day in the years looked at.
    Warmth,
}

impl Binds {
    /// Every word.
    pub const ALL: &'static [Self] =
        &[Self::Today, Self::Materials, Self::Bed, Self::Frost, Self::Heat, Self::Ground, Self::Warmth];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Today => "today",
            Self::Materials => "materials",
            Self::Bed => "bed",
            Self::Frost => "frost",
            Self::Heat => "heat",
            Self::Ground => "ground",
            Self::Warmth => "warmth",
        }
    }
}

/// Why a shortage cannot be met in time by preparing, and when it could.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Late {
    /// What stands in the way.
    pub binds: Binds,
    /// The first day on which the preparation can begin.
    pub first_start_on: Option<NaiveDate>,
    /// The castings are ready then, begun on that day; `None`: not within the days looked at.
    pub ready_on: Option<NaiveDate>,
}

/// The first possible starts, by reason.
#[derive(Debug)]
pub(super) struct Bounds {
    given: Vec<(NaiveDate, Binds)>,
    deadly: Vec<(NaiveDate, Binds)>,
    days: Days,
}

impl Bounds {
    pub fn of(means: &Means<'_>) -> Self {
        let days = Days::new(u64::from(means.recipe.days));
        let mut given: Vec<(NaiveDate, Binds)> = Vec::new();
        given.extend(means.as_of.map(|day| (day, Binds::Today)));
        given.extend(means.materials_from.map(|day| (day, Binds::Materials)));
        given.extend(means.bed_from.and_then(|day| day.checked_sub_days(days)).map(|day| (day, Binds::Bed)));
        let mut deadly = Vec::new();
        let clocks = means.clocks;
        let mut before = clocks.last().succ_opt();
        while let Some((day, why)) = before.and_then(|day| clocks.deadly_before(day)) {
            let binds = if why == Deadly::Frost { Binds::Frost } else { Binds::Heat };
            deadly.push((day, binds));
            before = Some(day);
        }
        deadly.reverse();
        Self { given, deadly, days }
    }

    /// The first possible start for castings wanted by a day, and what stands in the way of an earlier one.
    fn first(&self, by: NaiveDate) -> Option<(NaiveDate, Binds)> {
        let last = self.deadly.partition_point(|(day, _)| *day < by).checked_sub(1);
        let deadly = last.and_then(|i| self.deadly.get(i)).and_then(|(day, binds)| {
            // Worms go in on the morning after.
            let day = day.succ_opt()?.checked_sub_days(self.days)?;
            Some((day, *binds))
        });
        // Of reasons on one day, the one that comes first in the list is told.
        let mut first: Option<(NaiveDate, Binds)> = None;
        for bound in self.given.iter().copied().chain(deadly) {
            if first.is_none_or(|(day, _)| bound.0 > day) {
                first = Some(bound);
            }
        }
        first
    }

    /// True if a start lies before the first possible one.
    pub fn is_late(&self, start: NaiveDate, by: NaiveDate) -> bool {
        self.first(by).is_some_and(|(first, _)| start < first)
    }

    /// When castings are ready, begun on a day; the deadly day after it ends a bed that is not finished by then.
    pub fn ready(&self, needs: Needs, start_on: NaiveDate, means: &Means<'_>) -> Option<NaiveDate> {
        let clocks = means.clocks;
        let worms_in = start_on.checked_add_days(self.days).filter(|day| *day >= clocks.first())?;
        let last = clocks.time(clocks.last()) + 1.0;
        let end = clocks.deadly_from(worms_in).map_or(last, |(day, _)| clocks.time(day));
        let ready = needs.ready(clocks.likely(), clocks.time(worms_in), end)?;
        (ready < last).then(|| clocks.on_day(ready))
    }

    /// Why this batch is too late, if it is.
    pub fn late(
        &self,
        (start_on, by): (Option<NaiveDate>, NaiveDate),
        batch: &Batch,
        ready: impl Fn(NaiveDate) -> Option<NaiveDate>,
    ) -> Option<Late> {
        let first = self.first(by);
        let first_start_on = first.map(|(day, _)| day);
        let late = |binds| Late { binds, first_start_on, ready_on: first_start_on.and_then(&ready) };
        if !batch.fits {
            return Some(Late { ready_on: None, ..late(Binds::Ground) });
        }
        match (start_on, first) {
            (Some(start), Some((day, binds))) if start < day => Some(late(binds)),
            (None, Some((_, binds))) => Some(late(binds)),
            (None, None) => Some(late(Binds::Warmth)),
            _ => None,
        }
    }
}
