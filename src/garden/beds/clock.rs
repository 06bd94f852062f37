//! The warm-day clock: a day in the comfort band counts one, a colder or hotter day less, down to nothing.

use crate::garden::closed_list::closed_list;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Temperature;
use crate::garden::units::round::few_digits;

/// At or below this temperature in the bed worms die. Source: survival from about 3 to 35 C (table after Edwards 1988, read in a
/// stored copy).
pub const FROST: Temperature = Temperature::from_celsius(0.0);
/// At or above this temperature in the bed worms die. Source: 35 C lethal (after Edwards 1988).
pub const HEAT: Temperature = Temperature::from_celsius(35.0);
/// Above this temperature monthly means may hide a deadly day, C. Source: assumption: 7 C below the deadly 35 C.
pub(super) const HIDES_HEAT: f64 = 28.0;
/// Times closer than this, in days, are one: about a second. Source: tolerance of computing.
pub(super) const SAME: f64 = 1e-5;

/// Warm days closer than this are one. Source: tolerance of computing.
const ROUNDING: f64 = 1e-9;

closed_list! {
    /// Why the worms die.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Deadly {
        /// [`FROST`] or colder.
        Frost = "frost",
        /// [`HEAT`] or hotter.
        Heat = "heat",
    }
}

impl Deadly {
    /// What keeps the worms alive.
    #[must_use]
    pub const fn remedy(self) -> &'static str {
        match self {
            Self::Frost => "keep the bed above freezing (cover it, or bring it in)",
            Self::Heat => "keep the bed below 35 C, which is 95 F (shade, water and air it)",
        }
    }
}

/// The temperatures between which a day counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    low: f64,
    comfort_low: f64,
    comfort_high: f64,
    high: f64,
}

impl Band {
    /// A band from its four temperatures.
    ///
    /// # Errors
    /// `inconsistent_assumptions` unless stopped below < comfort low <= comfort high < stopped above.
    pub fn new(stopped: (Temperature, Temperature), comfort: (Temperature, Temperature)) -> Result<Self, Refusal> {
        let (low, high) = (stopped.0.celsius(), stopped.1.celsius());
        let (comfort_low, comfort_high) = (comfort.0.celsius(), comfort.1.celsius());
        if low < comfort_low && comfort_low <= comfort_high && comfort_high < high {
            return Ok(Self { low, comfort_low, comfort_high, high });
        }
        let [low, comfort_low, comfort_high, high] = few_digits([low, comfort_low, comfort_high, high]);
        let detail = format!(
            "worms.stopped_below, comfort_low, comfort_high and stopped_above must rise, as in 4, 18, 25, 32 C; here \
             they are {low}, {comfort_low}, {comfort_high}, {high} C"
        );
        Err(Refusal::new(Reason::InconsistentAssumptions, detail).at("assumptions"))
    }

    /// What a day of this temperature counts: `g = max(0, min(1, (T - T0)/(T1 - T0), (T3 - T)/(T3 - T2)))`.
    #[must_use]
    pub fn counts(self, day: Temperature) -> f64 {
        self.of(day.celsius())
    }

    fn of(self, t: f64) -> f64 {
        let rising = (t - self.low) / (self.comfort_low - self.low);
        let falling = (self.high - t) / (self.high - self.comfort_high);
        rising.min(falling).clamp(0.0, 1.0)
    }
}

/// Warm days gone by since the first day, for one band. Times are days since the start of the first day.
#[derive(Debug, Clone, PartialEq)]
pub struct Clock {
    /// `sums[i]`: warm days before day i; one more entry than days. Never falls.
    pub(super) sums: Vec<f64>,
    /// The deadly mornings, where the days are other than those of the climate.
    pub(super) deadly: Option<Vec<f64>>,
}

impl Clock {
    pub(super) fn new(days: &[f64], band: Band) -> Self {
        // A run of equal days is one product, so that equal climates give equal sums.
        let mut sums = Vec::with_capacity(days.len() + 1);
        let (mut before, mut run, mut counts, mut last) = (0.0, 0.0, 0.0, f64::NAN);
        sums.push(0.0);
        for day in days {
            if *day != last {
                before += run * counts;
                (run, counts, last) = (0.0, band.of(*day), *day);
            }
            run += 1.0;
            sums.push(before + run * counts);
        }
        Self { sums, deadly: None }
    }

    /// The first deadly morning from this time on, or the end of the days, where the days are other than those of the climate.
    pub(super) fn end_from(&self, start: f64) -> Option<f64> {
        let deadly = self.deadly.as_ref()?.iter().find(|day| **day >= start);
        Some(deadly.copied().unwrap_or_else(|| whole_days(self.sums.len().saturating_sub(1))))
    }

    /// Warm days gone by at this time.
    pub(in crate::garden) fn at(&self, time: f64) -> f64 {
        let day = floor_to_index(time);
        let before = self.sums.get(day).or(self.sums.last()).copied().unwrap_or(0.0);
        let after = self.sums.get(day.saturating_add(1)).copied().unwrap_or(before);
        before + (after - before) * (time - time.floor())
    }

    /// The first time, not before `from`, at which so many more warm days have gone by; `None` if it is not by `end`.
    pub(in crate::garden) fn after(&self, from: f64, warm_days: f64, end: f64) -> Option<f64> {
        if from > end + SAME {
            return None;
        }
        if warm_days <= 0.0 {
            return Some(from);
        }
        let target = self.at(from) + warm_days;
        // A rounding must not carry the end over a winter in which no time counts.
        let day = self.sums.partition_point(|sum| *sum < target - ROUNDING);
        let high = self.sums.get(day).copied()?;
        let low = self.sums.get(day.checked_sub(1)?).copied()?;
        let left = if high > low && target < high { (high - target) / (high - low) } else { 0.0 };
        let time = whole_days(day) - left;
        (time <= end + SAME).then_some(time.max(from))
    }

    /// The last morning from which so many warm days go by until `by`; `None` if there is none.
    pub(in crate::garden) fn latest(&self, by: f64, warm_days: f64) -> Option<f64> {
        let target = self.at(by.max(0.0)) - warm_days + ROUNDING;
        let day = self.sums.partition_point(|sum| *sum <= target).checked_sub(1)?;
        Some(whole_days(day).min(by.floor())).filter(|day| *day >= 0.0)
    }
}

/// The first morning not before this time.
pub(in crate::garden) fn morning(time: f64) -> f64 {
    (time - SAME).ceil().max(0.0)
}

pub(super) fn kills(t: f64) -> Option<Deadly> {
    if t <= FROST.celsius() { Some(Deadly::Frost) } else { (t >= HEAT.celsius()).then_some(Deadly::Heat) }
}

pub(super) fn floor_to_index(time: f64) -> usize {
    #[expect(clippy::as_conversions, reason = "a float to integer cast saturates; negative and NaN become 0")]
    {
        time as usize
    }
}

pub(super) fn whole_days(day: usize) -> f64 {
    u32::try_from(day).map_or(f64::MAX, f64::from)
}
