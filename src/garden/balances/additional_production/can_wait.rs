//! Who waits for castings that are produced or bought, so that those who cannot wait get what is there.

use super::super::Requirement;
use super::super::allocation::{Lot, Window, allocate};
use super::super::{Balance, flatten};
use super::Shortfall;
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

/// A demand that can wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CanWait {
    /// The place of the demand in the list given, from 0.
    pub demand: usize,
    /// Castings that it leaves to those who are short.
    pub amount: Millilitres,
}

/// Answers "who waits for what is produced or bought for each of these shortfalls?", for each of them.
///
/// With so many castings more on each of these days nobody is short. Whoever then gets more of them than it lacked has been waiting: it
/// leaves castings of the plan to others, and is still served within its own dates. What is produced may count as raw manure.
#[must_use]
pub fn can_wait(
    (shortfalls, is_untreated): (&[Shortfall], bool),
    requirements: &[Requirement],
    lots: &[Lot],
    balance: &Balance,
) -> Vec<Vec<CanWait>> {
    let added = shortfalls.iter().map(|short| Lot {
        amount: short.amount,
        window: Window { first: Some(short.by), last: None },
        untreated: is_untreated,
        ..Lot::default()
    });
    let all: Vec<Lot> = lots.iter().copied().chain(added).collect();
    let (demands, owners) = flatten(requirements);
    // What each demand lacks in the plan; it takes that of the castings that come first.
    let mut lacks: Vec<u64> = balance.demands.iter().map(|served| served.shortfall.get()).collect();
    let mut drawn = vec![vec![0_u64; requirements.len()]; shortfalls.len()];
    for allotment in allocate(&all, &demands).allotments {
        let place = allotment.lot.checked_sub(lots.len()).and_then(|shortfall| drawn.get_mut(shortfall));
        if let Some(sum) = place.zip(owners.get(allotment.demand)).and_then(|(of_all, owner)| of_all.get_mut(*owner)) {
            *sum = sum.saturating_add(allotment.amount.get());
        }
    }
    let beyond = |(demand, (drawn, lack)): (usize, (u64, &mut u64))| {
        let waited = drawn.saturating_sub(*lack);
        *lack = lack.saturating_sub(drawn);
        (waited > 0).then_some(CanWait { demand, amount: Millilitres::new(waited) })
    };
    drawn
        .into_iter()
        .map(|of_all| of_all.into_iter().zip(&mut lacks).enumerate().filter_map(beyond).collect())
        .collect()
}

/// Answers "who waits for the sacks of each of these days, where they are bought no earlier?" Whoever the plan serves only from such a day on
/// does not wait for it.
#[must_use]
pub fn waits_for_sacks(
    sacks: &[Shortfall],
    requirements: &[Requirement],
    lots: &[Lot],
    balance: &Balance,
) -> Vec<Vec<CanWait>> {
    let mut waits = can_wait((sacks, false), requirements, lots, balance);
    for (waits, sack) in waits.iter_mut().zip(sacks) {
        let is_before = |on: Option<NaiveDate>| on.is_none_or(|on| on < sack.by);
        waits.retain(|wait| {
            balance.demands.get(wait.demand).is_some_and(|of| of.allocations.iter().any(|of| is_before(of.on)))
        });
    }
    waits
}
