//! The most likely values, by damped Gauss-Newton steps.

use super::errors::RecordErrors;
use super::model::Model;
use crate::garden::linear::{Lower, dot};

/// The most steps. Source: how this service works.
const STEPS: usize = 40;
/// How far a value is moved to see what follows: days come in whole ones, so that a small step shows nothing. Source: how this service works.
const MOVED: f64 = 0.25;
/// A step shorter than this is the last. Source: tolerance of computing.
const CLOSE: f64 = 1e-4;
/// The damping at first, and what it is multiplied by after a step that helps and one that does not. Source: Levenberg 1944, Marquardt 1963;
/// the numbers: how this service works.
const DAMPING: (f64, f64, f64) = (1e-2, 0.2, 6.0);

/// The most likely values, and how these are spread around them as far as straight lines show it.
#[derive(Debug, Clone)]
pub(super) struct Mode {
    pub z: Vec<f64>,
    /// The inverse of the sum of products of the slopes, and of one for each value, which is what is known without records.
    pub spread: Vec<Vec<f64>>,
}

/// The most times that the records are simulated for it, with so many values.
pub(super) const fn most(values: usize) -> usize {
    STEPS * (2 * values + 1) + 1
}

/// The residuals of all records at these values.
fn residuals(model: &mut Model<'_>, errors: &[RecordErrors], z: &[f64]) -> Vec<f64> {
    let (mut predicted, mut scratch, mut all) = (Vec::new(), Vec::new(), Vec::new());
    model.predict(z, &mut predicted);
    for record in errors {
        record.residuals(&predicted, &mut scratch);
        all.extend_from_slice(&scratch);
    }
    all
}

/// Half of this is by how much these values are less likely than the likely ones that fit.
fn cost(residuals: &[f64], z: &[f64]) -> f64 {
    dot(residuals, residuals) + dot(z, z)
}

/// The slopes of the residuals: one row for each value.
fn slopes(model: &mut Model<'_>, errors: &[RecordErrors], z: &[f64]) -> Vec<Vec<f64>> {
    let mut moved = |i: usize, by: f64| {
        let there: Vec<f64> = z.iter().enumerate().map(|(j, z)| if i == j { z + by } else { *z }).collect();
        residuals(model, errors, &there)
    };
    (0..z.len())
        .map(|i| {
            let (up, down) = (moved(i, MOVED), moved(i, -MOVED));
            up.iter().zip(down).map(|(up, down)| (up - down) / (2.0 * MOVED)).collect()
        })
        .collect()
}

/// The products of the slopes, one more on the diagonal, and so much of it besides.
fn products(slopes: &[Vec<f64>], damping: f64) -> Vec<Vec<f64>> {
    let entry = |i: usize, a: &[f64], (j, b): (usize, &Vec<f64>)| {
        let product = dot(a, b);
        if i == j { (product + 1.0) * (1.0 + damping) } else { product }
    };
    slopes.iter().enumerate().map(|(i, a)| slopes.iter().enumerate().map(|b| entry(i, a, b)).collect()).collect()
}

/// Answers "which values are most likely?", from these on.
pub(super) fn mode(model: &mut Model<'_>, errors: &[RecordErrors], from: &[f64]) -> Mode {
    let (first, better, worse) = DAMPING;
    let (mut z, mut damping) = (from.to_vec(), first);
    let mut at = residuals(model, errors, &z);
    let mut lines = slopes(model, errors, &z);
    for _ in 0..STEPS {
        let downhill: Vec<f64> = lines.iter().zip(&z).map(|(line, z)| -(dot(line, &at) + z)).collect();
        let Some(step) = Lower::of(&products(&lines, damping)).map(|lower| lower.solve(&downhill)) else { break };
        let there: Vec<f64> = z.iter().zip(&step).map(|(z, step)| z + step).collect();
        let found = residuals(model, errors, &there);
        if cost(&found, &there) < cost(&at, &z) {
            (z, at, damping) = (there, found, damping * better);
            lines = slopes(model, errors, &z);
        } else {
            damping *= worse;
        }
        if dot(&step, &step) < CLOSE * CLOSE {
            break;
        }
    }
    let spread = Lower::of(&products(&lines, 0.0)).map(|lower| lower.inverse()).unwrap_or_default();
    Mode { z, spread }
}
