//! Stock against demand: lots, demands, who gets what, the running balance, and what would close the shortfall.

pub mod additional_production;
pub mod allocation;
mod barred;
pub mod before;
pub mod figures;
pub mod ledger;
pub mod lot_analysis;
pub mod minimum;
mod occasions;
pub mod options;
mod requirement;
mod same_share;
pub mod shift;
mod short_by_day;
pub mod size;
pub mod storage;
pub mod untreated;

use crate::garden::figures::Off;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Millilitres, Volume};
use allocation::{
    Allocation, Allotment, DatedShortfall, Demand, Fraction, Lot, LotSource, Sharing, Window, pro_rata_share,
};
pub use barred::Barred;
use chrono::NaiveDate;
use figures::short;
use ledger::{DayRow, LotState, SackPurchase, ledger, lost_and_rest, sacks_to_close};
use minimum::Dropped;
use occasions::{Occasion, occasions};
pub use requirement::{Part, Requirement, open_from, parts_of_brew};
pub use same_share::SameShare;
use shift::{LaterSupply, ServedLater, later_supply_from, served_later};
use short_by_day::{lost, short_by_day};

/// What a part of a demand gets from a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allocated {
    /// The place of the part in its demand, from 0.
    pub part: usize,
    /// The place of the lot in the list given, from 0.
    pub lot: usize,
    /// Where that lot comes from.
    pub source: LotSource,
    /// The first day on which both allow it; `None` when both are open.
    pub on: Option<NaiveDate>,
    /// How much; never nothing.
    pub amount: Millilitres,
}

/// What one demand gets.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Served {
    /// How much it gets.
    pub allocated: Millilitres,
    /// How much is missing: allocated + shortfall = needed.
    pub shortfall: Millilitres,
    /// How many whole pieces it gets, where it is served in whole ones.
    pub pieces: Option<u64>,
    /// From which lots, and when.
    pub allocations: Vec<Allocated>,
    /// Where it was dropped, since it could not get its minimum: then it is given nothing. Of a demand that repeats, each time has
    /// its own.
    pub dropped: Option<Dropped>,
    /// Of a demand that repeats, what it gets each time, in order of time.
    pub occasions: Vec<ServedOccasion>,
    /// What stays unused though it is short, since the interval after raw manure bars it.
    pub barred: Option<Barred>,
}

/// What one time of a demand that repeats gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ServedOccasion {
    /// When.
    pub window: Window,
    /// How much it gets.
    pub allocated: Millilitres,
    /// How many whole pieces it asks and gets, where it is served in whole ones.
    pub pieces: Option<(u64, u64)>,
    /// Where it was dropped, since it could not get its minimum: then it gets nothing.
    pub dropped: Option<Dropped>,
}

/// The balance of stock and demand.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// The demands, in order.
    pub demands: Vec<Served>,
    /// The lots, in order: allocated + remaining + expired = amount.
    pub stock: Vec<LotState>,
    /// On hand before the first date.
    pub opening_stock: Millilitres,
    /// The days on which something happens.
    pub by_date: Vec<DayRow>,
    /// The first day by which what is asked cannot all be met, however it is shared; what has no last day counts at the end.
    pub first_shortfall_on: Option<NaiveDate>,
    /// The equal share that every demand could get, whatever its priority.
    pub pro_rata_share: Option<f64>,
    /// What it comes to if everybody gets that share; `None` where there is nothing to share.
    pub same_share: Option<SameShare>,
    /// Sacks to buy so that nobody goes short, nor below its minimum. Those that had to come before today are counted by themselves.
    pub sacks: Vec<SackPurchase>,
    /// What is short by which day, before anybody is dropped: with it nobody is short, nor below its minimum.
    pub shortfalls: Vec<DatedShortfall>,
    /// Demands served later than they could be so that others get theirs.
    pub served_later: Vec<ServedLater>,
    /// Short demands that left-over castings would serve if they could wait.
    pub later_supply: Vec<LaterSupply>,
}

/// The sum, which stays below 2^64: every list's total is checked against [`total`].
#[must_use]
pub fn add(a: Millilitres, b: Millilitres) -> Millilitres {
    Millilitres::new(a.get().saturating_add(b.get()))
}

