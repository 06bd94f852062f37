//! Reading the request.

use super::request::{BinsRequest, CastingsNeeded, DeliveriesToSize, FeedToSizeRequest, WormBedsRequest};
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::beds::sizing::{
    BedToSize, Bins, CastingsBy, SizedBed, SizedBy, WEEK, check_length, needed_too_early, size_bed,
};
use crate::garden::beds::{Climate, Clocks, Delivery, Supply};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfDensity, OfMass};
use crate::garden::units::{Estimate, Ratio};
use crate::http::input::RequestContext;
use crate::http::input::bounded::LayerCount;
use crate::http::input::ground::GroundInput;
use crate::http::input::optionally;
use crate::http::input::quantity::MassInput;
use crate::http::output::quantity::Role;
use crate::http::resources::collected::CollectedFeed;
use crate::http::resources::harvests::{Analysis, analysis_fields, analysis_of_feed, moist};
use crate::http::wire::JsonPath;
use chrono::{Days, Months, NaiveDate};

/// What was asked, read, and its results.
pub(super) struct Solved {
    pub asked: BedToSize,
    pub sized: SizedBed,
    pub climate: Climate,
    pub until: NaiveDate,
    pub bulk_density: Option<Estimate<OfDensity>>,
    /// The bulk density that the request gives, with its range.
    pub own_density: Option<Estimate<OfDensity>>,
    /// What is collected for its feed.
    pub collected: CollectedFeed,
}

/// Reads the request and sizes the bed.
pub(super) fn solve(request: &WormBedsRequest, context: &RequestContext<'_>) -> Option<Solved> {
    let root = JsonPath::root();
    let start_on = context.calendar_date(&request.start_on, root.field("start_on"));
    let until = context.day(request.until.as_deref(), root.field("until"));
    let climate = context.climate(&request.climate, root.field("climate"));
    let (analysis, by) = request.supply(context);
    let ground = optionally(request.ground.as_ref(), |ground| area(ground, context, root.field("ground")));
    let worms = mass(request.worms.as_ref(), context, root.field("worms"));
    let to_buy = mass(request.worms_to_buy.as_ref(), context, root.field("worms_to_buy"));
    let bins = optionally(request.bins.as_ref(), |bins| bins.read(context, root.field("bins")));
    let start_on = start_on?;
    let until = last_day(request, (start_on, until?), by.as_ref(), context)?;
    let (analysis, climate) = (analysis?, climate?);
    context.counts(root.field("feed_supply").field("bulk_density"));
    let of_feed = (context, root.field("feed_supply"));
    let mut own = Overrides::default();
    analysis.lay(&mut own, of_feed);
    let collected = analysis.collected(of_feed);
    // A count outside its bounds has been reported already.
    let counts = request.layers_per_cycle.is_none_or(LayerCount::is_within);
    let asked = BedToSize {
        by: by?,
        feed: analysis.feed(Supply::AsNeeded, (context, root.field("feed_supply"))),
        start_on,
        ground: ground?,
        worms: worms?,
        to_buy: to_buy?,
        bins: bins?,
        feeding: request.feeding.map_or_else(Default::default, Into::into),
        harvest_dates: request.harvest_dates.map_or_else(Default::default, Into::into),
        layers_per_cycle: request.layers_per_cycle.map(|layers| layers.0),
        climate: context.asked(Role::Ratio, Ratio::from_number(1.0), root.field("climate")).node(),
    };
    let sized =
        (counts && context.errors.is_empty()).then(|| request.size(&asked, (&climate, until), (context, &own)))??;
    let (bulk_density, own_density) = (analysis.bulk_density, analysis.own);
    Some(Solved { asked, sized, climate, until, bulk_density, own_density, collected })
}

fn area(ground: &GroundInput, context: &RequestContext<'_>, at: JsonPath<'_>) -> Option<Estimate<OfArea>> {
    context.ground(ground, at).and_then(|ground| context.keep(at, ground.area(context.book())))
}

fn mass(input: Option<&MassInput>, context: &RequestContext<'_>, at: JsonPath<'_>) -> Option<Option<Estimate<OfMass>>> {
    let read = context.optional(input.map(|it| &it.0), at);
    read.map(|given| given.map(|mass| context.asked(Role::Mass, mass, at)))
}

impl BinsRequest {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Bins> {
        let capacity = context.figure(Role::Bulk, &self.capacity.0, place.field("capacity"));
        let ground = optionally(self.ground.as_ref(), |ground| area(ground, context, place.field("ground")));
        Some(Bins { capacity: capacity?, ground: ground? })
    }
}

