//! The temperature in the bed, day by day: fixed, a daily series, or monthly means of the air.

use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Temperature, TemperatureDifference};
use chrono::{Datelike, NaiveDate};

/// Temperatures over the year.
#[derive(Debug, Clone, PartialEq)]
pub enum Climate {
    /// The bed has this temperature on every day.
    Fixed(Temperature),
    /// The bed's mean temperature of each day.
    Daily {
        /// The day of the first value.
        first_day: NaiveDate,
        /// One value for each day from then on.
        values: Vec<Temperature>,
    },
    /// Means of the air for January to December, alike in every year.
    MonthlyMeans {
        /// Twelve means.
        means: [Temperature; 12],
        /// What the bed is warmer than the air.
        offset: TemperatureDifference,
    },
}

impl Climate {
    /// Monthly means of the air and what the bed is warmer.
    ///
    /// # Errors
    /// `inconsistent_assumptions` if there are not twelve, `out_of_range` beyond -60 to 100 C.
    pub fn monthly(means: &[Temperature], offset: TemperatureDifference) -> Result<Self, Refusal> {
        let Ok(means) = <[Temperature; 12]>::try_from(means) else {
            let detail =
                format!("monthly_means needs twelve values, from January to December; this list has {}", means.len());
            return Err(Refusal::new(Reason::InconsistentAssumptions, detail).at("monthly_means"));
        };
        let climate = Self::MonthlyMeans { means, offset };
        climate.check()?;
        Ok(climate)
    }

    /// A series of dates and temperatures in the bed, one for each day, in the order of the dates.
    ///
    /// # Errors
    /// `missing_field` if there are none or a day is missing between two others (the first one is named);
    /// `dates_out_of_order` if a day comes twice or too early; `out_of_range` beyond -60 to 100 C.
    pub fn dated(series: &[(NaiveDate, Temperature)]) -> Result<Self, Refusal> {
        let Some(((first_day, _), (last_day, _))) = series.first().copied().zip(series.last().copied()) else {
            return Err(Refusal::new(Reason::MissingField, "daily temperatures need at least one day"));
        };
        let mut due = Some(first_day);
        for (day, _) in series {
            match due {
                Some(due) if *day > due => return Err(hole(due, (first_day, last_day))),
                Some(due) if *day < due => {
                    let detail =
                        format!("give one temperature for each day, in order; {day} comes where {due} belongs");
                    return Err(Refusal::new(Reason::DatesOutOfOrder, detail));
                }
                _ => due = day.succ_opt(),
            }
        }
        let climate = Self::Daily { first_day, values: series.iter().map(|(_, value)| *value).collect() };
        climate.check()?;
        Ok(climate)
    }

    /// The temperature in the bed for each day from `first` to `last`. A month's curve is two straight lines between knots
    /// `(M_prev + M)/2` and `(M + M_next)/2` at its edges and `2 M - (b0 + b1)/2` in its middle, so that it keeps its mean; a
    /// day's value is the exact mean of the curve over the day.
    ///
    /// # Errors
    /// `dates_out_of_order` if `last` is before `first`; `out_of_range` for a span above ten years or temperatures beyond -60
    /// to 100 C; `missing_field` if a day has no temperature (the first one is named).
    pub fn days(&self, first: NaiveDate, last: NaiveDate) -> Result<Vec<f64>, Refusal> {
        self.check()?;
        let count = span(first, last)?;
        match self {
            Self::Fixed(temperature) => Ok(vec![temperature.celsius(); count]),
            Self::Daily { first_day, values } => {
                let before = usize::try_from(first.signed_duration_since(*first_day).num_days());
                let before = before.map_err(|_| hole(first, (first, last)))?;
                let days: Vec<f64> = values.iter().skip(before).take(count).map(|t| t.celsius()).collect();
                match (days.iter().position(|t| !t.is_finite()), days.len() < count) {
                    (Some(at), _) => Err(hole(after(first, at), (first, last))),
                    (None, true) => Err(hole(after(first, days.len()), (first, last))),
                    (None, false) => Ok(days),
                }
            }
            Self::MonthlyMeans { means, offset } => {
                let offset = offset.kelvins();
                Ok(first.iter_days().take(count).map(|day| mean_of_day(means, day) + offset).collect())
            }
        }
    }

