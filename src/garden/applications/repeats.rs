//! The same application or demand again and again: how many days after the first.

use super::Carried;
use crate::garden::areas::checked_volume;
use crate::garden::dates::{MAX_SPAN_DAYS, MAX_YEAR};
use crate::garden::figures::Recorder;
use crate::garden::formulas::DAY;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfRatio;
use crate::garden::units::{Duration, Estimate, Ratio};
use chrono::{Datelike, Days, NaiveDate};
use std::collections::BTreeMap;

/// The most times of all items of a request together. Source: limit of this service.
pub const MAX_TIMES: u32 = 10_000;
/// The longest time from one to the next in days, the longest duration in whole days. Source: limit of this service.
const MAX_DAYS: f64 = 3_652.0;

/// When it ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// Not after this day: the last day on which it may begin once more.
    Until(NaiveDate),
    /// After so many times, the first one included; at least one.
    Times(u32),
}

/// The same again and again, so many whole days from one to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repeat {
    every: u64,
    ends: Ends,
}

impl Repeat {
    /// The same again every so many whole days.
    ///
    /// # Errors
    /// `out_of_range` at `every` for less than a day, for parts of days, and for more than ten years; at `times` for none or more than
    /// [`MAX_TIMES`].
    pub fn new(every: Duration, ends: Ends) -> Result<Self, Refusal> {
        let days = every.hours() / DAY;
        if days.fract() != 0.0 || !(1.0..=MAX_DAYS).contains(&days) {
            let detail = format!(
                "write whole days or weeks from one time to the next, such as \"14 d\" or \"6 weeks\"; from 1 to {MAX_DAYS} days"
            );
            return Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, MAX_DAYS).at("every"));
        }
        if matches!(ends, Ends::Times(times) if !(1..=MAX_TIMES).contains(&times)) {
            let detail = format!("write how many times, from 1 to {MAX_TIMES}");
            return Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, f64::from(MAX_TIMES)).at("times"));
        }
        #[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and the days are bounded")]
        #[expect(clippy::cast_sign_loss, reason = "durations are not negative")]
        Ok(Self { every: days as u64, ends })
    }

    /// Answers "how many days after the first is it done?", the first included: `0, every, 2 every, ...` while the day is within
    /// the end. A number of times needs no first day.
    ///
    /// ```
    /// use barrowful::garden::applications::repeats::{Ends, Repeat};
    /// use barrowful::garden::dates::date;
    /// use barrowful::garden::units::Duration;
    /// let day = |text| date(text).unwrap();
    /// let six_weeks = Repeat::new(Duration::from_hours(1_008.0), Ends::Until(day("2027-09-01"))).unwrap();
    /// // 5 April, 17 May, 28 June, 9 August; 20 September is too late.
    /// assert_eq!(six_weeks.days_after(Some(day("2027-04-05"))).unwrap(), [0, 42, 84, 126]);
    /// assert!(six_weeks.days_after(Some(day("2027-09-02"))).is_err());
    /// ```
    ///
    /// # Errors
    /// `dates_out_of_order` at `until` where it ends before it starts; `missing_field` at `times` where it ends on a day and no first day
    /// is known; `out_of_range` at `every` or `until` where the last time is more than ten years after the first, and at `times` where it
    /// is after the last year that is computed with.
    pub fn days_after(self, first: Option<NaiveDate>) -> Result<Vec<u64>, Refusal> {
        let span = u64::try_from(MAX_SPAN_DAYS).unwrap_or(0);
        let last = match self.ends {
            Ends::Times(times) => u64::from(times).saturating_sub(1).saturating_mul(self.every),
            Ends::Until(until) => after(first, until)?,
        };
        let times = last.checked_div(self.every).unwrap_or(0);
        let last = times.saturating_mul(self.every);
        if last > span {
            return Err(self.too_long());
        }
        if let Some(first) = first {
            check_year(first, last)?;
        }
        Ok((0..=times).map(|time| time.saturating_mul(self.every)).collect())
    }

    /// Refuses times that run over more than ten years, at what says when they end.
    fn too_long(self) -> Refusal {
        let (field, mending) = match self.ends {
            Ends::Times(_) => ("every", "repeat it fewer times, or at shorter intervals"),
            Ends::Until(_) => ("until", "end it on an earlier day"),
        };
        let detail = format!("the times run over more than ten years; {mending}");
        Refusal::new(Reason::OutOfRange, detail).at(field)
    }
}

