//! `POST /v1/harvests`: what worm beds and heaps yield.

use super::{COMPUTED_WITH, CastingsOut, Frame, Question, Sample, Units, cell, column};
use crate::garden::assumptions::Span;
use crate::garden::harvests::{Harvest, WormBed, from_bed, from_heap};
use crate::garden::units::quantity::{OfMass, OfVolume};
use crate::garden::units::{Estimate, Mass, Share, Volume};
use crate::http::answer::{Accepted, respond};
use crate::http::body::Body;
use crate::http::input::Crossing;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::ground::GroundInput;
use crate::http::input::heap::HeapInput;
use crate::http::input::list::List;
use crate::http::input::measures::MeasureList;
use crate::http::input::quantity::{Due, LengthInput, ShareInput};
use crate::http::input::text::no_control;
use crate::http::limits::{MAX_BEDS, MAX_NAME};
use crate::http::negotiate::Media;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{AssumptionOut, CautionOut, QuantityOut, Report};
use crate::http::problem::{AskProblems, Problem};
use crate::http::wire::Place;
use actix_web::{HttpResponse, post};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use validator::Validate;

/// Finished worm beds and heaps; at least one of them.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HarvestsRequest {
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Units of the answer; `metric` unless given.
    pub units: Option<Units>,
    /// The caller's measures.
    #[validate(nested)]
    #[schema(inline)]
    pub measures: Option<MeasureList>,
    /// What is known better than the defaults.
    pub assumptions: Option<AssumptionsInput>,
    /// Finished worm beds.
    #[validate(nested)]
    #[schema(inline)]
    pub worm_beds: Option<WormBeds>,
    /// Heaps of castings.
    #[validate(nested)]
    #[schema(inline)]
    pub heaps: Option<Heaps>,
}

/// The beds.
pub type WormBeds = List<WormBedRequest, 0, { MAX_BEDS }>;

/// The heaps.
pub type Heaps = List<HeapInput, 0, { MAX_BEDS }>;

/// A finished worm bed.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WormBedRequest {
    /// Unique in its list, echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// The ground of the bed.
    #[validate(nested)]
    pub ground: GroundInput,
    /// How deep the castings lie.
    pub finished_depth: LengthInput,
    /// The share that is ready: dark, crumbly, without recognisable feed.
    pub ready_share: ShareInput,
    /// The share that passes the sieve, by volume; the assumption `castings.sieve_pass` unless given.
    pub sieve_pass: Option<ShareInput>,
    /// What is known better for this bed.
    pub assumptions: Option<AssumptionsInput>,
}

/// The question's marker.
pub struct Harvests;

const SAMPLES: &[Sample] = &[
    Sample {
        name: "one_bed",
        summary: "What does this bed yield?",
        body: include_str!("../../../demo-data/harvests/one-bed.json"),
    },
    Sample {
        name: "beds_and_heaps",
        summary: "Two worm beds, a windrow, a cone and buckets on the shelf",
        body: include_str!("../../../demo-data/harvests/beds-and-heaps.json"),
    },
];

/// The smallest share that is computed with.
const LEAST_SHARE: f64 = 1e-6;

