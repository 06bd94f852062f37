//! Values drawn together: their ranks go together as asked, and each keeps its own distribution.
#![expect(clippy::indexing_slicing, clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::span;
use barrowful::garden::assumptions::{Assumption, Correlation, Overrides, Span};
use barrowful::garden::draws::{Run, Variable, Variables, split_triangle};
use barrowful::garden::refusal::Reason;

const RUNS: u32 = 20_000;
const FEED_RATE: Assumption = Assumption::FeedRate;
const DOUBLING: Assumption = Assumption::DoublingTime;
const DENSITY: Assumption = Assumption::BulkDensity;
const YIELD: Assumption = Assumption::SieveYield;

fn pair(first: Assumption, second: Assumption, rank_correlation: f64) -> Correlation {
    Correlation { first, second, rank_correlation }
}

fn overrides(pairs: &[Correlation]) -> Overrides {
    let mut overrides = Overrides::default();
    overrides.correlate(pairs).unwrap();
    overrides
}

/// Three pairs of four values.
fn three() -> Vec<Correlation> {
    vec![pair(FEED_RATE, DOUBLING, -0.7), pair(FEED_RATE, DENSITY, 0.5), pair(YIELD, DENSITY, -0.3)]
}

/// The draws of these variables, a column each.
fn columns(pairs: &[Correlation], variables: &[Variable], seed: u64) -> Vec<Vec<f64>> {
    let overrides = overrides(pairs);
    let mut all = Variables::correlated(overrides.copula());
    for variable in variables {
        let _ = all.take(*variable, span(0.0, 1.0, 2.0));
    }
    (0..variables.len()).map(|column| all.column(seed, column, 20_000)).collect()
}

fn of(assumptions: &[Assumption]) -> Vec<Variable> {
    assumptions.iter().copied().map(Variable::Assumption).collect()
}

/// The rank of each value among all.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    for (rank, place) in (0_u32..).zip(order) {
        ranks[place] = f64::from(rank);
    }
    ranks
}

/// Spearman's correlation of ranks without ties: `1 - 6 sum d^2/(n (n^2 - 1))` (Spearman 1904).
fn rank_correlation(a: &[f64], b: &[f64]) -> f64 {
    let squares: f64 = ranks(a).iter().zip(ranks(b)).map(|(a, b)| (a - b).powi(2)).sum();
    let n = f64::from(u32::try_from(a.len()).unwrap());
    1.0 - 6.0 * squares / (n * (n * n - 1.0))
}

#[test]
fn ranks_of_columns_go_together_as_asked() {
    let four = [FEED_RATE, DOUBLING, DENSITY, YIELD];
    for seed in 1..=3 {
        let drawn = columns(&three(), &of(&four), seed);
        let asked = |a: Assumption, b: Assumption| {
            let same = |pair: &&Correlation| [(a, b), (b, a)].contains(&(pair.first, pair.second));
            three().iter().find(same).map_or(0.0, |pair| pair.rank_correlation)
        };
        for i in 0..4 {
            for j in 0..i {
                let found = rank_correlation(&drawn[i], &drawn[j]);
                assert!((found - asked(four[i], four[j])).abs() < 0.02, "{:?} {:?}: {found}", four[i], four[j]);
            }
        }
    }
    // Near the ends too, where the two are almost one value.
    for strong in [-0.99, -0.9, 0.9, 0.99] {
        let drawn = columns(&[pair(FEED_RATE, DOUBLING, strong)], &of(&[FEED_RATE, DOUBLING]), 1);
        let found = rank_correlation(&drawn[0], &drawn[1]);
        assert!((found - strong).abs() < 0.02, "{strong}: {found}");
    }
}

