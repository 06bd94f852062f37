//! Chance against closed forms and published values: the split triangle, the uniform draws, percentiles, shares of variance.

#![expect(clippy::as_conversions, reason = "small counts")]

use crate::support::{assert_near, span};
use barrowful::garden::assumptions::{Assumption, Span};
use barrowful::garden::draws::{
    BINS, BINS_BELOW_1000, Variable, Variables, bins, first_order_share, percentile, percentiles, shown_chance,
    split_triangle,
};
use std::f64::consts::PI;

/// Largest distance of an empirical to the true distribution, times the root of the count, that one in a thousand samples passes:
/// `2 exp(-2 x^2) = 0.001` (Kolmogorov 1933; tabled by Smirnov 1948 as 1.95).
const KOLMOGOROV: f64 = 1.9495;

/// The distribution function of the split triangle: `((x - low)/(m - low))^2 / 2` up to the likely value `m`, and
/// `1 - ((high - x)/(high - m))^2 / 2` from there on.
pub fn below(span: Span, x: f64) -> f64 {
    let Span { low, likely, high } = span;
    if x <= low {
        0.0
    } else if x < likely {
        ((x - low) / (likely - low)).powi(2) / 2.0
    } else if x < high {
        1.0 - ((high - x) / (high - likely)).powi(2) / 2.0
    } else {
        1.0
    }
}

/// So many draws of one span, through a run's values.
fn drawn(span: Span, seed: u64, runs: u32) -> Vec<f64> {
    let mut variables = Variables::default();
    let value = variables.take(Variable::Stock(0), span);
    let mut values = Vec::new();
    variables.each_run(seed, (0, runs), |_, run| values.push(value.of(run)));
    values
}

fn distance(sorted: &[f64], cdf: impl Fn(f64) -> f64) -> f64 {
    let n = sorted.len() as f64;
    let each = sorted.iter().enumerate().map(|(i, x)| {
        let at = cdf(*x);
        (at - i as f64 / n).max((i + 1) as f64 / n - at)
    });
    each.fold(0.0, f64::max)
}

#[test]
fn the_split_triangle_by_hand() {
    let wide = span(10.0, 20.0, 60.0);
    // sqrt(1/2) = 0.70710678: the quartiles lie that far from the ends.
    assert_near(split_triangle(wide, 0.25), 10.0 + 10.0 * 0.707_106_781_186_547_5, 1e-14);
    assert_near(split_triangle(wide, 0.75), 60.0 - 40.0 * 0.707_106_781_186_547_5, 1e-14);
    assert_eq!([0.0, 0.5, 1.0].map(|u| split_triangle(wide, u)), [10.0, 20.0, 60.0]);
    for step in 0..=1_000 {
        let u = f64::from(step) / 1_000.0;
        assert!((below(wide, split_triangle(wide, u)) - u).abs() < 1e-14);
    }
    // A side without width.
    for (one, u, x) in
        [(span(5.0, 5.0, 9.0), 0.3, 5.0), (span(1.0, 5.0, 5.0), 0.9, 5.0), (Span::exactly(5.0), 0.1, 5.0)]
    {
        assert_eq!(split_triangle(one, u), x);
    }
}

#[test]
fn twenty_thousand_draws_follow_the_closed_form() {
    for (seed, wide) in [(1, span(10.0, 20.0, 60.0)), (2, span(0.25, 0.4, 0.6)), (3, span(450.0, 600.0, 900.0))] {
        let mut values = drawn(wide, seed, 20_000);
        values.sort_by(f64::total_cmp);
        let found = distance(&values, |x| below(wide, x)) * 20_000_f64.sqrt();
        assert!(found < KOLMOGOROV, "{found}");
        // The mean of the two triangles: (low + 4 likely + high)/6. Three standard errors; no spread is above half the width.
        let mean = values.iter().sum::<f64>() / 20_000.0;
        let expected = (wide.low + 4.0 * wide.likely + wide.high) / 6.0;
        assert!((mean - expected).abs() < 3.0 * (wide.high - wide.low) / 2.0 / 20_000_f64.sqrt(), "{mean} {expected}");
    }
}

