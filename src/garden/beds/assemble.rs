//! The forecast of a bed: the simulator at the likely values and at both ends, cycle after cycle, written down at the likely ones.

use super::clocks::Clocks;
use super::forecast::{EndState, Forecast, Laid, Lot, MoistInBed, Phase, Stopped, WormsOn};
use super::inputs::Inputs;
use super::layers::{Cycle, LayerPlanner};
use super::pacing::Three;
use super::simulator::{Basis, Simulator};
use super::tally::Tally;
use super::timeline::{Course, Timeline};
use super::unfed::Fed;
use super::water::{Period, WaterRules};
use super::worms::Pace;
use super::{Bed, Deadly};
use crate::garden::assumptions::{Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{MoistOfDry, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfMass, OfShare};
use crate::garden::units::{End, Estimate, Mass};

/// Answers "when does this bed give which castings, and what does it want until then?", on clocks that beds of one climate may share;
/// it goes to their last day.
///
/// Worms grow and feed by [`super::Pace`] on the warm-day clock of [`Clocks`]. Layer k is worked through after `tau(S_k)` warm days
/// with feed, `S_k` the feed of the cycle up to it; the next is laid when a share is left (or later, when it fits or has come). A
/// cycle ends with finishing (warm days), then drying (whole calendar days); the next one starts on the morning on which the lot
/// is ready, with `recovered x` the worms at its end. Worms neither grow nor die while the bed has no feed. Bounds of dates:
/// all assumptions on pace at their slow and at their quick end; of volumes: all on loss, density and sieve at their ends.
///
/// # Errors
/// `out_of_range` for values beyond their bounds; `dates_out_of_order` if it starts before the clocks' first day or after their last, or all was eaten before
/// the first;
/// `inconsistent_assumptions`; `too_large` above [`super::MAX_LAYERS`].
///
/// ```
/// use barrowful::garden::assumptions::{Known, Overrides};
/// use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Supply, forecast_on};
/// use barrowful::garden::dates::date;
/// use barrowful::garden::figures::Off;
/// use barrowful::garden::units::{Area, Mass, Share, Temperature};
/// let bed = Bed {
///     area: Area::from_square_metres(4.0).into(),
///     worms: Some(Mass::from_kilograms(6.4).into()),
///     running: None,
///     start_on: date("2027-04-01").unwrap(),
///     feed: Feed {
///         moisture: Share::from_fraction(0.75).into(),
///         ash: Share::from_fraction(0.15).into(),
///         nitrogen: None,
///         supply: Supply::AllAtOnce(Mass::from_kilograms(110.0).into()),
///         cautions: Vec::new(),
///         assumed: Vec::new(),
///     },
///     layers_per_cycle: Some(3),
///     cycles: None,
/// };
/// let none = Overrides::default();
/// let known = Known { request: &none, item: &none };
/// let climate = Climate::Fixed(Temperature::from_celsius(20.0));
/// let clocks = Clocks::new(&climate, (bed.start_on, date("2027-12-31").unwrap()), known).unwrap();
/// let found = forecast_on(&bed, &clocks, known, Off).unwrap();
/// assert_eq!((found.layers.len(), found.lots.len()), (3, 1));
/// let before = Bed { start_on: date("2027-03-31").unwrap(), ..bed };
/// assert!(forecast_on(&before, &clocks, known, Off).is_err());
/// ```
pub fn forecast_on(bed: &Bed, clocks: &Clocks, known: Known<'_>, recorder: impl Recorder) -> Result<Forecast, Refusal> {
    bed.check()?;
    let (first, last) = (clocks.first(), clocks.last());
    if bed.start_on < first || bed.start_on > last {
        let detail =
            format!("the bed starts on {}; start it within the forecast, from {first} to {last}", bed.start_on);
        return Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("start_on"));
    }
    if bed.first_day() < first {
        let detail =
            format!("all feed was eaten on {}, before the first day with a temperature, {first}", bed.first_day());
        return Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("running"));
    }
    Assembly::new(bed, clocks, Inputs::new(known, recorder))?.run()
}

/// What only beds that are fed depend on.
const OF_FEEDING: [Assumption; 9] = [
    Assumption::FirstLayer,
    Assumption::LaterLayer,
    Assumption::FreshLayer,
    Assumption::NextLayerAt,
    Assumption::MaxDepth,
    Assumption::LayersPerCycle,
    Assumption::FeedDryDensity,
    Assumption::DoublingTime,
    Assumption::FeedRate,
];

