//! What weighted draws say: percentiles, the triangle that has them, and how values go together.

use crate::garden::assumptions::{Assumption, Span};
use crate::garden::draws::normal_chance;
use crate::garden::interrupt::check;

/// The percentiles that a calibrated range goes by: 5, 50 and 95 of 100. Source: how this service works.
pub(super) const PERCENTS: [f64; 3] = [0.05, 0.5, 0.95];

/// Values in rising order, each with the number of its draw: sorted once, and weighed in several ways.
#[derive(Debug, Clone, Default)]
pub(super) struct Sorted(Vec<(f64, usize)>);

impl Sorted {
    pub fn of(values: impl Iterator<Item = f64>) -> Self {
        let mut pairs: Vec<(f64, usize)> = values.enumerate().map(|(draw, value)| (value, draw)).collect();
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        check();
        Self(pairs)
    }

    /// The value with so much of the weight below it; between two draws in a straight line.
    pub fn quantile(&self, share: f64, weights: &[f64]) -> f64 {
        let (mut sum, mut last) = (0.0, None::<(f64, f64)>);
        for (value, draw) in &self.0 {
            let weight = weights.get(*draw).copied().unwrap_or(0.0);
            let middle = sum + 0.5 * weight;
            if middle >= share {
                return match last {
                    Some((before, at)) if middle > at => before + (value - before) * (share - at) / (middle - at),
                    _ => *value,
                };
            }
            (sum, last) = (sum + weight, Some((*value, middle)));
        }
        last.map_or(f64::NAN, |(value, _)| value)
    }

    /// Several of them, by rising shares.
    pub fn quantiles<const N: usize>(&self, shares: [f64; N], weights: &[f64]) -> [f64; N] {
        shares.map(|share| self.quantile(share, weights))
    }
}

/// The range whose split triangle has these percentiles (5, 50, 95), within the range that was there before.
///
/// A split triangle has 5 of 100 below `m - (m - low)(1 - sqrt(0.1))`, so `low = q50 - k (q50 - q5)` and `high = q50 + k (q95 - q50)` with
/// `k = 1 / (1 - sqrt(0.1))`.
pub(super) fn triangle([low, middle, high]: [f64; 3], before: Span) -> Span {
    let [lowest, ..] = PERCENTS;
    let k = 1.0 / (1.0 - (2.0 * lowest).sqrt());
    let likely = middle.clamp(before.low, before.high);
    Span {
        low: (middle - k * (middle - low)).clamp(before.low, likely),
        likely,
        high: (middle + k * (high - middle)).clamp(likely, before.high),
    }
}

/// The rank of each draw among all, by weight, from 0 to 1.
pub(super) fn ranks(values: &[f64], weights: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    let value = |place: &usize| values.get(*place).copied().unwrap_or(f64::NAN);
    order.sort_by(|a, b| value(a).total_cmp(&value(b)).then(a.cmp(b)));
    let mut ranks = vec![0.0; values.len()];
    let mut sum = 0.0;
    for place in order {
        let weight = weights.get(place).copied().unwrap_or(0.0);
        ranks.get_mut(place).into_iter().for_each(|rank| *rank = sum + 0.5 * weight);
        sum += weight;
    }
    ranks
}

/// Draws from what is known with all records.
#[derive(Debug, Clone, PartialEq)]
pub struct PosteriorDraws {
    /// The values that any observation depends on.
    pub values: Vec<Assumption>,
    /// The values of each draw, as normal numbers.
    pub(super) z: Vec<f64>,
    pub(super) weights: Vec<f64>,
}

impl PosteriorDraws {
    /// For each draw its number between 0 and 1 for each value, and its weight.
    #[must_use]
    pub fn rows(&self) -> Vec<(Vec<f64>, f64)> {
        let rows = self.z.chunks_exact(self.values.len().max(1)).zip(&self.weights);
        rows.map(|(row, weight)| (row.iter().map(|z| normal_chance(*z)).collect(), *weight)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::draws::split_triangle;

    #[test]
    fn quantiles_of_equal_weights_are_those_of_the_values() {
        let (sorted, weights) = (Sorted::of([3.0, 1.0, 2.0, 4.0].into_iter()), [0.25; 4]);
        assert_eq!(sorted.quantiles([0.125, 0.25, 0.5, 0.875], &weights), [1.0, 1.5, 2.5, 4.0]);
        assert_eq!(sorted.quantiles([0.0, 1.0], &weights), [1.0, 4.0]);
    }

    #[test]
    fn weight_moves_the_middle() {
        let sorted = Sorted::of([10.0, 0.0].into_iter());
        assert!(sorted.quantile(0.5, &[0.1, 0.9]) < 1.0);
    }

    #[test]
    fn the_triangle_of_the_percentiles_of_a_triangle_is_that_triangle() {
        let span = Span { low: 2.0, likely: 3.0, high: 7.0 };
        let found = triangle(PERCENTS.map(|u| split_triangle(span, u)), span);
        for (found, expected) in [(found.low, 2.0), (found.likely, 3.0), (found.high, 7.0)] {
            assert!((found - expected).abs() < 1e-12, "{found} {expected}");
        }
    }

    #[test]
    fn a_triangle_stays_within_the_range_before() {
        let before = Span { low: 2.0, likely: 3.0, high: 7.0 };
        let found = triangle([2.1, 2.2, 6.9], before);
        assert!((found.low - 2.053_752).abs() < 1e-6 && found.likely == 2.2 && found.high == 7.0);
    }

    #[test]
    fn ranks_count_the_weight_below() {
        assert_eq!(ranks(&[5.0, 1.0, 3.0], &[0.5, 0.25, 0.25]), [0.75, 0.125, 0.375]);
    }
}