/// Refuses a last time that is after the last year that is computed with.
fn check_year(first: NaiveDate, last: u64) -> Result<(), Refusal> {
    if first.checked_add_days(Days::new(last)).is_some_and(|day| day.year() <= MAX_YEAR) {
        return Ok(());
    }
    let detail =
        format!("the last time lies after {MAX_YEAR}, the last year that is computed with; repeat it fewer times");
    Err(Refusal::new(Reason::OutOfRange, detail).at("times"))
}

/// The days from the first to the last day on which it may be done.
fn after(first: Option<NaiveDate>, until: NaiveDate) -> Result<u64, Refusal> {
    let first = first.ok_or_else(|| {
        let detail = "without a first day, say how many times instead of until, such as \"times\": 4";
        Refusal::new(Reason::MissingField, detail).at("times")
    })?;
    u64::try_from((until - first).num_days()).map_err(|_| {
        let detail = format!("this repeat ends on {until}, before it starts on {first}; write a later day");
        Refusal::new(Reason::DatesOutOfOrder, detail).at("until")
    })
}

/// Refuses more times than are computed with, all items of a request together.
///
/// # Errors
/// `too_large` above [`MAX_TIMES`].
pub fn check_times(all: usize) -> Result<(), Refusal> {
    if u32::try_from(all).is_ok_and(|all| all <= MAX_TIMES) {
        return Ok(());
    }
    let detail = format!(
        "up to here the items are repeated more than {MAX_TIMES} times in all; repeat them fewer times, or split the request"
    );
    Err(Refusal::new(Reason::TooLarge, detail))
}

/// The rule by which times are counted.
const TIMES: &str = "the first day and every so many days after it, as long as the repeat goes on";

/// Days of a year that begins on no known day. Source: how this service works.
const YEAR_DAYS: u64 = 365;

/// The year in which something is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum InYear {
    /// A calendar year.
    Calendar(i32),
    /// The first year from a first day that is not known (0), the second (1), and so on.
    FromFirst(u16),
}

impl InYear {
    /// The year of something so many days after a first day.
    fn of(first: Option<NaiveDate>, days: u64) -> Option<Self> {
        match first {
            Some(first) => first.checked_add_days(Days::new(days)).map(|day| Self::Calendar(day.year())),
            None => u16::try_from(days.checked_div(YEAR_DAYS)?).ok().map(Self::FromFirst),
        }
    }
}

/// What goes to a place that is dressed again and again.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeated {
    /// How many times.
    pub times: Estimate<OfRatio>,
    /// On which days, where the first is known.
    pub days: Vec<NaiveDate>,
    /// All times together.
    pub carried: Carried,
    /// The same by year: by calendar year, or where the first day is not known by twelve months from the first time.
    pub by_year: Vec<(InYear, Carried)>,
}

/// Answers "what do these times come to, and in which year?"
///
/// # Errors
/// `too_large` where all of them together are more than is computed with.
pub fn repeated(
    each_time: &Carried,
    (first, days_after): (Option<NaiveDate>, &[u64]),
    recorder: impl Recorder,
) -> Result<Repeated, Refusal> {
    let count = |times: usize| {
        let times = u32::try_from(times).unwrap_or(MAX_TIMES);
        recorder.by_rule(TIMES, &[], Ratio::from_number(f64::from(times)).into())
    };
    let day = |days: &u64| first.and_then(|first| first.checked_add_days(Days::new(*days)));
    let mut years: BTreeMap<InYear, usize> = BTreeMap::new();
    for year in days_after.iter().filter_map(|days| InYear::of(first, *days)) {
        let sum = years.entry(year).or_default();
        *sum = sum.saturating_add(1);
    }
    let times = count(days_after.len());
    let carried = each_time.times(times, recorder);
    checked_volume(carried.volume.high())?;
    let several = years.len() > 1;
    let of_year = |(year, times)| (year, if several { each_time.times(count(times), recorder) } else { carried });
    let by_year = years.into_iter().map(of_year).collect();
    Ok(Repeated { times, days: days_after.iter().filter_map(day).collect(), carried, by_year })
}
