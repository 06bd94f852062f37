//! The answer, and writing it.

use super::fed::{ComparisonOut, FromFeedOut};
use super::forecast::ForecastOut;
use super::request::{Bed, HarvestsRequest, WormBedRequest};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{TotalMass, TotalVolume};
use crate::garden::harvests::Harvest;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfMass, OfVolume};
use crate::http::input::Crossing;
use crate::http::input::bounded::echoed;
use crate::http::input::heap::HeapInput;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Answer, Echo, Part, QuantityOut, Report};
use crate::http::rooms::{CastingsOut, close};
use crate::http::wire::Place;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// What beds and heaps yield.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HarvestsAnswer)]
pub struct HarvestsPart {
    /// All beds and heaps together.
    pub total: HarvestTotal,
    /// The beds, in the order of the request.
    pub worm_beds: Vec<BedOut>,
    /// The heaps, in the order of the request.
    pub heaps: Vec<HeapOut>,
}

/// The answer.
pub type HarvestsAnswer = Answer<HarvestsPart>;

impl Part for HarvestsPart {}

/// All beds and heaps together. Nothing is counted twice: a bed given by depth and by feed counts by its depth.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
pub struct HarvestTotal {
    /// Castings as they lie in heaps and in the beds given by their depth.
    pub castings: QuantityOut,
    /// These castings once they lie in store.
    pub stored: CastingsOut,
    /// Castings of the beds given by what was fed and not by their depth, in store.
    pub from_feed: Option<CastingsOut>,
    /// Castings of all lots of all forecasts, in store.
    pub forecast: Option<CastingsOut>,
}

/// What one bed yields. Given by its depth, as it lies in the bed: in_bed = not_ready + castings + sieved_off.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedHarvest)]
pub struct BedOut {
    /// Echoed.
    pub id: Option<String>,
    /// Echoed.
    pub name: Option<String>,
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// All of it. This and the next five: where the bed is given by its depth.
    pub in_bed: Option<QuantityOut>,
    /// What stays in the bed.
    pub not_ready: Option<QuantityOut>,
    /// What is taken out.
    pub ready: Option<QuantityOut>,
    /// What passes the sieve, as moist as in the bed.
    pub castings: Option<QuantityOut>,
    /// What the sieve holds back.
    pub sieved_off: Option<QuantityOut>,
    /// The castings once dried to store moisture, by dry matter.
    pub stored: Option<CastingsOut>,
    /// What comes of what was fed.
    pub from_feed: Option<FromFeedOut>,
    /// The depth of the bed against what was fed, where both are given.
    pub comparison: Option<ComparisonOut>,
    /// What the bed is to do.
    pub forecast: Option<ForecastOut>,
    /// The rules of the cautions that this bed gives reason for.
    pub cautions: Vec<&'static str>,
}

