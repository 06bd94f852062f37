//! Draws from what is known once records are: importance sampling. Values are drawn around the most likely ones, wider than they seem to be
//! spread (Student's t with six degrees of freedom), a tenth of them as if there were no records, and weighed by how likely the records are with
//! them; the draws of one round show where to draw in the next (adaptive importance sampling: Oh & Berger 1992, Cappé and others 2008).

use super::errors::RecordErrors;
use super::mode::Mode;
use super::model::Model;
use crate::garden::draws::{Numbers, count};
use crate::garden::linear::{Lower, dot, moments};

/// How much drawing there is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Draws in each of the rounds that find where to draw.
    round: usize,
    /// Those rounds.
    rounds: u32,
    /// Draws in the last round.
    last: usize,
    /// It is drawn again where it is worth fewer draws than this.
    worth: f64,
    /// How often that is done at the most.
    again: u32,
}

/// For what is known with all records. Source: how this service works.
pub(super) const WITH_ALL: Effort = Effort { round: 3_000, rounds: 4, last: 16_000, worth: 1_000.0, again: 1 };
/// For what would be known without one of them. Source: how this service works.
pub(super) const WITHOUT_ONE: Effort = Effort { round: 1_000, rounds: 3, last: 4_000, worth: 0.0, again: 0 };

impl Effort {
    /// The draws that are kept.
    pub const fn kept(&self) -> usize {
        self.last
    }

    /// The most draws.
    pub const fn most(&self) -> usize {
        let mut draws = self.last;
        let mut done = 0;
        while done < self.rounds {
            draws += self.round;
            done += 1;
        }
        done = 0;
        while done < self.again {
            draws += self.last;
            done += 1;
        }
        draws
    }
}

/// A round is worth at least this share of its draws for what it shows: until then its weights are drawn together. Source: how this service works.
const WORTH_OF_ROUND: f64 = 0.1;
/// Degrees of freedom. Source: how this service works.
const FREEDOM: f64 = 6.0;
/// The share of draws as if there were no records. Source: how this service works.
const WITHOUT: f64 = 0.1;
/// Halvings of the power that draws weights together. Source: tolerance of computing.
const HALVINGS: u32 = 20;
/// Added to the spread of each value, so that no value stays where it is. Source: tolerance of computing.
const MIN_SPREAD: f64 = 1e-6;

/// Where to draw.
struct Proposal {
    centre: Vec<f64>,
    lower: Lower,
    constant: f64,
}

impl Proposal {
    fn new(centre: Vec<f64>, mut spread: Vec<Vec<f64>>) -> Option<Self> {
        for (i, row) in spread.iter_mut().enumerate() {
            row.get_mut(i).into_iter().for_each(|value| *value += MIN_SPREAD);
        }
        let lower = Lower::of(&spread)?;
        let n = count(centre.len());
        let gamma = libm::lgamma(0.5 * (FREEDOM + n)) - libm::lgamma(0.5 * FREEDOM);
        let constant = gamma - 0.5 * n * libm::log(FREEDOM * std::f64::consts::PI) - lower.log_diagonal();
        Some(Self { centre, lower, constant })
    }

    fn draw(&self, numbers: &mut Numbers) -> Vec<f64> {
        let without = numbers.uniform() < WITHOUT;
        let normals: Vec<f64> = self.centre.iter().map(|_| numbers.normal()).collect();
        // Twice a gamma value of three: chi-squared with six degrees of freedom.
        let squares: f64 = (0..3).map(|_| -2.0 * libm::log(numbers.uniform())).sum();
        if without {
            return normals;
        }
        let wider = (FREEDOM / squares).sqrt();
        self.lower.times(&normals).iter().zip(&self.centre).map(|(off, centre)| centre + off * wider).collect()
    }

    /// The logarithm of how often values near these are drawn.
    fn log_density(&self, z: &[f64], scratch: &mut Vec<f64>) -> f64 {
        self.lower.solve_into(z.iter().zip(&self.centre).map(|(z, centre)| z - centre), scratch);
        let off = dot(scratch, scratch);
        let around = self.constant - 0.5 * (FREEDOM + count(z.len())) * libm::log1p(off / FREEDOM);
        let without = log_normal(z);
        let (high, low) = if around + libm::log((1.0 - WITHOUT) / WITHOUT) > without {
            (libm::log(1.0 - WITHOUT) + around, libm::log(WITHOUT) + without)
        } else {
            (libm::log(WITHOUT) + without, libm::log(1.0 - WITHOUT) + around)
        };
        high + libm::log1p(libm::exp(low - high))
    }
}

