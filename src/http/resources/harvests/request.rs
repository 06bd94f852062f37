//! The request, and reading it: what each bed and heap says, and what the core makes of it.

use super::analysis::share;
use super::fed::FedList;
use super::forecast::{ForecastRequest, Plan};
use crate::garden::assumptions::{Assumption, Known, Overrides, Span};
use crate::garden::beds::{Fed, ForecastBatch, HarvestEstimates, from_feed};
use crate::garden::cautions::Rule;
use crate::garden::harvests::{Harvest, Sieving, WormBed, from_bed, from_heap};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfLength, OfShare};
use crate::garden::units::{Estimate, Share};
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::ShortText;
use crate::http::input::containers::ContainerList;
use crate::http::input::ground::GroundInput;
use crate::http::input::heap::HeapInput;
use crate::http::input::list::List;
use crate::http::input::quantity::{Due, LengthInput, ShareInput};
use crate::http::input::{RequestContext, optionally};
use crate::http::limits::{MAX_BEDS, MIN_SHARE};
use crate::http::output::Texts;
use crate::http::output::quantity::{Role, System};
use crate::http::resources::skip::OnError;
use crate::http::wire::{JsonPath, as_in};
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Worm beds and heaps; at least one of them.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct HarvestsRequest {
    /// Your own id; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<AssumptionsInput>,
    /// The worm beds to harvest.
    #[validate(nested)]
    pub worm_beds: Option<WormBeds>,
    /// Heaps of castings to measure.
    #[validate(nested)]
    pub heaps: Option<Heaps>,
    /// True adds how each figure is computed; for at most 200 beds and heaps.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
    /// `skip` leaves out areas, beds, heaps, brews, lots and demands with errors, and lists them in `skipped`; one of each must be left. `refuse` unless given.
    pub on_error: Option<OnError>,
}

/// The beds.
pub type WormBeds = List<WormBedRequest, 0, { MAX_BEDS }>;

/// The heaps.
pub type Heaps = List<HeapInput, 0, { MAX_BEDS }>;

/// A worm bed: finished, by its depth (`material_depth` and `finished_share`); or by what was fed (`fed`); or to come
/// (`forecast`). At least one of the three; the first two together are compared.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct WormBedRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// The ground of the bed.
    #[validate(nested)]
    pub ground: GroundInput,
    /// How deep the castings lie; with `finished_share`.
    pub material_depth: Option<LengthInput>,
    /// The share that is ready: dark, crumbly, without recognisable feed; with `material_depth`.
    pub finished_share: Option<ShareInput>,
    /// The share that passes the sieve, by volume; the assumption `castings.sieve_yield` unless given.
    pub sieve_yield: Option<ShareInput>,
    /// All that was fed and that the worms have eaten by now.
    #[validate(nested)]
    pub fed: Option<FedList>,
    /// Ash in the dry matter of the castings, measured: with `fed` it gives the loss, in place of the assumption
    /// `bed.organic_matter_loss`.
    pub ash_after: Option<ShareInput>,
    /// What the bed is to do from a day to another.
    #[validate(nested)]
    pub forecast: Option<ForecastRequest>,
    /// What you know better than the defaults for this bed.
    pub assumptions: Option<AssumptionsInput>,
}

/// A bed of the request, and what the core makes of it.
#[derive(Debug)]
pub struct Bed<'r> {
    /// As it was asked.
    pub asked: &'r WormBedRequest,
    /// Its ground.
    pub area: Estimate<OfArea>,
    /// Its castings.
    pub ways: HarvestEstimates,
    /// What is collected for its feed to come.
    pub collected: crate::http::resources::collected::CollectedFeed,
}

/// A heap of the request, and its harvest.
#[derive(Debug)]
pub struct Heap<'r> {
    /// As it was asked.
    pub asked: &'r HeapInput,
    /// Its harvest.
    pub harvest: Harvest,
}

/// How deep a bed is, and which share of it is ready.
type ByDepth = (Estimate<OfLength>, Estimate<OfShare>);

/// What a bed says, read.
struct Parsed {
    area: Estimate<OfArea>,
    depth: Option<ByDepth>,
    fed: Option<Vec<Fed>>,
    ash_after: Option<Estimate<OfShare>>,
    plan: Option<Plan>,
}

