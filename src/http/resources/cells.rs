//! One number for a spreadsheet cell: the flat form of a question in a query.
//!
//! The query becomes the same tree as a JSON body, so that a cell and a body can never differ.

pub(super) mod address;
pub(super) mod decimal;
pub(super) mod flat;
pub(super) mod params;
mod query;
pub(super) mod shared;

use super::Question;
use super::applications::{self, Applications};
use super::ask::with_request;
use super::brews::{self, Brews};
use super::harvests::{self, Harvests};
use crate::garden::applications::{Application, Portion, Rate as MadeRate, over_ground};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Containers, Dimension, Estimate, Measured};
use crate::http::input::RequestContext;
use crate::http::negotiate::Media;
use crate::http::output::Number;
use crate::http::output::quantity::{View, in_unit};
use crate::http::problem::{CellProblems, Problem};
use crate::http::resources::respond::{Accepted, text};
use crate::http::wire::{ErrorCode, JsonPath, Node, Pushed, RequestErrors};
use actix_web::{HttpRequest, HttpResponse, get};
use flat::{Fields, Flat};
use params::{Bed, Brew, Common, Rate, Repeat, Surface, SurfaceKind};
use query::Query;
use shared::Shared;

/// The list that an item belongs to, and the members of the item.
type Item<'q> = (&'static str, Vec<(&'static str, Node<'q>)>);

/// What a cell is computed to: a value with its bounds, and what it measures.
struct Cell {
    low: f64,
    likely: f64,
    high: f64,
    dimension: Dimension,
    /// The unit of the answer, where none is asked for.
    unit: &'static str,
    /// Where the same is answered by another measure, and which.
    elsewhere: Option<(Dimension, &'static str)>,
}

impl Cell {
    fn of<D: Measured>(estimate: Estimate<D>) -> Self {
        Self {
            low: estimate.low().base(),
            likely: estimate.likely().base(),
            high: estimate.high().base(),
            dimension: D::DIMENSION,
            unit: D::DIMENSION.base_unit(),
            elsewhere: None,
        }
    }

    /// The same by another measure is answered there.
    fn elsewhere(self, dimension: Dimension, address: &'static str) -> Self {
        Self { elsewhere: Some((dimension, address)), ..self }
    }

    /// A bound, or the likely value, in a unit. Where the unit is that of another measure, the refusal says who answers that.
    fn in_unit(&self, base: f64, unit: &str, containers: &Containers) -> Result<Number, Refusal> {
        in_unit(base, unit, self.dimension, containers).map_err(|refusal| {
            let fits = |(dimension, _): &(Dimension, _)| in_unit(base, unit, *dimension, containers).is_ok();
            match self.elsewhere.filter(fits) {
                Some((dimension, address)) => {
                    let detail = format!("{}; for {} ask {address}", refusal.detail, dimension.text());
                    Refusal { detail, ..refusal }
                }
                None => refusal,
            }
        })
    }

