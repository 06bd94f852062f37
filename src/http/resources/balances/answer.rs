//! The answer as it goes.

mod barred;
mod gap;
mod headline;
mod interval;
mod lots;
mod occasions;
mod option_text;
mod options;
mod outcome;
mod parts;
mod series;
mod whole;
mod write;

pub use gap::{SackOut, ShortfallOptionsOut};
pub use lots::ContentOut;
pub use occasions::OccasionOut;
pub use option_text::{OptionText, of_sacks};
pub use options::{OptionOut, OutOfReachOut};
pub(in crate::http::resources) use parts::BalanceParts;
pub(in crate::http::resources) use series::series;
pub use whole::WholeOut;
pub use write::write;
pub(in crate::http::resources) use write::{Balanced, Labels};

use crate::http::input::rate::RateInput;
use crate::http::output::{Answer, InContainers, Part, QuantityOut};
use crate::http::present::chart::Series;
use crate::http::resources::ReferenceOut;
use crate::http::resources::applications::RateOut;
use crate::http::resources::variants::VariantOut;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// Who gets what, what is short and when, and the options to close the shortfall.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BalancesAnswer)]
pub struct BalancesPart {
    /// Whether there is enough, in one or two sentences for people: numbers are rounded.
    pub headline: String,
    /// All demands and all stock together.
    pub total: BalanceTotal,
    /// The equal share of its need that every demand could get, whatever its priority.
    pub pro_rata_share: QuantityOut,
    /// The first day by which the needs cannot all be met, however castings are shared: more castings by this day are in time for every demand.
    #[schema(value_type = Option<NaiveDate>)]
    pub first_shortfall_on: Option<NaiveDate>,
    /// The demands, in the order of the request.
    pub demands: Vec<DemandOut>,
    /// The lots, in the order of the request.
    pub stock: Vec<StockOut>,
    /// Stock before the first date: lots without a date, less what is allocated from them without a date.
    pub opening_stock: QuantityOut,
    /// The days on which something happens.
    pub by_date: Vec<DayOut>,
    /// The account day by day, for charts and tables.
    #[serde(skip)]
    #[schema(ignore)]
    pub series: Series,
    /// Options to close the shortfall.
    pub shortfall_options: ShortfallOptionsOut,
    /// The variants of the request side by side, in its order: what is kept of each answer, or what is wrong with it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub variants: Vec<VariantOut>,
}

/// The answer.
pub type BalancesAnswer = Answer<BalancesPart>;

impl Part for BalancesPart {
    const EXPLAINED: &'static str =
        "How allocated, short and remaining amounts are computed, where the request asks for it.";
}

/// All together: allocated + shortfall = needed, allocated + remaining + expired = supply = on_hand + stock_to_come + expected_harvest.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
pub struct BalanceTotal {
    /// What is needed.
    pub needed: QuantityOut,
    /// All castings: lots in stock, lots to come, and in a season harvests of worm beds.
    pub supply: QuantityOut,
    /// Lots that are ready: without `ready_on`, or with one by `as_of`. Left out where there are none, like the next two.
    pub on_hand: Option<QuantityOut>,
    /// Lots that are ready later; without `as_of` all that have a `ready_on`.
    pub stock_to_come: Option<QuantityOut>,
    /// Harvests that worm beds are expected to give, in a season.
    pub expected_harvest: Option<QuantityOut>,
    /// What is allocated from stock and harvests.
    pub allocated: QuantityOut,
    /// What is needed and not allocated.
    pub shortfall: QuantityOut,
    /// What is neither allocated nor expired.
    pub remaining: QuantityOut,
    /// What nobody used by the last day of use.
    pub expired: QuantityOut,
}

/// What one demand gets: allocated + shortfall = needed.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Demand)]
pub struct DemandOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// Its place in the queue.
    pub priority: u8,
    /// The first day on which it can be served.
    pub earliest: Option<NaiveDate>,
    /// The last day on which it can be served.
    pub latest: Option<NaiveDate>,
    /// True if its last day is before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// What is needed.
    pub needed: QuantityOut,
    /// What is allocated from stock and harvests.
    pub allocated: QuantityOut,
    /// What is needed and not allocated.
    pub shortfall: QuantityOut,
    /// Allocated over needed.
    pub share_allocated: QuantityOut,
    /// In a season: the chance that it gets all that it needs by its last day, where a grower follows the plan. 5 % means 5 % or
    /// less, 95 % means 95 % or more. Where it counts mass, dry mass or a nutrient, that is what it needs, and each lot that the plan
    /// allocates to it brings what it holds itself.
    pub chance_full: Option<QuantityOut>,
    /// The same of the share that the plan allocates to it: never less than `chance_full`.
    pub chance_allocated: Option<QuantityOut>,
    /// Allocated, in the caller's containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// Whole plants, pots or batches given, where only whole ones are of use.
    pub whole_portions: Option<WholeOut>,
    /// Given where the demand gets nothing because it cannot get its `minimum`. Of a demand that repeats, each occasion has its own.
    pub dropped: Option<DroppedOut>,
    /// The rate that is given, of whole portions to each, by what its lots and harvests weigh and hold; left out where nothing is.
    /// Of a demand that repeats, each occasion has its own.
    #[schema(value_type = Option<RateInput>)]
    pub rate_allocated: Option<RateOut>,
    /// What its lots and harvests bring of what it counts, where it counts mass, dry mass or a nutrient and one of them holds another
    /// amount of that in a volume than `needed` was computed with.
    pub content: Option<ContentOut>,
    /// Of a demand with `repeat`: each time it is asked, in order of time. They sum to the demand.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub occasions: Vec<OccasionOut>,
    /// Of a demand with a `crop` that is eaten and has a first harvest: the last day on which castings that count as
    /// raw manure may be worked in for it; tea has to be used up by then.
    pub incorporate_by: Option<NaiveDate>,
    /// True if that day is before `as_of`.
    #[serde(skip)]
    pub too_late_to_incorporate: bool,
    /// Why castings stay unused though it is short, and what helps.
    pub castings_barred: Option<String>,
    /// From which lots, and when.
    pub allocations: Vec<AllocationOut>,
    /// The rules of the cautions that apply to this demand.
    pub cautions: Vec<&'static str>,
}

