//! Chances of a season, and amounts and dates over many runs.

use crate::http::output::QuantityOut;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// Percentiles of a date over the runs; one after the season is left out.
#[skip_serializing_none]
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DatePercentiles {
    /// The 10th percentile: 10 of 100 runs are at or below it.
    pub p10: Option<NaiveDate>,
    /// The median: half of the runs are at or below it.
    pub p50: Option<NaiveDate>,
    /// The 90th percentile: 90 of 100 runs are at or below it.
    pub p90: Option<NaiveDate>,
}

/// Percentiles of an amount over the runs.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Percentiles {
    /// The 10th percentile: 10 of 100 runs are at or below it.
    pub p10: QuantityOut,
    /// The median: half of the runs are at or below it.
    pub p50: QuantityOut,
    /// The 90th percentile: 90 of 100 runs are at or below it.
    pub p90: QuantityOut,
}

/// How certain the season is, if the ranges shown are right. Chances are reported in steps of 5 %, never below 5 nor above 95 %.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Chances)]
pub struct ChancesOut {
    /// How many times the season was simulated.
    pub simulation_runs: u32,
    /// The seed of these runs.
    pub seed: u64,
    /// What the chances hold under.
    pub condition: &'static str,
    /// The chance of enough by each last day of a demand from `as_of` on: it never rises from day to day, and ends at `chance_enough`.
    pub by_date: Vec<DateChanceOut>,
    /// Castings that have come, at even steps over the season.
    pub ready: Vec<ReadyOnOut>,
    /// The day by which enough castings are least likely; in a tie the one with the least margin.
    pub worst_on: Option<NaiveDate>,
    /// Castings ready less castings needed by that day; below zero where they are too few.
    pub margin: Option<Percentiles>,
}

/// The chance of enough by a day.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = DateChance)]
pub struct DateChanceOut {
    /// The last day of a demand, or of a batch of a tea.
    pub date: NaiveDate,
    /// Castings needed by then.
    pub needed: QuantityOut,
    /// The chance that every demand whose last day has come by then is met. 5 % means 5 % or less, 95 % means 95 % or more.
    pub chance: QuantityOut,
}

/// Castings that have come by a day, given or not.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ReadyBy)]
pub struct ReadyOnOut {
    /// The day that the figures are of.
    pub date: NaiveDate,
    /// The castings that are ready by this day.
    pub volume: Percentiles,
}
