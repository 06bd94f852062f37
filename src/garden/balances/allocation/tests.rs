//! Worked examples.

use super::*;
use crate::garden::balances::ledger::{DayRow, LotState, SackPurchase, first_shortfall_on, ledger, sacks_to_close};

fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, month, day).unwrap()
}

fn ml(amount: u64) -> Millilitres {
    Millilitres::new(amount)
}

fn range(first: Option<NaiveDate>, last: Option<NaiveDate>) -> Window {
    Window { first, last }
}

fn on(date: NaiveDate) -> Window {
    range(Some(date), Some(date))
}

fn lot(amount: u64, window: Window) -> Lot {
    Lot { amount: ml(amount), window, ..Lot::default() }
}

fn demand(amount: u64, window: Window, priority: u8) -> Demand {
    Demand { amount: ml(amount), window, priority, portions: None, eligibility: Default::default() }
}

fn in_portions(amount: u64, portions: u32) -> Demand {
    Demand { portions: Some(portions), ..demand(amount, Window::default(), 1) }
}

fn given(lots: &[Lot], demands: &[Demand]) -> Vec<u64> {
    let allocation = allocate(lots, demands);
    allocation.allocated.iter().map(|given| given.get()).collect()
}

fn undated(amount: u64) -> Lot {
    lot(amount, Window::default())
}

/// Two lots and five demands of one spring: onions, carrots, salad, tomatoes
/// and tea.
fn spring() -> (Vec<Lot>, Vec<Demand>) {
    let lots = vec![lot(90_000, range(Some(day(3, 1)), None)), lot(60_000, range(Some(day(5, 10)), None))];
    let demands = vec![
        demand(40_000, on(day(3, 20)), 1),
        demand(48_000, on(day(4, 5)), 2),
        demand(57_600, on(day(4, 5)), 2),
        demand(6_000, range(Some(day(5, 15)), Some(day(6, 1))), 1),
        demand(20_000, on(day(6, 10)), 3),
    ];
    (lots, demands)
}

#[test]
fn spring_is_shared_to_the_millilitre() {
    let (lots, demands) = spring();
    let allocation = allocate(&lots, &demands);
    let amounts: Vec<u64> = allocation.allocated.iter().map(|given| given.get()).collect();
    assert_eq!(amounts, [40_000, 22_727, 27_273, 6_000, 20_000]);
    assert_eq!(amounts.iter().sum::<u64>(), 116_000);
    let wanted: u64 = demands.iter().map(|demand| demand.amount.get()).sum();
    assert_eq!((wanted, wanted - 116_000), (171_600, 55_600));
    let allotment = |lot, demand, on, amount| Allotment { lot, demand, on: Some(on), amount: ml(amount) };
    let expected = [
        allotment(0, 0, day(3, 20), 40_000),
        allotment(0, 1, day(4, 5), 22_727),
        allotment(0, 2, day(4, 5), 27_273),
        allotment(1, 3, day(5, 15), 6_000),
        allotment(1, 4, day(6, 10), 20_000),
    ];
    assert_eq!(allocation.allotments, expected);
    assert_eq!(pro_rata_share(&lots, &demands), Fraction::new(90_000, 145_600));
}

#[test]
fn spring_day_by_day() {
    let (lots, demands) = spring();
    let allocation = allocate(&lots, &demands);
    let ledger = ledger(&lots, &demands, &allocation);
    let row = |date, arrived, given, left| DayRow {
        date,
        received: ml(arrived),
        allocated: ml(given),
        expired: ml(0),
        closing_stock: ml(left),
    };
    let expected = [
        row(day(3, 1), 90_000, 0, 90_000),
        row(day(3, 20), 0, 40_000, 50_000),
        row(day(4, 5), 0, 50_000, 0),
        row(day(5, 10), 60_000, 0, 60_000),
        row(day(5, 15), 0, 6_000, 54_000),
        row(day(6, 10), 0, 20_000, 34_000),
    ];
    assert_eq!(ledger.days, expected);
    assert_eq!(ledger.opening_stock, ml(0));
    let state = |given, left| LotState { allocated: ml(given), remaining: ml(left), expired: ml(0) };
    assert_eq!(ledger.lots, [state(90_000, 0), state(26_000, 34_000)]);
    assert_eq!(first_shortfall_on(&shortfalls(&lots, &demands), None), Some(day(4, 5)));
    let purchase = SackPurchase { by: Some(day(4, 5)), count: 2 };
    assert_eq!(sacks_to_close(&shortfalls(&lots, &demands), ml(40_000)), [purchase]);
}