    /// The last day that has a temperature; `None` where every day has one.
    #[must_use]
    pub fn last_day(&self) -> Option<NaiveDate> {
        match self {
            Self::Daily { first_day, values } => Some(after(*first_day, values.len().saturating_sub(1))),
            Self::Fixed(_) | Self::MonthlyMeans { .. } => None,
        }
    }

    /// True if one year differs from another in it: monthly means are those of many years.
    #[must_use]
    pub fn years_differ(&self) -> bool {
        matches!(self, Self::MonthlyMeans { .. })
    }

    fn check(&self) -> Result<(), Refusal> {
        let (min, max) = Dimension::Temperature.bounds();
        // A value that is no number is a hole in the series, reported with its day.
        let fits = |t: f64| t >= min && t <= max;
        let (least, greatest) = Dimension::TemperatureDifference.bounds();
        let fine = match self {
            Self::Fixed(t) => fits(t.celsius()),
            Self::Daily { values, .. } => values.iter().all(|t| t.celsius().is_nan() || fits(t.celsius())),
            Self::MonthlyMeans { means, offset } => {
                means.iter().all(|t| fits(t.celsius())) && (least..=greatest).contains(&offset.kelvins())
            }
        };
        if fine {
            return Ok(());
        }
        let detail =
            format!("a temperature must be from {min} to {max} C, and a difference from {least} to {greatest} C");
        Err(Refusal::new(Reason::OutOfRange, detail).between(min, max))
    }
}

/// How many days from `first` to `last`, both counted.
fn span(first: NaiveDate, last: NaiveDate) -> Result<usize, Refusal> {
    let days = last.signed_duration_since(first).num_days();
    if days < 0 {
        let detail = format!("the start, {first}, is after the end, {last}; give an earlier start or a later end");
        return Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("start_on"));
    }
    if days > MAX_SPAN_DAYS {
        let detail = format!("a forecast covers at most {MAX_SPAN_DAYS} days (ten years); give an earlier end");
        return Err(Refusal::new(Reason::OutOfRange, detail));
    }
    usize::try_from(days).map(|d| d + 1).map_err(|_| Refusal::new(Reason::OutOfRange, "too many days"))
}

fn after(first: NaiveDate, days: usize) -> NaiveDate {
    first.iter_days().nth(days).unwrap_or(first)
}

fn hole(day: NaiveDate, (first, last): (NaiveDate, NaiveDate)) -> Refusal {
    let detail = format!(
        "there is no temperature for {day}; give one for each day from {first} to {last}, or give monthly_means"
    );
    Refusal::new(Reason::MissingField, detail).at("climate")
}

fn mean_of_day(means: &[Temperature; 12], day: NaiveDate) -> f64 {
    let month = usize::try_from(day.month0()).unwrap_or(0);
    let mean = |shift: usize| means.get((month + shift) % 12).map_or(f64::NAN, |t| t.celsius());
    of_day([mean(11), mean(0), mean(1)], day)
}

/// The mean of a day by the means of the month before, its own and the month after.
pub(super) fn of_day([before, m, after]: [f64; 3], day: NaiveDate) -> f64 {
    let length = days_of(day);
    let (b0, b1) = ((before + m) / 2.0, (m + after) / 2.0);
    let middle = 2.0 * m - (b0 + b1) / 2.0;
    let half = length / 2.0;
    let at = |x: f64| {
        if x <= half { b0 + (middle - b0) * (x / half) } else { middle + (b1 - middle) * ((x - half) / half) }
    };
    let (start, end) = (f64::from(day.day0()), f64::from(day.day()));
    if start < half && half < end {
        // The day with the knot in its middle: two half days.
        return ((at(start) + middle) / 2.0 + (middle + at(end)) / 2.0) / 2.0;
    }
    at((start + end) / 2.0)
}

fn days_of(day: NaiveDate) -> f64 {
    f64::from(day.num_days_in_month())
}
