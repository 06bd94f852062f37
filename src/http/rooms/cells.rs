//! One number for a spreadsheet cell: the flat form of a question in a query.
//!
//! The query becomes the same tree as a JSON body, so that a cell and a body can never differ.

mod flat;
mod query;

use super::applications::{self, Applications};
use super::brews::{self, Brews};
use super::harvests::{self, Harvests};
use super::{Question, with_request};
use crate::garden::units::{Dimension, Estimate, Measured};
use crate::http::answer::{Accepted, text};
use crate::http::input::Crossing;
use crate::http::negotiate::Media;
use crate::http::output::quantity::{View, in_unit};
use crate::http::problem::{CellProblems, Problem};
use crate::http::wire::{FaultCode, Faults, Node, Place};
use actix_web::{HttpRequest, HttpResponse, get};
use flat::Flat;
use query::Query;
use utoipa::IntoParams;

/// The parameters of the flat form that every cell takes.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "stands for the parameters in the document")]
struct Common {
    /// The unit of the answer, or a measure; L or kg unless given.
    #[param(example = "L")]
    unit: Option<String>,
    /// A measure of yours: name and what it holds. May be repeated.
    #[param(example = "bucket:12 L")]
    measure: Option<String>,
    /// What is known better than a default: id and value. May be repeated.
    #[param(example = "castings.bulk_density:620 kg/m3")]
    assume: Option<String>,
    /// `comma` reads and writes the decimal mark as a comma.
    #[param(example = "point")]
    decimal: Option<String>,
    /// `low` or `high` answers that bound instead of the likely value.
    #[param(example = "high")]
    bound: Option<String>,
    /// `cell` answers faults as 200 with one line that begins with `# `, since spreadsheets hide the text of errors.
    #[param(example = "cell")]
    errors: Option<String>,
}

/// The parameters of a surface. Those that are given decide its kind.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "stands for the parameters in the document")]
struct SurfaceParams {
    /// How many alike.
    #[param(example = "4")]
    count: Option<String>,
    /// With width a rectangle, with band rows, with spacing planted rows.
    #[param(example = "6m")]
    length: Option<String>,
    /// Of a rectangle.
    #[param(example = "1.2 m")]
    width: Option<String>,
    /// The treated band of a row.
    #[param(example = "20cm")]
    band: Option<String>,
    /// Of a circle, or of the outside of a ring.
    #[param(example = "80 cm")]
    diameter: Option<String>,
    /// Of the hole of a ring.
    #[param(example = "20 cm")]
    inner_diameter: Option<String>,
    /// An area that was measured elsewhere.
    #[param(example = "12 m2")]
    area: Option<String>,
    /// From plant to plant.
    #[param(example = "50 cm")]
    spacing: Option<String>,
    /// Of one pot.
    #[param(example = "3 L")]
    volume: Option<String>,
    /// Of a tapered pot.
    #[param(example = "20 cm")]
    top_diameter: Option<String>,
    /// Of a tapered pot.
    #[param(example = "14 cm")]
    bottom_diameter: Option<String>,
    /// Of a tapered pot.
    #[param(example = "18 cm")]
    height: Option<String>,
    /// Fills the ground with a mix to this depth.
    #[param(example = "30 cm")]
    fill_depth: Option<String>,
    /// The kind of surface, where the fields alone should not decide.
    #[param(example = "rows")]
    surface: Option<String>,
}

/// The parameters of a rate.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "stands for the parameters in the document")]
struct RateParams {
    /// How much; its unit decides the kind.
    #[param(example = "1cm")]
    rate: String,
    /// The kind of rate; only needed to say `available_nitrogen`.
    #[param(example = "available_nitrogen")]
    rate_kind: Option<String>,
    /// The share of its depth that a layer loses by settling.
    #[param(example = "0 %")]
    settling: Option<String>,
}

/// The parameters of a worm bed.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "stands for the parameters in the document")]
struct BedParams {
    /// How deep the castings lie.
    #[param(example = "25cm")]
    finished_depth: String,
    /// The share that is ready.
    #[param(example = "80 %")]
    ready_share: String,
    /// The share that passes the sieve.
    #[param(example = "70 %")]
    sieve_pass: Option<String>,
    /// `castings` as they lie in the bed (the default), or `stored`.
    #[param(example = "stored")]
    of: Option<String>,
}

/// The parameters of a brew.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "stands for the parameters in the document")]
struct BrewParams {
    /// Water to brew with. Either this, or coverage and a surface.
    #[param(example = "200 L")]
    water: Option<String>,
    /// Tea for the surface.
    #[param(example = "2 L/m2")]
    coverage: Option<String>,
    /// Castings for water.
    #[param(example = "1:10")]
    castings_per_water: Option<String>,
    /// Tea for water added before use.
    #[param(example = "1:1")]
    dilution: Option<String>,
}

/// What a cell is computed to: a value with its bounds, and what it measures.
struct Cell {
    low: f64,
    likely: f64,
    high: f64,
    dimension: Dimension,
}

impl Cell {
    fn of<D: Measured>(estimate: Estimate<D>) -> Self {
        Self {
            low: estimate.low().base(),
            likely: estimate.likely().base(),
            high: estimate.high().base(),
            dimension: D::DIMENSION,
        }
    }
}

