//! How sure a season is.

use crate::garden::draws::Variable;
use crate::garden::figures::Recorder;
use crate::garden::formulas::RangeIfKnown;
use crate::garden::units::quantity::OfShare;
use crate::garden::units::{Estimate, Share};
use chrono::NaiveDate;

/// Three percentiles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Percentiles<T> {
    /// 10 of 100 runs do not pass it.
    pub p10: T,
    /// 50 of 100.
    pub p50: T,
    /// 90 of 100.
    pub p90: T,
}

/// When the lot of a bed is ready and how much it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LotChance {
    /// The position of the bed, from 0.
    pub bed: usize,
    /// The cycle, from 1.
    pub cycle: u32,
    /// The day; `None` where it is beyond the season.
    pub ready: Percentiles<Option<NaiveDate>>,
    /// The castings, L.
    pub litres: Percentiles<f64>,
}

/// The chance of enough by a date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DateChance {
    /// The last day of a demand.
    pub date: NaiveDate,
    /// Castings needed by then in the plan, L.
    pub needed: f64,
    /// Runs in which everybody whose last day has come by then has got all.
    pub enough: u32,
}

/// How sure a demand is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DemandChance {
    /// Runs in which it gets all that it needs.
    pub full: u32,
    /// Runs in which it gets the share that the plan allots to it.
    pub allocated: u32,
}

/// How sure a plan is, where a grower follows it.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanChances {
    /// How many runs.
    pub runs: u32,
    /// Runs in which everybody gets all, but for those whose last day lies before today.
    pub enough: u32,
    /// Whether the last day of anybody lies before today.
    pub some_passed: bool,
    /// The chance of enough, by last days from today on.
    pub by_date: Vec<DateChance>,
    /// The demands, in order.
    pub demands: Vec<DemandChance>,
}

impl PlanChances {
    /// Runs in which everybody whose last day is still to come gets all; `None` where all last days have passed.
    #[must_use]
    pub fn to_come(&self) -> Option<u32> {
        let all_passed = self.some_passed && self.by_date.is_empty();
        (!all_passed).then_some(self.enough)
    }
}

/// Castings that have come by a date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadyOn {
    /// The date.
    pub date: NaiveDate,
    /// All that has come by then, L.
    pub litres: Percentiles<f64>,
}

/// What to know better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasureFirst {
    /// What.
    pub variable: Variable,
    /// The share of the variance of the margin on the worst day that would be gone if it were known.
    pub share: f64,
}

impl MeasureFirst {
    /// The share of the variance, and to which share of its width the range of the margin narrows once the value is known.
    #[must_use]
    #[expect(non_snake_case, reason = "the symbol of the formula")]
    pub fn narrowing(&self, recorder: impl Recorder) -> [Estimate<OfShare>; 2] {
        let S = recorder.by_rule(
            "first-order share of the variance over the runs",
            &[],
            Share::from_fraction(self.share).into(),
        );
        [S, recorder.figure(RangeIfKnown { S })]
    }
}

/// How sure a season is: what many runs tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Chances {
    /// Their seed.
    pub seed: u64,
    /// How sure the plan is.
    pub plan: PlanChances,
    /// The lots of the beds, by bed and cycle.
    pub lots: Vec<LotChance>,
    /// Castings that have come, at even steps over the season.
    pub ready: Vec<ReadyOn>,
    /// The day on which the margin is below zero in most runs; of equals the one with the least margin at the likely values.
    pub worst_on: Option<NaiveDate>,
    /// Castings ready less castings needed on that date, L.
    pub margin: Option<Percentiles<f64>>,
    /// What to measure first, the greatest share first.
    pub measure_first: Vec<MeasureFirst>,
}

impl Chances {
    /// The chances of a lot of a bed.
    #[must_use]
    pub fn of_lot(&self, bed: usize, cycle: u32) -> Option<&LotChance> {
        let place = self.lots.binary_search_by_key(&(bed, cycle), |lot| (lot.bed, lot.cycle)).ok()?;
        self.lots.get(place)
    }
}
