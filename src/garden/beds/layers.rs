//! Which layers are laid in which cycle: by depth, supply and the greatest depth. Masses only; dates come later.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::inputs::Inputs;
use super::loss::Keeps;
use super::{Bed, Delivery, Supply};
use crate::garden::assumptions::{Assumption, MAX_LAYERS_PER_CYCLE};
use crate::garden::closed_list::closed_list;
use crate::garden::feeds::depth_on_worms;
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{DryInFeed, Layer, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfLength, OfRatio, OfShare};
use crate::garden::units::round::few_digits;
use crate::garden::units::{End, Estimate, Length, Mass};
use chrono::NaiveDate;

/// Most layers in one forecast. Source: limit of this service.
pub const MAX_LAYERS: u32 = 10_000;
/// Feed below this share of a layer is none: what rounding leaves, also that of an amount that was written with nine digits. Source:
/// tolerance of computing.
const CRUMB: f64 = 1e-7;

closed_list! {
    /// Why a cycle takes no more layers.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Closed {
        /// It has all its layers, or all was eaten and it was left to finish.
        AllLayers = "all_layers",
        /// The next layer would pass the greatest depth.
        Depth = "depth",
        /// There is no more feed, and none will come.
        NoMoreFeed = "no_more_feed",
    }
}

/// What a portion of feed is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// It lies uneaten in a running bed.
    Lying,
    /// A layer of its due depth, on an empty bed or on one that is not.
    Full(On),
    /// A last layer, of what feed there is.
    Last,
}

/// What a layer is laid on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum On {
    /// An empty bed.
    Ground,
    /// What is in the bed.
    Bed,
}

/// A portion of feed: a layer, or what lies uneaten in a running bed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Portion {
    /// Dry matter, kg.
    pub dry: f64,
    /// The morning on which enough has come; `None`: from the start.
    pub there_on: Option<NaiveDate>,
    /// It fits under the greatest depth once so much of this cycle's feed is worked, kg.
    pub fits_from: f64,
    /// What it is.
    pub kind: Kind,
}

impl Portion {
    /// False for what is in the bed already.
    pub fn laid(&self) -> bool {
        self.kind != Kind::Lying
    }
}

/// One cycle.
#[derive(Debug, Clone)]
pub(super) struct Cycle {
    /// Castings in the bed at its start, kg dry matter.
    pub castings: f64,
    /// Its feed in order.
    pub portions: Vec<Portion>,
    /// Why it ends.
    pub closed: Closed,
    /// The morning on which all was eaten, not after its start; where the request says so.
    pub eaten_on: Option<NaiveDate>,
}

impl Cycle {
    /// All its feed, kg dry matter.
    pub fn feed(&self) -> f64 {
        self.portions.iter().map(|p| p.dry).sum()
    }

    /// The castings at its end, kg dry matter: those it began with, and what is kept of its feed, where layers hold so many times the
    /// feed that was planned.
    pub fn castings_of(&self, scale: f64, kept: f64) -> f64 {
        let laid: f64 = self.portions.iter().filter(|p| p.laid()).map(|p| p.dry).sum();
        let rest = self.feed() - laid;
        self.castings + (rest + laid * scale) * kept
    }

    /// True if some of its feed comes later than its start may be.
    pub fn waits(&self) -> bool {
        self.portions.iter().any(|p| p.there_on.is_some())
    }
}

/// What decides how layers are laid.
#[derive(Debug, Clone)]
pub(super) struct Rules {
    /// Dry matter of feed in a volume.
    pub feed_density: Estimate<OfDensity>,
    /// Dry matter of castings in a volume of the bed.
    pub castings_density: Estimate<OfDensity>,
    /// Castings from feed, dry over dry.
    pub kept: f64,
    /// Share of a layer left when the next is laid.
    pub left: f64,
    /// How many layers make a cycle.
    pub per_cycle: u32,
    first: Estimate<OfLength>,
    next: Estimate<OfLength>,
    max: Length,
}

