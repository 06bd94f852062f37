//! A bed's plan run again with other values: the layers as planned, everything else drawn.

use super::clock::{Band, Clock, Clocks};
use super::layers::{Cycle, Planner, Rules};
use super::loss::Keeps;
use super::pacing::{Pacing, pacing};
use super::timeline::Course;
use super::worms::Pace;
use super::yields::Store;
use super::{Bed, Supply};
use crate::garden::assumptions::{Assumption, Castings, Known, Span};
use crate::garden::draws::{CastingsDrawn, Drawn, Run, Variable, Variables};
use crate::garden::refusal::Refusal;
use crate::garden::units::{Area, Duration, FeedRate, HAIR, Mass, Share, Temperature};

/// The castings of one cycle in one run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// The morning on which they are ready, in days since the clocks' first morning; `None` if not by their last.
    pub ready: Option<f64>,
    /// How much there is in store, sieved, L.
    pub litres: f64,
}

/// The temperatures at which a day counts, as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandDrawn([Drawn; 4]);

impl BandDrawn {
    /// By what is known of the worms.
    #[must_use]
    pub fn new(known: Known<'_>, variables: &mut Variables) -> Self {
        let which =
            [Assumption::StoppedBelow, Assumption::ComfortLow, Assumption::ComfortHigh, Assumption::StoppedAbove];
        Self(which.map(|which| drawn(which, known, variables)))
    }

    /// The clock of a run; `None` where it is the likely one. A draw whose temperatures do not rise is the likely band.
    #[must_use]
    pub fn clock(&self, clocks: &Clocks, run: &Run<'_>) -> Option<Clock> {
        if self.0.iter().all(Drawn::is_known) {
            return None;
        }
        let [below, low, high, above] = self.0.map(|drawn| Temperature::from_celsius(drawn.of(run)));
        Band::new((below, above), (low, high)).ok().map(|band| clocks.by(band))
    }
}

/// An assumption that has a value, drawn where it has a width.
pub(in crate::garden) fn drawn(which: Assumption, known: Known<'_>, variables: &mut Variables) -> Drawn {
    let span = known.get(which).map_or(Span::exactly(0.0), |assumed| assumed.span);
    variables.take(Variable::Assumption(which), span)
}

/// What sets the pace of worms, and what becomes of feed, as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::garden) struct Nature {
    carrying: Drawn,
    doubling: Drawn,
    feed_rate: Drawn,
    stocking: Drawn,
    finishing: Drawn,
    drying: Drawn,
    recovered: Drawn,
    loss: Drawn,
    sieve: Drawn,
    castings: CastingsDrawn,
    ash: f64,
}

impl Nature {
    /// By what is known.
    ///
    /// # Errors
    /// What [`Castings::known`] refuses.
    pub fn new(ash: Share, known: Known<'_>, variables: &mut Variables) -> Result<Self, Refusal> {
        let castings = Castings::known(known).map_err(|e| e.at("assumptions"))?;
        let mut take = |which| drawn(which, known, variables);
        Ok(Self {
            carrying: take(Assumption::CarryingDensity),
            doubling: take(Assumption::DoublingTime),
            feed_rate: take(Assumption::FeedRate),
            stocking: take(Assumption::Stocking),
            finishing: take(Assumption::Finishing),
            drying: take(Assumption::Drying),
            recovered: take(Assumption::Recovered),
            loss: take(Assumption::OrganicMatterLoss),
            sieve: take(Assumption::SievePass),
            castings: CastingsDrawn::new(&castings, known, variables),
            ash: ash.fraction(),
        })
    }

    /// The worms at the start and their pace.
    pub fn pace(&self, area: Area, worms: Option<Mass>, run: &Run<'_>) -> Pace {
        let over = |drawn: &Drawn| Mass::from_kilograms(drawn.of(run) * area.square_metres());
        let start = worms.unwrap_or_else(|| over(&self.stocking));
        let doubling = Duration::from_hours(self.doubling.of(run));
        Pace::new(start, over(&self.carrying), doubling, FeedRate::from_base(self.feed_rate.of(run)))
    }

    /// That pace with finishing, drying and the worms got back.
    pub fn pacing(&self, area: Area, worms: Option<Mass>, run: &Run<'_>) -> Pacing {
        Pacing {
            pace: self.pace(area, worms, run),
            finishing: self.finishing.of(run) / 24.0,
            drying: (self.drying.of(run) / 24.0 - HAIR).ceil(),
            recovered: Share::from_fraction(self.recovered.of(run)),
        }
    }

    /// Castings from feed, dry over dry: `ash + (1 - ash)(1 - lambda)`.
    pub fn kept(&self, run: &Run<'_>) -> f64 {
        self.ash + (1.0 - self.ash) * (1.0 - self.loss.of(run))
    }

    /// What this dry matter of castings, kg, makes in store once sieved, L: `D x sieve pass / rho_d`.
    pub fn stored(&self, dry: f64, run: &Run<'_>) -> f64 {
        dry * self.sieve.of(run) / self.castings.densities(run).1 * 1000.0
    }
}

