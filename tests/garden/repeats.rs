//! The same again and again: on which days, and that each time counts as a demand of its own.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::balances::{date, ml, scarce};
use crate::support::on;
use barrowful::garden::applications::repeats::{Ends, MAX_TIMES, Repeat, check_times};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::{Part, Requirement, balance};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::Duration;
use chrono::{Days, NaiveDate};
use proptest::prelude::*;

fn every(days: f64, ends: Ends) -> Repeat {
    Repeat::new(Duration::from_hours(24.0 * days), ends).unwrap()
}

/// The recurrence `FREQ=DAILY;INTERVAL=42;UNTIL=20270809` of RFC 5545 from 5 April 2027: its last day counts.
#[test]
fn a_repeat_is_the_recurrence_of_calendars() {
    let days = |until| every(42.0, Ends::Until(on(until))).days_after(Some(on("2027-04-05"))).unwrap();
    assert_eq!(days("2027-08-09"), [0, 42, 84, 126]);
    assert_eq!(days("2027-08-08"), [0, 42, 84]);
    assert_eq!(days("2027-04-05"), [0]);
    // The last time is what counts: 29 December 2036 is 3,650 days after 1 January 2027, within ten years; the day until which it may be done is not.
    let ten_years = |days, until| every(days, Ends::Until(on(until))).days_after(Some(on("2027-01-01")));
    assert_eq!(ten_years(3_650.0, "2037-12-31").unwrap(), [0, 3_650]);
    assert_eq!(ten_years(3_650.0, "2099-12-31").unwrap_err().field, Some("until"));
    // 29 February counts as any day.
    assert_eq!(every(366.0, Ends::Times(2)).days_after(None).unwrap(), [0, 366]);
}

#[test]
fn what_cannot_repeat_is_refused_where_it_is_wrong() {
    let refused = |hours, ends| {
        let refusal = Repeat::new(Duration::from_hours(hours), ends).unwrap_err();
        (refusal.reason, refusal.field.unwrap())
    };
    let twice = Ends::Times(2);
    for hours in [0.0, 12.0, 23.999, 36.0, 87_672.0, f64::NAN] {
        assert_eq!(refused(hours, twice), (Reason::OutOfRange, "every"), "{hours}");
    }
    for times in [0, MAX_TIMES + 1] {
        assert_eq!(refused(24.0, Ends::Times(times)), (Reason::OutOfRange, "times"), "{times}");
    }
    assert!(Repeat::new(Duration::from_hours(87_648.0), Ends::Times(MAX_TIMES)).is_ok());
    let start = Some(on("2027-04-05"));
    let ends = |repeat: Repeat, first| {
        let refusal = repeat.days_after(first).unwrap_err();
        (refusal.reason, refusal.field.unwrap())
    };
    let before = every(7.0, Ends::Until(on("2027-04-04")));
    assert_eq!(ends(before, start), (Reason::DatesOutOfOrder, "until"));
    assert_eq!(ends(before, None), (Reason::MissingField, "times"));
    // Ten years are 3,653 days.
    assert_eq!(every(281.0, Ends::Times(14)).days_after(None).unwrap().last(), Some(&3_653));
    assert_eq!(ends(every(1_827.0, Ends::Times(3)), None), (Reason::OutOfRange, "every"));
    assert!(check_times(10_000).is_ok());
    assert_eq!(check_times(10_001).unwrap_err().reason, Reason::TooLarge);
}

/// 30 L that keep until day 30, and 40 L from day 40 on. 12 L on days 0, 30, 60 and 90, and 40 L on day 65. The first two times get all of
/// theirs; 40 L are there for 12 + 12 + 40: 0.625 of each.
#[test]
fn each_time_shares_with_what_is_asked_on_its_days() {
    let ready = Window { first: Some(date(40)), last: None };
    let lots = [
        Lot { amount: ml(30_000), window: Window { first: None, last: Some(date(30)) }, ..Lot::default() },
        Lot { amount: ml(40_000), window: ready, ..Lot::default() },
    ];
    let one = |amount, on| {
        let window = Window { first: Some(date(on)), last: Some(date(on)) };
        Requirement {
            parts: vec![Part { amount: ml(amount), window, ..Part::default() }],
            priority: 1,
            ..Requirement::default()
        }
    };
    let found = balance(&lots, &[one(12_000, 0).repeated(&[0, 30, 60, 90]), one(40_000, 65)], None);
    let times: Vec<u64> = found.demands[0].occasions.iter().map(|time| time.allocated.get()).collect();
    assert_eq!(times, [12_000, 12_000, 7_500, 7_500]);
    assert_eq!(found.demands[0].allocated, ml(39_000));
    assert_eq!(found.demands[1].allocated, ml(25_000));
    assert!(found.demands[1].occasions.is_empty());
}

proptest! {
    /// A demand that repeats is the same as a list of demands, one for each time: who gets how much, what is dropped, what is short, which
    /// sacks and what comes of waiting.
    #[test]
    fn a_repeated_demand_is_a_list_of_demands(
        (lots, demands) in scarce(),
        days in proptest::collection::btree_set(0_u64..60, 1..5),
        least in proptest::option::of(1_u64..4),
        whole: bool,
    ) {
        let days: Vec<u64> = days.into_iter().collect();
        let make = |demand: &barrowful::garden::balances::allocation::Demand| Requirement {
            parts: vec![Part { amount: demand.amount, window: demand.window, pieces: Some(3), ..Part::default() }],
            priority: demand.priority,
            whole_portions: whole,
            minimum: least.map(|least| ml(demand.amount.get() * least / 4)),
            grown: None,
        };
        let asked: Vec<Requirement> = demands.iter().map(make).collect();
        let later = |day: Option<NaiveDate>, by| day.map(|day| day + Days::new(by));
        let at = |requirement: &Requirement, by| {
            let part = requirement.parts[0];
            let window = Window { first: later(part.window.first, by), last: later(part.window.last, by) };
            Requirement { parts: vec![Part { window, ..part }], ..requirement.clone() }
        };
        let listed: Vec<Requirement> = asked.iter().flat_map(|one| days.iter().map(|by| at(one, *by))).collect();
        let repeated: Vec<Requirement> = asked.iter().map(|one| one.clone().repeated(&days)).collect();
        prop_assert!(repeated.iter().all(|one| one.times() == days.len()));
        let (list, again) = (balance(&lots, &listed, Some(ml(7))), balance(&lots, &repeated, Some(ml(7))));
        let times = again.demands.iter().flat_map(|one| &one.occasions);
        for (one, time) in list.demands.iter().zip(times) {
            prop_assert_eq!(one.allocated, time.allocated);
            prop_assert_eq!(one.dropped, time.dropped);
            prop_assert_eq!(one.pieces, time.pieces.map(|(_, allocated)| allocated).filter(|_| whole));
        }
        for demand in &again.demands {
            let sum: u64 = demand.occasions.iter().map(|time| time.allocated.get()).sum();
            prop_assert_eq!(sum, demand.allocated.get());
        }
        prop_assert_eq!(&list.stock, &again.stock);
        prop_assert_eq!(&list.by_date, &again.by_date);
        prop_assert_eq!(&list.sacks, &again.sacks);
        prop_assert_eq!(list.first_shortfall_on, again.first_shortfall_on);
        let waits = |of: &barrowful::garden::balances::Balance| of.later_supply.iter().map(|one| (one.until, one.amount)).collect::<Vec<_>>();
        prop_assert_eq!(waits(&list), waits(&again));
    }
}
