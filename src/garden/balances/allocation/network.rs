//! A flow in whole millilitres that can grow, demand by demand.

mod paths;

use super::cut::Finder;
use super::sweep::{Move, Node};
use std::collections::BTreeMap;

/// What a lot still has, and whom it serves with how much.
struct LotFlow {
    first: i32,
    spare: u128,
    out: BTreeMap<usize, u128>,
}

/// The given amounts, served from the lots in some way; more can be asked for
/// one demand while all the others keep what they have.
pub(super) struct Network {
    lots: Vec<Node>,
    taps: Vec<LotFlow>,
    demands: Vec<Node>,
    /// The lots that serve each demand.
    sources: Vec<Vec<usize>>,
    /// Lots with something to spare.
    open: Finder,
    /// Lots with nothing to spare that may still pass something on.
    closed: Finder,
    /// For each demand, the search that last came to it and the lot it came by.
    reached: Vec<(u64, usize)>,
    /// For each lot, the demand by which the last search came to it.
    origin: Vec<usize>,
    searches: u64,
    /// What all lots have to spare together.
    spare: u128,
    /// By days, the least that could not be added.
    failed: BTreeMap<(i32, i32, i32), u128>,
    /// How many demands were looked at in all searches.
    looked_at: usize,
}

impl Network {
    /// The network in which these amounts go from lots to demands.
    pub fn filled(lots: &[Node], demands: &[Node], moves: &[Move]) -> Self {
        let tap = |lot: &Node| LotFlow { first: lot.first, spare: lot.amount, out: BTreeMap::new() };
        let mut network = Self {
            lots: lots.to_vec(),
            taps: lots.iter().map(tap).collect(),
            sources: vec![Vec::new(); demands.len()],
            open: Finder::full(lots),
            closed: Finder::new(lots),
            reached: vec![(0, 0); demands.len()],
            origin: vec![0; lots.len()],
            demands: demands.to_vec(),
            searches: 0,
            spare: lots.iter().map(|lot| lot.amount).sum(),
            failed: BTreeMap::new(),
            looked_at: 0,
        };
        for step in moves {
            network.shift(step.lot, step.demand, step.amount);
        }
        network
    }

    /// Serves a demand `extra` more if that is possible with everybody else
    /// keeping what they have; changes nothing otherwise.
    pub fn add(&mut self, demand: usize, extra: u64) -> bool {
        let extra = u128::from(extra);
        let Some(range) = self.demands.get(demand).map(|node| (node.first, node.last, node.early)) else {
            return false;
        };
        // Everybody keeps what they have, so what fails once for these days fails again, and more of it too.
        let fails = self.failed.get(&range).is_some_and(|failed| *failed <= extra);
        if fails || extra > self.spare {
            return false;
        }
        // One path is enough for a millilitre; what needs many is first looked at as a whole.
        let possible = (extra == 1 || self.within_reach(demand, extra)) && self.added(demand, extra);
        if !possible {
            self.failed.insert(range, extra);
        }
        possible
    }

    /// Adds path by path, or nothing.
    fn added(&mut self, demand: usize, extra: u128) -> bool {
        let mut need = extra;
        while need > 0 {
            let path = self.path(demand, need == extra).unwrap_or_default();
            let amount = self.capacity(&path).min(need);
            if amount == 0 {
                self.take_back(demand, extra - need);
                return false;
            }
            self.push(&path, amount);
            need -= amount;
        }
        true
    }

    /// How many lots there are.
    pub fn count(&self) -> usize {
        self.lots.len()
    }

    /// A finder of all lots.
    pub fn all_lots(&self) -> Finder {
        Finder::full(&self.lots)
    }

    /// A finder of some lots, by their place in this list.
    pub fn finder(&self, places: &[usize]) -> Finder {
        let lots: Vec<Node> = places.iter().filter_map(|lot| self.lots.get(*lot)).copied().collect();
        Finder::full(&lots)
    }

    /// The first lot held by a finder that a demand can use.
    pub fn find(&self, lots: &Finder, demand: usize) -> Option<usize> {
        self.demands.get(demand).and_then(|range| lots.find(range))
    }

    /// What a lot has to spare.
    pub fn spare(&self, lot: usize) -> u128 {
        self.taps.get(lot).map_or(0, |tap| tap.spare)
    }

    /// The demands that a lot serves.
    pub fn served(&self, lot: usize) -> impl Iterator<Item = usize> + '_ {
        self.taps.get(lot).into_iter().flat_map(|tap| tap.out.keys().copied())
    }

    /// What a lot gives to a demand.
    pub fn out(&self, lot: usize, demand: usize) -> u128 {
        self.taps.get(lot).and_then(|tap| tap.out.get(&demand)).copied().unwrap_or(0)
    }

    /// What goes where, by lot; one entry for each pair.
    pub fn moves(&self) -> Vec<Move> {
        let moves_of_lot = |(lot, tap): (usize, &LotFlow)| {
            let out: Vec<Move> =
                tap.out.iter().map(|(demand, amount)| Move { lot, demand: *demand, amount: *amount }).collect();
            out
        };
        self.taps.iter().enumerate().flat_map(moves_of_lot).collect()
    }

    /// Moves an amount from what a lot can spare to a demand.
    pub fn shift(&mut self, lot: usize, demand: usize, amount: u128) {
        let Some(tap) = self.taps.get_mut(lot).filter(|_| amount > 0) else {
            return;
        };
        tap.spare = tap.spare.saturating_sub(amount);
        self.spare = self.spare.saturating_sub(amount);
        *tap.out.entry(demand).or_insert(0) += amount;
        if tap.spare == 0 {
            self.open.remove(lot);
            self.closed.insert(lot, tap.first);
        }
        if let Some(list) = self.sources.get_mut(demand)
            && !list.contains(&lot)
        {
            list.push(lot);
        }
    }

    /// Moves an amount back from a demand to what a lot can spare.
    pub fn unshift(&mut self, lot: usize, demand: usize, amount: u128) {
        let Some(tap) = self.taps.get_mut(lot).filter(|_| amount > 0) else {
            return;
        };
        tap.spare += amount;
        self.spare += amount;
        let left = tap.out.get(&demand).map_or(0, |out| out.saturating_sub(amount));
        if left == 0 {
            tap.out.remove(&demand);
            if let Some(list) = self.sources.get_mut(demand) {
                list.retain(|source| *source != lot);
            }
        } else {
            tap.out.insert(demand, left);
        }
        self.closed.remove(lot);
        self.open.insert(lot, tap.first);
    }
}
