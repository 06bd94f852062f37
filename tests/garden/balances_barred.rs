//! Sharing where some lots are barred from some demands: worked examples, the same by linear programmes and by smallest cuts, and the
//! laws.

#![expect(clippy::indexing_slicing, reason = "a test may stop at whatever is wrong")]

use crate::balances::{
    Numbers, SPAN, Seen, amounts, can_be_served_by, date, laws, meet, ml, next_amount, priorities, scarce,
};
use crate::balances_shift::{day_by_day, holds, unused, wants};
use barrowful::garden::balances::allocation::{
    Allocation, Bars, Demand, Fraction, Limits, Lot, Window, allocate, allocate_barred, even_share, even_share_barred,
};
use barrowful::garden::balances::least::share_of;
use barrowful::garden::balances::shift::{moved_barred, waits_barred};
use barrowful::garden::balances::{balance, balance_barred};
use barrowful::garden::cautions::waiting::Limit;
use barrowful::garden::units::Share;
use chrono::NaiveDate;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeSet;

fn window(first: u64, last: u64) -> Window {
    Window { first: Some(date(first)), last: Some(date(last)) }
}

fn lot(amount: u64) -> Lot {
    Lot { amount: ml(amount), window: Window::default() }
}

fn demand(amount: u64, window: Window) -> Demand {
    Demand { amount: ml(amount), window, priority: 1, portions: None }
}

/// Not on lots with a wait.
const BARRED: Limits = Limits { clean: Limit::Always, waiting: Limit::Never };
const FREE: Limits = Limits { clean: Limit::Always, waiting: Limit::Always };

fn until(day: u64) -> Limits {
    Limits { clean: Limit::Always, waiting: Limit::Until(date(day)) }
}

fn draws(allocation: &Allocation) -> Vec<(usize, usize, u64)> {
    allocation.draws.iter().map(|draw| (draw.lot, draw.demand, draw.amount.get())).collect()
}

/// 30 untreated and 20 treated. Radishes may not have the untreated ones, squash may: squash leaves the treated ones to the radishes.
#[test]
fn the_treated_lot_goes_to_the_early_crop() {
    let lots = [lot(20), lot(30)];
    let demands = [demand(25, window(1, 1)), demand(20, window(1, 1))];
    let bars = Bars { lots: vec![false, true], demands: vec![FREE, BARRED] };
    // Without the bar, squash comes first in the list and draws on the first lot.
    assert_eq!(draws(&allocate(&lots, &demands)), [(0, 0, 20), (1, 0, 5), (1, 1, 20)]);
    assert_eq!(draws(&allocate_barred(&lots, &demands, &bars)), [(1, 0, 25), (0, 1, 20)]);
    assert_eq!(even_share_barred(&lots, &demands, &bars), Some(Fraction::ONE));
}

/// With only 10 treated, the radishes get 10 of 20 and the squash all of its 25: nothing is gained by giving it less.
#[test]
fn who_is_barred_may_get_less_than_the_others() {
    let lots = [lot(10), lot(30)];
    let demands = [demand(25, window(1, 1)), demand(20, window(1, 1))];
    let bars = Bars { lots: vec![false, true], demands: vec![FREE, BARRED] };
    assert_eq!(amounts(&allocate_barred(&lots, &demands, &bars)), [25, 10]);
    assert_eq!(even_share_barred(&lots, &demands, &bars), Fraction::new(1, 2));
    assert_eq!(even_share(&lots, &demands), Fraction::new(40, 45));
}

/// The untreated lot is ready on day 10. A bed that may have it up to day 9 gets nothing, one that may up to day 10 all.
#[test]
fn the_limit_is_the_last_day() {
    let lots = [Lot { amount: ml(10), window: Window { first: Some(date(10)), last: None } }];
    let demands = [demand(10, window(1, 20))];
    for (day, given) in [(9, 0), (10, 10)] {
        let bars = Bars { lots: vec![true], demands: vec![until(day)] };
        let allocation = allocate_barred(&lots, &demands, &bars);
        assert_eq!(amounts(&allocation), [given]);
        assert!(allocation.draws.iter().all(|draw| draw.on == Some(date(10))));
    }
}

