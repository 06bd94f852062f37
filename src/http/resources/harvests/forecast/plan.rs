//! Reading a plan and running it.

use super::{BedFeedRequest, FeedDelivery, ForecastRequest, SupplyInput};
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::beds::{
    Bed, Climate, Clocks, Delivery, Feed, Forecast, ForecastBatch, Running, Supply, forecast_on,
};
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass};
use crate::http::input::bounded::{CycleCount, LayerCount};
use crate::http::input::{RequestContext, optionally};
use crate::http::output::quantity::Role;
use crate::http::resources::collected::CollectedFeed;
use crate::http::resources::harvests::mixed::{self, FeedParts};
use crate::http::resources::harvests::{Analysis, AnalysisFields, analysis_fields, moist};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// A bed's plan, read; its ground comes later.
#[derive(Debug)]
pub struct Plan {
    until: NaiveDate,
    climate: Climate,
    worms: Option<Estimate<OfMass>>,
    running: Option<Running>,
    start_on: NaiveDate,
    feed: Feed,
    layers_per_cycle: Option<u32>,
    cycles: Option<u32>,
    /// What is known of this bed alone.
    own: Overrides,
    /// What is collected for its feed.
    pub collected: CollectedFeed,
}

impl ForecastRequest {
    /// Reads a plan.
    pub(in super::super) fn read(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        item: &Overrides,
    ) -> Option<Plan> {
        let start_on = context.calendar_date(&self.start_on, place.field("start_on"));
        let until = context.calendar_date(&self.until, place.field("until"));
        let worms = context.optional(self.worms.as_ref().map(|it| &it.0), place.field("worms"));
        let worms = worms.map(|given| given.map(|mass| context.asked(Role::Mass, mass, place.field("worms"))));
        let at = place.field("feed");
        let analysis = self.feed.analysis((context, item), at);
        let supply = self.feed.supply(analysis.as_ref(), context, at);
        let running = optionally(self.running.as_ref(), |running| {
            running.read(analysis.as_ref(), (context, item), (place.field("running"), at, start_on))
        });
        let climate = context.climate(&self.climate, place.field("climate"));
        let (start_on, until) = (start_on?, until?);
        let first = Running::first_day(running.as_ref().and_then(Option::as_ref), start_on);
        if until.signed_duration_since(first).num_days() > MAX_SPAN_DAYS {
            let detail = format!("from {first} to {until} are more than ten years, the longest forecast");
            context.refuse(place.field("until"), Refusal::new(Reason::OutOfRange, detail));
            return None;
        }
        let (analysis, mut own) = (analysis?, item.clone());
        analysis.lay(&mut own, (context, at));
        let collected = analysis.collected((context, at));
        let feed = analysis.feed(supply?, (context, at));
        // Counts outside their bounds have been reported already.
        let counts =
            self.layers_per_cycle.is_none_or(LayerCount::is_within) && self.cycles.is_none_or(CycleCount::is_within);
        let plan = Plan {
            until,
            climate: climate?,
            worms: worms?,
            running: running?,
            start_on,
            feed,
            layers_per_cycle: self.layers_per_cycle.map(|layers| layers.0),
            cycles: self.cycles.map(|cycles| cycles.0),
            own,
            collected,
        };
        (counts && !context.errors.touches(place)).then_some(plan)
    }
}

impl BedFeedRequest {
    /// Reads how much comes when: what the amounts of its materials are, or as much as the layers take, unless given.
    pub(in crate::http::resources) fn supply(
        &self,
        of: Option<&Analysis>,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
    ) -> Option<Supply> {
        match &self.supply {
            Some(supply) => supply.read(of, context, place),
            None => Some(of?.all.map_or(Supply::AsNeeded, Supply::AllAtOnce)),
        }
    }

