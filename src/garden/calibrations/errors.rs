//! How likely records are, given what the simulator says: the error of each observation, and what no record tells, the worms really put in and
//! the weather, which move the observations of a record together.

use super::Gathered;
use super::model::{Compiled, Model, Seen};
use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::beds::{Clock, ClockDrawn, Clocks};
use crate::garden::draws::{Run, Uniform, Variable, Variables, normal, normal_chance};
use crate::garden::linear::{Lower, moments};
use std::f64::consts::TAU;

/// Draws of worms and weather for each climate, with all its records. Source: how this service works.
pub(super) const DRAWS: usize = 256;
/// Below this the logarithm of a chance is taken by its leading terms. Source: tolerance of computing.
const FAR_OUT: f64 = -30.0;

/// The errors of one record.
#[derive(Debug, Clone)]
pub(super) struct RecordErrors {
    seen: Vec<Seen>,
    from: usize,
    /// The standard deviation of each observation, with what worms and weather add.
    pub deviations: Vec<f64>,
    /// Of those with a value.
    lower: Lower,
    /// The logarithm of the density at the value itself.
    constant: f64,
}

impl RecordErrors {
    /// The errors of a record whose observations worms and weather move together in this way.
    fn of(record: &Compiled, together: &[Vec<f64>]) -> Self {
        let own = |seen: &Seen| match seen {
            Seen::About(_, deviation) | Seen::After(_, deviation) => *deviation,
        };
        let full: Vec<Vec<f64>> = together
            .iter()
            .zip(&record.seen)
            .enumerate()
            .map(|(i, (row, seen))| {
                let on_diagonal = |(j, value): (usize, &f64)| {
                    if i == j { value + own(seen) * own(seen) } else { *value }
                };
                row.iter().enumerate().map(on_diagonal).collect()
            })
            .collect();
        let deviations = full.iter().enumerate().filter_map(|(i, row)| row.get(i)).map(|value| value.sqrt()).collect();
        let valued = |seen: &&Seen| matches!(seen, Seen::About(..));
        let keep = |row: &[f64]| -> Vec<f64> {
            row.iter().zip(&record.seen).filter(|(_, seen)| valued(seen)).map(|(value, _)| *value).collect()
        };
        let with_value = full.iter().zip(&record.seen).filter(|(_, seen)| valued(seen));
        let matrix: Vec<Vec<f64>> = with_value.map(|(row, _)| keep(row)).collect();
        // The diagonal is above what worms and weather add, so there is a triangle; without one nothing moves together.
        let alone = || {
            let diagonal = |(i, row): (usize, &Vec<f64>)| {
                row.iter().enumerate().map(|(j, value)| if i == j { *value } else { 0.0 }).collect()
            };
            matrix.iter().enumerate().map(diagonal).collect::<Vec<Vec<f64>>>()
        };
        let lower = Lower::of(&matrix).or_else(|| Lower::of(&alone())).unwrap_or_default();
        let count = f64::from(count(matrix.len()));
        let constant = -lower.log_diagonal() - 0.5 * count * libm::log(TAU);
        Self { seen: record.seen.clone(), from: record.from, deviations, lower, constant }
    }

    /// What this record says of its observations, out of those of all records.
    pub fn own<'p>(&self, predicted: &'p [f64]) -> &'p [f64] {
        predicted.get(self.from..self.from + self.seen.len()).unwrap_or_default()
    }

    /// By how much the observations with a value lie off, each in its own standard deviation and cleared of the others; and what the rest
    /// adds, so that half the sum of the squares is less likely by that much.
    pub fn residuals(&self, predicted: &[f64], scratch: &mut Vec<f64>) {
        let own = self.own(predicted);
        let off = own.iter().zip(&self.seen).filter_map(|(value, seen)| match seen {
            Seen::About(seen, _) => Some(value - seen),
            Seen::After(..) => None,
        });
        self.lower.solve_into(off, scratch);
        scratch.extend(self.not_yet(own).map(|log| (-2.0 * log).max(0.0).sqrt()));
    }

    /// The logarithms of the chances of what had not yet happened.
    fn not_yet(&self, own: &[f64]) -> impl Iterator<Item = f64> {
        let all = own.iter().zip(&self.seen).zip(&self.deviations);
        all.filter_map(|((value, seen), deviation)| match seen {
            Seen::After(time, _) => Some(log_chance((value - time) / deviation)),
            Seen::About(..) => None,
        })
    }

    /// The logarithm of how likely this record is.
    pub fn log_likelihood(&self, predicted: &[f64], scratch: &mut Vec<f64>) -> f64 {
        self.residuals(predicted, scratch);
        self.constant - 0.5 * scratch.iter().map(|off| off * off).sum::<f64>()
    }
}

