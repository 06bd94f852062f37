//! The curves of the chart: castings come, wanted and on hand over time, and where they are too few.

use super::Ledger;
use super::axes::{days_from, earlier};
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
    /// Castings that have come, given or not.
    pub come: Vec<Step>,
    /// Castings wanted by then.
    pub wanted: Vec<Step>,
    /// Castings on hand.
    pub on_hand: Vec<Step>,
    /// Castings that so many of 100 runs do not pass: 10, and 90. Empty where nothing is uncertain.
    pub band: Vec<(NaiveDate, f64, f64)>,
    /// Where fewer have come than are wanted.
    pub gaps: Vec<Gap>,
    /// The day from which most are missing.
    pub worst: Option<Gap>,
    /// The highest value.
    pub top: f64,
}

/// A time in which fewer have come than are wanted.
#[derive(Debug, Clone, Copy)]
pub struct Gap {
    /// Its first day.
    pub from: NaiveDate,
    /// The day on which it ends.
    pub to: NaiveDate,
    /// Come.
    pub come: f64,
    /// Wanted.
    pub wanted: f64,
}

/// Differences below this part of the highest value are rounding.
const ROUNDING: f64 = 1e-6;

/// The curves; none where there are no dates.
#[must_use]
pub fn curves(ledger: &Ledger<'_>) -> Option<Curves> {
    let wanted = ledger.wanted_by();
    let runs = ledger.chances.map(|chances| chances.ready.as_slice()).unwrap_or_default();
    let days = || ledger.by_date.iter().map(|day| day.date);
    let all = || days().chain(wanted.iter().map(|(date, _)| *date)).chain(runs.iter().map(|on| on.date));
    let (first, last) = (all().min()?, all().chain(ledger.until).max()?);
    // A little room on both sides, so that a step on the first or the last day is seen.
    let room = ((last - first).num_days() / 25).max(1);
    let (from, to) = (earlier(first, room), earlier(last, -room));
    let mut sum = ledger.there_at_first();
    let mut come = vec![(from, sum)];
    for day in ledger.by_date {
        sum += day.arrived.value.get();
        come.push((day.date, sum));
    }
    let before = std::iter::once((from, ledger.opening.value.get()));
    let on_hand: Vec<Step> = before.chain(ledger.by_date.iter().map(|day| (day.date, day.left.value.get()))).collect();
    let wanted: Vec<Step> = std::iter::once((from, 0.0)).chain(wanted).collect();
    let mut band: Vec<_> =
        runs.iter().map(|on| (on.date, on.volume.p10.value.get(), on.volume.p90.value.get())).collect();
    let highest = come.iter().chain(&wanted).chain(&on_hand).map(|(_, value)| *value);
    let top = highest.chain(band.iter().map(|(_, _, high)| *high)).fold(0.0, f64::max);
    if band.iter().all(|(_, low, high)| high - low <= top * ROUNDING) {
        band.clear();
    }
    let gaps = gaps((&come, &wanted), to, top * ROUNDING);
    let missing = |gap: &Gap| gap.wanted - gap.come;
    let worst = gaps.iter().copied().reduce(|a, b| if missing(&b) > missing(&a) + top * ROUNDING { b } else { a });
    Some(Curves { from, to, come, wanted, on_hand, band, gaps, worst, top })
}

fn gaps((come, wanted): (&[Step], &[Step]), end: NaiveDate, rounding: f64) -> Vec<Gap> {
    let mut days: Vec<NaiveDate> = come.iter().chain(wanted).map(|(date, _)| *date).chain([end]).collect();
    days.sort_unstable();
    days.dedup();
    let pairs = days.iter().zip(days.iter().skip(1));
    let gap = |(from, to): (&NaiveDate, &NaiveDate)| Gap {
        from: *from,
        to: *to,
        come: value_on(come, *from),
        wanted: value_on(wanted, *from),
    };
    pairs.map(gap).filter(|gap| gap.wanted - gap.come > rounding).collect()
}

/// The value of a curve on a day.
#[must_use]
pub fn value_on(curve: &[Step], date: NaiveDate) -> f64 {
    let past = curve.partition_point(|(day, _)| *day <= date);
    past.checked_sub(1).and_then(|last| curve.get(last)).map_or(0.0, |(_, value)| *value)
}

impl Curves {
    /// Days from the first day shown.
    #[must_use]
    pub fn days(&self, date: NaiveDate) -> f64 {
        days_from(self.from, date)
    }

    /// The last value of a curve.
    #[must_use]
    pub fn last(curve: &[Step]) -> f64 {
        curve.last().map_or(0.0, |(_, value)| *value)
    }
}