    /// A rate that castings make.
    fn of_rate(rate: &MadeRate) -> Option<Self> {
        Some(match rate {
            MadeRate::Depth(depth) => Self { unit: "mm", ..Self::of(*depth) },
            MadeRate::VolumePerLength(volume) => Self::of(*volume),
            MadeRate::PerPlant(Portion::Volume(volume)) => Self::of(*volume),
            MadeRate::Share(share) => Self::of(*share),
            MadeRate::VolumePerArea(volume) => Self::of(*volume),
            MadeRate::MassPerArea(mass) => Self::of(*mass),
            _ => return None,
        })
    }
}

/// Answers a cell: reads the query, asks the question, writes one number.
fn cell<Q: Question>(
    (request, accepted): (&HttpRequest, &Accepted),
    own: &[&'static str],
    build: impl for<'q> FnOnce(Flat<'q, '_>) -> Item<'q>,
    pick: impl FnOnce(&Q::Request, &RequestContext<'_>, &Query) -> Option<Cell>,
) -> Result<HttpResponse, Problem> {
    accepted.choose(&[Media::Text])?;
    let query = Query::read(request.query_string(), own);
    match number::<Q>(&query, build, pick) {
        Ok(line) => Ok(text(Media::Text, line)),
        Err(problem) if query.errors_in_cell() => Ok(text(Media::Text, problem.as_line())),
        Err(problem) => Err(problem),
    }
}

fn number<Q: Question>(
    query: &Query,
    build: impl for<'q> FnOnce(Flat<'q, '_>) -> Item<'q>,
    pick: impl FnOnce(&Q::Request, &RequestContext<'_>, &Query) -> Option<Cell>,
) -> Result<String, Problem> {
    let query_faults = RequestErrors::query();
    query.check(&query_faults);
    if query.is_too_long() {
        return Err(query.problem(query_faults, None, &Node::Null));
    }
    let (containers, assumptions): (Vec<_>, Vec<_>) = (query.all("container").collect(), query.all("assume").collect());
    let shared = Shared::new((&containers, false), &assumptions, &query_faults);
    let (list, item) = build(Flat::new(query, &shared, (&query_faults, JsonPath::root())));
    let tree = shared.tree([(list, Node::list_from([Node::object_from(item)]))]);
    let computed = with_request::<Q, _>(&tree, |request, context, view| {
        let cell = pick(request, context, query)?;
        written(&cell, query, (context, view))
    });
    match computed {
        Ok(line) if query_faults.is_empty() => Ok(line),
        Ok(_) => Err(query.problem(query_faults, None, &tree)),
        Err(errors) => Err(query.problem(query_faults, Some(errors), &tree)),
    }
}

/// The number in the unit asked for.
fn written(cell: &Cell, query: &Query, (context, view): (&RequestContext<'_>, &View<'_>)) -> Option<String> {
    let base = match query.get("bound") {
        Some("low") => cell.low,
        Some("high") => cell.high,
        _ => cell.likely,
    };
    let unit = query.get("unit").unwrap_or(cell.unit);
    let number = context.keep(JsonPath::root().field("unit"), cell.in_unit(base, unit, view.containers))?;
    let digits = number.to_string();
    Some(if query.get("decimal") == Some("comma") { digits.replace('.', ",") } else { digits })
}

fn area(request: &applications::ApplicationsRequest, context: &RequestContext<'_>) -> Option<applications::SolvedArea> {
    applications::solve(request, context)?.into_iter().next()
}

/// The rate that castings make on a place: of several the first that the unit fits. Over the ground they make one by volume and one by mass.
fn rate_made(solved: &Application, unit: Option<&str>, containers: &Containers) -> Result<Cell, Refusal> {
    let mut rates = solved.rates.clone();
    if let Some(area) = solved.extent.area.filter(|_| !rates.is_empty()) {
        rates.extend(over_ground((solved.carried.volume, solved.carried.mass), area));
    }
    let rates: Vec<Cell> = rates.iter().filter_map(Cell::of_rate).collect();
    let fits = |cell: &Cell| unit.is_none_or(|unit| in_unit(cell.likely, unit, cell.dimension, containers).is_ok());
    let found = rates.iter().position(fits).unwrap_or(0);
    rates.into_iter().nth(found).ok_or_else(|| {
        let detail = "give the castings for the whole place, as in castings=60L; the answer is the rate that they make";
        Refusal::new(Reason::MissingField, detail).at("castings")
    })
}

/// The rate that castings make on one place
///
/// The inverse of the volume: `?length=6m&width=1m&castings=60L` answers `10`, the depth in mm. The unit decides between depth, volume or mass
/// over the ground (`unit=L/m2`, `unit=kg/m2`), volume along the rows (`unit=L/m`) or for each plant or pot (`unit=mL`) and share of a mix
/// (`unit=%`).
#[utoipa::path(tag = "cells", operation_id = "applications_rate", params(Surface, SurfaceKind, Rate, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "10"), CellProblems))]
#[get("/v1/applications/rate")]
pub async fn applications_rate(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Applications>(
        (&request, &accepted),
        Rate::NAMES,
        |flat| ("areas", flat.area()),
        |request, context, query| {
            let solved = area(request, context)?.application;
            let made = rate_made(&solved, query.get("unit"), &context.reader.containers);
            context.keep(JsonPath::root().field("areas").index(0), made)
        },
    )
}

/// Castings for one place, by volume
///
/// One number, digits only, for `WEBSERVICE()` and the like: `?length=6m&band_width=20cm&count=4&rate=1cm&unit=L` answers `48`.
/// The surface's fields decide its kind, the unit of the rate decides the rate's. An empty parameter counts as not given.
#[utoipa::path(tag = "cells", operation_id = "applications_volume", params(Surface, SurfaceKind, Rate, Repeat, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "48"), CellProblems))]
#[get("/v1/applications/volume")]
pub async fn applications_volume(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Applications>(
        (&request, &accepted),
        &[Rate::NAMES, Repeat::NAMES].concat(),
        |flat| ("areas", flat.area()),
        |request, context, _| {
            let volume = Cell::of(area(request, context)?.carried().volume);
            Some(volume.elsewhere(Dimension::Mass, "/v1/applications/mass"))
        },
    )
}

/// Castings for one place, by mass
///
/// As the volume, in kg unless a unit is given: `?length=6m&band_width=20cm&count=4&rate=1cm` answers `28.8`.
#[utoipa::path(tag = "cells", operation_id = "applications_mass", params(Surface, SurfaceKind, Rate, Repeat, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "28.8"), CellProblems))]
#[get("/v1/applications/mass")]
pub async fn applications_mass(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Applications>(
        (&request, &accepted),
        &[Rate::NAMES, Repeat::NAMES].concat(),
        |flat| ("areas", flat.area()),
        |request, context, _| {
            let mass = Cell::of(area(request, context)?.carried().mass);
            Some(mass.elsewhere(Dimension::Volume, "/v1/applications/volume"))
        },
    )
}

/// Castings from one finished bed
///
/// `?length=3m&width=1m&material_depth=25cm&finished_share=80%&sieve_yield=70%` answers `420`: litres of castings as they lie in
/// the bed, or once in store with `of=stored`.
#[utoipa::path(tag = "cells", operation_id = "harvests_volume", params(Surface, SurfaceKind, Bed, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "420"), CellProblems))]
#[get("/v1/harvests/volume")]
pub async fn harvests_volume(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Harvests>(
        (&request, &accepted),
        Bed::NAMES,
        |flat| ("worm_beds", flat.bed()),
        |request, context, query| {
            let (beds, _) = harvests::solve(request, context)?;
            let stored = query.get("of") == Some("stored");
            beds.first().map(|bed| Cell::of(if stored { bed.stored } else { bed.castings }))
        },
    )
}

/// Castings for one brew
///
/// `?water=200 L&castings_to_water=1:10` answers `20`.
#[utoipa::path(tag = "cells", operation_id = "brews_volume", params(Surface, SurfaceKind, Brew, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "20"), CellProblems))]
#[get("/v1/brews/volume")]
pub async fn brews_volume(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Brews>(
        (&request, &accepted),
        Brew::NAMES,
        |flat| ("brews", flat.brew()),
        |request, context, _| brews::solve(request, context)?.first().map(|brew| Cell::of(brew.castings)),
    )
}

/// Notes an error of a parameter.
fn error<'f>(errors: &'f RequestErrors, parameter: &str, code: ErrorCode, detail: String) -> Pushed<'f> {
    errors.push(JsonPath::root().field(parameter), code, detail)
}
