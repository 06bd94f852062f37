//! The answer, and writing it.

use super::nutrients::NutrientsOut;
use super::places::{PlaceOut, PlacedApplication, by_place, cautions_in_a_year};
use super::rates::{RateOut, TypicalRateOut};
use super::request::{ApplicationsRequest, AreaRequest, SolvedArea};
use super::salt::SaltOut;
use crate::garden::applications::repeats::{InYear, Repeated};
use crate::garden::applications::{Carried, Dressing, Nutrients};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{TotalMass, TotalVolume};
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::input::rate::RateInput;
use crate::http::output::quantity::{CountOut, Role, View};
use crate::http::output::{Answer, Echo, Part, QuantityOut, Report};
use crate::http::resources::{CastingsOut, ReferenceOut, close};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
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
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
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
    /// The depth of the layer once settled, each time.
    pub depth: Option<QuantityOut>,
    /// The day that the request gave, or the first one.
    pub on: Option<NaiveDate>,
    /// How many of these, if several.
    #[schema(value_type = Option<u64>)]
    pub count: Option<CountOut>,
    /// The castings needed, by volume and by mass; all times together where it repeats.
    pub castings: CastingsOut,
    /// The castings for each of several alike, each time.
    pub castings_each: Option<QuantityOut>,
    /// Where it repeats: how many times, on which days, and the castings each time.
    pub each_time: Option<Box<EachTimeOut>>,
    /// How many times in the year in which it goes out most often.
    #[serde(skip)]
    pub times_in_a_year: f64,
    /// The rates that they make, one of each kind that fits, where the request gives the castings for the whole place.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<RateInput>)]
    pub rates: Vec<RateOut>,
    /// The typical rate, with its range and source, where the request asks for one; its likely value was used.
    pub typical_rate: Option<Box<TypicalRateOut>>,
    /// What they carry; all times together where it repeats.
    pub nutrients: NutrientsOut,
    /// The depth that brings as much phosphorus as a year's crop carries away, to compare with.
    pub phosphorus_limited_depth: Option<QuantityOut>,
    /// The depth that brings 170 kg of total nitrogen to the hectare, the yearly limit for manure nitrogen in nitrate
    /// vulnerable zones (91/676/EEC), to compare with.
    pub nitrate_limit_depth: Option<QuantityOut>,
    /// What the castings do to the salts of the mix, each time.
    pub salt: Option<Box<SaltOut>>,
    /// The rules of the cautions that apply to this place.
    pub cautions: Vec<&'static str>,
}

/// What goes out each time.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = EachTime)]
pub struct EachTimeOut {
    /// How many times.
    #[schema(value_type = u64)]
    pub times: CountOut,
    /// On which days; none without `on`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub days: Vec<NaiveDate>,
    /// The castings each time, by volume and by mass.
    pub castings: CastingsOut,
}

impl EachTimeOut {
    fn new(repeated: &Repeated, each_time: &Carried, view: &View<'_>) -> Self {
        Self {
            times: CountOut::new(repeated.times),
            days: repeated.days.clone(),
            castings: CastingsOut::new(view, each_time.volume, each_time.mass),
        }
    }
}

impl AreaOut {
    fn new(request: &AreaRequest, area: &SolvedArea, view: &View<'_>, cautions: Vec<&'static str>) -> Self {
        let (solved, carried) = (&area.application, area.carried());
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
            on: area.on,
            count: extent.alike.map(CountOut::new),
            castings: CastingsOut::new(view, carried.volume, carried.mass),
            castings_each: extent
                .each(solved.carried.volume, view.book())
                .map(|volume| view.estimate(Role::Bulk, volume)),
            each_time: area.repeated.as_ref().map(|it| Box::new(EachTimeOut::new(it, &solved.carried, view))),
            times_in_a_year: times_in_a_year(area),
            rates: solved.rates.iter().map(|rate| RateOut::new(rate, view)).collect(),
            typical_rate: request.typical_rate(view).map(Box::new),
            nutrients: NutrientsOut::new(view, &carried.nutrients, extent.area),
            phosphorus_limited_depth: solved.phosphorus_limited_depth.map(|d| view.estimate(Role::Depth, d)),
            nitrate_limit_depth: solved.nitrate_limit_depth.map(|d| view.estimate(Role::Depth, d)),
            salt: solved.salt.map(|salt| Box::new(SaltOut::new(&salt, view))),
            cautions,
        }
    }
}

