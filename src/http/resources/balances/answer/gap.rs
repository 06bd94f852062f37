//! What would close the shortfall, and what the plan does already.

use super::{OptionOut, OutOfReachOut};
use crate::garden::balances::shift::{LaterSupply, ServedLater};
use crate::http::output::quantity::View;
use crate::http::output::{Number, QuantityOut};
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::additional_production::AdditionalProductionOut;
use crate::http::resources::balances::request::DemandRequest;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// Options to close the shortfall.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ShortfallOptions)]
pub struct ShortfallOptionsOut {
    /// All that can be done, one entry for each way, to compare: the cheapest first, those without a price last. Empty where nothing is
    /// short.
    pub options: Vec<OptionOut>,
    /// In a season with runs where neither the plan nor one of these is 90 % sure, also where nothing is short: what would be, each by itself,
    /// with the smallest step that reaches it. More ground goes up to 4 times, more worms up to what the ground carries, an earlier start up to
    /// 26 weeks. In the order of `options`, those whose day has passed last.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub reach_90_percent: Vec<OptionOut>,
    /// What was tried for it without reaching 90 %.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub out_of_reach: Vec<OutOfReachOut>,
    /// Give every demand this same share.
    pub pro_rata_share: QuantityOut,
    /// Or buy these sacks, with which no demand is short or dropped; empty where none is short or no sack is given. Those `past` are counted
    /// apart. With `enforce_application_to_harvest_interval` they are taken to be free of raw manure, or treated: ask the seller.
    pub sacks: Vec<SackOut>,
    /// What the plan does already: demands that it serves later, within their own dates, than on the first day on which
    /// castings for them were on hand, so that others get theirs. The chances of a season count on it.
    pub served_later: Vec<ServedLaterOut>,
    /// Or let these short demands wait beyond their last day: what is left over would serve them then, beside all that the
    /// others get. By priority, then last day, then list; what one takes is not left for the next. Each day of a tea in several
    /// rounds counts by itself. Asked again with the later dates, others of the same or a later priority may share in it.
    pub later_supply: Vec<LaterSupplyOut>,
    /// Additional production for each day on which something is short; empty where nothing is short or the request
    /// gives none.
    pub additional_production: Vec<AdditionalProductionOut>,
}

/// Sacks to buy.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Sacks)]
pub struct SackOut {
    /// By this day, the latest that is in time for every demand; if there is none, any day is in time.
    pub by: Option<NaiveDate>,
    /// True if that day is before `as_of`: too late to buy.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// How many sacks to buy.
    pub count: u64,
    /// What one of them takes.
    pub capacity: QuantityOut,
    /// The price of all these sacks.
    #[schema(value_type = Option<f64>)]
    pub cost: Option<Number>,
    /// In which currency.
    pub currency: Option<String>,
}

/// A demand that is served later than it could be.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ServedLater)]
pub struct ServedLaterOut {
    /// The demand that this is about.
    pub demand: ReferenceOut,
    /// Of a demand with `repeat`: which time, counted from 1.
    pub occasion: Option<u32>,
    /// The first day of its dates on which castings that it could use were on hand; any day before the other one where
    /// there is none.
    pub first_possible_on: Option<NaiveDate>,
    /// The day on which it is served instead.
    pub allocated_on: NaiveDate,
    /// How much of it: what it could not get before that day unless others took less, or took it later.
    pub amount: QuantityOut,
}

/// A demand with a shortfall that remaining castings would serve after its last day.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LaterSupply)]
pub struct LaterSupplyOut {
    /// The demand that this is about.
    pub demand: ReferenceOut,
    /// Of a demand with `repeat`: which time, counted from 1.
    pub occasion: Option<u32>,
    /// Its last day, beyond which it would wait.
    pub latest: NaiveDate,
    /// The first day after its last, from `as_of` on, on which what is left over, and usable on that day, covers the amount.
    pub until: NaiveDate,
    /// How much of what it is short of: all of it, or the largest part that is ever covered.
    pub amount: QuantityOut,
}

/// Writes the demands served later.
pub fn served_later(demands: &[DemandRequest], moved: &[ServedLater], view: &View<'_>) -> Vec<ServedLaterOut> {
    let one = |moved: &ServedLater| ServedLaterOut {
        demand: ReferenceOut::to(demands, moved.demand),
        occasion: Some(moved.occasion).filter(|time| *time > 0),
        first_possible_on: moved.first_possible_on,
        allocated_on: moved.allocated_on,
        amount: view.whole(moved.amount),
    };
    moved.iter().map(one).collect()
}

/// Writes the demands that would be served if they could wait.
pub fn later_supply(demands: &[DemandRequest], waits: &[LaterSupply], view: &View<'_>) -> Vec<LaterSupplyOut> {
    let one = |wait: &LaterSupply| LaterSupplyOut {
        demand: ReferenceOut::to(demands, wait.demand),
        occasion: Some(wait.occasion).filter(|time| *time > 0),
        latest: wait.latest,
        until: wait.until,
        amount: view.whole(wait.amount),
    };
    waits.iter().map(one).collect()
}
