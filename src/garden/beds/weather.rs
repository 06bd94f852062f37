//! The weather of single years: by how much the months of a run depart from their long-term means.

use super::climate::{Climate, of_day};
use crate::garden::draws::{Drawn, Run, Uniform, Variable, Variables, normal};
use chrono::{Datelike, NaiveDate};

/// The share of a month's departure that is carried over to the next. Source: lag-1 autocorrelation 0.24 of the monthly means of central
/// England 1878-2015 without their trend (computed from the series of Manley 1974 and of Parker, Legg & Folland 1992).
const CARRIED_OVER: f64 = 0.25;
/// Months before the first whose weather still counts: 0.25 to this power is nothing. Source: tolerance of computing.
const MEMORY: u32 = 8;
/// Months of a year. Source: identity.
const MONTHS: u32 = 12;

/// How the days of monthly means follow the months around them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Months {
    /// The first month, counted from January of year 0.
    first: u32,
    /// For each day of each month what a degree of the month before, of its own and of the month after makes, C.
    days: Vec<Vec<[f64; 3]>>,
}

impl Months {
    /// Those of so many days; `None` if the temperatures are no monthly means.
    pub fn of(climate: &Climate, (first, count): (NaiveDate, usize)) -> Option<Self> {
        if !climate.years_differ() {
            return None;
        }
        let month = |day: NaiveDate| day.year_ce().1 * MONTHS + day.month0();
        let (mut days, mut last): (Vec<Vec<[f64; 3]>>, Option<u32>) = (Vec::new(), None);
        for day in first.iter_days().take(count) {
            if last.replace(month(day)) != Some(month(day)) {
                days.push(Vec::new());
            }
            let weights = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(|degree| of_day(degree, day));
            days.last_mut()?.push(weights);
        }
        Some(Self { first: month(first), days })
    }
}

/// The departures of the months, as drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct WeatherDrawn {
    spread: Drawn,
    /// One for each month from [`MEMORY`] months before the month before the first.
    months: Vec<Uniform>,
}

impl WeatherDrawn {
    /// With this standard deviation from year to year; `None` where every year is alike.
    pub fn new(months: &Months, spread: Drawn, variables: &mut Variables) -> Option<Self> {
        if spread.is_known() && spread.likely() <= 0.0 {
            return None;
        }
        let after = months.first.saturating_add(u32::try_from(months.days.len()).unwrap_or(u32::MAX));
        let all = months.first.saturating_sub(1 + MEMORY)..=after;
        Some(Self { spread, months: all.map(|month| variables.uniform(Variable::Weather(month))).collect() })
    }

    /// The temperatures of the days in a run: each month's mean departs by a normal distribution, a part of it carried over.
    pub fn days(&self, (months, means): (&Months, &[f64]), run: &Run<'_>) -> Vec<f64> {
        let spread = self.spread.of(run);
        let fresh = spread * (1.0 - CARRIED_OVER * CARRIED_OVER).sqrt();
        let mut departure = None;
        let departures: Vec<f64> = self
            .months
            .iter()
            .map(|month| {
                let z = normal(month.of(run));
                *departure.insert(departure.map_or(spread * z, |before: f64| CARRIED_OVER * before + fresh * z))
            })
            .collect();
        let around = departures.windows(3).skip(departures.len().saturating_sub(months.days.len() + 2));
        let of_months = around.zip(&months.days).flat_map(|(around, days)| {
            days.iter().map(move |weights| weights.iter().zip(around).map(|(weight, by)| weight * by).sum::<f64>())
        });
        means.iter().zip(of_months).map(|(mean, by)| mean + by).collect()
    }
}
