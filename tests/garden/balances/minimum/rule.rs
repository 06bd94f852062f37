//! The answer is that of the rule taken literally, and the laws of minimums hold, on generated cases that are worth checking.

use super::literally::{failing, literally, share};
use super::{dropped, given, requirement};
use crate::balances::{laws, ml, scarce};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::minimum::share_of;
use barrowful::garden::balances::{Part, Requirement, balance};
use barrowful::garden::units::Share;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::cell::Cell;

/// Cases in which some demands have several parts, some come whole, and most have a minimum.
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
    fn who_stays_gets_its_minimum_and_who_goes_gets_nothing((lots, requirements) in cases()) {
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

    /// But whether the same share is of use to everybody: that may be less.
    #[test]
    fn a_minimum_that_everybody_gets_changes_nothing((lots, mut requirements) in cases(), part in 0..101_u64) {
        for requirement in &mut requirements {
            requirement.minimum = None;
        }
        let free = balance(&lots, &requirements, Some(ml(7)));
        for (requirement, served) in requirements.iter_mut().zip(&free.demands) {
            requirement.minimum = Some(ml(served.allocated.get() * part / 100));
        }
        let mut found = balance(&lots, &requirements, Some(ml(7)));
        for (of, free) in found.same_share.iter_mut().zip(&free.same_share) {
            prop_assert!(free.is_of_use || !of.is_of_use);
            of.is_of_use = free.is_of_use;
        }
        prop_assert_eq!(found, free);
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

    /// The least by share never fails by the rounding of the amounts: whoever has a right to its exact share gets it.
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