/// Beside its distribution the value lies within 1.95/sqrt(n), as one in a thousand samples does not (Kolmogorov 1933).
#[test]
fn each_value_keeps_its_own_distribution() {
    for column in columns(&three(), &of(&[FEED_RATE, DOUBLING, DENSITY, YIELD]), 1) {
        let mut sorted = column.clone();
        sorted.sort_by(f64::total_cmp);
        for (i, u) in (0_u32..).zip(&sorted) {
            let even = (f64::from(i) + 0.5) / f64::from(RUNS);
            assert!((u - even).abs() < 1.95 / f64::from(RUNS).sqrt(), "{u} at {even}");
        }
    }
    // The quantiles of the value itself, by the closed form of its range.
    let wide: Span = span(10.0, 20.0, 60.0);
    let overrides = overrides(&three());
    let mut variables = Variables::correlated(overrides.copula());
    let value = variables.take(Variable::Assumption(DOUBLING), wide);
    let mut values = Vec::new();
    variables.each_run(1, (0, RUNS), |_, run: &Run<'_>| values.push(value.of(run)));
    values.sort_by(f64::total_cmp);
    for percent in [5_u32, 10, 25, 50, 75, 90, 95] {
        let found = values[usize::try_from(percent * RUNS / 100).unwrap()];
        let expected = split_triangle(wide, f64::from(percent) / 100.0);
        assert!((found - expected).abs() < 0.5, "{percent} %: {found}, not {expected}");
    }
}

#[test]
fn the_order_of_pairs_and_of_the_two_in_a_pair_changes_nothing() {
    let four = of(&[FEED_RATE, DOUBLING, DENSITY, YIELD]);
    let swapped: Vec<Correlation> =
        three().iter().rev().map(|one| pair(one.second, one.first, one.rank_correlation)).collect();
    assert_eq!(columns(&three(), &four, 5), columns(&swapped, &four, 5));
}

#[test]
fn a_value_keeps_its_draws_whatever_else_is_drawn() {
    let alone = columns(&three(), &of(&[DOUBLING]), 5);
    let beside = columns(&three(), &of(&[YIELD, DOUBLING, FEED_RATE, Assumption::Moisture]), 5);
    assert_eq!(alone[0], beside[1]);
    // What goes together with nothing keeps those that it has without correlations.
    let moisture = columns(&[], &of(&[Assumption::Moisture]), 5);
    assert_eq!(moisture[0], beside[3]);
    let stock = columns(&[], &[Variable::Stock(2)], 5);
    assert_eq!(stock, columns(&three(), &[Variable::Stock(2)], 5));
}

#[test]
fn without_correlations_and_with_those_of_others_draws_are_the_same_bits() {
    let bits = |columns: Vec<Vec<f64>>| -> Vec<u64> { columns.concat().into_iter().map(f64::to_bits).collect() };
    let two = of(&[FEED_RATE, DOUBLING]);
    let mut plain = Variables::default();
    for variable in &two {
        let _ = plain.take(*variable, span(0.0, 1.0, 2.0));
    }
    let independent = bits((0..2).map(|column| plain.column(9, column, 20_000)).collect());
    assert_eq!(bits(columns(&[], &two, 9)), independent);
    assert_eq!(bits(columns(&[pair(DENSITY, YIELD, 0.8)], &two, 9)), independent);
    assert_ne!(bits(columns(&[pair(FEED_RATE, DOUBLING, 0.8)], &two, 9)), independent);
}

#[test]
fn runs_drawn_together_do_not_depend_on_how_they_are_split() {
    let overrides = overrides(&three());
    let mut variables = Variables::correlated(overrides.copula());
    for variable in of(&[FEED_RATE, DOUBLING, DENSITY]) {
        let _ = variables.take(variable, span(0.0, 1.0, 2.0));
    }
    let rows = |split: &[(u32, u32)]| {
        let mut rows = Vec::new();
        split.iter().for_each(|part| variables.each_run(7, *part, |_, run| rows.push(run.row().to_vec())));
        rows
    };
    assert_eq!(rows(&[(0, 100)]), rows(&[(0, 1), (1, 36), (37, 63)]));
}

/// The ranks of three values cannot all go against each other: for equal correlations r of three normal values, r is at least -1/2.
#[test]
fn what_cannot_be_is_refused_with_everything_that_is_wrong() {
    let wrong = |pairs: &[Correlation]| Overrides::default().correlate(pairs).unwrap_err();
    let all_against = |r: f64| [pair(FEED_RATE, DOUBLING, r), pair(FEED_RATE, DENSITY, r), pair(DOUBLING, DENSITY, r)];
    let found = wrong(&all_against(-0.6));
    assert_eq!((found.len(), found[0].0, found[0].1.reason), (1, None, Reason::InconsistentAssumptions));
    // 6/pi asin(1/4) = 0.4826: the rank correlation of normal values whose own is 1/2.
    assert!(Overrides::default().correlate(&all_against(-0.482)).is_ok());
    assert!(Overrides::default().correlate(&all_against(-0.483)).is_err());
    let found = wrong(&[
        pair(FEED_RATE, FEED_RATE, 0.2),
        pair(FEED_RATE, DOUBLING, 0.2),
        pair(DOUBLING, FEED_RATE, 0.3),
        pair(DENSITY, YIELD, 1.0),
        pair(DENSITY, DOUBLING, f64::NAN),
    ]);
    let places: Vec<Option<usize>> = found.iter().map(|(place, _)| *place).collect();
    assert_eq!(places, [Some(0), Some(2), Some(3), Some(4)]);
    assert_eq!(found[1].1.reason, Reason::InconsistentAssumptions);
    assert_eq!((found[2].1.reason, found[2].1.field), (Reason::OutOfRange, Some("rank_correlation")));
}
