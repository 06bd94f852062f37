//! What records say of a set of values: each uncertain value as a number `z` of the standard normal distribution, and each observation as the
//! simulator gives it.

use super::{Gathered, Record};
use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::beds::{ClockDrawn, Clocks, HistorySimulator, NOON, Observation};
use crate::garden::draws::{Drawn, Run, Variable, Variables, normal_chance};
use crate::garden::formulas::DAY;
use crate::garden::interrupt::check;
use crate::garden::refusal::Refusal;
use libm::log;

/// The assumptions that records can inform: the values that beds, castings and their days depend on.
pub const CALIBRATABLE: [Assumption; 16] = [
    Assumption::FeedRate,
    Assumption::DoublingTime,
    Assumption::CarryingCapacity,
    Assumption::StockingDensity,
    Assumption::Recovered,
    Assumption::Finishing,
    Assumption::Drying,
    Assumption::OrganicMatterLoss,
    Assumption::SieveYield,
    Assumption::BulkDensity,
    Assumption::DryBulkDensity,
    Assumption::Moisture,
    Assumption::StoppedBelow,
    Assumption::ComfortLow,
    Assumption::ComfortHigh,
    Assumption::StoppedAbove,
];
/// How far a value is moved to see whether any observation depends on it. Source: how this service works.
const FAR: f64 = 1.5;

/// A record, ready to be simulated.
#[derive(Debug, Clone)]
pub(super) struct Compiled {
    pub simulator: HistorySimulator,
    /// The place of its clocks.
    pub clocks: usize,
    /// What was seen, as [`HistorySimulator::run`] gives it.
    pub seen: Vec<Seen>,
    /// Where its observations lie among all.
    pub from: usize,
}

/// What was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seen {
    /// This much, with this standard deviation.
    About(f64, f64),
    /// Not by this time; the standard deviation.
    After(f64, f64),
}

/// All records and the values they may tell of.
#[derive(Debug, Clone)]
pub(super) struct Model<'a> {
    pub records: Vec<Compiled>,
    clocks: Vec<(&'a Clocks, ClockDrawn)>,
    pub variables: Variables,
    /// The values that some observation depends on: which, its range, its column.
    pub values: Vec<(Assumption, Drawn, usize)>,
    row: Vec<f64>,
}

impl<'a> Model<'a> {
    /// The model of these records, in their order.
    ///
    /// # Errors
    /// What [`HistorySimulator::new`] refuses.
    pub fn new(records: &[&Record], gathered: &Gathered<'a>) -> Result<Self, Refusal> {
        let none = Overrides::default();
        let known = Known { request: gathered.request, item: &none };
        let mut variables = Variables::default();
        let clocks =
            gathered.clocks.iter().map(|of| (of, ClockDrawn::without_weather(known, &mut variables))).collect();
        let (mut compiled, mut from) = (Vec::with_capacity(records.len()), 0);
        for record in records {
            let Some(clocks) = gathered.clocks.get(record.clocks) else { continue };
            let history = (&record.history, record.observations.as_slice());
            let simulator = HistorySimulator::new(history, clocks, known, &mut variables)?;
            let seen: Vec<Seen> = record.observations.iter().map(|of| seen(of, clocks, known)).collect();
            let count = seen.len();
            compiled.push(Compiled { simulator, clocks: record.clocks, seen, from });
            from += count;
        }
        let row = vec![0.5; variables.all().len()];
        let mut model = Self { records: compiled, clocks, variables, values: Vec::new(), row };
        model.values = model.informed_values(known);
        Ok(model)
    }

    /// The values that some observation depends on.
    fn informed_values(&mut self, known: Known<'_>) -> Vec<(Assumption, Drawn, usize)> {
        let (mut likely, mut moved) = (Vec::new(), Vec::new());
        let all: Vec<_> = CALIBRATABLE
            .iter()
            .filter_map(|which| {
                let column = self.variables.all().iter().position(|of| *of == Variable::Assumption(*which))?;
                let drawn = self.variables.take(Variable::Assumption(*which), known.get(*which)?.span);
                Some((*which, drawn, column))
            })
            .collect();
        self.predict(&[], &mut likely);
        let mut depends = |model: &mut Self, value| {
            model.values = vec![value];
            [FAR, -FAR].into_iter().any(|z| {
                model.predict(&[z], &mut moved);
                moved != likely
            })
        };
        let found = all.into_iter().filter(|value| depends(self, *value)).collect();
        self.values = Vec::new();
        found
    }

    /// How many observations there are.
    pub fn observations(&self) -> usize {
        self.records.iter().map(|record| record.seen.len()).sum()
    }

    /// What the simulator gives for each observation with these values.
    pub fn predict(&mut self, z: &[f64], out: &mut Vec<f64>) {
        check();
        self.set(z);
        let run = Run::of(&self.row);
        let own: Vec<_> = self.clocks.iter().map(|(clocks, drawn)| drawn.clock(clocks, &run)).collect();
        out.clear();
        for record in &mut self.records {
            let Some((clocks, _)) = self.clocks.get(record.clocks) else { continue };
            let clock = own.get(record.clocks).and_then(Option::as_ref).unwrap_or(clocks.likely());
            record.simulator.run(&run, (clocks, clock, 1.0), out);
        }
    }

    /// The row of draws, as it was last set.
    pub fn row(&self) -> &[f64] {
        &self.row
    }

    /// The row of draws with these values; every other value is the likely one.
    pub fn set(&mut self, z: &[f64]) {
        self.row.fill(0.5);
        for ((.., column), z) in self.values.iter().zip(z) {
            if let Some(u) = self.row.get_mut(*column) {
                *u = normal_chance(*z);
            }
        }
    }
}

/// What was seen, with its error.
pub(super) fn seen(observation: &Observation, clocks: &Clocks, known: Known<'_>) -> Seen {
    let error = |which| known.get(which).map_or(0.0, |assumed| assumed.span.likely);
    let days = error(Assumption::RecordedDay) / DAY;
    let (amount, cycle) = (error(Assumption::RecordedAmount), error(Assumption::CycleToCycle));
    let harvest = (amount * amount + cycle * cycle).sqrt();
    let noon = |on| clocks.time(on) + NOON;
    match *observation {
        Observation::Harvested { castings, .. } => Seen::About(log(castings.litres()), harvest),
        Observation::HarvestedMass { castings, .. } => Seen::About(log(castings.kilograms()), harvest),
        Observation::Ready { on, .. } => Seen::About(clocks.time(on), days),
        Observation::Eaten { on, .. } => Seen::About(noon(on), days),
        Observation::NotEaten { on, .. } => Seen::After(noon(on), days),
        Observation::WormsWeighed { worms, .. } => {
            Seen::About(log(worms.kilograms()), error(Assumption::RecordedWorms))
        }
        Observation::Ash(share) => Seen::About(share.fraction(), error(Assumption::RecordedAsh)),
        Observation::SieveYield(share) => Seen::About(share.fraction(), error(Assumption::RecordedSieveYield)),
        Observation::BulkDensity(density) | Observation::DryBulkDensity(density) => {
            Seen::About(log(density.kilograms_per_cubic_metre()), error(Assumption::RecordedWeight))
        }
    }
}
