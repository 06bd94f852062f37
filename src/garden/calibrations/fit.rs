//! How each observation fits: what was forecast before, what came, and what would be forecast now and from the other records.

use super::Record;
use super::errors::RecordErrors;
use super::model::{Model, Seen};
use super::posterior::Sorted;
use super::sampler::{Draws, WITH_ALL};
use crate::garden::beds::{Clocks, Observation};
use crate::garden::draws::{Numbers, normal_chance};
use crate::garden::units::{Density, Mass, Share, Volume};
use chrono::NaiveDate;

/// Draws as if there were no records, for the forecast before. Source: how this service works.
pub(super) const BEFORE: usize = 4_000;
/// An observation does not fit where one as far off or farther has less than this chance among all observations. Source: common practice, no
/// source: 5 of 100, corrected for the number of tests (Bonferroni).
const UNLIKELY: f64 = 0.05;
/// The percentiles of a forecast. Source: how this service works.
const SHOWN: [f64; 3] = [0.1, 0.5, 0.9];

/// What is observed, in its own measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A day.
    Day(NaiveDate),
    /// Castings.
    Volume(Volume),
    /// Worms.
    Mass(Mass),
    /// A share.
    Share(Share),
    /// A bulk density.
    Density(Density),
}

/// Why an observation may not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MisfitReason {
    /// More castings than forecast.
    MoreCastings,
    /// Fewer castings than forecast.
    FewerCastings,
    /// Earlier than forecast.
    Earlier,
    /// Later than forecast.
    Later,
    /// More worms than forecast.
    MoreWorms,
    /// Fewer worms than forecast.
    FewerWorms,
    /// A share or a density above the forecast.
    Above,
    /// A share or a density below the forecast.
    Below,
}

/// How an observation fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// What was observed.
    pub observation: Observation,
    /// The same in its own measure.
    pub seen: Value,
    /// 10, 50 and 90 of 100 of what would be recorded lie below these: by what was known without records.
    pub before: [Value; 3],
    /// By what is known with all records.
    pub after: [Value; 3],
    /// By what the other records say; `None` where there are none.
    pub from_others: Option<[Value; 3]>,
    /// The chance that one is as far off or farther, by the other records, or by all where that is less.
    pub chance: f64,
    /// Why it may not fit, where it does not.
    pub off: Option<MisfitReason>,
}

/// What each observation is compared with.
pub(super) struct Compared<'a> {
    /// Draws as if there were no records.
    pub before: &'a Draws,
    /// Draws with all records.
    pub after: &'a Draws,
    /// The weights of these, or of other draws, with all other records; `None` where there are none.
    pub others: Option<(Option<&'a Draws>, &'a [f64])>,
    /// An error for each draw.
    pub noise: &'a Noise,
}

/// An error for each draw, in standard deviations: the same for all observations.
pub(super) struct Noise(Vec<f64>);

impl Noise {
    pub fn new(seed: u64) -> Self {
        let mut numbers = Numbers::new(seed, 3);
        Self((0..WITH_ALL.kept().max(BEFORE)).map(|_| numbers.normal()).collect())
    }
}

/// How the observations of one record fit.
pub(super) fn fits(
    (record, errors): (&Record, &RecordErrors),
    (model, place): (&Model<'_>, usize),
    clocks: &Clocks,
    compared: &Compared<'_>,
) -> Vec<Fit> {
    let count = model.observations();
    let many = u32::try_from(count).map_or(f64::MAX, f64::from);
    let Some(compiled) = model.records.get(place) else { return Vec::new() };
    let fit_of = |(i, (observation, seen)): (usize, (&Observation, &Seen))| {
        let column = Column { place: compiled.from + i, count };
        let deviation = errors.deviations.get(i).copied().unwrap_or(0.0);
        let with = |draws: &Draws| Forecast::new(draws, column, (deviation, compared.noise));
        let (before, all) = (with(compared.before), with(compared.after));
        let anew = compared.others.and_then(|(anew, _)| anew).map(with);
        let before = before.weighed(&compared.before.weights);
        let after = all.weighed(&compared.after.weights);
        let by_other_records = compared.others.map(|(_, weights)| anew.as_ref().unwrap_or(&all).weighed(weights));
        // One record has no others: what was known before is taken instead.
        let basis = by_other_records.as_ref().unwrap_or(&before);
        let chance = basis.chance(seen).min(after.chance(seen));
        let values = |weighed: &Weighed<'_>| weighed.values(observation, clocks);
        Fit {
            observation: *observation,
            seen: value(observation, at(seen), clocks),
            before: values(&before),
            after: values(&after),
            from_others: by_other_records.as_ref().map(values),
            chance,
            off: (chance * many < UNLIKELY).then(|| why(observation, at(seen) > basis.middle())),
        }
    };
    record.observations.iter().zip(&compiled.seen).enumerate().map(fit_of).collect()
}

/// Draws as if there were no records.
pub(super) fn draws_before(model: &mut Model<'_>, seed: u64) -> Draws {
    let mut numbers = Numbers::new(seed, 2);
    let mut draws = Draws { values: model.values.len(), ..Draws::default() };
    let mut predicted = Vec::new();
    for _ in 0..BEFORE {
        let z: Vec<f64> = model.values.iter().map(|_| numbers.normal()).collect();
        model.predict(&z, &mut predicted);
        draws.z.extend(z);
        draws.predicted.extend_from_slice(&predicted);
    }
    draws.weights = vec![1.0 / f64::from(u32::try_from(BEFORE).unwrap_or(1)); BEFORE];
    draws
}

/// Where one observation lies among all of a draw.
#[derive(Clone, Copy)]
struct Column {
    place: usize,
    count: usize,
}

/// What draws say of one observation, with its error.
struct Forecast {
    /// What the simulator gives in each draw.
    exact: Vec<f64>,
    deviation: f64,
    /// With an error for each draw.
    recorded: Sorted,
}

impl Forecast {
    fn new(draws: &Draws, Column { place, count }: Column, (deviation, noise): (f64, &Noise)) -> Self {
        let exact: Vec<f64> = draws.predicted.iter().skip(place).step_by(count.max(1)).copied().collect();
        let recorded = Sorted::of(exact.iter().zip(&noise.0).map(|(value, noise)| value + deviation * noise));
        Self { exact, deviation, recorded }
    }

    fn weighed<'a>(&'a self, weights: &'a [f64]) -> Weighed<'a> {
        Weighed { of: self, weights }
    }
}

/// The same with a weight for each draw.
struct Weighed<'a> {
    of: &'a Forecast,
    weights: &'a [f64],
}

