//! What a grower's own records say of the assumptions. Each uncertain value starts with its range; records of beds that were fed and harvested
//! narrow it (Bayes), together: what litres alone cannot tell apart, a sieve share and a weighed container do.

mod check;
mod correlations;
mod errors;
mod fit;
mod mode;
mod model;
mod one_more;
mod posterior;
mod sampler;

pub use check::{RecordPlace, Refused, check};
pub use fit::{Fit, MisfitReason, Value};
pub use model::CALIBRATABLE;

pub use one_more::{Kind, OneMore};

use crate::garden::assumptions::{Assumption, Correlation, Overrides, Span};
use crate::garden::beds::{Clocks, History, Observation};
use crate::garden::draws::{Drawn, normal_chance, split_triangle};
use crate::garden::refusal::Refusal;
use errors::RecordErrors;
use model::Model;
pub use posterior::PosteriorDraws;
use posterior::{PERCENTS, Sorted, triangle};
use sampler::{Draws, WITH_ALL, WITHOUT_ONE, sample, worth};

/// The most beds with records. Source: limit of this service.
pub const MAX_RECORDS: usize = 50;
/// The most observations of all beds together. Source: limit of this service.
pub const MAX_OBSERVATIONS: usize = 300;
/// Days after the last date of all records until which a bed is followed. Source: how this service works: more than a year, so that what rests over
/// a winter goes on.
pub const DAYS_AFTER: u64 = 400;
/// A value has moved where its 90 % range is narrower than this share of what it was. Source: how this service works: what chance alone does
/// to draws is less.
const NARROWER: f64 = 0.95;
/// Or where its middle has moved by this share of that range. Source: how this service works.
const SHIFTED: f64 = 0.03;
/// Half of the chance. Source: identity.
const MIDDLE: f64 = 0.5;
/// The share of a range at each end that is its outer part; half of the weight there says that the range is left. Source: how this service
/// works.
const OUTER: f64 = 0.025;

/// One bed with what was observed of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// What was done with it.
    pub history: History,
    /// What was observed.
    pub observations: Vec<Observation>,
    /// The place of its clocks.
    pub clocks: usize,
}

/// What the records of a request share.
#[derive(Debug, Clone, Copy)]
pub struct Gathered<'a> {
    /// The clocks, each once; they go on for [`DAYS_AFTER`] days after the last date.
    pub clocks: &'a [Clocks],
    /// What the request knows better.
    pub request: &'a Overrides,
    /// The seed of the draws.
    pub seed: u64,
}

/// A value that records have moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibrated {
    /// Which.
    pub assumption: Assumption,
    /// Its range before.
    pub before: Span,
    /// Its range now: the triangle, split in its middle, that has the percentiles.
    pub after: Span,
    /// 5, 50 and 95 of 100 lie below these.
    pub percentiles: [f64; 3],
    /// How many observations depend on it.
    pub observations: u32,
    /// True if more than half of the chance lies in the outer 5 % of the range before.
    pub outside: bool,
    /// By how much each record has moved the middle, in the order of the request.
    pub moved_by: Vec<f64>,
}

/// What records say.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// The values that have moved, in the order of the table.
    pub values: Vec<Calibrated>,
    /// How these go together.
    pub correlations: Vec<Correlation>,
    /// How each observation of each record fits, in the order of the request.
    pub records: Vec<Vec<Fit>>,
    /// What one more record of each kind would bring.
    pub one_more: Vec<OneMore>,
    /// How many draws of equal weight the draws are worth.
    pub worth: f64,
    /// Draws from what is known now.
    pub draws: PosteriorDraws,
}

