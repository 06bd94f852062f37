//! What would close the gap, and what the plan does already.

use crate::garden::balances::shift::{LaterSupply, ServedLater};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::View;
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::request::DemandRequest;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// A demand that is served later than on its first possible day, within its own dates, so that others get theirs.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ServedLater)]
pub struct MovedOut {
    /// The demand that this is about.
    pub demand: ReferenceOut,
    /// The first day of its dates on which castings that it could use were on hand; any day before the other one where
    /// there is none.
    pub first_possible_on: Option<NaiveDate>,
    /// The day on which it is served instead.
    pub allocated_on: NaiveDate,
    /// How much of it: what it could not get before that day unless others took less, or took it later.
    pub amount: QuantityOut,
}

/// A demand with a shortfall that remaining castings would serve after its last day.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LaterSupply)]
pub struct WaitOut {
    /// The demand that this is about.
    pub demand: ReferenceOut,
    /// The first day after its last on which what is left over, and usable on that day, covers the amount.
    pub until: NaiveDate,
    /// How much of what it is short of: all of it, or the largest part that is ever covered.
    pub amount: QuantityOut,
}

/// Writes the demands served later.
pub fn moved(demands: &[DemandRequest], moved: &[ServedLater], view: &View<'_>) -> Vec<MovedOut> {
    let one = |moved: &ServedLater| MovedOut {
        demand: ReferenceOut::to(demands, moved.demand),
        first_possible_on: moved.first_possible_on,
        allocated_on: moved.allocated_on,
        amount: view.whole(moved.amount),
    };
    moved.iter().map(one).collect()
}

/// Writes the demands that would be served if they could wait.
pub fn waits(demands: &[DemandRequest], waits: &[LaterSupply], view: &View<'_>) -> Vec<WaitOut> {
    let one = |wait: &LaterSupply| WaitOut {
        demand: ReferenceOut::to(demands, wait.demand),
        until: wait.until,
        amount: view.whole(wait.amount),
    };
    waits.iter().map(one).collect()
}