fn count(items: usize) -> u32 {
    u32::try_from(items).unwrap_or(u32::MAX)
}

/// The logarithm of the chance of a standard normal value below this one.
fn log_chance(t: f64) -> f64 {
    if t > FAR_OUT { libm::log(normal_chance(t)) } else { -0.5 * t * t - libm::log(-t) - 0.5 * libm::log(TAU) }
}

/// What no record contains, drawn for one climate: the worms at the start and the weather (nuisance parameters, in the words of statistics).
struct UnrecordedInputs<'a> {
    clocks: &'a Clocks,
    variables: Variables,
    worms: Uniform,
    clock: ClockDrawn,
    /// For each of its variables the column of the model that has it too: the temperatures at which a day counts.
    shared: Vec<Option<usize>>,
}

impl<'a> UnrecordedInputs<'a> {
    fn new(clocks: &'a Clocks, known: Known<'_>, model: &Model<'_>) -> Self {
        let mut variables = Variables::default();
        let worms = variables.uniform(Variable::WormsAtStart);
        let clock = ClockDrawn::new(clocks, known, &mut variables);
        let column = |which: &Variable| model.variables.all().iter().position(|of| of == which);
        let shared = variables.all().iter().map(column).collect();
        Self { clocks, variables, worms, clock, shared }
    }

    /// Draws worms and weather, where the values are those of this row: gives each clock, and the worms as a share of those recorded.
    fn each(&self, row: &[f64], spread: f64, mut with: impl FnMut(&Clock, f64)) {
        self.variables.each_run(SEED, (0, count(DRAWS)), |_, drawn| {
            let same =
                |(own, column): (&f64, &Option<usize>)| column.and_then(|at| row.get(at)).copied().unwrap_or(*own);
            let own: Vec<f64> = drawn.row().iter().zip(&self.shared).map(same).collect();
            let run = Run::of(&own);
            let clock = self.clock.clock(self.clocks, &run);
            with(clock.as_ref().unwrap_or(self.clocks.likely()), libm::exp(spread * normal(self.worms.of(&run))));
        });
    }
}

/// The errors of all records where worms and weather move nothing.
pub(super) fn plain(model: &Model<'_>) -> Vec<RecordErrors> {
    let none = |record: &Compiled| {
        let n = record.seen.len();
        RecordErrors::of(record, &vec![vec![0.0; n]; n])
    };
    model.records.iter().map(none).collect()
}

/// The errors of all records with what worms and weather add, seen from these values.
pub(super) fn together(model: &mut Model<'_>, z: &[f64], gathered: &Gathered<'_>) -> Vec<RecordErrors> {
    model.set(z);
    let none = Overrides::default();
    let known = Known { request: gathered.request, item: &none };
    let spread = known.get(Assumption::RecordedWorms).map_or(0.0, |assumed| assumed.span.likely);
    let unrecorded: Vec<UnrecordedInputs<'_>> =
        gathered.clocks.iter().map(|clocks| UnrecordedInputs::new(clocks, known, model)).collect();
    let row = model.row().to_vec();
    let mut rows = vec![Vec::new(); model.records.len()];
    for (place, inputs) in unrecorded.iter().enumerate() {
        inputs.each(&row, spread, |clock, worms| {
            let own = model.records.iter_mut().zip(&mut rows);
            for (record, rows) in own.filter(|(record, _)| record.clocks == place && !record.seen.is_empty()) {
                let mut out = Vec::with_capacity(record.seen.len());
                record.simulator.run(&Run::of(&row), (inputs.clocks, clock, worms), &mut out);
                rows.push(out);
            }
        });
    }
    let weight = 1.0 / f64::from(count(DRAWS));
    let of_record = |(record, rows): (&Compiled, &Vec<Vec<f64>>)| {
        let (_, moved) = moments(rows.iter().map(|row| (row.as_slice(), weight)), record.seen.len());
        RecordErrors::of(record, &moved)
    };
    model.records.iter().zip(&rows).map(of_record).collect()
}

/// The seed of the draws of worms and weather, which are alike for all records. Source: how this service works.
const SEED: u64 = 1;