/// The sum of many amounts.
///
/// # Errors
/// `too_large` above the largest volume that is computed with.
pub fn total(amounts: impl Iterator<Item = Millilitres>) -> Result<Millilitres, Refusal> {
    let (_, most) = Dimension::Volume.bounds();
    let sum = amounts.fold(Millilitres::ZERO, add);
    if sum > Millilitres::nearest(Volume::from_litres(most)) {
        let detail = format!("all amounts together are more than {most:e} L; check the amounts and their units");
        return Err(Refusal::new(Reason::TooLarge, detail));
    }
    Ok(sum)
}

/// Answers "who gets how much, from which lot, when; what is short; and what would close the shortfall?"
///
/// A tea whose batches start on several days counts as one demand for each day, and so does a demand that repeats for each time, evened
/// out with the others of that day.
///
/// The rule, exact in whole millilitres: priorities in order; within a priority everyone gets the same share of what they
/// asked, as far as the dates allow; nothing usable stays unused while a demand it could serve is short
/// ([`allocation::allocate`]). Demands that would get less than their minimum are dropped first ([`minimum`]); only for them
/// something usable may stay unused. `sack` is what a bought sack holds; sacks are counted as if nobody were dropped, since
/// with them nobody is. What is bought or produced counts as treated.
#[must_use]
pub fn balance(lots: &[Lot], requirements: &[Requirement], sack: Option<Millilitres>) -> Balance {
    balance_with(lots, requirements, Terms { sack, ..Terms::default() })
}

/// What a balance goes by beside stock and demands.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Terms {
    /// What a bought sack holds.
    pub sack: Option<Millilitres>,
    /// The day on which a demand without a last day counts when it is asked on which day something is short first; the last of all dates
    /// unless given.
    pub until: Option<NaiveDate>,
    /// The caller's today: nothing is bought before it, and nobody waits for a day before it. The demands are to be open from it
    /// ([`open_from`]).
    pub as_of: Option<NaiveDate>,
}

/// As [`balance`], on more terms.
#[must_use]
pub fn balance_with(lots: &[Lot], requirements: &[Requirement], terms: Terms) -> Balance {
    let Terms { sack, until, as_of } = terms;
    let (demands, owners) = flatten(requirements);
    let mut sharing = Sharing::new(lots, &demands);
    sharing.fill(..);
    let first = sharing.route(lots, &demands);
    let times = occasions(requirements);
    let dropped = minimum::settle(&mut sharing, &times);
    let lost = lost(&demands, (&times, &dropped), as_of);
    let (first_shortfall_on, shortfalls) = short_by_day((lots, &demands), &lost, until);
    let allocation = if dropped.iter().any(Option::is_some) { sharing.route(lots, &demands) } else { first };
    let account = ledger(lots, &demands, &allocation);
    let alike = pro_rata_share(lots, &demands);
    let same_share = alike.filter(|share| share.numerator() > 0);
    let mut served = served((lots, requirements), (&demands, &owners), &allocation);
    by_occasion(&mut served, (&times, &dropped), (&demands, &allocation));
    barred::report(&mut served, requirements, (lots, &account.lots), &allocation);
    Balance {
        demands: served,
        stock: account.lots,
        opening_stock: account.opening_stock,
        by_date: account.days,
        first_shortfall_on,
        pro_rata_share: alike.map(Fraction::to_float),
        same_share: same_share.map(|share| SameShare::of((&demands, &times), &allocation, share)),
        sacks: sack.map(|holds| sacks(&shortfalls, holds, as_of)).unwrap_or_default(),
        shortfalls,
        served_later: served_later(lots, requirements, &allocation),
        later_supply: later_supply_from(as_of, (lots, requirements), &allocation),
    }
}

/// The sacks for what was short before today, and those that can still be bought: each counted as if the others were not.
fn sacks(shortfalls: &[DatedShortfall], holds: Millilitres, today: Option<NaiveDate>) -> Vec<SackPurchase> {
    let (lost, rest) = lost_and_rest(shortfalls, today);
    [lost, rest].iter().flat_map(|some| sacks_to_close(some, holds)).collect()
}

