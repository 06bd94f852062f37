//! Sharing where some lots are barred from some demands: worked examples, the same by linear programmes and by smallest cuts, and the
//! laws.

use super::programmes::{Numbers, Seen};
use super::shift::{day_by_day, holds, requirements, unused};
use super::{SPAN, amounts, can_be_served_by, date, laws, meet, ml, next_amount, priorities, scarce, window};
use barrowful::garden::balances::allocation::{
    Allocation, Demand, Eligibility, Fraction, Lot, Window, allocate, pro_rata_share,
};
use barrowful::garden::balances::balance;
use barrowful::garden::balances::minimum::share_of;
use barrowful::garden::balances::shift::{later_supply, served_later};
use barrowful::garden::cautions::waiting::Limit;
use barrowful::garden::units::Share;
use chrono::NaiveDate;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeSet;

fn lot(amount: u64) -> Lot {
    Lot { amount: ml(amount), window: Window::default(), ..Lot::default() }
}

fn demand(amount: u64, window: Window) -> Demand {
    Demand { amount: ml(amount), window, priority: 1, portions: None, eligibility: Default::default() }
}

/// Not on untreated lots.
const BARRED: Eligibility = Eligibility { treated: Limit::Always, untreated: Limit::Never };
const FREE: Eligibility = Eligibility { treated: Limit::Always, untreated: Limit::Always };

fn until(day: u64) -> Eligibility {
    Eligibility { treated: Limit::Always, untreated: Limit::Until(date(day)) }
}

fn untreated(amount: u64) -> Lot {
    Lot { untreated: true, ..lot(amount) }
}

fn limited(demand: Demand, eligibility: Eligibility) -> Demand {
    Demand { eligibility, ..demand }
}

/// The same lots and demands where nothing is barred.
fn free(lots: &[Lot], demands: &[Demand]) -> (Vec<Lot>, Vec<Demand>) {
    let treated = |lot: &Lot| Lot { untreated: false, ..*lot };
    (lots.iter().map(treated).collect(), demands.iter().map(|demand| limited(*demand, FREE)).collect())
}

fn draws(allocation: &Allocation) -> Vec<(usize, usize, u64)> {
    allocation.allotments.iter().map(|draw| (draw.lot, draw.demand, draw.amount.get())).collect()
}

/// 30 untreated and 20 treated. Radishes may not have the untreated ones, squash may: squash leaves the treated ones to the radishes.
#[test]
fn the_treated_lot_goes_to_the_early_crop() {
    let lots = [lot(20), untreated(30)];
    let demands = [demand(25, window(1, 1)), limited(demand(20, window(1, 1)), BARRED)];
    // Without the bar, squash comes first in the list and draws on the first lot.
    let (all, open) = free(&lots, &demands);
    assert_eq!(draws(&allocate(&all, &open)), [(0, 0, 20), (1, 0, 5), (1, 1, 20)]);
    assert_eq!(draws(&allocate(&lots, &demands)), [(1, 0, 25), (0, 1, 20)]);
    assert_eq!(pro_rata_share(&lots, &demands), Some(Fraction::ONE));
}

/// With only 10 treated, the radishes get 10 of 20 and the squash all of its 25: nothing is gained by giving it less.
#[test]
fn who_is_barred_may_get_less_than_the_others() {
    let lots = [lot(10), untreated(30)];
    let demands = [demand(25, window(1, 1)), limited(demand(20, window(1, 1)), BARRED)];
    assert_eq!(amounts(&allocate(&lots, &demands)), [25, 10]);
    assert_eq!(pro_rata_share(&lots, &demands), Fraction::new(1, 2));
    let (all, open) = free(&lots, &demands);
    assert_eq!(pro_rata_share(&all, &open), Fraction::new(40, 45));
}

