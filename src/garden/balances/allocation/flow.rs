//! The largest flow where some pairs are barred.
//!
//! Lots are of two classes, treated and untreated, and a demand has a last day for each. The walk of `sweep` holds for one class
//! alone. So it goes through the untreated lots first, whose last days are the earlier ones, then through the others; and where that
//! leaves somebody short, paths are sought on which lots can be exchanged (Ford and Fulkerson) until there are none.

use super::board::Board;
use super::levels::{serve, serve_from};
use super::network::Network;
use super::sweep::{Move, Node, Starts, Sweep, sweep, sweep_from};
use std::collections::BTreeMap;

/// A largest flow. Lots must be ordered by last day, demands by their last day for treated lots.
pub(super) fn flow(lots: &[Node], demands: &[Node]) -> Sweep {
    flow_from(&Starts::of(lots, demands), lots, demands)
}

/// As [`flow`], where the order of the starts is known.
pub(super) fn flow_from(starts: &Starts, lots: &[Node], demands: &[Node]) -> Sweep {
    if !barred(lots, demands) {
        return sweep_from(starts, lots, demands);
    }
    let (mut moves, left) = by_class(lots, demands, true, demands);
    let (others, unmet) = by_class(lots, demands, false, &left);
    moves.extend(others);
    let unmet: Vec<u128> = unmet.iter().map(|node| node.amount).collect();
    let all_of_one = lots.iter().all(|lot| lot.untreated);
    if all_of_one || unmet.iter().all(|amount| *amount == 0) {
        return Sweep { moves: merged(moves), unmet };
    }
    exchanged(Network::filled(lots, demands, &moves), unmet)
}

/// What each demand lacks where those that end first are served first: of the demands up to any last day, the largest total is
/// served. Lots and demands must be ordered by last day.
pub(super) fn unmet_by_last_day(lots: &[Node], demands: &[Node]) -> Vec<u128> {
    if !barred(lots, demands) {
        // Whoever ends later takes only what no earlier one can use.
        return sweep(lots, demands).unmet;
    }
    let mut network = Network::filled(lots, demands, &[]);
    let mut open = network.all_lots();
    let mut unmet = vec![0; demands.len()];
    let mut start = 0;
    for same_day in demands.chunk_by(|one, other| one.last == other.last) {
        let mut needs = vec![0; demands.len()];
        for (need, demand) in needs.iter_mut().skip(start).zip(same_day) {
            *need = demand.amount;
        }
        serve_from(&mut open, &mut network, &mut needs);
        for (unmet, need) in unmet.iter_mut().zip(needs).skip(start).take(same_day.len()) {
            *unmet = need;
        }
        start += same_day.len();
    }
    unmet
}

/// The network that serves what the board has given.
pub(super) fn network(board: &Board) -> Network {
    let (lots, demands) = (board.stock(), board.served());
    let moves = flow(&lots, &demands).moves;
    Network::filled(&lots, &demands, &moves)
}

/// A largest flow that keeps to the order of the walk as far as it goes: through the days, each with whom it may, and only then by
/// exchange.
pub(super) fn in_order(lots: &[Node], demands: &[Node]) -> Sweep {
    if !barred(lots, demands) {
        return sweep(lots, demands);
    }
    let (moves, unmet) = walk(lots, demands);
    exchanged(Network::filled(lots, demands, &moves), unmet)
}

/// Whether anybody may draw on some of these lots longer than on others.
fn barred(lots: &[Node], demands: &[Node]) -> bool {
    lots.iter().any(|lot| lot.untreated) && demands.iter().any(|demand| demand.early < demand.last)
}

/// Exchanges lots until who is short cannot be served more.
fn exchanged(mut network: Network, mut unmet: Vec<u128>) -> Sweep {
    serve(&mut network, &mut unmet);
    Sweep { moves: network.moves(), unmet }
}

/// The walk through the lots of one class, each demand with its last day for them, and what is left of each demand.
fn by_class(lots: &[Node], demands: &[Node], untreated: bool, asked: &[Node]) -> (Vec<Move>, Vec<Node>) {
    let places: Vec<usize> =
        lots.iter().enumerate().filter(|(_, lot)| lot.untreated == untreated).map(|(place, _)| place).collect();
    let those: Vec<Node> = lots.iter().filter(|lot| lot.untreated == untreated).copied().collect();
    let last = |node: &Node| if untreated { node.early } else { node.last };
    let mut order: Vec<usize> = (0..demands.len()).collect();
    order.sort_by_key(|place| demands.get(*place).map(last));
    let due: Vec<Node> =
        order.iter().filter_map(|place| asked.get(*place)).map(|node| Node { last: last(node), ..*node }).collect();
    let walked = sweep(&those, &due);
    let mut left = asked.to_vec();
    for (place, unmet) in order.iter().zip(&walked.unmet) {
        if let Some(node) = left.get_mut(*place) {
            node.amount = *unmet;
        }
    }
    let back =
        |step: &Move| Some(Move { lot: *places.get(step.lot)?, demand: *order.get(step.demand)?, amount: step.amount });
    (walked.moves.iter().filter_map(back).collect(), left)
}

/// The walk of `sweep`, where each takes only from whom it may: what is taken, and what each demand lacks.
fn walk(lots: &[Node], demands: &[Node]) -> (Vec<Move>, Vec<u128>) {
    let mut stock: Vec<u128> = lots.iter().map(|lot| lot.amount).collect();
    let mut needs: Vec<u128> = demands.iter().map(|demand| demand.amount).collect();
    let mut moves = Vec::with_capacity(lots.len() + demands.len());
    let mut ending = lots.iter().enumerate().peekable();
    for (place, demand) in demands.iter().enumerate() {
        while let Some((lot, node)) = ending.next_if(|(_, lot)| lot.last < demand.last) {
            let open = needs.iter_mut().zip(demands).enumerate().skip(place);
            for (other, (need, _)) in open.filter(|(_, (_, other))| node.meets(other)) {
                take((&mut stock, lot), (need, other), &mut moves);
            }
        }
        let Some(need) = needs.get_mut(place) else { continue };
        for (lot, _) in lots.iter().enumerate().filter(|(_, lot)| lot.meets(demand)) {
            take((&mut stock, lot), (need, place), &mut moves);
        }
    }
    (merged(moves), needs)
}

fn take((stock, lot): (&mut [u128], usize), (need, demand): (&mut u128, usize), moves: &mut Vec<Move>) {
    let Some(there) = stock.get_mut(lot) else { return };
    let amount = (*need).min(*there);
    if amount > 0 {
        (*need, *there) = (*need - amount, *there - amount);
        moves.push(Move { lot, demand, amount });
    }
}

/// One entry for each pair.
fn merged(moves: Vec<Move>) -> Vec<Move> {
    let mut pairs: BTreeMap<(usize, usize), u128> = BTreeMap::new();
    for Move { lot, demand, amount } in moves {
        *pairs.entry((demand, lot)).or_default() += amount;
    }
    pairs.into_iter().map(|((demand, lot), amount)| Move { lot, demand, amount }).collect()
}
