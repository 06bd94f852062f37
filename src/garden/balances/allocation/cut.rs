//! The group of demands that binds when a sweep leaves somebody short.

use super::sweep::{Node, Sweep};

/// Lots in order of last day, searchable for one that shares a day with a
/// range: a tree of the smallest first day in each half, quarter and so on.
#[derive(Clone)]
pub(super) struct Finder {
    lasts: Vec<i32>,
    size: usize,
    tree: Vec<i64>,
}

impl Finder {
    /// A finder that knows the lots' last days and holds none of them yet.
    pub fn new(lots: &[Node]) -> Self {
        let size = lots.len().max(1).next_power_of_two();
        Self { lasts: lots.iter().map(|lot| lot.last).collect(), size, tree: vec![i64::MAX; 2 * size] }
    }

    /// A finder that holds all lots.
    pub fn full(lots: &[Node]) -> Self {
        let mut finder = Self::new(lots);
        let slots = finder.tree.iter_mut().skip(finder.size);
        for (slot, lot) in slots.zip(lots) {
            *slot = i64::from(lot.first);
        }
        for place in (1..finder.size).rev() {
            finder.refresh(place);
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

    /// The first lot held, in list order, that shares a day with the range.
    pub fn find(&self, range: &Node) -> Option<usize> {
        let start = self.lasts.partition_point(|last| *last < range.first);
        let limit = i64::from(range.last);
        let mut place = self.size + start;
        if start >= self.size {
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
        self.tree.get(place).copied().unwrap_or(i64::MAX)
    }

    fn set(&mut self, lot: usize, value: i64) {
        let mut place = self.size + lot;
        if let Some(slot) = self.tree.get_mut(place) {
            *slot = value;
        }
        while place > 1 {
            place /= 2;
            self.refresh(place);
        }
    }

    fn refresh(&mut self, place: usize) {
        let smaller = self.at(2 * place).min(self.at(2 * place + 1));
        if let Some(slot) = self.tree.get_mut(place) {
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
    use super::*;

    #[test]
    fn finds_exactly_the_lots_that_share_a_day() {
        let node = |first: i32, last: i32| Node { first, last, amount: 1 };
        let lots = [node(1, 2), node(0, 4), node(4, 5), node(2, 9), node(9, 9)];
        for (first, last) in (0..12).flat_map(|first| (first..12).map(move |last| (first, last))) {
            let mut finder = Finder::full(&lots);
            let mut found = Vec::new();
            while let Some(lot) = finder.find(&node(first, last)) {
                finder.remove(lot);
                found.push(lot);
            }
            let expected: Vec<usize> =
                (0..lots.len()).filter(|&lot| lots[lot].first <= last && first <= lots[lot].last).collect();
            assert_eq!(found, expected);
        }
    }
}