impl WormBedRequest {
    /// Reads one bed and computes it.
    fn solve(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Harvest> {
        let mut overrides = crossing.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let ground = crossing.ground(&self.ground, place.field("ground"));
        let depth = crossing.exact(&self.finished_depth.0, place.field("finished_depth"));
        let ready = crossing.exact_between(&self.ready_share.0, (LEAST_SHARE, 1.0), place.field("ready_share"));
        if let Some(sieve) = &self.sieve_pass {
            let at = place.field("sieve_pass");
            let (_, span) = crossing.span(&sieve.0, Due::share(LEAST_SHARE, 1.0), at)?;
            crossing.keep(at, overrides.set(crate::garden::assumptions::Assumption::SievePass, span));
        }
        let bed = WormBed { ground: ground?, finished_depth: depth?, ready_share: ready? };
        let harvest = crossing.with_known(place, &overrides, |known| from_bed(&bed, known))?;
        crossing.note_used(place, &overrides, &harvest.assumed);
        Some(harvest)
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
        let (ready, sieve) = (share(common.ready_share, "ready_share"), share(common.sieve_pass, "sieve_pass"));
        let heap = crossing.heap(self, place)?;
        let (ready, sieve) = (ready?, sieve?);
        crossing.note_range(ready, place.field("ready_share"));
        let overrides = crossing.overrides(common.assumptions, place.field("assumptions"));
        let ready = Share::from_fraction(ready.likely);
        let harvest =
            crossing.with_known(place, &overrides, |known| from_heap(&heap, ready, sieve.estimate(), known))?;
        crossing.note_used(place, &overrides, &harvest.assumed);
        Some(harvest)
    }
}

/// Reads and computes all beds and heaps.
pub(crate) fn solve(request: &HarvestsRequest, crossing: &Crossing<'_>) -> Option<(Vec<Harvest>, Vec<Harvest>)> {
    let root = Place::root();
    let (beds, heaps) = (root.field("worm_beds"), root.field("heaps"));
    let bed_list = request.worm_beds.as_deref().unwrap_or_default();
    let heap_list = request.heaps.as_deref().unwrap_or_default();
    if bed_list.is_empty() && heap_list.is_empty() {
        let detail = "nothing to harvest: give at least one of worm_beds and heaps";
        let refusal = crate::garden::refusal::Refusal::new(crate::garden::refusal::Reason::ExactlyOneOf, detail);
        crossing.refuse(Place::root(), refusal.allowed(["worm_beds", "heaps"]));
        return None;
    }
    crossing.unique_ids(bed_list.iter().map(|b| b.id.as_deref()), beds);
    crossing.unique_ids(heap_list.iter().map(|h| h.common().id), heaps);
    let beds: Vec<_> = bed_list.iter().enumerate().map(|(i, bed)| bed.solve(crossing, beds.index(i))).collect();
    let heaps: Vec<_> = heap_list.iter().enumerate().map(|(i, heap)| heap.solve(crossing, heaps.index(i))).collect();
    Some((beds.into_iter().collect::<Option<_>>()?, heaps.into_iter().collect::<Option<_>>()?))
}

/// What beds and heaps yield.
#[derive(Debug, Serialize, ToSchema)]
pub struct HarvestsAnswer {
    /// The program and its version.
    pub computed_with: &'static str,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// The system of units.
    #[schema(schema_with = crate::http::output::words::systems)]
    pub units: &'static str,
    /// All beds and heaps together.
    pub total: HarvestTotal,
    /// The beds, in the order of the request.
    pub worm_beds: Vec<BedOut>,
    /// The heaps, in the order of the request.
    pub heaps: Vec<HeapOut>,
    /// What was assumed.
    pub assumptions: Vec<AssumptionOut>,
    /// What to mind.
    pub cautions: Vec<CautionOut>,
}

/// All beds and heaps together.
#[derive(Debug, Serialize, ToSchema)]
pub struct HarvestTotal {
    /// Castings as they lie in beds and heaps.
    pub castings: QuantityOut,
    /// Castings once they lie in store.
    pub stored: CastingsOut,
}

/// What one bed yields. As it lies in the bed: in_bed = not_ready + castings + sieved_off.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedHarvest)]
pub struct BedOut {
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// All of it.
    pub in_bed: QuantityOut,
    /// What stays in the bed.
    pub not_ready: QuantityOut,
    /// What is taken out.
    pub ready: QuantityOut,
    /// What passes the sieve, as moist as in the bed.
    pub castings: QuantityOut,
    /// What the sieve holds back.
    pub sieved_off: QuantityOut,
    /// The castings once dried to store moisture, by dry matter.
    pub stored: CastingsOut,
    /// The rules of the cautions that this bed gives reason for.
    pub cautions: Vec<&'static str>,
}

/// What one heap holds. in_heap = not_ready + castings + sieved_off.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HeapHarvest)]
pub struct HeapOut {
    /// Its kind, echoed.
    #[schema(schema_with = crate::http::output::words::heap_kinds)]
    pub kind: &'static str,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// All of it.
    pub in_heap: QuantityOut,
    /// What is not ready.
    pub not_ready: QuantityOut,
    /// What is ready.
    pub ready: QuantityOut,
    /// What passes the sieve.
    pub castings: QuantityOut,
    /// What the sieve holds back.
    pub sieved_off: QuantityOut,
    /// The castings by mass.
    pub mass: QuantityOut,
    /// The castings in the caller's measures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_measures: Vec<QuantityOut>,
    /// The rules of the cautions that this heap gives reason for.
    pub cautions: Vec<&'static str>,
}

fn bed_out(request: &WormBedRequest, harvest: &Harvest, view: &View<'_>, cautions: Vec<&'static str>) -> BedOut {
    BedOut {
        id: request.id.clone(),
        name: request.name.clone(),
        surface_area: view.exact(Role::Area, harvest.area.unwrap_or(crate::garden::units::Area::from_base(0.0))),
        in_bed: view.exact(Role::Bulk, harvest.whole),
        not_ready: view.exact(Role::Bulk, harvest.not_ready),
        ready: view.exact(Role::Bulk, harvest.ready),
        castings: view.estimate(Role::Bulk, harvest.castings),
        sieved_off: view.estimate(Role::Bulk, harvest.sieved_off),
        stored: CastingsOut::new(view, harvest.stored, harvest.mass),
        cautions,
    }
}

fn heap_out(input: &HeapInput, harvest: &Harvest, view: &View<'_>, cautions: Vec<&'static str>) -> HeapOut {
    let common = input.common();
    HeapOut {
        kind: input.kind(),
        id: common.id.map(str::to_owned),
        name: common.name.map(str::to_owned),
        in_heap: view.exact(Role::Bulk, harvest.whole),
        not_ready: view.exact(Role::Bulk, harvest.not_ready),
        ready: view.exact(Role::Bulk, harvest.ready),
        castings: view.estimate(Role::Bulk, harvest.castings),
        sieved_off: view.estimate(Role::Bulk, harvest.sieved_off),
        mass: view.estimate(Role::Mass, harvest.mass),
        in_measures: view.in_measures(harvest.castings, Some(harvest.mass)),
        cautions,
    }
}

fn total(all: &[&Harvest], view: &View<'_>) -> HarvestTotal {
    let start: (Estimate<OfVolume>, Estimate<OfVolume>, Estimate<OfMass>) = (
        Estimate::exactly(Volume::from_litres(0.0)),
        Estimate::exactly(Volume::from_litres(0.0)),
        Estimate::exactly(Mass::from_kilograms(0.0)),
    );
    let (castings, stored, mass) = all.iter().fold(start, |(castings, stored, mass), h| {
        (castings.plus(h.castings), stored.plus(h.stored), mass.plus(h.mass))
    });
    HarvestTotal { castings: view.estimate(Role::Bulk, castings), stored: CastingsOut::new(view, stored, mass) }
}

impl Question for Harvests {
    type Request = HarvestsRequest;
    type Answer = HarvestsAnswer;
    const NAME: &'static str = "harvests";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv];

