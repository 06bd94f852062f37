//! The lots and demands in the order in which they end, with what is given.

use super::fraction::Fraction;
use super::sweep::{NEVER, Node};
use super::{Demand, Lot, Window};
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;

/// The largest amount that counts, in millilitres: a cubic kilometre.
///
/// It keeps every product of an amount and a sum of amounts inside `u128` for
/// up to 300 million demands.
const LARGEST: u64 = 1_000_000_000_000_000;

/// A lot in use, by order of end.
pub(super) struct RankedLot {
    /// Its place in the list given.
    pub index: usize,
    /// The first day, as a day number.
    pub first: i32,
    /// The last day, as a day number.
    pub last: i32,
    /// Whether it counts as raw manure.
    pub untreated: bool,
    /// How much there is, in millilitres.
    pub amount: u64,
}

/// A demand in use, by order of end.
pub(super) struct RankedDemand {
    /// Its place in the list given.
    pub index: usize,
    /// The first day, as a day number.
    pub first: i32,
    /// The last day, as a day number.
    pub last: i32,
    /// The last day for untreated lots, as a day number.
    pub early: i32,
    /// The place in the queue.
    pub priority: u8,
    /// What it asks, in millilitres; zero while it is left out.
    pub needed: u64,
    /// The number of portions it comes in; zero for none.
    pub portions: u32,
    /// What it is given so far, in millilitres.
    pub allocated: u64,
    /// Its exact share of what it asks, before it is rounded to millilitres.
    pub share: Fraction,
}

/// All lots and demands that hold a day and an amount, each list in tie order:
/// lots by last day, first day, list; demands by last day, priority, list.
pub(super) struct Board {
    /// The lots.
    pub lots: Vec<RankedLot>,
    /// The demands.
    pub demands: Vec<RankedDemand>,
}

impl Board {
    /// The board with nothing given.
    pub fn new(lots: &[Lot], demands: &[Demand]) -> Self {
        let mut ranked_lots: Vec<RankedLot> = lots.iter().enumerate().filter_map(ranked_lot).collect();
        ranked_lots.sort_unstable_by_key(|lot| (lot.last, lot.first, lot.index));
        let mut ranked_demands: Vec<RankedDemand> = demands.iter().enumerate().filter_map(ranked_demand).collect();
        ranked_demands.sort_unstable_by_key(|demand| (demand.last, demand.priority, demand.index));
        Self { lots: ranked_lots, demands: ranked_demands }
    }

    /// The places of the demands on the board, by priority.
    pub fn classes(&self) -> BTreeMap<u8, Vec<usize>> {
        let mut classes: BTreeMap<u8, Vec<usize>> = BTreeMap::new();
        for (rank, demand) in self.demands.iter().enumerate() {
            classes.entry(demand.priority).or_default().push(rank);
        }
        classes
    }

    /// Whether any of these demands comes in portions.
    pub fn has_portions(&self, class: &[usize]) -> bool {
        class.iter().any(|&rank| self.portions(rank) > 0)
    }

    /// The number of portions of a demand; zero for none.
    pub fn portions(&self, rank: usize) -> u32 {
        self.demands.get(rank).map_or(0, |demand| demand.portions)
    }

    /// What a demand asks, in millilitres.
    pub fn needed(&self, rank: usize) -> u64 {
        self.demands.get(rank).map_or(0, |demand| demand.needed)
    }

    /// The place of a demand in the list given.
    pub fn index(&self, rank: usize) -> usize {
        self.demands.get(rank).map_or(usize::MAX, |demand| demand.index)
    }

    /// Sets what a demand asks, in millilitres.
    pub fn ask(&mut self, rank: usize, amount: u64) {
        if let Some(demand) = self.demands.get_mut(rank) {
            demand.needed = amount;
        }
    }

    /// Sets what a demand is given, in millilitres.
    pub fn give(&mut self, rank: usize, amount: u64) {
        if let Some(demand) = self.demands.get_mut(rank) {
            demand.allocated = amount;
        }
    }

    /// Notes the exact share of what a demand asks.
    pub fn note_share(&mut self, rank: usize, share: Fraction) {
        if let Some(demand) = self.demands.get_mut(rank) {
            demand.share = share;
        }
    }

    /// The lots with their stock.
    pub fn stock(&self) -> Vec<Node> {
        let node = |lot: &RankedLot| Node {
            first: lot.first,
            last: lot.last,
            early: lot.last,
            untreated: lot.untreated,
            amount: u128::from(lot.amount),
        };
        self.lots.iter().map(node).collect()
    }

    /// The demands with what they are given so far.
    pub fn served(&self) -> Vec<Node> {
        self.nodes(|demand| demand.allocated)
    }

    /// The demands with what they ask.
    pub fn asked(&self) -> Vec<Node> {
        self.nodes(|demand| demand.needed)
    }

    fn nodes(&self, amount: impl Fn(&RankedDemand) -> u64) -> Vec<Node> {
        let node = |demand: &RankedDemand| Node {
            first: demand.first,
            last: demand.last,
            early: demand.early,
            untreated: false,
            amount: u128::from(amount(demand)),
        };
        self.demands.iter().map(node).collect()
    }
}

fn ranked_lot((index, lot): (usize, &Lot)) -> Option<RankedLot> {
    let amount = lot.amount.get().min(LARGEST);
    let (first, last) = days(lot.window);
    (amount > 0 && first <= last).then_some(RankedLot { index, first, last, untreated: lot.untreated, amount })
}

fn ranked_demand((index, demand): (usize, &Demand)) -> Option<RankedDemand> {
    let needed = demand.amount.get().min(LARGEST);
    let (first, last) = days(demand.eligibility.treated.cut(demand.window)?);
    let early = demand.eligibility.untreated.cut(demand.window).map_or(NEVER, |window| days(window).1.min(last));
    (needed > 0 && first <= last).then_some(RankedDemand {
        index,
        first,
        last,
        early,
        priority: demand.priority,
        needed,
        portions: demand.portions.unwrap_or(0),
        allocated: 0,
        share: Fraction::ZERO,
    })
}

/// The two ends as day numbers; open ends lie beyond every date, and after [`NEVER`].
fn days(window: Window) -> (i32, i32) {
    let number = |date: NaiveDate| date.num_days_from_ce();
    (window.first.map_or(NEVER + 1, number), window.last.map_or(i32::MAX, number))
}
