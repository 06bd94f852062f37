//! The batches of a tea that start on one day: what goes into them, when they are ready, and by when they are used up.

use super::{Batch, Brew, Times};
use crate::garden::formulas::DAY;
use crate::garden::units::quantity::OfVolume;
use crate::garden::units::{Duration, Estimate, ROUNDING_TOLERANCE, Volume, whole};
use chrono::{Days, NaiveDate, TimeDelta};
use std::collections::BTreeMap;

impl Brew {
    /// Its batches by the day on which they start, in order of the days; all together where they have no times.
    #[must_use]
    pub fn by_day(&self) -> BTreeMap<Option<NaiveDate>, Vec<&Batch>> {
        let mut days: BTreeMap<Option<NaiveDate>, Vec<&Batch>> = BTreeMap::new();
        for batch in &self.batches {
            days.entry(batch.times.map(|times| times.start.date_naive())).or_default().push(batch);
        }
        days
    }

    /// The days, rounded up, within which a tea without times is used up, of whose rounds this share is brewed: it may start late in the day.
    #[must_use]
    pub fn longest(&self, share: f64) -> u64 {
        let rounds = (self.rounds.likely().number() * share).ceil().max(1.0);
        let brewing = rounds * self.brewing_time.hours() + (rounds - 1.0) * self.turnaround.hours();
        days((brewing + self.use_within.hours()) / DAY, f64::ceil)
    }
}

/// A number of days as a count.
#[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and durations are bounded")]
#[expect(clippy::cast_sign_loss, reason = "durations are not negative")]
fn days(number: f64, rounded: fn(f64) -> f64) -> u64 {
    rounded(number) as u64
}

/// The batches of a tea that start on one day. Amounts are those of the likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayOfBrew {
    /// The day on which the castings go into the water.
    pub start_on: NaiveDate,
    /// How many batches.
    pub batches: u64,
    /// Water to brew with.
    pub water: Volume,
    /// Water added to the tea before use.
    pub dilution_water: Volume,
    /// Tea after dilution.
    pub tea: Volume,
    /// From putting castings into water until the tea is ready.
    pub brewing_time: Duration,
    /// From when the tea is ready until it is used up.
    pub use_within: Duration,
    /// The times of the first batch and of the last, where they have times.
    pub times: Option<[Times; 2]>,
    /// The first day on which tea may be ready.
    pub ready_on: NaiveDate,
    /// The day by which all is used up.
    pub use_by: NaiveDate,
}

impl DayOfBrew {
    /// The batches that a part of the castings of a day makes, from one share of them to another, where they start on this day: that of the
    /// brew, or a later one where it repeats or its castings come on several days.
    #[must_use]
    pub fn of(brew: &Brew, batches: &[&Batch], (start_on, [from, to]): (NaiveDate, [f64; 2])) -> Self {
        let before = |share: f64, i: u64| whole(i) < share * count_of(batches.len()) - ROUNDING_TOLERANCE;
        let made = batches.iter().zip(0_u64..).filter(|(_, i)| before(to, *i) && !before(from, *i));
        let made: Vec<&Batch> = made.map(|(batch, _)| *batch).collect();
        let share = to - from;
        let sum = |of: fn(&Batch) -> Estimate<OfVolume>| {
            let litres: f64 = batches.iter().map(|batch| of(batch).likely().litres()).sum();
            Volume::from_litres(litres * share)
        };
        let times = |batch: Option<&&Batch>| batch?.times?.moved_to(start_on);
        let times = times(made.first()).zip(times(made.last())).map(|(first, last)| [first, last]);
        let later = |days| start_on.checked_add_days(Days::new(days)).unwrap_or(start_on);
        let longest = brew.longest(share);
        let earliest = days(brew.brewing_time.hours() / DAY, f64::floor);
        Self {
            start_on,
            batches: u64::try_from(made.len()).unwrap_or(1).max(1),
            water: sum(|batch| batch.water),
            dilution_water: sum(|batch| batch.dilution_water),
            tea: sum(|batch| batch.tea),
            brewing_time: brew.brewing_time,
            use_within: brew.use_within,
            times,
            ready_on: times.map_or_else(|| later(earliest), |[first, _]| first.ready.date_naive()),
            use_by: times.map_or_else(|| later(longest), |[_, last]| last.use_by.date_naive()),
        }
    }
}

fn count_of(count: usize) -> f64 {
    whole(u64::try_from(count).unwrap_or(u64::MAX))
}

impl Times {
    /// The same hours, with the start on another day.
    fn moved_to(self, on: NaiveDate) -> Option<Self> {
        let by = TimeDelta::try_days((on - self.start.date_naive()).num_days())?;
        Some(Self {
            start: self.start.checked_add_signed(by)?,
            ready: self.ready.checked_add_signed(by)?,
            use_by: self.use_by.checked_add_signed(by)?,
        })
    }
}
