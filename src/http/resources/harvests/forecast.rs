//! Beds to come: the plan of a bed in the request.

mod answer;
pub(in crate::http::resources) mod describe;
mod end;
mod plan;
mod running;
mod work;

use crate::http::input::bounded::{CycleCount, LayerCount};
pub use answer::{ForecastOut, LayerOut, LotOut, StoppedOut, WaterOut, WithoutFeedOut};
pub use end::EndOut;
pub use plan::Plan;
pub(in crate::http::resources) use plan::analysis;
pub use running::RunningBedRequest;
pub(in crate::http::resources) use work::{BedTasks, PlannedWork};

use super::mixed::FeedParts;
use crate::http::input::climate::ClimateInput;
use crate::http::input::list::List;
use crate::http::input::quantity::{DensityInput, MassInput, ShareInput, VolumeOrMassInput};
use crate::http::input::union::union;
use crate::http::limits::MAX_DELIVERIES;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// A bed from one day to another: worms, feed and warmth.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct ForecastRequest {
    /// The morning on which it starts.
    #[schema(format = Date)]
    pub start_on: String,
    /// The last day; at most ten years later.
    #[schema(format = Date)]
    pub until: String,
    /// Live worms at the start; ground x the assumption `worms.stocking_density` unless given.
    pub worms: Option<MassInput>,
    /// Layers that are laid before the bed is left to finish; the assumption `bed.layers_per_cycle` unless given. More layers give a
    /// larger, later lot.
    #[validate(nested)]
    pub layers_per_cycle: Option<LayerCount>,
    /// The most cycles; as many as feed and days allow unless given.
    #[validate(nested)]
    pub cycles: Option<CycleCount>,
    /// What the bed is fed.
    #[validate(nested)]
    pub feed: BedFeedRequest,
    /// What is in it at the start; an empty bed unless given.
    #[validate(nested)]
    pub running: Option<RunningBedRequest>,
    /// The temperature over these days.
    #[validate(nested)]
    pub climate: ClimateInput,
}

/// The feed of a bed: a material of `GET /v1/materials`; or several `materials`; or its own analysis: moisture and exactly one of `ash`,
/// `organic_matter` and `carbon`, which are shares of the dry matter.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct BedFeedRequest {
    /// A material of `GET /v1/materials`: its likely values are used where no value is given here.
    #[schema(example = "leaves_shredded", min_length = 1)]
    pub material: Option<String>,
    /// The materials that it is mixed of, in place of all other fields but `bulk_density` and `supply`. With amounts and without
    /// `supply`, these amounts are there at the start, and no more.
    #[validate(nested)]
    pub materials: Option<FeedParts>,
    /// Its water, of the whole (wet basis). Needed without `material`.
    pub moisture: Option<ShareInput>,
    /// Ash: the share of the dry matter that is left when it burns.
    pub ash: Option<ShareInput>,
    /// The share of the dry matter that burns: 100 % less ash.
    pub organic_matter: Option<ShareInput>,
    /// Carbon: organic matter / 1.8.
    pub carbon: Option<ShareInput>,
    /// Total nitrogen (N).
    pub nitrogen: Option<ShareInput>,
    /// As moist as it is fed; needed where an amount of it is a volume and no `material` is named. That of a mix follows
    /// from its materials and the assumption `mix.packing` unless given. Given, it is how the feed lies in the bed, unless the assumption
    /// `feed.dry_bulk_density` is given too.
    pub bulk_density: Option<DensityInput>,
    /// How much comes when; as much as the layers take unless this or amounts of `materials` are given.
    #[validate(nested)]
    pub supply: Option<SupplyInput>,
}

/// As much as the layers take.
#[derive(Debug, Clone, Copy, Deserialize, Validate, ToSchema)]
pub struct FeedAsNeeded {}

/// All of it is there at the start.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct FeedAtOnce {
    /// How much, as moist as it is fed: by mass, or by volume with the bulk density of the feed.
    pub amount: VolumeOrMassInput,
}

/// It comes on dates, in any order. A layer is laid once enough for it has come; the last may be thinner.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct FeedOnDates {
    /// The deliveries of feed, each with its day and amount.
    #[validate(nested)]
    pub deliveries: Deliveries,
}

/// Feed that comes on dates; none if nothing comes any more.
pub type Deliveries = List<FeedDelivery, 0, { MAX_DELIVERIES }>;

/// Feed that comes on a date.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct FeedDelivery {
    /// The morning on which it is there.
    #[schema(format = Date)]
    pub on: String,
    /// How much, as moist as it is fed: by mass, or by volume with the bulk density of the feed.
    pub amount: VolumeOrMassInput,
}

union! {
    /// How much feed comes when.
    SupplyInput {
        "as_needed" => AsNeeded(FeedAsNeeded),
        "amount" => Amount(FeedAtOnce),
        "deliveries" => Deliveries(FeedOnDates),
    }
}
