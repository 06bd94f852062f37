//! Writing the answer.

use super::answer::{
    BinsNeededOut, CastingsReadyOut, EatenOut, SizedFeedOut, SizedGroundOut, SizedWormsOut, SurplusOut, ThumbOut,
    WeekOut, WinterOut, WormBedsAnswer, WormBedsPart,
};
use super::bed_to_send;
use super::read::Solved;
use super::request::WormBedsRequest;
use crate::garden::assumptions::{Assumed, Assumption, Overrides, SetBy};
use crate::garden::beds::Yield;
use crate::garden::beds::sizing::{CastingsReady, Feeding, Size, SizedBed, Waiting, Week};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{MoistOfDry, VolumeOfDry, VolumeOfMass};
use crate::garden::units::quantity::{OfMass, OfVolume};
use crate::garden::units::{Duration, End, Estimate, Mass};
use crate::http::input::RequestContext;
use crate::http::output::quantity::{CountOut, Role, View};
use crate::http::output::{Echo, Report};
use crate::http::resources::harvests::{EndOut, ForecastOut};
use crate::http::resources::{CastingsOut, close};
use crate::http::wire::JsonPath;

/// What to do with feed that is too much.
const ADVICE: &str =
    "Dry it and keep it dry, freeze it, share it, or compost it hot; feed what you keep as the worms can eat it.";

/// How a figure of a week comes that no formula gives.
const WEEK_BY_WEEK: &str = "followed week by week on the clock of warm days";

/// Writes feed that is known by its dry matter.
struct Amounts<'a> {
    solved: &'a Solved,
    view: &'a View<'a>,
    by: [u32; 3],
    density: Estimate<crate::garden::units::quantity::OfDensity>,
}

impl Amounts<'_> {
    fn dry(&self, kilograms: Mass) -> Estimate<OfMass> {
        self.view.book().by_rule(WEEK_BY_WEEK, &self.by, kilograms.into())
    }

    fn moist(&self, dry: Mass) -> Estimate<OfMass> {
        let w = self.solved.asked.feed.moisture;
        self.view.book().figure(MoistOfDry { D: self.dry(dry), w })
    }

    /// By the bulk density of the feed, or by dry matter where that is not known.
    fn volume(&self, dry: Mass, m: Estimate<OfMass>) -> Estimate<OfVolume> {
        match self.solved.bulk_density {
            Some(rho) => self.view.book().figure(VolumeOfMass { m, rho: rho.only(End::Likely) }),
            None => self.view.book().figure(VolumeOfDry { D: self.dry(dry), rho_f: self.density }),
        }
    }

    fn week(&self, week: &Week) -> WeekOut {
        let (view, mass) = (self.view, |dry: Mass| self.view.estimate(Role::Mass, self.moist(dry)));
        let m = self.moist(week.eaten);
        let volume = self.volume(week.eaten, m);
        WeekOut {
            start_on: week.start_on,
            end_on: week.end_on,
            warm_days: view.exact(Role::Days, Duration::from_hours(week.warm_days * 24.0)),
            comes: mass(week.comes),
            feed: view.estimate(Role::Mass, m),
            feed_volume: view.estimate(Role::Bulk, volume),
            feed_in_containers: view.in_containers(volume, Some(m)),
            materials: self.solved.collected.materials_of_one(m, view),
            waiting: mass(week.waits),
            worms: view.exact(Role::Mass, week.worms),
        }
    }
}

/// Writes the answer.
pub(super) fn write(
    request: &WormBedsRequest,
    solved: &Solved,
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> WormBedsAnswer {
    let mut report = Report::of_castings();
    let root = JsonPath::root();
    let sized = &solved.sized;
    // What holds of this bed alone was chosen here, and is no assumption of the caller's.
    let mut assumed: Vec<Assumed> =
        sized.forecast.assumed.iter().copied().filter(|one| one.set_by != SetBy::Item).collect();
    let amounts = amounts(solved, context, view, &mut assumed);
    context.note_used(root, &Overrides::default(), &assumed);
    report.used(&assumed, root);
    report.reported(&sized.forecast.cautions);
    let part = part(solved, &amounts, request, (context, view));
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}

fn amounts<'a>(
    solved: &'a Solved,
    context: &RequestContext<'_>,
    view: &'a View<'a>,
    assumed: &mut Vec<Assumed>,
) -> Amounts<'a> {
    let size = &solved.sized.size;
    let none = Overrides::default();
    let known = crate::garden::assumptions::Known { request: &context.overrides, item: &none };
    let (density, used) = known.figure(Assumption::FeedDryDensity, view.book());
    assumed.extend(used.filter(|_| solved.bulk_density.is_none()));
    let by = [size.feed_a_day.node(), size.ground.node(), size.worms.node()];
    Amounts { solved, view, by, density: density.only(End::Likely) }
}

