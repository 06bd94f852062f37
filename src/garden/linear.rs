//! Symmetric positive matrices, as small as the number of values that records tell of. Written out in plain loops, whose sums have one
//! order: libraries pick other instructions on other machines, and an answer is to have the same bytes on all of them.

/// A lower triangle `L` with `L L' =` a symmetric positive matrix: one row for each row of it, each ends on the diagonal.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Lower(Vec<Vec<f64>>);

impl Lower {
    /// The lower triangle of a matrix (Cholesky); `None` if it is not positive.
    #[must_use]
    pub fn of(matrix: &[Vec<f64>]) -> Option<Self> {
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(matrix.len());
        for (i, given) in matrix.iter().enumerate() {
            let mut row: Vec<f64> = Vec::with_capacity(i + 1);
            for (of, other) in given.iter().zip(&rows) {
                let rest = of - dot(&row, other);
                row.push(rest / other.last()?);
            }
            let rest = given.get(i)? - dot(&row, &row);
            if !(rest > 0.0 && rest.is_finite()) {
                return None;
            }
            row.push(rest.sqrt());
            rows.push(row);
        }
        Some(Self(rows))
    }

    /// `L x`.
    #[must_use]
    pub fn times(&self, x: &[f64]) -> Vec<f64> {
        self.0.iter().map(|row| dot(row, x)).collect()
    }

    /// The `y` with `L y = b`, written over `y`.
    pub fn solve_into(&self, b: impl Iterator<Item = f64>, y: &mut Vec<f64>) {
        y.clear();
        for (row, b) in self.0.iter().zip(b) {
            let diagonal = row.last().copied().unwrap_or(1.0);
            let next = (b - dot(row, y)) / diagonal;
            y.push(next);
        }
    }

    /// The `x` with `L L' x = b`.
    #[must_use]
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let mut rest = Vec::with_capacity(b.len());
        self.solve_into(b.iter().copied(), &mut rest);
        for (i, row) in self.0.iter().enumerate().rev() {
            let diagonal = row.last().copied().unwrap_or(1.0);
            let Some(found) = rest.get_mut(i).map(|value| {
                *value /= diagonal;
                *value
            }) else {
                continue;
            };
            rest.iter_mut().zip(row).take(i).for_each(|(value, of)| *value -= of * found);
        }
        rest
    }

    /// The inverse of the matrix.
    #[must_use]
    pub fn inverse(&self) -> Vec<Vec<f64>> {
        let unit = |i: usize| (0..self.0.len()).map(|j| if i == j { 1.0 } else { 0.0 }).collect::<Vec<f64>>();
        (0..self.0.len()).map(|i| self.solve(&unit(i))).collect()
    }

    /// The logarithm of the product of the diagonal.
    #[must_use]
    pub fn log_diagonal(&self) -> f64 {
        self.0.iter().filter_map(|row| row.last()).map(|value| libm::log(*value)).sum()
    }
}

/// The sum of products, over as many as both have.
#[must_use]
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Means of rows, and how these vary together, each row with its weight. The weights add up to one.
#[must_use]
pub fn moments<'r>(rows: impl Iterator<Item = (&'r [f64], f64)> + Clone, n: usize) -> (Vec<f64>, Vec<Vec<f64>>) {
    let mut mean = vec![0.0; n];
    for (row, weight) in rows.clone() {
        mean.iter_mut().zip(row).for_each(|(mean, value)| *mean += weight * value);
    }
    let mut spread = vec![vec![0.0; n]; n];
    let mut off = vec![0.0; n];
    for (row, weight) in rows {
        off.iter_mut().zip(row.iter().zip(&mean)).for_each(|(off, (value, mean))| *off = value - mean);
        for (line, by) in spread.iter_mut().zip(&off) {
            line.iter_mut().zip(&off).for_each(|(sum, other)| *sum += weight * by * other);
        }
    }
    (mean, spread)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_solves_inverts_and_multiplies() {
        let matrix = vec![vec![4.0, 2.0, 0.6], vec![2.0, 3.0, 0.4], vec![0.6, 0.4, 2.0]];
        let lower = Lower::of(&matrix).unwrap();
        let x = lower.solve(&[1.0, -2.0, 0.5]);
        let back: Vec<f64> = matrix.iter().map(|row| dot(row, &x)).collect();
        for (got, expected) in back.iter().zip([1.0, -2.0, 0.5]) {
            assert!((got - expected).abs() < 1e-12);
        }
        let inverse = lower.inverse();
        for (i, row) in matrix.iter().enumerate() {
            for (j, column) in inverse.iter().enumerate() {
                assert!((dot(row, column) - f64::from(u8::from(i == j))).abs() < 1e-12);
            }
        }
        assert!((2.0 * lower.log_diagonal() - 15.24_f64.ln()).abs() < 1e-12);
        assert_eq!(lower.times(&[1.0, 0.0, 0.0]), [2.0, 1.0, 0.3]);
    }

    #[test]
    fn what_is_not_positive_has_no_triangle() {
        assert_eq!(Lower::of(&[vec![1.0, 2.0], vec![2.0, 1.0]]), None);
        assert_eq!(Lower::of(&[vec![f64::NAN]]), None);
        assert!(Lower::of(&[]).is_some());
    }

    #[test]
    fn moments_are_those_of_the_weighted_rows() {
        let rows = [([0.0, 1.0], 0.25), ([4.0, 3.0], 0.75)];
        let (mean, spread) = moments(rows.iter().map(|(row, weight)| (row.as_slice(), *weight)), 2);
        assert_eq!(mean, [3.0, 2.5]);
        assert_eq!(spread, [[3.0, 1.5], [1.5, 0.75]]);
    }
}
