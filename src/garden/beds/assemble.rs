//! Puts a forecast together: cycle after cycle on the three clocks, written down at the likely one.

use super::clock::Clocks;
use super::forecast::{EndState, Forecast, Laid, Lot, Phase, Stopped, WormsOn};
use super::layers::{Cycle, Planner, Rules};
use super::loss::Keeps;
use super::pacing::{Pacing, Three, pacing};
use super::tally::Tally;
use super::timeline::{Course, Timeline};
use super::water::{Period, WaterRules};
use super::worms::Pace;
use super::yields::Store;
use super::{Bed, Deadly, Supply};
use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::refusal::Refusal;
use crate::garden::units::Mass;

/// A forecast being put together.
pub(super) struct Assembly<'a> {
    pub(super) bed: &'a Bed,
    pub(super) clocks: &'a Clocks,
    pub(super) pacings: Three<Pacing>,
    pub(super) rules: Rules,
    pub(super) keeps: Keeps,
    pub(super) store: Store,
    pub(super) water_rules: WaterRules,
    /// Slow, likely, quick: feed in a layer over that at the likely bulk density.
    pub(super) scales: Three<f64>,
    /// The end of the forecast or the deadly morning; days since the clocks' first morning.
    pub(super) end: f64,
    /// The last morning.
    pub(super) last: f64,
    pub(super) stopped: Option<Stopped>,
    pub(super) told: Told,
    pub(super) tally: Tally,
    pub(super) cautions: Vec<Rule>,
    pub(super) assumed: Vec<Assumed>,
}

/// What is written down on the way.
#[derive(Default)]
pub(super) struct Told {
    pub(super) layers: Vec<Laid>,
    pub(super) worms: Vec<WormsOn>,
    pub(super) water: Vec<Period>,
    pub(super) lots: Vec<Lot>,
}

/// One cycle on the three clocks. The slow one is missing once it lies beyond the end.
pub(super) struct Run<'c> {
    pub(super) number: u32,
    pub(super) cycle: &'c Cycle,
    pub(super) paces: Three<Pace>,
    pub(super) slow: Option<Timeline>,
    pub(super) likely: Timeline,
    pub(super) quick: Option<Timeline>,
}

/// Where the next cycle stands.
struct Next {
    paces: Three<Pace>,
    starts: Three<Option<f64>>,
}

impl<'a> Assembly<'a> {
    pub fn new(bed: &'a Bed, clocks: &'a Clocks, known: Known<'_>) -> Result<Self, Refusal> {
        let (mut assumed, mut cautions) = (clocks.assumed.clone(), Vec::new());
        let pacings = pacing(bed, known, (&mut assumed, &mut cautions));
        let keeps = Keeps::known(bed.feed.ash, known, &mut assumed);
        if bed.feed.nitrogen.is_none() {
            assumed.retain(|a| a.assumption != Assumption::NitrogenRetained);
        }
        let rules = Rules::known(known, &keeps, &mut assumed)?;
        let water_rules = WaterRules::known(known, bed.area, (bed.feed.moisture, keeps.lost()), &mut assumed);
        let store = Store::known(known, &mut assumed, &mut cautions)?;
        let density = rules.feed_density;
        let scales = match bed.feed.supply {
            // Laid by depth: denser feed is more feed, later and larger. A mass given stays as it is.
            Supply::AsNeeded => [density.high(), density.likely(), density.low()],
            _ => [density.likely(); 3],
        };
        let scales = scales.map(|d| d.base() / density.likely().base());
        let last = clocks.time(clocks.last());
        let stopped = clocks.deadly_from(bed.start_on).map(|(on, why)| Stopped { on, why });
        let end = stopped.map_or(last + 1.0, |stop| clocks.time(stop.on));
        let tally = Tally::new(bed, &keeps, &water_rules);
        Ok(Self {
            bed,
            clocks,
            pacings,
            rules,
            keeps,
            store,
            water_rules,
            scales,
            end,
            last,
            stopped,
            told: Told::default(),
            tally,
            cautions,
            assumed,
        })
    }

    pub fn run(mut self) -> Result<Forecast, Refusal> {
        let rules = self.rules.clone();
        let mut planner = Planner::new(self.bed, &rules);
        let start = Some(self.clocks.time(self.bed.start_on));
        let mut next = Next { paces: self.pacings.map(|p| p.pace), starts: [start; 3] };
        let mut number = 0;
        let end = loop {
            let worms = next.paces[1].start();
            let Some(begins) = next.starts[1].filter(|start| *start <= self.end) else {
                let phase = if planner.remains() > 0.0 { Phase::Waiting } else { Phase::Done };
                break self.empty(phase, worms, planner.remains());
            };
            let Some(cycle) = planner.next()? else {
                break self.empty(Phase::Done, worms, planner.remains());
            };
            number += 1;
            let run = self.on_three_clocks((number, &cycle), &next, begins);
            self.write(&run);
            let Some(ready) = run.likely.ready.filter(|ready| *ready <= self.last) else {
                break self.cut_off(&run, planner.remains());
            };
            self.lot(&run, ready);
            next = self.after(&run, ready);
        };
        Ok(self.finish(end))
    }