/// The last day of the plan: as given, the last on which castings are needed, or a year after its first.
fn last_day(
    request: &WormBedsRequest,
    (start_on, until): (NaiveDate, Option<NaiveDate>),
    by: Option<&SizedBy>,
    context: &RequestContext<'_>,
) -> Option<NaiveDate> {
    let root = JsonPath::root();
    let a_week = start_on.checked_add_days(Days::new(u64::from(WEEK) - 1));
    let needed = match by {
        Some(SizedBy::Castings(list)) => list.iter().map(|need| need.by).chain(a_week).max(),
        _ => None,
    };
    let a_year = start_on.checked_add_months(Months::new(12)).and_then(|day| day.checked_sub_days(Days::new(1)));
    let last = until.or(needed).or(a_year)?;
    if let Err(refusal) = check_length(start_on, last) {
        let needs = root.field("castings_needed");
        let which = match by {
            Some(SizedBy::Castings(list)) => list.iter().position(|need| need.by == last).unwrap_or(0),
            _ => 0,
        };
        let need = needs.index(which);
        let at = if request.until.is_some() { root.field("until") } else { need.field("by") };
        let at = if request.until.is_none() && request.castings_needed.is_none() { root.field("start_on") } else { at };
        context.refuse(at, Refusal { field: None, ..refusal });
        return None;
    }
    in_time(by, last, context).then_some(last)
}

/// Whether all that comes or is needed does so by the last day; else that is reported.
fn in_time(by: Option<&SizedBy>, last: NaiveDate, context: &RequestContext<'_>) -> bool {
    let root = JsonPath::root();
    let (supply, needs) = (root.field("feed_supply"), root.field("castings_needed"));
    let (list, field, days): (JsonPath<'_>, &str, Vec<NaiveDate>) = match by {
        Some(SizedBy::Castings(needed)) => (needs, "by", needed.iter().map(|need| need.by).collect()),
        Some(SizedBy::OnDates(come)) => (supply.field("deliveries"), "on", come.iter().map(|it| it.on).collect()),
        _ => return true,
    };
    let late = days.iter().enumerate().filter(|(_, day)| **day > last);
    let report = |(i, day): (usize, &NaiveDate)| {
        let detail = format!("{day} is after the last day of the plan, {last}; give an earlier day or a later until");
        context.refuse(list.index(i).field(field), Refusal::new(Reason::DatesOutOfOrder, detail));
    };
    late.map(report).count() == 0
}

impl WormBedsRequest {
    /// What the bed is fed, and what it is sized by.
    fn supply(&self, context: &RequestContext<'_>) -> (Option<Analysis>, Option<SizedBy>) {
        let root = JsonPath::root();
        let at = root.field("feed_supply");
        let feed = &self.feed_supply;
        let context_alone = (context, &Overrides::default());
        let analysis = analysis_of_feed(analysis_fields!(feed), feed.materials.as_ref(), context_alone, at);
        let of_parts = analysis.as_ref().and_then(|of| of.all);
        let by = match (&feed.each_week, &feed.deliveries, &self.castings_needed, of_parts) {
            (Some(week), None, None, None) => {
                moist(analysis.as_ref(), week, None, (context, at.field("each_week"), at))
                    .zip(analysis.as_ref())
                    .map(|(moist, of)| SizedBy::EachWeek(of.dry(moist, (context, at.field("each_week")))))
            }
            (None, Some(list), None, None) => feed.dated(list, analysis.as_ref(), context),
            (None, None, Some(list), None) => needed(list, context),
            (None, None, None, Some(all)) => Some(SizedBy::EachWeek(all)),
            _ => self.not_one(analysis.as_ref(), context),
        };
        if self.castings_needed.is_some() && self.worms_to_buy.is_some() {
            let detail = "with castings_needed the answer says how many worms to buy; leave this out";
            context.refuse(root.field("worms_to_buy"), Refusal::new(Reason::NotAllowedHere, detail));
        }
        if self.castings_needed.is_none() && self.harvest_dates.is_some() {
            let detail = "\"harvest_dates\" says which harvests are in time for \"castings_needed\"; give those, or leave this out";
            context.refuse(root.field("harvest_dates"), Refusal::new(Reason::NotAllowedHere, detail));
        }
        (analysis, by)
    }

    /// Reports that none or several ways to size the bed are given.
    fn not_one(&self, analysis: Option<&Analysis>, context: &RequestContext<'_>) -> Option<SizedBy> {
        let root = JsonPath::root();
        let at = root.field("feed_supply");
        // Without an analysis nothing is known of the amounts of its materials; what is wrong with it has been reported.
        let given = [
            (at.field("each_week"), self.feed_supply.each_week.is_some()),
            (at.field("deliveries"), self.feed_supply.deliveries.is_some()),
            (root.field("castings_needed"), self.castings_needed.is_some()),
        ];
        let several = given.iter().filter(|(_, is_given)| *is_given);
        let of_parts = analysis.is_some_and(|of| of.all.is_some());
        let skipped = usize::from(!of_parts);
        let detail = "a bed is sized by one thing: feed that comes each week, feed that comes on dates, amounts of materials (which come \
                      each week), or the castings needed; leave the others out";
        let mut found = false;
        for (place, _) in several.skip(skipped) {
            found = true;
            context.refuse(*place, Refusal::new(Reason::NotAllowedHere, detail));
        }
        if !found && analysis.is_some() && !context.errors.touches(root) {
            let detail = "say what the bed is sized by: feed that comes each week, as in \"each_week\": \"7 kg\", feed that comes on dates \
                          (deliveries), or castings_needed";
            let refusal = Refusal::new(Reason::MissingField, detail);
            context.refuse(at.field("each_week"), refusal.allowed(["each_week", "deliveries", "castings_needed"]));
        }
        None
    }

