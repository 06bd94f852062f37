//! Who could wait for castings that come too late for a shortage.

use super::super::allocation::{Lot, Window};
use super::super::{Balance, Requirement};
use super::Preparation;
use crate::garden::units::Millilitres;

/// A demand that could wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CanWait {
    /// The place of the demand in the list given, from 0.
    pub demand: usize,
    /// Castings that would be free for those who are short.
    pub amount: Millilitres,
}

/// Answers "who could wait for what this plan gives too late?" Demands served from lots that are there by the day of the shortage, whose
/// own dates reach to the day on which the prepared castings are ready. Where crops are named, only castings that any of them may have
/// count.
#[must_use]
pub fn can_wait(plan: &Preparation, requirements: &[Requirement], lots: &[Lot], balance: &Balance) -> Vec<CanWait> {
    let Some(ready) = plan.likely.late.as_ref().and_then(|late| late.ready_on) else { return Vec::new() };
    let on_day = Window { first: Some(plan.shortage.by), last: Some(plan.shortage.by) };
    let crops = requirements.iter().any(|requirement| requirement.grown.is_some());
    let usable = |lot: usize| lots.get(lot).is_some_and(|lot| !(crops && lot.untreated) && lot.window.overlaps(on_day));
    let mut found = Vec::new();
    for (demand, (requirement, served)) in requirements.iter().zip(&balance.demands).enumerate() {
        let waits = requirement.parts.iter().all(|part| part.window.last.is_none_or(|last| last >= ready));
        let amount: u64 = served.allocations.iter().filter(|draw| usable(draw.lot)).map(|draw| draw.amount.get()).sum();
        if waits && amount > 0 {
            found.push(CanWait { demand, amount: Millilitres::new(amount) });
        }
    }
    found
}