#[test]
fn nothing_in_nothing_out() {
    assert_eq!(allocate(&[], &[]), Allocation::default());
    assert_eq!(pro_rata_share(&[undated(5)], &[]), None);
    let asking = demand(7, Window::default(), 1);
    assert_eq!(given(&[], &[asking]), [0]);
    assert_eq!(pro_rata_share(&[], &[asking]), Some(Fraction::ZERO));
    let nothing = demand(0, Window::default(), 1);
    assert_eq!(given(&[undated(5)], &[nothing]), [0]);
    assert_eq!(pro_rata_share(&[undated(5)], &[nothing]), None);
    assert_eq!(pro_rata_share(&[undated(9)], &[asking]), Some(Fraction::ONE));
}

#[test]
fn ranges_share_a_day_when_their_ends_meet() {
    let one = range(Some(day(3, 1)), Some(day(3, 9)));
    assert!(one.overlaps(range(Some(day(3, 9)), None)));
    assert!(one.overlaps(range(None, Some(day(3, 1)))));
    assert!(!one.overlaps(range(Some(day(3, 10)), None)));
    assert!(Window::default().overlaps(one));
    let backwards = range(Some(day(3, 9)), Some(day(3, 1)));
    assert!(!backwards.holds_a_day() && !backwards.overlaps(Window::default()));
}

#[test]
fn backwards_ranges_get_and_give_nothing() {
    let backwards = range(Some(day(3, 9)), Some(day(3, 1)));
    let asking = demand(10, range(Some(day(3, 1)), Some(day(3, 20))), 1);
    assert_eq!(given(&[lot(10, backwards)], &[asking]), [0]);
    let never = demand(10, backwards, 1);
    assert_eq!(given(&[undated(30)], &[never, asking]), [0, 10]);
    assert_eq!(pro_rata_share(&[undated(30)], &[never, asking]), Some(Fraction::ZERO));
}

#[test]
fn equal_shares_differ_where_the_dates_bind() {
    // Before the second lot is ready only 10 are there for 40; afterwards 30
    // for 40, none of which can go back in time.
    let lots = [lot(10, range(Some(day(3, 1)), Some(day(3, 31)))), lot(30, range(Some(day(5, 1)), None))];
    let demands = [
        demand(20, on(day(3, 5)), 1),
        demand(20, on(day(3, 6)), 1),
        demand(10, on(day(5, 5)), 1),
        demand(30, range(Some(day(3, 5)), Some(day(6, 1))), 1),
    ];
    assert_eq!(given(&lots, &demands), [5, 5, 8, 22]);
    assert_eq!(pro_rata_share(&lots, &demands), Fraction::new(1, 4));
}

#[test]
fn an_early_lot_is_kept_for_those_who_need_it() {
    // The wide demand of the first priority moves to the later lot, so that the
    // narrow one of the last priority can have the early lot.
    let lots = [lot(10, range(Some(day(3, 1)), Some(day(3, 31)))), lot(10, range(Some(day(3, 1)), None))];
    let demands = [
        demand(10, range(Some(day(3, 1)), None), 1),
        demand(10, range(Some(day(3, 20)), Some(day(3, 25))), 9),
        demand(10, range(Some(day(4, 20)), None), 9),
    ];
    assert_eq!(given(&lots, &demands[..2]), [10, 10]);
    assert_eq!(given(&lots, &demands), [10, 5, 5]);
}

#[test]
fn the_lot_that_expires_first_goes_first() {
    let lots = [
        lot(10, range(Some(day(3, 1)), None)),
        lot(10, range(Some(day(3, 2)), Some(day(4, 9)))),
        lot(10, range(Some(day(3, 1)), Some(day(4, 9)))),
    ];
    let allocation = allocate(&lots, &[demand(25, on(day(4, 1)), 1)]);
    let order: Vec<(usize, u64)> =
        allocation.allotments.iter().map(|allotment| (allotment.lot, allotment.amount.get())).collect();
    // By lot tie order: the one ready first, the other of that use-by, the rest.
    assert_eq!(order, [(2, 10), (1, 10), (0, 5)]);
}

