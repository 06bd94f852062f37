//! Reading the beds of a season.

use super::super::request::{SeasonBedRequest, SeasonsRequest};
use crate::garden::assumptions::Overrides;
use crate::garden::beds::{Feed, Running};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::seasons::beds::{BedOrder, FedBeds, Shared, feed_and_clocks};
use crate::http::input::Crossing;
use crate::http::input::bounded::CycleCount;
use crate::http::output::quantity::Role;
use crate::http::rooms::harvests::BedFeedRequest;
use crate::http::wire::Place;
use chrono::NaiveDate;

pub(super) fn feed_of(input: &BedFeedRequest, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Feed> {
    let analysis = input.analysis(crossing, place)?;
    let supply = input.supply(&analysis, crossing, place)?;
    Some(Feed { moisture: analysis.moisture, ash: analysis.ash, nitrogen: analysis.nitrogen, supply })
}

pub(super) fn beds(request: &SeasonsRequest, crossing: &Crossing<'_>) -> Option<Vec<BedOrder>> {
    let root = Place::root();
    let list = root.field("worm_beds");
    let items = request.worm_beds.as_deref().unwrap_or_default();
    crossing.unique_ids(items.iter().map(|bed| bed.id.as_deref()), list);
    let read: Vec<_> = items.iter().enumerate().map(|(i, bed)| bed.read(request, crossing, list.index(i))).collect();
    read.into_iter().collect()
}

impl SeasonBedRequest {
    fn read(&self, season: &SeasonsRequest, crossing: &Crossing<'_>, place: Place<'_>) -> Option<BedOrder> {
        let overrides = crossing.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let at = place.field("ground");
        let area = crossing.ground(&self.ground, at).and_then(|ground| crossing.keep(at, ground.area(crossing.book())));
        let start_on = self.start(season, crossing, place);
        let worms = crossing.optional(self.worms.as_ref().map(|it| &it.0), place.field("worms"));
        let worms = worms.map(|given| given.map(|mass| crossing.asked(Role::Mass, mass, place.field("worms"))));
        let (feed, running) = self.feed(season, (crossing, &overrides), place);
        let manure = crossing.manure(self.manure.as_ref(), place.field("manure"));
        let climate = match &self.climate {
            Some(climate) => crossing.climate(climate, place.field("climate")).map(Some),
            None => Some(None),
        };
        if self.climate.is_none() && season.climate.is_none() && !crossing.faults.touches(place) {
            let detail = "say how warm this bed is: a climate here, or one for the whole season";
            crossing.refuse(place.field("climate"), Refusal::new(Reason::MissingField, detail));
        }
        // Counts outside their bounds have been told already.
        let counts = self.layers_per_cycle.is_within() && self.cycles.is_none_or(CycleCount::is_within);
        let order = BedOrder {
            area: area?,
            start_on: start_on?,
            worms: worms?,
            feed: feed?,
            running: running?,
            climate: climate?,
            overrides,
            manure: manure?,
            layers_per_cycle: self.layers_per_cycle.0,
            cycles: self.cycles.map(|cycles| cycles.0),
        };
        (counts && !crossing.faults.touches(place)).then_some(order)
    }

    fn start(&self, season: &SeasonsRequest, crossing: &Crossing<'_>, place: Place<'_>) -> Option<NaiveDate> {
        let at = place.field("start_on");
        if let Some(text) = &self.start_on {
            return crossing.calendar_date(text, at);
        }
        let today = season.as_of.as_deref().and_then(|text| crate::garden::dates::date(text).ok());
        if today.is_none() && season.as_of.is_none() {
            let detail = "say when this bed starts: start_on, or as_of for the whole season";
            crossing.refuse(at, Refusal::new(Reason::MissingField, detail));
        }
        today
    }

    /// Its own feed, if it has one, and what lies in it.
    fn feed(
        &self,
        season: &SeasonsRequest,
        (crossing, overrides): (&Crossing<'_>, &Overrides),
        place: Place<'_>,
    ) -> (Option<Option<Feed>>, Option<Option<Running>>) {
        let root = Place::root();
        let (input, at) = match (&self.feed, &season.feed_supply) {
            (Some(own), _) => (own, place.field("feed")),
            (None, Some(shared)) => (shared, root.field("feed_supply")),
            (None, None) => {
                let detail = "say what this bed is fed: feed here, or feed_supply for the whole season";
                crossing.refuse(place.field("feed"), Refusal::new(Reason::MissingField, detail));
                return (None, None);
            }
        };
        let feed = if self.feed.is_some() { feed_of(input, crossing, at).map(Some) } else { Some(None) };
        let Some(running) = &self.running else { return (feed, Some(None)) };
        // Faults of a shared feed are told once, where it stands.
        if crossing.faults.touches(at) {
            return (feed, None);
        }
        let analysis = input.analysis(crossing, at);
        let running = analysis.and_then(|of| running.read(&of, (crossing, overrides), (place.field("running"), at)));
        (feed, running.map(Some))
    }
}

/// The beds with their feed, each on the clocks of its temperatures.
pub(super) fn on_clocks(
    request: &SeasonsRequest,
    crossing: &Crossing<'_>,
    orders: Vec<BedOrder>,
    shared: Shared<'_>,
) -> Option<FedBeds> {
    let root = Place::root();
    let list = root.field("worm_beds");
    let items = request.worm_beds.as_deref().unwrap_or_default();
    let refused = match feed_and_clocks(orders, shared, crossing.book()) {
        Ok(found) => return Some(found),
        Err(refused) => refused,
    };
    for (i, refusal) in refused {
        match refusal.field {
            Some("start_on") => crossing.refuse(list.index(i), refusal),
            _ => {
                let own = items.get(i).is_some_and(|item| item.climate.is_some());
                refuse_clocks(crossing, (list.index(i), own), refusal);
            }
        }
    }
    None
}

/// Tells a refusal of the clocks at the climate that it is about.
fn refuse_clocks(crossing: &Crossing<'_>, (place, own): (Place<'_>, bool), refusal: Refusal) {
    let root = Place::root();
    let above = if own { place } else { root };
    let climate = above.field("climate");
    match refusal.field {
        Some("assumptions") => crossing.refuse(above, refusal),
        Some("climate") => {
            let daily = climate.field("daily");
            crossing.refuse(daily.field("values"), Refusal { field: None, ..refusal });
        }
        _ => crossing.refuse(root.field("until"), Refusal { field: None, ..refusal }),
    }
}