impl Rules {
    /// Gathers the rules.
    ///
    /// # Errors
    /// `inconsistent_assumptions` if the first layer is deeper than the bed may be.
    pub fn known<R: Recorder>(bed: &Bed, keeps: &Keeps, inputs: &mut Inputs<'_, R>) -> Result<Self, Refusal> {
        let mut length = |assumption| -> Estimate<OfLength> { inputs.take(assumption).only(End::Likely) };
        let (first, usual) = (length(Assumption::FirstLayer), length(Assumption::LaterLayer));
        let fresh = bed.feed.heats().then(|| length(Assumption::FreshLayer));
        let max = length(Assumption::MaxDepth).likely();
        let is_thin = depth_on_worms(inputs.known, bed.feed.heats()) == Assumption::FreshLayer;
        let next = fresh.filter(|_| is_thin).unwrap_or(usual);
        let deepest = first.metres().max(next.metres());
        if deepest > max.metres() {
            let [deepest, max] = few_digits([deepest, max.metres()]);
            let detail = format!(
                "a layer of {deepest} m does not fit into a bed of at most {max} m; make bed.first_layer or bed.layer \
                 smaller, or bed.max_depth larger"
            );
            return Err(Refusal::new(Reason::InconsistentAssumptions, detail).at("assumptions"));
        }
        let left: Estimate<OfShare> = inputs.take(Assumption::NextLayerAt);
        let (feed_density, castings_density) =
            (inputs.take(Assumption::FeedDryDensity), inputs.take(Assumption::BedDryDensity));
        let (kept, left) = (keeps.dry(Off).fraction(), left.fraction());
        let per_cycle = bed.layers_per_cycle.unwrap_or_else(|| usual_layers(inputs));
        Ok(Self { feed_density, castings_density, kept, left, per_cycle, first, next, max })
    }

    /// How deep a layer should be.
    pub fn depth(&self, on: On) -> Estimate<OfLength> {
        match on {
            On::Ground => self.first,
            On::Bed => self.next,
        }
    }
}

/// The usual number of layers of a cycle, as far as it is known.
fn usual_layers<R: Recorder>(inputs: &mut Inputs<'_, R>) -> u32 {
    let usual: Estimate<OfRatio> = inputs.take(Assumption::LayersPerCycle);
    let likely = usual.likely().number();
    (1..=MAX_LAYERS_PER_CYCLE).find(|count| f64::from(*count) >= likely).unwrap_or(MAX_LAYERS_PER_CYCLE)
}

/// Feed in the order in which it comes.
pub(super) fn in_order(deliveries: &[Delivery]) -> Vec<Delivery> {
    let mut sorted = deliveries.to_vec();
    sorted.sort_by_key(|delivery| delivery.on);
    sorted
}

/// Lays layers out, cycle by cycle.
pub(super) struct LayerPlanner<'a> {
    bed: &'a Bed,
    rules: &'a Rules,
    /// Feed come by the morning of a date, running sum; empty if it is there from the start.
    come: Vec<(NaiveDate, f64)>,
    /// All feed that ever comes, kg.
    supply: f64,
    used: f64,
    layers: u32,
    cycles: u32,
}

impl<'a> LayerPlanner<'a> {
    pub fn new(bed: &'a Bed, rules: &'a Rules) -> Self {
        let mut come = Vec::new();
        let supply = match &bed.feed.supply {
            Supply::AsNeeded => f64::INFINITY,
            Supply::AllAtOnce(mass) => mass.kilograms(),
            Supply::OnDates(deliveries) => {
                let mut sum = 0.0;
                come.extend(in_order(deliveries).iter().map(|d| {
                    sum += d.dry_matter.kilograms();
                    (d.on, sum)
                }));
                sum
            }
        };
        Self { bed, rules, come, supply, used: 0.0, layers: 0, cycles: 0 }
    }

    /// Feed not laid yet, kg; infinite if it comes as needed.
    pub fn remains(&self) -> f64 {
        (self.supply - self.used).max(0.0)
    }

    /// True once all feed that ever comes is laid, but for what rounding leaves.
    pub fn is_all_laid(&self) -> bool {
        self.remains() <= CRUMB * self.full(On::Bed).kilograms()
    }