/// The demands of the allocation, and whose part each is.
fn flatten(requirements: &[Requirement]) -> (Vec<Demand>, Vec<usize>) {
    let mut demands = Vec::with_capacity(requirements.len());
    let mut owners = Vec::with_capacity(requirements.len());
    for (owner, requirement) in requirements.iter().enumerate() {
        for part in &requirement.parts {
            let portions = part.pieces.filter(|_| requirement.whole_portions);
            let Part { amount, window, eligibility, .. } = *part;
            demands.push(Demand { amount, window, priority: requirement.priority, portions, eligibility });
            owners.push(owner);
        }
    }
    (demands, owners)
}

fn served(
    (lots, requirements): (&[Lot], &[Requirement]),
    (demands, owners): (&[Demand], &[usize]),
    allocation: &Allocation,
) -> Vec<Served> {
    let mut served = vec![Served::default(); requirements.len()];
    for ((owner, given), demand) in owners.iter().zip(&allocation.allocated).zip(demands) {
        if let Some(one) = served.get_mut(*owner) {
            one.allocated = add(one.allocated, *given);
            one.pieces = demand.portions.map(|n| one.pieces.unwrap_or(0) + u64::from(pieces(demand.amount, *given, n)));
        }
    }
    for (one, requirement) in served.iter_mut().zip(requirements) {
        one.shortfall = short(requirement.amount().into(), one.allocated.into(), Off).volume;
    }
    for Allotment { lot, demand, on, amount } in allocation.allotments.iter().copied() {
        // The parts of a demand follow one another.
        let Some(owner) = owners.get(demand) else { continue };
        let part = demand.saturating_sub(owners.partition_point(|other| other < owner));
        if let Some(one) = served.get_mut(*owner) {
            let source = lots.get(lot).map(|lot| lot.source).unwrap_or_default();
            one.allocations.push(Allocated { part, lot, source, on, amount });
        }
    }
    served
}

/// Tells who was dropped, and what a demand that repeats gets each time.
fn by_occasion(
    served: &mut [Served],
    (times, dropped): (&[Occasion<'_>], &[Option<Dropped>]),
    (demands, allocation): (&[Demand], &Allocation),
) {
    for (time, dropped) in times.iter().zip(dropped) {
        let Some(one) = served.get_mut(time.demand) else { continue };
        if !time.requirement.repeats() {
            one.dropped = *dropped;
            continue;
        }
        let given = allocation.allocated.get(time.places()).unwrap_or_default();
        let demands = demands.get(time.places()).unwrap_or_default();
        let whole = demands
            .iter()
            .zip(given)
            .map(|(demand, given)| Some(u64::from(pieces(demand.amount, *given, demand.portions?))));
        one.occasions.push(ServedOccasion {
            window: occasions::window(time.parts),
            allocated: given.iter().copied().fold(Millilitres::ZERO, add),
            pieces: occasions::pieces(time.parts).zip(whole.sum()),
            dropped: *dropped,
        });
    }
}

/// The largest k with floor(amount k / n) <= given.
pub(crate) fn pieces(amount: Millilitres, given: Millilitres, n: u32) -> u32 {
    if amount == Millilitres::ZERO || given >= amount {
        return n;
    }
    let (amount, given) = (u128::from(amount.get()), u128::from(given.get()));
    // floor(amount k / n) <= given  <=>  amount k < n (given + 1)
    let most = (u128::from(n) * (given + 1)).saturating_sub(1) / amount;
    u32::try_from(most).unwrap_or(n).min(n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn pieces_undo_portions(amount in 1_u64..1_000_000, n in 1_u32..50, k in 0_u32..50) {
            let k = k.min(n);
            let given = u64::try_from(u128::from(amount) * u128::from(k) / u128::from(n)).unwrap();
            let found = pieces(Millilitres::new(amount), Millilitres::new(given), n);
            prop_assert!(found >= k);
            prop_assert_eq!(u128::from(amount) * u128::from(found) / u128::from(n), u128::from(given));
        }
    }
}
