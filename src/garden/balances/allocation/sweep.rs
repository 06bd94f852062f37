//! The largest flow between two lists of date ranges, by one walk in time.
//!
//! Whoever ends first takes from the partners that have started and not ended,
//! the one that ends first before the others. This finds a largest total: when
//! `x` ends first of all, each of its partners has started by then, so of two
//! partners the one that ends sooner can serve nobody the other could not serve
//! as well, and a flow that does otherwise can be changed into one that does
//! this without losing anything. It follows that amounts which can be served
//! together at all are all served by this walk.

use crate::garden::interrupt::check;
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::iter::Peekable;
use std::slice::Iter;

/// An amount within a range of days.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    /// The first day.
    pub first: i32,
    /// The last day; of a lot not before the first.
    pub last: i32,
    /// Of a demand, the last day for untreated lots: not after the other one, and [`NEVER`] where there is none.
    pub early: i32,
    /// Of a lot, whether it counts as raw manure.
    pub untreated: bool,
    /// The amount.
    pub amount: u128,
}

/// Before every first day.
pub(super) const NEVER: i32 = i32::MIN;

impl Node {
    /// Of a lot, whether it shares a day with a demand.
    pub fn meets(&self, demand: &Self) -> bool {
        let last = if self.untreated { demand.early } else { demand.last };
        self.first <= last && demand.first <= self.last
    }
}

/// An amount from a lot to a demand, by their places in the lists.
#[derive(Debug, Clone, Copy)]
pub(super) struct Move {
    /// The lot.
    pub lot: usize,
    /// The demand.
    pub demand: usize,
    /// The amount; never zero.
    pub amount: u128,
}

/// The outcome of a walk.
pub(super) struct Sweep {
    /// What goes where; at most one entry for each pair.
    pub moves: Vec<Move>,
    /// What each demand lacks.
    pub unmet: Vec<u128>,
}

/// In which order lots and demands start; it does not depend on their amounts.
pub(super) struct Starts {
    lots: Vec<u64>,
    demands: Vec<u64>,
}

impl Starts {
    /// The order of these.
    pub fn of(lots: &[Node], demands: &[Node]) -> Self {
        Self { lots: starts(lots), demands: starts(demands) }
    }
}

/// Walks through the days. Both lists must be ordered by last day; ties are
/// taken in list order, demands before lots.
pub(super) fn sweep(lots: &[Node], demands: &[Node]) -> Sweep {
    sweep_from(&Starts::of(lots, demands), lots, demands)
}

/// As [`sweep`], where the order of the starts is known.
pub(super) fn sweep_from(starts: &Starts, lots: &[Node], demands: &[Node]) -> Sweep {
    let mut stock = Queue::new(lots, &starts.lots);
    let mut unserved = Queue::new(demands, &starts.demands);
    let mut unmet = Vec::with_capacity(demands.len());
    let mut moves = Vec::with_capacity(lots.len() + demands.len());
    let mut ending_lots = lots.iter().enumerate().peekable();
    for (demand, node) in demands.iter().enumerate() {
        check();
        while let Some((lot, ending)) = ending_lots.next_if(|(_, lot)| lot.last < node.last) {
            close_lot(&mut stock, &mut unserved, &mut moves, (lot, ending.last));
        }
        stock.open_until(node.last);
        let mut need = unserved.close(demand);
        while let Some((lot, amount)) = stock.take(need) {
            need -= amount;
            moves.push(Move { lot, demand, amount });
        }
        unmet.push(need);
    }
    Sweep { moves, unmet }
}

/// Gives what is left of a lot on its last day to the demands then open.
fn close_lot(stock: &mut Queue<'_>, unserved: &mut Queue<'_>, moves: &mut Vec<Move>, (lot, day): (usize, i32)) {
    unserved.open_until(day);
    let mut rest = stock.close(lot);
    while let Some((demand, amount)) = unserved.take(rest) {
        rest -= amount;
        moves.push(Move { lot, demand, amount });
    }
}

/// A first day and a place in one number, which is in the order of both: such numbers are sorted in a third of the time of pairs.
fn start(first: i32, place: u32) -> u64 {
    u64::from(first.cast_unsigned() ^ (1 << 31)) << 32 | u64::from(place)
}

