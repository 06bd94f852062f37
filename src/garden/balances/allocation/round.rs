//! From exact shares to whole millilitres.

use super::board::Board;
use super::flow::{self, flow_from};
use super::fraction::Fraction;
use super::sweep::Starts;
use std::cmp::Reverse;

/// To look for the longest start takes about as long as to look at so many times all lots and demands. Source: how this service works.
const STARTS: usize = 16;

/// A demand that may be given more than it has.
pub(super) struct Rise {
    /// Its place on the board.
    pub rank: usize,
    /// What it has, in millilitres.
    pub from: u64,
    /// What it would have, in millilitres.
    pub to: u64,
}

/// Gives every demand its share of what it asks, rounded down, and then one
/// millilitre more by largest remainder, then list order, where the lots allow
/// with everybody else keeping what they have.
///
/// The total comes out as large as it can be: amounts that can be served
/// together form an integral polymatroid, in which such a pass, in any order,
/// ends at a largest total between the amounts rounded down and rounded up.
pub(super) fn fill(board: &mut Board, shares: &[(usize, Fraction)]) {
    let mut cropped = Vec::new();
    for &(rank, share) in shares {
        let (floor, remainder) = share.times(board.needed(rank));
        let from = small(floor);
        board.give(rank, from);
        board.note_share(rank, share);
        if remainder > Fraction::ZERO {
            let to = from.saturating_add(1);
            let rise = Rise { rank, from, to };
            cropped.push((Reverse(remainder), board.index(rank), rise));
        }
    }
    cropped.sort_unstable_by_key(|(remainder, index, _)| (*remainder, *index));
    let list: Vec<Rise> = cropped.into_iter().map(|(_, _, rise)| rise).collect();
    let mut rest = list.as_slice();
    while !rest.is_empty() {
        let possible = longest_start(board, rest);
        rest = rest.get(possible..).unwrap_or_default();
        let one_by_one = raise_singly(board, rest);
        rest = rest.get(one_by_one..).unwrap_or_default();
    }
}

/// Raises one after the other where the lots allow, and answers how many were looked at. It stops where this takes longer than to
/// look for the longest start of what is left once more.
fn raise_singly(board: &mut Board, list: &[Rise]) -> usize {
    if list.is_empty() {
        return 0;
    }
    let most = STARTS * (board.lots.len() + board.demands.len());
    let mut network = flow::network(board);
    for (place, rise) in list.iter().enumerate() {
        if place > 0 && network.looked_at() > most {
            return place;
        }
        if network.add(rise.rank, rise.to.saturating_sub(rise.from)) {
            board.give(rise.rank, rise.to);
        }
    }
    list.len()
}

/// Raises as many from the start of the list as can all be raised together,
/// and answers how many these are. Going through the list one by one would
/// raise exactly the same ones before the first that has to stay.
pub(super) fn longest_start(board: &mut Board, list: &[Rise]) -> usize {
    let (mut possible, mut limit) = (0, list.len());
    let stock = board.stock();
    let starts = Starts::of(&stock, &board.served());
    while possible < limit {
        let middle = limit - (limit - possible) / 2;
        raise(board, list, middle);
        let outcome = flow_from(&starts, &stock, &board.served());
        if outcome.unmet.iter().all(|unmet| *unmet == 0) {
            possible = middle;
        } else {
            limit = middle - 1;
        }
    }
    raise(board, list, possible);
    possible
}

/// Raises so many from the start of the list, and none of the others.
fn raise(board: &mut Board, list: &[Rise], count: usize) {
    for (place, rise) in list.iter().enumerate() {
        let amount = if place < count { rise.to } else { rise.from };
        board.give(rise.rank, amount);
    }
}

/// The amount as `u64`; shares of amounts never exceed it.
pub(super) fn small(amount: u128) -> u64 {
    u64::try_from(amount).unwrap_or(u64::MAX)
}
