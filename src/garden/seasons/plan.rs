//! The plan: what the beds are forecast to give joins the stock, and the balance shares it out.

use crate::garden::assumptions::CountedBy;
use crate::garden::assumptions::Span;
use crate::garden::assumptions::{Assumed, Assumption, Known, Overrides};
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::figures::{Availability, BalanceFigures, StockFigure};
use crate::garden::balances::size::Size;
use crate::garden::balances::{Balance, Requirement, Terms, balance_with};
use crate::garden::beds::{Bed, Clocks, Forecast, MAX_LAYERS_TOGETHER, forecast_on};
use crate::garden::cautions::waiting::Manure;
use crate::garden::figures::{Recorder, WholeVolume};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Millilitres;
use crate::garden::work::Work;
use chrono::NaiveDate;

/// What makes an amount uncertain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Factor {
    /// The caller's own range, in the amount's unit.
    Range(Span),
    /// Given by mass, dry mass or a nutrient: the volume depends on how much of that castings hold.
    By(CountedBy),
    /// A tea: the castings depend on how many go into its water.
    ByStrength,
}

/// An amount of castings, with what makes it uncertain.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Amount {
    /// What makes it uncertain; none if it is known.
    pub factors: Vec<Factor>,
    /// What the item knows better.
    pub overrides: Overrides,
}

impl Amount {
    /// Whether it counts what castings hold: its volume then depends on the lots that it is drawn from.
    #[must_use]
    pub fn is_counted(&self) -> bool {
        self.factors.iter().any(|factor| matches!(factor, Factor::By(_)))
    }
}

/// A bed of the season.
#[derive(Debug, Clone)]
pub struct BedPlan<'a> {
    /// The bed.
    pub bed: Bed,
    /// Its temperatures, to the last day of the season.
    pub clocks: &'a Clocks,
    /// What is known better for it.
    pub overrides: &'a Overrides,
    /// What is known about manure in its feed.
    pub manure: Manure,
}

impl BedPlan<'_> {
    /// What is assumed of it besides what its forecast assumes, where the season is played in many runs.
    #[must_use]
    pub fn assumed_in_runs(&self, request: &Overrides) -> Option<Assumed> {
        let known = Known { request, item: self.overrides };
        known.get(Assumption::YearToYear).filter(|_| self.clocks.years_differ())
    }
}

/// A season.
#[derive(Debug, Clone)]
pub struct Season<'a> {
    /// The beds.
    pub beds: Vec<BedPlan<'a>>,
    /// The lots in stock or to come from elsewhere, with what makes each uncertain.
    pub stock: Vec<(Lot, Amount)>,
    /// The demands, with what makes each uncertain.
    pub requirements: Vec<(Requirement, Amount)>,
    /// The last day.
    pub until: NaiveDate,
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
    /// What a bought sack holds.
    pub sack: Option<Millilitres>,
    /// What the request knows better.
    pub request: &'a Overrides,
    /// Work of the same answer beside this season.
    pub beside: Work,
}

/// A season as planned, at the likely values.
#[derive(Debug, Clone)]
pub struct SeasonPlan {
    /// The forecasts, in the order of the beds.
    pub forecasts: Vec<Forecast>,
    /// The lots: those of the stock, then those of the beds.
    pub lots: Vec<Lot>,
    /// The demands.
    pub requirements: Vec<Requirement>,
    /// Who gets what.
    pub balance: Balance,
    /// How much work it was to share.
    pub sharing: Work,
}

/// Answers "what do the beds give, and who gets it?" at the likely values.
///
/// A bed's lot is there from its likely day on and does not expire; its amount is the likely one, in whole millilitres. What a
/// bed gives after the last day of the season stays out.
///
/// # Errors
/// What [`forecast_on`] refuses, with the place of the bed; without one, `too_large` above [`MAX_LAYERS_TOGETHER`], and what [`Size::check`]
/// refuses.
pub fn plan(season: &Season<'_>, recorder: impl Recorder) -> Result<SeasonPlan, (Option<usize>, Refusal)> {
    let mut forecasts: Vec<Forecast> = Vec::with_capacity(season.beds.len());
    let mut layers = 0_usize;
    for (i, bed) in season.beds.iter().enumerate() {
        let known = Known { request: season.request, item: bed.overrides };
        let forecast = forecast_on(&bed.bed, bed.clocks, known, recorder).map_err(|refusal| (Some(i), refusal))?;
        layers = layers.saturating_add(forecast.layers.len());
        if layers > MAX_LAYERS_TOGETHER {
            let detail = format!(
                "the beds have more than {MAX_LAYERS_TOGETHER} layers; use thicker layers or fewer days, or split \
                 the request"
            );
            return Err((None, Refusal::new(Reason::TooLarge, detail).at("worm_beds")));
        }
        forecasts.push(forecast);
    }
    let stock = season.stock.iter().enumerate();
    let mut lots: Vec<Lot> = stock.map(|(i, (lot, _))| Lot { source: LotSource::Stock(i), ..*lot }).collect();
    for (bed, (planned, forecast)) in season.beds.iter().zip(&forecasts).enumerate() {
        for lot in &forecast.lots {
            lots.push(Lot {
                amount: Millilitres::nearest(lot.yields.castings.likely()),
                window: Window { first: Some(lot.ready.likely), last: None },
                untreated: planned.manure.has_wait(),
                source: LotSource::Bed { bed, cycle: lot.cycle },
            });
        }
    }
    let requirements: Vec<Requirement> =
        season.requirements.iter().map(|(requirement, _)| requirement.clone()).collect();
    let sharing = Size::of(&lots, &requirements).check(season.beside).map_err(|refusal| (None, refusal))?;
    let terms = Terms { sack: season.sack, until: Some(season.until), as_of: season.as_of };
    let balance = balance_with(&lots, &requirements, terms);
    Ok(SeasonPlan { forecasts, lots, requirements, balance, sharing })
}

impl SeasonPlan {
    /// The amounts of the balance as figures: what was wanted, what was in stock, and what the beds give.
    #[must_use]
    pub fn figures(
        &self,
        (wanted, stock): (&[WholeVolume], &[WholeVolume]),
        today: Option<NaiveDate>,
        recorder: impl Recorder,
    ) -> BalanceFigures {
        let harvest = |bed: usize, of: u32| {
            let lot = self.forecasts.get(bed)?.lots.iter().find(|lot| lot.cycle == of)?;
            let castings = WholeVolume::nearest(lot.yields.castings);
            Some(recorder.amount("castings of the harvest, to the nearest millilitre", &[castings], castings.volume))
        };
        let amount = |lot: &Lot| match lot.source {
            LotSource::Stock(i) => stock.get(i).copied(),
            LotSource::Bed { bed, cycle } => harvest(bed, cycle),
        };
        let stock_figure =
            |lot| StockFigure { amount: amount(lot).unwrap_or_default(), availability: Availability::of(lot, today) };
        let lots = self.lots.iter().map(stock_figure);
        BalanceFigures::of(&self.balance, (wanted, &lots.collect::<Vec<_>>()), recorder)
    }

    /// The bed and the cycle, from 1, of each lot from a bed.
    pub fn bed_lots(&self) -> impl Iterator<Item = (usize, u32)> {
        self.lots.iter().filter_map(|lot| match lot.source {
            LotSource::Bed { bed, cycle } => Some((bed, cycle)),
            LotSource::Stock(_) => None,
        })
    }
}
