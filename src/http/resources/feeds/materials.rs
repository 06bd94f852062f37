//! `GET /v1/materials`: the table of feedstocks.

use crate::garden::feeds::materials::{
    ALL, DENSITY_BASIS, DRY_BASIS, MOISTURE_BASIS, Origin, SIZES_SOURCE, Size, Value,
};
use crate::http::input::piece_size::SizeInput;
use crate::http::output::Number;
use crate::http::problem::{ListProblems, Problem};
use crate::http::resources::reference::json;
use crate::http::resources::respond::Accepted;
use actix_web::{HttpRequest, HttpResponse, get};
use serde::Serialize;
use utoipa::ToSchema;

/// The feedstocks.
#[derive(Debug, Serialize, ToSchema)]
pub struct MaterialsAnswer {
    /// Every material of the table.
    pub materials: Vec<FeedstockOut>,
    /// What the size classes mean, and where they are from.
    pub sizes: Vec<SizeOut>,
    /// Where the values are from.
    pub origins: Vec<OriginOut>,
}

/// A feedstock.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Feedstock)]
pub struct FeedstockOut {
    /// The id that a request names it by.
    pub id: &'static str,
    /// Its usual name.
    pub name: &'static str,
    /// What sort it is.
    pub family: &'static str,
    /// How large its pieces are.
    #[schema(value_type = SizeInput)]
    pub size: &'static str,
    /// Water over the whole.
    pub moisture: ValueOut,
    /// Total nitrogen, as a share of the dry matter.
    pub nitrogen: ValueOut,
    /// Carbon, as a share of the dry matter.
    pub carbon: ValueOut,
    /// Ash, as a share of the dry matter.
    pub ash: ValueOut,
    /// Mass over volume as it lies at this moisture.
    pub bulk_density: ValueOut,
    /// Carbon over nitrogen at the likely values.
    #[schema(value_type = f64)]
    pub carbon_to_nitrogen: Number,
    /// A remark on the material.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub note: &'static str,
}

/// A size class.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = PieceSize)]
pub struct SizeOut {
    /// The class of its pieces.
    #[schema(value_type = SizeInput)]
    pub size: &'static str,
    /// What is meant by it.
    pub meaning: &'static str,
    /// Where the classes are from.
    pub source: &'static str,
}

/// A value with its range, basis and origin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedstockValue)]
pub struct ValueOut {
    /// The likely value.
    #[schema(value_type = f64)]
    pub value: Number,
    /// The lower bound.
    #[schema(value_type = f64)]
    pub low: Number,
    /// The upper bound.
    #[schema(value_type = f64)]
    pub high: Number,
    /// The unit of these figures.
    pub unit: &'static str,
    /// On which basis.
    pub basis: &'static str,
    /// The key of its origin.
    pub origin: &'static str,
    /// True if the range is of the same origin; false if it is an assumption.
    pub range_printed: bool,
}

/// Where values are from.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Origin)]
pub struct OriginOut {
    /// The key that the values name it by.
    pub key: &'static str,
    /// The publication or table.
    pub source: &'static str,
    /// How far it was checked.
    pub checked: &'static str,
}

fn value(value: &Value, unit: &'static str, basis: &'static str) -> ValueOut {
    let [low, likely, high] = value.range.map(Number::rounded);
    ValueOut {
        value: likely,
        low,
        high,
        unit,
        basis,
        origin: value.origin.as_str(),
        range_printed: value.range_printed,
    }
}

fn all() -> MaterialsAnswer {
    let materials = ALL.iter().map(|row| FeedstockOut {
        id: row.id,
        name: row.name,
        family: row.family.as_str(),
        size: row.size.as_str(),
        moisture: value(&row.moisture, "%", MOISTURE_BASIS),
        nitrogen: value(&row.nitrogen, "%", DRY_BASIS),
        carbon: value(&row.carbon, "%", DRY_BASIS),
        ash: value(&row.ash, "%", DRY_BASIS),
        bulk_density: value(&row.bulk_density, "kg/m3", DENSITY_BASIS),
        carbon_to_nitrogen: Number::rounded(row.carbon_to_nitrogen()),
        note: row.note,
    });
    let origins = Origin::ALL.iter().map(|o| OriginOut { key: o.as_str(), source: o.source(), checked: o.checked() });
    let sizes = Size::ALL.iter().map(|it| SizeOut { size: it.as_str(), meaning: it.text(), source: SIZES_SOURCE });
    MaterialsAnswer { materials: materials.collect(), sizes: sizes.collect(), origins: origins.collect() }
}

/// The feedstocks
///
/// Leaves, grass, scraps, straw, wood, paper and manures: moisture, nitrogen, carbon and bulk density, each with its range,
/// basis and origin, and how far that was checked. Rows whose printed nitrogen and ratio do not belong together are entered
/// again from carbon, with a note.
#[utoipa::path(tag = "reference", operation_id = "list_materials", security(()),
    responses((status = 200, description = "The materials", body = MaterialsAnswer), ListProblems))]
#[get("/v1/materials")]
pub async fn list_materials(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &all())
}
