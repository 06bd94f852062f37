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
pub(super) struct Source {
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
pub(super) struct Wish {
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
    pub wanted: u64,
    /// The number of portions it comes in; zero for none.
    pub portions: u32,
    /// What it is given so far, in millilitres.
    pub given: u64,
    /// Its exact share of what it asks, before it is rounded to millilitres.
    pub share: Fraction,
}

/// All lots and demands that hold a day and an amount, each list in tie order:
/// lots by last day, first day, list; demands by last day, priority, list.
pub(super) struct Board {
    /// The lots.
    pub lots: Vec<Source>,
    /// The demands.
    pub demands: Vec<Wish>,
}

impl Board {
    /// The board with nothing given.
    pub fn new(lots: &[Lot], demands: &[Demand]) -> Self {
        let mut sources: Vec<Source> = lots.iter().enumerate().filter_map(source).collect();
        sources.sort_unstable_by_key(|lot| (lot.last, lot.first, lot.index));
        let mut wishes: Vec<Wish> = demands.iter().enumerate().filter_map(wish).collect();
        wishes.sort_unstable_by_key(|wish| (wish.last, wish.priority, wish.index));
        Self { lots: sources, demands: wishes }
    }

    /// The places of the demands on the board, by priority.
    pub fn classes(&self) -> BTreeMap<u8, Vec<usize>> {
        let mut classes: BTreeMap<u8, Vec<usize>> = BTreeMap::new();
        for (rank, wish) in self.demands.iter().enumerate() {
            classes.entry(wish.priority).or_default().push(rank);
        }
        classes
    }

    /// Whether any of these demands comes in portions.
    pub fn has_portions(&self, class: &[usize]) -> bool {
        class.iter().any(|&rank| self.portions(rank) > 0)
    }

    /// The number of portions of a demand; zero for none.
    pub fn portions(&self, rank: usize) -> u32 {
        self.demands.get(rank).map_or(0, |wish| wish.portions)
    }

    /// What a demand asks, in millilitres.
    pub fn wanted(&self, rank: usize) -> u64 {
        self.demands.get(rank).map_or(0, |wish| wish.wanted)
    }

    /// The place of a demand in the list given.
    pub fn index(&self, rank: usize) -> usize {
        self.demands.get(rank).map_or(usize::MAX, |wish| wish.index)
    }

    /// Sets what a demand asks, in millilitres.
    pub fn ask(&mut self, rank: usize, amount: u64) {
        if let Some(wish) = self.demands.get_mut(rank) {
            wish.wanted = amount;
        }
    }

    /// Sets what a demand is given, in millilitres.
    pub fn give(&mut self, rank: usize, amount: u64) {
        if let Some(wish) = self.demands.get_mut(rank) {
            wish.given = amount;
        }
    }

    /// Notes the exact share of what a demand asks.
    pub fn note_share(&mut self, rank: usize, share: Fraction) {
        if let Some(wish) = self.demands.get_mut(rank) {
            wish.share = share;
        }
    }

    /// The lots with their stock.
    pub fn stock(&self) -> Vec<Node> {
        let node = |lot: &Source| Node {
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
        self.nodes(|wish| wish.given)
    }

    /// The demands with what they ask.
    pub fn asked(&self) -> Vec<Node> {
        self.nodes(|wish| wish.wanted)
    }

    fn nodes(&self, amount: impl Fn(&Wish) -> u64) -> Vec<Node> {
        let node = |wish: &Wish| Node {
            first: wish.first,
            last: wish.last,
            early: wish.early,
            untreated: false,
            amount: u128::from(amount(wish)),
        };
        self.demands.iter().map(node).collect()
    }
}

fn source((index, lot): (usize, &Lot)) -> Option<Source> {
    let amount = lot.amount.get().min(LARGEST);
    let (first, last) = days(lot.window);
    (amount > 0 && first <= last).then_some(Source { index, first, last, untreated: lot.untreated, amount })
}

fn wish((index, demand): (usize, &Demand)) -> Option<Wish> {
    let wanted = demand.amount.get().min(LARGEST);
    let (first, last) = days(demand.eligibility.treated.cut(demand.window)?);
    let early = demand.eligibility.untreated.cut(demand.window).map_or(NEVER, |window| days(window).1.min(last));
    (wanted > 0 && first <= last).then_some(Wish {
        index,
        first,
        last,
        early,
        priority: demand.priority,
        wanted,
        portions: demand.portions.unwrap_or(0),
        given: 0,
        share: Fraction::ZERO,
    })
}

/// The two ends as day numbers; open ends lie beyond every date, and after [`NEVER`].
fn days(window: Window) -> (i32, i32) {
    let number = |date: NaiveDate| date.num_days_from_ce();
    (window.first.map_or(NEVER + 1, number), window.last.map_or(i32::MAX, number))
}
