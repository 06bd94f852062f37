//! The sharing of castings: its answers against a second way to find them, and
//! its laws on generated cases.
//!
//! The shares are checked against an independent linear-programming solver
//! (`microlp` through `good_lp`), the laws on cases made by `proptest`.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test may stop at whatever is wrong"
)]

use barrowful::garden::balances::allocation::{
    Allocation, Allotment, Demand, Fraction, Lot, Window, allocate, pro_rata_share, shortfalls,
};
use barrowful::garden::balances::ledger::{LotState, first_shortfall_on, ledger, sacks_to_close};
use barrowful::garden::units::Millilitres;
use chrono::{Days, NaiveDate};
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, microlp, variable};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngSeed, TestRunner};
use std::collections::BTreeSet;

/// All dates of the cases lie within so many days.
pub const SPAN: u64 = 40;

/// How far the solver's answers, in floating point, may be from the truth.
const NOISE: f64 = 1e-4;

pub fn ml(amount: u64) -> Millilitres {
    Millilitres::new(amount)
}

pub fn date(day: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 3, 1).unwrap() + Days::new(day)
}

/// Whether the two ranges share a day, found by looking at every day.
pub fn meet(lot: &Lot, demand: &Demand) -> bool {
    let holds = |window: Window, day: NaiveDate| {
        window.first.is_none_or(|first| first <= day) && window.last.is_none_or(|last| day <= last)
    };
    (0..=SPAN).any(|day| holds(lot.window, date(day)) && holds(demand.window, date(day)))
}

pub fn amounts(allocation: &Allocation) -> Vec<u64> {
    allocation.given.iter().map(|given| given.get()).collect()
}

pub fn priorities(demands: &[Demand]) -> BTreeSet<u8> {
    demands.iter().map(|demand| demand.priority).collect()
}

/// The total given to all priorities up to this one.
pub fn total_up_to(demands: &[Demand], allocation: &Allocation, priority: u8) -> u64 {
    let pairs = demands.iter().zip(amounts(allocation));
    pairs.filter(|(demand, _)| demand.priority <= priority).map(|(_, given)| given).sum()
}

// ---------------------------------------------------------------------------
// The linear programmes: checked against an independent linear-programming
// solver (microlp through good_lp)
// ---------------------------------------------------------------------------

/// A small seeded generator of numbers.
pub struct Numbers(pub u64);

impl Numbers {
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % limit
    }

    /// A range of some length that starts on one of a few evenly spaced days.
    fn window(&mut self, longest: u64, spacing: u64) -> Window {
        let first = spacing * self.below((SPAN - longest).div_ceil(spacing));
        let last = first + self.below(longest + 1);
        let (open_first, open_last) = (self.below(8) == 0, self.below(5) == 0);
        Window { first: (!open_first).then(|| date(first)), last: (!open_last).then(|| date(last)) }
    }

    /// Up to six lots and seven demands. One case in eight has no dates at all,
    /// the others have short, middling or long ranges. One to three priorities.
    pub fn case(&mut self) -> (Vec<Lot>, Vec<Demand>) {
        let kinds = [(0, 10), (3, 15), (8, 5), (15, 1), (30, 1)];
        let (longest, spacing) = kinds[self.below(5) as usize];
        let undated = self.below(8) == 0;
        let ranks = 1 + self.below(3);
        let scale = [12, 150, 2_000][self.below(3) as usize];
        let window = |numbers: &mut Self| {
            if undated { Window::default() } else { numbers.window(longest, spacing) }
        };
        let mut lots = Vec::new();
        for _ in 0..=self.below(6) {
            lots.push(Lot { amount: ml(self.below(scale)), window: window(self), ..Lot::default() });
        }
        let mut demands = Vec::new();
        for _ in 0..=self.below(7) {
            demands.push(Demand {
                amount: ml(self.below(scale)),
                window: window(self),
                priority: 1 + self.below(ranks) as u8,
                portions: None,
                eligibility: Default::default(),
            });
        }
        (lots, demands)
    }
}

