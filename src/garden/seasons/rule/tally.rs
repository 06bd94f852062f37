//! The results of many runs of the rule.

use super::super::chances::{DateChance, DemandChance, PlanChances};
use super::super::days::Days;
use super::{Rule, RunState};
use crate::garden::seasons::supply::{add, run_up};

/// In how many runs who got all.
#[derive(Debug)]
pub(in super::super) struct RuleTally {
    /// By the first last day from today on, on which somebody had not got all; the last place is of the runs in which everybody had.
    first_short: Vec<u32>,
    demands: Vec<DemandChance>,
}

impl RuleTally {
    /// Counts a run.
    pub fn take(&mut self, state: &RunState) {
        self.first_short.get_mut(state.first_short).into_iter().for_each(|runs| *runs += 1);
        for (chance, served) in self.demands.iter_mut().zip(&state.served) {
            chance.full += u32::from(served.full);
            chance.allocated += u32::from(served.allocated);
        }
    }
}

impl RuleTally {
    /// The runs in which everybody had got all.
    pub fn enough(&self) -> u32 {
        self.first_short.last().copied().unwrap_or(0)
    }
}

impl Rule {
    /// Before the first run.
    pub fn tally(&self, demands: usize) -> RuleTally {
        RuleTally { first_short: vec![0; self.due.len() + 1], demands: vec![DemandChance::default(); demands] }
    }

    /// What so many runs come to.
    pub fn chances(&self, (tally, runs): (RuleTally, u32), days: &Days) -> PlanChances {
        let mut needed = vec![0.0; self.due.len()];
        self.claims.iter().for_each(|claim| add(&mut needed, claim.due, claim.amount));
        run_up(&mut needed);
        let mut enough = runs;
        let by_date = self.due.iter().zip(needed).zip(&tally.first_short).map(|((due, needed), first_short)| {
            enough -= first_short;
            DateChance { date: days.date(*due), needed: needed / 1000.0, enough }
        });
        let by_date: Vec<DateChance> = by_date.skip(self.passed).collect();
        PlanChances { runs, enough, some_passed: self.passed > 0, by_date, demands: tally.demands }
    }
}
