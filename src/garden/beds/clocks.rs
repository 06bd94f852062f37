//! The clocks of one climate, and its days.

use super::climate::Climate;
use super::clock::{Band, Clock, Deadly, HIDES_HEAT, SAME, floor_to_index, kills, morning, whole_days};
use super::weather::{Months, WeatherDrawn};
use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::draws::Run;
use crate::garden::refusal::Refusal;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfTemperature;
use chrono::{Days, NaiveDate};

/// The three clocks of one climate: by the likely band of temperature, and by the ends of the assumptions on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Clocks {
    first: NaiveDate,
    last: NaiveDate,
    slow: Clock,
    likely: Clock,
    quick: Clock,
    /// Mean temperatures of the days, C.
    days: Vec<f64>,
    /// How these follow the months, where they are of monthly means.
    months: Option<Months>,
    deadly: Vec<(usize, Deadly)>,
    /// The assumptions on temperature.
    pub assumed: Vec<Assumed>,
}

impl Clocks {
    /// Builds the clocks of a climate for the days from `first` to `last`, both counted. Beds under one climate may share them.
    ///
    /// # Errors
    /// What [`Climate::days`] and [`Band::new`] refuse.
    pub fn new(climate: &Climate, (first, last): (NaiveDate, NaiveDate), known: Known<'_>) -> Result<Self, Refusal> {
        let days = climate.days(first, last)?;
        let mut assumed = Vec::with_capacity(4);
        let mut take = |assumption| -> Estimate<OfTemperature> {
            let (estimate, used) = known.estimate(assumption);
            assumed.extend(used);
            estimate
        };
        let below = take(Assumption::StoppedBelow);
        let (low, high) = (take(Assumption::ComfortLow), take(Assumption::ComfortHigh));
        let above = take(Assumption::StoppedAbove);
        let likely = Band::new((below.likely(), above.likely()), (low.likely(), high.likely()))?;
        let slow = Band::new((below.high(), above.low()), (low.high(), high.low())).unwrap_or(likely);
        let quick = Band::new((below.low(), above.high()), (low.low(), high.high())).unwrap_or(likely);
        let deadly = days.iter().enumerate().filter_map(|(i, t)| kills(*t).map(|why| (i, why))).collect();
        let months = Months::of(climate, (first, days.len()));
        Ok(Self {
            first,
            last,
            slow: Clock::new(&days, slow),
            likely: Clock::new(&days, likely),
            quick: Clock::new(&days, quick),
            deadly,
            months,
            days,
            assumed,
        })
    }

    /// The first day.
    #[must_use]
    pub fn first(&self) -> NaiveDate {
        self.first
    }

    /// The last day.
    #[must_use]
    pub fn last(&self) -> NaiveDate {
        self.last
    }

    /// Answers "how many warm days lie between the mornings of these two dates?" by the likely band.
    #[must_use]
    pub fn warm_days(&self, from: NaiveDate, to: NaiveDate) -> f64 {
        self.likely.at(self.time(to).max(0.0)) - self.likely.at(self.time(from).max(0.0))
    }

    /// The first deadly day on or after a date.
    #[must_use]
    pub fn deadly_from(&self, date: NaiveDate) -> Option<(NaiveDate, Deadly)> {
        let at = self.time(date);
        let (day, why) = self.deadly.iter().find(|(day, _)| whole_days(*day) >= at)?;
        Some((self.on_day(whole_days(*day)), *why))
    }

    /// True if monthly means are so high from a date on that they may hide deadly days.
    #[must_use]
    pub fn hides_heat_from(&self, date: NaiveDate) -> bool {
        self.months.is_some() && self.days.iter().skip(floor_to_index(self.time(date))).any(|t| *t > HIDES_HEAT)
    }

    /// Warm days between two times on the quickest clock: no drawn one counts more.
    pub(in crate::garden) fn most_warm_days(&self, from: f64, to: f64) -> f64 {
        self.quick.at(to.min(whole_days(self.quick.sums.len()))) - self.quick.at(from)
    }

    /// How many days there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.quick.sums.len().saturating_sub(1)
    }

    /// The last deadly day before a date.
    #[must_use]
    pub fn deadly_before(&self, date: NaiveDate) -> Option<(NaiveDate, Deadly)> {
        let at = self.time(date);
        let (day, why) = self.deadly.iter().rev().find(|(day, _)| whole_days(*day) < at)?;
        Some((self.on_day(whole_days(*day)), *why))
    }

    /// The clock by the likely band.
    #[must_use]
    pub fn likely(&self) -> &Clock {
        &self.likely
    }

    /// The clock by another band.
    #[must_use]
    pub fn by(&self, band: Band) -> Clock {
        Clock::new(&self.days, band)
    }

    /// True if one year differs from another in this climate.
    #[must_use]
    pub fn years_differ(&self) -> bool {
        self.months.is_some()
    }

    /// How the days follow the months, where years differ.
    pub(super) fn months(&self) -> Option<&Months> {
        self.months.as_ref()
    }

    /// The clock by another band and with the weather of a run.
    pub(super) fn in_weather(&self, band: Band, weather: &WeatherDrawn, run: &Run<'_>) -> Clock {
        let Some(months) = &self.months else { return self.by(band) };
        let days = weather.days((months, &self.days), run);
        let deadly = days.iter().enumerate().filter(|(_, t)| kills(**t).is_some()).map(|(day, _)| whole_days(day));
        Clock { deadly: Some(deadly.collect()), ..Clock::new(&days, band) }
    }

    /// The slow, the likely and the quick clock.
    pub(super) fn three(&self) -> [&Clock; 3] {
        [&self.slow, &self.likely, &self.quick]
    }

    /// The morning of a date, in days since the first morning.
    pub(in crate::garden) fn time(&self, date: NaiveDate) -> f64 {
        let days = date.signed_duration_since(self.first).num_days();
        i32::try_from(days).map_or(f64::MAX, f64::from)
    }

    /// The day on which something happens.
    pub(in crate::garden) fn on_day(&self, time: f64) -> NaiveDate {
        self.first.checked_add_days(Days::new(floor_to_index(time + SAME).try_into().unwrap_or(0))).unwrap_or(self.last)
    }

    /// The first morning on which something has happened.
    pub(super) fn by_morning(&self, time: f64) -> NaiveDate {
        self.on_day(morning(time))
    }
}
