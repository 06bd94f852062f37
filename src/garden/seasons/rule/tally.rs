//! The results of many runs of the rule.

use super::super::chances::{DateChance, DemandChance, PlanChances};
use super::super::days::Days;
use super::super::drawn::Amounts;
use super::{Rule, RunState};
use crate::garden::seasons::supply::{add, run_up};

/// In how many runs who got all.
#[derive(Debug)]
pub(in super::super) struct RuleTally {
    /// By the first last day on which somebody had not got all; the last place is of the runs in which everybody had.
    first_short: Vec<u32>,
    /// By the day after the last one on which somebody had not got all; the first place is of the runs in which everybody had.
    short_until: Vec<u32>,
    demands: Vec<DemandChance>,
}

impl RuleTally {
    /// Counts a run.
    pub fn take(&mut self, state: &RunState) {
        for (list, place) in [(&mut self.first_short, state.first_short), (&mut self.short_until, state.short_until)] {
            list.get_mut(place).into_iter().for_each(|runs| *runs += 1);
        }
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
        let none = vec![0; self.due.len() + 1];
        RuleTally { first_short: none.clone(), short_until: none, demands: vec![DemandChance::default(); demands] }
    }

    /// What so many runs come to.
    pub fn chances(&self, (tally, runs): (RuleTally, u32), likely: &Amounts, days: &Days) -> PlanChances {
        let mut wanted = vec![0.0; self.due.len()];
        self.claims
            .iter()
            .for_each(|claim| add(&mut wanted, claim.due, likely.requirement(claim.requirement) * claim.part));
        run_up(&mut wanted);
        let (mut enough, mut from_then) = (runs, 0);
        let short = tally.first_short.iter().zip(&tally.short_until);
        let by_date = self.due.iter().zip(wanted).zip(short).map(|((due, wanted), (first_short, no_more))| {
            (enough, from_then) = (enough - first_short, from_then + no_more);
            DateChance { date: days.date(*due), wanted: wanted / 1000.0, enough, from_then }
        });
        let by_date: Vec<DateChance> = by_date.collect();
        PlanChances { runs, enough, by_date, demands: tally.demands }
    }
}