/// The logarithm of the density of values without records.
fn log_normal(z: &[f64]) -> f64 {
    -0.5 * (dot(z, z) + count(z.len()) * libm::log(std::f64::consts::TAU))
}

/// Draws with their weights.
#[derive(Debug, Clone, Default)]
pub(super) struct Draws {
    /// How many values a draw has.
    pub values: usize,
    /// The values of each draw.
    pub z: Vec<f64>,
    /// What the simulator gives for each observation of each draw.
    pub predicted: Vec<f64>,
    /// The logarithm of how likely each record is with each draw.
    pub records: Vec<f64>,
    /// The logarithm of how much each draw weighs, but for a constant.
    pub log_weights: Vec<f64>,
    /// The weights, which add up to one.
    pub weights: Vec<f64>,
}

impl Draws {
    fn of(
        (model, errors): (&mut Model<'_>, &[RecordErrors]),
        proposal: &Proposal,
        (count, numbers): (usize, &mut Numbers),
        keep: bool,
    ) -> Self {
        let mut draws = Self { values: proposal.centre.len(), ..Self::default() };
        let (mut predicted, mut scratch) = (Vec::new(), Vec::new());
        for _ in 0..count {
            let z = proposal.draw(numbers);
            model.predict(&z, &mut predicted);
            let mut log = log_normal(&z) - proposal.log_density(&z, &mut scratch);
            for record in errors {
                let likely = record.log_likelihood(&predicted, &mut scratch);
                log += likely;
                if keep {
                    draws.records.push(likely);
                }
            }
            draws.z.extend(z);
            draws.log_weights.push(log);
            if keep {
                draws.predicted.extend_from_slice(&predicted);
            }
        }
        draws.weights = weights(&draws.log_weights, 1.0);
        draws
    }

    /// Each draw with a weight.
    pub fn rows<'d>(&'d self, weights: &'d [f64]) -> impl Iterator<Item = (&'d [f64], f64)> + Clone {
        self.z.chunks_exact(self.values.max(1)).zip(weights.iter().copied())
    }

    /// The weights of all draws without a record; by place.
    pub fn without(&self, record: usize, records: usize) -> Vec<f64> {
        let of_record = self.records.iter().skip(record).step_by(records.max(1));
        let rest: Vec<f64> = self.log_weights.iter().zip(of_record).map(|(all, own)| all - own).collect();
        weights(&rest, 1.0)
    }

    /// Where to draw next. Where few draws weigh nearly all, their weights are drawn together first.
    fn next(&self) -> Option<Proposal> {
        let least = WORTH_OF_ROUND * count(self.log_weights.len());
        let (mut power, mut step) = (1.0, 1.0);
        for _ in 0..HALVINGS {
            step *= 0.5;
            let enough = worth(&weights(&self.log_weights, power)) >= least;
            power = if enough { (power + step).min(1.0) } else { power - step };
        }
        let (centre, spread) = moments(self.rows(&weights(&self.log_weights, power)), self.values);
        Proposal::new(centre, spread)
    }
}

/// The weights of these logarithms, to a power; they add up to one.
fn weights(logs: &[f64], power: f64) -> Vec<f64> {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw: Vec<f64> = logs.iter().map(|log| libm::exp(power * (log - most))).collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter().map(|weight| weight / sum).collect()
}

/// How many draws of equal weight these are worth (Kong 1992).
pub(super) fn worth(weights: &[f64]) -> f64 {
    1.0 / weights.iter().map(|weight| weight * weight).sum::<f64>()
}

/// Draws from what is known with these records.
pub(super) fn sample(
    (model, errors): (&mut Model<'_>, &[RecordErrors]),
    mode: Mode,
    seed: u64,
    effort: Effort,
) -> Draws {
    let mut numbers = Numbers::new(seed, 1);
    let Some(mut proposal) = Proposal::new(mode.z, mode.spread) else { return Draws::default() };
    for _ in 0..effort.rounds {
        let round = Draws::of((model, errors), &proposal, (effort.round, &mut numbers), false);
        proposal = round.next().unwrap_or(proposal);
    }
    let mut draws = Draws::of((model, errors), &proposal, (effort.last, &mut numbers), true);
    for _ in 0..effort.again {
        if worth(&draws.weights) >= effort.worth {
            break;
        }
        proposal = draws.next().unwrap_or(proposal);
        draws = Draws::of((model, errors), &proposal, (effort.last, &mut numbers), true);
    }
    draws
}
