//! The group of demands that binds when a sweep leaves somebody short.

use super::sweep::{Node, Sweep};
use crate::garden::interrupt::check;

/// Lots in order of last day, searchable for one that shares a day with a range.
#[derive(Clone)]
pub(super) struct Finder {
    lasts: Vec<i32>,
    /// Whether each lot counts as raw manure.
    untreated: Vec<bool>,
    /// The treated and the untreated lots.
    trees: [Tree; 2],
}

impl Finder {
    /// A finder that knows the lots' last days and holds none of them yet.
    pub fn new(lots: &[Node]) -> Self {
        let lasts = lots.iter().map(|lot| lot.last).collect();
        let untreated = lots.iter().map(|lot| lot.untreated).collect();
        // A tree that never holds a lot is a single empty place.
        let size = |untreated: bool| if lots.iter().any(|lot| lot.untreated == untreated) { lots.len() } else { 0 };
        Self { lasts, untreated, trees: [false, true].map(|untreated| Tree::new(size(untreated))) }
    }

    /// A finder that holds all lots.
    pub fn full(lots: &[Node]) -> Self {
        let mut finder = Self::new(lots);
        for (tree, untreated) in finder.trees.iter_mut().zip([false, true]) {
            tree.fill(lots.iter().map(|lot| if lot.untreated == untreated { i64::from(lot.first) } else { i64::MAX }));
        }
        finder
    }

    /// Puts a lot in.
    pub fn insert(&mut self, lot: usize, first: i32) {
        self.set(lot, i64::from(first));
    }

    /// Takes a lot out.
    pub fn remove(&mut self, lot: usize) {
        self.set(lot, i64::MAX);
    }

    /// The first lot held, in list order, that shares a day with the range of a demand.
    pub fn find(&self, range: &Node) -> Option<usize> {
        let start = self.lasts.partition_point(|last| *last < range.first);
        let [treated, others] = &self.trees;
        match (treated.find(start, range.last), others.find(start, range.early)) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        }
    }

    fn set(&mut self, lot: usize, value: i64) {
        let [treated, others] = &mut self.trees;
        let tree = if self.untreated.get(lot).copied().unwrap_or(false) { others } else { treated };
        tree.set(lot, value);
    }
}

/// The smallest first day in each half, quarter and so on of a list of lots.
#[derive(Clone)]
struct Tree {
    size: usize,
    smallest: Vec<i64>,
}

impl Tree {
    fn new(count: usize) -> Self {
        let size = count.max(1).next_power_of_two();
        Self { size, smallest: vec![i64::MAX; 2 * size] }
    }

    fn fill(&mut self, firsts: impl Iterator<Item = i64>) {
        for (slot, first) in self.smallest.iter_mut().skip(self.size).zip(firsts) {
            *slot = first;
        }
        for place in (1..self.size).rev() {
            self.refresh(place);
        }
    }

    /// The first lot from `start` on that is usable by a day.
    fn find(&self, start: usize, day: i32) -> Option<usize> {
        let limit = i64::from(day);
        let mut place = self.size + start;
        if start >= self.size || self.at(1) > limit {
            return None;
        }
        while self.at(place) > limit {
            while place % 2 == 1 {
                place /= 2;
            }
            if place == 0 {
                return None;
            }
            place += 1;
        }
        while place < self.size {
            place *= 2;
            if self.at(place) > limit {
                place += 1;
            }
        }
        Some(place - self.size)
    }

    fn at(&self, place: usize) -> i64 {
        self.smallest.get(place).copied().unwrap_or(i64::MAX)
    }

    fn set(&mut self, lot: usize, value: i64) {
        let mut place = self.size + lot;
        if let Some(slot) = self.smallest.get_mut(place) {
            *slot = value;
        }
        while place > 1 {
            place /= 2;
            self.refresh(place);
        }
    }

    fn refresh(&mut self, place: usize) {
        let smaller = self.at(2 * place).min(self.at(2 * place + 1));
        if let Some(slot) = self.smallest.get_mut(place) {
            *slot = smaller;
        }
    }
}

/// One side of a smallest cut.
pub(super) struct Cut {
    /// For each lot, whether it is used up by the demands of the cut.
    pub lots: Vec<bool>,
    /// For each demand, whether it belongs to the cut.
    pub demands: Vec<bool>,
}

/// The smallest binding group: every demand left short, everyone served from a
/// lot they could use, and so on. Together they want more than all the lots any
/// of them can use. `None` when nobody is short.
pub(super) fn binding(lots: &[Node], demands: &[Node], sweep: &Sweep) -> Option<Cut> {
    let mut reached: Vec<bool> = sweep.unmet.iter().map(|unmet| *unmet > 0).collect();
    let mut waiting: Vec<usize> = places(&reached);
    if waiting.is_empty() {
        return None;
    }
    let mut served: Vec<Vec<usize>> = vec![Vec::new(); lots.len()];
    for step in &sweep.moves {
        if let Some(list) = served.get_mut(step.lot) {
            list.push(step.demand);
        }
    }
    let mut finder = Finder::full(lots);
    let mut used = vec![false; lots.len()];
    while let Some(range) = waiting.pop().and_then(|place| demands.get(place)) {
        check();
        while let Some(lot) = finder.find(range) {
            finder.remove(lot);
            if let Some(flag) = used.get_mut(lot) {
                *flag = true;
            }
            for &demand in served.get(lot).into_iter().flatten() {
                if let Some(flag) = reached.get_mut(demand).filter(|flag| !**flag) {
                    *flag = true;
                    waiting.push(demand);
                }
            }
        }
    }
    Some(Cut { lots: used, demands: reached })
}

fn places(flags: &[bool]) -> Vec<usize> {
    let marked = flags.iter().enumerate().filter(|(_, flag)| **flag);
    marked.map(|(place, _)| place).collect()
}

#[cfg(test)]
mod tests {
    use super::super::sweep::NEVER;
    use super::*;

    #[test]
    fn finds_exactly_the_lots_that_share_a_day() {
        let lot = |(first, last), untreated| Node { first, last, early: last, untreated, amount: 1 };
        let days = [(1, 2), (0, 4), (4, 5), (2, 9), (9, 9)];
        for marks in 0..1 << days.len() {
            let lots: Vec<Node> = (0..days.len()).map(|place| lot(days[place], marks >> place & 1 == 1)).collect();
            let ranges = (0..12).flat_map(|first| (first..12).map(move |last| (first, last)));
            for (first, last) in ranges {
                for early in std::iter::once(NEVER).chain(first..=last) {
                    let range = Node { first, last, early, untreated: false, amount: 1 };
                    let mut finder = Finder::full(&lots);
                    let mut found = Vec::new();
                    while let Some(lot) = finder.find(&range) {
                        finder.remove(lot);
                        found.push(lot);
                    }
                    let shares = |lot: &Node| {
                        (first..=if lot.untreated { early } else { last })
                            .any(|day| lot.first <= day && day <= lot.last)
                    };
                    let expected: Vec<usize> = (0..lots.len()).filter(|&place| shares(&lots[place])).collect();
                    assert_eq!(found, expected);
                }
            }
        }
    }
}
