//! A bed for the feed that comes: so much a week, or on dates.

use super::super::clock::whole_days;
use super::super::inputs::Inputs;
use super::super::{Clocks, Delivery, Supply};
use super::plan::{self, Sized};
use super::size::{BinsNeeded, Size, Sizer};
use super::weeks::{self, WEEK, Week};
use super::{BedToSize, Feeding, SizedBed, SizedBy};
use crate::garden::assumptions::Known;
use crate::garden::cautions::Rule;
use crate::garden::closed_list::closed_list;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{FeedADay, TotalMass};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfMass};
use crate::garden::units::{End, Estimate, ROUNDING_TOLERANCE, Ratio};
use chrono::NaiveDate;

closed_list! {
    /// What limits how much is eaten.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Limit {
        /// All that comes is eaten: more feed would make more castings.
        Feed = "feed",
        /// There are too few worms at first.
        Worms = "worms",
        /// The ground does not carry enough worms.
        Ground = "ground",
        /// There are too few warm days.
        Warmth = "warmth",
        /// Feed on dates comes too late: it would be eaten, had it come earlier.
        Time = "time",
    }
}

/// What comes when, and how much a day that is.
struct Coming {
    deliveries: Vec<Delivery>,
    a_day: Estimate<OfMass>,
    /// All that comes on dates; `None` for feed that comes each week, as long as somebody brings it.
    all: Option<Estimate<OfMass>>,
}

/// Ground, bins and worms for the feed that comes.
struct Fit {
    worms_needed: Estimate<OfMass>,
    /// At least, and with room to grow.
    grounds: [Estimate<OfArea>; 2],
    area: Estimate<OfArea>,
    bins: Option<BinsNeeded>,
    /// At the start, and of these to buy.
    worms: (Estimate<OfMass>, Estimate<OfMass>),
}