/// How many times a place is dressed in the year in which that is done most often.
fn times_in_a_year(area: &SolvedArea) -> f64 {
    let each = area.application.carried.volume.likely().litres();
    let of_year = |(_, carried): &(InYear, Carried)| (carried.volume.likely().litres() / each).round();
    area.by_year().iter().map(of_year).fold(1.0, f64::max)
}

fn total(solved: &[SolvedArea], view: &View<'_>) -> TotalOut {
    let recorder = view.book();
    let each = || solved.iter().map(SolvedArea::carried);
    let volume = recorder.figure(TotalVolume { v: each().map(|carried| carried.volume).collect() });
    let mass = recorder.figure(TotalMass { u: each().map(|carried| carried.mass).collect() });
    let nutrients = Nutrients::total(&each().map(|carried| carried.nutrients).collect::<Vec<_>>(), recorder);
    TotalOut { castings: CastingsOut::new(view, volume, mass), nutrients: NutrientsOut::new(view, &nutrients, None) }
}

/// The dressings of areas that name their place.
fn placed<'a>(request: &'a ApplicationsRequest, solved: &'a [SolvedArea]) -> Vec<PlacedApplication<'a>> {
    let items = request.areas.iter().zip(solved).enumerate();
    let named = items.filter_map(|(index, (item, area))| Some((index, item, area, item.place.as_deref()?)));
    let of_year = |(index, item, area, place): (usize, &'a AreaRequest, &'a SolvedArea, &'a str)| {
        let of_year = move |year: InYear| match (year, item.year) {
            (InYear::Calendar(year), _) => Some(Some(year)),
            (InYear::FromFirst(more), Some(first)) => Some(first.0.checked_add(i32::from(more))),
            // Where no year is known, the first of several counts: no later one has more times.
            (InYear::FromFirst(more), None) => (more == 0).then_some(None),
        };
        let placed = move |year: Option<i32>, carried: Carried| PlacedApplication {
            place,
            year,
            of: ReferenceOut { index, id: echoed(item.id.as_ref()), name: echoed(item.name.as_ref()) },
            reported: area.application.cautions.as_slice(),
            dressing: dressing(item, area, carried),
        };
        area.by_year().into_iter().filter_map(move |(year, carried)| Some(placed(of_year(year)?, carried)))
    };
    named.flat_map(of_year).collect()
}

fn dressing(item: &AreaRequest, area: &SolvedArea, carried: Carried) -> Dressing {
    Dressing {
        area: area.application.extent.area,
        volume: carried.volume,
        nutrients: carried.nutrients,
        nitrate_zone: item.nitrate_vulnerable_zone.unwrap_or(false),
    }
}

/// The cautions of an area: those of each time, and those of all times of a year. An area with a place has the latter with that place.
fn in_all(item: &AreaRequest, area: &SolvedArea, context: &RequestContext<'_>) -> Vec<Rule> {
    let mut rules = area.application.cautions.clone();
    if area.repeated.is_some() && item.place.is_none() {
        for (_, carried) in area.by_year() {
            rules.extend(cautions_in_a_year(dressing(item, area, carried), context));
        }
        rules.sort_unstable();
        rules.dedup();
    }
    rules
}

/// Writes the answer.
pub fn write(
    request: &ApplicationsRequest,
    solved: &[SolvedArea],
    context: &RequestContext<'_>,
    view: &View<'_>,
) -> ApplicationsAnswer {
    let mut report = Report::of_castings();
    let root = JsonPath::root();
    let list = root.field("areas");
    let mut areas = Vec::with_capacity(solved.len());
    for (i, (item, area)) in request.areas.iter().zip(solved).enumerate() {
        report.used(&area.application.assumed, list.index(i));
        let cautions = report.cautions(&in_all(item, area, context), list.index(i));
        areas.push(AreaOut::new(item, area, view, cautions));
    }
    let places = by_place(&placed(request, solved), (context, view), (&mut report, list));
    let part = ApplicationsPart { total: total(solved, view), areas, places };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}