/// The check can fail: draws of the ordinary triangle on the same range are found out.
#[test]
fn another_triangle_is_recognised() {
    let wide = span(10.0, 20.0, 60.0);
    let common = |u: f64| if u < 0.2 { 10.0 + (u * 500.0).sqrt() } else { 60.0 - ((1.0 - u) * 2_000.0).sqrt() };
    let mut variables = Variables::default();
    let _ = variables.take(Variable::Stock(0), wide);
    let mut values: Vec<f64> = variables.column(1, 0, 20_000).into_iter().map(common).collect();
    values.sort_by(f64::total_cmp);
    assert!(distance(&values, |x| below(wide, x)) * 20_000_f64.sqrt() > 10.0);
}

/// 101 classes of equal chance: chi-square with 100 degrees of freedom lies between 61.9 and 149.4 in 998 of 1,000 samples
/// (Abramowitz & Stegun, table 26.8, from memory).
#[test]
fn draws_are_even_and_those_of_two_variables_are_strangers() {
    let mut variables = Variables::default();
    for variable in [Variable::Assumption(Assumption::FeedRate), Variable::Stock(0), Variable::Demand(0)] {
        let _ = variables.take(variable, span(0.0, 1.0, 2.0));
    }
    let columns: Vec<Vec<f64>> = (0..3).map(|i| variables.column(1, i, 101_000)).collect();
    for column in &columns {
        let mut counts = [0_f64; 101];
        for u in column {
            assert!(*u > 0.0 && *u < 1.0);
            counts[(u * 101.0) as usize] += 1.0;
        }
        let chi_square: f64 = counts.iter().map(|n| (n - 1_000.0).powi(2) / 1_000.0).sum();
        assert!((61.9..149.4).contains(&chi_square), "{chi_square}");
    }
    // The correlation of strangers is normal with deviation 1/sqrt(n): beyond 3.3 of them once in a thousand.
    let n = 101_000_f64;
    for (a, b) in [(0, 1), (0, 2), (1, 2)] {
        let sum: f64 = columns[a].iter().zip(&columns[b]).map(|(x, y)| (x - 0.5) * (y - 0.5)).sum();
        assert!((12.0 * sum / n).abs() < 3.3 / n.sqrt());
    }
    // Nor does a draw tell the next of its own stream.
    for column in &columns {
        let sum: f64 = column.windows(2).map(|w| (w[0] - 0.5) * (w[1] - 0.5)).sum();
        assert!((12.0 * sum / n).abs() < 3.3 / n.sqrt());
    }
}

/// `sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1` on -pi..pi: first-order shares 0.3139, 0.4424 and 0 (Ishigami & Homma 1990; values
/// from memory, and by `V1 = (1 + b pi^4/5)^2/2`, `V2 = a^2/8`, `V = V1 + V2 + b^2 pi^8 8/225`).
#[test]
fn shares_of_variance_of_the_ishigami_function() {
    let (a, b) = (7.0, 0.1);
    let (v1, v2) = ((1.0 + b * PI.powi(4) / 5.0).powi(2) / 2.0, a * a / 8.0);
    let all = v1 + v2 + b * b * PI.powi(8) * 8.0 / 225.0;
    assert!((v1 / all - 0.3139).abs() < 5e-5 && (v2 / all - 0.4424).abs() < 5e-5);
    let mut variables = Variables::default();
    for i in 0..3 {
        let _ = variables.take(Variable::Demand(i), span(0.0, 1.0, 2.0));
    }
    for seed in 1..=10 {
        let columns: Vec<Vec<f64>> = (0..3).map(|i| variables.column(seed, i, 2_000)).collect();
        let angle = |i: usize, run: usize| (columns[i][run] * 2.0 - 1.0) * PI;
        let y: Vec<f64> = (0..2_000)
            .map(|run| {
                let (x1, x2, x3) = (angle(0, run), angle(1, run), angle(2, run));
                x1.sin() + a * x2.sin().powi(2) + b * x3.powi(4) * x1.sin()
            })
            .collect();
        let shares: Vec<f64> = columns.iter().map(|x| first_order_share(x, &y)).collect();
        for (found, expected) in shares.iter().zip([0.3139, 0.4424, 0.0]) {
            assert!((found - expected).abs() < 0.05, "seed {seed}: {shares:?}");
        }
    }
}

