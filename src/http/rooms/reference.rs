//! What the service knows: units, assumptions, cautions, sources, limits. Cacheable, with an ETag.

mod cautions;
mod formulas;

pub use cautions::list_cautions;
pub use formulas::list_formulas;

use crate::garden::assumptions::{Assumed, Assumption, GivenBy, Span};
use crate::garden::cautions::Rule;
use crate::garden::dates::{MAX_SPAN_DAYS, MAX_YEAR, MIN_YEAR};
use crate::garden::units::table::{AMBIGUOUS, Atom, UNITS};
use crate::garden::units::text::{Reader, read};
use crate::garden::units::{Dimension, Measures};
use crate::http::answer::Accepted;
use crate::http::limits;
use crate::http::negotiate::Media;
use crate::http::output::quantity::{System, View};
use crate::http::output::{Number, QuantityOut, report};
use crate::http::problem::{Problem, ReferenceProblems};
use crate::http::wire::MAX_DEPTH;
use actix_web::http::header::{CACHE_CONTROL, ETAG, EntityTag, Header, IfNoneMatch};
use actix_web::{HttpRequest, HttpResponse, get};
use serde::Serialize;
use utoipa::ToSchema;

/// The units that are read.
#[derive(Debug, Serialize, ToSchema)]
pub struct UnitsAnswer {
    /// Single units.
    pub units: Vec<UnitOut>,
    /// Units that are made of others, as examples: any volume or mass over any area, and so on.
    pub compounds: Vec<CompoundOut>,
    /// Names that are refused because they stand for several units.
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
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AmbiguousUnit)]
pub struct AmbiguousOut {
    /// The names.
    pub names: Vec<&'static str>,
    /// The units that may be meant.
    pub meant: Vec<&'static str>,
}

/// The defaults.
#[derive(Debug, Serialize, ToSchema)]
pub struct AssumptionsAnswer {
    /// Every assumption that can be overridden.
    pub assumptions: Vec<DefinitionOut>,
}

/// An assumption and its default.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AssumptionDefinition)]
pub struct DefinitionOut {
    /// Its id.
    pub id: &'static str,
    /// What it means, and on which basis.
    pub meaning: &'static str,
    /// The default with its range; none where there is no default.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub default: Option<QuantityOut>,
    /// Where the default is from, or that it has no source.
    pub source: &'static str,
    /// How to measure it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub measure_it: Option<&'static str>,
}

/// Where the numbers and the rules are from.
#[derive(Debug, Serialize, ToSchema)]
pub struct SourcesAnswer {
    /// One entry for each assumption and each caution.
    pub sources: Vec<SourceOut>,
}

/// A source.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Source)]
pub struct SourceOut {
    /// `assumption`, `caution` or `units`.
    pub of: &'static str,
    /// Its id or rule.
    pub id: &'static str,
    /// The source, or that there is none.
    pub source: &'static str,
}

/// The limits.
#[derive(Debug, Serialize, ToSchema)]
pub struct LimitsAnswer {
    /// The largest body in bytes, after decompression.
    pub body_bytes: usize,
    /// The deepest nesting of lists and objects.
    pub depth: usize,
    /// The most areas, brews and demands in a list.
    pub items: u64,
    /// The most stock lots.
    pub stock: u64,
    /// The most demands of a request with a `least`.
    pub leasts: usize,
    /// The most areas, brews, beds and heaps of a request that is to be explained.
    pub explained: usize,
    /// The most steps of computing that one answer may take, at most 25 ns each, by an estimate made before. To share stock takes (lots +
    /// demands) x (100 + min(lots, demands) + 12 x priorities) x (1 + 4 if any demand is `whole` + 7 if `keep_waits` bars any lot) x (1 +
    /// 3 x demands with a `least`) steps, where each day of a tea counts as a demand.
    pub steps: u64,
    /// The most worm beds, and the most heaps.
    pub worm_beds: u64,
    /// The most measures.
    pub measures: u64,
    /// The most repeats of a shape.
    pub count: u32,
    /// The most corners of a polygon.
    pub corners: u64,
    /// The most batches of all brews of a request together.
    pub batches: usize,
    /// The most batches of one brew.
    pub batches_of_a_brew: u64,
    /// The most vessels of one brew.
    pub brewers: u32,
    /// The most additives of one brew.
    pub additives: u64,
    /// The longest name of a measure, in characters.
    pub measure_name_characters: u64,
    /// The highest price of a sack.
    #[schema(value_type = f64)]
    pub sack_price: Number,
    /// The most that a layer settles, in % of its depth.
    #[schema(value_type = f64)]
    pub settling_percent: Number,
    /// The most materials of one mix.
    pub materials: u64,
    /// The most feeds of one bed.
    pub feeds: u64,
    /// The most deliveries of feed to one bed.
    pub deliveries: u64,
    /// The most layers in one cycle of a bed.
    pub layers_per_cycle: u32,
    /// The most cycles of a bed.
    pub cycles: u32,
    /// The most layers of all forecasts of a request together.
    pub layers: usize,
    /// The most days of a series of temperatures.
    pub daily_values: u64,
    /// The longest hot stage, in days.
    pub hot_stage_days: u32,
    /// The most draws of a season, or of what to prepare.
    pub draws: i64,
    /// The most draws x (demands + lots, twice where amounts are not certain, + 8 x (beds + their harvests) + a quarter of the days of their climates + demands x lots that
    /// expire / 8) of a season, where each day of a tea counts as a demand, and draws x days on which castings are short x numbers of layers x stretches between deadly days of what to prepare.
    pub draws_of_demands_and_lots: u64,
    /// The most draws x lots of beds of a season; also the most draws x days on which castings are short x numbers of layers to
    /// choose among (8, or 1 where layers or ground are given) of what to prepare.
    pub draws_of_bed_lots: u64,
    /// The most days on which castings are short that are prepared for one by one; what is short later is added to the last.
    pub prepare_days: usize,
    /// The greatest seed of these draws.
    pub seed: i64,
    /// The greatest revision of a season.
    pub revision: i64,
    /// The longest request in the address of a season, in characters of base64url.
    pub link_characters: usize,
    /// The longest id or name, in characters.
    pub name_characters: u64,
    /// The most faults listed in one answer.
    pub faults: usize,
    /// The longest query, in bytes.
    pub query_bytes: usize,
    /// The first year.
    pub first_year: i32,
    /// The last year.
    pub last_year: i32,
    /// The longest span of dates in one request, in days.
    pub span_days: i64,
    /// The bounds of each dimension.
    pub quantities: Vec<BoundsOut>,
}