/// The untreated lot is ready on day 10. A bed that may have it up to day 9 gets nothing, one that may up to day 10 all.
#[test]
fn the_limit_is_the_last_day() {
    let lots = [Lot { window: Window { first: Some(date(10)), last: None }, ..untreated(10) }];
    for (day, given) in [(9, 0), (10, 10)] {
        let demands = [limited(demand(10, window(1, 20)), until(day))];
        let allocation = allocate(&lots, &demands);
        assert_eq!(amounts(&allocation), [given]);
        assert!(allocation.allotments.iter().all(|draw| draw.on == Some(date(10))));
    }
}

/// Lots and demands without dates: nothing that may never be had is given, and an open lot is not taken for one before all days.
#[test]
fn never_is_never_without_dates_too() {
    let open = demand(10, Window::default());
    assert_eq!(amounts(&allocate(&[untreated(10)], &[limited(open, BARRED)])), [0]);
    let none = Eligibility { treated: Limit::Never, untreated: Limit::Never };
    let demands = [limited(open, none)];
    assert_eq!(amounts(&allocate(&[lot(10)], &demands)), [0]);
    assert_eq!(pro_rata_share(&[lot(10)], &demands), Some(Fraction::ZERO));
    // Sacks and producing would not help a tea that may never be had.
    let balance = balance(&[lot(10)], &requirements(&demands), Some(ml(5)));
    assert!(balance.sacks.is_empty() && balance.shortfalls.is_empty() && balance.demands[0].shortfall == ml(10));
}

// ---------------------------------------------------------------------------
// Against linear programmes (microlp through good_lp) and smallest cuts
// ---------------------------------------------------------------------------

fn on_or_before(limit: Limit, day: NaiveDate) -> bool {
    match limit {
        Limit::Always => true,
        Limit::Until(last) => day <= last,
        Limit::Never => false,
    }
}

fn limit(lot: &Lot, demand: &Demand) -> Limit {
    if lot.untreated { demand.eligibility.untreated } else { demand.eligibility.treated }
}

/// Whether a lot may serve a demand, found by looking at every day.
pub fn may((lots, demands): (&[Lot], &[Demand]), l: usize, d: usize) -> bool {
    let limit = limit(&lots[l], &demands[d]);
    (0..=SPAN)
        .map(date)
        .any(|day| holds(lots[l].window, day) && holds(demands[d].window, day) && on_or_before(limit, day))
}

fn bar(numbers: &mut Numbers, (lots, demands): (&mut [Lot], &mut [Demand])) {
    let mut limits = || {
        let early = match numbers.below(4) {
            0 => Limit::Always,
            1 => Limit::Never,
            _ => Limit::Until(date(numbers.below(SPAN))),
        };
        // One in eight is a tea that counts as untreated by itself.
        Eligibility { treated: if numbers.below(8) == 0 { early } else { Limit::Always }, untreated: early }
    };
    demands.iter_mut().for_each(|demand| demand.eligibility = limits());
    lots.iter_mut().for_each(|lot| lot.untreated = numbers.below(2) == 0);
}

#[test]
fn agrees_with_linear_programmes() {
    let mut numbers = Numbers(20_270_525);
    let (mut seen, mut other) = (Seen::default(), 0);
    for case in 0..2_500 {
        let (mut lots, mut demands) = numbers.case();
        bar(&mut numbers, (&mut lots, &mut demands));
        let allocation = allocate(&lots, &demands);
        seen.check((case, &lots, &demands), &|l, d| may((&lots, &demands), l, d), &allocation);
        let (all, open) = free(&lots, &demands);
        other += usize::from(amounts(&allocate(&all, &open)) != amounts(&allocation));
    }
    let Seen { short, split, rounded, later } = seen;
    assert!(other > 500, "{other} cases differ from those without bars");
    assert!(short > 1_000 && split > 500 && rounded > 300 && later > 300, "{short} {split} {rounded} {later}");
}

