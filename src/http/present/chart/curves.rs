//! The curves of the chart: castings come, needed and on hand over time, and where they are too few.

use super::OverTime;
use super::axes::earlier;
use chrono::NaiveDate;

/// A value that holds from a day on.
pub type Step = (NaiveDate, f64);

/// The curves over their days.
#[derive(Debug)]
pub struct Curves {
    /// The first day shown.
    pub from: NaiveDate,
    /// The last day shown.
    pub to: NaiveDate,
    /// Castings that have come, given or not, less those that expired.
    pub come: Vec<Step>,
    /// Castings needed by then.
    pub needed: Vec<Step>,
    /// Castings on hand.
    pub on_hand: Vec<Step>,
    /// Castings that so many of 100 runs do not pass: 10, and 90. Empty where nothing is uncertain.
    pub band: Vec<(NaiveDate, f64, f64)>,
    /// Where they are too few.
    pub gaps: Vec<Gap>,
    /// The highest value.
    pub top: f64,
}

/// A time in which castings are too few.
#[derive(Debug, Clone, Copy)]
pub struct Gap {
    /// Its first day.
    pub from: NaiveDate,
    /// The day on which it ends.
    pub to: NaiveDate,
    /// How far down the shortfall reaches: to the supply, or where that is enough, so much below the demand.
    pub down_to: f64,
    /// Needed.
    pub needed: f64,
}

/// Differences below this part of the highest value are rounding.
const ROUNDING: f64 = 1e-6;

/// The curves; none where there are no dates.
#[must_use]
pub fn curves(chart: &OverTime) -> Option<Curves> {
    let series = &chart.series;
    let days = series.days.iter().map(|day| day.date);
    let all = days.chain(series.due.iter().map(|due| due.date)).chain(chart.band.iter().map(|(date, ..)| *date));
    let (first, last) = (all.clone().min()?, all.chain(series.until).max()?);
    // A little room on both sides, so that a step on the first or the last day is seen.
    let room = ((last - first).num_days() / 25).max(1);
    let (from, to) = (earlier(first, room), earlier(last, -room));
    let mut sum = series.at_first;
    let mut come = vec![(from, sum)];
    for day in &series.days {
        sum += day.received - day.expired;
        come.push((day.date, sum));
    }
    let before = std::iter::once((from, series.opening));
    let on_hand: Vec<Step> = before.chain(series.days.iter().map(|day| (day.date, day.left))).collect();
    let needed: Vec<Step> =
        std::iter::once((from, 0.0)).chain(series.due.iter().map(|due| (due.date, due.needed))).collect();
    let mut band = band(chart);
    let highest = come.iter().chain(&needed).chain(&on_hand).map(|(_, value)| *value);
    let top = highest.chain(band.iter().map(|(_, _, high)| *high)).fold(0.0, f64::max);
    if band.iter().all(|(_, low, high)| high - low <= top * ROUNDING) {
        band.clear();
    }
    let gaps = gaps(chart, (&come, &needed), (to, top * ROUNDING));
    Some(Curves { from, to, come, needed, on_hand, band, gaps, top })
}

/// The range of the runs; none where castings expire: how many do differs from run to run.
fn band(chart: &OverTime) -> Vec<(NaiveDate, f64, f64)> {
    let nothing_expires = chart.series.days.iter().all(|day| day.expired <= 0.0);
    if nothing_expires { chart.band.clone() } else { Vec::new() }
}

/// Where castings are too few: fewer have come than are needed, or the account is short of what is needed on a day although as many
/// have come, since they may not be used for it.
fn gaps(chart: &OverTime, (come, needed): (&[Step], &[Step]), (end, rounding): (NaiveDate, f64)) -> Vec<Gap> {
    let short_on = |date: NaiveDate| chart.series.due.iter().find(|due| due.date == date).map_or(0.0, |due| due.short);
    let mut days: Vec<NaiveDate> = come.iter().chain(needed).map(|(date, _)| *date).chain([end]).collect();
    days.sort_unstable();
    days.dedup();
    let pairs = days.iter().zip(days.iter().skip(1));
    let gap = |(from, to): (&NaiveDate, &NaiveDate)| {
        let (needed, come) = (value_on(needed, *from), value_on(come, *from));
        let down_to = if needed - come > rounding { come } else { needed - short_on(*from) };
        Gap { from: *from, to: *to, down_to, needed }
    };
    pairs.map(gap).filter(|gap| gap.needed - gap.down_to > rounding).collect()
}

/// The value of a curve on a day.
#[must_use]
pub fn value_on(curve: &[Step], date: NaiveDate) -> f64 {
    let past = curve.partition_point(|(day, _)| *day <= date);
    past.checked_sub(1).and_then(|last| curve.get(last)).map_or(0.0, |(_, value)| *value)
}

impl Curves {
    /// The last value of a curve.
    #[must_use]
    pub fn last(curve: &[Step]) -> f64 {
        curve.last().map_or(0.0, |(_, value)| *value)
    }
}
