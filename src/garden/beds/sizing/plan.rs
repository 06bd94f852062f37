//! From a size to a bed that the simulator runs: the depth of its layers, and what it does.

use super::super::forecast::Forecast;
use super::super::single_cycle::first_feed_on;
use super::super::{Bed, Clocks, Delivery, Supply, forecast_on};
use super::weeks::{self, Week};
use super::{BedToSize, Feeding};
use crate::garden::assumptions::{Assumed, Assumption, Known, MAX_LAYERS_PER_CYCLE, Overrides, Span, bounds};
use crate::garden::feeds::depth_on_worms;
use crate::garden::figures::Recorder;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfDensity, OfLength, OfMass, OfRatio};
use crate::garden::units::round::to_nine_digits;
use crate::garden::units::{Density, Estimate, Length, ROUNDING_TOLERANCE};

/// How many layers a bed gets for each week's feed where it is fed weekly: one that is eaten and one that lies fresh. Source: how this
/// service works.
const FOR_EACH_WEEK: f64 = 2.0;

/// The feed of a harvest that is fed weekly differs from that of its usual layers by this share of it at the most, where layers can be so
/// thin. Source: how this service works.
const NEARLY: f64 = 0.05;

/// How far a number of three digits may lie from the exact one, as a share of it. Source: exact by definition.
const THREE_DIGITS: f64 = 0.005;

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
    let of_table = (1..=MAX_LAYERS_PER_CYCLE).find(|count| f64::from(*count) >= usual.number());
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
        (Assumption::FreshLayer, asked.feed.heats()),
        (Assumption::MaxDepth, true),
    ];
    which.into_iter().filter(|(_, is_used)| *is_used).filter_map(move |(which, _)| known.get(which))
}

/// What gives the depth of the first layer and of a later one.
const DEPTHS: [Assumption; 2] = [Assumption::FirstLayer, Assumption::LaterLayer];

/// The first layer and a later one, as they are laid: of the usual depth, thinner on worms where the feed heats up, or as deep as a bin
/// that is not as deep. The weeks of a harvest share out the feed of layers of the usual depth.
fn depths(asked: &BedToSize, known: Known<'_>) -> [Length; 2] {
    let most = bin_depth(asked, known);
    let heats = asked.feed.heats() && asked.feeding == Feeding::Layers;
    let usual = [Assumption::FirstLayer, depth_on_worms(known, heats)];
    usual.map(|which| length(which, known)).map(|usual| most.filter(|most| *most < usual).unwrap_or(usual))
}

/// How deep so many layers lie together when fresh.
fn fresh_depth(asked: &BedToSize, layers: u32, known: Known<'_>) -> Length {
    let [first, later] = depths(asked, known);
    first + later.times(f64::from(layers.saturating_sub(1)))
}

/// Dry feed in so many layers on this ground, kg.
pub(super) fn feed_in(asked: &BedToSize, (layers, area): (u32, Estimate<OfArea>), known: Known<'_>) -> f64 {
    (area.likely() * fresh_depth(asked, layers, known) * feed_density(known)).kilograms()
}

fn feed_density(known: Known<'_>) -> Density {
    let (density, _): (Estimate<OfDensity>, _) = known.estimate(Assumption::FeedDryDensity);
    density.likely()
}

/// Refuses ground on which a week's dry feed makes layers that are too thin to compute with.
///
/// # Errors
/// `out_of_range`, with the most ground that this feed may have.
pub(super) fn check_ground(
    asked: &BedToSize,
    (area, week): (Estimate<OfArea>, f64),
    known: Known<'_>,
) -> Result<(), Refusal> {
    let (thinnest, _) = bounds(Assumption::FirstLayer);
    let most = week / (feed_density(known).base() * thinnest * FOR_EACH_WEEK);
    let area = area.likely().square_metres();
    if asked.feeding == Feeding::Layers || area <= most * (1.0 + ROUNDING_TOLERANCE) {
        return Ok(());
    }
    // Without ground and bins the ground goes by the feed, so that more feed is of no help.
    let instead = match (asked.ground, asked.bins) {
        (Some(_), _) => "less ground, or more feed".to_owned(),
        (None, Some(_)) => "smaller bins, or more feed".to_owned(),
        (None, None) => {
            format!("ground of at most {} m2, or a higher {}", not_above(most), Assumption::StockingDensity.id())
        }
    };
    let detail = format!(
        "a week's feed would lie less than {} mm deep on {} m2; this feed is enough for {} m2 at most: give {instead}",
        thinnest * FOR_EACH_WEEK * 1000.0,
        to_nine_digits(area),
        not_above(most),
    );
    Err(Refusal::new(Reason::OutOfRange, detail).at("area"))
}