    /// Sizes the bed, and reports what the core refuses at its place in the request.
    fn size(
        &self,
        asked: &BedToSize,
        (climate, until): (&Climate, NaiveDate),
        (context, own): (&RequestContext<'_>, &Overrides),
    ) -> Option<SizedBed> {
        let known = Known { request: &context.overrides, item: own };
        let made = Clocks::new(climate, (asked.start_on, until), known)
            .and_then(|clocks| size_bed(asked, &clocks, known, context.book()));
        let refused = match made {
            Ok(sized) => return Some(sized),
            Err(refused) => refused,
        };
        let is_early = refused.field == Some("castings_needed") && self.too_early(asked, (climate, known), context);
        if !is_early {
            self.refuse(context, refused);
        }
        None
    }

    /// Reports castings that are needed before any bed has them, each at its day; false where there are none.
    fn too_early(
        &self,
        asked: &BedToSize,
        (climate, known): (&Climate, Known<'_>),
        context: &RequestContext<'_>,
    ) -> bool {
        let SizedBy::Castings(needed) = &asked.by else { return false };
        let early = needed_too_early(asked, needed, (climate, known)).unwrap_or_default();
        let root = JsonPath::root();
        let place = root.field("castings_needed");
        for (at, refusal) in &early {
            context.refuse(place.index(*at).field("by"), refusal.clone());
        }
        !early.is_empty()
    }

    /// Reports a refusal of the core at the field that it is about.
    fn refuse(&self, context: &RequestContext<'_>, refusal: Refusal) {
        let root = JsonPath::root();
        let (supply, climate) = (root.field("feed_supply"), root.field("climate"));
        let daily = climate.field("daily");
        let bare = Refusal { field: None, ..refusal.clone() };
        match refusal.field {
            Some("climate") if refusal.reason == Reason::MissingField => context.refuse(daily.field("values"), bare),
            Some("castings_needed") => context.refuse(root.field("castings_needed"), bare),
            Some("climate") => context.refuse(climate, bare),
            Some("layers_per_cycle") if self.layers_per_cycle.is_some() => {
                context.refuse(root.field("layers_per_cycle"), bare);
            }
            Some("area") if self.ground.is_some() => context.refuse(root.field("ground"), bare),
            Some("area" | "capacity") if self.bins.is_some() => {
                context.refuse(root.field("bins").field("capacity"), bare);
            }
            Some("area" | "worms" | "feed") => context.refuse(supply, bare),
            None if self.bins.is_some() => context.refuse(root.field("bins"), bare),
            _ => context.refuse(root, bare),
        }
    }
}

/// The castings needed.
fn needed(list: &CastingsNeeded, context: &RequestContext<'_>) -> Option<SizedBy> {
    let root = JsonPath::root();
    let place = root.field("castings_needed");
    let mut read = Vec::with_capacity(list.len());
    for (i, need) in list.iter().enumerate() {
        let item = place.index(i);
        let by = context.calendar_date(&need.by, item.field("by"));
        let (least, _) = crate::garden::units::Dimension::Volume.bounds();
        let amount = context.amount_of_castings(&need.amount, least, item.field("amount")).map(|found| found.0);
        read.extend(by.zip(amount).map(|(by, amount)| CastingsBy { by, amount }));
    }
    // An empty list has been reported already.
    (read.len() == list.len() && !read.is_empty()).then_some(SizedBy::Castings(read))
}

impl FeedToSizeRequest {
    /// The feed that comes on dates.
    fn dated(&self, list: &DeliveriesToSize, of: Option<&Analysis>, context: &RequestContext<'_>) -> Option<SizedBy> {
        let root = JsonPath::root();
        let feed = root.field("feed_supply");
        let place = feed.field("deliveries");
        let mut read: Vec<Delivery> = Vec::with_capacity(list.len());
        for (i, delivery) in list.iter().enumerate() {
            read.extend(delivery.read(of, context, (place.index(i), feed)));
        }
        // An empty list has been reported already.
        (read.len() == list.len() && !read.is_empty()).then_some(SizedBy::OnDates(read))
    }
}