impl HarvestsRequest {
    /// Its beds and heaps.
    pub(super) fn items(&self) -> (&[WormBedRequest], &[HeapInput]) {
        (self.worm_beds.as_deref().unwrap_or_default(), self.heaps.as_deref().unwrap_or_default())
    }
}

impl WormBedRequest {
    /// Reads one bed and computes it.
    fn solve(&self, context: &RequestContext<'_>, place: JsonPath<'_>, before: &mut ForecastBatch) -> Option<Bed<'_>> {
        let mut overrides = context.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let sieve = self.sieve(context, place, &mut overrides);
        let parsed = self.read(context, place, &overrides);
        let (parsed, ()) = (parsed?, sieve?);
        let collected = parsed.plan.as_ref().map(|plan| plan.collected.clone()).unwrap_or_default();
        let (area, ways) = compute(parsed, context, (place, &overrides), before)?;
        context.note_used(place, &overrides, &ways.assumed);
        Some(Bed { asked: self, area, ways, collected })
    }

    fn sieve(&self, context: &RequestContext<'_>, place: JsonPath<'_>, overrides: &mut Overrides) -> Option<()> {
        let Some(sieve) = &self.sieve_yield else { return Some(()) };
        let (_, span) = context.span(&sieve.0, Due::share(MIN_SHARE, 1.0), place.field("sieve_yield"))?;
        context.set_by_field(overrides, (Assumption::SieveYield, span), (place, "sieve_yield"))
    }

    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>, overrides: &Overrides) -> Option<Parsed> {
        let area = context.ground(&self.ground, place.field("ground"));
        let area = area.and_then(|ground| context.keep(place, ground.area(context.book()).map_err(|e| e.at("ground"))));
        let depth = self.depth(context, place);
        let fed = optionally(self.fed.as_ref(), |list| super::fed::read(list, context, place.field("fed")));
        let after = self.ash_after(context, place);
        let plan = optionally(self.forecast.as_ref(), |it| it.read(context, place.field("forecast"), overrides));
        self.says_something(context, place)?;
        Some(Parsed { area: area?, depth: depth?, fed: fed?, ash_after: after?, plan: plan? })
    }

    fn depth(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<ByDepth>> {
        let missing = |field: &'static str, other: &str| {
            if !context.errors.touches(place.field(field)) {
                let example = as_in(field, "a text");
                let detail =
                    format!("{field} is missing: {other} alone says nothing of the castings; give it{example}");
                context.refuse(place.field(field), Refusal::new(Reason::MissingField, detail));
            }
        };
        let depth =
            self.material_depth.as_ref().map(|it| context.figure(Role::Depth, &it.0, place.field("material_depth")));
        let ready = self
            .finished_share
            .as_ref()
            .map(|it| share(it, (MIN_SHARE, 1.0), (context, place.field("finished_share"))));
        match (depth, ready) {
            (Some(depth), Some(ready)) => Some(Some((depth?, ready?))),
            (None, None) => Some(None),
            (Some(_), None) => {
                missing("finished_share", "material_depth");
                None
            }
            (None, Some(_)) => {
                missing("material_depth", "finished_share");
                None
            }
        }
    }

    fn ash_after(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Estimate<OfShare>>> {
        let Some(after) = &self.ash_after else { return Some(None) };
        let at = place.field("ash_after");
        if self.fed.is_none() && !context.errors.touches(place.field("fed")) {
            let detail = "the ash of the castings gives a loss only together with that of the feed: also give fed";
            context.refuse(at, Refusal::new(Reason::NotAllowedHere, detail));
            return None;
        }
        share(after, (MIN_SHARE, 1.0 - MIN_SHARE), (context, at)).map(Some)
    }

    /// Refuses a bed of which nothing is known but its ground.
    fn says_something(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<()> {
        let by_depth = self.material_depth.is_some() || self.finished_share.is_some();
        if by_depth || self.fed.is_some() || self.forecast.is_some() {
            return Some(());
        }
        if !context.errors.touches(place) {
            let detail = "the bed says nothing of its castings: give material_depth and finished_share, or fed (what it was fed), \
                          or forecast";
            let refusal = Refusal::new(Reason::MissingField, detail);
            context.refuse(place.field("material_depth"), refusal.allowed(["material_depth", "fed", "forecast"]));
        }
        None
    }
}

fn compute(
    said: Parsed,
    context: &RequestContext<'_>,
    (place, overrides): (JsonPath<'_>, &Overrides),
    before: &mut ForecastBatch,
) -> Option<(Estimate<OfArea>, HarvestEstimates)> {
    let book = context.book();
    let area = said.area;
    let by_depth = optionally(said.depth, |(material_depth, finished_share)| {
        let bed = WormBed { area, material_depth, finished_share };
        context.with_known(place, overrides, |known| from_bed(&bed, known, book))
    });
    let by_feed = optionally(said.fed, |fed| {
        let at = if said.ash_after.is_some() { "ash_after" } else { "fed" };
        let to_its_field = |e: Refusal| Refusal { field: e.field.or(Some(at)), ..e };
        context.with_known(place, overrides, |known| from_feed(&fed, said.ash_after, known, book).map_err(to_its_field))
    });
    let forecast = optionally(said.plan, |plan| plan.run(context, (place, overrides), (area, before)));
    let ways = (by_depth?, by_feed?, forecast?);
    let known = Known { request: &context.overrides, item: overrides };
    Some((area, HarvestEstimates::of(ways, known, book)))
}

impl HeapInput {
    /// Reads one heap and computes it with what the request knows; where it `is_weighed` its mass counts, else its volume alone.
    pub(crate) fn solve(&self, context: &RequestContext<'_>, place: JsonPath<'_>, is_weighed: bool) -> Option<Harvest> {
        let common = self.common();
        let share = |input: Option<&ShareInput>, field| match input {
            Some(input) => {
                let at = place.field(field);
                context.span(&input.0, Due::share(MIN_SHARE, 1.0), at).map(|(_, span)| (span, at))
            }
            // All of it, unless the request says less.
            None => Some((Span::exactly(1.0), place)),
        };
        let (ready, pass) = (share(common.finished_share, "finished_share"), share(common.sieve_yield, "sieve_yield"));
        let heap = context.heap(self, place);
        let overrides = context.overrides(common.assumptions, place.field("assumptions"));
        let (heap, (ready, ready_at), (pass, pass_at)) = (heap?, ready?, pass?);
        context.note_range(ready, ready_at);
        let ready = context.asked(Role::Share, Share::from_fraction(ready.likely), ready_at);
        let pass = context.asked(Role::Share, pass.estimate::<OfShare>(), pass_at);
        let compute = |known: Known<'_>| from_heap(&heap, Sieving { ready, pass }, known, context.book());
        let mut harvest = context.with_known(place, &overrides, compute)?;
        harvest.assumed.retain(|_| is_weighed || harvest.cautions.contains(&Rule::TooWet));
        context.note_used(place, &overrides, &harvest.assumed);
        Some(harvest)
    }
}

/// The beds and the heaps of a request.
type BedsAndHeaps<'r> = (Vec<Bed<'r>>, Vec<Heap<'r>>);

/// Reads and computes all beds and heaps.
pub(super) fn solve<'r>(request: &'r HarvestsRequest, context: &RequestContext<'_>) -> Option<BedsAndHeaps<'r>> {
    let root = JsonPath::root();
    let (bed_list, heap_list) = (root.field("worm_beds"), root.field("heaps"));
    let (beds, heaps) = request.items();
    if beds.is_empty() && heaps.is_empty() {
        let none = Refusal::new(Reason::ExactlyOneOf, "nothing to harvest: give at least one of worm_beds and heaps");
        if !context.errors.touches(bed_list) && !context.errors.touches(heap_list) {
            context.refuse(root, none.allowed(["worm_beds", "heaps"]));
        }
        return None;
    }
    context.unique_ids(beds.iter().map(|bed| bed.id.as_deref()), bed_list);
    context.unique_ids(heaps.iter().map(|heap| heap.common().id), heap_list);
    let mut before = ForecastBatch::default();
    let bed = |(i, bed): (usize, &'r WormBedRequest)| bed.solve(context, bed_list.index(i), &mut before);
    let beds: Vec<Option<Bed<'_>>> = beds.iter().enumerate().map(bed).collect();
    let heap = |(i, asked): (usize, &'r HeapInput)| {
        asked.solve(context, heap_list.index(i), true).map(|harvest| Heap { asked, harvest })
    };
    let heaps: Vec<Option<Heap<'_>>> = heaps.iter().enumerate().map(heap).collect();
    Some((beds.into_iter().collect::<Option<_>>()?, heaps.into_iter().collect::<Option<_>>()?))
}
