//! The laws of sharing, on generated cases that are worth checking.

use super::programmes::Numbers;
use super::{
    amounts, can_be_served, laws, meet, ml, next_amount, priorities, scarce, total_up_to, volumes, windows,
    without_portions,
};
use barrowful::garden::balances::allocation::{
    Allotment, Demand, Fraction, Lot, Window, allocate, pro_rata_share, shortfalls,
};
use barrowful::garden::balances::ledger::{LotState, first_shortfall_on, ledger, sacks_to_close};
use barrowful::garden::units::Millilitres;
use chrono::{Days, NaiveDate};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeSet;

fn move_by_a_week(window: Window) -> Window {
    let later = |day: NaiveDate| day + Days::new(7);
    Window { first: window.first.map(later), last: window.last.map(later) }
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn nobody_gets_more_than_they_ask((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        prop_assert_eq!(allocation.allocated.len(), demands.len());
        for (demand, given) in demands.iter().zip(&allocation.allocated) {
            prop_assert!(*given <= demand.amount);
        }
        let given: u64 = amounts(&allocation).iter().sum();
        let wanted: u64 = demands.iter().map(|demand| demand.amount.get()).sum();
        let one = ml(1);
        // Sacks of one millilitre count exactly what is short; whole portions may leave a part of one unused that others lack.
        let sacks = sacks_to_close(&shortfalls(&lots, &demands), one);
        let short: u64 = sacks.iter().map(|sack| sack.count).sum();
        if demands.iter().all(|demand| demand.portions.is_none()) {
            prop_assert_eq!(given + short, wanted);
        }
        prop_assert!(given + short <= wanted);
    }

    #[test]
    fn draws_share_a_day_and_add_up((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        let mut from_lots = vec![0; lots.len()];
        let mut to_demands = vec![0; demands.len()];
        let mut pairs = BTreeSet::new();
        for draw in &allocation.allotments {
            let (lot, demand) = (&lots[draw.lot], &demands[draw.demand]);
            prop_assert!(meet(lot, demand) && lot.window.overlaps(demand.window));
            prop_assert_eq!(draw.on, lot.window.first.max(demand.window.first));
            prop_assert!(draw.amount > Millilitres::ZERO);
            prop_assert!(pairs.insert((draw.lot, draw.demand)));
            from_lots[draw.lot] += draw.amount.get();
            to_demands[draw.demand] += draw.amount.get();
        }
        prop_assert_eq!(to_demands, amounts(&allocation));
        for (lot, drawn) in lots.iter().zip(from_lots) {
            prop_assert!(drawn <= lot.amount.get());
        }
        let last = |draw: &Allotment| lots[draw.lot].window.last.unwrap_or(NaiveDate::MAX);
        let order = |draw: &Allotment| (draw.demand, last(draw), lots[draw.lot].window.first, draw.lot);
        prop_assert!(allocation.allotments.iter().map(order).is_sorted());
    }

    #[test]
    fn every_millilitre_is_given_left_or_expired((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        let ledger = ledger(&lots, &demands, &allocation);
        for (lot, state) in lots.iter().zip(&ledger.lots) {
            let sum = state.allocated.get() + state.remaining.get() + state.expired.get();
            prop_assert_eq!(sum, lot.amount.get());
        }
        // The balance, counted where it could fall below zero.
        let mut balance = i128::from(ledger.opening_stock.get());
        for row in &ledger.days {
            balance += i128::from(row.received.get());
            balance -= i128::from(row.allocated.get()) + i128::from(row.expired.get());
            prop_assert_eq!(balance, i128::from(row.closing_stock.get()));
        }
        prop_assert!(ledger.days.iter().map(|row| row.date).is_sorted_by(|one, two| one < two));
        let sum = |part: fn(&LotState) -> Millilitres| -> u64 {
            ledger.lots.iter().map(|state| part(state).get()).sum()
        };
        prop_assert_eq!(balance, i128::from(sum(|state| state.remaining)));
        prop_assert_eq!(sum(|state| state.allocated), amounts(&allocation).iter().sum::<u64>());
    }

    #[test]
    fn nothing_usable_stays_unused((lots, demands) in scarce()) {
        let given = amounts(&allocate(&lots, &demands));
        prop_assert!(can_be_served(&lots, &demands, &given));
        for (d, demand) in demands.iter().enumerate() {
            if let Some(more) = next_amount(demand, given[d]) {
                let mut wish = given.clone();
                wish[d] = more;
                prop_assert!(!can_be_served(&lots, &demands, &wish), "{} could have {}", d, more);
            }
        }
    }

    #[test]
    fn whole_demands_get_whole_portions((lots, demands) in scarce()) {
        for (demand, given) in demands.iter().zip(amounts(&allocate(&lots, &demands))) {
            if let Some(n) = demand.portions.map(u64::from).filter(|n| *n > 0) {
                prop_assert!((0..=n).any(|k| demand.amount.get() * k / n == given));
            }
        }
    }

    #[test]
    fn more_stock_lowers_no_total(case in scarce(), extra in volumes(), window in windows(), which in 0..6usize) {
        let (lots, demands) = without_portions(case);
        let before = allocate(&lots, &demands);
        let mut more = lots.clone();
        match more.get_mut(which) {
            Some(lot) => lot.amount = ml(lot.amount.get() + extra.get()),
            None => more.push(Lot { amount: extra, window, ..Lot::default() }),
        }
        let after = allocate(&more, &demands);
        for priority in priorities(&demands) {
            let totals = [&before, &after].map(|all| total_up_to(&demands, all, priority));
            prop_assert!(totals[0] <= totals[1]);
        }
    }

    #[test]
    fn list_order_moves_a_millilitre_at_most(case in scarce(), seed in any::<u64>()) {
        let (lots, demands) = without_portions(case);
        let before = allocate(&lots, &demands);
        let mut numbers = Numbers(seed);
        let mut order: Vec<usize> = (0..demands.len()).collect();
        order.sort_by_key(|_| numbers.below(1_000));
        let mut mixed_lots = lots.clone();
        mixed_lots.sort_by_key(|_| numbers.below(1_000));
        let mixed: Vec<Demand> = order.iter().map(|&d| demands[d]).collect();
        let after = allocate(&mixed_lots, &mixed);
        for (place, &d) in order.iter().enumerate() {
            let pair = (before.allocated[d].get(), after.allocated[place].get());
            prop_assert!(pair.0.abs_diff(pair.1) <= 1, "{:?}", pair);
        }
        for priority in priorities(&demands) {
            let total = total_up_to(&demands, &before, priority);
            prop_assert_eq!(total, total_up_to(&mixed, &after, priority));
        }
    }

    /// Each amount is the exact share rounded down or up, so twice the one and
    /// the other of twice as much differ by at most two millilitres; totals
    /// double exactly.
    #[test]
    fn twice_the_amounts_give_twice_the_answers(case in scarce()) {
        let (lots, demands) = without_portions(case);
        let twice = |amount: Millilitres| ml(2 * amount.get());
        let double_lots: Vec<Lot> =
            lots.iter().map(|lot| Lot { amount: twice(lot.amount), ..*lot }).collect();
        let double_demands: Vec<Demand> =
            demands.iter().map(|demand| Demand { amount: twice(demand.amount), ..*demand }).collect();
        let single = allocate(&lots, &demands);
        let double = allocate(&double_lots, &double_demands);
        for (one, two) in single.allocated.iter().zip(&double.allocated) {
            prop_assert!((2 * one.get()).abs_diff(two.get()) <= 2);
        }
        for priority in priorities(&demands) {
            let total = 2 * total_up_to(&demands, &single, priority);
            prop_assert_eq!(total, total_up_to(&demands, &double, priority));
        }
        prop_assert_eq!(pro_rata_share(&lots, &demands), pro_rata_share(&double_lots, &double_demands));
    }

    #[test]
    fn the_sacks_leave_nobody_short((mut lots, demands) in scarce(), holds in 1..40_000u64) {
        for sack in sacks_to_close(&shortfalls(&lots, &demands), ml(holds)) {
            prop_assert!(sack.count > 0);
            lots.push(Lot {
                amount: ml(sack.count * holds),
                window: Window { first: sack.by, last: None }, ..Lot::default()
            });
        }
        let closed = allocate(&lots, &demands);
        for (demand, given) in demands.iter().zip(&closed.allocated) {
            prop_assert_eq!(demand.amount, *given);
        }
        if !demands.iter().all(|demand| demand.amount == Millilitres::ZERO) {
            prop_assert_eq!(pro_rata_share(&lots, &demands), Some(Fraction::ONE));
        }
        prop_assert_eq!(first_shortfall_on(&shortfalls(&lots, &demands), Some(NaiveDate::MAX)), None);
    }

    #[test]
    fn later_priorities_change_nothing_for_earlier_ones((lots, demands) in scarce(), keep in 1..3u8) {
        let all = amounts(&allocate(&lots, &demands));
        let earlier: Vec<Demand> =
            demands.iter().filter(|demand| demand.priority <= keep).copied().collect();
        let alone = amounts(&allocate(&lots, &earlier));
        let pairs = demands.iter().zip(all).filter(|(demand, _)| demand.priority <= keep);
        prop_assert_eq!(pairs.map(|(_, given)| given).collect::<Vec<_>>(), alone);
    }

    #[test]
    fn a_week_later_is_the_same_a_week_later((mut lots, mut demands) in scarce()) {
        let mut expected = allocate(&lots, &demands);
        for lot in &mut lots {
            lot.window = move_by_a_week(lot.window);
        }
        for demand in &mut demands {
            demand.window = move_by_a_week(demand.window);
        }
        for draw in &mut expected.allotments {
            draw.on = draw.on.map(|on| on + Days::new(7));
        }
        prop_assert_eq!(allocate(&lots, &demands), expected);
    }
}

#[test]
fn the_generated_cases_are_worth_checking() {
    let mut runner = TestRunner::new(laws());
    let (mut short, mut given, mut expired, mut partly, mut rerouted, mut uneven) = (0, 0, 0, 0, 0, 0);
    for _ in 0..400 {
        let (lots, demands) = scarce().new_tree(&mut runner).unwrap().current();
        let allocation = allocate(&lots, &demands);
        let ledger = ledger(&lots, &demands, &allocation);
        short += usize::from(!shortfalls(&lots, &demands).is_empty());
        given += usize::from(!allocation.allotments.is_empty());
        expired += usize::from(ledger.days.iter().any(|row| row.expired > Millilitres::ZERO));
        let pairs = demands.iter().zip(amounts(&allocation));
        let portions = pairs.filter(|(demand, _)| demand.portions.is_some_and(|n| n > 1));
        partly += portions.filter(|(demand, given)| *given > 0 && *given < demand.amount.get()).count();
        rerouted += usize::from(allocation.allotments.len() > demands.len());
        let (lots, demands) = without_portions((lots, demands));
        let turned: Vec<Demand> = demands.iter().rev().copied().collect();
        let mut backwards = amounts(&allocate(&lots, &turned));
        backwards.reverse();
        uneven += usize::from(amounts(&allocate(&lots, &demands)) != backwards);
    }
    assert!(short > 200, "{short} cases were short");
    assert!(given > 200, "{given} cases had draws");
    assert!(expired > 100, "{expired} cases had something expire");
    assert!(partly > 50, "{partly} demands got some of their portions");
    assert!(rerouted > 10, "{rerouted} cases had demands served from several lots");
    assert!(uneven > 3, "{uneven} cases depended on list order");
}