    /// The next cycle; `None` when there is nothing more to do.
    ///
    /// # Errors
    /// `too_large` above [`MAX_LAYERS`].
    pub fn next(&mut self) -> Result<Option<Cycle>, Refusal> {
        if self.bed.cycles.is_some_and(|most| self.cycles >= most) {
            return Ok(None);
        }
        let running = if self.cycles == 0 { self.bed.running } else { None };
        self.cycles += 1;
        let uneaten_feed = running.map_or(0.0, |r| r.uneaten_feed.kilograms());
        let castings = running.map_or(0.0, |r| r.castings.kilograms());
        let eaten_on = running.and_then(|running| running.eaten_on);
        let mut portions = Vec::new();
        if uneaten_feed > 0.0 {
            portions.push(Portion { dry: uneaten_feed, there_on: None, fits_from: 0.0, kind: Kind::Lying });
        }
        let mut feed = uneaten_feed;
        let mut laid = running.map_or(0, |r| r.layers_laid);
        let closed = loop {
            if laid >= self.rules.per_cycle || eaten_on.is_some() {
                break Closed::AllLayers;
            }
            let on = if feed + castings > 0.0 { On::Bed } else { On::Ground };
            let (full, remains) = (self.full(on).kilograms(), self.remains());
            let (dry, kind) = if full <= remains { (full, Kind::Full(on)) } else { (remains, Kind::Last) };
            if dry <= CRUMB * full {
                break Closed::NoMoreFeed;
            }
            let Some(fits_from) = self.fits_from(castings, feed, dry) else { break Closed::Depth };
            portions.push(Portion { dry, there_on: self.there_on(self.used + dry), fits_from, kind });
            (self.used, feed, laid) = (self.used + dry, feed + dry, laid + 1);
            self.count_layer()?;
        };
        let empty = portions.is_empty() && castings <= 0.0;
        Ok((!empty).then_some(Cycle { castings, portions, closed, eaten_on }))
    }

    /// The dry matter of a layer of its due depth.
    fn full(&self, on: On) -> Mass {
        let V = Layer { A: self.bed.area, d: self.rules.depth(on) }.likely().into();
        DryInFeed { V, rho_f: self.rules.feed_density }.likely()
    }

    fn count_layer(&mut self) -> Result<(), Refusal> {
        self.layers += 1;
        if self.layers <= MAX_LAYERS {
            return Ok(());
        }
        let detail = format!(
            "this bed has more than {MAX_LAYERS} layers; use deeper layers, or forecast a shorter \
                              time"
        );
        Err(Refusal::new(Reason::TooLarge, detail).at("layers_per_cycle"))
    }

    /// How much of the cycle's feed must be worked before another layer fits: depth = (uneaten_feed / rho_d,feed + castings /
    /// rho_d,bed) / area. `None` if it does not fit even when all is worked; that is what decides, so the moment at which the
    /// next layer is laid moves no harvest date.
    fn fits_from(&self, castings: f64, feed: f64, layer: f64) -> Option<f64> {
        let feed_density = self.rules.feed_density.likely().base();
        let bed_density = self.rules.castings_density.likely().base();
        let room = (self.bed.area.likely() * self.rules.max).litres() / 1000.0;
        let worked = (castings + self.rules.kept * feed) / bed_density + layer / feed_density;
        if worked > room * (1.0 + CRUMB) {
            return None;
        }
        let shrinks = 1.0 / feed_density - self.rules.kept / bed_density;
        let over = castings / bed_density + (feed + layer) / feed_density - room;
        Some(if shrinks > 0.0 { (over / shrinks).clamp(0.0, feed) } else { 0.0 })
    }

    /// The date by whose morning so much feed has come.
    fn there_on(&self, sum: f64) -> Option<NaiveDate> {
        let enough = sum * (1.0 - CRUMB);
        self.come.iter().find(|(_, come)| *come >= enough).or(self.come.last()).map(|(on, _)| *on)
    }
}
