//! The rule of minimums, step by step with nobody dropped together with another.
//!
//! The rule is the product's own, so it has no source outside.

use crate::balances::{date, ml};
use barrowful::garden::balances::Requirement;
use barrowful::garden::balances::allocation::{Allocation, Demand, Lot, Window, allocate};

/// What each requirement gets when those marked ask for nothing.
pub fn share(lots: &[Lot], requirements: &[Requirement], out: &[Option<u64>]) -> (Vec<u64>, Allocation) {
    let mut demands = Vec::new();
    let mut owners = Vec::new();
    for (place, requirement) in requirements.iter().enumerate() {
        for part in &requirement.parts {
            let amount = if out[place].is_some() { ml(0) } else { part.amount };
            let portions = part.pieces.filter(|_| requirement.whole_portions);
            demands.push(Demand {
                amount,
                window: part.window,
                priority: requirement.priority,
                portions,
                eligibility: Default::default(),
            });
            owners.push(place);
        }
    }
    let allocation = allocate(lots, &demands);
    let mut given = vec![0; requirements.len()];
    for (owner, amount) in owners.iter().zip(&allocation.allocated) {
        given[*owner] += amount.get();
    }
    (given, allocation)
}

pub fn failing(requirements: &[Requirement], given: &[u64], out: &[Option<u64>]) -> Vec<usize> {
    let fails = |place: &usize| {
        out[*place].is_none() && requirements[*place].minimum.is_some_and(|least| given[*place] < least.get())
    };
    (0..requirements.len()).filter(fails).collect()
}

/// Parts whose shares are looked for by hand: who asks how much within which days, beside what others have.
struct Asking {
    owner: usize,
    amount: u64,
    window: Window,
    /// What it has already, and nobody takes; `None` for those that share.
    has: Option<u64>,
}

/// A fraction of whole numbers.
type Exact = (u128, u128);

fn is_less(a: Exact, b: Exact) -> bool {
    a.0 * b.1 < b.0 * a.1
}

/// The exact share of all that each requirement of a priority asks, over all its parts, beside what everybody of earlier priorities and
/// everybody who comes in portions has: over every group of parts, the least of (the stock that the group can use - what it has) / (what it
/// asks), for the largest such group; then the same with that group settled at this share.
fn exact_shares(lots: &[Lot], asking: &[Asking]) -> Vec<(usize, Exact)> {
    let mut shares: Vec<Option<Exact>> = vec![None; asking.len()];
    let groups = 1_usize << asking.len();
    let stock: Vec<u64> = (0..groups)
        .map(|group| {
            let can_use = |lot: &&Lot| {
                asking.iter().enumerate().any(|(i, one)| group >> i & 1 == 1 && one.window.overlaps(lot.window))
            };
            lots.iter().filter(can_use).map(|lot| lot.amount.get()).sum()
        })
        .collect();
    while asking.iter().zip(&shares).any(|(one, share)| one.has.is_none() && share.is_none()) {
        let mut best: (Exact, usize) = ((1, 1), 0);
        for (group, stock) in stock.iter().enumerate().skip(1) {
            // What settled parts have is a fraction; all are brought to one denominator.
            let (mut has, mut wants): (Exact, u128) = ((0, 1), 0);
            for (one, share) in
                asking.iter().zip(&shares).enumerate().filter(|(i, _)| group >> i & 1 == 1).map(|(_, it)| it)
            {
                match (one.has, share) {
                    (Some(amount), _) => has = plus(has, (u128::from(amount), 1)),
                    (None, Some(share)) => has = plus(has, (share.0 * u128::from(one.amount), share.1)),
                    (None, None) => wants += u128::from(one.amount),
                }
            }
            if wants == 0 {
                continue;
            }
            let left = (u128::from(*stock) * has.1 - has.0, has.1 * wants);
            if is_less(left, best.0) {
                best = (left, group);
            } else if !is_less(best.0, left) {
                best.1 |= group;
            }
        }
        let (share, group) = best;
        let everybody = share.0 >= share.1;
        for (i, one) in asking.iter().enumerate().filter(|(_, one)| one.has.is_none()) {
            if shares[i].is_none() && (everybody || group >> i & 1 == 1) {
                shares[i] = Some(lowest(if one.amount == 0 { (0, 1) } else { share }));
            }
        }
    }
    let found = asking.iter().zip(&shares).filter_map(|(one, share)| Some((one.owner, (*share)?)));
    found.collect()
}

