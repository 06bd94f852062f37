//! The values of a bed as they are drawn for a run.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::clock::{Band, Clock};
use super::clocks::Clocks;
use super::pacing::Pacing;
use super::weather::WeatherDrawn;
use super::worms::Pace;
use crate::garden::assumptions::{Assumption, Castings, Known, Span};
use crate::garden::draws::{CastingsDrawn, Drawn, Run, Variable, Variables};
use crate::garden::figures::Off;
use crate::garden::formulas::{DAY, DryInStore, Kept, Row, SievedDry};
use crate::garden::refusal::Refusal;
use crate::garden::units::{Area, Density, Duration, FeedRate, Mass, ROUNDING_TOLERANCE, Share, Temperature};

/// The temperatures between which a day counts.
const BAND: [Assumption; 4] =
    [Assumption::StoppedBelow, Assumption::ComfortLow, Assumption::ComfortHigh, Assumption::StoppedAbove];

/// What the clock of a climate depends on, as drawn: the temperatures at which a day counts, and the weather.
#[derive(Debug, Clone, PartialEq)]
pub struct ClockDrawn {
    band: [Drawn; 4],
    weather: Option<WeatherDrawn>,
}

impl ClockDrawn {
    /// By what is known of the worms and of how years differ.
    #[must_use]
    pub fn new(clocks: &Clocks, known: Known<'_>, variables: &mut Variables) -> Self {
        let Self { band, .. } = Self::without_weather(known, variables);
        let weather = clocks.months().and_then(|months| {
            let spread = drawn(Assumption::YearToYear, known, variables);
            WeatherDrawn::new(months, spread, variables)
        });
        Self { band, weather }
    }

    /// The same, where every year is alike.
    #[must_use]
    pub fn without_weather(known: Known<'_>, variables: &mut Variables) -> Self {
        Self { band: BAND.map(|which| drawn(which, known, variables)), weather: None }
    }

    /// The clock of a run; `None` where it is the likely one. A draw whose temperatures do not rise is the likely band.
    #[must_use]
    pub fn clock(&self, clocks: &Clocks, run: &Run<'_>) -> Option<Clock> {
        if self.weather.is_none() && self.band.iter().all(Drawn::is_known) {
            return None;
        }
        let band = |of: &dyn Fn(&Drawn) -> f64| {
            let [below, low, high, above] = self.band.map(|drawn| Temperature::from_celsius(of(&drawn)));
            Band::new((below, above), (low, high)).ok()
        };
        let band = band(&|drawn| drawn.of(run)).or_else(|| band(&Drawn::likely))?;
        Some(self.weather.as_ref().map_or_else(|| clocks.by(band), |weather| clocks.in_weather(band, weather, run)))
    }
}

/// An assumption that has a value, drawn where it has a width.
pub(in crate::garden) fn drawn(which: Assumption, known: Known<'_>, variables: &mut Variables) -> Drawn {
    let span = known.get(which).map_or(Span::exactly(0.0), |assumed| assumed.span);
    variables.take(Variable::Assumption(which), span)
}

/// What sets the pace of worms, and what becomes of feed, as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct DrawnBed {
    carrying: Drawn,
    doubling: Drawn,
    feed_rate: Drawn,
    stocking: Drawn,
    finishing: Drawn,
    drying: Drawn,
    recovered: Drawn,
    loss: Drawn,
    sieve: Drawn,
    castings: CastingsDrawn,
    ash: Share,
}

impl DrawnBed {
    /// By what is known.
    ///
    /// # Errors
    /// What [`Castings::known`] refuses.
    pub fn new(ash: Share, known: Known<'_>, variables: &mut Variables) -> Result<Self, Refusal> {
        let castings = Castings::known(known, Off).map_err(|e| e.at("assumptions"))?;
        let mut take = |which| drawn(which, known, variables);
        Ok(Self {
            carrying: take(Assumption::CarryingCapacity),
            doubling: take(Assumption::DoublingTime),
            feed_rate: take(Assumption::FeedRate),
            stocking: take(Assumption::StockingDensity),
            finishing: take(Assumption::Finishing),
            drying: take(Assumption::Drying),
            recovered: take(Assumption::Recovered),
            loss: take(Assumption::OrganicMatterLoss),
            sieve: take(Assumption::SieveYield),
            castings: CastingsDrawn::new(&castings, known, variables),
            ash,
        })
    }

    /// What sets the pace on this ground in a run, with these worms at the start or as many as are stocked.
    pub fn pacing(&self, area: Area, worms: Option<Mass>, run: &Run<'_>) -> Pacing {
        let over = |drawn: &Drawn| Mass::from_kilograms(drawn.of(run) * area.square_metres());
        let start = worms.unwrap_or_else(|| over(&self.stocking));
        let doubling = Duration::from_hours(self.doubling.of(run));
        Pacing {
            pace: Pace::new(start, over(&self.carrying), doubling, FeedRate::from_base(self.feed_rate.of(run))),
            finishing: self.finishing.of(run) / DAY,
            drying: (self.drying.of(run) / DAY - ROUNDING_TOLERANCE).ceil(),
            recovered: Share::from_fraction(self.recovered.of(run)),
        }
    }

    /// Castings from feed, dry over dry: `ash + (1 - ash)(1 - lambda)`.
    pub fn kept(&self, run: &Run<'_>) -> f64 {
        Kept { x: self.ash.into(), lambda: Share::from_fraction(self.loss.of(run)).into() }.likely().fraction()
    }

    /// The share that passes the sieve.
    pub fn sieved(&self, run: &Run<'_>) -> f64 {
        self.sieve.of(run)
    }

    /// Bulk density and dry bulk density of castings in store, kg/m3.
    pub fn densities(&self, run: &Run<'_>) -> (f64, f64) {
        self.castings.densities(run)
    }

    /// What this dry matter of castings, kg, makes in store once sieved, L: `D x sieve yield / rho_d`.
    pub fn stored(&self, dry: f64, run: &Run<'_>) -> f64 {
        let (C, p) = (Mass::from_kilograms(dry).into(), Share::from_fraction(self.sieve.of(run)).into());
        let S = SievedDry { C, p }.likely().into();
        let rho_d = Density::from_kilograms_per_cubic_metre(self.castings.densities(run).1).into();
        DryInStore { S, rho_d }.likely().litres()
    }
}