fn part(
    solved: &Solved,
    amounts: &Amounts<'_>,
    request: &WormBedsRequest,
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> WormBedsPart {
    let sized = &solved.sized;
    let ForecastOut { lots, layers, water, stopped, without_feed, end, .. } =
        ForecastOut::new(&sized.forecast, &solved.collected, view);
    let in_layers = solved.asked.feeding == Feeding::Layers;
    WormBedsPart {
        ground: ground(&sized.size, view),
        worms: worms(sized, view),
        bins: bins(solved, view),
        feed: feed(sized, amounts),
        limiting_factor: sized.limit.as_str(),
        surplus_feed: sized.waiting.map(|waiting| surplus(&waiting, amounts)),
        winter: winter(sized, amounts),
        weeks: sized.weeks.iter().map(|week| amounts.week(week)).collect(),
        feed_name: solved.collected.name.clone(),
        is_mix_assumed: solved.collected.mixed.as_ref().is_some_and(|mixed| mixed.is_assumed),
        layers: in_layers.then_some(layers),
        water: in_layers.then_some(water),
        lots,
        harvest_dates: request.castings_needed.is_some().then_some(solved.asked.harvest_dates.as_str()),
        castings_needed: sized.castings.iter().map(|ready| needed(ready, view)).collect(),
        rules_of_thumb: ThumbOut {
            feed_a_week: view.estimate(Role::Mass, sized.size.thumb.feed_a_week),
            worms: view.estimate(Role::Mass, sized.size.thumb.worms),
            ground: view.estimate(Role::Area, sized.size.thumb.ground),
        },
        stopped,
        without_feed,
        // What waits is given with the last week.
        end: EndOut { feed_left: None, ..end },
        worm_bed: bed_to_send::write(request, solved, (context, view)),
    }
}

fn winter(sized: &SizedBed, amounts: &Amounts<'_>) -> Option<WinterOut> {
    sized.winter.map(|winter| WinterOut {
        start_on: winter.start_on,
        end_on: winter.end_on,
        feed_waiting: amounts.view.estimate(Role::Mass, amounts.moist(winter.waits)),
    })
}

/// The most feed that waits at once.
fn surplus(waiting: &Waiting, amounts: &Amounts<'_>) -> SurplusOut {
    let (m, view) = (amounts.moist(waiting.most), amounts.view);
    let volume = amounts.volume(waiting.most, m);
    SurplusOut {
        on: waiting.on,
        mass: view.estimate(Role::Mass, m),
        volume: view.estimate(Role::Bulk, volume),
        in_containers: view.in_containers(volume, Some(m)),
        advice: ADVICE,
    }
}

fn ground(size: &Size, view: &View<'_>) -> SizedGroundOut {
    SizedGroundOut {
        bed: view.estimate(Role::Area, size.ground),
        at_least: size.ground_at_least.map(|ground| view.estimate(Role::Area, ground)),
        with_room: view.estimate(Role::Area, size.ground_with_room),
    }
}

fn worms(sized: &SizedBed, view: &View<'_>) -> SizedWormsOut {
    let size = &sized.size;
    SizedWormsOut {
        needed: view.estimate(Role::Mass, size.worms_needed),
        at_start: view.estimate(Role::Mass, size.worms),
        introduce_on: sized.bed.start_on,
        to_buy: view.estimate(Role::Mass, size.to_buy),
        to_buy_for_all_feed: view.estimate(Role::Mass, size.to_buy_for_all),
        enough_after: size.enough.map(|enough| view.estimate(Role::Days, enough.warm_days)),
        enough_on: size.enough.and_then(|enough| enough.on),
    }
}

fn bins(solved: &Solved, view: &View<'_>) -> Option<BinsNeededOut> {
    let (needed, bins) = (solved.sized.size.bins?, solved.asked.bins?);
    Some(BinsNeededOut {
        count: CountOut::new(needed.count),
        ground: view.estimate(Role::Area, needed.ground),
        capacity: view.estimate(Role::Bulk, bins.capacity),
    })
}

fn feed(sized: &SizedBed, amounts: &Amounts<'_>) -> SizedFeedOut {
    let (size, view) = (&sized.size, amounts.view);
    let castings = |of: &Option<Yield>| of.map(|of| CastingsOut::new(view, of.castings, of.mass));
    let oversize = |of: &Option<Yield>| of.map(|of| view.estimate(Role::Bulk, of.oversize));
    SizedFeedOut {
        dry_matter_a_day: view.estimate(Role::Mass, size.feed_a_day),
        a_week: view.estimate(Role::Mass, size.feed_a_week),
        eaten: eaten(&sized.weeks, amounts),
        warm_days: view.estimate(Role::Share, size.warm_share),
        castings_a_year: castings(&size.castings_a_year),
        oversize_a_year: oversize(&size.castings_a_year),
        castings_of_all: castings(&size.castings_of_all),
        oversize_of_all: oversize(&size.castings_of_all),
    }
}

fn eaten(weeks: &[Week], amounts: &Amounts<'_>) -> EatenOut {
    let (all, view) = (Mass::from_kilograms(weeks.iter().map(|week| week.eaten.kilograms()).sum()), amounts.view);
    let m = amounts.moist(all);
    let volume = amounts.volume(all, m);
    EatenOut {
        mass: view.estimate(Role::Mass, m),
        volume: view.estimate(Role::Bulk, volume),
        in_containers: view.in_containers(volume, Some(m)),
        materials: amounts.solved.collected.materials(m, view),
        weeks: weeks.iter().filter(|week| week.takes_feed()).count(),
    }
}

fn needed(ready: &CastingsReady, view: &View<'_>) -> CastingsReadyOut {
    CastingsReadyOut {
        by: ready.by,
        needed: view.estimate(Role::Bulk, ready.needed),
        ready: view.estimate(Role::Bulk, ready.ready),
    }
}