    fn samples() -> &'static [Sample] {
        SAMPLES
    }

    fn frame(request: &Self::Request) -> Frame<'_> {
        Frame { units: request.units, measures: request.measures.as_ref(), assumptions: request.assumptions.as_ref() }
    }

    fn answer(request: &Self::Request, crossing: &Crossing<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let (beds, heaps) = solve(request, crossing)?;
        let mut report = Report::of_castings();
        let mut note = |harvest: &Harvest, place: Place<'_>| {
            report.used(&harvest.assumed, place);
            report.cautions(&harvest.cautions, place)
        };
        let root = Place::root();
        let (bed_list, heap_list) = (root.field("worm_beds"), root.field("heaps"));
        let bed_requests = request.worm_beds.as_deref().unwrap_or_default().iter();
        let beds_out = bed_requests.zip(&beds).enumerate();
        let worm_beds: Vec<_> = beds_out.map(|(i, (r, h))| bed_out(r, h, view, note(h, bed_list.index(i)))).collect();
        let heaps_out = request.heaps.as_deref().unwrap_or_default().iter().zip(&heaps).enumerate();
        let heap_outs: Vec<_> =
            heaps_out.map(|(i, (r, h))| heap_out(r, h, view, note(h, heap_list.index(i)))).collect();
        let (assumptions, cautions) = report.write(crossing, view);
        let all: Vec<&Harvest> = beds.iter().chain(&heaps).collect();
        Some(HarvestsAnswer {
            computed_with: COMPUTED_WITH,
            id: request.id.clone(),
            name: request.name.clone(),
            units: view.system.as_str(),
            total: total(&all, view),
            worm_beds,
            heaps: heap_outs,
            assumptions,
            cautions,
        })
    }

    fn table(answer: &Self::Answer) -> Option<Vec<Vec<String>>> {
        let (volume, mass) = (&answer.total.stored.volume.unit, &answer.total.stored.mass.unit);
        let mut header: Vec<String> = ["row", "id", "name"].map(str::to_owned).to_vec();
        for name in ["whole", "not_ready", "ready", "castings", "sieved_off", "stored"] {
            header.push(column(name, volume));
        }
        header.extend([column("stored", mass), column("stored", mass) + "_low", column("stored", mass) + "_high"]);
        header.extend(answer.total.stored.in_measures.iter().map(|m| column("stored", &m.unit)));
        header.push("cautions".to_owned());
        let beds = answer.worm_beds.iter().map(|b| {
            let volumes = [&b.in_bed, &b.not_ready, &b.ready, &b.castings, &b.sieved_off, &b.stored.volume];
            row(("worm_bed", &b.id, &b.name), volumes, (&b.stored.mass, &b.stored.in_measures), &b.cautions)
        });
        let heaps = answer.heaps.iter().map(|h| {
            let volumes = [&h.in_heap, &h.not_ready, &h.ready, &h.castings, &h.sieved_off, &h.castings];
            row(("heap", &h.id, &h.name), volumes, (&h.mass, &h.in_measures), &h.cautions)
        });
        Some(std::iter::once(header).chain(beds).chain(heaps).collect())
    }
}

