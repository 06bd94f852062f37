//! A bed as it was fed and harvested: what the simulator says of each thing that was observed, with one set of values.

use super::clock::Clock;
use super::clocks::Clocks;
use super::drawn::DrawnBed;
use super::layers::{Closed, Cycle, Kind, On, Portion};
use super::pacing::Pacing;
use super::timeline::{Course, Timeline};
use super::worms::Pace;
use crate::garden::assumptions::Known;
use crate::garden::draws::{Run, Variables};
use crate::garden::figures::Recorder;
use crate::garden::formulas::DryMatterFed;
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfMass, OfShare};
use crate::garden::units::{Area, Density, Estimate, Mass, Share, Volume};
use chrono::NaiveDate;
use libm::log;

/// Litres of a cubic metre. Source: identity.
const LITRES: f64 = 1_000.0;
/// What is seen on a day is seen in the middle of it. Source: how this service works.
pub const NOON: f64 = 0.5;
/// Castings of which nothing is left to measure, L: one drop. Source: tolerance of computing.
const MIN_LITRES: f64 = 5e-5;

/// The dry matter of all feedings, moist `m`, of one moisture.
#[must_use]
pub fn dry_matter_fed(m: Vec<Estimate<OfMass>>, w: Estimate<OfShare>, recorder: impl Recorder) -> Estimate<OfMass> {
    recorder.figure(DryMatterFed { m, w })
}

/// What was done with a bed.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// Its ground.
    pub area: Area,
    /// Live worms at the start; `None`: area x worms.stocking_density.
    pub worms: Option<Mass>,
    /// The morning on which they are put in.
    pub start_on: NaiveDate,
    /// Ash in the dry matter of its feed.
    pub ash: Share,
    /// Feed by the morning on which it was laid, dry matter; in the order of the days.
    pub fed: Vec<(NaiveDate, Mass)>,
    /// The mornings on which all castings were taken out, in order. Feed that is not eaten by then goes back into the bed.
    pub harvested_on: Vec<NaiveDate>,
}

/// What was observed of a bed. Feedings and harvests are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Observation {
    /// The castings of a harvest, sieved, as they lie in store.
    Harvested {
        /// Which harvest.
        harvest: usize,
        /// How much.
        castings: Volume,
    },
    /// The castings of a harvest, weighed.
    HarvestedMass {
        /// Which harvest.
        harvest: usize,
        /// How much.
        castings: Mass,
    },
    /// The day on which the castings of a harvest were ready.
    Ready {
        /// Which harvest.
        harvest: usize,
        /// The day.
        on: NaiveDate,
    },
    /// The day on which a feeding was found eaten.
    Eaten {
        /// Which feeding.
        feeding: usize,
        /// The day.
        on: NaiveDate,
    },
    /// A day on which a feeding was not yet eaten.
    NotEaten {
        /// Which feeding.
        feeding: usize,
        /// The day.
        on: NaiveDate,
    },
    /// Worms weighed on a day.
    WormsWeighed {
        /// The day.
        on: NaiveDate,
        /// How much.
        worms: Mass,
    },
    /// Ash in the dry matter of castings, measured.
    Ash(Share),
    /// The share of castings that passed the sieve.
    SieveYield(Share),
    /// The mass of a volume of castings as they lie in store.
    BulkDensity(Density),
    /// The dry matter of it.
    DryBulkDensity(Density),
}

/// One cycle of a history: from a harvest, or the start, to the next harvest, or for ever.
#[derive(Debug, Clone)]
struct Recorded {
    /// Its first portion is what the cycle before left uneaten.
    cycle: Cycle,
    /// The number of its first feeding.
    first: usize,
    /// The time of its harvest.
    until: f64,
}