/// What one heap holds. in_heap = not_ready + castings + sieved_off.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HeapHarvest)]
pub struct HeapOut {
    /// Its kind, echoed.
    #[schema(schema_with = crate::http::output::words::heap_kinds)]
    pub kind: &'static str,
    /// Echoed.
    pub id: Option<String>,
    /// Echoed.
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

fn bed_out(request: &WormBedRequest, bed: &Bed, view: &View<'_>, cautions: Vec<&'static str>) -> BedOut {
    let depth = bed.by_depth.as_ref();
    let estimate = |of: fn(&Harvest) -> Estimate<OfVolume>| depth.map(|it| view.estimate(Role::Bulk, of(it)));
    let fed = request.fed.as_ref().zip(bed.by_feed.as_ref());
    BedOut {
        id: echoed(request.id.as_ref()),
        name: echoed(request.name.as_ref()),
        surface_area: view.estimate(Role::Area, bed.area),
        in_bed: estimate(|harvest| harvest.whole),
        not_ready: estimate(|harvest| harvest.not_ready),
        ready: estimate(|harvest| harvest.ready),
        castings: estimate(|harvest| harvest.castings),
        sieved_off: estimate(|harvest| harvest.sieved_off),
        stored: depth.map(|harvest| CastingsOut::new(view, harvest.stored, harvest.mass)),
        from_feed: fed.map(|(list, found)| FromFeedOut::new(list, found, view)),
        comparison: bed.comparison.as_ref().map(|compared| ComparisonOut::new(compared, view)),
        forecast: bed.forecast.as_ref().map(|forecast| ForecastOut::new(forecast, view)),
        cautions,
    }
}

fn heap_out(input: &HeapInput, harvest: &Harvest, view: &View<'_>, cautions: Vec<&'static str>) -> HeapOut {
    let common = input.common();
    HeapOut {
        kind: input.kind(),
        id: common.id.map(str::to_owned),
        name: common.name.map(str::to_owned),
        in_heap: view.estimate(Role::Bulk, harvest.whole),
        not_ready: view.estimate(Role::Bulk, harvest.not_ready),
        ready: view.estimate(Role::Bulk, harvest.ready),
        castings: view.estimate(Role::Bulk, harvest.castings),
        sieved_off: view.estimate(Role::Bulk, harvest.sieved_off),
        mass: view.estimate(Role::Mass, harvest.mass),
        in_measures: view.in_measures(harvest.castings, Some(harvest.mass)),
        cautions,
    }
}

/// A volume and its mass.
type Amount = (Estimate<OfVolume>, Estimate<OfMass>);

fn sum(amounts: impl Iterator<Item = Amount>, view: &View<'_>) -> Amount {
    let (v, u) = amounts.unzip();
    (view.book().figure(TotalVolume { v }), view.book().figure(TotalMass { u }))
}

fn total(beds: &[Bed], heaps: &[Harvest], view: &View<'_>) -> HarvestTotal {
    let written = |(volume, mass): Amount| CastingsOut::new(view, volume, mass);
    let there = || beds.iter().filter_map(|bed| bed.by_depth.as_ref()).chain(heaps);
    let castings = view.book().figure(TotalVolume { v: there().map(|harvest| harvest.castings).collect() });
    let fed = || beds.iter().filter(|bed| bed.by_depth.is_none()).filter_map(|bed| bed.by_feed.as_ref());
    let lots = || beds.iter().filter_map(|bed| bed.forecast.as_ref()).flat_map(|forecast| &forecast.lots);
    let from_feed = sum(fed().map(|it| (it.yields.castings, it.yields.mass)), view);
    let forecast = sum(lots().map(|it| (it.yields.castings, it.yields.mass)), view);
    HarvestTotal {
        castings: view.estimate(Role::Bulk, castings),
        stored: written(sum(there().map(|h| (h.stored, h.mass)), view)),
        from_feed: fed().next().is_some().then(|| written(from_feed)),
        forecast: beds.iter().any(|bed| bed.forecast.is_some()).then(|| written(forecast)),
    }
}

/// Writes the answer.
pub(super) fn write(
    request: &HarvestsRequest,
    (beds, heaps): (&[Bed], &[Harvest]),
    (crossing, view): (&Crossing<'_>, &View<'_>),
) -> HarvestsAnswer {
    let mut report = Report::of_castings();
    let root = Place::root();
    let (bed_list, heap_list) = (root.field("worm_beds"), root.field("heaps"));
    let bed_requests = request.worm_beds.as_deref().unwrap_or_default().iter();
    let mut worm_beds = Vec::with_capacity(beds.len());
    for (i, (asked, bed)) in bed_requests.zip(beds).enumerate() {
        report.used(&bed.assumed, bed_list.index(i));
        let cautions = report.cautions(&bed.cautions, bed_list.index(i));
        worm_beds.push(bed_out(asked, bed, view, cautions));
    }
    let heap_requests = request.heaps.as_deref().unwrap_or_default().iter();
    let mut heap_outs = Vec::with_capacity(heaps.len());
    for (i, (asked, heap)) in heap_requests.zip(heaps).enumerate() {
        report.used(&heap.assumed, heap_list.index(i));
        let cautions = report.cautions(&heap.cautions, heap_list.index(i));
        heap_outs.push(heap_out(asked, heap, view, cautions));
    }
    let part = HarvestsPart { total: total(beds, heaps, view), worm_beds, heaps: heap_outs };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (crossing, view))
}
