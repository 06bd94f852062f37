//! How the values that have moved go together.

use super::model::Model;
use super::posterior::ranks;
use super::sampler::Draws;
use super::{Calibrated, column};
use crate::garden::assumptions::{Assumption, Correlation, copula};
use crate::garden::linear::dot;

/// Rank correlations below this are left out. Source: how this service works.
const MIN_CORRELATION: f64 = 0.05;
/// By how much correlations that are impossible together are drawn towards none. Source: how this service works.
const TOWARDS_NONE: f64 = 0.95;

/// The rank correlations of the values that have moved. Together they are possible: small ones are left out, and all are drawn a little towards
/// none where that alone makes them impossible.
pub(super) fn correlations(model: &Model<'_>, draws: &Draws, values: &[Calibrated]) -> Vec<Correlation> {
    let place = |of: Assumption| model.values.iter().position(|(which, ..)| *which == of);
    let all_ranks: Vec<(Assumption, Vec<f64>)> = values
        .iter()
        .filter_map(|value| {
            let values_drawn: Vec<f64> = column(draws, place(value.assumption)?).collect();
            Some((value.assumption, ranks(&values_drawn, &draws.weights)))
        })
        .collect();
    let mut found = Vec::new();
    for (i, (first, a)) in all_ranks.iter().enumerate() {
        for (second, b) in all_ranks.iter().skip(i + 1) {
            let rank_correlation = correlation((a, b), &draws.weights);
            if rank_correlation.abs() >= MIN_CORRELATION {
                found.push(Correlation { first: *first, second: *second, rank_correlation });
            }
        }
    }
    while !found.is_empty() && copula(&found).is_none() {
        found.iter_mut().for_each(|pair| pair.rank_correlation *= TOWARDS_NONE);
    }
    found
}

/// The weighted correlation of two columns.
fn correlation((a, b): (&[f64], &[f64]), weights: &[f64]) -> f64 {
    let mean = |of: &[f64]| dot(of, weights);
    let (mean_a, mean_b) = (mean(a), mean(b));
    let product = |x: &[f64], m: f64, y: &[f64], n: f64| -> f64 {
        x.iter().zip(y).zip(weights).map(|((x, y), weight)| weight * (x - m) * (y - n)).sum()
    };
    product(a, mean_a, b, mean_b) / (product(a, mean_a, a, mean_a) * product(b, mean_b, b, mean_b)).sqrt()
}
