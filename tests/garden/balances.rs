//! The sharing of castings, its answers against second ways to find them, and its laws on generated cases.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test may stop at whatever is wrong"
)]

pub mod barred;
mod laws;
mod minimum;
mod programmes;
pub mod shift;
mod shortfalls;
mod whole;

use barrowful::garden::balances::allocation::{Allocation, Demand, Lot, Window};
use barrowful::garden::units::Millilitres;
use chrono::{Days, NaiveDate};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// All dates of the cases lie within so many days.
pub const SPAN: u64 = 40;

pub fn ml(amount: u64) -> Millilitres {
    Millilitres::new(amount)
}

pub fn date(day: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 3, 1).unwrap() + Days::new(day)
}

/// From one day to another.
fn window(first: u64, last: u64) -> Window {
    Window { first: Some(date(first)), last: Some(date(last)) }
}

/// One day.
fn on(day: u64) -> Window {
    window(day, day)
}

/// Whether the two ranges share a day, found by looking at every day.
pub fn meet(lot: &Lot, demand: &Demand) -> bool {
    let holds = |window: Window, day: NaiveDate| {
        window.first.is_none_or(|first| first <= day) && window.last.is_none_or(|last| day <= last)
    };
    (0..=SPAN).any(|day| holds(lot.window, date(day)) && holds(demand.window, date(day)))
}

pub fn amounts(allocation: &Allocation) -> Vec<u64> {
    allocation.allocated.iter().map(|given| given.get()).collect()
}

pub fn priorities(demands: &[Demand]) -> BTreeSet<u8> {
    demands.iter().map(|demand| demand.priority).collect()
}

/// The total given to all priorities up to this one.
pub fn total_up_to(demands: &[Demand], allocation: &Allocation, priority: u8) -> u64 {
    let pairs = demands.iter().zip(amounts(allocation));
    pairs.filter(|(demand, _)| demand.priority <= priority).map(|(_, given)| given).sum()
}

/// Which lot, by its place, may serve which demand.
pub type Pairs<'a> = &'a dyn Fn(usize, usize) -> bool;

pub fn windows() -> impl Strategy<Value = Window> {
    let days = (0..SPAN / 2, 0..SPAN / 2);
    let open = (prop::bool::weighted(0.15), prop::bool::weighted(0.25));
    let dated = (days, open).prop_map(|((first, length), (open_first, open_last))| Window {
        first: (!open_first).then(|| date(first)),
        last: (!open_last).then(|| date(first + length)),
    });
    prop_oneof![1 => Just(Window::default()), 5 => dated]
}

/// Volumes of several sizes; some come again and again, so that shares tie.
pub fn volumes() -> impl Strategy<Value = Millilitres> {
    prop_oneof![Just(10u64), Just(1_000u64), 0..20u64, 0..500u64, 0..60_000u64].prop_map(ml)
}

fn lots() -> impl Strategy<Value = Vec<Lot>> {
    let lot = (volumes(), windows()).prop_map(|(amount, window)| Lot { amount, window, ..Lot::default() });
    proptest::collection::vec(lot, 0..6)
}

/// Demands for any amount, of one to three priorities.
fn demands() -> impl Strategy<Value = Vec<Demand>> {
    let demand = (volumes(), windows(), 0..6u8);
    let list = proptest::collection::vec(demand, 0..9);
    (list, 1..4u8).prop_map(|(list, ranks)| {
        let demand = |(amount, window, number)| Demand {
            amount,
            window,
            priority: 1 + number % ranks,
            portions: None,
            eligibility: Default::default(),
        };
        list.into_iter().map(demand).collect()
    })
}

/// Demands of which half come in portions.
fn mixed() -> impl Strategy<Value = Vec<Demand>> {
    let portions = proptest::collection::vec(proptest::option::of(0..9u32), 9);
    (demands(), portions).prop_map(|(mut demands, portions)| {
        for (demand, portions) in demands.iter_mut().zip(portions) {
            demand.portions = portions;
        }
        demands
    })
}

/// Lots that are about `percent` of what is asked, so that most cases are short.
pub fn scarce() -> impl Strategy<Value = (Vec<Lot>, Vec<Demand>)> {
    (lots(), mixed(), 10..120u64).prop_map(|(mut lots, demands, percent)| {
        let asked: u64 = demands.iter().map(|demand| demand.amount.get()).sum();
        let stock: u64 = lots.iter().map(|lot| lot.amount.get()).sum();
        for lot in &mut lots {
            lot.amount = ml(lot.amount.get() * asked * percent / (100 * stock.max(1)));
        }
        (lots, demands)
    })
}

pub fn laws() -> ProptestConfig {
    crate::support::laws(600)
}

pub fn without_portions((lots, mut demands): (Vec<Lot>, Vec<Demand>)) -> (Vec<Lot>, Vec<Demand>) {
    for demand in &mut demands {
        demand.portions = None;
    }
    (lots, demands)
}

/// Whether these amounts can be served together: no group of demands is given
/// more than all the lots that any of them can use.
pub fn can_be_served(lots: &[Lot], demands: &[Demand], given: &[u64]) -> bool {
    can_be_served_by(lots, &|l, d| meet(&lots[l], &demands[d]), given)
}

/// The same over the pairs that may meet.
pub fn can_be_served_by(lots: &[Lot], may: Pairs<'_>, given: &[u64]) -> bool {
    (0..1usize << given.len()).all(|group| {
        let inside: Vec<usize> = (0..given.len()).filter(|d| group >> d & 1 == 1).collect();
        let usable = lots.iter().enumerate().filter(|(l, _)| inside.iter().any(|&d| may(*l, d)));
        let stock: u64 = usable.map(|(_, lot)| lot.amount.get()).sum();
        inside.iter().map(|&d| given[d]).sum::<u64>() <= stock
    })
}

/// The smallest amount a demand could be given beyond what it has.
pub fn next_amount(demand: &Demand, given: u64) -> Option<u64> {
    let wanted = demand.amount.get();
    match demand.portions {
        Some(n) if n > 0 => (0..=u64::from(n)).map(|k| wanted * k / u64::from(n)).find(|amount| *amount > given),
        _ => (given < wanted).then_some(given + 1),
    }
}
