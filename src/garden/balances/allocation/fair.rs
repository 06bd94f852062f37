//! Fair shares as exact fractions.
//!
//! Take a share t. If everyone can be served t of what they ask, and with it
//! all the stock is used (or t is 1), that is the answer. If not, the sweep
//! leaves somebody short and the smallest cut splits the lots and demands in
//! two: a group that wants more than all the lots any of them can use, whose
//! shares stay below t, and the rest, whose shares are t or more. In the
//! max-min answer the group uses up its lots, so the two parts no longer touch
//! and each is solved alone. The share tried is the even one,
//! (stock - already promised) / needed, at most 1, so each split makes progress.

use super::board::Board;
use super::cut::{Cut, binding};
use super::flow::flow;
use super::fraction::Fraction;
use super::sweep::Node;
use crate::garden::interrupt::check;

/// A lot or demand of a part.
#[derive(Clone, Copy)]
struct Entry {
    /// Its place on the board.
    rank: usize,
    first: i32,
    last: i32,
    /// The last day of a demand for untreated lots.
    early: i32,
    /// Whether a lot counts as raw manure.
    untreated: bool,
    /// Stock of a lot, promise to a settled demand, or what a free one asks.
    amount: u64,
    /// Whether this is a demand whose share is to be found.
    free: bool,
}

/// A set of lots and demands that can be solved alone.
struct Part {
    lots: Vec<Entry>,
    demands: Vec<Entry>,
}

/// The max-min shares of the `free` demands, by place on the board, with
/// everybody else keeping what they are given. Each demand comes exactly once.
pub(super) fn shares(board: &Board, free: &[usize]) -> Vec<(usize, Fraction)> {
    let mut found = Vec::with_capacity(free.len());
    let mut parts = vec![Part::new(board, free)];
    while let Some(part) = parts.pop() {
        check();
        let Some(share) = part.mean_share() else {
            continue;
        };
        match part.blocked_at(share) {
            Some(cut) => parts.extend(part.split(&cut)),
            None => found.extend(part.free().map(|entry| (entry.rank, share))),
        }
    }
    found.sort_unstable_by_key(|(rank, _)| *rank);
    found
}

/// The largest share that all demands on the board can get alike.
pub(super) fn least(board: &Board) -> Fraction {
    let all: Vec<usize> = (0..board.demands.len()).collect();
    let mut part = Part::new(board, &all);
    loop {
        let share = part.mean_share().unwrap_or(Fraction::ONE);
        match part.blocked_at(share) {
            Some(cut) => {
                let [group, _] = part.split(&cut);
                part = group;
            }
            None => return share,
        }
    }
}

impl Part {
    fn new(board: &Board, free: &[usize]) -> Self {
        let lots = board.lots.iter().enumerate().map(|(rank, lot)| Entry {
            rank,
            first: lot.first,
            last: lot.last,
            early: lot.last,
            untreated: lot.untreated,
            amount: lot.amount,
            free: false,
        });
        let mut is_free = vec![false; board.demands.len()];
        for &rank in free {
            if let Some(flag) = is_free.get_mut(rank) {
                *flag = true;
            }
        }
        let entries = board.demands.iter().zip(is_free).enumerate();
        let demands = entries.map(|(rank, (demand, free))| Entry {
            rank,
            first: demand.first,
            last: demand.last,
            early: demand.early,
            untreated: false,
            amount: if free { demand.needed } else { demand.allocated },
            free,
        });
        Self { lots: lots.collect(), demands: demands.filter(|entry| entry.amount > 0).collect() }
    }

    fn free(&self) -> impl Iterator<Item = &Entry> {
        self.demands.iter().filter(|entry| entry.free)
    }

    /// (stock - promised) / needed, at most 1; `None` when nobody is free.
    fn mean_share(&self) -> Option<Fraction> {
        let sum = |total: u128, entry: &Entry| total + u128::from(entry.amount);
        let stock = self.lots.iter().fold(0, sum);
        let needed = self.free().fold(0, sum);
        let settled = self.demands.iter().filter(|entry| !entry.free);
        let rest = stock.saturating_sub(settled.fold(0, sum));
        Fraction::new(rest.min(needed), needed)
    }

    /// The group that cannot all be served this share; `None` when all can.
    ///
    /// All amounts are taken times the denominator, so they stay whole.
    fn blocked_at(&self, share: Fraction) -> Option<Cut> {
        let node = |entry: &Entry| {
            let factor = if entry.free { share.numerator() } else { share.denominator() };
            Node {
                first: entry.first,
                last: entry.last,
                early: entry.early,
                untreated: entry.untreated,
                // An amount of at most 10^15 times a sum of such amounts:
                // in range for any list that fits in memory.
                amount: u128::from(entry.amount).saturating_mul(factor),
            }
        };
        let lots: Vec<Node> = self.lots.iter().map(node).collect();
        let demands: Vec<Node> = self.demands.iter().map(node).collect();
        let sweep = flow(&lots, &demands);
        binding(&lots, &demands, &sweep)
    }

    /// The group of the cut, and the rest.
    fn split(self, cut: &Cut) -> [Self; 2] {
        let (used, unused) = divide(self.lots, &cut.lots);
        let (group, rest) = divide(self.demands, &cut.demands);
        [Self { lots: used, demands: group }, Self { lots: unused, demands: rest }]
    }
}

/// The marked entries, and the others, both in their order.
fn divide(entries: Vec<Entry>, marks: &[bool]) -> (Vec<Entry>, Vec<Entry>) {
    let pairs = entries.into_iter().zip(marks);
    let (marked, others): (Vec<_>, Vec<_>) = pairs.partition(|(_, mark)| **mark);
    let plain = |list: Vec<(Entry, &bool)>| list.into_iter().map(|(entry, _)| entry).collect();
    (plain(marked), plain(others))
}