/// The largest that some demands can get together: the smallest, over all groups of them, of the stock the group can use and what the
/// others ask (max-flow min-cut, Ford and Fulkerson 1956).
fn smallest_cut(lots: &[Lot], asked: &[(usize, u64)], may: &dyn Fn(usize, usize) -> bool) -> u64 {
    let cut = |group: usize| -> u64 {
        let inside = |place: usize| group >> place & 1 == 1;
        let usable = |l: usize| asked.iter().enumerate().any(|(place, (d, _))| inside(place) && may(l, *d));
        let stock: u64 = lots.iter().enumerate().filter(|(l, _)| usable(*l)).map(|(_, lot)| lot.amount.get()).sum();
        let outside = asked.iter().enumerate().filter(|(place, _)| !inside(*place));
        stock + outside.map(|(_, (_, amount))| amount).sum::<u64>()
    };
    (0..1 << asked.len()).map(cut).min().unwrap_or(0)
}

// ---------------------------------------------------------------------------
// The laws
// ---------------------------------------------------------------------------

fn limits() -> impl Strategy<Value = Eligibility> {
    let early = prop_oneof![
        2 => Just(Limit::Always),
        1 => Just(Limit::Never),
        3 => (0..SPAN).prop_map(|day| Limit::Until(date(day))),
    ];
    (early, prop::bool::weighted(0.1))
        .prop_map(|(untreated, tea)| Eligibility { treated: if tea { untreated } else { Limit::Always }, untreated })
}

