//! Which lot serves whom, with the amounts fixed.

use super::board::Board;
use super::flow::in_order;
use super::round::small;
use super::sweep::Move;
use super::{Allocation, Allotment, Demand, Lot};
use crate::garden::units::Millilitres;

/// Walks through the days and writes down every allotment.
///
/// What is allocated is the sum of the allotments. It is what the board says, because
/// the walk serves all amounts that can be served together.
pub(super) fn route(board: &Board, lots: &[Lot], demands: &[Demand]) -> Allocation {
    let outcome = in_order(&board.stock(), &board.served());
    debug_assert!(outcome.unmet.iter().all(|unmet| *unmet == 0), "amounts that can be served together are all routed");
    let mut allocated = vec![Millilitres::ZERO; demands.len()];
    let mut allotments = Vec::with_capacity(outcome.moves.len());
    for step in &outcome.moves {
        let Some(allotment) = allotment(board, step, lots, demands) else {
            continue;
        };
        if let Some(total) = allocated.get_mut(allotment.demand) {
            *total = Millilitres::new(total.get().saturating_add(allotment.amount.get()));
        }
        allotments.push((step.lot, allotment));
    }
    allotments.sort_unstable_by_key(|(rank, allotment)| (allotment.demand, *rank));
    Allocation { allocated, allotments: allotments.into_iter().map(|(_, allotment)| allotment).collect() }
}

fn allotment(board: &Board, step: &Move, lots: &[Lot], demands: &[Demand]) -> Option<Allotment> {
    let lot = board.lots.get(step.lot)?.index;
    let demand = board.demands.get(step.demand)?.index;
    let common = lots.get(lot)?.window.common(demands.get(demand)?.window);
    Some(Allotment { lot, demand, on: common.first, amount: Millilitres::new(small(step.amount)) })
}