/// A demand that could not get the smallest amount that is of use.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Dropped)]
pub struct DroppedOut {
    /// The smallest amount that is of use.
    pub minimum: QuantityOut,
    /// What it would have got when it was dropped.
    pub would_have_been_allocated: QuantityOut,
}

/// An allocation from a lot.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Allocation)]
pub struct AllocationOut {
    /// Which lot of the stock; none where it comes from a bed.
    pub lot: Option<ReferenceOut>,
    /// The worm bed that it comes from.
    pub worm_bed: Option<ReferenceOut>,
    /// The cycle of that bed, counted from 1.
    pub cycle: Option<u32>,
    /// The first day that the lot and the demand both allow.
    pub on: Option<NaiveDate>,
    /// Of a demand with `repeat`: which time it is for, counted from 1.
    pub occasion: Option<u32>,
    /// The amount of castings from this lot for the demand.
    pub amount: QuantityOut,
    /// How much that supplies of what the demand counts, by the lot's content; given where the demand has `content`.
    pub supplied: Option<QuantityOut>,
    /// Of castings, or a tea, that count as raw manure, for a demand with a `crop`: harvest from this day on, 120 or
    /// 90 days after they are worked in on `on`, or the tea is used up.
    pub earliest_crop_harvest: Option<NaiveDate>,
    /// True if an interval before the harvest begins when it is worked in, also on a day that is not known.
    #[serde(skip)]
    pub begins_interval: bool,
    /// True if the first crop harvest comes before `earliest_crop_harvest`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub interval_not_met: bool,
    /// There, instead of `earliest_crop_harvest`, where no interval meets the rule, and why.
    #[schema(schema_with = crate::http::output::enums::interval_not_met_because)]
    pub interval_not_met_because: Option<&'static str>,
}

/// What happens to one lot: allocated + remaining + expired = amount.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Stock)]
pub struct StockOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// The first day.
    pub ready_on: Option<NaiveDate>,
    /// The last day.
    pub use_by: Option<NaiveDate>,
    /// True if its last day is before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// The whole amount of the lot.
    pub amount: QuantityOut,
    /// The whole amount in the caller's containers of a volume.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// What is allocated from stock and harvests.
    pub allocated: QuantityOut,
    /// What is neither allocated nor expired.
    pub remaining: QuantityOut,
    /// What nobody used by the last day of use.
    pub expired: QuantityOut,
}

/// A day on which something happens: closing stock = closing stock before + received - allocated - expired.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Day)]
pub struct DayOut {
    /// The day that the figures are of.
    pub date: NaiveDate,
    /// Ready from this day.
    pub received: QuantityOut,
    /// What is allocated from stock and harvests.
    pub allocated: QuantityOut,
    /// No longer usable from this day.
    pub expired: QuantityOut,
    /// On hand after this day.
    pub closing_stock: QuantityOut,
}

impl AllocationOut {
    /// What the interval after raw manure comes to, in words, with its day as `date` writes it; none where there is none.
    #[must_use]
    pub fn interval_in_words(&self, date: fn(NaiveDate) -> String) -> Option<String> {
        let from = self.earliest_crop_harvest.map(date);
        match (from, self.interval_not_met_because) {
            (_, Some(_)) => Some("left on top: no interval meets the rule for raw manure".to_owned()),
            (Some(from), None) if self.interval_not_met => {
                Some(format!("work in; harvest from {from}, which is after the first crop harvest"))
            }
            (Some(from), None) => Some(format!("work in; harvest from {from}")),
            (None, None) => {
                self.begins_interval.then(|| "work in; the interval before the harvest starts then".to_owned())
            }
        }
    }

    /// True if what is grown must not be harvested when it is to be.
    #[must_use]
    pub fn breaks_interval(&self) -> bool {
        self.interval_not_met || self.interval_not_met_because.is_some()
    }

    /// What its lot is called.
    #[must_use]
    pub fn lot(&self) -> String {
        match (&self.lot, &self.worm_bed, self.cycle) {
            (Some(lot), _, _) => lot.called("lot"),
            (None, Some(bed), Some(cycle)) => harvest_called(bed, cycle),
            _ => String::new(),
        }
    }
}

/// `north bed, harvest 1`
fn harvest_called(bed: &ReferenceOut, cycle: u32) -> String {
    format!("{}, harvest {cycle}", bed.called("worm bed"))
}