impl Weighed<'_> {
    fn middle(&self) -> f64 {
        self.of.recorded.quantile(0.5, self.weights)
    }

    /// The chance of one as far off as this or farther.
    fn chance(&self, seen: &Seen) -> f64 {
        let below = |at: f64| -> f64 {
            let all = self.of.exact.iter().zip(self.weights);
            all.map(|(value, weight)| weight * normal_chance((at - value) / self.of.deviation)).sum()
        };
        match seen {
            Seen::About(at, _) => {
                let below = below(*at);
                2.0 * below.min(1.0 - below)
            }
            Seen::After(at, _) => 1.0 - below(*at),
        }
    }

    fn values(&self, observation: &Observation, clocks: &Clocks) -> [Value; 3] {
        self.of.recorded.quantiles(SHOWN, self.weights).map(|of| value(observation, of, clocks))
    }
}

fn at(seen: &Seen) -> f64 {
    match seen {
        Seen::About(at, _) | Seen::After(at, _) => *at,
    }
}

/// A number of the simulator in the measure of what was observed.
fn value(observation: &Observation, number: f64, clocks: &Clocks) -> Value {
    match observation {
        Observation::Harvested { .. } => Value::Volume(Volume::from_litres(libm::exp(number))),
        Observation::Ready { .. } | Observation::Eaten { .. } | Observation::NotEaten { .. } => {
            Value::Day(clocks.on_day(number))
        }
        Observation::WormsWeighed { .. } | Observation::HarvestedMass { .. } => {
            Value::Mass(Mass::from_kilograms(libm::exp(number)))
        }
        Observation::Ash(_) | Observation::SieveYield(_) => Value::Share(Share::from_fraction(number.clamp(0.0, 1.0))),
        Observation::BulkDensity(_) | Observation::DryBulkDensity(_) => {
            Value::Density(Density::from_kilograms_per_cubic_metre(libm::exp(number)))
        }
    }
}

/// Why an observation may lie above or below what is forecast.
fn why(observation: &Observation, above: bool) -> MisfitReason {
    let either = |more, less| if above { more } else { less };
    match observation {
        Observation::Harvested { .. } | Observation::HarvestedMass { .. } => {
            either(MisfitReason::MoreCastings, MisfitReason::FewerCastings)
        }
        Observation::Ready { .. } | Observation::Eaten { .. } | Observation::NotEaten { .. } => {
            either(MisfitReason::Later, MisfitReason::Earlier)
        }
        Observation::WormsWeighed { .. } => either(MisfitReason::MoreWorms, MisfitReason::FewerWorms),
        Observation::Ash(_)
        | Observation::SieveYield(_)
        | Observation::BulkDensity(_)
        | Observation::DryBulkDensity(_) => either(MisfitReason::Above, MisfitReason::Below),
    }
}

impl MisfitReason {
    /// The reason in words, and what to look at.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::MoreCastings => {
                "more castings than expected: a feeding may be missing, or feed that was not yet eaten was counted"
            }
            Self::FewerCastings => {
                "fewer castings than expected: part of them may still lie in the bed, or a feeding was smaller than noted"
            }
            Self::Earlier => "earlier than expected: a feeding may have been smaller than noted, or the bed warmer",
            Self::Later => {
                "later than expected: the day may be that of a late harvest or a late look, or the bed was colder or \
                 dry"
            }
            Self::MoreWorms => "more worms than expected: bedding or water may have been weighed with them",
            Self::FewerWorms => "fewer worms than expected: some may have been left in the bed, or have died or left",
            Self::Above => "higher than expected: soil may have got into the sample, or the unit may be wrong",
            Self::Below => "lower than expected: the sample may be from another harvest, or the unit may be wrong",
        }
    }
}
