//! What a forecast holds: layers, worms, water, lots with dates.

use super::Deadly;
use super::layers::Closed;
use super::unfed::Unfed;
use super::water::{MassBalance, Period};
use super::yields::Yield;
use crate::garden::assumptions::Assumed;
use crate::garden::cautions::Rule;
use crate::garden::closed_list::closed_list;
use crate::garden::figures::Recorder;
use crate::garden::units::quantity::{OfLength, OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Estimate, Length, Measured};
use chrono::NaiveDate;

/// A layer that is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laid {
    /// The day.
    pub on: NaiveDate,
    /// The cycle, from 1.
    pub cycle: u32,
    /// Which layer of that cycle, from 1; those that a running bed had before count.
    pub number: u32,
    /// How deep it lies when fresh.
    pub depth: Estimate<OfLength>,
    /// Its volume when fresh, at the likely bulk density of feed.
    pub volume: Estimate<OfVolume>,
    /// Its dry matter.
    pub dry_matter: Estimate<OfMass>,
    /// Its mass, moist.
    pub mass: Estimate<OfMass>,
    /// How deep the bed lies then, feed and castings.
    pub bed_depth: Length,
    /// The day on which it is worked through, where that is before the end.
    pub eaten_on: Option<NaiveDate>,
}

/// The worms on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WormsOn {
    /// The day.
    pub on: NaiveDate,
    /// Live mass at this point of the work; bounds at the slow and the quick end.
    pub mass: Estimate<OfMass>,
}

/// When a lot is ready.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ready {
    /// At the quick end of the assumptions.
    pub earliest: NaiveDate,
    /// At the likely values.
    pub likely: NaiveDate,
    /// At the slow end; `None`: not within the forecast.
    pub latest: Option<NaiveDate>,
}

/// The castings of one cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// The cycle, from 1.
    pub cycle: u32,
    /// Feed worked in it, dry matter.
    pub feed: Estimate<OfMass>,
    /// Why its cycle took no more layers.
    pub closed: Closed,
    /// The morning on which all feed is worked through.
    pub eaten_on: NaiveDate,
    /// When the bed is left to finish; `None` where it was before it is looked at.
    pub let_finish_on: Option<NaiveDate>,
    /// The morning on which the castings are finished.
    pub finished_on: NaiveDate,
    /// The morning on which they are dry and ready to use.
    pub ready: Ready,
    /// As they lie in the bed before the harvest.
    pub in_bed: Estimate<OfVolume>,
    /// Their moisture there, wet basis.
    pub bed_moisture: Estimate<OfShare>,
    /// As they lie in store, sieved; with their moisture there.
    pub yields: Yield,
    /// N in their dry matter, where that of the feed is given.
    pub nitrogen: Option<Estimate<OfShare>>,
    /// Carbon to nitrogen, where the nitrogen of the feed is given.
    pub carbon_to_nitrogen: Option<Estimate<OfRatio>>,
}

/// How a harvest that may be early or late counts by a day.
const EARLY_OR_LATE: &str =
    "nothing at the low end where the harvest may be ready later, nothing at the likely value where it likely is";

impl Lot {
    /// A figure of it by a day: all of it once it is ready at its latest; before that nothing at the low end; until it is likely ready
    /// nothing at the likely value; `None` before its earliest day. Without a day: by the end of the forecast.
    pub(super) fn by<D: Measured>(
        &self,
        day: Option<NaiveDate>,
        figure: Estimate<D>,
        recorder: impl Recorder,
    ) -> Option<Estimate<D>> {
        let is_by = |ready: NaiveDate| day.is_none_or(|day| ready <= day);
        if self.ready.latest.is_some_and(is_by) {
            return Some(figure);
        }
        let [_, likely, high] = figure.values();
        let likely = if is_by(self.ready.likely) { likely } else { 0.0 };
        is_by(self.ready.earliest)
            .then(|| recorder.by_rule(EARLY_OR_LATE, &[figure.node()], Estimate::around([0.0, likely, high])))
    }
}

/// A forecast that ends early because the worms die.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopped {
    /// The day.
    pub on: NaiveDate,
    /// Why.
    pub why: Deadly,
}

closed_list! {
    /// What a bed is doing.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Phase {
        /// Worms work feed.
        Working = "working",
        /// The bed is empty of feed, and more will come.
        Waiting = "waiting",
        /// All is worked; the castings finish.
        Finishing = "finishing",
        /// The castings dry.
        Drying = "drying",
        /// Nothing is left to do.
        Done = "done",
    }
}

/// What lies in a bed, as moist as it is weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoistInBed {
    /// Feed not worked, as moist as it was fed.
    pub uneaten_feed: Estimate<OfMass>,
    /// Castings, as moist as the bed.
    pub castings: Estimate<OfMass>,
    /// How many layers of its cycle were laid.
    pub layers_laid: u32,
    /// The morning on which all was eaten; `None` while worms have feed or wait for it.
    pub eaten_on: Option<NaiveDate>,
}

/// The bed at the end of the forecast, at the likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndState {
    /// The morning of this day: the one after the last, or the deadly one.
    pub on: NaiveDate,
    /// What it is doing.
    pub phase: Phase,
    /// Feed not worked, dry matter.
    pub uneaten_feed: Estimate<OfMass>,
    /// Castings in it, dry matter.
    pub castings: Estimate<OfMass>,
    /// Both moist, with which another forecast goes on; `None` if it is empty.
    pub moist: Option<MoistInBed>,
    /// How deep it lies.
    pub depth: Estimate<OfLength>,
    /// Live worms; those before the deadly day, if there is one.
    pub worms: Estimate<OfMass>,
    /// Feed that was not laid, dry matter, come or to come; `None` if it comes as needed.
    pub feed_left: Option<Estimate<OfMass>>,
}

/// What a bed does until a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Layers in order.
    pub layers: Vec<Laid>,
    /// Worms at each start of a cycle and each time a layer is worked through.
    pub worms: Vec<WormsOn>,
    /// Water from layer to layer.
    pub water: Vec<Period>,
    /// Castings ready by the last day, in order.
    pub lots: Vec<Lot>,
    /// The deadly day, if one comes.
    pub stopped: Option<Stopped>,
    /// The longest time in which the worms have nothing to eat, where that is long.
    pub unfed: Option<Unfed>,
    /// The bed at the end.
    pub end: EndState,
    /// What went in and what came out.
    pub balance: MassBalance,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

impl Forecast {
    /// How many layers and lots it has, each of which an answer lists.
    #[must_use]
    pub const fn items(&self) -> usize {
        self.layers.len().saturating_add(self.lots.len())
    }
}