type Label<'a> = (&'a str, &'a Option<String>, &'a Option<String>);

fn row(
    (kind, id, name): Label<'_>,
    volumes: [&QuantityOut; 6],
    (mass, measures): (&QuantityOut, &[QuantityOut]),
    cautions: &[&'static str],
) -> Vec<String> {
    let mut row = vec![kind.to_owned(), id.clone().unwrap_or_default(), name.clone().unwrap_or_default()];
    row.extend(volumes.map(|q| cell(Some(q))));
    let bound = |b: Option<crate::http::output::Number>| b.unwrap_or(mass.value).to_string();
    row.extend([mass.value.to_string(), bound(mass.low), bound(mass.high)]);
    row.extend(measures.iter().map(|m| m.value.to_string()));
    row.push(cautions.join(" "));
    row
}

/// What worm beds and heaps yield
///
/// Finished beds by their depth, and heaps by their shape: what is ready, what passes the sieve, and what it comes to in
/// store. `in_bed = area x finished depth`, `ready = in_bed x ready share`, `castings = ready x sieve pass`,
/// `stored = castings x dry density in the bed / dry density in store`. All but `stored` is as moist as in the bed.
#[utoipa::path(
    tag = "harvests",
    operation_id = "calculate_harvests",
    request_body(content = HarvestsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Castings of each bed and heap", content(
            (HarvestsAnswer = "application/json"), (String = "text/csv"))),
        AskProblems,
    )
)]
#[post("/v1/harvests")]
pub async fn calculate_harvests(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Harvests>(accepted, body).await
}
