//! Served later for others, and what waiting would bring: worked examples, the same found day by day, and the laws.

use super::{SPAN, can_be_served, date, laws, meet, ml, priorities, scarce, total_up_to, window, without_portions};
use barrowful::garden::balances::allocation::{Allocation, Demand, Lot, Window, allocate};
use barrowful::garden::balances::shift::{LaterSupply, ServedLater, later_supply, served_later};
use barrowful::garden::balances::{Part, Requirement};
use chrono::{Days, NaiveDate};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

fn from(first: u64) -> Window {
    Window { first: Some(date(first)), last: None }
}

fn lot(amount: u64, window: Window) -> Lot {
    Lot { amount: ml(amount), window, ..Lot::default() }
}

fn requirement(amount: u64, window: Window) -> Requirement {
    Requirement {
        parts: vec![Part { amount: ml(amount), window, pieces: None, ..Part::default() }],
        priority: 1,
        whole_portions: false,
        minimum: None,
        grown: None,
    }
}

pub fn requirements(demands: &[Demand]) -> Vec<Requirement> {
    let one = |demand: &Demand| Requirement {
        parts: vec![Part {
            amount: demand.amount,
            window: demand.window,
            pieces: demand.portions,
            eligibility: demand.eligibility,
            ..Part::default()
        }],
        priority: demand.priority,
        whole_portions: demand.portions.is_some(),
        minimum: None,
        grown: None,
    };
    demands.iter().map(one).collect()
}

fn demands(requirements: &[Requirement]) -> Vec<Demand> {
    let parts = |requirement: &Requirement| {
        let (priority, whole) = (requirement.priority, requirement.whole_portions);
        let one = move |part: &Part| Demand {
            amount: part.amount,
            window: part.window,
            priority,
            portions: part.pieces.filter(|_| whole),
            eligibility: part.eligibility,
        };
        requirement.parts.iter().map(one).collect::<Vec<_>>()
    };
    requirements.iter().flat_map(parts).collect()
}

fn shared(lots: &[Lot], requirements: &[Requirement]) -> Allocation {
    allocate(lots, &demands(requirements))
}

/// 30 L on day 0 and 30 L on day 60. Pots could have theirs from day 0 on, onions only on day 20: the pots wait.
#[test]
fn the_pots_are_served_later_for_the_onions() {
    let lots = [lot(30, from(0)), lot(30, from(60))];
    let requirements = [requirement(30, window(0, 90)), requirement(28, window(20, 20))];
    let found = served_later(&lots, &requirements, &shared(&lots, &requirements));
    // 2 of the first lot stay for the pots.
    let entry = ServedLater {
        demand: 0,
        occasion: 0,
        first_possible_on: Some(date(0)),
        allocated_on: date(60),
        amount: ml(28),
    };
    assert_eq!(found, [entry]);
    // Who has no date has a first possible day without a date.
    let undated = [lot(30, Window::default()), lot(30, from(60))];
    let whenever = [requirement(30, Window::default()), requirement(28, window(20, 20))];
    let found = served_later(&undated, &whenever, &shared(&undated, &whenever));
    assert_eq!(found, [ServedLater { first_possible_on: None, ..entry }]);
}

#[test]
fn nobody_is_moved_where_nothing_was_on_hand_or_nobody_needs_it() {
    let none = |lots: &[Lot], requirements: &[Requirement]| {
        assert_eq!(served_later(lots, requirements, &shared(lots, requirements)), [])
    };
    // Used up before the dates of the pots begin.
    none(&[lot(30, from(0)), lot(30, from(60))], &[requirement(30, window(10, 90)), requirement(30, window(5, 5))]);
    // The lot that expires goes first, but nobody needs the other one.
    none(&[lot(30, from(0)), lot(30, window(60, 70))], &[requirement(20, window(0, 90))]);
    // The first lot is not enough, and nobody else takes of it.
    none(&[lot(50, from(0)), lot(40, from(60))], &[requirement(80, window(0, 90))]);
    // Each demand on its one day.
    none(&[lot(30, from(0)), lot(30, from(60))], &[requirement(30, window(20, 20)), requirement(30, window(60, 60))]);
}

