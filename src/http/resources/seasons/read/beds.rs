//! Reading the beds of a season.

use super::super::request::SeasonsRequest;
use crate::garden::assumptions::Overrides;
use crate::garden::beds::{Climate, Feed, Running};
use crate::garden::dates::date;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::seasons::beds::{BedOrder, FedBeds, RefusedBed, Shared, feed_and_clocks};
use crate::garden::seasons::dates::{check_span, check_start};
use crate::http::input::bounded::{CycleCount, LayerCount};
use crate::http::input::{RequestContext, optionally};
use crate::http::output::quantity::Role;
use crate::http::resources::collected::CollectedFeed;
use crate::http::resources::harvests::Analysis;
use crate::http::resources::season_beds::SeasonBedRequest;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// A bed, and what is collected for its own feed.
type OfBed = (BedOrder, Option<CollectedFeed>);

/// The feed of a bed, where it has its own, with what is collected for it.
type OwnFeed = (Option<Feed>, Option<CollectedFeed>);

/// What is known of the season before its beds are read: its temperatures, and its last day where it is given.
pub(super) type Ahead<'a> = (Option<&'a Climate>, Option<NaiveDate>);

/// The beds that could be read.
pub(super) struct ReadBeds {
    pub orders: Vec<BedOrder>,
    /// The place of each in the request.
    pub places: Vec<usize>,
    /// What is collected for the own feed of each.
    pub own: Vec<Option<CollectedFeed>>,
    /// Whether these are all, and their temperatures reach.
    is_complete: bool,
}

/// Reads the beds.
pub(super) fn beds(request: &SeasonsRequest, context: &RequestContext<'_>, (climate, until): Ahead<'_>) -> ReadBeds {
    let root = JsonPath::root();
    let list = root.field("worm_beds");
    let items = request.worm_beds.as_deref().unwrap_or_default();
    context.unique_ids(items.iter().map(|bed| bed.id.as_deref()), list);
    let mut fit = true;
    if let (Some(climate), Some(until)) = (climate, until) {
        let of_season = items.iter().filter(|bed| bed.climate.is_none());
        let days = of_season.filter_map(SeasonBedRequest::begin).filter(|start| *start <= until).min();
        fit = days.is_none_or(|start| has_temperatures(climate, (start, until), (context, (root, false))));
    }
    let read: Vec<_> =
        items.iter().enumerate().map(|(i, bed)| bed.read(request, (context, until), list.index(i))).collect();
    let is_complete = fit && read.iter().all(Option::is_some);
    let (places, read): (Vec<_>, Vec<OfBed>) =
        read.into_iter().enumerate().filter_map(|(i, bed)| Some((i, bed?))).unzip();
    let (orders, own) = read.into_iter().unzip();
    ReadBeds { orders, places, own, is_complete }
}

/// Whether each of these days has its temperature; else that is reported.
fn has_temperatures(
    climate: &Climate,
    (first, last): (NaiveDate, NaiveDate),
    (context, at): (&RequestContext<'_>, (JsonPath<'_>, bool)),
) -> bool {
    match climate.days(first, last) {
        Err(refusal) if refusal.reason == Reason::MissingField => {
            refuse_clocks(context, at, refusal);
            false
        }
        _ => true,
    }
}

impl SeasonBedRequest {
    /// The first day that counts for it, where its start is given and can be read.
    pub(super) fn begin(&self) -> Option<NaiveDate> {
        let day = |text: &str| date(text).ok();
        let start = self.observed_on.as_deref().or(self.start_on.as_deref()).and_then(day)?;
        let eaten = self.running.as_ref().and_then(|running| running.eaten_on.as_deref()).and_then(day);
        let counts = |eaten: &NaiveDate| Running::faults_of_eaten((None, None), (Some(*eaten), Some(start))).is_empty();
        Some(eaten.filter(counts).unwrap_or(start))
    }

    /// Reports a refusal of its start at the place of that.
    fn refuse_start(&self, context: &RequestContext<'_>, place: JsonPath<'_>, refusal: Refusal) {
        let field = if self.observed_on.is_some() { "observed_on" } else { "start_on" };
        context.refuse(place.field(field), Refusal { field: None, ..refusal });
    }