/// Answers "what do my records say of the assumptions?"
///
/// Each value is a number of the standard normal distribution, through the chance of its split triangle; with [`RecordErrors`] the most likely
/// values are found by damped Gauss-Newton steps, and draws around them are weighed (importance sampling).
///
/// # Errors
/// What [`crate::garden::beds::HistorySimulator::new`] refuses. What [`check`] finds is to be refused before.
pub fn calibrate(records: &[Record], gathered: &Gathered<'_>) -> Result<Calibration, Refusal> {
    let order = in_order(records, gathered);
    let sorted: Vec<&Record> = order.iter().filter_map(|place| records.get(*place)).collect();
    let mut model = Model::new(&sorted, gathered)?;
    let solved = solve(&mut model, gathered);
    let others = with_others((&sorted, &order), (&mut model, &solved), gathered);
    let (fits, without): (Vec<_>, Vec<_>) = others.into_iter().unzip();
    let depend = one_more::observations_of(&mut model, &solved);
    let values = calibrated(&model, &solved, (&without, &depend));
    let correlations = correlations::correlations(&model, &solved.draws, &values);
    let one_more = one_more::one_more(&mut model, (&sorted, gathered), &solved.draws)?;
    let Draws { z, weights, .. } = solved.draws;
    Ok(Calibration {
        values,
        correlations,
        records: fits,
        one_more,
        worth: worth(&weights),
        draws: PosteriorDraws { values: model.values.iter().map(|(which, ..)| *which).collect(), z, weights },
    })
}

