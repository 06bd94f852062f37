//! What is short by which day, and on which day first.

use super::add;
use super::allocation::{DatedShortfall, Demand, Lot, shortfalls};
use super::ledger::first_shortfall_on;
use super::minimum::Dropped;
use super::occasions::Occasion;
use crate::garden::units::Millilitres;
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};

/// The places of what was dropped and has ended before today: nothing that is bought brings it back, and it takes nothing of the stock.
pub(super) fn lost(
    demands: &[Demand],
    (times, dropped): (&[Occasion<'_>], &[Option<Dropped>]),
    today: Option<NaiveDate>,
) -> BTreeSet<usize> {
    let dropped = times.iter().zip(dropped).filter(|(_, dropped)| dropped.is_some());
    let is_over = |place: &usize| {
        let demand = demands.get(*place).filter(|demand| demand.eligibility.leaves_a_day(demand.window));
        demand.and_then(|demand| demand.window.last).zip(today).is_some_and(|(last, today)| last < today)
    };
    dropped.flat_map(|(time, _)| time.places()).filter(is_over).collect()
}

/// The first day on which something is short, and what is short by which day. What is lost is short as a whole.
pub(super) fn short_by_day(
    (lots, demands): (&[Lot], &[Demand]),
    lost: &BTreeSet<usize>,
    until: Option<NaiveDate>,
) -> (Option<NaiveDate>, Vec<DatedShortfall>) {
    let windows = lots.iter().map(|lot| lot.window).chain(demands.iter().map(|demand| demand.window));
    let end = until.or_else(|| windows.flat_map(|window| [window.first, window.last]).flatten().max());
    let found = if lost.is_empty() { shortfalls(lots, demands) } else { shortfalls_beside(lost, lots, demands) };
    // No castings serve these, so they are short on their last day whatever comes.
    let never = demands
        .iter()
        .filter(|demand| demand.amount > Millilitres::ZERO && !demand.eligibility.leaves_a_day(demand.window));
    let never = never.filter_map(|demand| demand.window.last.or(end)).min();
    let first = first_shortfall_on(&found, end);
    (first.into_iter().chain(never).min(), found)
}

/// What is short by which day where some demands get nothing.
fn shortfalls_beside(lost: &BTreeSet<usize>, lots: &[Lot], demands: &[Demand]) -> Vec<DatedShortfall> {
    let mut others = demands.to_vec();
    let mut by_day: BTreeMap<(bool, Option<NaiveDate>), Millilitres> = BTreeMap::new();
    let mut note = |by: Option<NaiveDate>, amount| {
        let sum = by_day.entry((by.is_none(), by)).or_default();
        *sum = add(*sum, amount);
    };
    for place in lost {
        let Some(demand) = others.get_mut(*place) else { continue };
        note(demand.window.last, std::mem::take(&mut demand.amount));
    }
    shortfalls(lots, &others).into_iter().for_each(|short| note(short.by, short.amount));
    by_day.into_iter().map(|((_, by), amount)| DatedShortfall { by, amount }).collect()
}
