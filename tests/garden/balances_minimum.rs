//! Demands that are of no use below a least amount: the worked example, the rule taken literally, and its laws.
//!
//! The rule is the product's own, so it has no source outside: it is checked against the same rule written down step by step,
//! with nobody dropped together with another.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at whatever is wrong")]

use crate::balances::{date, laws, ml, scarce};
use barrowful::garden::balances::allocation::{Allocation, Demand, Lot, Window, allocate};
use barrowful::garden::balances::minimum::{Dropped, share_of};
use barrowful::garden::balances::size::Size;
use barrowful::garden::balances::{Balance, Part, Requirement, balance};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::Share;
use barrowful::garden::work::Work;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::cell::Cell;

fn on(day: u64) -> Window {
    Window { first: Some(date(day)), last: Some(date(day)) }
}

fn requirement(amount: u64, window: Window, priority: u8, least: Option<u64>) -> Requirement {
    let parts = vec![Part { amount: ml(amount), window, pieces: None, ..Part::default() }];
    Requirement { parts, priority, whole_portions: false, minimum: least.map(ml), grown: None }
}

fn given(balance: &Balance) -> Vec<u64> {
    balance.demands.iter().map(|one| one.allocated.get()).collect()
}

fn dropped(balance: &Balance) -> Vec<Option<(u64, u64)>> {
    let pair = |dropped: Dropped| (dropped.minimum.get(), dropped.would_have_been_allocated.get());
    balance.demands.iter().map(|one| one.dropped.map(pair)).collect()
}

/// 60 L for 48 and 48 L: half and a bit each, 30 L. The first needs 36, so it is dropped and the second gets all; of the 12 L
/// that stay, the third, which had nothing and was dropped first, gets its 10 again.
#[test]
fn the_worked_example() {
    let lots = [Lot { amount: ml(60_000), window: Window::default(), ..Lot::default() }];
    let requirements = [
        requirement(48_000, on(24), 2, Some(36_000)),
        requirement(48_000, on(35), 2, Some(30_000)),
        requirement(10_000, on(35), 3, Some(5_000)),
    ];
    let balance = balance(&lots, &requirements, Some(ml(40_000)));
    assert_eq!(given(&balance), [0, 48_000, 10_000]);
    assert_eq!(dropped(&balance), [Some((36_000, 30_000)), None, None]);
    assert_eq!(balance.demands[0].shortfall, ml(48_000));
    assert_eq!(balance.stock[0].remaining, ml(2_000));
    // 48 L by the first day could be met from 60 L, 96 L by the second cannot.
    assert_eq!(balance.first_shortfall_on, Some(date(35)));
    // 106 L are asked and 60 L are there: 46 L are missing, two sacks of 40 L, though 48 + 10 L less are given.
    assert_eq!(balance.sacks.iter().map(|sack| sack.count).sum::<u64>(), 2);
}

#[test]
fn of_equal_shares_the_later_date_goes_first_then_the_later_in_the_list() {
    let lots = [Lot { amount: ml(30), window: Window::default(), ..Lot::default() }];
    let ask = |windows: [Window; 3]| {
        let requirements = windows.map(|window| requirement(20, window, 1, Some(15)));
        given(&balance(&lots, &requirements, None))
    };
    assert_eq!(ask([on(9), on(3), on(5)]), [0, 15, 15]);
    assert_eq!(ask([on(3), Window::default(), on(9)]), [15, 0, 15]);
    assert_eq!(ask([on(3), on(3), on(3)]), [15, 15, 0]);
}

