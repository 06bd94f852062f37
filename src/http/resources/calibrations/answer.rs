//! The answer.

use super::block::BlockOut;
use super::record_names::{fit_kinds, kinds};
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::output::{Answer, Part, QuantityOut};
use crate::http::resources::ReferenceOut;
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use crate::http::resources::variants::OutcomeOut;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// What the records say about the assumptions.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CalibrationsAnswer)]
pub struct CalibrationsPart {
    /// The values that the records move, with their ranges, as `assumptions` of any later request but a calibration: paste it there. Of a
    /// request that has `assumptions` already, these go before them. A later calibration takes all records again instead.
    #[schema(value_type = AssumptionsInput)]
    pub calibrated_assumptions: BlockOut,
    /// The same values compared with before, in the order of `GET /v1/assumptions`.
    pub values: Vec<CalibratedOut>,
    /// The records, in the order of the request, with each observation and its forecasts.
    pub records: Vec<CheckedRecordOut>,
    /// What one more record of each kind would bring: how wide the range of what is recorded of the next harvest would still be.
    pub one_more_record: Vec<OneMoreRecordOut>,
    /// The season of the request, without and with the calibrated assumptions.
    pub season: Option<SeasonsBesideOut>,
    /// How many draws of equal weight the draws are worth: below some 500 the percentiles are rough.
    pub effective_draws: u64,
    /// The seed of the draws.
    pub seed: u64,
}

/// The answer.
pub type CalibrationsAnswer = Answer<CalibrationsPart>;

impl Part for CalibrationsPart {
    const EXPLAINED: &'static str = "How each figure is computed, where the request asks for it; what follows from the draws has no formula, \
                                     and `moved_by` of a value says which record moved it.";
}

/// A value that the records move.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CalibratedValue)]
pub struct CalibratedOut {
    /// The id of the assumption.
    pub id: &'static str,
    /// Its range before.
    pub before: QuantityOut,
    /// Its range now, as in `calibrated_assumptions`: wide enough that a draw from it has the percentiles below.
    pub after: QuantityOut,
    /// The 5th percentile of the draws.
    pub p5: QuantityOut,
    /// The median of the draws.
    pub p50: QuantityOut,
    /// The 95th percentile of the draws.
    pub p95: QuantityOut,
    /// How many observations depend on it.
    pub observations: u32,
    /// How wide the range from `p5` to `p95` is, as a share of what it was before.
    pub range_left: QuantityOut,
    /// What it means if more than half of the chance is at one end of the range before.
    pub at_edge: Option<&'static str>,
    /// By how much each record changed the median, where the request asks for explanations.
    pub moved_by: Option<Vec<MovedByOut>>,
}

/// By how much a record moved a value.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = MovedBy)]
pub struct MovedByOut {
    /// The record that moved it.
    pub record: ReferenceOut,
    /// The median with all records less that without this one.
    pub by: QuantityOut,
}

/// A record, and how it fits.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CheckedRecord)]
pub struct CheckedRecordOut {
    /// Its position, counted from 0.
    pub index: usize,
    /// Its id, where the request gave one.
    pub id: Option<String>,
    /// Its name, where the request gave one.
    pub name: Option<String>,
    /// The dry matter of all that it was fed.
    pub fed_dry_matter: QuantityOut,
    /// Whether every observation fits.
    pub fits: bool,
    /// What to note if one does not.
    pub note: Option<&'static str>,
    /// Its observations: of harvests, layers, worms and containers, in the order of the request.
    pub observations: Vec<FitOut>,
}

/// An observation and its forecasts. A day has `observed_on` and forecasts whose names end in `_on`, an amount the others.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Fit)]
pub struct FitOut {
    /// What was observed.
    #[schema(schema_with = fit_kinds)]
    pub kind: &'static str,
    /// Which harvest, by its number in `harvested`, from 1.
    pub harvest: Option<usize>,
    /// Which feeding, by its number in `fed`, from 1.
    pub layer: Option<usize>,
    /// The amount observed.
    pub observed: Option<QuantityOut>,
    /// The day observed, or the day on which worms were weighed.
    pub observed_on: Option<NaiveDate>,
    /// Forecast without any record.
    pub before: Option<Percentiles>,
    /// Forecast with all records.
    pub after: Option<Percentiles>,
    /// Forecast from the other records; left out where there are none.
    pub from_others: Option<Percentiles>,
    /// Forecast without any record.
    pub before_on: Option<DatePercentiles>,
    /// Forecast with all records.
    pub after_on: Option<DatePercentiles>,
    /// Forecast from the other records; left out where there are none.
    pub from_others_on: Option<DatePercentiles>,
    /// Whether it fits: one as far off has a chance of 5 % or more among all observations.
    pub fits: bool,
    /// Why it may not fit.
    pub reason: Option<&'static str>,
}

/// What one more record of a kind would bring.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OneMoreRecord)]
pub struct OneMoreRecordOut {
    /// What would be recorded.
    #[schema(schema_with = kinds)]
    pub kind: &'static str,
    /// How wide the range of the castings recorded at the next harvest would be, as a share of its width now.
    pub castings_range_if_known: QuantityOut,
    /// How wide the range of the day on which they are recorded as ready would be, as a share of its width now.
    pub day_range_if_known: QuantityOut,
}

/// A season twice.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SeasonsBeside)]
pub struct SeasonsBesideOut {
    /// As it is in the request.
    pub before: OutcomeOut,
    /// With the calibrated assumptions.
    pub after: OutcomeOut,
}
