//! The least and the greatest weighted mean when each weight may lie anywhere between two bounds.

use crate::garden::units::End;

/// A value, and the bounds of its weight (not negative).
pub type Weighed = (f64, (f64, f64));

/// The end of each weight at which the weighted mean is least. Whatever lies below the mean takes its greatest weight and the rest
/// its least; repeated until nothing moves (each round lowers the mean, so it ends; Dinkelbach 1967, from memory).
pub fn least_mean(items: &[Weighed]) -> Vec<End> {
    let mut mean = f64::INFINITY;
    for _ in 0..=items.len() {
        let (above, below) = items.iter().fold((0.0, 0.0), |(above, below), (value, (low, high))| {
            let weight = if *value < mean { high } else { low };
            (above + value * weight, below + weight)
        });
        let next = above / below;
        if next >= mean || next.is_nan() {
            break;
        }
        mean = next;
    }
    items.iter().map(|(value, _)| if *value < mean { End::High } else { End::Low }).collect()
}

/// The end of each weight at which the weighted mean is greatest.
pub fn greatest_mean(items: &[Weighed]) -> Vec<End> {
    let turned: Vec<Weighed> = items.iter().map(|(value, weight)| (-value, *weight)).collect();
    least_mean(&turned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_means_are_those_of_the_best_corner() {
        let items = [(1.0, (1.0, 2.0)), (4.0, (0.5, 3.0)), (2.0, (0.0, 1.0)), (9.0, (0.1, 0.2))];
        let mean = |ends: &[End]| -> f64 {
            let weight = |end: End, (low, high): (f64, f64)| if end == End::High { high } else { low };
            let sum = |f: fn(f64) -> f64| -> f64 {
                items.iter().zip(ends).map(|((v, w), end)| f(*v) * weight(*end, *w)).sum()
            };
            sum(|v| v) / sum(|_| 1.0)
        };
        let corner = |bits: u32| -> Vec<End> {
            (0..4).map(|at| if bits >> at & 1 == 1 { End::High } else { End::Low }).collect()
        };
        let means: Vec<f64> = (0..16).map(|bits| mean(&corner(bits))).collect();
        let least = means.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = means.iter().copied().fold(0.0, f64::max);
        assert!((mean(&least_mean(&items)) - least).abs() < 1e-12);
        assert!((mean(&greatest_mean(&items)) - greatest).abs() < 1e-12);
    }
}
