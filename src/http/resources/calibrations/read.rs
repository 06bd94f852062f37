//! Reading the records.

use super::clocks::{Climates, Lasts};
use super::feeds::{self, Shared};
use super::observations::{self, Observed, Places};
use super::request::{CalibrationsRequest, RecordRequest};
use crate::garden::assumptions::Assumed;
use crate::garden::beds::{Clocks, History, Observation, Supply, dry_matter_fed};
use crate::garden::calibrations::{MAX_OBSERVATIONS, Record, RecordPlace, check};
use crate::garden::cautions::Rule;
use crate::garden::formulas::{DryMatter, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfMass;
use crate::garden::units::{Estimate, Mass};
use crate::http::input::RequestContext;
use crate::http::input::optionally;
use crate::http::resources::harvests::Analysis;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// A record, and the places of its parts in the request.
pub(super) struct Read {
    pub record: Record,
    pub observed: Vec<Observed>,
    pub places: Places,
    /// Dry matter of all that it was fed.
    pub fed_dry_matter: Estimate<OfMass>,
    /// What to mind with its feed.
    pub cautions: Vec<Rule>,
    /// What was assumed of its feed.
    pub assumed: Vec<Assumed>,
}

/// All records, and the clocks of their climates.
pub(super) struct All {
    pub records: Vec<Read>,
    pub clocks: Vec<Clocks>,
}

/// Reads the records, and reports what of them cannot be.
pub(super) fn read(request: &CalibrationsRequest, context: &RequestContext<'_>) -> Option<All> {
    let root = JsonPath::root();
    let list = root.field("records");
    context.unique_ids(request.records.iter().map(|record| record.id.as_deref()), list);
    let shared = Shared::of(request, context);
    let mut climates = Climates::of(request, context);
    let one =
        |(i, record): (usize, &RecordRequest)| record.read(request, (&shared, &mut climates), (context, list.index(i)));
    let read: Vec<Option<Read>> = request.records.iter().enumerate().map(one).collect();
    // A list that is empty or too long has been reported already.
    let records = read.into_iter().collect::<Option<Vec<Read>>>().filter(|read| !read.is_empty())?;
    few_enough(&records, context)?;
    let lasts: Vec<(usize, Lasts)> = records.iter().map(|read| (read.record.clocks, lasts(&read.record))).collect();
    let clocks = climates.clocks(&lasts, (request, context))?;
    Some(All { records, clocks })
}

/// Refuses more observations than are computed with.
fn few_enough(records: &[Read], context: &RequestContext<'_>) -> Option<()> {
    let count: usize = records.iter().map(|read| read.observed.len()).sum();
    if count == 0 {
        let detail = "nothing was observed of these beds: give a harvest, a layer that was found eaten, weighed worms or a weighed \
                      container (harvested, layers_eaten, worms_weighed or containers_weighed), as in \"harvested\": [{\"on\": \"2027-09-01\", \
                      \"amount\": \"60 L\"}]";
        let root = JsonPath::root();
        let refusal = Refusal::new(Reason::MissingField, detail);
        context.refuse(root.field("records").index(0).field("harvested"), refusal);
        return None;
    }
    if count <= MAX_OBSERVATIONS {
        return Some(());
    }
    let detail = format!(
        "these records have {count} observations; a request may have at most {MAX_OBSERVATIONS}: leave the oldest records out"
    );
    context.refuse(JsonPath::root().field("records"), Refusal::new(Reason::TooLarge, detail));
    None
}

/// The first and the last day of a record.
fn lasts(record: &Record) -> Lasts {
    let history = &record.history;
    let seen = record.observations.iter().filter_map(|observation| match observation {
        Observation::Ready { on, .. }
        | Observation::Eaten { on, .. }
        | Observation::NotEaten { on, .. }
        | Observation::WormsWeighed { on, .. } => Some(*on),
        _ => None,
    });
    let days = history.fed.iter().map(|(on, _)| *on).chain(history.harvested_on.iter().copied()).chain(seen);
    (history.start_on, days.max().unwrap_or(history.start_on))
}

/// The order of days; those that are alike stay in the order of the request.
fn order(days: &[NaiveDate]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..days.len()).collect();
    order.sort_by_key(|at| days.get(*at).copied());
    order
}

