//! Axes: round numbers and months.

use chrono::{Datelike, Days, NaiveDate};

/// From values to places on the paper, in a straight line.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    /// The values at both ends.
    pub values: (f64, f64),
    /// The places at both ends.
    pub places: (f64, f64),
}

impl Scale {
    /// The place of a value.
    #[must_use]
    pub fn at(&self, value: f64) -> f64 {
        let ((from, to), (start, end)) = (self.values, self.places);
        let width = to - from;
        if width > 0.0 { start + (value - from) / width * (end - start) } else { start }
    }
}

/// Multiples of 1, 2 or 5 times a power of ten, from 0 up to `top`: about `most` steps at most.
#[must_use]
pub fn round_numbers(top: f64, most: f64) -> Vec<f64> {
    let rough = format!("{:e}", top / most);
    let (digits, power) = rough.split_once('e').unwrap_or((&rough, "0"));
    let digits: f64 = digits.parse().unwrap_or(1.0);
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|step| digits <= *step).unwrap_or(10.0);
    let times = |n: u32| format!("{}e{power}", step * f64::from(n)).parse::<f64>().unwrap_or(0.0);
    (0..=20).map(times).take_while(|value| *value <= top).collect()
}

/// A mark on the axis of time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Where.
    pub on: NaiveDate,
    /// What is written below it.
    pub label: String,
    /// The year, where it begins to hold.
    pub year: Option<String>,
}

/// The longest time that is marked by days, not by months.
const BY_DAYS: i64 = 70;
/// The most marks.
const MAX_TICKS: i64 = 8;

/// Marks on the first days of months, or on days where the time is short.
#[must_use]
pub fn marks(from: NaiveDate, to: NaiveDate) -> Vec<Mark> {
    let span = (to - from).num_days();
    if span <= BY_DAYS {
        let step = [1, 2, 3, 7, 14].into_iter().find(|step| span / step < MAX_TICKS).unwrap_or(14);
        let step = usize::try_from(step).unwrap_or(14);
        let dates = from.iter_days().take_while(|day| *day <= to).step_by(step);
        return with_years(dates, "%-d %b");
    }
    let months = span / 30;
    let step = [1, 2, 3, 6, 12, 24, 60, 120, 600].into_iter().find(|step| months / step <= MAX_TICKS).unwrap_or(1_200);
    let count = |day: &NaiveDate| i64::from(day.year()) * 12 + i64::from(day.month0());
    let firsts = from.iter_days().take_while(|day| *day <= to).filter(|day| day.day() == 1);
    let dates = firsts.filter(|day| count(day) % step == 0);
    if step < 12 {
        return with_years(dates, "%b");
    }
    dates.map(|on| Mark { on, label: on.format("%Y").to_string(), year: None }).collect()
}

fn with_years(dates: impl Iterator<Item = NaiveDate>, form: &str) -> Vec<Mark> {
    let mut shown = None;
    let mark = |on: NaiveDate| {
        let year = on.year();
        let begins = shown != Some(year);
        shown = Some(year);
        Mark { on, label: on.format(form).to_string(), year: begins.then(|| year.to_string()) }
    };
    dates.map(mark).collect()
}

/// A day that lies so many days earlier, or later where the number is below zero.
#[must_use]
pub fn earlier(date: NaiveDate, days: i64) -> NaiveDate {
    let by = Days::new(days.unsigned_abs());
    let moved = if days < 0 { date.checked_add_days(by) } else { date.checked_sub_days(by) };
    moved.unwrap_or(date)
}

/// Days from one to another, as a number.
#[must_use]
pub fn days_from(from: NaiveDate, to: NaiveDate) -> f64 {
    f64::from(i32::try_from((to - from).num_days()).unwrap_or(i32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn numbers_on_an_axis_are_round() {
        assert_eq!(round_numbers(449.596, 5.0), [0.0, 100.0, 200.0, 300.0, 400.0]);
        assert_eq!(round_numbers(1.0, 5.0), [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]);
        assert_eq!(round_numbers(0.003, 5.0), [0.0, 0.001, 0.002, 0.003]);
        for top in [1e-6, 0.07, 9.99, 12_345.0, 7e14] {
            let steps = round_numbers(top, 5.0);
            assert!((3..=6).contains(&steps.len()), "{top}: {steps:?}");
        }
    }

    #[test]
    fn time_is_marked_by_days_months_or_years() {
        let labels = |from, to| marks(day(from), day(to)).into_iter().map(|m| m.label).collect::<Vec<_>>();
        assert_eq!(
            labels("2027-04-01", "2027-04-20"),
            ["1 Apr", "4 Apr", "7 Apr", "10 Apr", "13 Apr", "16 Apr", "19 Apr"]
        );
        let season = marks(day("2026-11-14"), day("2027-07-31"));
        assert_eq!(season.iter().map(|m| m.label.as_str()).collect::<Vec<_>>()[..3], ["Dec", "Jan", "Feb"]);
        let years: Vec<_> = season.iter().filter_map(|m| m.year.as_deref()).collect();
        assert_eq!(years, ["2026", "2027"]);
        assert_eq!(labels("2026-09-14", "2036-09-13").first().map(String::as_str), Some("2028"));
        for to in ["2027-01-01", "2027-03-01", "2028-01-01", "2031-01-01", "2037-01-01", "2199-12-31"] {
            let count = marks(day("2027-01-01"), day(to)).len();
            assert!((1..=10).contains(&count), "{to}: {count} marks");
        }
    }
}