    fn read(
        &self,
        season: &SeasonsRequest,
        (context, until): (&RequestContext<'_>, Option<NaiveDate>),
        place: JsonPath<'_>,
    ) -> Option<OfBed> {
        let mut overrides = context.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let at = place.field("ground");
        let area = context.ground(&self.ground, at).and_then(|ground| context.keep(at, ground.area(context.book())));
        let start_on = self.start(season, context, place);
        if let (Some(start), Some(until)) = (start_on, until) {
            let _ = check_start(start, until).map_err(|refusal| self.refuse_start(context, place, refusal));
        }
        let worms = context.optional(self.worms.as_ref().map(|it| &it.0), place.field("worms"));
        let worms = worms.map(|given| given.map(|mass| context.asked(Role::Mass, mass, place.field("worms"))));
        let (feed, running) = self.feed(season, (context, &mut overrides), (place, start_on));
        let manure = context.manure(self.manure.as_ref(), place.field("manure"));
        let first = start_on.map(|start| Running::first_day(running.as_ref().and_then(Option::as_ref), start));
        let climate = self.temperatures(season, (context, first.zip(until)), place);
        // Counts outside their bounds have been reported already.
        let counts =
            self.layers_per_cycle.is_none_or(LayerCount::is_within) && self.cycles.is_none_or(CycleCount::is_within);
        let (feed, collected) = feed?;
        let order = BedOrder {
            area: area?,
            start_on: start_on?,
            worms: worms?,
            feed,
            running: running?,
            climate: climate?,
            overrides,
            manure: manure?,
            layers_per_cycle: self.layers_per_cycle.map(|layers| layers.0),
            cycles: self.cycles.map(|cycles| cycles.0),
        };
        (counts && !context.errors.touches(place)).then_some((order, collected))
    }

    /// Its own temperatures, if it has some: they must hold for all of its days.
    fn temperatures(
        &self,
        season: &SeasonsRequest,
        (context, days): (&RequestContext<'_>, Option<(NaiveDate, NaiveDate)>),
        place: JsonPath<'_>,
    ) -> Option<Option<Climate>> {
        let climate = optionally(self.climate.as_ref(), |climate| context.climate(climate, place.field("climate")));
        let days = days.filter(|(start, until)| start <= until);
        if let (Some(Some(climate)), Some(days)) = (&climate, days) {
            let _ = has_temperatures(climate, days, (context, (place, true)));
        }
        if self.climate.is_none() && season.climate.is_none() && !context.errors.touches(place) {
            let detail = "say how warm this bed is: a climate here, or one for the whole season";
            context.refuse(place.field("climate"), Refusal::new(Reason::MissingField, detail));
        }
        climate
    }

    fn start(&self, season: &SeasonsRequest, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<NaiveDate> {
        let at = place.field("start_on");
        if let Some(text) = &self.observed_on {
            return self.observed(text, season, (context, place));
        }
        if let Some(text) = &self.start_on {
            return context.calendar_date(text, at);
        }
        let today = season.as_of.as_deref().and_then(|text| date(text).ok());
        if today.is_none() && season.as_of.is_none() {
            let detail = "say when this bed starts: start_on, or as_of for the whole season";
            context.refuse(at, Refusal::new(Reason::MissingField, detail));
        }
        today
    }

    /// The day on which what lies in a running bed was observed: the forecast goes on from there.
    fn observed(
        &self,
        text: &str,
        season: &SeasonsRequest,
        (context, place): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Option<NaiveDate> {
        let at = place.field("observed_on");
        if self.running.is_none() {
            let detail = "observed_on is the day on which what lies in a running bed was observed: add running, for example \
                          \"running\": {\"castings\": \"180 L\"}, or say with start_on when an empty bed starts";
            context.refuse(at, Refusal::new(Reason::NotAllowedHere, detail));
            return None;
        }
        if self.start_on.is_some() {
            let detail =
                "a running bed goes on from the day on which it was observed: give observed_on or start_on, not both";
            context.refuse(place.field("start_on"), Refusal::new(Reason::NotAllowedHere, detail));
            return None;
        }
        let observed = context.calendar_date(text, at)?;
        let today = season.as_of.as_deref().and_then(|text| date(text).ok());
        if let Some(today) = today.filter(|today| observed > *today) {
            let detail = format!(
                "this bed is observed on {observed}, after as_of, {today}; give the day on which it was looked at, or start_on \
                 for what is expected to lie in it then"
            );
            context.refuse(at, Refusal::new(Reason::DatesOutOfOrder, detail));
            return None;
        }
        Some(observed)
    }

    /// Its own feed, if it has one, with what is collected for it; and what lies in it.
    fn feed(
        &self,
        season: &SeasonsRequest,
        (context, overrides): (&RequestContext<'_>, &mut Overrides),
        (place, start_on): (JsonPath<'_>, Option<NaiveDate>),
    ) -> (Option<OwnFeed>, Option<Option<Running>>) {
        let root = JsonPath::root();
        let item = overrides.clone();
        let running = |of: Option<&Analysis>, feed: JsonPath<'_>| {
            let at = (place.field("running"), feed, start_on);
            optionally(self.running.as_ref(), |running| running.read(of, (context, &item), at))
        };
        match (&self.feed, &season.feed_supply) {
            (Some(own), _) => {
                let at = place.field("feed");
                let analysis = own.analysis((context, &item), at);
                let supply = own.supply(analysis.as_ref(), context, at);
                let running = running(analysis.as_ref(), at);
                let feed = analysis.zip(supply).map(|(of, supply)| {
                    of.lay(overrides, (context, at));
                    let collected = of.collected((context, at));
                    (Some(of.feed(supply, (context, at))), Some(collected))
                });
                (feed, running)
            }
            (None, Some(shared)) => {
                let at = root.field("feed_supply");
                // Its errors are reported once, at its place; it is only needed for what lies in the bed.
                let analysis =
                    self.running.as_ref().and_then(|_| shared.analysis((context, &Overrides::default()), at));
                (Some((None, None)), running(analysis.as_ref(), at))
            }
            (None, None) => {
                let detail = "say what this bed is fed: feed here, as in {\"material\": \"leaves_shredded\"}, or feed_supply for the \
                              whole season";
                context.refuse(place.field("feed"), Refusal::new(Reason::MissingField, detail));
                (None, running(None, place))
            }
        }
    }
}

/// The beds with their feed, each on the clocks of its temperatures; nothing where anything is wrong with any of them.
pub(super) fn on_clocks(
    request: &SeasonsRequest,
    context: &RequestContext<'_>,
    beds: ReadBeds,
    shared: Shared<'_>,
) -> Option<FedBeds> {
    let root = JsonPath::root();
    let list = root.field("worm_beds");
    let items = request.worm_beds.as_deref().unwrap_or_default();
    let ReadBeds { orders, places, is_complete, .. } = beds;
    // Too many days have been reported with those of lots and demands.
    check_span(orders.iter().map(BedOrder::first_day), shared.until).ok()?;
    let (fed, refused) = feed_and_clocks(orders, shared, context.book());
    for RefusedBed { place: order, is_own, refusal } in refused {
        let found = places.get(order).and_then(|place| Some((list.index(*place), items.get(*place)?)));
        let Some((place, item)) = found else { continue };
        match refusal.field {
            Some("start_on") => item.refuse_start(context, place, refusal),
            Some("assumptions") => context.refuse(if is_own { place } else { root }, refusal),
            Some("area") => context.refuse(place.field("ground"), Refusal { field: None, ..refusal }),
            Some("worms" | "feed" | "running") => context.refuse(place, refusal),
            _ => refuse_clocks(context, (place, item.climate.is_some()), refusal),
        }
    }
    Some(fed).filter(|fed| is_complete && fed.beds.len() == places.len())
}

/// Tells a refusal of the clocks at the climate that it is about.
fn refuse_clocks(context: &RequestContext<'_>, (place, own): (JsonPath<'_>, bool), refusal: Refusal) {
    let root = JsonPath::root();
    let above = if own { place } else { root };
    let climate = above.field("climate");
    match refusal.field {
        Some("climate") => {
            let daily = climate.field("daily");
            context.refuse(daily.field("values"), Refusal { field: None, ..refusal });
        }
        _ => context.refuse(root.field("until"), Refusal { field: None, ..refusal }),
    }
}
