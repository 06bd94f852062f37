//! The request, and reading it: what each bed and heap says, and what the core makes of it.

use super::fed::FedList;
use super::forecast::{ForecastRequest, Layers, Plan};
use crate::garden::areas::Ground;
use crate::garden::assumptions::{Assumed, Assumption, Overrides, Span};
use crate::garden::beds::{Comparison, Fed, Forecast, FromFeed, compare, from_feed};
use crate::garden::cautions::Rule;
use crate::garden::harvests::{Harvest, Sieving, WormBed, from_bed, from_heap};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfLength, OfShare};
use crate::garden::units::{Estimate, Share};
use crate::http::input::Crossing;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::ShortText;
use crate::http::input::ground::GroundInput;
use crate::http::input::heap::HeapInput;
use crate::http::input::list::List;
use crate::http::input::measures::MeasureList;
use crate::http::input::quantity::{Due, LengthInput, ShareInput};
use crate::http::limits::{LEAST_SHARE, MAX_BEDS};
use crate::http::output::quantity::{Role, System};
use crate::http::wire::Place;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Worm beds and heaps; at least one of them.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HarvestsRequest {
    /// Echoed.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Echoed.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// Units of the answer; `metric` unless given.
    pub units: Option<System>,
    /// The caller's measures.
    #[validate(nested)]
    #[schema(inline)]
    pub measures: Option<MeasureList>,
    /// What is known better than the defaults.
    pub assumptions: Option<AssumptionsInput>,
    /// Worm beds.
    #[validate(nested)]
    #[schema(inline)]
    pub worm_beds: Option<WormBeds>,
    /// Heaps of castings.
    #[validate(nested)]
    #[schema(inline)]
    pub heaps: Option<Heaps>,
    /// True adds how each figure came about; for at most 200 beds and heaps.
    pub explain: Option<bool>,
}

/// The beds.
pub type WormBeds = List<WormBedRequest, 0, { MAX_BEDS }>;

/// The heaps.
pub type Heaps = List<HeapInput, 0, { MAX_BEDS }>;

/// A worm bed: finished, by its depth (`finished_depth` and `ready_share`); or by what was fed (`fed`); or to come
/// (`forecast`). At least one of the three; the first two together are compared.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WormBedRequest {
    /// Unique in its list, echoed.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Echoed.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// The ground of the bed.
    #[validate(nested)]
    pub ground: GroundInput,
    /// How deep the castings lie; with `ready_share`.
    pub finished_depth: Option<LengthInput>,
    /// The share that is ready: dark, crumbly, without recognisable feed; with `finished_depth`.
    pub ready_share: Option<ShareInput>,
    /// The share that passes the sieve, by volume; the assumption `castings.sieve_pass` unless given.
    pub sieve_pass: Option<ShareInput>,
    /// All that was fed and is worked through by now.
    #[validate(nested)]
    #[schema(inline)]
    pub fed: Option<FedList>,
    /// Ash in the dry matter of the castings, measured: with `fed` it gives the loss, in place of the assumption
    /// `bed.organic_matter_loss`.
    pub ash_after: Option<ShareInput>,
    /// What the bed is to do from a day to another.
    #[validate(nested)]
    pub forecast: Option<ForecastRequest>,
    /// What is known better for this bed.
    pub assumptions: Option<AssumptionsInput>,
}

/// What the core makes of a bed.
#[derive(Debug)]
pub struct Bed {
    /// Its ground.
    pub area: Estimate<OfArea>,
    /// By its depth.
    pub by_depth: Option<Harvest>,
    /// By what was fed.
    pub by_feed: Option<FromFeed>,
    /// Both.
    pub comparison: Option<Comparison>,
    /// What it is to do.
    pub forecast: Option<Forecast>,
    /// What was assumed, each once.
    pub assumed: Vec<Assumed>,
    /// What to mind, each once.
    pub cautions: Vec<Rule>,
}

/// How deep a bed is, and which share of it is ready.
type ByDepth = (Estimate<OfLength>, Estimate<OfShare>);

/// What a bed says, read.
struct Said {
    ground: Ground,
    depth: Option<ByDepth>,
    fed: Option<Vec<Fed>>,
    ash_after: Option<Estimate<OfShare>>,
    plan: Option<Plan>,
}

impl WormBedRequest {
    /// Reads one bed and computes it.
    fn solve(&self, crossing: &Crossing<'_>, place: Place<'_>, layers: &Layers) -> Option<Bed> {
        let mut overrides = crossing.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let sieve = self.sieve(crossing, place.field("sieve_pass"), &mut overrides);
        let said = self.read(crossing, place, &overrides);
        sieve?;
        let bed = compute(&said?, crossing, (place, &overrides), layers)?;
        crossing.note_used(place, &overrides, &bed.assumed);
        Some(bed)
    }