/// Nodes by their first day, then by their place.
fn starts(nodes: &[Node]) -> Vec<u64> {
    let mut starts: Vec<u64> = nodes.iter().zip(0..).map(|(node, place)| start(node.first, place)).collect();
    starts.sort_unstable();
    starts
}

/// The place of a start.
fn place(start: u64) -> usize {
    usize::try_from(start & u64::from(u32::MAX)).unwrap_or(usize::MAX)
}

/// One side of the walk: who has started, and what is left of each.
struct Queue<'a> {
    left: Vec<u128>,
    starts: Peekable<Iter<'a, u64>>,
    open: BinaryHeap<Reverse<usize>>,
}

impl<'a> Queue<'a> {
    fn new(nodes: &[Node], starts: &'a [u64]) -> Self {
        let left = nodes.iter().map(|node| node.amount).collect();
        Self { left, starts: starts.iter().peekable(), open: BinaryHeap::new() }
    }

    /// Opens everyone who has started by a day.
    fn open_until(&mut self, day: i32) {
        let end = start(day, u32::MAX);
        while let Some(start) = self.starts.next_if(|start| **start <= end) {
            self.open.push(Reverse(place(*start)));
        }
    }

    /// Takes up to `wanted` from the open one that ends first; `None` when
    /// nothing is wanted or nothing is left.
    fn take(&mut self, wanted: u128) -> Option<(usize, u128)> {
        if wanted == 0 {
            return None;
        }
        while let Some(&Reverse(place)) = self.open.peek() {
            if let Some(left) = self.left.get_mut(place).filter(|left| **left > 0) {
                let amount = wanted.min(*left);
                *left -= amount;
                return Some((place, amount));
            }
            self.open.pop();
        }
        None
    }

    /// Ends one, and answers what was left of it.
    fn close(&mut self, place: usize) -> u128 {
        self.left.get_mut(place).map_or(0, std::mem::take)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small seeded generator.
    fn below(state: &mut u64, limit: u64) -> u64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (*state >> 33) % limit
    }

    fn nodes(state: &mut u64) -> Vec<Node> {
        let mut nodes: Vec<Node> = (0..below(state, 7))
            .map(|_| {
                let first = i32::try_from(below(state, 12)).unwrap_or(0);
                let length = i32::try_from(below(state, 8)).unwrap_or(0);
                let amount = u128::from(below(state, 10));
                Node { first, last: first + length, early: first + length, untreated: false, amount }
            })
            .collect();
        nodes.sort_by_key(|node| node.last);
        nodes
    }

    /// The largest flow by its smallest cut: over all groups of demands, what
    /// the others want and what the lots of the group hold.
    fn smallest_cut(lots: &[Node], demands: &[Node]) -> u128 {
        let meet = |lot: &Node, demand: &Node| lot.first <= demand.last && demand.first <= lot.last;
        let cut = |group: usize| -> u128 {
            let (inside, outside): (Vec<_>, Vec<_>) = (0..demands.len()).partition(|demand| group >> demand & 1 == 1);
            let used = |lot: &&Node| inside.iter().any(|d| meet(lot, &demands[*d]));
            let stock: u128 = lots.iter().filter(used).map(|lot| lot.amount).sum();
            stock + outside.iter().map(|d| demands[*d].amount).sum::<u128>()
        };
        (0..1 << demands.len()).map(cut).min().unwrap_or(0)
    }

    #[test]
    fn the_walk_finds_a_largest_flow() {
        let mut state = 2027;
        let mut short = 0;
        for _ in 0..5_000 {
            let (lots, demands) = (nodes(&mut state), nodes(&mut state));
            let sweep = sweep(&lots, &demands);
            let total: u128 = sweep.moves.iter().map(|step| step.amount).sum();
            let wanted: u128 = demands.iter().map(|demand| demand.amount).sum();
            assert_eq!(total, smallest_cut(&lots, &demands), "{lots:?} {demands:?}");
            assert_eq!(total + sweep.unmet.iter().sum::<u128>(), wanted);
            short += usize::from(total > 0 && total < wanted);
            for step in &sweep.moves {
                let (lot, demand) = (&lots[step.lot], &demands[step.demand]);
                assert!(lot.first <= demand.last && demand.first <= lot.last);
            }
        }
        assert!(short > 1_000, "{short} cases were short");
    }
}
