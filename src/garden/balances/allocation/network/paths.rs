//! Ways to serve a demand more, by what others can spare.

use super::Network;
use crate::garden::interrupt::check;
use std::collections::VecDeque;

/// One step of a path: the lot gives more to the demand.
pub(super) struct PathStep {
    lot: usize,
    demand: usize,
}

impl Network {
    /// A way to serve a demand more: the first step gives it more, each further
    /// step makes up for what the step before took, the last lot has to spare.
    ///
    /// When there is none, the lots searched can never serve more than now. If
    /// `final_answer` holds they are left out of later searches.
    pub(super) fn path(&mut self, demand: usize, final_answer: bool) -> Option<Vec<PathStep>> {
        self.searches += 1;
        self.looked_at += 1;
        if let Some(lot) = self.demands.get(demand).and_then(|range| self.open.find(range)) {
            return Some(vec![PathStep { lot, demand }]);
        }
        let mut closed = self.closed.clone();
        let mut searched = Vec::new();
        let mut waiting = VecDeque::from([demand]);
        self.mark(demand, usize::MAX);
        while let Some(current) = waiting.pop_front() {
            check();
            let Some(range) = self.demands.get(current).copied() else {
                continue;
            };
            self.looked_at += 1;
            if let Some(lot) = self.open.find(&range) {
                return Some(self.trace(lot, current, demand));
            }
            while let Some(lot) = closed.find(&range) {
                closed.remove(lot);
                searched.push(lot);
                if let Some(slot) = self.origin.get_mut(lot) {
                    *slot = current;
                }
                self.follow(lot, &mut waiting);
            }
        }
        if final_answer {
            for lot in searched {
                self.closed.remove(lot);
            }
        }
        None
    }

    /// Whether all lots that could be drawn on for a demand, by whatever exchanges, have so much to spare together.
    pub(super) fn within_reach(&mut self, demand: usize, amount: u128) -> bool {
        self.searches += 1;
        let mut unseen = self.all_lots();
        let mut sum = 0;
        let mut waiting = VecDeque::from([demand]);
        self.mark(demand, usize::MAX);
        while let Some(current) = waiting.pop_front() {
            check();
            self.looked_at += 1;
            while let Some(lot) = self.find(&unseen, current) {
                unseen.remove(lot);
                sum += self.spare(lot);
                if sum >= amount {
                    return true;
                }
                self.follow(lot, &mut waiting);
            }
        }
        false
    }

    /// How many demands were looked at so far: the work done.
    pub fn looked_at(&self) -> usize {
        self.looked_at
    }

    /// Puts every demand a lot serves, not yet reached, in the queue.
    fn follow(&mut self, lot: usize, waiting: &mut VecDeque<usize>) {
        let Some(tap) = self.taps.get(lot) else {
            return;
        };
        for &demand in tap.out.keys() {
            if let Some(slot) = self.reached.get_mut(demand)
                && slot.0 != self.searches
            {
                *slot = (self.searches, lot);
                waiting.push_back(demand);
            }
        }
    }

    fn mark(&mut self, demand: usize, lot: usize) {
        if let Some(slot) = self.reached.get_mut(demand) {
            *slot = (self.searches, lot);
        }
    }

    /// The steps of a search that ended at a lot, in order from its start.
    fn trace(&self, lot: usize, current: usize, start: usize) -> Vec<PathStep> {
        let mut path = vec![PathStep { lot, demand: current }];
        let mut place = current;
        while place != start {
            let Some(&(_, via)) = self.reached.get(place) else {
                break;
            };
            let Some(&before) = self.origin.get(via) else {
                break;
            };
            path.push(PathStep { lot: via, demand: before });
            place = before;
        }
        path.reverse();
        path
    }

    /// The largest amount a path can carry.
    pub(super) fn capacity(&self, path: &[PathStep]) -> u128 {
        let spare = path.last().and_then(|step| self.taps.get(step.lot)).map_or(0, |tap| tap.spare);
        let links = path.iter().zip(path.iter().skip(1));
        links.fold(spare, |capacity, (step, next)| {
            let tap = self.taps.get(step.lot);
            capacity.min(tap.and_then(|tap| tap.out.get(&next.demand)).map_or(0, |out| *out))
        })
    }

    /// Sends an amount along a path. The steps go from the far end, so that
    /// each lot has to spare what the next step takes.
    pub(super) fn push(&mut self, path: &[PathStep], amount: u128) {
        let mut later: Option<&PathStep> = None;
        for step in path.iter().rev() {
            if let Some(next) = later {
                self.unshift(step.lot, next.demand, amount);
            }
            self.shift(step.lot, step.demand, amount);
            later = Some(step);
        }
    }

    /// Frees an amount of what a demand is served.
    pub(super) fn take_back(&mut self, demand: usize, amount: u128) {
        let mut rest = amount;
        let lots = self.sources.get(demand).cloned().unwrap_or_default();
        for lot in lots {
            let tap = self.taps.get(lot);
            let out = tap.and_then(|tap| tap.out.get(&demand)).map_or(0, |out| *out);
            let part = out.min(rest);
            self.unshift(lot, demand, part);
            rest -= part;
        }
    }
}