/// The bounds of a dimension.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Bounds)]
pub struct BoundsOut {
    /// The dimension.
    pub dimension: &'static str,
    /// The least value.
    #[schema(value_type = f64)]
    pub min: Number,
    /// The greatest value.
    #[schema(value_type = f64)]
    pub max: Number,
    /// The unit of both.
    pub unit: &'static str,
}

const DIMENSIONS: &[Dimension] = &[
    Dimension::Length,
    Dimension::Area,
    Dimension::Volume,
    Dimension::Mass,
    Dimension::Duration,
    Dimension::Share,
    Dimension::MassPerArea,
    Dimension::VolumePerArea,
    Dimension::VolumePerLength,
    Dimension::VolumePerPlant,
    Dimension::MassPerPlant,
    Dimension::Density,
    Dimension::Temperature,
    Dimension::TemperatureDifference,
    Dimension::FeedRate,
    Dimension::Ratio,
];

fn units() -> UnitsAnswer {
    let units = UNITS.iter().map(|unit| {
        let (dimension, base_unit) = match unit.measures {
            Atom::Of(Dimension::Share) => ("share", "1"),
            Atom::Of(dimension) => (dimension.name(), dimension.base_unit()),
            Atom::Plant => ("plant", "plant"),
        };
        UnitOut {
            symbol: unit.symbol,
            dimension,
            factor: Number::exactly(unit.factor),
            base_unit,
            spellings: unit.spellings.to_vec(),
        }
    });
    let compounds = DIMENSIONS.iter().flat_map(|dimension| {
        let made = dimension.examples().iter().filter(|symbol| symbol.contains('/'));
        made.filter_map(|symbol| {
            let one = read(&format!("1 {symbol}"), &[*dimension], &Reader::default()).ok()?;
            let base_unit = if *dimension == Dimension::Share { "1" } else { dimension.base_unit() };
            let factor = Number::exactly(one.base);
            Some(CompoundOut { symbol, dimension: dimension.name(), factor, base_unit })
        })
    });
    let ambiguous =
        AMBIGUOUS.iter().map(|(names, meant)| AmbiguousOut { names: names.to_vec(), meant: meant.to_vec() }).collect();
    UnitsAnswer { units: units.collect(), compounds: compounds.collect(), ambiguous }
}