/// 31 mL for three of 20 mL are 31/60 for each. The millilitre that is left over by rounding goes to the first in the list, and does not make
/// its share larger: the later date still goes first.
#[test]
fn a_millilitre_of_rounding_does_not_break_a_tie() {
    let lots = [Lot { amount: ml(31), window: Window::default(), ..Lot::default() }];
    let ask = |windows: [Window; 3]| {
        let requirements = windows.map(|window| requirement(20, window, 1, Some(15)));
        let found = balance(&lots, &requirements, None);
        (given(&found), dropped(&found))
    };
    assert_eq!(ask([on(9), on(3), on(5)]), (vec![0, 16, 15], vec![Some((15, 11)), None, None]));
    assert_eq!(ask([on(3), on(9), on(5)]), (vec![16, 0, 15], vec![None, Some((15, 10)), None]));
    assert_eq!(ask([on(3), on(3), on(3)]), (vec![16, 15, 0], vec![None, None, Some((15, 10))]));
    // In two parts on one day it is the same: 31/60 of each part.
    let mut parts = [on(3), on(9), on(5)].map(|window| requirement(20, window, 1, Some(15)));
    let part = Part { amount: ml(7), ..parts[1].parts[0] };
    parts[1].parts = vec![part, Part { amount: ml(13), ..part }];
    assert_eq!(given(&balance(&lots, &parts, None)), [16, 0, 15]);
    // 2 of 3 plants and 67 of 100 mL: two thirds are the smaller share, though 66 of 99 mL and 67 of 100 mL are rounded alike.
    let lots = [
        Lot { amount: ml(66), window: on(3), ..Lot::default() },
        Lot { amount: ml(67), window: on(9), ..Lot::default() },
    ];
    let mut plants = requirement(99, on(3), 1, Some(90));
    plants.whole_portions = true;
    plants.parts[0].pieces = Some(3);
    let found = balance(&lots, &[plants, requirement(100, on(9), 1, Some(67))], None);
    assert_eq!((given(&found), dropped(&found)), (vec![0, 67], vec![Some((90, 66)), None]));
}

#[test]
fn the_days_of_a_tea_count_together() {
    let part = |day| Part { amount: ml(10), window: on(day), pieces: Some(1), ..Part::default() };
    let tea = |least| Requirement {
        parts: vec![part(3), part(5)],
        priority: 1,
        whole_portions: false,
        minimum: Some(ml(least)),
        grown: None,
    };
    let lots = [
        Lot { amount: ml(10), window: on(3), ..Lot::default() },
        Lot { amount: ml(2), window: on(5), ..Lot::default() },
    ];
    assert_eq!(given(&balance(&lots, &[tea(12)], None)), [12]);
    let none = balance(&lots, &[tea(13)], None);
    assert_eq!((given(&none), dropped(&none)), (vec![0], vec![Some((13, 12))]));
    assert!(none.demands[0].allocations.is_empty());
}

#[test]
fn whole_plants_and_a_least_go_together() {
    let parts = vec![Part { amount: ml(100), window: on(3), pieces: Some(10), ..Part::default() }];
    let plants = |least| Requirement {
        parts: parts.clone(),
        priority: 1,
        whole_portions: true,
        minimum: Some(ml(least)),
        grown: None,
    };
    let lots = [Lot { amount: ml(58), window: on(3), ..Lot::default() }];
    let served = |least| balance(&lots, &[plants(least)], None).demands[0].clone();
    assert_eq!((served(50).allocated, served(50).pieces), (ml(50), Some(5)));
    // 58 are there, but only 50 in whole plants.
    assert_eq!((served(51).allocated, served(51).pieces), (ml(0), Some(0)));
    assert_eq!(served(51).dropped, Some(Dropped { minimum: ml(51), would_have_been_allocated: ml(50) }));
}

// ---------------------------------------------------------------------------
// The rule, step by step
// ---------------------------------------------------------------------------

/// What each requirement gets when those marked ask for nothing.
fn share(lots: &[Lot], requirements: &[Requirement], out: &[Option<u64>]) -> (Vec<u64>, Allocation) {
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
    for (owner, amount) in owners.iter().zip(&allocation.given) {
        given[*owner] += amount.get();
    }
    (given, allocation)
}