#[test]
fn what_is_left_of_an_ending_lot_goes_by_end_then_priority_then_list() {
    let spring = range(Some(day(3, 1)), Some(day(4, 30)));
    let lots = [lot(4, range(Some(day(3, 1)), None)), lot(4, range(Some(day(3, 1)), Some(day(3, 9))))];
    let from_ending = |demands: [Demand; 2]| -> Vec<u64> {
        let allotments = allocate(&lots, &demands).allotments;
        let sum = |demand: usize| {
            let taken = allotments.iter().filter(|d| d.lot == 1 && d.demand == demand);
            taken.map(|allotment| allotment.amount.get()).sum()
        };
        vec![sum(0), sum(1)]
    };
    let sooner = range(Some(day(3, 1)), Some(day(4, 29)));
    assert_eq!(from_ending([demand(4, spring, 1), demand(4, sooner, 2)]), [0, 4]);
    assert_eq!(from_ending([demand(4, spring, 2), demand(4, spring, 1)]), [0, 4]);
    assert_eq!(from_ending([demand(4, spring, 1), demand(4, spring, 1)]), [4, 0]);
    // Not to one that has not started.
    let later = range(Some(day(3, 10)), Some(day(3, 20)));
    assert_eq!(from_ending([demand(4, later, 1), demand(4, spring, 2)]), [0, 4]);
}

#[test]
fn draws_are_dated_on_the_first_common_day() {
    let lots = [undated(10)];
    let demands = [
        demand(3, Window::default(), 1),
        demand(3, range(None, Some(day(3, 1))), 1),
        demand(3, range(Some(day(2, 1)), None), 1),
    ];
    let dates: Vec<Option<NaiveDate>> =
        allocate(&lots, &demands).allotments.iter().map(|allotment| allotment.on).collect();
    assert_eq!(dates, [None, None, Some(day(2, 1))]);
}

#[test]
fn leftover_millilitres_go_by_remainder_then_list() {
    let same = demand(10, Window::default(), 1);
    assert_eq!(given(&[undated(11)], &[same, same, same]), [4, 4, 3]);
    let other = demand(20, Window::default(), 1);
    // 11/40 each: 2.75, 2.75, 5.5.
    assert_eq!(given(&[undated(11)], &[same, other, same]), [3, 5, 3]);
}

#[test]
fn leftover_millilitres_pass_by_those_who_cannot_use_them() {
    // Halves come before thirds, but the second half has no lot to come from.
    let early = range(None, Some(day(3, 9)));
    let late = range(Some(day(4, 1)), None);
    let [half, third] = [early, late].map(|window| demand(1, window, 1));
    let lots = [lot(1, early), lot(1, late)];
    let demands = [half, half, third, third, third];
    assert_eq!(given(&lots, &demands), [1, 0, 1, 0, 0]);
}

#[test]
fn whole_portions_go_to_the_smallest_share_first() {
    // 25 of 60: 8.33 each is 1.67 portions of 5 and 0.83 of 10.
    let demands = [in_portions(20, 4), in_portions(20, 2), in_portions(20, 4)];
    assert_eq!(given(&[undated(25)], &demands), [10, 10, 5]);
}

#[test]
fn what_portions_leave_over_goes_to_the_others() {
    let any = demand(20, Window::default(), 1);
    // 15 of 40: 7.5 each; a portion of 10 cannot be had with 7 kept for the
    // other, who then gets the rest.
    assert_eq!(given(&[undated(15)], &[in_portions(20, 2), any]), [0, 15]);
    // With 25 the share is 12.5: one portion, and 15 for the other.
    assert_eq!(given(&[undated(25)], &[in_portions(20, 2), any]), [10, 15]);
}

#[test]
fn a_started_portion_comes_before_more_for_the_others() {
    // 45 of 60: 15 each. The ten left of the two rows fill up one of them.
    let row = in_portions(20, 2);
    let any = demand(20, Window::default(), 1);
    assert_eq!(given(&[undated(45)], &[any, row, row]), [15, 20, 10]);
}

