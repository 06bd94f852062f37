//! A second solver of a mix: every corner of the allowed region, by elimination.

use barrowful::garden::feeds::mix::{Blend, Content};

/// A plane: coefficients and right side.
pub type Plane = (Vec<f64>, f64);

/// The point where as many planes meet as there are unknowns; `None` if they do not meet in one point.
fn meet(planes: &[&Plane]) -> Option<Vec<f64>> {
    let n = planes.len();
    let mut rows: Vec<Vec<f64>> = planes.iter().map(|(a, b)| a.iter().copied().chain([*b]).collect()).collect();
    for column in 0..n {
        let pivot = (column..n).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        rows.swap(column, pivot);
        if rows[column][column].abs() < 1e-12 {
            return None;
        }
        for row in 0..n {
            if row != column {
                let factor = rows[row][column] / rows[column][column];
                let pivot = rows[column].clone();
                rows[row].iter_mut().zip(pivot).for_each(|(x, p)| *x -= factor * p);
            }
        }
    }
    Some((0..n).map(|at| rows[at][n] / rows[at][at]).collect())
}

/// Every choice of `k` of `0..n`.
fn choices(n: usize, k: usize) -> Vec<Vec<usize>> {
    if k == 0 {
        return vec![vec![]];
    }
    (k - 1..n)
        .flat_map(|last| {
            choices(last, k - 1).into_iter().map(move |mut c| {
                c.push(last);
                c
            })
        })
        .collect()
}

/// All corners of `{x: planes as inequalities a x <= b, equalities a x = b}`.
pub fn corners(inequalities: &[Plane], equalities: &[Plane], unknowns: usize) -> Vec<Vec<f64>> {
    let need = unknowns - equalities.len();
    let fits = |x: &[f64]| {
        inequalities.iter().all(|(a, b)| a.iter().zip(x).map(|(a, x)| a * x).sum::<f64>() <= b + 1e-9 * (1.0 + b.abs()))
    };
    choices(inequalities.len(), need)
        .iter()
        .filter_map(|chosen| {
            let planes: Vec<&Plane> = equalities.iter().chain(chosen.iter().map(|at| &inequalities[*at])).collect();
            meet(&planes)
        })
        .filter(|x| fits(x))
        .collect()
}

/// The box, and the two planes of the ratio; `columns` is the number of unknowns, the materials first.
pub fn region(blend: &Blend, ratio: Option<(f64, f64)>, columns: usize) -> Vec<Plane> {
    let unit = |at: usize, value: f64| (0..columns).map(|i| if i == at { value } else { 0.0 }).collect::<Vec<_>>();
    let mut planes: Vec<Plane> = (0..columns).map(|at| (unit(at, -1.0), 0.0)).collect();
    planes.extend(blend.free.iter().enumerate().map(|(at, (_, most))| (unit(at, 1.0), *most)));
    if let Some((low, high)) = ratio {
        for (sign, bound) in [(1.0, high), (-1.0, low)] {
            let row = |c: &Content| sign * (c.carbon - bound * c.nitrogen);
            let mut a: Vec<f64> = blend.free.iter().map(|(c, _)| row(c)).collect();
            a.resize(columns, 0.0);
            planes.push((a, -row(&blend.base)));
        }
    }
    planes
}
