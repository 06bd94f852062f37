//! What one more record of each kind would bring: the bed that was harvested last, fed once more as for its last harvest.

use super::model::{Model, Seen, seen};
use super::sampler::Draws;
use super::{Gathered, Record, Solved};
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::beds::{ClockDrawn, History, HistorySimulator, Observation};
use crate::garden::closed_list::closed_list;
use crate::garden::draws::{Run, Variables};
use crate::garden::interrupt::check;
use crate::garden::refusal::Refusal;
use crate::garden::units::{Density, Mass, Share, Volume};
use chrono::Days;

/// Every so many draws one is looked at. Source: how this service works.
const EVERY: usize = 8;
/// Worms are weighed so many days after the last feeding. Source: how this service works.
const WEIGHED_AFTER: u64 = 30;
/// A value moves an observation where one standard deviation of it moves that by more than this part of its error. Source: how this service
/// works.
const TELLS: f64 = 0.05;

closed_list! {
    /// A kind of record, in the order in which they are reported.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Kind {
        /// The castings of a harvest.
        Harvested = "harvested",
        /// The day on which castings are ready.
        Ready = "ready",
        /// The day on which the last feeding is eaten.
        Eaten = "eaten",
        /// Worms weighed a month after the last feeding.
        WormsWeighed = "worms_weighed",
        /// Ash of the castings.
        Ash = "ash",
        /// The share that passes the sieve.
        SieveYield = "sieve_yield",
        /// A weighed container of castings, with their moisture.
        DryBulkDensity = "dry_bulk_density",
    }
}

/// What one more record of a kind would bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneMore {
    /// The kind.
    pub kind: Kind,
    /// To which share of its width the range of what will be recorded of the castings of the next harvest would narrow.
    pub castings: Share,
    /// To which share of its width the range of the day that will be recorded for them would narrow.
    pub day: Share,
}