pub fn cases() -> impl Strategy<Value = (Vec<Lot>, Vec<Demand>)> {
    let marks = proptest::collection::vec(any::<bool>(), 6);
    (scarce(), marks, proptest::collection::vec(limits(), 9)).prop_map(|((mut lots, mut demands), marks, limits)| {
        lots.iter_mut().zip(marks).for_each(|(lot, untreated)| lot.untreated = untreated);
        demands.iter_mut().zip(limits).for_each(|(demand, eligibility)| demand.eligibility = eligibility);
        (lots, demands)
    })
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn no_barred_pair_is_ever_drawn((lots, demands) in cases()) {
        let allocation = allocate(&lots, &demands);
        let mut from_lots = vec![0; lots.len()];
        let mut to_demands = vec![0; demands.len()];
        let mut pairs = BTreeSet::new();
        for draw in &allocation.allotments {
            prop_assert!(may((&lots, &demands), draw.lot, draw.demand));
            prop_assert_eq!(draw.on, lots[draw.lot].window.first.max(demands[draw.demand].window.first));
            if let Some(day) = draw.on {
                prop_assert!(on_or_before(limit(&lots[draw.lot], &demands[draw.demand]), day));
            }
            prop_assert!(draw.amount > ml(0) && pairs.insert((draw.lot, draw.demand)));
            from_lots[draw.lot] += draw.amount.get();
            to_demands[draw.demand] += draw.amount.get();
        }
        prop_assert_eq!(&to_demands, &amounts(&allocation));
        prop_assert!(lots.iter().zip(from_lots).all(|(lot, drawn)| drawn <= lot.amount.get()));
        prop_assert!(demands.iter().zip(to_demands).all(|(demand, given)| given <= demand.amount.get()));
    }

    #[test]
    fn where_nothing_is_barred_all_is_as_without_bars((mut lots, mut demands) in cases(), which in 0..3) {
        // Nothing is barred: no lot is untreated, no demand has a limit, or all limits lie after every day.
        let late = Eligibility { treated: Limit::Always, untreated: Limit::Until(NaiveDate::MAX) };
        lots.iter_mut().for_each(|lot| lot.untreated &= which > 0);
        demands.iter_mut().for_each(|demand| demand.eligibility = match which {
            0 => Eligibility { treated: Limit::Always, ..demand.eligibility },
            1 => FREE,
            _ => late,
        });
        let (all, open) = free(&lots, &demands);
        let (with, without) = (allocate(&lots, &demands), allocate(&all, &open));
        if which < 2 {
            prop_assert_eq!(&with, &without);
        }
        prop_assert_eq!(amounts(&with), amounts(&without));
        prop_assert_eq!(pro_rata_share(&lots, &demands), pro_rata_share(&all, &open));
        if which < 2 {
            let (with, without) = (requirements(&demands), requirements(&open));
            prop_assert_eq!(balance(&lots, &with, Some(ml(50))), balance(&all, &without, Some(ml(50))));
        }
    }

    /// If all lots are untreated, it is as if the demands ended on the limit.
    #[test]
    fn with_one_kind_of_lots_a_limit_is_a_last_day((mut lots, demands) in cases()) {
        lots.iter_mut().for_each(|lot| lot.untreated = true);
        let (all, open) = free(&lots, &demands);
        let cut: Vec<Demand> = open
            .iter()
            .zip(&demands)
            .map(|(demand, limited)| match limited.eligibility.untreated.cut(demand.window) {
                Some(window) => Demand { window, ..*demand },
                None => Demand { amount: ml(0), ..*demand },
            })
            .collect();
        prop_assert_eq!(amounts(&allocate(&lots, &demands)), amounts(&allocate(&all, &cut)));
    }

    /// One pair barred leaves the lot to the others: a demand alone still gets from it what it can.
    #[test]
    fn a_barred_lot_is_barred_from_that_demand_only((lots, demands) in cases(), l in 0..6_usize, d in 0..9_usize) {
        if lots.is_empty() || demands.is_empty() {
            return Ok(());
        }
        let (l, d) = (l % lots.len(), d % demands.len());
        let (all, open) = free(&lots, &demands);
        let (mut lots, mut demands) = (all.clone(), open.clone());
        lots[l].untreated = true;
        demands[d].eligibility = BARRED;
        let allocation = allocate(&lots, &demands);
        prop_assert!(!allocation.allotments.iter().any(|draw| (draw.lot, draw.demand) == (l, d)));
        for (_, demand) in demands.iter().enumerate().filter(|(other, _)| *other != d) {
            let alone = |lots: &[Lot]| allocate(&lots[l..=l], std::slice::from_ref(demand));
            prop_assert_eq!(alone(&lots), alone(&all));
        }
    }

    #[test]
    fn nothing_usable_stays_unused((lots, demands) in cases()) {
        let may = |l: usize, d: usize| may((&lots, &demands), l, d);
        let given = amounts(&allocate(&lots, &demands));
        prop_assert!(can_be_served_by(&lots, &may, &given));
        for (d, demand) in demands.iter().enumerate() {
            if let Some(more) = next_amount(demand, given[d]) {
                let mut wish = given.clone();
                wish[d] = more;
                prop_assert!(!can_be_served_by(&lots, &may, &wish), "{} could have {}", d, more);
            }
        }
    }

    #[test]
    fn the_first_priority_gets_the_smallest_cut((lots, mut demands) in cases()) {
        demands.iter_mut().for_each(|demand| demand.portions = None);
        let given = amounts(&allocate(&lots, &demands));
        let Some(first) = priorities(&demands).first().copied() else { return Ok(()) };
        let class: Vec<usize> = (0..demands.len()).filter(|d| demands[*d].priority == first).collect();
        let asked: Vec<(usize, u64)> = class.iter().map(|d| (*d, demands[*d].amount.get())).collect();
        let most = smallest_cut(&lots, &asked, &|l, d| may((&lots, &demands), l, d));
        prop_assert_eq!(class.iter().map(|d| given[*d]).sum::<u64>(), most);
    }

    #[test]
    fn waiting_is_what_every_day_looked_at_gives((lots, demands) in cases()) {
        let allocation = allocate(&lots, &demands);
        let found = later_supply(&lots, &requirements(&demands), &allocation);
        let allowed = |l: usize, d: usize, day| on_or_before(limit(&lots[l], &demands[d]), day);
        prop_assert_eq!(&found, &day_by_day((&lots, &allowed), &demands, &allocation));
    }

    /// What is moved drew on lots that it may have, and could have drawn on such a lot before.
    #[test]
    fn who_is_moved_could_have_been_served_before((lots, demands) in cases()) {
        let allocation = allocate(&lots, &demands);
        let left = unused(&lots, &allocation);
        for entry in served_later(&lots, &requirements(&demands), &allocation) {
            let (d, demand) = (entry.demand, &demands[entry.demand]);
            prop_assert!(entry.first_possible_on < Some(entry.allocated_on));
            let there = (0..lots.len()).any(|l| {
                let started = lots[l].window.first.max(demand.window.first) == entry.first_possible_on;
                let later = allocation.allotments.iter().any(|draw| draw.lot == l && draw.on >= entry.first_possible_on);
                started && may((&lots, &demands), l, d) && (left[l] > 0 || later)
            });
            prop_assert!(there, "{:?}", entry);
        }
    }

    #[test]
    fn a_minimum_is_kept_over_the_bars((lots, demands) in cases(), percent in 1..101_u32) {
        let mut requirements = requirements(&demands);
        for requirement in requirements.iter_mut().filter(|requirement| requirement.amount() > ml(0)) {
            requirement.minimum = Some(share_of(requirement.amount(), Share::from_fraction(f64::from(percent) / 100.0)));
        }
        let balance = balance(&lots, &requirements, None);
        for (d, (served, requirement)) in balance.demands.iter().zip(&requirements).enumerate() {
            let kept = served.dropped.is_none() && Some(served.allocated) >= requirement.minimum;
            prop_assert!(kept || (served.dropped.is_some() && served.allocated == ml(0)));
            prop_assert!(served.allocations.iter().all(|draw| may((&lots, &demands), draw.lot, d)));
        }
    }

    /// With the sacks, which count as treated, nobody is short who may have anything.
    #[test]
    fn the_sacks_leave_nobody_short((mut lots, demands) in cases(), holds in 1..40_000_u64) {
        let requirements = requirements(&demands);
        let sacks = balance(&lots, &requirements, Some(ml(holds))).sacks;
        for sack in sacks {
            lots.push(Lot { amount: ml(sack.count * holds), window: Window { first: sack.by, last: None }, ..Lot::default() });
        }
        let given = amounts(&allocate(&lots, &demands));
        for (d, demand) in demands.iter().enumerate() {
            if demand.eligibility.treated.cut(demand.window).is_some() {
                prop_assert_eq!(given[d], demand.amount.get());
            }
        }
    }
}