/// 48 short on day 20 and 10 short on day 25; 50 are left from day 60 on, 20 more from day 80.
#[test]
fn what_is_left_over_serves_who_can_wait() {
    let lots = [lot(50, from(60)), lot(20, from(80))];
    let mut all = [requirement(10, window(25, 25)), requirement(48, window(20, 20))];
    // The last day of number 0 is day 25, that of number 1 day 20.
    let waiting = |demand: usize, day, amount| {
        let latest = date([25, 20][demand]);
        LaterSupply { demand, occasion: 0, latest, until: date(day), amount: ml(amount) }
    };
    assert_eq!(later_supply(&lots, &all, &shared(&lots, &all)), [waiting(1, 60, 48), waiting(0, 80, 10)]);
    // The first priority before the earlier day.
    all[1].priority = 2;
    assert_eq!(later_supply(&lots, &all, &shared(&lots, &all)), [waiting(0, 60, 10), waiting(1, 80, 48)]);
    // The largest part, where not all is covered.
    all[1] = requirement(90, window(20, 20));
    assert_eq!(later_supply(&lots, &all, &shared(&lots, &all)), [waiting(1, 80, 70)]);
    // An expired lot helps no more: 50 on day 60 are the most.
    let expiring = [lot(50, window(60, 79)), lot(20, from(80))];
    assert_eq!(later_supply(&expiring, &all, &shared(&expiring, &all)), [waiting(1, 60, 50), waiting(0, 80, 10)]);
}

#[test]
fn a_dropped_demand_takes_its_minimum_or_nothing_and_pots_come_whole() {
    let lots = [lot(50, from(60))];
    let least = |amount| [Requirement { minimum: Some(ml(amount)), ..requirement(90, window(20, 20)) }];
    let found = |requirements: &[Requirement]| -> Vec<u64> {
        later_supply(&lots, requirements, &shared(&lots, requirements)).iter().map(|wait| wait.amount.get()).collect()
    };
    assert_eq!(found(&least(50)), [50]);
    assert_eq!(found(&least(51)), [0; 0]);
    let pots = Part { amount: ml(120), window: window(20, 20), pieces: Some(10), ..Part::default() };
    assert_eq!(
        found(&[Requirement { parts: vec![pots], priority: 1, whole_portions: true, minimum: None, grown: None }]),
        [48]
    );
    // Two days of a tea wait each by itself; an open end has nothing to wait for.
    let part = |day| Part { amount: ml(20), window: window(day, day), pieces: None, ..Part::default() };
    let tea =
        Requirement { parts: vec![part(20), part(30)], priority: 1, whole_portions: false, minimum: None, grown: None };
    assert_eq!(found(std::slice::from_ref(&tea)), [20, 20]);
    assert_eq!(found(&[Requirement { minimum: Some(ml(40)), ..tea.clone() }]), [20, 20]);
    assert_eq!(found(&[requirement(60, from(70)), tea]), [0; 0]);
}

// ---------------------------------------------------------------------------
// The same, day by day
// ---------------------------------------------------------------------------

pub fn holds(window: Window, day: NaiveDate) -> bool {
    window.first.is_none_or(|first| first <= day) && window.last.is_none_or(|last| day <= last)
}

/// What is left of each lot.
pub fn unused(lots: &[Lot], allocation: &Allocation) -> Vec<u64> {
    let mut left: Vec<u64> = lots.iter().map(|lot| lot.amount.get()).collect();
    for draw in &allocation.allotments {
        left[draw.lot] -= draw.amount.get();
    }
    left
}

/// Whether a demand may draw on a lot on a day, as far as others than their own dates forbid it.
pub type May<'a> = &'a dyn Fn(usize, usize, NaiveDate) -> bool;