/// What a programme should make as large as possible.
enum Goal<'a> {
    /// The common share of these demands, at most one.
    Share(&'a [usize]),
    /// What these demands get together.
    Total(&'a [usize]),
}

/// Which lot, by its place, may serve which demand.
pub type Pairs<'a> = &'a dyn Fn(usize, usize) -> bool;

/// Solves one programme: each demand gets at least `least` and at most what it
/// asks. Answers the goal and what each demand gets.
fn solve((lots, demands): (&[Lot], &[Demand]), may: Pairs<'_>, least: &[f64], goal: &Goal<'_>) -> (f64, Vec<f64>) {
    let mut variables = ProblemVariables::new();
    let share = variables.add(variable().min(0).max(1));
    let mut flows: Vec<(usize, usize, Variable)> = Vec::new();
    for l in 0..lots.len() {
        for d in 0..demands.len() {
            if may(l, d) {
                flows.push((l, d, variables.add(variable().min(0))));
            }
        }
    }
    let sum = |keep: &dyn Fn(usize, usize) -> bool| -> Expression {
        let kept = flows.iter().filter(|(l, d, _)| keep(*l, *d));
        kept.map(|(_, _, flow)| *flow).sum()
    };
    let (objective, sharing) = match goal {
        Goal::Share(demands) => (Expression::from(share), *demands),
        Goal::Total(of) => (sum(&|_, d| of.contains(&d)), &[][..]),
    };
    let mut model = variables.maximise(objective.clone()).using(microlp);
    for (l, lot) in lots.iter().enumerate() {
        model = model.with(constraint!(sum(&|from, _| from == l) <= lot.amount.get() as f64));
    }
    for (d, demand) in demands.iter().enumerate() {
        let wanted = demand.amount.get() as f64;
        let served = sum(&|_, to| to == d);
        model = model.with(constraint!(served.clone() <= wanted));
        if least[d] > 0.0 {
            model = model.with(constraint!(served.clone() >= least[d]));
        }
        if sharing.contains(&d) {
            model = model.with(constraint!(served >= wanted * share));
        }
    }
    let solution = model.solve().expect("the programme has a solution");
    let served = |d: usize| solution.eval(sum(&|_, to| to == d));
    (solution.eval(objective), (0..demands.len()).map(served).collect())
}

/// What each demand gets in the lexicographic max-min, priority by priority,
/// the largest total of each priority, and the number of different shares.
pub fn reference(lots: &[Lot], demands: &[Demand], may: Pairs<'_>) -> (Vec<f64>, Vec<f64>, usize) {
    let solve = |least: &[f64], goal: &Goal<'_>| solve((lots, demands), may, least, goal);
    let mut exact = vec![0.0; demands.len()];
    let mut totals = Vec::new();
    let mut levels = 0;
    // Promises are kept up to the solver's precision.
    let least = |exact: &[f64]| -> Vec<f64> { exact.iter().map(|x| x - 1e-6).collect() };
    for priority in priorities(demands) {
        let class: Vec<usize> = (0..demands.len()).filter(|&d| demands[d].priority == priority).collect();
        totals.push(solve(&least(&exact), &Goal::Total(&class)).0);
        let mut free: Vec<usize> = class.into_iter().filter(|&d| demands[d].amount.get() > 0).collect();
        while !free.is_empty() {
            levels += 1;
            let (share, first) = solve(&least(&exact), &Goal::Share(&free));
            let at_share = |d: usize| share * demands[d].amount.get() as f64;
            let mut floor = exact.clone();
            for &d in &free {
                floor[d] = at_share(d);
            }
            let mut risen: BTreeSet<usize> = BTreeSet::new();
            let note = |served: &[f64], risen: &mut BTreeSet<usize>| {
                risen.extend(free.iter().filter(|d| served[**d] > at_share(**d) + NOISE));
            };
            note(&first, &mut risen);
            for &d in &free {
                if !risen.contains(&d) && share < 1.0 - 1e-9 {
                    note(&solve(&least(&floor), &Goal::Total(&[d])).1, &mut risen);
                }
            }
            assert!(risen.len() < free.len(), "somebody must be held back");
            for &d in free.iter().filter(|d| !risen.contains(d)) {
                exact[d] = at_share(d);
            }
            free.retain(|d| risen.contains(d));
        }
    }
    (exact, totals, levels)
}

/// In how many cases somebody was short, a priority had different shares, and how many amounts were rounded, or of a later
/// demand served in part.
#[derive(Default)]
pub struct Seen {
    pub short: usize,
    pub split: usize,
    pub rounded: usize,
    pub later: usize,
}

impl Seen {
    /// Compares an allocation with the linear programmes over the pairs that may meet.
    pub fn check(
        &mut self,
        (case, lots, demands): (usize, &[Lot], &[Demand]),
        may: Pairs<'_>,
        allocation: &Allocation,
    ) {
        let (exact, totals, levels) = reference(lots, demands, may);
        let given = amounts(allocation);
        for (priority, total) in priorities(demands).into_iter().zip(totals) {
            let pairs = demands.iter().zip(&given);
            let class = pairs.filter(|(demand, _)| demand.priority == priority);
            let sum: u64 = class.map(|(_, given)| *given).sum();
            assert!((sum as f64 - total).abs() < 0.01, "case {case}: {sum} is not {total}");
        }
        for (d, demand) in demands.iter().enumerate() {
            let (given, exact) = (given[d] as f64, exact[d]);
            assert!((given - exact).abs() < 1.0 + NOISE, "case {case}: {given} for {exact}");
            let partly = exact > NOISE && exact < demand.amount.get() as f64 - NOISE;
            self.rounded += usize::from(partly && (exact - exact.round()).abs() > NOISE);
            self.later += usize::from(partly && demand.priority > 1);
        }
        self.short += usize::from(given.iter().zip(demands).any(|(g, d)| *g < d.amount.get()));
        self.split += usize::from(levels > priorities(demands).len());
    }
}

#[test]
fn agrees_with_linear_programmes() {
    let mut numbers = Numbers(20_270_301);
    let mut seen = Seen::default();
    for case in 0..2_500 {
        let (lots, demands) = numbers.case();
        let may = |l: usize, d: usize| meet(&lots[l], &demands[d]);
        seen.check((case, &lots, &demands), &may, &allocate(&lots, &demands));
    }
    let Seen { short, split, rounded, later } = seen;
    assert!(short > 1_000, "{short} cases were short");
    assert!(split > 500, "{split} cases had different shares in a priority");
    assert!(rounded > 500, "{rounded} amounts were rounded");
    assert!(later > 500, "{later} later demands were served in part");
}

#[test]
fn even_share_agrees_with_linear_programmes() {
    let mut numbers = Numbers(7);
    let mut between = 0;
    for case in 0..500 {
        let (lots, demands) = numbers.case();
        let asking: Vec<usize> = (0..demands.len()).filter(|&d| demands[d].amount.get() > 0).collect();
        let Some(share) = pro_rata_share(&lots, &demands) else {
            assert!(asking.is_empty(), "case {case}");
            continue;
        };
        let none = vec![0.0; demands.len()];
        let may = |l: usize, d: usize| meet(&lots[l], &demands[d]);
        let (exact, _) = solve((&lots, &demands), &may, &none, &Goal::Share(&asking));
        let found = share.numerator() as f64 / share.denominator() as f64;
        assert!((found - exact).abs() < 1e-6, "case {case}: {found} is not {exact}");
        between += usize::from(share > Fraction::ZERO && share < Fraction::ONE);
    }
    assert!(between > 100, "{between} shares lay between nothing and all");
}

// ---------------------------------------------------------------------------
// The laws
// ---------------------------------------------------------------------------

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
    ProptestConfig {
        cases: 600,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(2027),
        ..ProptestConfig::default()
    }
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

fn move_by_a_week(window: Window) -> Window {
    let later = |day: NaiveDate| day + Days::new(7);
    Window { first: window.first.map(later), last: window.last.map(later) }
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn nobody_gets_more_than_they_ask((lots, demands) in scarce()) {
        let allocation = allocate(&lots, &demands);
        prop_assert_eq!(allocation.given.len(), demands.len());
        for (demand, given) in demands.iter().zip(&allocation.given) {
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
            let pair = (before.given[d].get(), after.given[place].get());
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
        for (one, two) in single.given.iter().zip(&double.given) {
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
        for (demand, given) in demands.iter().zip(&closed.given) {
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
