//! The shares are those of linear programmes, solved by an independent solver (`microlp` through `good_lp`).

use super::{Pairs, SPAN, amounts, date, meet, ml, priorities};
use barrowful::garden::balances::allocation::{Allocation, Demand, Fraction, Lot, Window, allocate, pro_rata_share};
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, microlp, variable};
use std::collections::BTreeSet;

/// How far the solver's answers, in floating point, may be from the truth.
const NOISE: f64 = 1e-4;

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
fn reference(lots: &[Lot], demands: &[Demand], may: Pairs<'_>) -> (Vec<f64>, Vec<f64>, usize) {
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