fn assumptions() -> AssumptionsAnswer {
    let none = Measures::default();
    let view = View { system: System::Metric, measures: &none, recording: None };
    let one = |assumption: &Assumption| {
        let definition = assumption.definition();
        let default = definition.default.map(|[low, likely, high]| {
            let span = Span { low, likely, high };
            report::value(&Assumed { assumption: *assumption, span, given_by: GivenBy::Default }, &view)
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
    };
    let assumptions =
        Assumption::ALL.iter().map(|a| SourceOut { of: "assumption", id: a.id(), source: a.definition().source });
    let cautions = Rule::ALL.iter().map(|r| SourceOut { of: "caution", id: r.text().rule, source: r.text().source });
    SourcesAnswer { sources: std::iter::once(units).chain(assumptions).chain(cautions).collect() }
}

fn limits_of_all() -> LimitsAnswer {
    let quantities = DIMENSIONS.iter().map(|dimension| {
        let (min, max) = dimension.bounds();
        let scale = if *dimension == Dimension::Share { 100.0 } else { 1.0 };
        BoundsOut {
            dimension: dimension.name(),
            min: Number::rounded(min * scale),
            max: Number::rounded(max * scale),
            unit: dimension.base_unit(),
        }
    });
    LimitsAnswer {
        body_bytes: limits::MAX_BODY,
        depth: MAX_DEPTH,
        items: limits::MAX_ITEMS,
        stock: limits::MAX_STOCK,
        leasts: limits::MAX_LEASTS,
        explained: limits::MAX_EXPLAINED,
        steps: limits::MAX_STEPS,
        worm_beds: limits::MAX_BEDS,
        measures: limits::MAX_MEASURES,
        count: limits::MAX_COUNT,
        corners: limits::MAX_CORNERS,
        batches: limits::MAX_BATCHES,
        batches_of_a_brew: crate::garden::brews::MOST_BATCHES,
        brewers: limits::MAX_BREWERS,
        additives: limits::MAX_ADDITIVES,
        measure_name_characters: limits::MAX_MEASURE_NAME,
        sack_price: Number::rounded(limits::MAX_PRICE),
        settling_percent: Number::rounded(limits::MAX_SETTLING * 100.0),
        materials: limits::MAX_MATERIALS,
        feeds: limits::MAX_FEEDS,
        deliveries: limits::MAX_DELIVERIES,
        layers_per_cycle: limits::MAX_LAYERS_PER_CYCLE,
        cycles: limits::MAX_CYCLES,
        layers: limits::MAX_LAYERS,
        daily_values: limits::MAX_DAYS,
        hot_stage_days: limits::MAX_STAGE_DAYS,
        draws: limits::MAX_DRAWS,
        draws_of_demands_and_lots: limits::MAX_WORK,
        draws_of_bed_lots: limits::MAX_LOTS_DRAWN,
        prepare_days: crate::garden::balances::prepare::MOST_DATES,
        seed: limits::MAX_SEED,
        revision: limits::MAX_REVISION,
        link_characters: limits::MAX_LINK,
        name_characters: limits::MAX_NAME,
        faults: limits::MAX_FAULTS,
        query_bytes: limits::MAX_QUERY,
        first_year: MIN_YEAR,
        last_year: MAX_YEAR,
        span_days: MAX_SPAN_DAYS,
        quantities: quantities.collect(),
    }
}

/// Answers with what does not change while the program runs: with an ETag, and 304 to who has it already.
pub fn cacheable(request: &HttpRequest, media: &str, bytes: actix_web::web::Bytes) -> HttpResponse {
    // FNV-1a: the tag only has to change when the bytes do.
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3));
    // Weak: the same tag stands for the plain and the compressed bytes.
    let tag = EntityTag::new_weak(format!("{hash:016x}"));
    let known = match IfNoneMatch::parse(request) {
        Ok(IfNoneMatch::Any) => request.headers().contains_key("if-none-match"),
        Ok(IfNoneMatch::Items(tags)) => tags.iter().any(|t| t.weak_eq(&tag)),
        Err(_) => false,
    };
    let mut builder = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    builder.insert_header((CACHE_CONTROL, "public, max-age=3600")).insert_header((ETAG, tag.to_string()));
    if known { builder.finish() } else { builder.content_type(media).body(bytes) }
}

fn json<T: Serialize>((request, accepted): (&HttpRequest, &Accepted), value: &T) -> Result<HttpResponse, Problem> {
    accepted.choose(&[Media::Json])?;
    Ok(cacheable(request, "application/json", serde_json::to_vec(value).unwrap_or_default().into()))
}

/// The units that are read
///
/// Every unit with its exact factor and spellings; the list is closed for version 1.
#[utoipa::path(tag = "reference", operation_id = "list_units", security(()), responses((status = 200, description = "The units", body = UnitsAnswer), ReferenceProblems))]
#[get("/v1/units")]
pub async fn list_units(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &units())
}

/// The defaults
///
/// Every assumption with its default, range, source and how to measure it.
#[utoipa::path(tag = "reference", operation_id = "list_assumptions", security(()), responses((status = 200, description = "The assumptions", body = AssumptionsAnswer), ReferenceProblems))]
#[get("/v1/assumptions")]
pub async fn list_assumptions(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &assumptions())
}

/// Where numbers and rules are from
///
/// The source of every default and every caution, or that it has none.
#[utoipa::path(tag = "reference", operation_id = "list_sources", security(()), responses((status = 200, description = "The sources", body = SourcesAnswer), ReferenceProblems))]
#[get("/v1/sources")]
pub async fn list_sources(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &sources())
}

/// The limits
///
/// How much one request may ask, and between which bounds quantities are computed with.
#[utoipa::path(tag = "reference", operation_id = "list_limits", security(()), responses((status = 200, description = "The limits", body = LimitsAnswer), ReferenceProblems))]
#[get("/v1/limits")]
pub async fn list_limits(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &limits_of_all())
}
