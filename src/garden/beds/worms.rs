//! Worms on the warm-day clock, in closed form: how many there are, what they have worked, how long they need.

use crate::garden::formulas::DAY;
use crate::garden::units::{Duration, FeedRate, Mass};
use libm::{exp, expm1, log, log1p};
use std::f64::consts::LN_2;

/// Above this exponent the great terms are taken out of the logarithm, before `exp` overflows. Source: tolerance of computing.
const GREAT: f64 = 700.0;
/// Below this growth the worms are taken as constant: the formulas agree there to the last digit. Source: tolerance of computing.
const STEADY: f64 = 1e-16;

/// The worms of one bed and how fast they grow and feed.
///
/// Growth: `dB/dtau = r B (1 - B/K)`; feeding: `dW/dtau = f B`, with tau in warm days. The closed forms hold for every start,
/// also above `K`, and in the limits `r = 0`, `B0 = K` and `K` without end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// `B0`, kg of live worms.
    start: f64,
    /// `r`, for a warm day.
    growth: f64,
    /// `K`, kg; infinite if nothing limits the worms.
    carries: f64,
    /// `f`, kg of dry feed for each kg of worms and warm day.
    feed_rate: f64,
}

impl Pace {
    /// Worms of this mass in a bed that carries so many, doubling at low density in so many warm days, feeding at this rate.
    /// `r = ln 2 / doubling time`. An infinite `carries` means no limit, an infinite doubling time no growth.
    #[must_use]
    pub fn new(start: Mass, carries: Mass, doubling: Duration, feed_rate: FeedRate) -> Self {
        let growth = LN_2 / (doubling.hours() / DAY);
        Self { start: start.kilograms(), growth, carries: carries.kilograms(), feed_rate: feed_rate.per_day() }
    }

    /// The same bed started with these worms.
    #[must_use]
    pub fn started_with(self, worms: Mass) -> Self {
        Self { start: worms.kilograms(), ..self }
    }

    /// The worms at the start.
    #[must_use]
    pub fn start(self) -> Mass {
        Mass::from_kilograms(self.start)
    }

    /// The worms that the bed carries.
    #[must_use]
    pub fn carries(self) -> Mass {
        Mass::from_kilograms(self.carries)
    }

    /// Answers "how many worms are there after so many warm days with feed?"
    ///
    /// `B(tau) = K / (1 + (K/B0 - 1) exp(-r tau))`; without a limit `B0 exp(r tau)`.
    #[must_use]
    pub fn worms_after(self, warm_days: f64) -> Mass {
        let full = self.start / self.carries;
        let less = exp(-self.growth * warm_days);
        Mass::from_kilograms(self.start / (full + (1.0 - full) * less))
    }

    /// Answers "how much dry feed have they worked after so many warm days with feed?"
    ///
    /// `W(tau) = f (K/r) ln(1 + (B0/K)(exp(r tau) - 1))`; with `r = 0` or `B0 = K` it is `f B0 tau`, without a limit
    /// `f B0 (exp(r tau) - 1) / r`.
    #[must_use]
    pub fn worked_after(self, warm_days: f64) -> Mass {
        let grown = self.growth * warm_days;
        let each = self.feed_rate * self.start;
        Mass::from_kilograms(if grown.abs() < STEADY {
            each * warm_days
        } else if self.carries.is_infinite() {
            each * expm1(grown) / self.growth
        } else {
            self.feed_rate * (self.carries / self.growth) * log_of_growth(self.start / self.carries, grown)
        })
    }

    /// Answers "how many warm days do they need to work this dry feed?" The inverse of [`Pace::worked_after`].
    ///
    /// `tau(W) = (1/r) ln(1 + (K/B0)(exp(r W / (f K)) - 1))`; with `r = 0` or `B0 = K` it is `W / (f B0)`, without a limit
    /// `ln(1 + r W / (f B0)) / r`.
    #[must_use]
    pub fn warm_days_for(self, dry_feed: Mass) -> f64 {
        let steady = dry_feed.kilograms() / (self.feed_rate * self.start);
        if (self.growth * steady).abs() < STEADY {
            steady
        } else if self.carries.is_infinite() {
            log1p(self.growth * steady) / self.growth
        } else {
            let full = self.start / self.carries;
            log_of_growth(1.0 / full, self.growth * steady * full) / self.growth
        }
    }

    /// Answers "how many worms are there once they have worked this dry feed?"
    ///
    /// `B(W) = K - (K - B0) exp(-r W / (f K))`, which is `B(tau(W))`; without a limit `B0 + r W / f`.
    #[must_use]
    pub fn worms_having_worked(self, dry_feed: Mass) -> Mass {
        let grown = self.growth * dry_feed.kilograms() / self.feed_rate;
        Mass::from_kilograms(if self.carries.is_infinite() {
            self.start + grown
        } else {
            self.start - (self.carries - self.start) * expm1(-grown / self.carries)
        })
    }
}

/// `ln(1 + share (exp(x) - 1))` for `x >= 0` and `share > 0`, without overflow.
fn log_of_growth(share: f64, x: f64) -> f64 {
    if x > GREAT { x + log(share + (1.0 - share) * exp(-x)) } else { log1p(share * expm1(x)) }
}