/// What is observed, as the simulator gives it.
#[derive(Debug, Clone, Copy)]
enum Reading {
    /// The time at which a portion of a cycle is eaten.
    Eaten { cycle: usize, portion: usize },
    /// The day on which the castings of a cycle are ready.
    Ready { cycle: usize },
    /// Litres of a harvest.
    Litres { cycle: usize },
    /// Kilograms of a harvest.
    Kilograms { cycle: usize },
    /// Worms at a time in a cycle, kg.
    Worms { cycle: usize, time: f64 },
    /// A share or a density, which no cycle changes.
    Lasting(Lasting),
}

#[derive(Debug, Clone, Copy)]
enum Lasting {
    Ash,
    SieveYield,
    Bulk,
    Dry,
}

/// A history to simulate many times.
#[derive(Debug, Clone)]
pub struct HistorySimulator {
    area: Area,
    worms: Option<Mass>,
    ash: f64,
    drawn: DrawnBed,
    start: f64,
    cycles: Vec<Recorded>,
    readings: Vec<Reading>,
}

/// A cycle in one run.
struct SimulatedCycle {
    timeline: Timeline,
    /// Feed eaten by its harvest, kg.
    worked: f64,
}

impl HistorySimulator {
    /// The history of a bed, and what is asked of it.
    ///
    /// # Errors
    /// What [`super::BedSimulator::new`] refuses of what is known of the castings.
    pub fn new(
        (history, observations): (&History, &[Observation]),
        clocks: &Clocks,
        known: Known<'_>,
        variables: &mut Variables,
    ) -> Result<Self, Refusal> {
        let cycles = cycles_of(history, clocks);
        let readings = observations.iter().map(|seen| reading(seen, &cycles, clocks)).collect();
        Ok(Self {
            area: history.area,
            worms: history.worms,
            ash: history.ash.fraction(),
            drawn: DrawnBed::new(history.ash, known, variables)?,
            start: clocks.time(history.start_on),
            cycles,
            readings,
        })
    }

    /// How many portions of feed there are: what a run of it takes grows with them.
    #[must_use]
    pub fn portions(&self) -> usize {
        self.cycles.iter().map(|recorded| recorded.cycle.portions.len()).sum()
    }

    /// What a run says of each observation, in their order: a time in days since the clocks' first morning, a share, or the natural logarithm
    /// of litres, kilograms or kg/m3. Something that does not happen by the clocks' last morning is taken to happen then. The worms at the
    /// start are so many times those that were put in.
    pub fn run(&mut self, run: &Run<'_>, (clocks, clock, worms): (&Clocks, &Clock, f64), visit: &mut Vec<f64>) {
        let pacing = self.drawn.pacing(self.area, self.worms, run);
        let pace = pacing.pace.started_with(pacing.pace.start() * Share::from_fraction(worms));
        let end = super::clock::whole_days(clocks.count());
        let course = Course { clocks, clock, end, scale: 1.0, pacing };
        let ran = self.cycles(&course, pace);
        let (kept, sieve) = (self.drawn.kept(run), self.drawn.sieved(run));
        let (bulk, dry) = self.drawn.densities(run);
        let Self { readings, drawn, ash, .. } = self;
        let litres =
            |cycle: usize| drawn.stored(ran.get(cycle).map_or(0.0, |ran| ran.worked) * kept, run).max(MIN_LITRES);
        visit.extend(readings.iter().map(|reading| match reading {
            Reading::Eaten { cycle, portion } => {
                let step = ran.get(*cycle).and_then(|ran| ran.timeline.worked_portions.get(*portion));
                step.and_then(|step| step.ends).unwrap_or(end)
            }
            Reading::Ready { cycle } => ran.get(*cycle).and_then(|ran| ran.timeline.ready).unwrap_or(end),
            Reading::Litres { cycle } => log(litres(*cycle)),
            Reading::Kilograms { cycle } => log(litres(*cycle) * bulk / LITRES),
            Reading::Worms { cycle, time } => log(ran.get(*cycle).map_or(1.0, |ran| {
                let worked = course.worked_at(&ran.timeline, *time);
                ran.timeline.pace.worms_having_worked(Mass::from_kilograms(worked)).kilograms()
            })),
            Reading::Lasting(Lasting::Ash) => *ash / kept,
            Reading::Lasting(Lasting::SieveYield) => sieve,
            Reading::Lasting(Lasting::Bulk) => log(bulk),
            Reading::Lasting(Lasting::Dry) => log(dry),
        }));
    }

