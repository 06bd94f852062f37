//! How much cannot be met by which day, however the lots are shared.

use super::board::Board;
use super::{Demand, Lot, flow};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// So much more is short by a day than by the days before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DatedShortfall {
    /// The latest day on which more castings still meet it; `None` where any day will do.
    pub by: Option<NaiveDate>,
    /// How much, in millilitres; never zero.
    pub amount: Millilitres,
}

/// Answers "how much cannot be met by which day, however the lots are shared?", in order of the days.
///
/// By a day t it is the amount of all demands whose last day is t or earlier, less the largest total that the lots can serve of
/// them; each entry is what a day adds to that. A last day is the last on which a demand may draw on anything; open ends come last.
/// Priorities and portions change nothing. More castings, usable by everybody, with so much of them there by each of these days,
/// serve everybody, and with less by any day somebody is short (by the smallest cut). Demands that may draw on no day at all are left
/// out: no castings serve them.
#[must_use]
pub fn shortfalls(lots: &[Lot], demands: &[Demand]) -> Vec<DatedShortfall> {
    let board = Board::new(lots, demands);
    let asked = board.asked();
    let mut by_day: BTreeMap<i32, u128> = BTreeMap::new();
    for (demand, unmet) in asked.iter().zip(flow::unmet_by_last_day(&board.stock(), &asked)) {
        *by_day.entry(demand.last).or_default() += unmet;
    }
    let entry = |(day, unmet): (i32, u128)| DatedShortfall {
        by: if day == i32::MAX { None } else { NaiveDate::from_num_days_from_ce_opt(day) },
        amount: Millilitres::new(u64::try_from(unmet).unwrap_or(u64::MAX)),
    };
    by_day.into_iter().filter(|(_, unmet)| *unmet > 0).map(entry).collect()
}
