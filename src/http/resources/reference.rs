//! What the service knows: units, assumptions, cautions, sources, limits. Cacheable, with an ETag.

mod cautions;
mod formulas;
mod limits;

pub use cautions::list_cautions;
pub use formulas::list_formulas;
pub use limits::LimitsAnswer;

use crate::garden::applications::typical::Purpose;
use crate::garden::assumptions::{Assumed, Assumption, SetBy, Span};
use crate::garden::cautions::Rule;
use crate::garden::formulas::Formula;
use crate::garden::units::table::{AMBIGUOUS, Atom, UNITS};
use crate::garden::units::text::{Reader, read};
use crate::garden::units::{Containers, Dimension};
use crate::http::etag::cacheable;
use crate::http::negotiate::Media;
use crate::http::output::quantity::{System, View};
use crate::http::output::{Number, QuantityOut, report};
use crate::http::present::options::refuse_all;
use crate::http::problem::{ListProblems, Problem};
use crate::http::resources::respond::Accepted;
use actix_web::{HttpRequest, HttpResponse, get};
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// The units that are read.
#[derive(Debug, Serialize, ToSchema)]
pub struct UnitsAnswer {
    /// The single units, such as L or m2.
    pub units: Vec<UnitOut>,
    /// Units that are made of others, as examples: any volume or mass over any area, and so on.
    pub compounds: Vec<CompoundOut>,
    /// Names that are refused because they mean several units, unless `"units": "us"` says which is meant.
    pub ambiguous: Vec<AmbiguousOut>,
}

/// A unit.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Unit)]
pub struct UnitOut {
    /// As it is written.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: &'static str,
    /// Base units in one of it; exact.
    #[schema(value_type = f64)]
    pub factor: Number,
    /// The base unit.
    pub base_unit: &'static str,
    /// Other spellings, read in any case.
    pub spellings: Vec<&'static str>,
}

/// A unit made of others.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CompoundUnit)]
pub struct CompoundOut {
    /// As it is written.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: &'static str,
    /// Base units in one of it.
    #[schema(value_type = f64)]
    pub factor: Number,
    /// The base unit.
    pub base_unit: &'static str,
}

/// A name for several units.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AmbiguousUnit)]
pub struct AmbiguousOut {
    /// The names that are read the same way.
    pub names: Vec<&'static str>,
    /// The units that may be meant.
    pub meant: Vec<&'static str>,
    /// The one that is meant in a request with `"units": "us"`; none where the name is refused there too.
    pub us: Option<&'static str>,
}

/// The defaults.
#[derive(Debug, Serialize, ToSchema)]
pub struct AssumptionsAnswer {
    /// Every assumption that can be overridden.
    pub assumptions: Vec<DefinitionOut>,
}

/// An assumption and its default.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AssumptionDefinition)]
pub struct DefinitionOut {
    /// The id that a request names it by.
    pub id: &'static str,
    /// What it means, and on which basis.
    pub meaning: &'static str,
    /// The default with its range; none where there is no default.
    pub default: Option<QuantityOut>,
    /// Where the default is from, or that it has no source.
    pub source: &'static str,
    /// How to measure the value yourself.
    pub measure_it: Option<&'static str>,
}

/// Where the numbers and the rules are from.
#[derive(Debug, Serialize, ToSchema)]
pub struct SourcesAnswer {
    /// One entry for the units, each assumption, each typical rate and each caution, and one for each source of a formula.
    pub sources: Vec<SourceOut>,
}

/// A source.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Source)]
pub struct SourceOut {
    /// `units`, `assumption`, `rate`, `caution` or `formula`.
    pub of: &'static str,
    /// Its id, rule or name.
    pub id: &'static str,
    /// The source, or that there is none.
    pub source: &'static str,
    /// Which parts are from memory. Everything else was read, often in a stored copy or a summary.
    pub checked: Option<&'static str>,
}

fn units() -> UnitsAnswer {
    let units = UNITS.iter().map(|unit| {
        let (dimension, base_unit) = match unit.measures {
            Atom::Of(Dimension::Share) => ("share", "1"),
            Atom::Of(dimension) => (dimension.as_str(), dimension.base_unit()),
            Atom::Plant => ("plant", "plant"),
            Atom::Conductance => ("conductance", "dS"),
        };
        UnitOut {
            symbol: unit.symbol,
            dimension,
            factor: Number::exactly(unit.factor),
            base_unit,
            spellings: unit.spellings.to_vec(),
        }
    });
    let compounds = Dimension::ALL.iter().flat_map(|dimension| {
        dimension.compounds().iter().filter_map(|symbol| {
            let one = read(&format!("1 {symbol}"), &[*dimension], &Reader::default()).ok()?;
            let base_unit = if *dimension == Dimension::Share { "1" } else { dimension.base_unit() };
            let factor = Number::exactly(one.base);
            Some(CompoundOut { symbol, dimension: dimension.as_str(), factor, base_unit })
        })
    });
    let ambiguous = AMBIGUOUS.iter().map(|entry| AmbiguousOut {
        names: entry.names.to_vec(),
        meant: entry.meant.to_vec(),
        us: entry.us,
    });
    UnitsAnswer { units: units.collect(), compounds: compounds.collect(), ambiguous: ambiguous.collect() }
}