    /// Reads the analysis.
    pub(in crate::http::resources) fn analysis(
        &self,
        known: (&RequestContext<'_>, &Overrides),
        place: JsonPath<'_>,
    ) -> Option<Analysis> {
        analysis(analysis_fields!(self), self.materials.as_ref(), known, place)
    }
}

/// Reads the analysis of a feed: of its fields, or of the materials that it is mixed of.
pub(in crate::http::resources) fn analysis(
    fields: AnalysisFields<'_>,
    parts: Option<&FeedParts>,
    (context, item): (&RequestContext<'_>, &Overrides),
    place: JsonPath<'_>,
) -> Option<Analysis> {
    let Some(parts) = parts else { return fields.read((context, item), place) };
    let alone = alone(fields, context, place);
    let own = fields.density(context, place);
    let mixed = mixed::read(parts, own.flatten(), (context, item), place);
    alone.and(own)?;
    mixed
}

/// Refuses what is given beside `materials` and says the same.
fn alone(fields: AnalysisFields<'_>, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<()> {
    let [ash, organic_matter, carbon] = fields.ash;
    let beside = [
        ("material", fields.material.is_some()),
        ("moisture", fields.moisture.is_some()),
        ("ash", ash.is_some()),
        ("organic_matter", organic_matter.is_some()),
        ("carbon", carbon.is_some()),
        ("nitrogen", fields.nitrogen.is_some()),
    ];
    let mut found = beside.into_iter().filter(|(_, given)| *given).peekable();
    if found.peek().is_none() {
        return Some(());
    }
    for (field, _) in found {
        let detail = "the feed is mixed of its materials, so this follows from them; leave it or materials out";
        context.refuse(place.field(field), Refusal::new(Reason::NotAllowedHere, detail));
    }
    None
}

impl SupplyInput {
    /// Reads how much comes when.
    pub(in crate::http::resources) fn read(
        &self,
        of: Option<&Analysis>,
        context: &RequestContext<'_>,
        feed: JsonPath<'_>,
    ) -> Option<Supply> {
        let place = feed.field("supply");
        match self {
            Self::AsNeeded(_) => Some(Supply::AsNeeded),
            Self::Amount(it) => {
                let at = place.field("amount");
                let moist = moist(of, &it.amount, None, (context, at, feed))?;
                Some(Supply::AllAtOnce(of?.dry(moist, (context, at))))
            }
            Self::Deliveries(it) => {
                let list = place.field("deliveries");
                let mut read = Vec::with_capacity(it.deliveries.len());
                for (i, delivery) in it.deliveries.iter().enumerate() {
                    read.extend(delivery.read(of, context, (list.index(i), feed)));
                }
                (read.len() == it.deliveries.len()).then_some(Supply::OnDates(read))
            }
        }
    }
}

impl FeedDelivery {
    /// Reads what comes on a date.
    pub(in crate::http::resources) fn read(
        &self,
        of: Option<&Analysis>,
        context: &RequestContext<'_>,
        (at, feed): (JsonPath<'_>, JsonPath<'_>),
    ) -> Option<Delivery> {
        let (on, moist) = self.moist(of, context, (at, feed))?;
        Some(Delivery { on, dry_matter: of?.dry(moist, (context, at.field("amount"))) })
    }

    /// Reads what comes on a date, moist.
    pub(in crate::http::resources) fn moist(
        &self,
        of: Option<&Analysis>,
        context: &RequestContext<'_>,
        (at, feed): (JsonPath<'_>, JsonPath<'_>),
    ) -> Option<(NaiveDate, Estimate<OfMass>)> {
        let on = context.calendar_date(&self.on, at.field("on"));
        let moist = moist(of, &self.amount, None, (context, at.field("amount"), feed))?;
        Some((on?, moist))
    }
}

impl Plan {
    /// Runs the plan on its ground, after those of the beds before.
    pub(in super::super) fn run(
        &self,
        context: &RequestContext<'_>,
        (place, item): (JsonPath<'_>, &Overrides),
        (area, before): (Estimate<OfArea>, &mut ForecastBatch),
    ) -> Option<Forecast> {
        let bed = Bed {
            area,
            worms: self.worms,
            running: self.running,
            start_on: self.start_on,
            feed: self.feed.clone(),
            layers_per_cycle: self.layers_per_cycle,
            cycles: self.cycles,
        };
        let known = Known { request: &context.overrides, item: &self.own };
        let made = before.next(|| {
            let clocks = Clocks::new(&self.climate, (bed.first_day(), self.until), known)?;
            forecast_on(&bed, &clocks, known, context.book())
        })?;
        made.map_err(|refusal| Self::refuse(context, (place, item), refusal)).ok()
    }

    /// Tells a refusal of the core at the field of the request that it is about.
    fn refuse(context: &RequestContext<'_>, (place, item): (JsonPath<'_>, &Overrides), refusal: Refusal) {
        let forecast = place.field("forecast");
        let climate = forecast.field("climate");
        match refusal.field {
            Some("assumptions") if item.is_empty() => context.refuse(JsonPath::root(), refusal),
            Some("assumptions") => context.refuse(place, refusal),
            Some("area") => context.refuse(place.field("ground"), Refusal { field: None, ..refusal }),
            Some("climate") => {
                // Only a series can have a hole; it is there, so the error is one of its length.
                let daily = climate.field("daily");
                context.refuse(daily.field("values"), Refusal { field: None, ..refusal });
            }
            _ => context.refuse(forecast, refusal),
        }
    }
}