#[test]
fn shares_of_variance_at_their_ends() {
    let x: Vec<f64> = (0..2_000).map(f64::from).collect();
    assert!(first_order_share(&x, &x) > 0.99);
    assert_eq!(first_order_share(&x, &[4.0; 2_000]), 0.0);
    assert_eq!(first_order_share(&[], &[]), 0.0);
    // 16 runs in 16 bins: nothing is left to tell within a bin.
    assert_eq!(first_order_share(&x[..16], &x[..16]), 0.0);
    // By hand, 32 runs in 16 bins of two: y = 0, 1, 0, 1 .. has 0.5 within each bin, 8 in all: S = 1 - 31/16 < 0, so 0; and
    // y = 0, 0, 1, 1 .. has nothing within, so 1.
    let pairs = |width: usize| -> Vec<f64> { (0..32).map(|i| f64::from(u8::from((i / width) % 2 == 1))).collect() };
    assert_eq!([first_order_share(&x[..32], &pairs(1)), first_order_share(&x[..32], &pairs(2))], [0.0, 1.0]);
    assert_eq!((bins(999), bins(1_000)), (BINS_BELOW_1000, BINS));
}

/// Nearest rank: of n sorted values the one at place ceil(n p / 100).
#[test]
fn percentiles_by_hand() {
    let ten = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
    assert_eq!([10, 11, 50, 90, 91, 100].map(|p| percentile(&ten, p)), [1, 2, 5, 9, 10, 10].map(Some));
    // The worked example of nearest rank on 15, 20, 35, 40, 50: 5 % -> 15, 30 % -> 20, 40 % -> 20, 50 % -> 35, 100 % -> 50.
    let five = [15, 20, 35, 40, 50];
    assert_eq!([0, 5, 30, 40, 50, 100].map(|p| percentile(&five, p)), [15, 15, 20, 20, 35, 50].map(Some));
    assert_eq!(percentile(&[7], 90), Some(7));
    assert_eq!(percentile::<f64>(&[], 50), None);
    // Three at once, of values in any order.
    assert_eq!(
        percentiles(&mut [9.0, 2.0, 10.0, 4.0, 1.0, 6.0, 8.0, 3.0, 7.0, 5.0], [10, 50, 90]),
        Some([1.0, 5.0, 9.0])
    );
    assert_eq!(percentiles(&mut [7.0], [10, 50, 90]), Some([7.0; 3]));
    assert_eq!(percentiles(&mut [], [10, 50, 90]), None);
    let mut values = drawn(span(1.0, 2.0, 5.0), 4, 1_237);
    let three = percentiles(&mut values, [10, 50, 90]);
    values.sort_by(f64::total_cmp);
    let sorted = [10, 50, 90].map(|percent| percentile(&values, percent).unwrap());
    assert_eq!(three, Some(sorted));
}

#[test]
fn a_chance_is_given_in_twentieths_and_never_as_certain() {
    for runs in [1, 7, 100, 2_000] {
        for times in 0..=runs {
            let shown = shown_chance(times, runs);
            let twentieths = shown * 20.0;
            assert!((0.05..=0.95).contains(&shown) && (twentieths - twentieths.round()).abs() < 1e-12);
            let true_share = f64::from(times) / f64::from(runs);
            assert!((shown - true_share.clamp(0.05, 0.95)).abs() <= 0.025 + 1e-12);
        }
    }
    assert_eq!([shown_chance(0, 0), shown_chance(1_999, 2_000), shown_chance(1, 2_000)], [0.05, 0.95, 0.05]);
}
