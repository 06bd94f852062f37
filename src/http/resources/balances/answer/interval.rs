//! What the waits after raw manure come to, allotment by allotment.

use super::AllocationOut;
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::untreated::rule;
use crate::garden::balances::{Requirement, Served};
use crate::garden::cautions::Rule;
use crate::garden::cautions::waiting::Wait;
use crate::http::output::enums::NOT_INCORPORATED;
use chrono::NaiveDate;

/// The waits of the allotments of a demand.
pub fn of_allotments(
    (requirement, served): (&Requirement, &Served),
    lots: &[Lot],
    today: Option<NaiveDate>,
) -> Vec<Option<Wait>> {
    served.allocations.iter().map(|allotment| requirement.wait(allotment, lots, today)).collect()
}

/// The cautions that follow, each once.
pub fn rules(waits: &[Option<Wait>]) -> Vec<Rule> {
    let mut rules: Vec<Rule> = waits.iter().flatten().copied().filter_map(rule).collect();
    rules.sort_unstable();
    rules.dedup();
    rules
}

impl AllocationOut {
    /// Tells what the wait makes of this allotment.
    pub const fn wait(&mut self, wait: Option<Wait>) {
        match wait {
            Some(Wait::NotIncorporated) => self.interval_not_met_because = Some(NOT_INCORPORATED),
            Some(Wait::Until { earliest_crop_harvest, too_late }) => {
                self.begins_interval = true;
                (self.earliest_crop_harvest, self.interval_not_met) = (earliest_crop_harvest, too_late);
            }
            Some(Wait::None) | None => {}
        }
    }
}