fn failing(requirements: &[Requirement], given: &[u64], out: &[Option<u64>]) -> Vec<usize> {
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
    let mut given = allocation.given.iter().map(|given| given.get());
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
fn literally(lots: &[Lot], requirements: &[Requirement]) -> (Vec<u64>, Vec<Option<u64>>, usize) {
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

// ---------------------------------------------------------------------------
// The laws
// ---------------------------------------------------------------------------

/// Cases in which some demands have several parts, some come whole, and most have a least.
fn cases() -> impl Strategy<Value = (Vec<Lot>, Vec<Requirement>)> {
    let least = prop_oneof![1 => Just(None), 4 => (1..101_u64).prop_map(Some)];
    let each = proptest::collection::vec((prop::bool::weighted(0.2), least), 9);
    (scarce(), each).prop_map(|((lots, demands), each)| {
        let mut requirements: Vec<Requirement> = Vec::new();
        for (demand, (join, _)) in demands.iter().zip(&each) {
            let part =
                Part { amount: demand.amount, window: demand.window, pieces: demand.portions, ..Part::default() };
            match requirements.last_mut().filter(|requirement| *join && requirement.priority == demand.priority) {
                Some(requirement) => requirement.parts.push(part),
                None => requirements.push(Requirement {
                    parts: vec![part],
                    priority: demand.priority,
                    whole_portions: demand.portions.is_some(),
                    minimum: None,
                    grown: None,
                }),
            }
        }
        for (requirement, (_, percent)) in requirements.iter_mut().zip(&each) {
            requirement.minimum = percent.map(|percent| ml(requirement.amount().get() * percent / 100));
        }
        (lots, requirements)
    })
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn it_is_the_rule_taken_literally((lots, requirements) in cases()) {
        let found = balance(&lots, &requirements, None);
        let (amounts, out, _) = literally(&lots, &requirements);
        prop_assert_eq!(given(&found), amounts);
        let had: Vec<Option<u64>> = dropped(&found).iter().map(|one| one.map(|(_, had)| had)).collect();
        prop_assert_eq!(had, out);
    }

    #[test]
    fn who_stays_gets_its_least_and_who_goes_gets_nothing((lots, requirements) in cases()) {
        let found = balance(&lots, &requirements, None);
        for (requirement, served) in requirements.iter().zip(&found.demands) {
            prop_assert_eq!(served.allocated.get() + served.shortfall.get(), requirement.amount().get());
            match served.dropped {
                None => prop_assert!(requirement.minimum.is_none_or(|least| served.allocated >= least)),
                Some(dropped) => {
                    prop_assert_eq!((served.allocated, Some(dropped.minimum)), (ml(0), requirement.minimum));
                    prop_assert!(dropped.would_have_been_allocated < dropped.minimum && served.allocations.is_empty());
                }
            }
        }
        let stock: u64 = lots.iter().map(|lot| lot.amount.get()).sum();
        let kept: u64 = found.stock.iter().map(|lot| lot.allocated.get() + lot.remaining.get() + lot.expired.get()).sum();
        prop_assert_eq!(stock, kept);
    }

    #[test]
    fn nobody_dropped_fits_again((lots, requirements) in cases()) {
        let found = balance(&lots, &requirements, None);
        let out: Vec<Option<u64>> = dropped(&found).iter().map(|one| one.map(|(_, had)| had)).collect();
        for place in (0..requirements.len()).filter(|place| out[*place].is_some()) {
            let mut with = out.clone();
            with[place] = None;
            let (given, _) = share(&lots, &requirements, &with);
            prop_assert!(!failing(&requirements, &given, &with).is_empty());
        }
    }

    #[test]
    fn a_least_that_everybody_gets_changes_nothing((lots, mut requirements) in cases(), part in 0..101_u64) {
        for requirement in &mut requirements {
            requirement.minimum = None;
        }
        let free = balance(&lots, &requirements, Some(ml(7)));
        for (requirement, served) in requirements.iter_mut().zip(&free.demands) {
            requirement.minimum = Some(ml(served.allocated.get() * part / 100));
        }
        prop_assert_eq!(balance(&lots, &requirements, Some(ml(7))), free);
    }

    /// With the sacks nobody is short, so nobody is dropped.
    #[test]
    fn the_sacks_leave_nobody_dropped((mut lots, requirements) in cases(), holds in 1..40_000_u64) {
        for sack in balance(&lots, &requirements, Some(ml(holds))).sacks {
            lots.push(Lot { amount: ml(sack.count * holds), window: Window { first: sack.by, last: None }, ..Lot::default() });
        }
        let closed = balance(&lots, &requirements, None);
        prop_assert!(closed.demands.iter().all(|one| one.shortfall == ml(0) && one.dropped.is_none()));
    }

    /// The least by share never fails by the rounding of the amounts: whoever is due its exact share gets it.
    #[test]
    fn a_share_that_is_due_is_given(amounts in proptest::collection::vec(1..5_000_u64, 1..7), percent in 1..101_u64) {
        let all: u64 = amounts.iter().sum();
        // At least this share of all is there, so that it is everybody's exact share or less.
        let lots = [Lot { amount: ml((all * percent).div_ceil(100)), window: Window::default(), ..Lot::default() }];
        let share = Share::from_base(f64::from(u32::try_from(percent).unwrap()) / 100.0);
        let requirements: Vec<Requirement> = amounts
            .iter()
            .map(|amount| requirement(*amount, Window::default(), 1, Some(share_of(ml(*amount), share).get())))
            .collect();
        prop_assert!(balance(&lots, &requirements, None).demands.iter().all(|one| one.dropped.is_none()));
        for amount in amounts {
            prop_assert_eq!(share_of(ml(amount), share).get(), amount * percent / 100);
        }
    }

    /// What lets several be dropped together: demands of one priority that get nothing even beside the earlier ones alone
    /// change nothing for anybody by going, neither amounts nor draws.
    #[test]
    fn who_finds_nothing_is_not_missed((lots, requirements) in cases(), priority in 1..4_u8) {
        let stays = vec![None; requirements.len()];
        let alone = |place: usize| {
            let mut out = stays.clone();
            for (other, requirement) in requirements.iter().enumerate() {
                if other != place && requirement.priority >= priority {
                    out[other] = Some(0);
                }
            }
            let mut free = requirements.clone();
            free[place].whole_portions = false;
            share(&lots, &free, &out).0[place]
        };
        let empty: Vec<usize> =
            (0..requirements.len()).filter(|place| requirements[*place].priority == priority && alone(*place) == 0).collect();
        let mut without = stays.clone();
        for place in empty {
            without[place] = Some(0);
        }
        prop_assert_eq!(share(&lots, &requirements, &without), share(&lots, &requirements, &stays));
    }
}

#[test]
fn the_generated_cases_are_worth_checking() {
    let mut runner = TestRunner::new(laws());
    let count = |_| Cell::new(0);
    let [some, several, nothing, restored, parts] = [0, 1, 2, 3, 4].map(count);
    let add = |cell: &Cell<usize>, yes: bool| cell.set(cell.get() + usize::from(yes));
    for _ in 0..600 {
        let (lots, requirements) = cases().new_tree(&mut runner).unwrap().current();
        let (_, out, on_the_way) = literally(&lots, &requirements);
        let gone = out.iter().flatten().count();
        add(&some, gone > 0);
        add(&several, gone > 1);
        add(&nothing, out.iter().flatten().filter(|had| **had == 0).count() > 1);
        add(&restored, gone < on_the_way);
        add(
            &parts,
            out.iter().zip(&requirements).any(|(out, requirement)| out.is_some() && requirement.parts.len() > 1),
        );
    }
    let counts = [&some, &several, &nothing, &restored, &parts].map(Cell::get);
    assert!(counts.iter().zip([250, 100, 60, 25, 40]).all(|(count, least)| *count >= least), "{counts:?}");
}

/// A few millilitres and small portions: demands that get nothing by the rounding alone are not dropped together, since
/// one of them may get something once another is gone.
#[test]
fn a_few_millilitres_follow_the_rule_too() {
    let amounts = || (1..6_u64).flat_map(|a| (1..6_u64).map(move |b| (a, b)));
    let (mut tried, mut nothing_at_first) = (0, 0);
    for ((free, pots), (one, other)) in amounts().flat_map(|first| amounts().map(move |second| (first, second))) {
        for stock in 1..5 {
            let lots = [Lot { amount: ml(stock), window: Window::default(), ..Lot::default() }];
            let any = Window::default();
            let mut requirements = vec![requirement(2 * free + 1, any, 1, None), requirement(3 * pots, any, 1, None)];
            requirements[1].whole_portions = true;
            requirements[1].parts[0].pieces = Some(3);
            requirements.extend([one, other, one + other].map(|amount| requirement(amount, any, 1, Some(1))));
            let (amounts, out, _) = literally(&lots, &requirements);
            let found = balance(&lots, &requirements, None);
            assert_eq!(given(&found), amounts, "{stock} mL for {requirements:?}");
            assert_eq!(
                found.demands.iter().map(|one| one.dropped.is_some()).collect::<Vec<_>>(),
                out.iter().map(Option::is_some).collect::<Vec<_>>()
            );
            let (first, _) = share(&lots, &requirements, &[None; 5]);
            nothing_at_first += usize::from(first.iter().skip(2).filter(|given| **given == 0).count() > 1);
            tried += 1;
        }
    }
    assert!(nothing_at_first > 500, "{nothing_at_first} of {tried} cases had several with nothing");
}

/// A request with as many demands with a least as are allowed is answered, and its laws hold.
#[test]
fn a_hundred_leasts_among_a_thousand_demands() {
    let lots: Vec<Lot> = (0..50)
        .map(|n| Lot {
            amount: ml(2_000 + 700 * (n % 7)),
            window: Window { first: Some(date(3 * n)), last: Some(date(3 * n + 40)) },
            ..Lot::default()
        })
        .collect();
    let mut requirements: Vec<Requirement> = (0..1_000_u64)
        .map(|n| {
            requirement(
                1_000 + n * 7_919 % 5_000,
                Window { first: Some(date(n % 150)), last: Some(date(n % 150 + n % 13)) },
                1,
                None,
            )
        })
        .collect();
    for one in requirements.iter_mut().step_by(10) {
        one.minimum = Some(ml(one.amount().get() * 9 / 10));
    }
    let found = balance(&lots, &requirements, None);
    let gone = found.demands.iter().filter(|one| one.dropped.is_some()).count();
    assert!(gone > 80, "{gone} are dropped");
    for (requirement, served) in requirements.iter().zip(&found.demands) {
        assert!(served.dropped.is_some() || requirement.minimum.is_none_or(|least| served.allocated >= least));
    }
    // Without a least they get a part of what is there, and with it nothing: nobody else gets less than before.
    for one in &mut requirements {
        one.minimum = None;
    }
    let free = balance(&lots, &requirements, None);
    for (with, without) in found.demands.iter().zip(&free.demands) {
        assert!(with.dropped.is_some() || with.allocated.get() + 1 >= without.allocated.get());
    }
}

/// The estimate counts what multiplies: it grows with lots, demands, priorities, leasts, whole portions and bars.
#[test]
fn the_work_of_sharing_grows_with_each_of_its_numbers() {
    let size = Size { lots: 10, parts: 100, priorities: 1, leasts: 0, portions: false, barred: false };
    let work = size.work();
    for more in [
        Size { lots: 20, ..size },
        Size { parts: 200, ..size },
        Size { priorities: 2, ..size },
        Size { leasts: 1, ..size },
        Size { portions: true, ..size },
        Size { barred: true, ..size },
    ] {
        assert!(more.work() > work, "{more:?}");
    }
    // (10 + 100) x (100 + 10 + 12).
    assert_eq!(work.count(), 13_420);
    assert_eq!(Size { leasts: 2, ..size }.work().count(), 7 * 13_420);
    assert!(Size { lots: 1_000, parts: 10_000, portions: true, priorities: 3, ..size }.check(Work::default()).is_ok());
    let refusal = Size { lots: 10, parts: 20_100, leasts: 100, ..size }.check(Work::default()).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::TooLarge, Some("demands")));
    let refusal = Size { lots: 1_000, parts: 10_000, barred: true, ..size }.check(Work::default()).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::TooLarge, Some("enforce_application_to_harvest_interval")));
}
