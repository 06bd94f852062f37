//! A small linear programme, solved.

use crate::garden::interrupt::check;
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, constraint, microlp, variable};

/// How the left of a row goes with its right.
#[derive(Debug, Clone, Copy)]
pub enum Sense {
    /// At most.
    AtMost,
    /// At least.
    AtLeast,
    /// Equal.
    Equal,
}

/// A linear programme with variables from 0 up, to be minimised.
#[derive(Default)]
pub struct Programme {
    columns: Vec<(f64, Option<f64>)>,
    rows: Vec<(Vec<f64>, Sense, f64)>,
}

impl Programme {
    /// A variable: what one of it costs, and the most of it.
    pub fn column(&mut self, cost: f64, most: Option<f64>) {
        self.columns.push((cost, most));
    }

    /// A condition: the coefficients of the variables, and the right side.
    pub fn row(&mut self, coefficients: Vec<f64>, sense: Sense, right: f64) {
        self.rows.push((coefficients, sense, right));
    }

    /// The values at the least cost; `None` if nothing meets all conditions.
    pub fn solve(&self) -> Option<Vec<f64>> {
        check();
        let mut variables = ProblemVariables::new();
        let columns: Vec<_> = self
            .columns
            .iter()
            .map(|(_, most)| variables.add(most.map_or(variable().min(0.0), |most| variable().min(0.0).max(most))))
            .collect();
        let sum = |coefficients: &mut dyn Iterator<Item = f64>| -> Expression {
            let some = columns.iter().zip(coefficients).filter(|(_, c)| *c != 0.0);
            some.fold(Expression::default(), |mut sum, (column, c)| {
                sum.add_mul(c, *column);
                sum
            })
        };
        let cost = sum(&mut self.columns.iter().map(|(cost, _)| *cost));
        let mut model = variables.minimise(cost).using(microlp);
        for (coefficients, sense, right) in &self.rows {
            let left = sum(&mut coefficients.iter().copied());
            let row = match sense {
                Sense::AtMost => constraint!(left <= *right),
                Sense::AtLeast => constraint!(left >= *right),
                Sense::Equal => constraint!(left == *right),
            };
            model.add_constraint(row);
        }
        let solution = model.solve().ok()?;
        Some(columns.iter().map(|column| solution.value(*column)).collect())
    }
}
