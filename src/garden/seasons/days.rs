//! Dates of a season as days since its first date.

use super::plan::{Season, SeasonPlan};
use crate::garden::balances::allocation::Window;
use crate::garden::cautions::waiting::Limit;
use chrono::NaiveDate;

/// Later than every date. Source: how this service works.
pub(super) const NEVER: f64 = f64::INFINITY;

/// Counts the days of a season from its first date.
#[derive(Debug, Clone, Copy)]
pub(super) struct Days {
    epoch: NaiveDate,
    until: NaiveDate,
}

impl Days {
    /// From the first date of stock, demands and beds on.
    pub fn of(season: &Season<'_>, plan: &SeasonPlan) -> Self {
        let windows = season.stock.iter().map(|(lot, _)| lot.window);
        let parts = || plan.requirements.iter().flat_map(|requirement| &requirement.parts);
        let all = windows.chain(parts().map(|part| part.window)).flat_map(|w| [w.first, w.last]).flatten();
        // What may be drawn on until a day alone can be on that day.
        let limits = parts().flat_map(|part| [part.eligibility.treated, part.eligibility.untreated]);
        let all = all.chain(limits.filter_map(|limit| if let Limit::Until(day) = limit { Some(day) } else { None }));
        let starts = season.beds.iter().map(|bed| bed.bed.start_on);
        let epoch = all.chain(starts).chain([season.until]).min().unwrap_or(season.until);
        Self { epoch, until: season.until }
    }

    /// Days since the first date.
    pub fn day(&self, date: NaiveDate) -> f64 {
        i32::try_from(date.signed_duration_since(self.epoch).num_days()).map_or(f64::MAX, f64::from)
    }

    /// The date of a day.
    pub fn date(&self, day: f64) -> NaiveDate {
        #[expect(clippy::as_conversions, reason = "a whole number of days between dates of the calendar")]
        let days = chrono::Days::new(day.max(0.0) as u64);
        self.epoch.checked_add_days(days).unwrap_or(self.epoch)
    }

    /// The first and the last day of a range. What is open starts on the first date, and ends on the last day of the season.
    pub fn span(&self, window: Window) -> (f64, f64) {
        (window.first.map_or(0.0, |date| self.day(date)), self.day(window.last.unwrap_or(self.until)))
    }
}

/// Days in order, each once.
pub(super) fn in_order(days: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut days: Vec<f64> = days.collect();
    days.sort_by(f64::total_cmp);
    days.dedup();
    days
}
