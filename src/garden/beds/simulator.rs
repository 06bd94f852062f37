//! The simulator of a bed: cycle after cycle, with one value for each uncertain quantity. The forecast runs it at the likely values
//! and at the slow and the quick end, and records layers, water and worms; a season runs it with drawn values.

use super::clock::Clock;
use super::clocks::Clocks;
use super::drawn::DrawnBed;
use super::inputs::Inputs;
use super::layers::{Cycle, LayerPlanner, Rules};
use super::loss::Keeps;
use super::pacing::{Rates, Three};
use super::timeline::{Course, Timeline};
use super::worms::Pace;
use super::yields::Store;
use super::{Bed, Supply};
use crate::garden::assumptions::{Assumption, Known, Span};
use crate::garden::draws::{Drawn, Run, Variable, Variables};
use crate::garden::figures::{Off, Recorder};
use crate::garden::refusal::Refusal;
use crate::garden::units::{Area, Estimate, Mass};

/// What each simulation of a bed goes by, whatever its values.
#[derive(Debug, Clone)]
pub(super) struct Basis<'a> {
    pub bed: &'a Bed,
    pub clocks: &'a Clocks,
    pub rules: Rules,
    pub keeps: Keeps,
    pub store: Store,
    pub rates: Rates,
    /// Slow, likely, quick: feed in a layer over that at the likely bulk density.
    pub scales: Three<f64>,
    pub until: Until,
}

/// Between which times a bed is simulated; days since the clocks' first morning.
#[derive(Debug, Clone, Copy)]
pub(super) struct Until {
    /// The morning on which it starts.
    pub start: f64,
    /// The end of the forecast, or the first deadly morning.
    pub end: f64,
    /// The last morning.
    pub last: f64,
}

impl<'a> Basis<'a> {
    /// Gathers what is known; notes what was assumed and what to mind.
    ///
    /// # Errors
    /// What [`Rules::known`] and [`Store::known`] refuse.
    pub fn new<R: Recorder>(bed: &'a Bed, clocks: &'a Clocks, inputs: &mut Inputs<'_, R>) -> Result<Self, Refusal> {
        let rates = Rates::known(bed, inputs);
        let keeps = Keeps::known(bed.feed.ash, inputs);
        let rules = Rules::known(bed, &keeps, inputs)?;
        let store = Store::known(inputs)?;
        let density = rules.feed_density;
        let scales = match bed.feed.supply {
            // Laid by depth: denser feed is more feed, later and larger. A mass given stays as it is.
            Supply::AsNeeded => [density.high(), density.likely(), density.low()],
            _ => [density.likely(); 3],
        };
        let scales = scales.map(|d| d.base() / density.likely().base());
        let (start, last) = (clocks.time(bed.start_on), clocks.time(clocks.last()));
        let end = clocks.deadly_from(bed.start_on).map_or(last + 1.0, |(on, _)| clocks.time(on));
        Ok(Self { bed, clocks, rules, keeps, store, rates, scales, until: Until { start, end, last } })
    }

    /// The simulator at the slow end, the likely values and the quick end, in this order.
    pub fn simulators(&self) -> Three<Simulator<'a>> {
        let ([slow, likely, quick], [late, on_time, early]) = (self.clocks.three(), self.rates.pacings());
        let [more, one, less] = self.scales;
        [(slow, late, more), (likely, on_time, one), (quick, early, less)].map(|(clock, pacing, scale)| {
            let course = Course { clocks: self.clocks, clock, end: self.until.end, scale, pacing };
            Simulator::new(course, self.until.start)
        })
    }
}

/// A bed with one value for each uncertain quantity, and when its next cycle starts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Simulator<'a> {
    pub course: Course<'a>,
    /// The worms with which the next cycle starts.
    pub pace: Pace,
    /// When it starts; `None` if the one before is not ready by the end.
    pub starts: Option<f64>,
}

impl<'a> Simulator<'a> {
    /// The first cycle starts at this time.
    pub fn new(course: Course<'a>, start: f64) -> Self {
        Self { course, pace: course.pacing.pace, starts: Some(start) }
    }

    /// Runs the next cycle; with its steps if they are to be recorded. The one after it starts on the morning on which this one is
    /// ready, with the worms that are got back. `None` if it does not start.
    pub fn cycle(&mut self, cycle: &Cycle, record: bool) -> Option<Timeline> {
        let timeline = self.course.run(cycle, (self.pace, self.starts?), record);
        self.starts = timeline.ready;
        self.passes_on(timeline.feed);
        Some(timeline)
    }

