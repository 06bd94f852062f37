//! From a size to a bed that the simulator runs: the depth of its layers, and what it does.

use super::super::forecast::Forecast;
use super::super::{Bed, Clocks, Delivery, Supply, forecast_on};
use super::weeks::{self, Week};
use super::{BedToSize, Feeding};
use crate::garden::assumptions::{Assumed, Assumption, Known, MOST_LAYERS_PER_CYCLE, Overrides, Span};
use crate::garden::figures::Recorder;
use crate::garden::refusal::Refusal;
use crate::garden::units::quantity::{OfArea, OfDensity, OfLength, OfMass, OfRatio};
use crate::garden::units::{Estimate, Length, ROUNDING_TOLERANCE};

/// How many layers a bed gets for each week's feed where it is fed weekly: one that is eaten and one that lies fresh. Source: how this
/// service works.
const FOR_EACH_WEEK: f64 = 2.0;

/// The layers of a harvest, and what holds of this bed alone.
#[derive(Debug, Clone)]
pub(super) struct Layers {
    pub count: u32,
    pub own: Overrides,
}

/// A bed that is sized.
#[derive(Debug)]
pub(super) struct Sized {
    pub area: Estimate<OfArea>,
    pub worms: Estimate<OfMass>,
    pub layers: Layers,
    pub supply: Supply,
    pub cycles: Option<u32>,
}

/// The likely value of a length.
pub(super) fn length(which: Assumption, known: Known<'_>) -> Length {
    let (found, _): (Estimate<OfLength>, _) = known.estimate(which);
    found.likely()
}

/// How many layers make a harvest, of the usual depth.
pub(super) fn usual(asked: &BedToSize, known: Known<'_>) -> u32 {
    let (usual, _): (Estimate<OfRatio>, _) = known.estimate(Assumption::LayersPerCycle);
    let of_table = (1..=MOST_LAYERS_PER_CYCLE).find(|count| f64::from(*count) >= usual.number());
    asked.layers_per_cycle.or(of_table).unwrap_or(1)
}

/// What a bed that is sized takes of layers and depths, besides what its forecast takes.
pub(super) fn assumed(asked: &BedToSize, known: Known<'_>) -> impl Iterator<Item = Assumed> {
    let by_castings = matches!(asked.by, super::SizedBy::Castings(_));
    let counted = asked.layers_per_cycle.is_none() && !by_castings;
    let which = [
        (Assumption::LayersPerCycle, counted),
        (Assumption::FirstLayer, true),
        (Assumption::LaterLayer, true),
        (Assumption::MaxDepth, true),
    ];
    which.into_iter().filter(|(_, is_used)| *is_used).filter_map(move |(which, _)| known.get(which))
}

/// How deep so many layers of the usual depth lie together when fresh.
pub(super) fn fresh_depth(layers: u32, known: Known<'_>) -> Length {
    let [first, later] = [Assumption::FirstLayer, Assumption::LaterLayer].map(|which| length(which, known));
    first + later.times(f64::from(layers.saturating_sub(1)))
}

/// Dry feed in so many layers of the usual depth on this ground, kg.
pub(super) fn feed_in(layers: u32, area: Estimate<OfArea>, known: Known<'_>) -> f64 {
    let (density, _): (Estimate<OfDensity>, _) = known.estimate(Assumption::FeedDryDensity);
    (area.likely() * fresh_depth(layers, known) * density.likely()).kilograms()
}

/// The layers of a bed that is fed the feed of a harvest in so many weeks: the usual ones, or where it is fed weekly thin ones. These are
/// as deep together (`whole`), or else as deep as each week's feed asks for, so that none of it is left for the next week.
pub(super) fn layers(
    asked: &BedToSize,
    (usual, weeks, whole): (u32, f64, bool),
    known: Known<'_>,
) -> Result<Layers, Refusal> {
    let mut own = Overrides::default();
    if let Some(depth) = bin_depth(asked, known) {
        own.set(Assumption::MaxDepth, Span::exactly(depth.metres()))?;
    }
    if asked.feeding == Feeding::Layers {
        return Ok(Layers { count: usual, own });
    }
    let portions = weeks * FOR_EACH_WEEK;
    let count = (usual..=MOST_LAYERS_PER_CYCLE).find(|count| f64::from(*count) >= portions - ROUNDING_TOLERANCE);
    let count = count.unwrap_or(MOST_LAYERS_PER_CYCLE);
    let parts = if whole { f64::from(count) } else { portions.max(f64::from(usual)) };
    let thin = Span::exactly(fresh_depth(usual, known).metres() / parts);
    own.set(Assumption::FirstLayer, thin)?;
    own.set(Assumption::LaterLayer, thin)?;
    Ok(Layers { count, own })
}

/// How deep a bin is, where that is less than a bed may be.
fn bin_depth(asked: &BedToSize, known: Known<'_>) -> Option<Length> {
    let bins = asked.bins?;
    let depth = bins.capacity.likely() / bins.ground?.likely();
    (depth < length(Assumption::MaxDepth, known)).then_some(depth)
}

/// The bed for the simulator.
pub(super) fn bed(asked: &BedToSize, sized: &Sized) -> Bed {
    let feed = super::Feed { supply: sized.supply.clone(), ..asked.feed.clone() };
    Bed {
        area: sized.area,
        worms: Some(sized.worms),
        running: None,
        start_on: asked.start_on,
        feed,
        layers_per_cycle: Some(sized.layers.count),
        cycles: sized.cycles,
    }
}

/// What a bed does: its forecast, and its weeks.
pub(super) fn run(
    bed: &Bed,
    own: &Overrides,
    (clocks, known): (&Clocks, Known<'_>),
    recorder: impl Recorder,
) -> Result<(Forecast, Vec<Week>), Refusal> {
    let known = Known { item: own, ..known };
    let forecast = forecast_on(bed, clocks, known, recorder)?;
    let comes: Option<&[Delivery]> = match &bed.feed.supply {
        Supply::OnDates(list) => Some(list),
        Supply::AsNeeded | Supply::AllAtOnce(_) => None,
    };
    let weeks = weeks::weeks(bed, comes, (clocks, known))?;
    Ok((forecast, weeks))
}
