//! The answer as it goes.

mod gap;
mod parts;
mod series;
mod wait;
mod write;

pub use gap::{MovedOut, WaitOut};
pub(in crate::http::rooms) use parts::BalanceParts;
pub(in crate::http::rooms) use series::series;
pub use write::write;
pub(in crate::http::rooms) use write::{Balanced, Labels};

use crate::http::output::{Answer, Number, Part, QuantityOut};
use crate::http::present::chart::Series;
use crate::http::rooms::ReferenceOut;
use crate::http::rooms::balances::prepare::PrepareOut;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// Who gets what, what is short and when, and what would close the gap.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BalancesAnswer)]
pub struct BalancesPart {
    /// All demands and all stock together.
    pub total: BalanceTotal,
    /// The share that everybody could get alike, whatever the priority.
    pub even_share: QuantityOut,
    /// The last day on which the first shortage could have been met.
    #[schema(value_type = Option<NaiveDate>)]
    pub first_short_on: Option<NaiveDate>,
    /// The demands, in the order of the request.
    pub demands: Vec<DemandOut>,
    /// The lots, in the order of the request.
    pub stock: Vec<StockOut>,
    /// On hand before the first date: stock without a date, less what was drawn from it without a date.
    pub opening: QuantityOut,
    /// The days on which something happens.
    pub by_date: Vec<DayOut>,
    /// The account day by day, for charts and tables.
    #[serde(skip)]
    #[schema(ignore)]
    pub series: Series,
    /// What would close the gap.
    pub close_the_gap: GapOut,
}

/// The answer.
pub type BalancesAnswer = Answer<BalancesPart>;

impl Part for BalancesPart {
    const EXPLAINED: &'static str = "How amounts given, short and left come about, where the request asks for it.";
}

/// All together: given + short = wanted, given + left + expired = stock.
#[derive(Debug, Serialize, ToSchema)]
pub struct BalanceTotal {
    /// Asked.
    pub wanted: QuantityOut,
    /// There or to come.
    pub stock: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// Missing.
    pub short: QuantityOut,
    /// Left over.
    pub left: QuantityOut,
    /// Not used by its use-by.
    pub expired: QuantityOut,
}

/// What one demand gets: given + short = wanted.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Demand)]
pub struct DemandOut {
    /// Echoed.
    pub id: Option<String>,
    /// Echoed.
    pub name: Option<String>,
    /// Its place in the queue.
    pub priority: u8,
    /// The first day on which it can be served.
    pub earliest: Option<NaiveDate>,
    /// The last day on which it can be served.
    pub latest: Option<NaiveDate>,
    /// True if its last day lies before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// Asked.
    pub wanted: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// Missing.
    pub short: QuantityOut,
    /// Given over wanted.
    pub share_given: QuantityOut,
    /// The chance that the castings of the plan come in time and are as many as it asks; in a season. 5 % stands for 5 % or less (so
    /// where the plan itself gives less), 95 % for 95 % or more.
    pub chance: Option<QuantityOut>,
    /// Given, in the caller's measures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_measures: Vec<QuantityOut>,
    /// Whole plants, pots or batches given, where only whole ones are of use.
    pub whole: Option<WholeOut>,
    /// There where it gets nothing because it could not get its `least`.
    pub dropped: Option<DroppedOut>,
    /// The rate that what is given comes to; not there where nothing is given.
    pub rate_given: Option<RateOut>,
    /// Of a demand with a `crop` that is eaten and has a first picking: the last day on which castings that count as raw manure may be
    /// dug in for it; tea has to be used up by then.
    pub dig_in_by: Option<NaiveDate>,
    /// From which lots, and when.
    pub draws: Vec<DrawOut>,
    /// The rules of the cautions that this demand gives reason for.
    pub cautions: Vec<&'static str>,
}

/// Whole plants, pots or batches.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WholePieces)]
pub struct WholeOut {
    /// Asked.
    pub wanted: u32,
    /// Given.
    pub given: u32,
}

/// A demand that could not get the smallest amount that is of use.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Dropped)]
pub struct DroppedOut {
    /// The smallest amount that is of use.
    pub least: QuantityOut,
    /// What it would have got when it was dropped.
    pub would_have_given: QuantityOut,
}

/// A rate.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RateGiven)]
pub struct RateOut {
    /// Its kind.
    #[schema(schema_with = crate::http::output::words::rate_kinds)]
    pub kind: &'static str,
    /// How much.
    pub amount: QuantityOut,
}

