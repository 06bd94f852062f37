//! A bed for castings that are needed by certain days: the number of layers and the smallest ground whose harvests make them.

use super::super::inputs::Inputs;
use super::super::{Bed, Clocks, Forecast, Lot, Supply, forecast_on};
use super::feed::Limit;
use super::plan::{self, Sized};
use super::size::{Size, Sizer};
use super::weeks::{self, WEEK};
use super::{BedToSize, Feeding, SizedBed};
use crate::garden::assumptions::Known;
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{FeedADay, TotalMass, TotalVolume};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfVolume};
use crate::garden::units::{Area, End, Estimate, ROUNDING_TOLERANCE, Ratio, Volume};
use chrono::NaiveDate;

/// The most layers to choose among where their number is not given. Source: how this service works.
const MOST_CHOICES: u32 = 8;
/// The most beds that are followed for one request: one for each number of layers, the one that is taken, and one that looks for the first
/// castings. Source: how this service works.
pub const MOST_BEDS: u32 = MOST_CHOICES + 2;

/// Castings that are needed by a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CastingsBy {
    /// They are needed on this day.
    pub by: NaiveDate,
    /// How much, sieved, as it lies in store.
    pub amount: Estimate<OfVolume>,
}

/// Castings that are ready by a day on which some are needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CastingsReady {
    /// The day.
    pub by: NaiveDate,
    /// All that is needed by then.
    pub needed: Estimate<OfVolume>,
    /// All that is ready by then at the likely dates. At the low end only harvests count that are ready at their latest by then, at the
    /// high end all that are at their earliest.
    pub ready: Estimate<OfVolume>,
}

/// A number of layers, and what it takes.
#[derive(Debug, Clone)]
struct Choice {
    layers: u32,
    /// Harvests that are needed.
    cycles: u32,
    /// Ground at the good, the likely and the bad end of what a square metre yields.
    area: [f64; 3],
    /// Weeks in which the first harvest is fed.
    weeks: f64,
}