impl RecordRequest {
    fn read(
        &self,
        request: &CalibrationsRequest,
        (shared, climates): (&Shared, &mut Climates),
        (context, place): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Option<Read> {
        let (root, at) = (JsonPath::root(), place.field("ground"));
        let area = context.ground(&self.ground, at).and_then(|ground| context.keep(at, ground.area(context.book())));
        let worms = optionally(self.worms.as_ref(), |worms| context.exact(&worms.0, place.field("worms")));
        let start_on = context.day(self.start_on.as_deref(), place.field("start_on"));
        let analysis = feeds::of_record(self, shared, (context, place));
        let clocks = climates.of_record((request, self), (context, place));
        let fed = self.fed(analysis.as_ref(), (context, place));
        let harvested_on = self.harvested_on((context, place));
        let days: Vec<NaiveDate> = fed.iter().flatten().map(|(on, _)| *on).collect();
        // Where a day cannot be read, the order does not matter any more.
        let fed_order = if fed.is_some() { order(&days) } else { (0..self.fed.len()).collect() };
        let places = Places { fed: fed_order, harvested: order(harvested_on.as_deref().unwrap_or_default()) };
        let observed = observations::read(self, &places, (context, place));
        let (fed, harvested_on, observed, analysis) = (fed?, harvested_on?, observed?, analysis?);
        let feed = analysis.feed(Supply::AsNeeded, (context, self.feed_at((&root, &place))));
        let (m, w) = (fed.iter().map(|(_, moist)| *moist).collect(), feed.moisture);
        let fed_dry_matter = dry_matter_fed(m, w, context.book());
        let dry = |at: &usize| fed.get(*at).map(|(on, m)| (*on, DryMatter { m: *m, w }.likely()));
        let fed: Vec<(NaiveDate, Mass)> = places.fed.iter().filter_map(dry).collect();
        let history = History {
            area: area?.likely(),
            worms: worms?,
            start_on: start_on?.or(fed.first().map(|(on, _)| *on))?,
            ash: feed.ash.likely(),
            fed,
            harvested_on: places.harvested.iter().filter_map(|at| harvested_on.get(*at).copied()).collect(),
        };
        let record = Record { history, observations: observed.iter().map(|one| one.what).collect(), clocks: clocks? };
        let (cautions, assumed) = (feed.cautions, feed.assumed);
        let read = Read { record, observed, places, fed_dry_matter, cautions, assumed };
        read.can_be((context, place)).then_some(read)
    }

    /// The place of what its feed is made of.
    const fn feed_at<'p>(&self, (root, place): (&'p JsonPath<'p>, &'p JsonPath<'p>)) -> JsonPath<'p> {
        let above = if self.feed.is_some() { place } else { root };
        above.field("feed")
    }

    /// What it was fed, moist, by the numbers of the request.
    fn fed(
        &self,
        of: Option<&Analysis>,
        (context, place): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Option<Vec<(NaiveDate, Estimate<OfMass>)>> {
        let list = place.field("fed");
        let root = JsonPath::root();
        let feed = self.feed_at((&root, &place));
        let read = self.fed.iter().enumerate().map(|(i, feeding)| feeding.moist(of, context, (list.index(i), feed)));
        let read: Vec<Option<_>> = read.collect();
        // An empty list has been reported already.
        read.into_iter().collect::<Option<Vec<_>>>().filter(|fed| !fed.is_empty())
    }

    /// The days of its harvests, by the numbers of the request.
    fn harvested_on(&self, (context, place): (&RequestContext<'_>, JsonPath<'_>)) -> Option<Vec<NaiveDate>> {
        let list = place.field("harvested");
        let harvests = self.harvested.as_deref().unwrap_or_default().iter().enumerate();
        let read = harvests.map(|(i, harvest)| context.calendar_date(&harvest.on, list.index(i).field("on")));
        read.collect::<Vec<_>>().into_iter().collect()
    }
}

impl Read {
    /// Whether all of it can be; what cannot is reported at its place.
    fn can_be(&self, (context, place): (&RequestContext<'_>, JsonPath<'_>)) -> bool {
        let refused = check(&self.record, &context.overrides);
        for (at, refusal) in &refused {
            let refuse = |at: JsonPath<'_>| context.refuse(at, refusal.clone());
            let place_of = |order: &[usize], index: usize| order.get(index).copied().unwrap_or(index);
            match *at {
                RecordPlace::Fed(index) => refuse(place.field("fed").index(place_of(&self.places.fed, index))),
                RecordPlace::Harvested(index) => {
                    refuse(place.field("harvested").index(place_of(&self.places.harvested, index)));
                }
                RecordPlace::Observation(index) => match self.observed.get(index) {
                    Some(observed) => observed.source.at(place, refuse),
                    None => refuse(place),
                },
            }
        }
        refused.is_empty()
    }
}