#[test]
fn the_generated_cases_are_worth_checking() {
    let mut runner = TestRunner::new(laws());
    let (mut other, mut exchanged, mut waiting, mut moves) = (0, 0, 0, 0);
    for _ in 0..600 {
        let (lots, demands) = cases().new_tree(&mut runner).unwrap().current();
        let (all, open) = free(&lots, &demands);
        let (with, without) = (allocate(&lots, &demands), allocate(&all, &open));
        other += usize::from(amounts(&with) != amounts(&without));
        let same_pairs = |one: &Allocation, other: &Allocation| {
            one.allotments
                .iter()
                .all(|draw| other.allotments.iter().any(|o| (o.lot, o.demand) == (draw.lot, draw.demand)))
        };
        exchanged += usize::from(amounts(&with) == amounts(&without) && !same_pairs(&with, &without));
        let requirements = requirements(&demands);
        waiting += usize::from(!later_supply(&lots, &requirements, &with).is_empty());
        moves += usize::from(!served_later(&lots, &requirements, &with).is_empty());
    }
    let counts = [other, exchanged, waiting, moves];
    assert!(counts.iter().zip([150, 15, 40, 15]).all(|(count, least)| *count >= least), "{counts:?}");
    assert!(meet(&lot(1), &demand(1, window(1, 2))));
}