/// Sizes a bed by the castings needed.
pub(super) fn size<R: Recorder>(
    asked: &BedToSize,
    needed: &[CastingsBy],
    (clocks, known): (&Clocks, Known<'_>),
    recorder: R,
) -> Result<SizedBed, Refusal> {
    let mut sizer = Sizer::new(asked, clocks, Inputs::new(known, recorder))?;
    let needs = needs(needed);
    let choice = choose(asked, &needs, (clocks, known))?;
    let nodes: Vec<u32> = needed.iter().map(|need| need.amount.node()).collect();
    let rule = "the smallest ground whose harvests make the castings needed by each day";
    let wanted: Estimate<OfArea> = recorder.by_rule(rule, &nodes, Estimate::around(choice.area));
    let is_short = asked.ground.is_some_and(|ground| ground.likely() < wanted.likely());
    let area = asked.ground.filter(|_| is_short).unwrap_or(wanted).only(End::Likely);
    let worms = sizer.stock(area).only(End::Likely);
    let layers = plan::layers(asked, (choice.layers, choice.weeks, true), known)?;
    let sized = Sized { area, worms, layers, supply: Supply::AsNeeded, cycles: Some(choice.cycles) };
    let bed = plan::bed(asked, &sized);
    let (mut forecast, weeks) = plan::run(&bed, &sized.layers.own, (clocks, known), recorder)?;
    let size = figures(&mut sizer, (&bed, wanted), &forecast);
    forecast.assumed.append(&mut sizer.inputs.assumed);
    forecast.assumed.extend(plan::assumed(asked, known));
    Ok(SizedBed {
        size,
        bed,
        own: sized.layers.own,
        waiting: None,
        winter: weeks::winter(clocks, &weeks),
        limit: if is_short { Limit::Ground } else { Limit::Feed },
        castings: needs.iter().map(|need| ready_by(need, &forecast.lots, recorder)).collect(),
        forecast,
        weeks,
    })
}

fn figures<R: Recorder>(
    sizer: &mut Sizer<'_, R>,
    (bed, wanted): (&Bed, Estimate<OfArea>),
    forecast: &Forecast,
) -> Size {
    let area = bed.area;
    let worms = sizer.stock(area).only(End::Likely);
    let a_day = a_day(forecast, sizer.clocks, sizer.inputs.recorder);
    let bins = sizer.bins(area);
    let to_buy = sizer.asked.worms.map_or(worms, |there| sizer.lacking(worms, there));
    Size {
        warm_share: sizer.warm_share,
        feed_a_day: a_day,
        feed_a_week: sizer.a_week(a_day),
        worms_needed: worms,
        ground_at_least: None,
        ground_with_room: wanted,
        ground: area,
        worms,
        to_buy,
        to_buy_for_all: sizer.lacking(worms, worms),
        enough: sizer.enough((worms, worms), area, &[]),
        bins: bins.map(|(needed, _)| needed),
        castings_a_year: None,
        castings_of_all: None,
        thumb: sizer.thumb(a_day),
    }
}

/// What is needed by each day, with all that is needed before, in the order of the days.
fn needs(needed: &[CastingsBy]) -> Vec<CastingsBy> {
    let mut sorted = needed.to_vec();
    sorted.sort_by_key(|need| need.by);
    let mut sum: Option<Estimate<OfVolume>> = None;
    for need in &mut sorted {
        let all = sum.map_or(need.amount, |before| before.plus(need.amount));
        (need.amount, sum) = (all, Some(all));
    }
    sorted
}

/// The feed of all harvests, over the days of the plan.
fn a_day(
    forecast: &Forecast,
    clocks: &Clocks,
    recorder: impl Recorder,
) -> Estimate<crate::garden::units::quantity::OfMass> {
    let all = recorder.figure(TotalMass { u: forecast.lots.iter().map(|lot| lot.feed).collect() });
    let days = f64::from(u32::try_from(clocks.count()).unwrap_or(u32::MAX));
    let n = recorder.by_rule("counted on the calendar", &[all.node()], Ratio::from_number(days).into());
    recorder.figure(FeedADay { F: all, n })
}

/// All that is ready by the day of a need, early or late.
fn ready_by(need: &CastingsBy, lots: &[Lot], recorder: impl Recorder) -> CastingsReady {
    let v: Vec<_> = lots.iter().filter_map(|lot| lot.by(Some(need.by), lot.yields.castings, recorder)).collect();
    let nothing = Volume::from_litres(0.0).into();
    let ready = if v.is_empty() { nothing } else { recorder.figure(TotalVolume { v }) };
    CastingsReady { by: need.by, needed: need.amount, ready }
}

/// All that is ready by the day of a need at the likely dates.
fn likely_by(need: &CastingsBy, lots: &[Lot]) -> Estimate<OfVolume> {
    let lots = lots.iter().filter(|lot| lot.ready.likely <= need.by).map(|lot| lot.yields.castings);
    lots.fold(Volume::from_litres(0.0).into(), Estimate::plus)
}

/// The number of layers that takes the least ground.
fn choose(asked: &BedToSize, needs: &[CastingsBy], (clocks, known): (&Clocks, Known<'_>)) -> Result<Choice, Refusal> {
    let layers = asked.layers_per_cycle.map_or(1..=MOST_CHOICES, |layers| layers..=layers);
    let mut best: Option<Choice> = None;
    for layers in layers {
        let lots = on_a_square_metre(asked, layers, (clocks, known))?;
        let Some(found) = choice(layers, needs, (&lots, asked.start_on)) else { continue };
        let [_, likely, _] = found.area;
        let is_less =
            |best: &Choice| likely < best.area.get(1).copied().unwrap_or(f64::INFINITY) * (1.0 - ROUNDING_TOLERANCE);
        if best.as_ref().is_none_or(is_less) {
            best = Some(found);
        }
    }
    best.ok_or_else(|| too_early(asked, needs))
}

/// The harvests of a bed of a square metre with so many layers.
pub(super) fn on_a_square_metre(
    asked: &BedToSize,
    layers: u32,
    (clocks, known): (&Clocks, Known<'_>),
) -> Result<Vec<Lot>, Refusal> {
    let mut asked = asked.clone();
    if asked.feeding == Feeding::Weekly {
        // The weeks of a harvest share out the feed of layers of the usual depth, whether it heats or not.
        (asked.feeding, asked.feed.cautions) = (Feeding::Layers, Vec::new());
    }
    let thin = plan::layers(&asked, (layers, 0.0, true), known)?;
    let bed = Bed {
        area: Area::from_square_metres(1.0).into(),
        worms: None,
        running: None,
        start_on: asked.start_on,
        feed: super::Feed { supply: Supply::AsNeeded, ..asked.feed },
        layers_per_cycle: Some(layers),
        cycles: None,
    };
    Ok(forecast_on(&bed, clocks, Known { item: &thin.own, ..known }, Off)?.lots)
}

/// The ground that these harvests of a square metre need; `None` where none is ready by a day.
fn choice(layers: u32, needs: &[CastingsBy], (lots, start): (&[Lot], NaiveDate)) -> Option<Choice> {
    let mut area = [0.0_f64; 3];
    for need in needs {
        let found = likely_by(need, lots).values();
        let litres = need.amount.likely().litres();
        for (area, each) in area.iter_mut().zip(found.iter().rev()) {
            *area = area.max(if *each > 0.0 { litres / *each } else { return None });
        }
    }
    let [_, likely, _] = area;
    let makes = |count: &usize| {
        let some = lots.get(..*count).unwrap_or(lots);
        let enough = |need: &CastingsBy| {
            likely_by(need, some).litres() * likely >= need.amount.litres() * (1.0 - ROUNDING_TOLERANCE)
        };
        needs.iter().all(enough)
    };
    let cycles = (1..=lots.len()).find(makes)?;
    let days = lots.first().map_or(0, |lot| (lot.eaten_on - start).num_days());
    let weeks = f64::from(u32::try_from(days).unwrap_or(0)) / f64::from(WEEK);
    Some(Choice { layers, cycles: u32::try_from(cycles).ok()?, area, weeks })
}

fn too_early(asked: &BedToSize, needs: &[CastingsBy]) -> Refusal {
    let first = needs.first().map_or(asked.start_on, |need| need.by);
    let detail = format!(
        "a bed that starts on {} makes no castings by {first}: ask for them later, or start the bed earlier",
        asked.start_on
    );
    Refusal::new(Reason::DatesOutOfOrder, detail).at("castings_needed")
}