    /// Its cycles, one after the other: what one leaves uneaten is first in the next, with the worms that are got back.
    fn cycles(&mut self, course: &Course<'_>, mut pace: Pace) -> Vec<SimulatedCycle> {
        let Pacing { recovered, .. } = course.pacing;
        let (mut starts, mut left, mut all) = (self.start, 0.0, Vec::with_capacity(self.cycles.len()));
        for Recorded { cycle, until, .. } in &mut self.cycles {
            if let Some(leftover) = cycle.portions.first_mut() {
                leftover.dry = left;
            }
            let timeline = course.run(cycle, (pace, starts), true);
            let worked = course.worked_at(&timeline, until.min(course.end));
            left = (timeline.feed - worked).max(0.0);
            pace = pace.started_with(pace.worms_having_worked(Mass::from_kilograms(worked)) * recovered);
            starts = *until;
            all.push(SimulatedCycle { timeline, worked });
        }
        all
    }
}

/// The cycles between harvests, and what is fed after the last one.
fn cycles_of(history: &History, clocks: &Clocks) -> Vec<Recorded> {
    let ends = history.harvested_on.iter().map(|on| Some(*on)).chain([None]);
    let (mut cycles, mut first) = (Vec::new(), 0);
    for end in ends {
        let rest = history.fed.get(first..).unwrap_or_default();
        let count = end.map_or(rest.len(), |end| rest.partition_point(|(on, _)| *on < end));
        let leftover_portion = Portion { dry: 0.0, there_on: None, fits_from: 0.0, kind: Kind::Lying };
        let laid = rest.iter().take(count).map(|(on, dry)| Portion {
            dry: dry.kilograms(),
            there_on: Some(*on),
            fits_from: 0.0,
            kind: Kind::Full(On::Bed),
        });
        let portions = std::iter::once(leftover_portion).chain(laid).collect();
        let cycle = Cycle { castings: 0.0, portions, closed: Closed::NoMoreFeed, eaten_on: None };
        cycles.push(Recorded { cycle, first, until: end.map_or(f64::INFINITY, |end| clocks.time(end)) });
        first += count;
    }
    cycles
}

/// Where the simulator finds what was observed.
fn reading(observation: &Observation, cycles: &[Recorded], clocks: &Clocks) -> Reading {
    let eaten = |feeding: usize| {
        let cycle = cycles.partition_point(|recorded| recorded.first <= feeding).saturating_sub(1);
        // What was left uneaten comes before the feedings of a cycle.
        let first = cycles.get(cycle).map_or(0, |recorded| recorded.first);
        Reading::Eaten { cycle, portion: feeding - first + 1 }
    };
    match *observation {
        Observation::Harvested { harvest, .. } => Reading::Litres { cycle: harvest },
        Observation::HarvestedMass { harvest, .. } => Reading::Kilograms { cycle: harvest },
        Observation::Ready { harvest, .. } => Reading::Ready { cycle: harvest },
        Observation::Eaten { feeding, .. } | Observation::NotEaten { feeding, .. } => eaten(feeding),
        Observation::WormsWeighed { on, .. } => {
            // On the day of a harvest they are weighed with it.
            let cycle = cycles.partition_point(|recorded| recorded.until < clocks.time(on));
            let until = cycles.get(cycle).map_or(f64::INFINITY, |recorded| recorded.until);
            Reading::Worms { cycle, time: (clocks.time(on) + NOON).min(until) }
        }
        Observation::Ash(_) => Reading::Lasting(Lasting::Ash),
        Observation::SieveYield(_) => Reading::Lasting(Lasting::SieveYield),
        Observation::BulkDensity(_) => Reading::Lasting(Lasting::Bulk),
        Observation::DryBulkDensity(_) => Reading::Lasting(Lasting::Dry),
    }
}