/// A forecast being put together.
pub(super) struct Assembly<'a, R> {
    pub(super) basis: Basis<'a>,
    pub(super) water_rules: WaterRules,
    pub(super) stopped: Option<Stopped>,
    pub(super) reported: Reported,
    pub(super) tally: Tally,
    pub(super) inputs: Inputs<'a, R>,
}

/// What is written down on the way.
#[derive(Default)]
pub(super) struct Reported {
    pub(super) layers: Vec<Laid>,
    pub(super) worms: Vec<WormsOn>,
    pub(super) water: Vec<Period>,
    pub(super) lots: Vec<Lot>,
    /// The dry matter of each portion of feed of the current cycle.
    pub(super) in_cycle: Vec<Estimate<OfMass>>,
    /// When the worms have feed.
    pub(super) fed: Fed,
}

/// One cycle at both ends and at the likely values. At the slow end it is missing once it is beyond the end.
pub(super) struct Run<'c> {
    pub(super) number: u32,
    pub(super) cycle: &'c Cycle,
    /// At the likely values.
    pub(super) course: Course<'c>,
    /// The worms with which it starts.
    pub(super) paces: Three<Pace>,
    pub(super) slow: Option<Timeline>,
    pub(super) likely: Timeline,
    pub(super) quick: Option<Timeline>,
}

impl<'a, R: Recorder> Assembly<'a, R> {
    fn new(bed: &'a Bed, clocks: &'a Clocks, mut inputs: Inputs<'a, R>) -> Result<Self, Refusal> {
        inputs.assumed.clone_from(&clocks.assumed);
        inputs.assumed.extend(&bed.feed.assumed);
        bed.feed.cautions.iter().for_each(|rule| inputs.caution(*rule));
        let basis = Basis::new(bed, clocks, &mut inputs)?;
        if bed.feed.nitrogen.is_none() {
            inputs.forget(Assumption::NitrogenRetained);
        }
        if bed.takes_no_feed() {
            OF_FEEDING.into_iter().for_each(|assumption| inputs.forget(assumption));
        }
        let water_rules = WaterRules::known(bed, &basis.keeps, &mut inputs);
        let stopped = clocks.deadly_from(bed.start_on).map(|(on, why)| Stopped { on, why });
        let tally = Tally::new(bed, &basis.keeps, &water_rules);
        let mut reported = Reported::default();
        reported.fed.eaten(clocks.time(bed.start_on));
        Ok(Self { basis, water_rules, stopped, reported, tally, inputs })
    }

    fn run(mut self) -> Result<Forecast, Refusal> {
        let rules = self.basis.rules.clone();
        let mut planner = LayerPlanner::new(self.basis.bed, &rules);
        let mut simulators = self.basis.simulators();
        let mut number = 0;
        let end = loop {
            let [_, likely, _] = &simulators;
            if likely.starts.is_none_or(|start| start > self.basis.until.end) {
                let phase = if planner.remains() > 0.0 { Phase::Waiting } else { Phase::Done };
                break self.empty(phase);
            }
            number += 1;
            let cycle = planner.next()?;
            let Some(run) = cycle.as_ref().and_then(|cycle| run((number, cycle), &mut simulators)) else {
                break self.empty(Phase::Done);
            };
            self.write(&run);
            let Some(ready) = run.likely.ready.filter(|ready| *ready <= self.basis.until.last) else {
                break self.cut_off(&run);
            };
            self.lot(&run, ready);
        };
        Ok(self.finish(end))
    }

    fn empty(&self, phase: Phase) -> EndState {
        let nothing = Mass::from_kilograms(0.0).into();
        EndState {
            on: self.basis.clocks.on_day(self.basis.until.end),
            phase,
            uneaten_feed: nothing,
            castings: nothing,
            moist: None,
            depth: self.depth(nothing, nothing).likely().into(),
            worms: self.worms_at_start(),
            feed_left: self.feed_left(),
        }
    }