fn lowest((a, b): Exact) -> Exact {
    let (mut x, mut y) = (a, b);
    while y > 0 {
        (x, y) = (y, x % y);
    }
    (a / x, b / x)
}

fn plus(a: Exact, b: Exact) -> Exact {
    lowest((a.0 * b.1 + b.0 * a.1, a.1 * b.1))
}

/// The exact share of each requirement of a priority that asks for something.
fn shares_of(
    priority: u8,
    lots: &[Lot],
    requirements: &[Requirement],
    (allocation, out): (&Allocation, &[Option<u64>]),
) -> Vec<Exact> {
    let (mut asking, mut in_portions) = (Vec::new(), vec![(0, 1); requirements.len()]);
    let mut given = allocation.allocated.iter().map(|given| given.get());
    for (owner, requirement) in requirements.iter().enumerate() {
        for part in &requirement.parts {
            let had = given.next().unwrap();
            let amount = if out[owner].is_some() { 0 } else { part.amount.get() };
            let pieces = part.pieces.filter(|pieces| requirement.whole_portions && *pieces > 0);
            if let Some(pieces) = pieces.filter(|_| amount > 0) {
                // The fewest portions that are as much.
                let count = (0..=pieces).find(|count| amount * u64::from(*count) / u64::from(pieces) >= had).unwrap();
                let part = (u128::from(count) * u128::from(amount), u128::from(pieces));
                in_portions[owner] = plus(in_portions[owner], part);
            }
            let settled = requirement.priority < priority || pieces.is_some();
            if requirement.priority <= priority && amount > 0 && had <= amount {
                asking.push(Asking { owner, amount, window: part.window, has: settled.then_some(had) });
            }
        }
    }
    let mut amounts = in_portions;
    for ((owner, share), one) in
        exact_shares(lots, &asking).into_iter().zip(asking.iter().filter(|one| one.has.is_none()))
    {
        amounts[owner] = plus(amounts[owner], (share.0 * u128::from(one.amount), share.1));
    }
    let of =
        |(owner, amount): (usize, Exact)| (amount.0, amount.1 * u128::from(requirements[owner].amount().get().max(1)));
    amounts.into_iter().enumerate().map(of).collect()
}

/// Whether `one` is dropped before `other`.
fn goes_before(requirements: &[Requirement], shares: &[Exact], one: usize, other: usize) -> bool {
    let (a, b) = (&requirements[one], &requirements[other]);
    if is_less(shares[one], shares[other]) || is_less(shares[other], shares[one]) {
        return is_less(shares[one], shares[other]);
    }
    let last =
        |requirement: &Requirement| requirement.parts.iter().map(|part| part.window.last.unwrap_or(date(9_999))).max();
    if last(a) != last(b) { last(a) > last(b) } else { one > other }
}

/// The rule with one demand at a time, and how many were dropped on the way.
pub fn literally(lots: &[Lot], requirements: &[Requirement]) -> (Vec<u64>, Vec<Option<u64>>, usize) {
    let mut out = vec![None; requirements.len()];
    loop {
        let (given, allocation) = share(lots, requirements, &out);
        let mut failing = failing(requirements, &given, &out);
        let Some(last) = failing.iter().map(|place| requirements[*place].priority).max() else { break };
        failing.retain(|place| requirements[*place].priority == last);
        let shares =
            if failing.len() > 1 { shares_of(last, lots, requirements, (&allocation, &out)) } else { Vec::new() };
        let first = failing
            .iter()
            .find(|one| failing.iter().all(|o| o == *one || goes_before(requirements, &shares, **one, *o)))
            .unwrap();
        out[*first] = Some(given[*first]);
    }
    let on_the_way = out.iter().flatten().count();
    let mut order: Vec<usize> = (0..requirements.len()).collect();
    order.sort_by_key(|place| requirements[*place].priority);
    loop {
        let before = out.clone();
        for &place in &order {
            if let Some(had) = out[place].take() {
                let (given, _) = share(lots, requirements, &out);
                if !failing(requirements, &given, &out).is_empty() {
                    out[place] = Some(had);
                }
            }
        }
        if out == before {
            return (share(lots, requirements, &out).0, out, on_the_way);
        }
    }
}
