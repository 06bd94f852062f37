//! Demands that are of no use below a minimum: worked examples.

mod literally;
mod rule;
mod work;

use super::{date, ml, on};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::minimum::Dropped;
use barrowful::garden::balances::{Balance, Part, Requirement, balance};

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
fn whole_plants_and_a_minimum_go_together() {
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