    /// The worms of the next cycle, once those of this one have worked so much feed, kg.
    pub fn passes_on(&mut self, feed: f64) {
        let left = self.pace.worms_having_worked(Mass::from_kilograms(feed));
        self.pace = self.pace.started_with(left * self.course.pacing.recovered);
    }
}

/// The castings of one cycle in one run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// The morning on which they are ready, in days since the clocks' first morning; `None` if not by their last.
    pub ready: Option<f64>,
    /// How much there is in store, sieved, L.
    pub litres: f64,
}

/// A bed to run many times: the layers as planned, everything else drawn.
#[derive(Debug, Clone)]
pub struct BedSimulator {
    area: Area,
    worms: Option<Mass>,
    cycles: Vec<Cycle>,
    drawn: DrawnBed,
    /// Feed in a layer; known where a mass of feed was given.
    feed_density: Drawn,
    until: Until,
}

impl BedSimulator {
    /// The plan that [`super::forecast_on`] makes of this bed, with the cycles that the quick end of the assumptions would
    /// still bring in.
    ///
    /// # Errors
    /// What [`super::forecast_on`] refuses.
    pub fn new(bed: &Bed, clocks: &Clocks, known: Known<'_>, variables: &mut Variables) -> Result<Self, Refusal> {
        let basis = Basis::new(bed, clocks, &mut Inputs::new(known, Off))?;
        let density: Span = basis.rules.feed_density.into();
        let feed_density = match bed.feed.supply {
            Supply::AsNeeded => variables.take(Variable::Assumption(Assumption::FeedDryDensity), density),
            _ => Drawn::known(density.likely),
        };
        let drawn = DrawnBed::new(bed.feed.ash.likely(), known, variables)?;
        let cycles = cycles(&basis)?;
        Ok(Self {
            area: bed.area.likely(),
            worms: bed.worms.map(Estimate::likely),
            cycles,
            drawn,
            feed_density,
            until: basis.until,
        })
    }

    /// How many cycles there may be.
    #[must_use]
    pub fn cycles(&self) -> usize {
        self.cycles.len()
    }

    /// What each cycle gives in a run. `clock` is that of the run ([`super::ClockDrawn::clock`]).
    pub fn run(&self, run: &Run<'_>, (clocks, clock): (&Clocks, &Clock), mut visit: impl FnMut(usize, Outcome)) {
        let scale = self.feed_density.of(run) / self.feed_density.likely();
        let pacing = self.drawn.pacing(self.area, self.worms, run);
        let kept = self.drawn.kept(run);
        let Until { start, end, last } = self.until;
        // Other weather may kill on another day, or on none.
        let end = clock.end_from(start).unwrap_or(end);
        let mut simulator = Simulator::new(Course { clocks, clock, end, scale, pacing }, start);
        for (i, cycle) in self.cycles.iter().enumerate() {
            let ready = simulator.cycle(cycle, false).and_then(|timeline| timeline.ready);
            let litres = self.drawn.stored(cycle.castings_of(scale, kept), run);
            visit(i, Outcome { ready: ready.filter(|ready| *ready <= last), litres });
        }
    }
}

/// Plans cycle after cycle until one ends in time neither at the likely values nor at their quick end. Both are looked at: where
/// there are more worms than the bed carries, those that would grow quicker die back quicker, and the quick end is not the
/// earliest.
fn cycles(basis: &Basis<'_>) -> Result<Vec<Cycle>, Refusal> {
    let mut planner = LayerPlanner::new(basis.bed, &basis.rules);
    let mut cycles: Vec<Cycle> = Vec::new();
    let [_, likely, quick] = basis.simulators();
    let in_time = basis.until.last.min(basis.until.end);
    let mut both = [likely, quick];
    let goes_on = |simulator: &Simulator<'_>| simulator.starts.is_some_and(|starts| starts <= in_time);
    while both.iter().any(goes_on) {
        // The forecast has reported already where a plan has too many layers; what only the quick end would bring stays out.
        let next = match planner.next() {
            Ok(next) => next,
            Err(refusal) if cycles.is_empty() => return Err(refusal),
            Err(_) => None,
        };
        let Some(cycle) = next else { break };
        for simulator in both.iter_mut().filter(|simulator| goes_on(simulator)) {
            simulator.cycle(&cycle, false);
        }
        cycles.push(cycle);
    }
    Ok(cycles)
}