/// Sizes a bed by its feed.
pub(super) fn size<R: Recorder>(
    asked: &BedToSize,
    (clocks, known): (&Clocks, Known<'_>),
    recorder: R,
) -> Result<SizedBed, Refusal> {
    let mut sizer = Sizer::new(asked, clocks, Inputs::new(known, recorder))?;
    let coming = coming(asked, clocks, recorder)?;
    let fit = fit(&mut sizer, coming.a_day);
    let usual = plan::usual(asked, known);
    let week = coming.a_day.kilograms() * f64::from(WEEK);
    plan::check_ground(asked, (fit.area, week), known)?;
    let layers = plan::layers(asked, (usual, plan::feed_in(asked, (usual, fit.area), known) / week, false), known)?;
    let supply = Supply::OnDates(coming.deliveries.clone());
    let sized = Sized { area: fit.area, worms: fit.worms.0, layers, supply, cycles: None };
    let bed = plan::with_feed(plan::bed(asked, &sized), &sized.layers.own, known)?;
    let (mut forecast, weeks) = plan::run(&bed, &sized.layers.own, (clocks, known), recorder)?;
    let limit = limit(&sizer, (&fit, &coming), &weeks);
    // That it is empty from one week's feed to the next is not reported: the feed limits it.
    let is_steady = asked.feeding == Feeding::Weekly && matches!(asked.by, SizedBy::EachWeek(_));
    forecast.cautions.retain(|rule| *rule != Rule::BedEmpty || !is_steady);
    forecast.cautions.extend((limit != Limit::Feed).then_some(Rule::FeedNotEaten));
    forecast.cautions.sort_unstable();
    let mut size = figures(&mut sizer, (fit, &coming), &weeks)?;
    size.enough = size.enough.map(|enough| enough.from(bed.start_on));
    forecast.assumed.extend(sizer.inputs.assumed);
    forecast.assumed.extend(plan::assumed(asked, known));
    Ok(SizedBed {
        size,
        bed,
        own: sized.layers.own,
        waiting: weeks::most_waiting(&weeks, (asked.feeding, &forecast.layers)),
        winter: weeks::winter(clocks, &weeks),
        forecast,
        weeks,
        limit,
        castings: Vec::new(),
    })
}

fn fit<R: Recorder>(sizer: &mut Sizer<'_, R>, a_day: Estimate<OfMass>) -> Fit {
    let worms_needed = sizer.worms_for(a_day);
    let [at_least, with_room] = sizer.ground_for(worms_needed);
    let wanted = sizer.asked.ground.unwrap_or(with_room).only(End::Likely);
    let bins = sizer.bins(wanted);
    // Bins that are there are filled to the last.
    let area = bins.filter(|_| sizer.asked.ground.is_none()).map_or(wanted, |(_, all)| all);
    let worms = sizer.start(worms_needed, area);
    Fit { worms_needed, grounds: [at_least, with_room], area, bins: bins.map(|(needed, _)| needed), worms }
}

fn figures<R: Recorder>(
    sizer: &mut Sizer<'_, R>,
    (fit, coming): (Fit, &Coming),
    weeks: &[Week],
) -> Result<Size, Refusal> {
    let a_day = coming.a_day;
    let Fit { worms_needed, grounds: [at_least, with_room], area, bins, worms: (worms, to_buy) } = fit;
    // Only feed that goes on coming has a year: what comes on dates makes its castings once.
    let (a_year, of_all) = match coming.all {
        None => (Some(sizer.castings_a_year(a_day)?), None),
        Some(all) => (None, Some(sizer.castings_of(all)?)),
    };
    Ok(Size {
        warm_share: sizer.warm_share,
        feed_a_day: a_day,
        feed_a_week: sizer.a_week(a_day),
        worms_needed,
        ground_at_least: Some(at_least),
        ground_with_room: with_room,
        ground: area,
        worms,
        to_buy,
        to_buy_for_all: sizer.lacking(worms_needed, worms),
        enough: sizer.enough((worms, worms_needed), area, weeks),
        bins,
        castings_a_year: a_year,
        castings_of_all: of_all,
        thumb: coming.all.map_or_else(|| sizer.thumb(a_day), |all| sizer.thumb_while_fed(all, weeks)),
    })
}

/// What comes: each week within the plan, or on dates. Feed on dates is kept and eaten over all days of the plan: on which of them it comes
/// changes what waits, and not how much a day it is.
fn coming(asked: &BedToSize, clocks: &Clocks, recorder: impl Recorder) -> Result<Coming, Refusal> {
    let whole =
        |number: f64, node| recorder.by_rule("counted on the calendar", &[node], Ratio::from_number(number).into());
    match &asked.by {
        SizedBy::EachWeek(each) => {
            let deliveries = weeks::each_week(clocks, *each);
            let n = whole(f64::from(WEEK), each.node());
            Ok(Coming { deliveries, a_day: recorder.figure(FeedADay { F: *each, n }), all: None })
        }
        SizedBy::OnDates(list) => {
            let u: Vec<Estimate<OfMass>> = list.iter().map(|delivery| delivery.dry_matter).collect();
            let Some(node) = u.first().map(|mass| mass.node()) else { return Err(nothing()) };
            let n = whole(whole_days(clocks.count()), node);
            let all = recorder.figure(TotalMass { u });
            Ok(Coming { deliveries: list.clone(), a_day: recorder.figure(FeedADay { F: all, n }), all: Some(all) })
        }
        SizedBy::Castings(_) => Err(nothing()),
    }
}

fn nothing() -> Refusal {
    let detail = "say what feed comes: an amount each week, or amounts on dates";
    Refusal::new(Reason::MissingField, detail).at("feed_supply")
}

/// What limits how much is eaten. A bed that catches up eats all that comes.
fn limit<R: Recorder>(sizer: &Sizer<'_, R>, (fit, coming): (&Fit, &Coming), weeks: &[Week]) -> Limit {
    let area = fit.area;
    let week = coming.a_day.kilograms() * f64::from(WEEK) * (1.0 + ROUNDING_TOLERANCE);
    let total: f64 = weeks.iter().map(|week| week.comes.kilograms()).sum();
    let warm: f64 = weeks.iter().map(|week| week.warm_days).sum();
    let days = whole_days(sizer.clocks.count());
    let last = coming.all.and_then(|_| coming.deliveries.iter().map(|delivery| delivery.on).max());
    let caught_up = last.map_or_else(|| catches_up(weeks, week), |last| eats_the_last(weeks, (last, week)));
    let are_enough = fit.worms.0.likely() >= fit.worms_needed.likely();
    match (caught_up, sizer.most_eaten(area, warm) >= total, sizer.most_eaten(area, days) >= total) {
        (true, ..) => Limit::Feed,
        (false, true, _) if coming.all.is_some() && are_enough => Limit::Time,
        (false, true, _) => Limit::Worms,
        (false, false, true) => Limit::Warmth,
        (false, false, false) => Limit::Ground,
    }
}

/// Whether no more than the feed of a week waits at the end of a week in the second half of the plan, after half of the feed has come.
fn catches_up(weeks: &[Week], feed: f64) -> bool {
    let total: f64 = weeks.iter().map(|week| week.comes.kilograms()).sum();
    let come = weeks.iter().scan(0.0, |come, week| {
        *come += week.comes.kilograms();
        Some(*come * (2.0 + ROUNDING_TOLERANCE) >= total)
    });
    let second_half = weeks.iter().zip(come).skip(weeks.len() / 2);
    second_half.filter(|(_, most_has_come)| *most_has_come).any(|(of, _)| of.waits.kilograms() <= feed)
}

/// Whether no more than so much feed waits at the end of a week once the last has come.
fn eats_the_last(weeks: &[Week], (last, feed): (NaiveDate, f64)) -> bool {
    weeks.iter().filter(|week| week.end_on >= last).any(|week| week.waits.kilograms() <= feed)
}
