//! What to produce so that nobody goes short: the means, and what they yield.

mod answer;
mod in_words;
mod read;
mod write;

use crate::http::input::bounded::LayerCount;
pub use answer::{AdditionalProductionOut, ChoiceOut, LaterStartOut, ProductionBatchOut, ProductionBedOut, TooLateOut};
pub(in crate::http::resources) use in_words::ground_and_worms;
pub(in crate::http::resources) use read::{PlannedProduction, ProductionRead};

use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::climate::ClimateInput;
use crate::http::input::ground::GroundInput;
use crate::http::input::price::UnitPriceInput;
use crate::http::input::quantity::MassInput;
use crate::http::resources::feeds::{GoalsRequest, HotCompostingRequest, Materials, SoakRequest};
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// What additional production may use: a feed, whose amounts are scaled together, and a bed.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct AdditionalProductionRequest {
    /// The materials of the feed, as in `POST /v1/feeds`; their amounts, `at_least` and `at_most` too, say only in which
    /// proportion they are taken, not how much there is.
    #[validate(nested)]
    pub materials: Materials,
    /// What the mix is to be like.
    #[validate(nested)]
    pub goals: Option<GoalsRequest>,
    /// How soaked materials are soaked; four days without starter unless given.
    #[validate(nested)]
    pub soak: Option<SoakRequest>,
    /// Hot composting before the worms go in.
    #[validate(nested)]
    pub hot_composting: Option<HotCompostingRequest>,
    /// The temperature of the bed. Needed in a balance; in a season that of the season unless given.
    #[validate(nested)]
    pub climate: Option<ClimateInput>,
    /// The ground of the bed; as much as the feed takes unless given.
    #[validate(nested)]
    pub ground: Option<GroundInput>,
    /// Live worms that you have; ground x the assumption `worms.stocking_density` unless given.
    pub worms: Option<MassInput>,
    /// What worms cost where they are bought, by mass; used where `worms` is not given.
    #[validate(nested)]
    pub worms_price: Option<UnitPriceInput>,
    /// How many layers; as many as are still in time unless given.
    #[validate(nested)]
    pub layers: Option<LayerCount>,
    /// The first day on which the materials are there: when the leaves fall.
    #[schema(format = Date)]
    pub materials_from: Option<String>,
    /// The first day on which the bed is free.
    #[schema(format = Date)]
    pub bed_from: Option<String>,
    /// What you know better about this feed and bed.
    pub assumptions: Option<AssumptionsInput>,
}