fn assumptions() -> AssumptionsAnswer {
    let none = Containers::default();
    let view = View { system: System::Metric, containers: &none, recording: None };
    let one = |assumption: &Assumption| {
        let definition = assumption.definition();
        let default = definition.default.map(|[low, likely, high]| {
            let span = Span { low, likely, high };
            report::value(&Assumed { assumption: *assumption, span, set_by: SetBy::Default }, &view)
        });
        DefinitionOut {
            id: definition.id,
            meaning: definition.meaning,
            default,
            source: definition.source,
            measure_it: definition.measure_it,
        }
    };
    AssumptionsAnswer { assumptions: Assumption::ALL.iter().map(one).collect() }
}

fn sources() -> SourcesAnswer {
    let units = SourceOut {
        of: "units",
        id: "units",
        source: "NIST Handbook 44, Appendix C, and NIST SP 811, Appendix B: exact values, all from 1 in = 25.4 mm, 1 lb = \
                 0.45359237 kg, 1 US gal = 231 in3, 1 US bu = 2150.42 in3, 1 imp gal = 4.54609 L",
        checked: Some("areas and masses from memory"),
    };
    let assumptions = Assumption::ALL.iter().map(|a| SourceOut {
        of: "assumption",
        id: a.id(),
        source: a.definition().source,
        checked: a.checked(),
    });
    let rates = Purpose::ALL.iter().map(|one| one.typical()).map(|rate| SourceOut {
        of: "rate",
        id: rate.id,
        source: rate.source,
        checked: rate.checked,
    });
    let cautions = Rule::ALL.iter().map(|r| SourceOut {
        of: "caution",
        id: r.text().rule,
        source: r.text().source,
        checked: r.checked(),
    });
    let formulas = Formula::ALL.iter().flat_map(|f| {
        let (id, checked) = (f.definition().id, f.checked());
        f.definition().sources.iter().map(move |source| SourceOut { of: "formula", id, source, checked })
    });
    SourcesAnswer {
        sources: std::iter::once(units).chain(assumptions).chain(rates).chain(cautions).chain(formulas).collect(),
    }
}

/// A list as JSON. It has no parameters: whoever sends one would take the whole list for a part of it.
pub(super) fn json<T: Serialize>(
    (request, accepted): (&HttpRequest, &Accepted),
    value: &T,
) -> Result<HttpResponse, Problem> {
    refuse_all(request.query_string())?;
    accepted.choose(&[Media::Json])?;
    Ok(cacheable(request, "application/json", serde_json::to_vec(value).unwrap_or_default().into()))
}

/// The units that are read
///
/// Every unit with its exact factor and spellings; the list is closed for version 1.
#[utoipa::path(tag = "reference", operation_id = "list_units", security(()), responses((status = 200, description = "The units", body = UnitsAnswer), ListProblems))]
#[get("/v1/units")]
pub async fn list_units(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &units())
}

/// The defaults
///
/// Every assumption with its default, range, source and how to measure it.
#[utoipa::path(tag = "reference", operation_id = "list_assumptions", security(()), responses((status = 200, description = "The assumptions", body = AssumptionsAnswer), ListProblems))]
#[get("/v1/assumptions")]
pub async fn list_assumptions(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &assumptions())
}

/// Where numbers and rules are from
///
/// The source of every default, typical rate, caution and formula, or that it has none, and which parts are from memory.
#[utoipa::path(tag = "reference", operation_id = "list_sources", security(()), responses((status = 200, description = "The sources", body = SourcesAnswer), ListProblems))]
#[get("/v1/sources")]
pub async fn list_sources(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &sources())
}

/// The limits
///
/// How much one request may ask for, and the bounds of quantities.
#[utoipa::path(tag = "reference", operation_id = "list_limits", security(()), responses((status = 200, description = "The limits", body = LimitsAnswer), ListProblems))]
#[get("/v1/limits")]
pub async fn list_limits(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &LimitsAnswer::in_force())
}
