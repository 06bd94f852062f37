//! A sharing that can be gone through again from some priority on, with some demands left out.

use super::board::Board;
use super::{Allocation, Demand, Fraction, Lot, fair, flow, round, routing, whole};
use crate::garden::units::Millilitres;
use std::collections::BTreeMap;
use std::ops::{Bound, RangeBounds};

/// What each demand is given so far and its exact share, by rank; kept to go back to.
pub struct SharesByRank(Vec<(u64, Fraction)>);

/// The lots, the demands, and what each is given.
///
/// No later priority takes anything that an earlier one could use, so leaving somebody out changes nothing for the priorities before
/// its own: only the others are shared anew.
pub struct Sharing {
    board: Board,
    /// The ranks of the demands of each priority.
    classes: BTreeMap<u8, Vec<usize>>,
    /// The rank of each demand on the board; nothing for those that can never get anything.
    ranks: Vec<Option<usize>>,
    /// What each asks, by rank, also while it is left out.
    needed: Vec<u64>,
}

impl Sharing {
    /// The sharing in which nobody is given anything yet.
    pub fn new(lots: &[Lot], demands: &[Demand]) -> Self {
        let board = Board::new(lots, demands);
        let mut ranks = vec![None; demands.len()];
        for (rank, demand) in board.demands.iter().enumerate() {
            if let Some(slot) = ranks.get_mut(demand.index) {
                *slot = Some(rank);
            }
        }
        Self {
            classes: board.classes(),
            needed: board.demands.iter().map(|demand| demand.needed).collect(),
            ranks,
            board,
        }
    }

    /// Shares anew among the priorities of this range, in order, beside what the earlier ones have. The later ones are given nothing.
    pub fn fill(&mut self, priorities: impl RangeBounds<u8>) {
        let from = priorities.start_bound().cloned();
        for rank in self.classes.range((from, Bound::Unbounded)).flat_map(|(_, class)| class) {
            self.board.give(*rank, 0);
            self.board.note_share(*rank, Fraction::ZERO);
        }
        for class in self.classes.range((from, priorities.end_bound().cloned())).map(|(_, class)| class) {
            let asking: Vec<usize> = class.iter().copied().filter(|rank| self.board.needed(*rank) > 0).collect();
            let shares = fair::shares(&self.board, &asking);
            if self.board.has_portions(&asking) {
                whole::fill(&mut self.board, &shares);
            } else {
                round::fill(&mut self.board, &shares);
            }
        }
    }

    /// Lets a demand ask for nothing, or again for what it asked. Nothing is shared anew.
    pub fn leave_out(&mut self, demand: usize, out: bool) {
        if let Some(rank) = self.rank(demand) {
            let needed = if out { 0 } else { self.needed.get(rank).copied().unwrap_or(0) };
            self.board.ask(rank, needed);
        }
    }

    /// What a demand is given.
    pub fn given(&self, demand: usize) -> Millilitres {
        Millilitres::new(
            self.rank(demand).and_then(|rank| self.board.demands.get(rank)).map_or(0, |demand| demand.allocated),
        )
    }

    /// The exact share of what a demand asks that it is given, before that was rounded to millilitres.
    pub fn share(&self, demand: usize) -> Fraction {
        self.rank(demand).and_then(|rank| self.board.demands.get(rank)).map_or(Fraction::ZERO, |demand| demand.share)
    }

    /// Whether none of these demands of one priority could get a millilitre beside what the earlier priorities have. Whoever is of
    /// this priority or a later one is given nothing afterwards.
    pub fn nothing_is_there(&mut self, priority: u8, mut these: impl Iterator<Item = usize>) -> bool {
        for rank in self.classes.range(priority..).flat_map(|(_, class)| class) {
            self.board.give(*rank, 0);
        }
        let mut network = flow::network(&self.board);
        !these.any(|demand| self.rank(demand).is_some_and(|rank| network.add(rank, 1)))
    }

    /// What everybody is given, to go back to.
    pub fn save(&self) -> SharesByRank {
        SharesByRank(self.board.demands.iter().map(|demand| (demand.allocated, demand.share)).collect())
    }

    /// Goes back to what everybody was given.
    pub fn go_back(&mut self, SharesByRank(given): SharesByRank) {
        for (demand, (given, share)) in self.board.demands.iter_mut().zip(given) {
            (demand.allocated, demand.share) = (given, share);
        }
    }

    /// Who gets what from which lot. `lots` and `demands` are those it was made of.
    pub fn route(&self, lots: &[Lot], demands: &[Demand]) -> Allocation {
        routing::route(&self.board, lots, demands)
    }

    fn rank(&self, demand: usize) -> Option<usize> {
        self.ranks.get(demand).copied().flatten()
    }
}