/// Answers a cell: reads the query, asks the question, writes one number.
fn cell<Q: Question>(
    (request, accepted): (&HttpRequest, &Accepted),
    allowed: &[&[&'static str]],
    build: impl FnOnce(&Query, &mut Flat<'_, '_>),
    pick: impl FnOnce(&Q::Request, &Crossing<'_>, &Query) -> Option<Cell>,
) -> Result<HttpResponse, Problem> {
    accepted.choose(&[Media::Text])?;
    let query = Query::read(request.query_string(), allowed);
    match number::<Q>(&query, build, pick) {
        Ok(line) => Ok(text(Media::Text, line)),
        Err(problem) if query.errors_in_cell() => Ok(text(Media::Text, problem.as_line())),
        Err(problem) => Err(problem),
    }
}

fn number<Q: Question>(
    query: &Query,
    build: impl FnOnce(&Query, &mut Flat<'_, '_>),
    pick: impl FnOnce(&Q::Request, &Crossing<'_>, &Query) -> Option<Cell>,
) -> Result<String, Problem> {
    let query_faults = Faults::query();
    query.check(&query_faults);
    if query.is_too_long() {
        return Err(query.problem(query_faults, None, &Node::Null));
    }
    let mut flat = Flat::new(query, &query_faults);
    build(query, &mut flat);
    let tree = flat.tree();
    let computed = with_request::<Q, _>(&tree, |request, crossing, view| {
        let cell = pick(request, crossing, query)?;
        written(&cell, query, (crossing, view))
    });
    match computed {
        Ok(line) if query_faults.is_empty() => Ok(line),
        Ok(_) => Err(query.problem(query_faults, None, &tree)),
        Err(faults) => Err(query.problem(query_faults, Some(faults), &tree)),
    }
}

/// The number in the unit asked for.
fn written(cell: &Cell, query: &Query, (crossing, view): (&Crossing<'_>, &View<'_>)) -> Option<String> {
    let base = match query.get("bound") {
        Some("low") => cell.low,
        Some("high") => cell.high,
        _ => cell.likely,
    };
    let unit = query.get("unit").unwrap_or(cell.dimension.base_unit());
    let number = crossing.keep(Place::root().field("unit"), in_unit(base, unit, cell.dimension, view.measures))?;
    let digits = number.to_string();
    Some(if query.get("decimal") == Some("comma") { digits.replace('.', ",") } else { digits })
}

fn application(
    request: &applications::ApplicationsRequest,
    crossing: &Crossing<'_>,
) -> Option<crate::garden::applications::Carried> {
    applications::solve(request, crossing)?.first().map(|(_, one)| one.carried)
}

/// Castings for one place, by volume
///
/// One number, digits only, for `WEBSERVICE()` and the like: `?length=6m&band=20cm&count=4&rate=1cm&unit=L` answers `48`.
/// The surface's fields decide its kind, the unit of the rate decides the rate's. An empty parameter counts as not given.
#[utoipa::path(tag = "cells", operation_id = "applications_volume", params(SurfaceParams, RateParams, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "48"), CellProblems))]
#[get("/v1/applications/volume")]
pub async fn applications_volume(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Applications>(
        (&request, &accepted),
        &[query::SURFACE, query::RATE],
        |_, flat| flat.area(),
        |request, crossing, _| application(request, crossing).map(|carried| Cell::of(carried.volume)),
    )
}

/// Castings for one place, by mass
///
/// As the volume, in kg unless a unit is given: `?length=6m&band=20cm&count=4&rate=1cm` answers `28.8`.
#[utoipa::path(tag = "cells", operation_id = "applications_mass", params(SurfaceParams, RateParams, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "28.8"), CellProblems))]
#[get("/v1/applications/mass")]
pub async fn applications_mass(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Applications>(
        (&request, &accepted),
        &[query::SURFACE, query::RATE],
        |_, flat| flat.area(),
        |request, crossing, _| application(request, crossing).map(|carried| Cell::of(carried.mass)),
    )
}

/// Castings from one finished bed
///
/// `?length=3m&width=1m&finished_depth=25cm&ready_share=80%&sieve_pass=70%` answers `420`: litres of castings as they lie in
/// the bed, or once in store with `of=stored`.
#[utoipa::path(tag = "cells", operation_id = "harvests_volume", params(SurfaceParams, BedParams, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "420"), CellProblems))]
#[get("/v1/harvests/volume")]
pub async fn harvests_volume(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Harvests>(
        (&request, &accepted),
        &[query::SURFACE, query::BED],
        |_, flat| flat.bed(),
        |request, crossing, query| {
            let (beds, _) = harvests::solve(request, crossing)?;
            let stored = query.get("of") == Some("stored");
            beds.first().map(|bed| Cell::of(if stored { bed.stored } else { bed.castings }))
        },
    )
}

/// Castings for one brew
///
/// `?water=200 L&castings_per_water=1:10` answers `20`.
#[utoipa::path(tag = "cells", operation_id = "brews_volume", params(SurfaceParams, BrewParams, Common),
    responses((status = 200, description = "The number", body = String, content_type = "text/plain", example = "20"), CellProblems))]
#[get("/v1/brews/volume")]
pub async fn brews_volume(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    cell::<Brews>(
        (&request, &accepted),
        &[query::SURFACE, query::BREW],
        |_, flat| flat.brew(),
        |request, crossing, _| brews::solve(request, crossing)?.first().map(|brew| Cell::of(brew.castings)),
    )
}

/// Keeps the code of a fault of the query in one place.
fn fault(faults: &Faults, parameter: &str, code: FaultCode, detail: String) {
    faults.push(Place::root().field(parameter), code, detail);
}