/// Looks at every day for every short demand.
pub fn day_by_day((lots, may): (&[Lot], May<'_>), demands: &[Demand], allocation: &Allocation) -> Vec<LaterSupply> {
    let mut left = unused(lots, allocation);
    let is_short = |d: &usize| allocation.allocated[*d] < demands[*d].amount && demands[*d].window.last.is_some();
    let mut order: Vec<usize> = (0..demands.len()).filter(is_short).collect();
    order.sort_by_key(|d| (demands[*d].priority, demands[*d].window.last));
    let mut found = Vec::new();
    for d in order {
        let (demand, given) = (&demands[d], allocation.allocated[d].get());
        let last = demand.window.last.unwrap();
        let wanted = demand.amount.get();
        let of_use = |there: u64| match demand.portions.map(u64::from) {
            Some(n) if n > 0 => (0..=n).map(|k| wanted * k / n).filter(|x| *x <= given + there).max().unwrap() - given,
            _ => there.min(wanted - given),
        };
        let there = |day: NaiveDate| -> u64 {
            let usable = |(l, lot): &(usize, &Lot)| holds(lot.window, day) && may(*l, d, day);
            lots.iter().enumerate().filter(usable).map(|(l, _)| left[l]).sum()
        };
        let days = (0..=2 * SPAN).map(|more| last + Days::new(more));
        // The first of the largest: days come in order and only a larger part replaces one.
        let (until, amount) = days
            .map(|day| (day, of_use(there(day))))
            .fold((last, 0), |best, next| if next.1 > best.1 { next } else { best });
        if until == last || amount == 0 {
            continue;
        }
        let mut usable: Vec<usize> =
            (0..lots.len()).filter(|l| holds(lots[*l].window, until) && may(*l, d, until)).collect();
        usable.sort_by_key(|l| (lots[*l].window.last.unwrap_or(NaiveDate::MAX), lots[*l].window.first, *l));
        let mut due = amount;
        for l in usable {
            let taken = due.min(left[l]);
            left[l] -= taken;
            due -= taken;
        }
        assert_eq!(due, 0);
        found.push(LaterSupply { demand: d, occasion: 0, latest: last, until, amount: ml(amount) });
    }
    found
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn waiting_is_what_every_day_looked_at_gives((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        prop_assert_eq!(later_supply(&lots, &requirements(&demands), &allocation), day_by_day((&lots, &|_, _, _| true), &demands, &allocation));
    }

    #[test]
    fn waiting_takes_no_more_than_is_left_or_short((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        let found = later_supply(&lots, &requirements(&demands), &allocation);
        let taken: u64 = found.iter().map(|wait| wait.amount.get()).sum();
        prop_assert!(taken <= unused(&lots, &allocation).iter().sum());
        for wait in &found {
            let demand = &demands[wait.demand];
            prop_assert!(wait.amount.get() > 0 && Some(wait.until) > demand.window.last);
            prop_assert!(allocation.allocated[wait.demand].get() + wait.amount.get() <= demand.amount.get());
        }
    }

    /// Fed back: with the later dates, everybody can have what they have and all who wait what they wait for, together.
    /// And each alone gets it, if the others ask for no more than they have.
    #[test]
    fn what_waiting_brings_can_be_served_beside_the_others((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        let found = later_supply(&lots, &requirements(&demands), &allocation);
        let mut given: Vec<u64> = allocation.allocated.iter().map(|given| given.get()).collect();
        let mut later = demands.clone();
        for wait in &found {
            later[wait.demand].window.last = Some(wait.until);
            given[wait.demand] += wait.amount.get();
            let mut alone: Vec<Demand> = demands
                .iter()
                .zip(&allocation.allocated)
                .map(|(demand, given)| Demand { amount: *given, priority: 1, portions: None, ..*demand })
                .collect();
            alone[wait.demand] = Demand { priority: 2, ..demands[wait.demand] };
            alone[wait.demand].window.last = Some(wait.until);
            let again = allocate(&lots, &alone).allocated[wait.demand];
            prop_assert!(again.get() >= allocation.allocated[wait.demand].get() + wait.amount.get());
        }
        prop_assert!(can_be_served(&lots, &later, &given));
    }

    /// Shared anew with one later date: the earlier priorities keep their amounts, and its own priority and all up to a
    /// later one get at least that much more together. (One alone may get less: others of its priority share in it.)
    #[test]
    fn shared_anew_its_priority_gets_at_least_that_much_more(case in scarce()) {
        let (lots, demands) = without_portions(case);
        let allocation = allocate(&lots, &demands);
        for wait in later_supply(&lots, &requirements(&demands), &allocation) {
            let mut later = demands.clone();
            later[wait.demand].window.last = Some(wait.until);
            let again = allocate(&lots, &later);
            let own = demands[wait.demand].priority;
            for priority in priorities(&demands) {
                let [before, after] = [&allocation, &again].map(|all| total_up_to(&demands, all, priority));
                if priority >= own {
                    prop_assert!(after >= before + wait.amount.get());
                } else {
                    prop_assert_eq!(after, before);
                }
            }
            for (d, demand) in demands.iter().enumerate().filter(|(_, demand)| demand.priority < own) {
                prop_assert_eq!(allocation.allocated[d], again.allocated[d], "{:?}", demand);
            }
        }
    }

    #[test]
    fn who_is_moved_could_have_been_served_before((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        for entry in served_later(&lots, &requirements(&demands), &allocation) {
            let demand = &demands[entry.demand];
            let draws = || allocation.allotments.iter().filter(|draw| draw.demand == entry.demand);
            let on_the_day: u64 =
                draws().filter(|draw| draw.on == Some(entry.allocated_on)).map(|draw| draw.amount.get()).sum();
            prop_assert!(entry.amount > ml(0) && entry.amount.get() <= on_the_day);
            prop_assert!(holds(demand.window, entry.allocated_on) && entry.first_possible_on < Some(entry.allocated_on));
            // On the first possible day, and on none before, a lot that it can use is there and not used up.
            let on_hand = |day: Option<NaiveDate>| lots.iter().enumerate().any(|(l, lot)| {
                let from_lot = allocation.allotments.iter().filter(|draw| draw.lot == l && draw.on < day);
                let before: u64 = from_lot.map(|draw| draw.amount.get()).sum();
                let started = lot.window.first <= day && demand.window.first <= day;
                let ended = |last: Option<NaiveDate>| last.is_some_and(|last| day.is_some_and(|day| last < day));
                meet(lot, demand) && started && !ended(lot.window.last) && before < lot.amount.get()
            });
            prop_assert!(on_hand(entry.first_possible_on));
            if let Some(first) = entry.first_possible_on {
                let earlier = (0..SPAN).map(date).filter(|day| *day < first).map(Some).chain([None]);
                for day in earlier {
                    prop_assert!(!on_hand(day), "{:?} before {:?}", day, entry);
                }
            }
        }
    }

    /// Exactly as much is moved as a demand could have had earlier of what others draw meanwhile, beside what nobody gets: of what it
    /// draws, each on a day before the one on which it does. (The largest such amounts are found by the sharing itself, as flows of
    /// their own.)
    #[test]
    fn moved_is_what_others_have_meanwhile((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        let found = served_later(&lots, &requirements(&demands), &allocation);
        let left = unused(&lots, &allocation);
        for (d, demand) in demands.iter().enumerate() {
            let others = |l: usize, lot: &Lot| -> u64 {
                let start = lot.window.first.max(demand.window.first);
                let draws = allocation.allotments.iter().filter(|draw| draw.lot == l && draw.demand != d && draw.on >= start);
                draws.map(|draw| draw.amount.get()).sum()
            };
            let shelf = |beside: bool| -> Vec<Lot> {
                let amount = |l, lot| ml(left[l] + if beside { others(l, lot) } else { 0 });
                lots.iter().enumerate().map(|(l, lot)| Lot { amount: amount(l, lot), window: lot.window, ..Lot::default() }).collect()
            };
            let late: Vec<(NaiveDate, u64)> = allocation
                .allotments
                .iter()
                .filter(|draw| draw.demand == d && draw.on > demand.window.first)
                .filter_map(|draw| Some((draw.on?, draw.amount.get())))
                .collect();
            let earlier: Vec<Demand> = late
                .iter()
                .map(|(day, amount)| {
                    let before = Window { first: demand.window.first, last: day.pred_opt() };
                    Demand { amount: ml(*amount), window: before, priority: 1, portions: None, eligibility: Default::default() }
                })
                .collect();
            let could = |beside| -> u64 { allocate(&shelf(beside), &earlier).allocated.iter().map(|given| given.get()).sum() };
            let reported: u64 = found.iter().filter(|entry| entry.demand == d).map(|entry| entry.amount.get()).sum();
            prop_assert_eq!(reported, could(true) - could(false));
        }
    }
}

#[test]
fn the_generated_cases_are_worth_checking() {
    let mut runner = TestRunner::new(laws());
    let (mut moves, mut waiting, mut in_part, mut several) = (0, 0, 0, 0);
    for _ in 0..600 {
        let (lots, demands) = scarce().new_tree(&mut runner).unwrap().current();
        let allocation = allocate(&lots, &demands);
        let requirements = requirements(&demands);
        moves += usize::from(!served_later(&lots, &requirements, &allocation).is_empty());
        let found = later_supply(&lots, &requirements, &allocation);
        waiting += usize::from(!found.is_empty());
        several += usize::from(found.len() > 1);
        let all = |wait: &LaterSupply| {
            allocation.allocated[wait.demand].get() + wait.amount.get() == demands[wait.demand].amount.get()
        };
        in_part += usize::from(found.iter().any(|wait| !all(wait)));
    }
    let counts = [moves, waiting, in_part, several];
    assert!(counts.iter().zip([30, 60, 20, 15]).all(|(count, least)| *count >= least), "{counts:?}");
}
