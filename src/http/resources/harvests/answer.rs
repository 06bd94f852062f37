//! The answer, and writing it.

use super::fed::{ComparisonOut, FromFeedOut};
use super::forecast::ForecastOut;
use super::request::{Bed, HarvestsRequest, Heap};
use crate::garden::beds::{HarvestEstimates, Stored, Total};
use crate::garden::harvests::Harvest;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfVolume;
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Answer, Echo, InContainers, Part, QuantityOut, Report};
use crate::http::present::words::name_of;
use crate::http::resources::{CastingsOut, close};
use crate::http::wire::JsonPath;
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
    /// Castings of all lots of all forecasts, in store. The low end is without harvests that may be ready after the last day of their
    /// forecast.
    pub forecast: Option<CastingsOut>,
}

/// What one bed yields. Given by its depth, as it lies in the bed: in_bed = unfinished + castings + oversize.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedHarvest)]
pub struct BedOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// All of it. This and the next five: where the bed is given by its depth.
    pub in_bed: Option<QuantityOut>,
    /// What stays in the bed.
    pub unfinished: Option<QuantityOut>,
    /// What is taken out.
    pub finished: Option<QuantityOut>,
    /// What passes the sieve, as moist as in the bed.
    pub castings: Option<QuantityOut>,
    /// What the sieve holds back.
    pub oversize: Option<QuantityOut>,
    /// The castings once dried to store moisture, by dry matter.
    pub stored: Option<CastingsOut>,
    /// The castings from what was fed.
    pub from_feed: Option<FromFeedOut>,
    /// The depth of the bed against what was fed, where both are given.
    pub comparison: Option<ComparisonOut>,
    /// What the bed is to do.
    pub forecast: Option<ForecastOut>,
    /// Whether its worms are put in on the first day of the forecast: a running bed has them.
    #[serde(skip)]
    #[schema(ignore)]
    pub is_new: bool,
    /// What its feed to come is called.
    #[serde(skip)]
    #[schema(ignore)]
    pub feed: Option<String>,
    /// The rules of the cautions that apply to this bed.
    pub cautions: Vec<&'static str>,
}

impl BedOut {
    /// What it is called, at its place in the list.
    pub fn called(&self, index: usize) -> String {
        name_of(self.name.as_deref(), self.id.as_deref(), "worm bed", index)
    }
}

/// What one heap holds. in_heap = unfinished + castings + oversize.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HeapHarvest)]
pub struct HeapOut {
    /// Its kind, echoed.
    #[schema(schema_with = crate::http::output::enums::heap_kinds)]
    pub kind: &'static str,
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// Everything in the heap.
    pub in_heap: QuantityOut,
    /// The part that is not ready.
    pub unfinished: QuantityOut,
    /// The part that is ready.
    pub finished: QuantityOut,
    /// The castings that pass the sieve.
    pub castings: QuantityOut,
    /// What the sieve holds back.
    pub oversize: QuantityOut,
    /// The castings by mass.
    pub mass: QuantityOut,
    /// The castings in the caller's containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// The rules of the cautions that apply to this heap.
    pub cautions: Vec<&'static str>,
}

fn bed_out(Bed { asked, area, ways, collected }: &Bed<'_>, view: &View<'_>, cautions: Vec<&'static str>) -> BedOut {
    let depth = ways.by_depth.as_ref();
    let estimate = |of: fn(&Harvest) -> Estimate<OfVolume>| depth.map(|it| view.estimate(Role::Bulk, of(it)));
    let fed = asked.fed.as_ref().zip(ways.by_feed.as_ref());
    BedOut {
        id: echoed(asked.id.as_ref()),
        name: echoed(asked.name.as_ref()),
        surface_area: view.estimate(Role::Area, *area),
        in_bed: estimate(|harvest| harvest.whole),
        unfinished: estimate(|harvest| harvest.unfinished),
        finished: estimate(|harvest| harvest.ready),
        castings: estimate(|harvest| harvest.castings),
        oversize: estimate(|harvest| harvest.oversize),
        stored: depth.map(|harvest| CastingsOut::new(view, harvest.stored, harvest.mass)),
        from_feed: fed.map(|(list, found)| FromFeedOut::new(list, found, view)),
        comparison: ways.comparison.as_ref().map(|compared| ComparisonOut::new(compared, view)),
        forecast: ways.forecast.as_ref().map(|forecast| ForecastOut::new(forecast, collected, view)),
        feed: collected.name.clone(),
        is_new: asked.forecast.as_ref().is_some_and(|forecast| forecast.running.is_none()),
        cautions,
    }
}

fn heap_out(Heap { asked, harvest }: &Heap<'_>, view: &View<'_>, cautions: Vec<&'static str>) -> HeapOut {
    let (common, bulk) = (asked.common(), |volume| view.estimate(Role::Bulk, volume));
    HeapOut {
        kind: asked.kind(),
        id: common.id.map(str::to_owned),
        name: common.name.map(str::to_owned),
        in_heap: bulk(harvest.whole),
        unfinished: bulk(harvest.unfinished),
        finished: bulk(harvest.ready),
        castings: bulk(harvest.castings),
        oversize: bulk(harvest.oversize),
        mass: view.estimate(Role::Mass, harvest.mass),
        in_containers: view.in_containers(harvest.castings, Some(harvest.mass)),
        cautions,
    }
}

fn total(total: &Total, view: &View<'_>) -> HarvestTotal {
    let written = |stored: Stored| CastingsOut::new(view, stored.volume, stored.mass);
    HarvestTotal {
        castings: view.estimate(Role::Bulk, total.castings),
        stored: written(total.stored),
        from_feed: total.from_feed.map(written),
        forecast: total.forecast.map(written),
    }
}

/// Writes the answer.
pub(super) fn write(
    request: &HarvestsRequest,
    (beds, heaps): (&[Bed<'_>], &[Heap<'_>]),
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> HarvestsAnswer {
    let mut report = Report::of_castings();
    let root = JsonPath::root();
    let (bed_list, heap_list) = (root.field("worm_beds"), root.field("heaps"));
    let bed = |(i, bed): (usize, &Bed<'_>)| {
        report.used(&bed.ways.assumed, bed_list.index(i));
        bed_out(bed, view, report.cautions(&bed.ways.cautions, bed_list.index(i)))
    };
    let worm_beds = beds.iter().enumerate().map(bed).collect();
    let heap = |(i, heap): (usize, &Heap<'_>)| {
        report.used(&heap.harvest.assumed, heap_list.index(i));
        heap_out(heap, view, report.cautions(&heap.harvest.cautions, heap_list.index(i)))
    };
    let out = heaps.iter().enumerate().map(heap).collect();
    let ways: Vec<&HarvestEstimates> = beds.iter().map(|bed| &bed.ways).collect();
    let harvests: Vec<&Harvest> = heaps.iter().map(|heap| &heap.harvest).collect();
    let all = Total::of(&ways, &harvests, view.book());
    let part = HarvestsPart { total: total(&all, view), worm_beds, heaps: out };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}