/// A bed's plan.
#[derive(Debug, Clone)]
pub struct Lane {
    area: Area,
    worms: Option<Mass>,
    cycles: Vec<Cycle>,
    nature: Nature,
    /// Feed in a layer; known where a mass of feed was given.
    feed_density: Drawn,
    start: f64,
    end: f64,
    last: f64,
}

impl Lane {
    /// The plan that [`super::forecast_on`] makes of this bed, with the cycles that the quick end of the assumptions would
    /// still bring in.
    ///
    /// # Errors
    /// What [`super::forecast_on`] refuses.
    pub fn new(bed: &Bed, clocks: &Clocks, known: Known<'_>, variables: &mut Variables) -> Result<Self, Refusal> {
        let (mut assumed, mut cautions) = (Vec::new(), Vec::new());
        let pacings = pacing(bed, known, (&mut assumed, &mut cautions));
        let keeps = Keeps::known(bed.feed.ash, known, &mut assumed);
        let rules = Rules::known(known, &keeps, &mut assumed)?;
        Store::known(known, &mut assumed, &mut cautions)?;
        let density: Span = rules.feed_density.into();
        let feed_density = match bed.feed.supply {
            Supply::AsNeeded => variables.take(Variable::Assumption(Assumption::FeedDryDensity), density),
            _ => Drawn::known(density.likely),
        };
        let last = clocks.time(clocks.last());
        let mut lane = Self {
            area: bed.area,
            worms: bed.worms,
            cycles: Vec::new(),
            nature: Nature::new(bed.feed.ash, known, variables)?,
            feed_density,
            start: clocks.time(bed.start_on),
            end: clocks.deadly_from(bed.start_on).map_or(last + 1.0, |(on, _)| clocks.time(on)),
            last,
        };
        let [_, likely, quick] = pacings;
        let scale = if feed_density.is_known() { 1.0 } else { density.low / density.likely };
        let [_, on_likely, on_quick] = clocks.three();
        let at = |clock, scale| Course { clocks, clock, end: lane.end, scale };
        let ends = [(at(on_likely, 1.0), likely), (at(on_quick, scale), quick)];
        lane.cycles = cycles(&mut Planner::new(bed, &rules), ends, (lane.start, last))?;
        Ok(lane)
    }

    /// How many cycles there may be.
    #[must_use]
    pub fn cycles(&self) -> usize {
        self.cycles.len()
    }

    /// What each cycle gives in a run. `clock` is that of the run ([`BandDrawn::clock`]).
    pub fn run(&self, run: &Run<'_>, (clocks, clock): (&Clocks, &Clock), mut visit: impl FnMut(usize, Outcome)) {
        let scale = self.feed_density.of(run) / self.feed_density.likely();
        let course = Course { clocks, clock, end: self.end, scale };
        let pacing = self.nature.pacing(self.area, self.worms, run);
        let kept = self.nature.kept(run);
        let (mut pace, mut starts) = (pacing.pace, Some(self.start));
        for (i, cycle) in self.cycles.iter().enumerate() {
            let begins = starts.filter(|start| *start <= self.end);
            let (ready, feed) = begins.map_or((None, 0.0), |begins| course.ready(cycle, (pace, begins), &pacing));
            let ready = ready.filter(|ready| *ready <= self.last);
            let (laid, rest) = cycle.laid_and_rest();
            let dry = cycle.castings + (rest + laid * scale) * kept;
            visit(i, Outcome { ready, litres: self.nature.stored(dry, run) });
            pace = pace.started_with(pace.worms_having_worked(Mass::from_kilograms(feed)) * pacing.recovered);
            starts = ready;
        }
    }
}

/// Plans cycle after cycle until one ends in time neither at the likely values nor at their quick end. Both are looked at: where
/// there are more worms than the bed carries, those that would grow quicker die back quicker, and the quick end is not the
/// earliest.
fn cycles(
    planner: &mut Planner<'_>,
    ends: [(Course<'_>, Pacing); 2],
    (start, last): (f64, f64),
) -> Result<Vec<Cycle>, Refusal> {
    let mut cycles: Vec<Cycle> = Vec::new();
    let mut at = ends.map(|(course, pacing)| (pacing.pace, Some(start).filter(|start| *start <= course.end)));
    while at.iter().any(|(_, starts)| starts.is_some()) {
        // The forecast has told already where a plan has too many layers; what only the quick end would bring stays out.
        let next = match planner.next() {
            Ok(next) => next,
            Err(refusal) if cycles.is_empty() => return Err(refusal),
            Err(_) => None,
        };
        let Some(cycle) = next else { break };
        for ((pace, starts), (course, pacing)) in at.iter_mut().zip(&ends) {
            let Some(begins) = *starts else { continue };
            let (ready, feed) = course.ready(&cycle, (*pace, begins), pacing);
            *pace = pace.started_with(pace.worms_having_worked(Mass::from_kilograms(feed)) * pacing.recovered);
            *starts = ready.filter(|ready| *ready <= last && *ready <= course.end);
        }
        cycles.push(cycle);
    }
    Ok(cycles)
}
