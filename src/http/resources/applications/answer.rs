//! The answer, and writing it.

use super::nutrients::NutrientsOut;
use super::places::{PlaceOut, PlacedApplication, by_place};
use super::rates::{RateOut, TypicalRateOut};
use super::request::{ApplicationsRequest, AreaRequest};
use crate::garden::applications::{Application, Dressing, Nutrients, Order};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{TotalMass, TotalVolume};
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{CountOut, Role, View};
use crate::http::output::{Answer, Echo, Part, QuantityOut, Report};
use crate::http::resources::{CastingsOut, ReferenceOut, close};
use crate::http::wire::JsonPath;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// How much each place takes, and what that carries.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ApplicationsAnswer)]
pub struct ApplicationsPart {
    /// All places together.
    pub total: TotalOut,
    /// The places, in the order of the request.
    pub areas: Vec<AreaOut>,
    /// What each place gets in a year, for areas that name their place.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<PlaceOut>,
}

/// The answer.
pub type ApplicationsAnswer = Answer<ApplicationsPart>;

impl Part for ApplicationsPart {}

/// All places together.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ApplicationsTotal)]
pub struct TotalOut {
    /// The castings needed, by volume and by mass.
    pub castings: CastingsOut,
    /// What they carry.
    pub nutrients: NutrientsOut,
}

/// What one place takes.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Area)]
pub struct AreaOut {
    /// The id that the request gave.
    pub id: Option<String>,
    /// The name that the request gave.
    pub name: Option<String>,
    /// The area of ground that gets castings.
    pub surface_area: Option<QuantityOut>,
    /// The length of all rows together.
    pub row_length: Option<QuantityOut>,
    /// Plants, where they are counted.
    #[schema(value_type = Option<u64>)]
    pub plants: Option<CountOut>,
    /// How many pots there are.
    #[schema(value_type = Option<u64>)]
    pub pots: Option<CountOut>,
    /// The volume filled with a mix.
    pub mix: Option<QuantityOut>,
    /// The depth of the layer once settled.
    pub depth: Option<QuantityOut>,
    /// The castings needed, by volume and by mass.
    pub castings: CastingsOut,
    /// The rates that they make, one of each kind that fits, where the request gives the castings for the whole place.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rates: Vec<RateOut>,
    /// The typical rate, with its range and source, where the request asks for one; its likely value was used.
    pub typical_rate: Option<TypicalRateOut>,
    /// What they carry.
    pub nutrients: NutrientsOut,
    /// The depth that brings as much phosphorus as a year's crop carries away, to compare with.
    pub phosphorus_limited_depth: Option<QuantityOut>,
    /// The depth that brings 170 kg of total nitrogen to the hectare, the yearly limit for manure nitrogen in nitrate
    /// vulnerable zones (91/676/EEC), to compare with.
    pub nitrate_limit_depth: Option<QuantityOut>,
    /// The rules of the cautions that this place gives reason for.
    pub cautions: Vec<&'static str>,
}

impl AreaOut {
    fn new(request: &AreaRequest, solved: &Application, view: &View<'_>, cautions: Vec<&'static str>) -> Self {
        let extent = &solved.extent;
        let counted = |potted| extent.plants.filter(|_| extent.potted == potted).map(CountOut::new);
        Self {
            id: echoed(request.id.as_ref()),
            name: echoed(request.name.as_ref()),
            surface_area: extent.area.map(|area| view.estimate(Role::Area, area)),
            row_length: extent.row_length.map(|length| view.estimate(Role::Length, length)),
            plants: counted(false),
            pots: counted(true),
            mix: extent.mix.map(|mix| view.estimate(Role::Bulk, mix)),
            depth: solved.depth.map(|depth| view.estimate(Role::Depth, depth)),
            castings: CastingsOut::new(view, solved.carried.volume, solved.carried.mass),
            rates: solved.rates.iter().map(|rate| RateOut::new(rate, view)).collect(),
            typical_rate: request.typical_rate(view),
            nutrients: NutrientsOut::new(view, &solved.carried.nutrients, extent.area),
            phosphorus_limited_depth: solved.phosphorus_limited_depth.map(|d| view.estimate(Role::Depth, d)),
            nitrate_limit_depth: solved.nitrate_limit_depth.map(|d| view.estimate(Role::Depth, d)),
            cautions,
        }
    }
}

fn total(solved: &[(Order, Application)], view: &View<'_>) -> TotalOut {
    let it = view.book();
    let each = || solved.iter().map(|(_, application)| &application.carried);
    let volume = it.figure(TotalVolume { v: each().map(|carried| carried.volume).collect() });
    let mass = it.figure(TotalMass { u: each().map(|carried| carried.mass).collect() });
    let nutrients = Nutrients::total(&each().map(|carried| carried.nutrients).collect::<Vec<_>>(), it);
    TotalOut { castings: CastingsOut::new(view, volume, mass), nutrients: NutrientsOut::new(view, &nutrients, None) }
}

/// The dressings of areas that name their place.
fn placed<'a>(request: &'a ApplicationsRequest, solved: &'a [(Order, Application)]) -> Vec<PlacedApplication<'a>> {
    let items = request.areas.iter().zip(solved).enumerate();
    let named = items.filter_map(|(index, (item, (_, application)))| {
        let of = ReferenceOut { index, id: echoed(item.id.as_ref()), name: echoed(item.name.as_ref()) };
        let dressing = Dressing {
            area: application.extent.area,
            volume: application.carried.volume,
            nutrients: application.carried.nutrients,
            nitrate_zone: item.nitrate_vulnerable_zone.unwrap_or(false),
        };
        let reported = application.cautions.as_slice();
        Some(PlacedApplication {
            place: item.place.as_deref()?,
            year: item.year.map(|year| year.0),
            of,
            reported,
            dressing,
        })
    });
    named.collect()
}

/// Writes the answer.
pub fn write(
    request: &ApplicationsRequest,
    solved: &[(Order, Application)],
    context: &RequestContext<'_>,
    view: &View<'_>,
) -> ApplicationsAnswer {
    let mut report = Report::of_castings();
    let root = JsonPath::root();
    let list = root.field("areas");
    let mut areas = Vec::with_capacity(solved.len());
    for (i, (item, (_, application))) in request.areas.iter().zip(solved).enumerate() {
        report.used(&application.assumed, list.index(i));
        let cautions = report.cautions(&application.cautions, list.index(i));
        areas.push(AreaOut::new(item, application, view, cautions));
    }
    let places = by_place(&placed(request, solved), (context, view), (&mut report, list));
    let part = ApplicationsPart { total: total(solved, view), areas, places };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}