/// How each record fits, with what the others say; and the middles of all values without it. In the order of the request.
fn with_others(
    (sorted, order): (&[&Record], &[usize]),
    (model, solved): (&mut Model<'_>, &Solved),
    gathered: &Gathered<'_>,
) -> Vec<(Vec<Fit>, Vec<f64>)> {
    let before = fit::draws_before(model, gathered.seed);
    let noise = fit::Noise::new(gathered.seed);
    let mut anew_left = MAX_ANEW;
    let mut all = vec![(Vec::new(), Vec::new()); sorted.len()];
    for (place, (record, of)) in sorted.iter().zip(order).enumerate() {
        let (Some(errors), Some(clocks)) = (solved.errors.get(place), gathered.clocks.get(record.clocks)) else {
            continue;
        };
        let (weights, anew) = solved.without(place, (model, gathered.seed), &mut anew_left);
        let anew = anew.as_ref();
        let others = (sorted.len() > 1).then_some((anew, weights.as_slice()));
        let compared = fit::Compared { before: &before, after: &solved.draws, others, noise: &noise };
        let fits = fit::fits((record, errors), (model, place), clocks, &compared);
        let own = anew.map(|draws| sorted_values(model, draws));
        let values = own.as_ref().unwrap_or(&solved.values).iter();
        let middles = values.map(|value| value.quantile(MIDDLE, &weights)).collect();
        if let Some(found) = all.get_mut(*of) {
            *found = (fits, middles);
        }
    }
    all
}

/// The order in which records are added up, whatever that of the request: by what they hold.
fn in_order(records: &[Record], gathered: &Gathered<'_>) -> Vec<usize> {
    let warmth = |record: &Record| {
        let clocks = gathered.clocks.get(record.clocks);
        clocks.map_or(0, |of| of.warm_days(of.first(), of.last()).to_bits())
    };
    let key = |record: &Record| format!("{:?} {:?} {}", record.history, record.observations, warmth(record));
    let mut keyed: Vec<(String, usize)> = records.iter().enumerate().map(|(i, record)| (key(record), i)).collect();
    keyed.sort();
    keyed.into_iter().map(|(_, place)| place).collect()
}

/// What is known with all records.
struct Solved {
    errors: Vec<RecordErrors>,
    draws: Draws,
    /// The draws of each value, sorted.
    values: Vec<Sorted>,
    z: Vec<f64>,
}

fn solve(model: &mut Model<'_>, gathered: &Gathered<'_>) -> Solved {
    let start = vec![0.0; model.values.len()];
    let mut errors = errors::plain(model);
    let mut mode = mode::mode(model, &errors, &start);
    // What worms and weather add depends on the values, and these on it.
    for _ in 1..MODES {
        errors = errors::together(model, &mode.z, gathered);
        mode = mode::mode(model, &errors, &mode.z);
    }
    let z = mode.z.clone();
    let draws = sample((model, &errors), mode, gathered.seed, WITH_ALL);
    let values = sorted_values(model, &draws);
    Solved { errors, draws, values, z }
}

/// The most records without which what is known is drawn anew; of the others the weights tell it, as they are. Source: limit of this service.
const MAX_ANEW: usize = 5;
/// The most draws of a calibration.
pub const MAX_DRAWS: usize = WITH_ALL.most()
    + MAX_ANEW * WITHOUT_ONE.most()
    + fit::BEFORE
    + (MODES + MAX_ANEW) * mode::most(model::CALIBRATABLE.len());
/// The clocks that are made of the weather of each climate. Source: how this service works.
pub const CLOCKS_OF_WEATHER: usize = (MODES - 1) * errors::DRAWS;
/// How often the most likely values are looked for with all records. Source: how this service works.
const MODES: usize = 3;
/// Draws by weights that are worth fewer than these are made anew. Source: how this service works.
const WORTH_WITHOUT: f64 = 200.0;

impl Solved {
    /// What would be known without one record: the same draws with these weights, or where too few of them are worth anything, other draws.
    /// `left` counts how often there may be others.
    fn without(
        &self,
        place: usize,
        (model, seed): (&mut Model<'_>, u64),
        left: &mut usize,
    ) -> (Vec<f64>, Option<Draws>) {
        let weights = self.draws.without(place, self.errors.len());
        if *left == 0 || worth(&weights) >= WORTH_WITHOUT {
            return (weights, None);
        }
        *left -= 1;
        let others = |(of, _): &(usize, &RecordErrors)| *of != place;
        let rest: Vec<RecordErrors> =
            self.errors.iter().enumerate().filter(others).map(|(_, errors)| errors.clone()).collect();
        let mode = mode::mode(model, &rest, &self.z);
        let draws = sample((model, &rest), mode, seed, WITHOUT_ONE);
        (draws.weights.clone(), Some(draws))
    }
}

/// The values that have moved. `without`: their middles without each record.
fn calibrated(model: &Model<'_>, solved: &Solved, (without, depend): (&[Vec<f64>], &[u32])) -> Vec<Calibrated> {
    let mut found: Vec<Calibrated> = Vec::new();
    let values = model.values.iter().zip(&solved.values).zip(depend).enumerate();
    for (place, (((assumption, drawn, _), value), observations)) in values {
        let before = drawn.span();
        let percentiles = value.quantiles(PERCENTS, &solved.draws.weights);
        if !moved(percentiles, before) {
            continue;
        }
        let [_, middle, _] = percentiles;
        let by = |middles: &Vec<f64>| middles.get(place).map_or(0.0, |without| middle - without);
        found.push(Calibrated {
            assumption: *assumption,
            before,
            after: triangle(percentiles, before),
            percentiles,
            observations: *observations,
            outside: is_outside(&solved.draws, place),
            moved_by: without.iter().map(by).collect(),
        });
    }
    found.sort_by_key(|value| value.assumption);
    found
}

/// The draws of each value, sorted.
fn sorted_values(model: &Model<'_>, draws: &Draws) -> Vec<Sorted> {
    let sorted = |(place, (_, drawn, _)): (usize, &(_, Drawn, _))| {
        Sorted::of(column(draws, place).map(|z| drawn.of_chance(normal_chance(z))))
    };
    model.values.iter().enumerate().map(sorted).collect()
}

/// One value of all draws.
fn column(draws: &Draws, place: usize) -> impl Iterator<Item = f64> {
    draws.z.iter().skip(place).step_by(draws.values.max(1)).copied()
}

/// Whether a value has moved.
fn moved([low, middle, high]: [f64; 3], before: Span) -> bool {
    let [before_low, before_middle, before_high] = PERCENTS.map(|u| split_triangle(before, u));
    let width = before_high - before_low;
    high - low < NARROWER * width || (middle - before_middle).abs() > SHIFTED * width
}

/// Whether more than half of the chance lies in the outer part of the range before.
fn is_outside(draws: &Draws, place: usize) -> bool {
    let outer = |z: &f64| !(OUTER..=1.0 - OUTER).contains(&normal_chance(*z));
    let weight: f64 =
        column(draws, place).zip(&draws.weights).filter(|(z, _)| outer(z)).map(|(_, weight)| weight).sum();
    weight > 0.5
}