#[test]
fn a_portion_that_does_not_fit_hinders_nobody() {
    // Ten would have to come from five; the five in the way of the last demand
    // can still move to the later lot.
    let lots = [
        lot(5, range(None, Some(day(3, 5)))),
        lot(5, range(Some(day(3, 6)), Some(day(3, 9)))),
        lot(100, range(Some(day(4, 1)), None)),
    ];
    let wide = range(Some(day(3, 1)), Some(day(3, 9)));
    let whole = |amount, window| Demand { portions: Some(1), ..demand(amount, window, 2) };
    let narrow = range(Some(day(3, 1)), Some(day(3, 5)));
    let demands = [demand(5, wide, 1), whole(10, wide), whole(5, narrow)];
    assert_eq!(given(&lots, &demands), [5, 0, 5]);
}

#[test]
fn further_portions_come_in_turns() {
    // A pot of 10 that cannot be filled leaves 3.3 to two rows of ten plants.
    let demands = [in_portions(20, 1), in_portions(20, 20), in_portions(20, 20)];
    assert_eq!(given(&[undated(16)], &demands), [0, 8, 8]);
    // With 20 the pot could be filled only by taking from the rows.
    assert_eq!(given(&[undated(20)], &demands), [0, 10, 10]);
}

#[test]
fn uneven_portions_are_rounded_down() {
    // 100 in 7 portions: 14, 28, 42, 57, 71, 85, 100.
    for (stock, expected) in [(13, 0), (14, 14), (56, 42), (57, 57), (99, 85), (100, 100)] {
        assert_eq!(given(&[undated(stock)], &[in_portions(100, 7)]), [expected]);
    }
    // No portions at all is the same as no need of portions.
    assert_eq!(given(&[undated(13)], &[in_portions(100, 0)]), [13]);
}

#[test]
fn a_portion_may_come_from_two_lots() {
    let allocation = allocate(&[undated(6), undated(6)], &[in_portions(10, 1)]);
    assert_eq!(allocation.allocated, [ml(10)]);
    assert_eq!(allocation.allotments.len(), 2);
}

#[test]
fn great_numbers_of_portions_take_few_turns() {
    let pot = in_portions(1_000_000_000_000_000, 1);
    let row = in_portions(1_000_000_000_000_000, u32::MAX);
    // The pot cannot be filled while the rows keep their share.
    for stock in [900_000_000_000_000, 1_900_000_000_000_000] {
        let lots = [undated(stock / 2), undated(stock / 2)];
        let amounts = given(&lots, &[pot, row, row]);
        let left = stock - amounts.iter().sum::<u64>();
        assert_eq!(amounts[0], 0);
        assert!(left < 232_831, "{left}");
        assert!(amounts[1].abs_diff(amounts[2]) < 1_000_000_000_000_000 / 32);
    }
}

#[test]
fn the_largest_numbers_do_no_harm() {
    let lots = [undated(u64::MAX), undated(u64::MAX)];
    let huge = demand(u64::MAX, Window::default(), 0);
    let pots = Demand { portions: Some(u32::MAX), ..huge };
    let allocation = allocate(&lots, &[huge, pots, huge, huge]);
    let total: u64 = allocation.allocated.iter().map(|given| given.get()).sum();
    assert!(total <= 2_000_000_000_000_000 && total > 1_999_999_999_000_000);
    let ledger = ledger(&lots, &[huge, pots, huge, huge], &allocation);
    assert!(ledger.days.is_empty());
}

#[test]
fn the_stated_bounds_stay_exact() {
    // 10^15 mL each, shares in lowest terms with long denominators.
    let lots: Vec<Lot> = (0..40).map(|i| undated(999_999_999_999_937 - i)).collect();
    let wanted = |i: u64| 1_000_000_000_000_000 - i * i;
    let demands: Vec<Demand> = (0..90).map(|i| demand(wanted(i), Window::default(), 1)).collect();
    let stock: u128 = lots.iter().map(|lot| u128::from(lot.amount.get())).sum();
    let asked: u128 = (0..90).map(|i| u128::from(wanted(i))).sum();
    let amounts = given(&lots, &demands);
    assert_eq!(amounts.iter().map(|a| u128::from(*a)).sum::<u128>(), stock);
    for (place, amount) in amounts.iter().enumerate() {
        let exact = u128::from(demands[place].amount.get()) * stock / asked;
        assert!(u128::from(*amount) == exact || u128::from(*amount) == exact + 1);
    }
    assert_eq!(pro_rata_share(&lots, &demands), Fraction::new(stock, asked));
}