/// Lots and demands without dates: nothing that may never be had is given, and an open lot is not taken for one before all days.
#[test]
fn never_is_never_without_dates_too() {
    let bars = Bars { lots: vec![true], demands: vec![BARRED] };
    assert_eq!(amounts(&allocate_barred(&[lot(10)], &[demand(10, Window::default())], &bars)), [0]);
    let none = Limits { clean: Limit::Never, waiting: Limit::Never };
    let bars = Bars { lots: vec![false], demands: vec![none] };
    let demands = [demand(10, Window::default())];
    assert_eq!(amounts(&allocate_barred(&[lot(10)], &demands, &bars)), [0]);
    assert_eq!(even_share_barred(&[lot(10)], &demands, &bars), Some(Fraction::ZERO));
    // Sacks and preparing would not help a tea that may never be had.
    let balance = balance_barred((&[lot(10)], &bars), &wants(&demands), Some(ml(5)));
    assert!(balance.sacks.is_empty() && balance.missing.is_empty() && balance.demands[0].short == ml(10));
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

fn limit(bars: &Bars, l: usize, d: usize) -> Limit {
    if bars.lots[l] { bars.demands[d].waiting } else { bars.demands[d].clean }
}

/// Whether a lot may serve a demand, found by looking at every day.
fn may((lots, demands, bars): (&[Lot], &[Demand], &Bars), l: usize, d: usize) -> bool {
    let limit = limit(bars, l, d);
    (0..=SPAN)
        .map(date)
        .any(|day| holds(lots[l].window, day) && holds(demands[d].window, day) && on_or_before(limit, day))
}

fn random(numbers: &mut Numbers, (lots, demands): (&[Lot], &[Demand])) -> Bars {
    let mut limits = || {
        let early = match numbers.below(4) {
            0 => Limit::Always,
            1 => Limit::Never,
            _ => Limit::Until(date(numbers.below(SPAN))),
        };
        // One in eight is a tea that counts as untreated by itself.
        Limits { clean: if numbers.below(8) == 0 { early } else { Limit::Always }, waiting: early }
    };
    let demands = demands.iter().map(|_| limits()).collect();
    Bars { lots: lots.iter().map(|_| numbers.below(2) == 0).collect(), demands }
}

#[test]
fn agrees_with_linear_programmes() {
    let mut numbers = Numbers(20_270_525);
    let (mut seen, mut other) = (Seen::default(), 0);
    for case in 0..2_500 {
        let (lots, demands) = numbers.case();
        let bars = random(&mut numbers, (&lots, &demands));
        let allocation = allocate_barred(&lots, &demands, &bars);
        seen.check((case, &lots, &demands), &|l, d| may((&lots, &demands, &bars), l, d), &allocation);
        other += usize::from(amounts(&allocate(&lots, &demands)) != amounts(&allocation));
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

fn limits() -> impl Strategy<Value = Limits> {
    let early = prop_oneof![
        2 => Just(Limit::Always),
        1 => Just(Limit::Never),
        3 => (0..SPAN).prop_map(|day| Limit::Until(date(day))),
    ];
    (early, prop::bool::weighted(0.1))
        .prop_map(|(waiting, tea)| Limits { clean: if tea { waiting } else { Limit::Always }, waiting })
}

fn cases() -> impl Strategy<Value = (Vec<Lot>, Vec<Demand>, Bars)> {
    let marks = proptest::collection::vec(any::<bool>(), 6);
    (scarce(), marks, proptest::collection::vec(limits(), 9)).prop_map(|((lots, demands), mut marks, mut limits)| {
        marks.truncate(lots.len());
        limits.truncate(demands.len());
        (lots, demands, Bars { lots: marks, demands: limits })
    })
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn no_barred_pair_is_ever_drawn((lots, demands, bars) in cases()) {
        let allocation = allocate_barred(&lots, &demands, &bars);
        let mut from_lots = vec![0; lots.len()];
        let mut to_demands = vec![0; demands.len()];
        let mut pairs = BTreeSet::new();
        for draw in &allocation.draws {
            prop_assert!(may((&lots, &demands, &bars), draw.lot, draw.demand));
            prop_assert_eq!(draw.on, lots[draw.lot].window.first.max(demands[draw.demand].window.first));
            if let Some(day) = draw.on {
                prop_assert!(on_or_before(limit(&bars, draw.lot, draw.demand), day));
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
    fn where_nothing_is_barred_all_is_as_without_bars((lots, demands, bars) in cases(), which in 0..3) {
        // Bars that bar nothing: no lot has a wait, no demand a limit, or all limits lie after every day.
        let late = Limits { clean: Limit::Always, waiting: Limit::Until(NaiveDate::MAX) };
        let open: Vec<Limits> = bars.demands.iter().map(|limits| Limits { clean: Limit::Always, ..*limits }).collect();
        let bars = match which {
            0 => Bars { lots: vec![false; lots.len()], demands: open },
            1 => Bars { demands: vec![FREE; demands.len()], ..bars },
            _ => Bars { demands: vec![late; demands.len()], ..bars },
        };
        let (with, without) = (allocate_barred(&lots, &demands, &bars), allocate(&lots, &demands));
        if which < 2 {
            prop_assert_eq!(&with, &without);
        }
        prop_assert_eq!(amounts(&with), amounts(&without));
        prop_assert_eq!(even_share_barred(&lots, &demands, &bars), even_share(&lots, &demands));
        if which < 2 {
            let wants = wants(&demands);
            prop_assert_eq!(balance_barred((&lots, &bars), &wants, Some(ml(50))), balance(&lots, &wants, Some(ml(50))));
        }
    }

    /// If all lots have a wait, it is as if the demands ended on the limit.
    #[test]
    fn with_one_kind_of_lots_a_limit_is_a_last_day((lots, demands, bars) in cases()) {
        let bars = Bars { lots: vec![true; lots.len()], ..bars };
        let cut: Vec<Demand> = demands
            .iter()
            .zip(&bars.demands)
            .map(|(demand, limits)| match limits.waiting.cut(demand.window) {
                Some(window) => Demand { window, ..*demand },
                None => Demand { amount: ml(0), ..*demand },
            })
            .collect();
        prop_assert_eq!(amounts(&allocate_barred(&lots, &demands, &bars)), amounts(&allocate(&lots, &cut)));
    }

    /// One pair barred leaves the lot to the others: a demand alone still gets from it what it can.
    #[test]
    fn a_barred_lot_is_barred_from_that_demand_only((lots, demands, _) in cases(), l in 0..6_usize, d in 0..9_usize) {
        if lots.is_empty() || demands.is_empty() {
            return Ok(());
        }
        let (l, d) = (l % lots.len(), d % demands.len());
        let mut bars = Bars { lots: vec![false; lots.len()], demands: vec![FREE; demands.len()] };
        bars.lots[l] = true;
        bars.demands[d] = BARRED;
        let all = allocate_barred(&lots, &demands, &bars);
        prop_assert!(!all.draws.iter().any(|draw| (draw.lot, draw.demand) == (l, d)));
        for (other, demand) in demands.iter().enumerate().filter(|(other, _)| *other != d) {
            let alone = |bars: &Bars| {
                let one = Bars { lots: vec![bars.lots[l]], demands: vec![bars.demands[other]] };
                allocate_barred(&lots[l..=l], std::slice::from_ref(demand), &one)
            };
            prop_assert_eq!(alone(&bars), allocate(&lots[l..=l], std::slice::from_ref(demand)));
        }
    }

    #[test]
    fn nothing_usable_stays_unused((lots, demands, bars) in cases()) {
        let may = |l: usize, d: usize| may((&lots, &demands, &bars), l, d);
        let given = amounts(&allocate_barred(&lots, &demands, &bars));
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
    fn the_first_priority_gets_the_smallest_cut((lots, mut demands, bars) in cases()) {
        demands.iter_mut().for_each(|demand| demand.portions = None);
        let given = amounts(&allocate_barred(&lots, &demands, &bars));
        let Some(first) = priorities(&demands).first().copied() else { return Ok(()) };
        let class: Vec<usize> = (0..demands.len()).filter(|d| demands[*d].priority == first).collect();
        let asked: Vec<(usize, u64)> = class.iter().map(|d| (*d, demands[*d].amount.get())).collect();
        let most = smallest_cut(&lots, &asked, &|l, d| may((&lots, &demands, &bars), l, d));
        prop_assert_eq!(class.iter().map(|d| given[*d]).sum::<u64>(), most);
    }

    #[test]
    fn waiting_is_what_every_day_looked_at_gives((lots, demands, bars) in cases()) {
        let allocation = allocate_barred(&lots, &demands, &bars);
        let found = waits_barred((&lots, &bars), &wants(&demands), &allocation);
        let allowed = |l: usize, d: usize, day| on_or_before(limit(&bars, l, d), day);
        prop_assert_eq!(&found, &day_by_day((&lots, &allowed), &demands, &allocation));
    }

    /// What is moved drew on lots that it may have, and could have drawn on such a lot before.
    #[test]
    fn who_is_moved_could_have_been_served_before((lots, demands, bars) in cases()) {
        let allocation = allocate_barred(&lots, &demands, &bars);
        let left = unused(&lots, &allocation);
        for entry in moved_barred((&lots, &bars), &wants(&demands), &allocation) {
            let (d, demand) = (entry.demand, &demands[entry.demand]);
            prop_assert!(entry.first_possible < Some(entry.drawn_on));
            let there = (0..lots.len()).any(|l| {
                let begun = lots[l].window.first.max(demand.window.first) == entry.first_possible;
                let later = allocation.draws.iter().any(|draw| draw.lot == l && draw.on >= entry.first_possible);
                begun && may((&lots, &demands, &bars), l, d) && (left[l] > 0 || later)
            });
            prop_assert!(there, "{:?}", entry);
        }
    }

    #[test]
    fn a_least_is_kept_over_the_bars((lots, demands, bars) in cases(), percent in 1..101_u32) {
        let mut wants = wants(&demands);
        for want in wants.iter_mut().filter(|want| want.amount() > ml(0)) {
            want.least = Some(share_of(want.amount(), Share::from_fraction(f64::from(percent) / 100.0)));
        }
        let balance = balance_barred((&lots, &bars), &wants, None);
        for (d, (served, want)) in balance.demands.iter().zip(&wants).enumerate() {
            let kept = served.dropped.is_none() && Some(served.given) >= want.least;
            prop_assert!(kept || (served.dropped.is_some() && served.given == ml(0)));
            prop_assert!(served.draws.iter().all(|draw| may((&lots, &demands, &bars), draw.lot, d)));
        }
    }

    /// With the sacks, which have no wait, nobody is short who may have anything.
    #[test]
    fn the_sacks_leave_nobody_short((mut lots, demands, mut bars) in cases(), holds in 1..40_000_u64) {
        let wants = wants(&demands);
        let sacks = balance_barred((&lots, &bars), &wants, Some(ml(holds))).sacks;
        for sack in sacks {
            lots.push(Lot { amount: ml(sack.count * holds), window: Window { first: sack.by, last: None } });
            bars.lots.push(false);
        }
        let given = amounts(&allocate_barred(&lots, &demands, &bars));
        for (d, demand) in demands.iter().enumerate() {
            if bars.demands[d].clean.cut(demand.window).is_some() {
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
        let (lots, demands, bars) = cases().new_tree(&mut runner).unwrap().current();
        let (with, without) = (allocate_barred(&lots, &demands, &bars), allocate(&lots, &demands));
        other += usize::from(amounts(&with) != amounts(&without));
        let same_pairs = |one: &Allocation, other: &Allocation| {
            one.draws.iter().all(|draw| other.draws.iter().any(|o| (o.lot, o.demand) == (draw.lot, draw.demand)))
        };
        exchanged += usize::from(amounts(&with) == amounts(&without) && !same_pairs(&with, &without));
        let wants = wants(&demands);
        waiting += usize::from(!waits_barred((&lots, &bars), &wants, &with).is_empty());
        moves += usize::from(!moved_barred((&lots, &bars), &wants, &with).is_empty());
    }
    let counts = [other, exchanged, waiting, moves];
    assert!(counts.iter().zip([150, 15, 40, 15]).all(|(count, least)| *count >= least), "{counts:?}");
    assert!(meet(&lot(1), &demand(1, window(1, 2))));
}