    pub(super) fn course(&self, which: usize) -> Course<'a> {
        let [slow, likely, quick] = self.clocks.three();
        let (clock, scale) = match which {
            0 => (slow, self.scales[0]),
            1 => (likely, self.scales[1]),
            _ => (quick, self.scales[2]),
        };
        Course { clocks: self.clocks, clock, end: self.end, scale }
    }

    fn on_three_clocks<'c>(&self, (number, cycle): (u32, &'c Cycle), next: &Next, begins: f64) -> Run<'c> {
        let run =
            |i: usize, pace: Pace, starts: f64, pacing: &Pacing| self.course(i).run(cycle, (pace, starts), pacing);
        let [slow, likely, quick] = next.paces;
        Run {
            number,
            cycle,
            paces: next.paces,
            slow: next.starts[0].map(|starts| run(0, slow, starts, &self.pacings[0])),
            likely: run(1, likely, begins, &self.pacings[1]),
            quick: next.starts[2].map(|starts| run(2, quick, starts, &self.pacings[2])),
        }
    }

    /// The next cycle starts on the morning on which this lot is ready, with the worms that were got back.
    fn after(&self, run: &Run<'_>, ready: f64) -> Next {
        let feeds = [run.slow.as_ref(), Some(&run.likely), run.quick.as_ref()].map(|t| t.map(|t| t.feed));
        let mut paces = run.paces;
        for ((pace, feed), pacing) in paces.iter_mut().zip(feeds).zip(self.pacings) {
            let left = pace.worms_having_worked(Mass::from_kilograms(feed.unwrap_or(run.likely.feed)));
            *pace = pace.started_with(left * pacing.recovered);
        }
        let slow = run.slow.as_ref().and_then(|t| t.ready);
        let quick = run.quick.as_ref().and_then(|t| t.ready).or(Some(ready));
        Next { paces, starts: [slow, Some(ready), quick] }
    }

    fn empty(&self, phase: Phase, worms: Mass, feed_left: f64) -> EndState {
        let nothing = Mass::from_kilograms(0.0);
        let depth = self.depth(0.0, 0.0);
        EndState {
            on: self.clocks.on_day(self.end),
            phase,
            unworked: nothing,
            castings: nothing,
            depth,
            worms,
            feed_left: finite(feed_left),
        }
    }

    /// The state of a cycle that the end of the forecast cuts off.
    fn cut_off(&mut self, run: &Run<'_>, feed_left: f64) -> EndState {
        let timeline = &run.likely;
        let worked = self.course(1).worked_at(timeline, self.end);
        let castings = run.cycle.castings + self.rules.kept * worked;
        let unworked = (self.tally.in_cycle() - worked).max(0.0);
        self.tally.cut_off(worked, (unworked, castings));
        let phase = match (timeline.steps.iter().find(|step| step.ends.is_none()), timeline.finished) {
            (_, Some(_)) => Phase::Drying,
            (Some(_), None) => Phase::Working,
            (None, None) if timeline.steps.len() < run.cycle.portions.len() => Phase::Waiting,
            (None, None) => Phase::Finishing,
        };
        let not_laid = run.cycle.feed() - self.tally.in_cycle();
        EndState {
            on: self.clocks.on_day(self.end),
            phase,
            unworked: Mass::from_kilograms(unworked),
            castings: Mass::from_kilograms(castings),
            depth: self.depth(unworked, castings),
            worms: timeline.pace.worms_having_worked(Mass::from_kilograms(worked)),
            feed_left: finite(feed_left + not_laid.max(0.0)),
        }
    }

    fn finish(mut self, end: EndState) -> Forecast {
        match self.stopped.map(|stop| stop.why) {
            Some(Deadly::Frost) => self.caution(Rule::BedFrost),
            Some(Deadly::Heat) => self.caution(Rule::BedHeat),
            None => {}
        }
        if self.clocks.hides_heat {
            self.caution(Rule::HiddenHeat);
        }
        self.cautions.sort_unstable();
        Forecast {
            layers: self.told.layers,
            worms: self.told.worms,
            water: self.told.water,
            lots: self.told.lots,
            stopped: self.stopped,
            end,
            balance: self.tally.balance(),
            cautions: self.cautions,
            assumed: self.assumed,
        }
    }
}

fn finite(mass: f64) -> Option<Mass> {
    mass.is_finite().then(|| Mass::from_kilograms(mass))
}