/// A draw from a lot.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Draw)]
pub struct DrawOut {
    /// Which lot of the stock; none where it comes of a bed.
    pub stock: Option<ReferenceOut>,
    /// The bed it comes of.
    pub worm_bed: Option<ReferenceOut>,
    /// Of which cycle of that bed, from 1.
    pub cycle: Option<u32>,
    /// The first day both allow.
    pub on: Option<NaiveDate>,
    /// How much.
    pub given: QuantityOut,
    /// Of castings, or a tea, that count as raw manure, for a demand with a `crop`: harvest from this day on, 120 or 90 days after they
    /// are dug in on `on`, or the tea is used up. A rule of US organic certification; local rules and the certifier come first.
    pub harvest_from: Option<NaiveDate>,
    /// True if the first picking comes before `harvest_from`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub too_late: bool,
    /// There, instead of `harvest_from`, where no wait meets the rule, and why.
    #[schema(schema_with = crate::http::output::words::not_met)]
    pub not_met: Option<&'static str>,
}

/// What becomes of one lot: given + left + expired = amount.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Stock)]
pub struct StockOut {
    /// Echoed.
    pub id: Option<String>,
    /// Echoed.
    pub name: Option<String>,
    /// The first day.
    pub ready_on: Option<NaiveDate>,
    /// The last day.
    pub use_by: Option<NaiveDate>,
    /// True if its last day lies before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// All of it.
    pub amount: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// Left over.
    pub left: QuantityOut,
    /// Not used by its use-by.
    pub expired: QuantityOut,
}

/// A day on which something happens: left = left before + arrived - given - expired.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Day)]
pub struct DayOut {
    /// The day.
    pub date: NaiveDate,
    /// Ready from this day.
    pub arrived: QuantityOut,
    /// Given.
    pub given: QuantityOut,
    /// No longer usable from this day.
    pub expired: QuantityOut,
    /// On hand after this day.
    pub left: QuantityOut,
}

/// What would close the gap.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CloseTheGap)]
pub struct GapOut {
    /// Give everybody this share alike.
    pub even_share: QuantityOut,
    /// Or buy these sacks, with which nobody is short and nobody dropped; empty where nobody is short or no sack was
    /// described. With `keep_waits` they are taken to be free of raw manure, or treated: ask the seller.
    pub sacks: Vec<SackOut>,
    /// What the plan does already: demands that it serves later, within their own dates, than on the first day on which
    /// castings for them were on hand, so that others get theirs.
    pub moved: Vec<MovedOut>,
    /// Or let these short demands wait beyond their last day: what is left over would serve them then, beside all that the
    /// others get. By priority, then last day, then list; what one takes is gone for the next. Each day of a tea in several
    /// rounds counts by itself. Asked again with the later dates, others of the same or a later priority may share in it.
    pub wait: Vec<WaitOut>,
    /// Or prepare this, for each day on which something is short; empty where nobody is short or nothing was said about
    /// preparing.
    pub prepare: Vec<PrepareOut>,
}

/// Sacks to buy.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Sacks)]
pub struct SackOut {
    /// By this day; any day will do where there is none.
    pub by: Option<NaiveDate>,
    /// True if that day lies before `as_of`: too late to buy.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// How many.
    pub count: u64,
    /// What each holds.
    pub holds: QuantityOut,
    /// What they cost together.
    #[schema(value_type = Option<f64>)]
    pub cost: Option<Number>,
    /// In which currency.
    pub currency: Option<String>,
}

impl DrawOut {
    /// What the wait after raw manure comes to, in words; none where there is none.
    #[must_use]
    pub fn wait_told(&self) -> Option<String> {
        match (self.harvest_from, self.not_met) {
            (_, Some(_)) => Some("left on top: no wait after raw manure meets the rule".to_owned()),
            (Some(from), None) if self.too_late => {
                Some(format!("dig in, harvest from {from}: after the first picking, too late"))
            }
            (Some(from), None) => Some(format!("dig in, harvest from {from}")),
            (None, None) => None,
        }
    }

    /// True if what is grown must not be harvested when it is to be.
    #[must_use]
    pub fn breaks_a_wait(&self) -> bool {
        self.too_late || self.not_met.is_some()
    }

    /// What its lot is called.
    #[must_use]
    pub fn lot(&self) -> String {
        match (&self.stock, &self.worm_bed, self.cycle) {
            (Some(lot), _, _) => lot.called("lot"),
            (None, Some(bed), Some(cycle)) => format!("{}, harvest {cycle}", bed.called("worm bed")),
            _ => String::new(),
        }
    }
}
