//! The least and the greatest weighted mean when each weight may lie anywhere between two bounds.

/// A value, and the bounds of its weight (not negative).
pub type Weighed = (f64, (f64, f64));

/// The least weighted mean. Whatever lies below the mean takes its greatest weight and the rest its least; repeated until
/// nothing moves (each round lowers the mean, so it ends; Dinkelbach 1967, from memory).
pub fn least_mean(items: &[Weighed]) -> f64 {
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
    mean
}

/// The greatest weighted mean.
pub fn greatest_mean(items: &[Weighed]) -> f64 {
    let turned: Vec<Weighed> = items.iter().map(|(value, weight)| (-value, *weight)).collect();
    -least_mean(&turned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_means_are_those_of_the_best_corner() {
        let items = [(1.0, (1.0, 2.0)), (4.0, (0.5, 3.0)), (2.0, (0.0, 1.0)), (9.0, (0.1, 0.2))];
        let mut means = Vec::new();
        for corner in 0..16_u32 {
            let weight = |at: u32, (low, high): (f64, f64)| if corner >> at & 1 == 1 { high } else { low };
            let sum = |f: fn(f64) -> f64| -> f64 { (0..).zip(items).map(|(at, (v, w))| f(v) * weight(at, w)).sum() };
            means.push(sum(|v| v) / sum(|_| 1.0));
        }
        let least = means.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = means.iter().copied().fold(0.0, f64::max);
        assert!((least_mean(&items) - least).abs() < 1e-12);
        assert!((greatest_mean(&items) - greatest).abs() < 1e-12);
    }
}