/// What one more record of each kind would bring, from the draws: a value that is linked to the record by a straight line keeps
/// `sqrt(1 - cov^2 / (v1 v2))` of its width, `v1` and `v2` being how both vary, with the errors of what is recorded.
///
/// # Errors
/// What [`HistorySimulator::new`] refuses.
pub(super) fn one_more(
    model: &mut Model<'_>,
    (records, gathered): (&[&Record], &Gathered<'_>),
    draws: &Draws,
) -> Result<Vec<OneMore>, Refusal> {
    let last = |record: &&&Record| record.history.harvested_on.last().copied();
    let Some(record) = records.iter().filter(|record| !record.history.fed.is_empty()).max_by_key(last) else {
        return Ok(Vec::new());
    };
    let Some(clocks) = gathered.clocks.get(record.clocks).filter(|_| draws.values > 0) else { return Ok(Vec::new()) };
    let none = Overrides::default();
    let known = Known { request: gathered.request, item: &none };
    let (history, observations) = once_more(&record.history, clocks.last());
    let mut variables = Variables::default();
    let clock = ClockDrawn::without_weather(known, &mut variables);
    let mut simulator = HistorySimulator::new((&history, &observations), clocks, known, &mut variables)?;
    let errors: Vec<f64> = observations.iter().map(|of| deviation(&seen(of, clocks, known))).collect();
    let columns: Vec<Option<usize>> =
        variables.all().iter().map(|which| model.variables.all().iter().position(|of| of == which)).collect();
    let mut rows = Vec::new();
    let mut out = Vec::new();
    for (z, weight) in draws.rows(&draws.weights).step_by(EVERY) {
        check();
        model.set(z);
        let value = |column: &Option<usize>| column.and_then(|at| model.row().get(at)).copied().unwrap_or(0.5);
        let row: Vec<f64> = columns.iter().map(value).collect();
        let run = Run::of(&row);
        let own = clock.clock(clocks, &run);
        out.clear();
        simulator.run(&run, (clocks, own.as_ref().unwrap_or(clocks.likely()), 1.0), &mut out);
        rows.push((out.clone(), weight));
    }
    Ok(narrowing(&rows, &errors))
}

/// A history with one observation of each kind of its last harvest; where there was none, once all of its feed is eaten.
fn once_more(of: &History, end: chrono::NaiveDate) -> (History, Vec<Observation>) {
    let mut history = of.clone();
    if history.harvested_on.is_empty() {
        history.harvested_on.push(end);
    }
    let harvest = history.harvested_on.len().saturating_sub(1);
    let harvested_on = history.harvested_on.last().copied().unwrap_or(end);
    let feeding = history.fed.partition_point(|(on, _)| *on < harvested_on).saturating_sub(1);
    let on = history.fed.get(feeding).map_or(history.start_on, |(on, _)| *on);
    let weighed_on = on.checked_add_days(Days::new(WEIGHED_AFTER)).unwrap_or(on).min(harvested_on);
    let observation = |kind| match kind {
        Kind::Harvested => Observation::Harvested { harvest, castings: Volume::from_litres(1.0) },
        Kind::Ready => Observation::Ready { harvest, on },
        Kind::Eaten => Observation::Eaten { feeding, on },
        Kind::WormsWeighed => Observation::WormsWeighed { on: weighed_on, worms: Mass::from_kilograms(1.0) },
        Kind::Ash => Observation::Ash(Share::from_fraction(0.5)),
        Kind::SieveYield => Observation::SieveYield(Share::from_fraction(0.5)),
        Kind::DryBulkDensity => Observation::DryBulkDensity(Density::from_kilograms_per_cubic_metre(1.0)),
    };
    (history, Kind::ALL.iter().copied().map(observation).collect())
}

/// What each kind of record would narrow.
fn narrowing(rows: &[(Vec<f64>, f64)], errors: &[f64]) -> Vec<OneMore> {
    let total: f64 = rows.iter().map(|(_, weight)| weight).sum();
    let rows = rows.iter().map(|(row, weight)| (row.as_slice(), weight / total));
    let (_, spread) = crate::garden::linear::moments(rows, Kind::ALL.len());
    let entry = |i: usize, j: usize| spread.get(i).and_then(|row| row.get(j)).copied().unwrap_or(0.0);
    let varies = |place: usize| {
        let error = errors.get(place).copied().unwrap_or(0.0);
        entry(place, place) + error * error
    };
    let left = |target: usize, kind: usize| {
        let both = entry(target, kind);
        let gone = both * both / (varies(target) * varies(kind));
        Share::from_fraction((1.0 - gone).max(0.0).sqrt())
    };
    let one_more = |(place, kind): (usize, Kind)| OneMore { kind, castings: left(0, place), day: left(1, place) };
    Kind::ALL.iter().copied().enumerate().map(one_more).collect()
}

fn deviation(seen: &Seen) -> f64 {
    match seen {
        Seen::About(_, deviation) | Seen::After(_, deviation) => *deviation,
    }
}

/// For each value of a model how many observations depend on it.
pub(super) fn observations_of(model: &mut Model<'_>, solved: &Solved) -> Vec<u32> {
    let (mut up, mut down) = (Vec::new(), Vec::new());
    let errors: Vec<f64> = solved.errors.iter().flat_map(|of| of.deviations.iter().copied()).collect();
    (0..model.values.len())
        .map(|place| {
            let at = |by: f64| -> Vec<f64> {
                solved.z.iter().enumerate().map(|(i, z)| if i == place { z + by } else { *z }).collect()
            };
            model.predict(&at(0.5), &mut up);
            model.predict(&at(-0.5), &mut down);
            let tells =
                up.iter().zip(&down).zip(&errors).filter(|((up, down), error)| (**up - **down).abs() > TELLS * **error);
            u32::try_from(tells.count()).unwrap_or(u32::MAX)
        })
        .collect()
}