    /// The state of a cycle that the end of the forecast cuts off.
    fn cut_off(&mut self, run: &Run<'_>) -> EndState {
        let timeline = &run.likely;
        let worked = run.course.worked_at(timeline, self.basis.until.end);
        let castings = run.cycle.castings + self.basis.rules.kept * worked;
        let uneaten_feed = if timeline.eaten.is_some() { 0.0 } else { (self.tally.in_cycle() - worked).max(0.0) };
        self.tally.cut_off(worked, (uneaten_feed, castings));
        let phase = match (timeline.eaten, timeline.finished) {
            (_, Some(_)) => Phase::Drying,
            (Some(_), None) => Phase::Finishing,
            (None, None) if timeline.worked_portions.iter().any(|step| step.ends.is_none()) => Phase::Working,
            (None, None) => Phase::Waiting,
        };
        let by: Vec<u32> = self.reported.in_cycle.iter().map(|dry| dry.node()).collect();
        let mass_in_bed = |kilograms| {
            self.inputs.recorder.by_rule(
                "followed on the clock of warm days",
                &by,
                Mass::from_kilograms(kilograms).into(),
            )
        };
        let (uneaten_feed, castings) = (mass_in_bed(uneaten_feed), mass_in_bed(castings));
        EndState {
            on: self.basis.clocks.on_day(self.basis.until.end),
            phase,
            uneaten_feed,
            castings,
            moist: self.moist(run, (uneaten_feed, castings)),
            depth: self.inputs.recorder.figure(self.depth(uneaten_feed, castings)),
            worms: timeline.pace.worms_having_worked(Mass::from_kilograms(worked)).into(),
            feed_left: self.feed_left(),
        }
    }

    /// How many layers of this cycle are laid so far, with those that a running bed had before.
    pub(super) fn layers_laid(&self, run: &Run<'_>) -> u32 {
        let before = self.basis.bed.running.filter(|_| run.number == 1).map_or(0, |running| running.layers_laid);
        let last = self.reported.layers.last().filter(|laid| laid.cycle == run.number);
        last.map_or(before, |laid| laid.number)
    }

    /// Feed and castings in the bed, known by their dry matter, as moist as they are weighed; `None` where nothing lies there.
    fn moist(&self, run: &Run<'_>, (feed, castings): (Estimate<OfMass>, Estimate<OfMass>)) -> Option<MoistInBed> {
        if feed.likely() + castings.likely() <= Mass::from_kilograms(0.0) {
            return None;
        }
        let recorder = self.inputs.recorder;
        let moist = |dry, w: Estimate<OfShare>| recorder.figure(MoistOfDry { D: dry, w: w.only(End::Likely) });
        Some(MoistInBed {
            uneaten_feed: moist(feed, self.basis.bed.feed.moisture),
            castings: moist(castings, self.water_rules.moisture()),
            layers_laid: self.layers_laid(run),
            eaten_on: run.likely.eaten.map(|eaten| self.basis.clocks.by_morning(eaten)),
        })
    }

    fn finish(mut self, end: EndState) -> Forecast {
        match self.stopped.map(|stop| stop.why) {
            Some(Deadly::Frost) => self.inputs.caution(Rule::BedFrost),
            Some(Deadly::Heat) => self.inputs.caution(Rule::BedHeat),
            None => {}
        }
        if self.basis.clocks.hides_heat_from(self.basis.bed.start_on) {
            self.inputs.caution(Rule::HiddenHeat);
        }
        self.reported.fed.again(self.basis.until.end, self.basis.clocks);
        let unfed = self.reported.fed.long();
        if unfed.is_some() {
            self.inputs.caution(Rule::WormsUnfed);
        }
        let Inputs { mut cautions, assumed, .. } = self.inputs;
        cautions.sort_unstable();
        Forecast {
            layers: self.reported.layers,
            worms: self.reported.worms,
            water: self.reported.water,
            lots: self.reported.lots,
            stopped: self.stopped,
            unfed,
            end,
            balance: self.tally.balance(),
            cautions,
            assumed,
        }
    }
}

/// Runs a cycle at both ends and at the likely values; `None` if it does not start at the likely ones.
fn run<'c, 'a: 'c>((number, cycle): (u32, &'c Cycle), simulators: &mut Three<Simulator<'a>>) -> Option<Run<'c>> {
    let paces = simulators.map(|simulator| simulator.pace);
    let [slow, likely, quick] = simulators.each_mut().map(|simulator| simulator.cycle(cycle, true));
    let likely = likely?;
    let [at_slow, at_likely, at_quick] = simulators;
    if slow.is_none() {
        at_slow.passes_on(likely.feed);
    }
    at_quick.starts = at_quick.starts.or(likely.ready);
    Some(Run { number, cycle, course: at_likely.course, paces, slow, likely, quick })
}
