//! The answer as it goes.

use crate::http::output::{Answer, InContainers, Part, QuantityOut};
use crate::http::present::chart::Series;
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::{BalanceTotal, DayOut, DemandOut, ShortfallOptionsOut, StockOut};
use crate::http::resources::chances::ChancesOut;
use crate::http::resources::collected::{CollectOut, ProductionMaterialOut};
use crate::http::resources::season_beds::SeasonBedOut;
use crate::http::resources::variants::{OutcomeOut, VariantOut};
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// A season: what the beds give, who gets it, how sure that is, what to do on which day, and what closes the
/// shortfall.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SeasonsAnswer)]
pub struct SeasonsPart {
    /// Whether there is enough and how sure that is, in one or two sentences for people: numbers are rounded.
    pub headline: String,
    /// The tasks of the next 30 days: from `as_of`, or from the first task where there is none. They are in `work` too.
    pub next: Vec<TaskOut>,
    /// The day that the request gives as today.
    pub as_of: Option<NaiveDate>,
    /// The last day.
    pub until: NaiveDate,
    /// The chance that every demand whose last day is not past gets all that it needs by then, where a grower follows the plan and the ranges
    /// shown are right; none without runs, or where all are past. 5 % means 5 % or less, 95 % means 95 % or more.
    pub chance_enough: Option<QuantityOut>,
    /// All together. The stock is that of the request and what the beds are to give.
    pub total: BalanceTotal,
    /// The equal share that every demand could get, whatever its priority.
    pub pro_rata_share: QuantityOut,
    /// The first day by which the needs cannot all be met, however castings are shared: more castings by this day are in time for every demand. A
    /// demand without a last day counts at the end.
    pub first_shortfall_on: Option<NaiveDate>,
    /// The beds, in the order of the request.
    pub worm_beds: Vec<SeasonBedOut>,
    /// The demands, in the order of the request.
    pub demands: Vec<DemandOut>,
    /// The lots of the request, in its order.
    pub stock: Vec<StockOut>,
    /// On hand before the first date.
    pub opening_stock: QuantityOut,
    /// The days on which something happens.
    pub by_date: Vec<DayOut>,
    /// The account day by day, for charts and tables.
    #[serde(skip)]
    #[schema(ignore)]
    pub series: Series,
    /// How sure that is; none where no runs were asked for.
    pub chances: Option<ChancesOut>,
    /// What to know better first: what causes most of the uncertainty of the margin on the worst day.
    pub measure_first: Vec<MeasureOut>,
    /// Options to close the shortfall.
    pub shortfall_options: ShortfallOptionsOut,
    /// The variants of the request side by side, in its order: what is kept of each answer, or what is wrong with it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub variants: Vec<VariantOut>,
    /// What to do, in order of the days.
    pub work: Vec<TaskOut>,
}

/// The answer.
pub type SeasonsAnswer = Answer<SeasonsPart>;

impl SeasonsPart {
    /// What is kept of it to compare it with others.
    #[must_use]
    pub fn outcome(&self, name: &str) -> OutcomeOut {
        let total = (&self.total, self.first_shortfall_on);
        let of_balance = OutcomeOut::of(name, &self.headline, total, &self.shortfall_options);
        OutcomeOut { chance_enough: self.chance_enough.clone(), ..of_balance }
    }
}

impl Part for SeasonsPart {
    const REVISED: bool = true;
    const EXPLAINED: &'static str = "How its figures are computed, where `explain` asks for it.";
}

/// Something to know better.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = MeasureFirst)]
pub struct MeasureOut {
    /// The id of the assumption to measure.
    pub assumption: Option<&'static str>,
    /// Or the amount of this lot.
    pub lot: Option<ReferenceOut>,
    /// Or the amount of this demand.
    pub demand: Option<ReferenceOut>,
    /// The share of the variance of the margin on the worst day that knowing this value removes (first-order; shown from 5 %).
    pub share_of_variance: QuantityOut,
    /// Knowing it narrows the range of the margin to about this share of its width: the square root of what is left of the variance.
    pub range_if_known: QuantityOut,
    /// How to measure the value yourself.
    pub measure_it: Option<&'static str>,
}

/// A piece of work. Amounts are those of the likely values.
#[skip_serializing_none]
#[derive(Debug, Default, Clone, Serialize, ToSchema)]
#[schema(as = Task)]
pub struct TaskOut {
    /// Whether it is one of the next weeks.
    #[serde(skip)]
    pub is_next: bool,
    /// The day, or the first of several.
    pub on: NaiveDate,
    /// The last of several.
    pub until: Option<NaiveDate>,
    /// True if its last day is before `as_of`: do it now if it is not done.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub overdue: bool,
    /// What is done.
    #[schema(schema_with = crate::http::output::enums::tasks)]
    pub kind: &'static str,
    /// The same as a sentence.
    pub text: String,
    /// What the lot is called that is used.
    #[serde(skip)]
    pub at: Option<String>,
    /// At which bed.
    pub worm_bed: Option<ReferenceOut>,
    /// In which of its cycles, from 1.
    pub cycle: Option<u32>,
    /// Which layer of that cycle, from 1, with those laid before.
    pub layer: Option<u32>,
    /// For which demand.
    pub demand: Option<ReferenceOut>,
    /// Of a demand with `repeat`: which time, counted from 1.
    pub occasion: Option<u32>,
    /// Which feed is laid: its material, or those of its mix.
    pub feed: Option<String>,
    /// By volume: feed as laid, water, castings, tea.
    pub volume: Option<QuantityOut>,
    /// Water to brew or to dilute tea with.
    pub water: Option<QuantityOut>,
    /// In how many batches a tea is brewed and used.
    #[serde(skip)]
    pub batches: u64,
    /// Of watering over several weeks: an equal part for each.
    pub each_week: Option<QuantityOut>,
    /// By mass: feed, worms.
    pub mass: Option<QuantityOut>,
    /// How deep a layer is when fresh.
    pub depth: Option<QuantityOut>,
    /// What to collect for a layer of feed.
    pub collect: Option<CollectOut>,
    /// What to take of each material, of at most 10 (fewer with over 5 containers).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<ProductionMaterialOut>,
    /// How many sacks.
    pub sacks: Option<u64>,
    /// A remark: hours of a tea, an interval after raw manure, what is missing, how sure a start is, who waits, what the task replaces.
    pub note: Option<String>,
    /// How sure a start is, which its title says.
    #[serde(skip)]
    pub sure: Option<&'static str>,
    /// The hours of a tea, which are given with what is done.
    #[serde(skip)]
    pub hours: Option<String>,
    /// The remark but for those.
    #[serde(skip)]
    pub mind: Option<String>,
    /// The day by which what is produced or bought is needed.
    pub by: Option<NaiveDate>,
    /// The volume in the caller's containers; water and what is in the bed included.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// The rules of the answer's cautions that are about this task.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<&'static str>,
}