    fn sieve(&self, crossing: &Crossing<'_>, at: Place<'_>, overrides: &mut Overrides) -> Option<()> {
        let Some(sieve) = &self.sieve_pass else { return Some(()) };
        let (_, span) = crossing.span(&sieve.0, Due::share(LEAST_SHARE, 1.0), at)?;
        crossing.keep(at, overrides.set(Assumption::SievePass, span))
    }

    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>, overrides: &Overrides) -> Option<Said> {
        let ground = crossing.ground(&self.ground, place.field("ground"));
        let depth = self.depth(crossing, place);
        let fed = self.fed.as_ref().map(|list| super::fed::read(list, crossing, place.field("fed")));
        let after = self.ash_after(crossing, place);
        let plan = self.forecast.as_ref().map(|it| it.read(crossing, place.field("forecast"), overrides));
        self.says_something(crossing, place)?;
        Some(Said { ground: ground?, depth: depth?, fed: flip(fed)?, ash_after: after?, plan: flip(plan)? })
    }

    fn depth(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Option<ByDepth>> {
        let missing = |field: &'static str, other: &str| {
            if !crossing.faults.touches(place.field(field)) {
                let detail = format!("{field} is missing: {other} alone says nothing of the castings");
                crossing.refuse(place.field(field), Refusal::new(Reason::MissingField, detail));
            }
        };
        let depth =
            self.finished_depth.as_ref().map(|it| crossing.figure(Role::Depth, &it.0, place.field("finished_depth")));
        let ready = self.ready_share.as_ref().map(|it| {
            let at = place.field("ready_share");
            let share = crossing.exact_between(&it.0, (LEAST_SHARE, 1.0), at)?;
            Some(crossing.asked(Role::Share, share, at))
        });
        match (depth, ready) {
            (Some(depth), Some(ready)) => Some(Some((depth?, ready?))),
            (None, None) => Some(None),
            (Some(_), None) => {
                missing("ready_share", "finished_depth");
                None
            }
            (None, Some(_)) => {
                missing("finished_depth", "ready_share");
                None
            }
        }
    }

    fn ash_after(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Option<Estimate<OfShare>>> {
        let Some(after) = &self.ash_after else { return Some(None) };
        let at = place.field("ash_after");
        if self.fed.is_none() && !crossing.faults.touches(place.field("fed")) {
            let detail = "the ash of the castings tells a loss only beside that of the feed: give fed too";
            crossing.refuse(at, Refusal::new(Reason::NotAllowedHere, detail));
            return None;
        }
        let share: Option<Share> = crossing.exact_between(&after.0, (LEAST_SHARE, 1.0 - LEAST_SHARE), at);
        share.map(|share| Some(crossing.asked(Role::Share, share, at)))
    }

    /// Refuses a bed of which nothing is known but its ground.
    fn says_something(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<()> {
        let by_depth = self.finished_depth.is_some() || self.ready_share.is_some();
        if by_depth || self.fed.is_some() || self.forecast.is_some() {
            return Some(());
        }
        if !crossing.faults.touches(place) {
            let detail = "the bed says nothing of its castings: give finished_depth and ready_share, or fed (what it was fed), \
                          or forecast";
            let refusal = Refusal::new(Reason::MissingField, detail);
            crossing.refuse(place.field("finished_depth"), refusal.allowed(["finished_depth", "fed", "forecast"]));
        }
        None
    }
}

/// `Some(None)`: not asked. `None`: asked, and refused.
fn flip<T>(read: Option<Option<T>>) -> Option<Option<T>> {
    match read {
        Some(None) => None,
        Some(read) => Some(read),
        None => Some(None),
    }
}

fn compute(
    said: &Said,
    crossing: &Crossing<'_>,
    (place, overrides): (Place<'_>, &Overrides),
    layers: &Layers,
) -> Option<Bed> {
    let area = crossing.keep(place, said.ground.area(crossing.book()).map_err(|e| e.at("ground")))?;
    let by_depth = said.depth.map(|(finished_depth, ready_share)| {
        let bed = WormBed { area, finished_depth, ready_share };
        crossing.with_known(place, overrides, |known| from_bed(&bed, known, crossing.book()))
    });
    let by_feed = said.fed.as_ref().map(|fed| {
        let at = if said.ash_after.is_some() { "ash_after" } else { "fed" };
        let to_its_field = |e: Refusal| Refusal { field: e.field.or(Some(at)), ..e };
        crossing.with_known(place, overrides, |known| {
            from_feed(fed, said.ash_after, known, crossing.book()).map_err(to_its_field)
        })
    });
    let forecast = said.plan.as_ref().map(|plan| plan.run(crossing, (place, overrides), (area, layers)));
    let (by_depth, by_feed, forecast) = (flip(by_depth)?, flip(by_feed)?, flip(forecast)?);
    let known = crate::garden::assumptions::Known { request: &crossing.overrides, item: overrides };
    let comparison =
        by_depth.as_ref().zip(by_feed.as_ref()).map(|(depth, feed)| compare(depth, feed, known, crossing.book()));
    let (assumed, cautions) = (Vec::new(), Vec::new());
    let mut bed = Bed { area, by_depth, by_feed, comparison, forecast, assumed, cautions };
    bed.gather();
    Some(bed)
}

impl Bed {
    /// Gathers what the ways assumed and what they mind, each once, in their order.
    fn gather(&mut self) {
        let depth = self.by_depth.as_ref().map(|it| (&it.assumed, &it.cautions));
        let feed = self.by_feed.as_ref().map(|it| (&it.assumed, &it.cautions));
        let forecast = self.forecast.as_ref().map(|it| (&it.assumed, &it.cautions));
        for (assumed, cautions) in [depth, feed, forecast].into_iter().flatten() {
            for one in assumed {
                if !self.assumed.iter().any(|a| a.assumption == one.assumption) {
                    self.assumed.push(*one);
                }
            }
            for rule in cautions {
                if !self.cautions.contains(rule) {
                    self.cautions.push(*rule);
                }
            }
        }
    }
}

impl HeapInput {
    /// Reads one heap and computes it with what the request knows.
    pub(crate) fn solve(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Harvest> {
        let common = self.common();
        let share = |input: Option<&ShareInput>, field| match input {
            Some(input) => {
                let at = place.field(field);
                crossing.span(&input.0, Due::share(LEAST_SHARE, 1.0), at).map(|(_, span)| span)
            }
            None => Some(Span::exactly(1.0)),
        };
        let (ready, pass) = (share(common.ready_share, "ready_share"), share(common.sieve_pass, "sieve_pass"));
        let heap = crossing.heap(self, place)?;
        let (ready, pass) = (ready?, pass?);
        crossing.note_range(ready, place.field("ready_share"));
        let overrides = crossing.overrides(common.assumptions, place.field("assumptions"));
        // All of it, unless the request says less.
        let [ready_at, pass_at] = ["ready_share", "sieve_pass"].map(|name| place.field(name));
        let ready_at = if common.ready_share.is_some() { ready_at } else { place };
        let pass_at = if common.sieve_pass.is_some() { pass_at } else { place };
        let ready = crossing.asked(Role::Share, Share::from_fraction(ready.likely), ready_at);
        let pass = crossing.asked(Role::Share, pass.estimate::<OfShare>(), pass_at);
        let sieving = Sieving { ready, pass };
        let harvest =
            crossing.with_known(place, &overrides, |known| from_heap(&heap, sieving, known, crossing.book()))?;
        crossing.note_used(place, &overrides, &harvest.assumed);
        Some(harvest)
    }
}

/// Reads and computes all beds and heaps.
pub(super) fn solve(request: &HarvestsRequest, crossing: &Crossing<'_>) -> Option<(Vec<Bed>, Vec<Harvest>)> {
    let root = Place::root();
    let (beds, heaps) = (root.field("worm_beds"), root.field("heaps"));
    let bed_list = request.worm_beds.as_deref().unwrap_or_default();
    let heap_list = request.heaps.as_deref().unwrap_or_default();
    if bed_list.is_empty() && heap_list.is_empty() {
        let detail = "nothing to harvest: give at least one of worm_beds and heaps";
        let refusal = Refusal::new(Reason::ExactlyOneOf, detail);
        crossing.refuse(Place::root(), refusal.allowed(["worm_beds", "heaps"]));
        return None;
    }
    crossing.unique_ids(bed_list.iter().map(|b| b.id.as_deref()), beds);
    crossing.unique_ids(heap_list.iter().map(|h| h.common().id), heaps);
    let layers = Layers::default();
    let beds: Vec<_> =
        bed_list.iter().enumerate().map(|(i, bed)| bed.solve(crossing, beds.index(i), &layers)).collect();
    let heaps: Vec<_> = heap_list.iter().enumerate().map(|(i, heap)| heap.solve(crossing, heaps.index(i))).collect();
    Some((beds.into_iter().collect::<Option<_>>()?, heaps.into_iter().collect::<Option<_>>()?))
}