/// The layers of a bed that is fed the feed of a harvest in so many weeks: the usual ones, or where it is fed weekly thin ones. These are
/// as deep together (`whole`), or else nearly so and an equal part of each week's feed, so that none of it is left for the next week.
pub(super) fn layers(
    asked: &BedToSize,
    (usual, weeks, whole): (u32, f64, bool),
    known: Known<'_>,
) -> Result<Layers, Refusal> {
    let mut own = known.item.clone();
    if let Some(depth) = bin_depth(asked, known) {
        own.set(Assumption::MaxDepth, Span::exactly(depth.metres()))?;
    }
    if asked.feeding == Feeding::Layers {
        let laid = DEPTHS.into_iter().zip(depths(asked, known));
        for (which, depth) in laid.filter(|(which, depth)| *depth < length(*which, known)) {
            own.set(which, Span::exactly(depth.metres()))?;
        }
        return Ok(Layers { count: usual, own });
    }
    let fresh = fresh_depth(asked, usual, known);
    let (thinnest, _) = bounds(Assumption::FirstLayer);
    let most = fresh.metres() / thinnest;
    let on_worms = length(depth_on_worms(known, asked.feed.heats()), known);
    let thin_enough = if asked.feed.heats() { fresh.metres() / on_worms.metres() } else { 0.0 };
    let (count, parts) = if whole {
        let count = at_least(usual, (weeks * FOR_EACH_WEEK).max(thin_enough).min(most.floor()));
        (count, f64::from(count))
    } else {
        equal_parts(at_least(usual, thin_enough), (weeks, most))
    };
    let thin = Span::exactly(fresh.metres() / parts);
    own.set(Assumption::FirstLayer, thin)?;
    own.set(Assumption::LaterLayer, thin)?;
    Ok(Layers { count, own })
}

/// The first number of layers from `first` on that is no less than this.
fn at_least(first: u32, number: f64) -> u32 {
    let found = (first..=MAX_LAYERS_PER_CYCLE).find(|count| f64::from(*count) >= number - ROUNDING_TOLERANCE);
    found.unwrap_or(MAX_LAYERS_PER_CYCLE)
}

/// How many thin layers make a harvest that the feed of so many weeks makes, `first` or more, and how many of them are as deep as its usual
/// layers. An equal number comes of each week's feed: the smallest with which both are nearly the same, of those with `most` at the most.
fn equal_parts(first: u32, (weeks, most): (f64, f64)) -> (u32, f64) {
    let mut each_week = (f64::from(first) / weeks - ROUNDING_TOLERANCE).ceil().max(FOR_EACH_WEEK);
    let mut best = (MAX_LAYERS_PER_CYCLE, f64::from(MAX_LAYERS_PER_CYCLE), f64::INFINITY);
    loop {
        let parts = each_week * weeks;
        let nearest = (first..=MAX_LAYERS_PER_CYCLE).find(|count| f64::from(*count) >= parts - 0.5);
        let Some(count) = nearest.filter(|_| best.2.is_infinite() || parts <= most) else { break };
        let off = (f64::from(count) / parts - 1.0).abs();
        if off < best.2 {
            best = (count, parts, off);
        }
        if off <= NEARLY {
            break;
        }
        each_week += 1.0;
    }
    (best.0, best.1)
}

/// How deep a bin is, where that is less than a bed may be.
fn bin_depth(asked: &BedToSize, known: Known<'_>) -> Option<Length> {
    let bins = asked.bins?;
    let depth = bins.capacity.likely() / bins.ground?.likely();
    (depth < length(Assumption::MaxDepth, known)).then_some(depth)
}

/// A number of three digits that is as large as this one or a little smaller.
fn not_above(number: f64) -> f64 {
    let short = |number: f64| format!("{number:.2e}").parse().unwrap_or(number);
    let nearest = short(number);
    if nearest <= number * (1.0 + ROUNDING_TOLERANCE) { nearest } else { short(number * (1.0 - THREE_DIGITS)) }
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

/// The bed with its worms put in on the morning on which the first feed is laid: before that they have nothing to eat.
pub(super) fn with_feed(bed: Bed, own: &Overrides, known: Known<'_>) -> Result<Bed, Refusal> {
    let first = first_feed_on(&bed, Known { item: own, ..known })?;
    Ok(Bed { start_on: first.map_or(bed.start_on, |on| on.max(bed.start_on)), ..bed })
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
    let deliveries: Option<&[Delivery]> = match &bed.feed.supply {
        Supply::OnDates(list) => Some(list),
        Supply::AsNeeded | Supply::AllAtOnce(_) => None,
    };
    let weeks = weeks::weeks(bed, deliveries, (clocks, known))?;
    Ok((forecast, weeks))
}
