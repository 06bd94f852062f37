//! A bed for castings that are needed by certain days: the number of layers and the smallest ground whose harvests make them.

use super::super::inputs::Inputs;
use super::super::{Bed, Clocks, Forecast, Lot, Supply, forecast_on};
use super::feed::Limit;
use super::plan::{self, Sized};
use super::size::{Size, Sizer};
use super::weeks::{self, WEEK, Week};
use super::{BedToSize, Feeding, HarvestDates, SizedBed};
use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{FeedADay, TotalMass, TotalVolume};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfMass, OfMassPerArea, OfVolume};
use crate::garden::units::{Area, End, Estimate, ROUNDING_TOLERANCE, Ratio, Volume};
use chrono::NaiveDate;

/// The most layers to choose among where their number is not given. Source: how this service works.
pub const MAX_CHOICES: u32 = 8;
/// The most beds that are followed for one request: one for each number of layers, the one that is taken, and one that looks for the first
/// castings; twice as many where the latest days count. Source: how this service works.
pub const MAX_BEDS: u32 = MAX_CHOICES + 2;

/// The ground on which harvests are looked at. Source: exact by definition.
const SQUARE_METRE: Area = Area::from_square_metres(1.0);

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
    let size = figures(&mut sizer, (&bed, wanted), (&forecast, &weeks));
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
    (forecast, weeks): (&Forecast, &[Week]),
) -> Size {
    let area = bed.area;
    let worms = sizer.stock(area).only(End::Likely);
    let all = sizer.inputs.recorder.figure(TotalMass { u: forecast.lots.iter().map(|lot| lot.feed).collect() });
    let a_day = a_day(all, sizer.clocks, sizer.inputs.recorder);
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
        thumb: sizer.thumb_while_fed(all, weeks),
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
fn a_day(all: Estimate<OfMass>, clocks: &Clocks, recorder: impl Recorder) -> Estimate<OfMass> {
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

/// All of harvests that are in time for a need.
fn in_time(need: &CastingsBy, lots: &[Lot], dates: HarvestDates) -> Estimate<OfVolume> {
    let is_by = |lot: &&Lot| dates.of(lot.ready).is_some_and(|on| on <= need.by);
    let lots = lots.iter().filter(is_by).map(|lot| lot.yields.castings);
    lots.fold(Volume::from_litres(0.0).into(), Estimate::plus)
}

/// The number of layers that takes the least ground.
fn choose(asked: &BedToSize, needs: &[CastingsBy], (clocks, known): (&Clocks, Known<'_>)) -> Result<Choice, Refusal> {
    let layers = asked.layers_per_cycle.map_or(1..=MAX_CHOICES, |layers| layers..=layers);
    let mut best: Option<Choice> = None;
    for layers in layers {
        let lots = on_a_square_metre(asked, layers, (clocks, known))?;
        let weeks = weeks_of_first(&lots, asked.start_on);
        let lots = as_it_is_fed(asked, (layers, lots), (clocks, known))?;
        let Some(found) = choice((layers, weeks), needs, (&lots, asked.harvest_dates)) else { continue };
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
    lots(&asked, (layers, &thin.own, None), (clocks, known))
}

/// The harvests of such a bed as it is stocked and fed, where the latest days count: these depend on it, the likely days do not.
pub(super) fn as_it_is_fed(
    asked: &BedToSize,
    (layers, in_layers): (u32, Vec<Lot>),
    (clocks, known): (&Clocks, Known<'_>),
) -> Result<Vec<Lot>, Refusal> {
    if asked.harvest_dates == HarvestDates::Likely {
        return Ok(in_layers);
    }
    let (stocked, _): (Estimate<OfMassPerArea>, _) = known.estimate(Assumption::StockingDensity);
    let worms = (stocked.likely() * SQUARE_METRE).into();
    let thin = plan::layers(asked, (layers, weeks_of_first(&in_layers, asked.start_on), true), known)?;
    lots(asked, (thin.count, &thin.own, Some(worms)), (clocks, known))
}

/// The harvests of a square metre with so many layers, and what holds of them alone.
fn lots(
    asked: &BedToSize,
    (layers, own, worms): (u32, &Overrides, Option<Estimate<OfMass>>),
    (clocks, known): (&Clocks, Known<'_>),
) -> Result<Vec<Lot>, Refusal> {
    let bed = Bed {
        area: SQUARE_METRE.into(),
        worms,
        running: None,
        start_on: asked.start_on,
        feed: super::Feed { supply: Supply::AsNeeded, ..asked.feed.clone() },
        layers_per_cycle: Some(layers),
        cycles: None,
    };
    Ok(forecast_on(&bed, clocks, Known { item: own, ..known }, Off)?.lots)
}

/// Weeks in which the first harvest is fed.
fn weeks_of_first(lots: &[Lot], start: NaiveDate) -> f64 {
    let days = lots.first().map_or(0, |lot| (lot.eaten_on - start).num_days());
    f64::from(u32::try_from(days).unwrap_or(0)) / f64::from(WEEK)
}

/// The ground that these harvests of a square metre need; `None` where none is ready by a day.
fn choice((layers, weeks): (u32, f64), needs: &[CastingsBy], (lots, dates): (&[Lot], HarvestDates)) -> Option<Choice> {
    let mut area = [0.0_f64; 3];
    for need in needs {
        let found = in_time(need, lots, dates).values();
        let litres = need.amount.likely().litres();
        for (area, each) in area.iter_mut().zip(found.iter().rev()) {
            *area = area.max(if *each > 0.0 { litres / *each } else { return None });
        }
    }
    let [_, likely, _] = area;
    let makes = |count: &usize| {
        let some = lots.get(..*count).unwrap_or(lots);
        let enough = |need: &CastingsBy| {
            in_time(need, some, dates).litres() * likely >= need.amount.litres() * (1.0 - ROUNDING_TOLERANCE)
        };
        needs.iter().all(enough)
    };
    let cycles = (1..=lots.len()).find(makes)?;
    Some(Choice { layers, cycles: u32::try_from(cycles).ok()?, area, weeks })
}

fn too_early(asked: &BedToSize, needs: &[CastingsBy]) -> Refusal {
    let first = needs.first().map_or(asked.start_on, |need| need.by);
    let surely = if asked.harvest_dates == HarvestDates::Latest { " at its latest dates" } else { "" };
    let detail = format!(
        "a bed that starts on {} makes no castings by {first}{surely}: ask for them later, or start the bed earlier",
        asked.start_on
    );
    Refusal::new(Reason::DatesOutOfOrder, detail).at("castings_needed")
}
