//! What to produce, as it goes.

use crate::http::output::QuantityOut;
use crate::http::resources::ReferenceOut;
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::resources::season_beds::SeasonBedRequest;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// Additional production for what is short by one day, and when to start it.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ProductionPlan)]
pub struct AdditionalProductionOut {
    /// The latest day on which these castings are in time for every demand.
    pub by: NaiveDate,
    /// How much is short by then, beyond what is short on earlier days. From the 24th day on the later ones are counted with it; with
    /// `ground` or `worms` of the production all days are counted with the first, since there is one bed.
    pub shortfall: QuantityOut,
    /// Whether the work follows `at_90_percent`, and not `likely`.
    #[serde(skip)]
    pub follows_90_percent: bool,
    /// As large as it has to be at the likely values, started on the last day that is in time at the likely values.
    pub likely: ProductionBatchOut,
    /// So large that 95 of 100 runs give enough, started so early that 90 of 100 give enough in time.
    pub at_90_percent: Option<ProductionBatchOut>,
    /// The likely one, started later: a few days may cost months over a winter.
    pub if_started_later: Vec<LaterStartOut>,
    /// Numbers of layers, each of the size for 90 % (the likely one without runs): more of them take less ground and fewer worms, but begin
    /// earlier. Empty where ground or layers
    /// were given.
    pub choices: Vec<ChoiceOut>,
    /// Demands that wait for these castings, within their own dates, and leave as much of the stock to those who cannot wait.
    pub can_wait: Vec<CanWaitOut>,
}

/// A bed to start.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ProductionBatch)]
pub struct ProductionBatchOut {
    /// Castings that it gives at the likely values.
    pub castings: QuantityOut,
    /// Dry matter of the feed.
    pub feed_dry_matter: QuantityOut,
    /// The mix, moist.
    pub mix: QuantityOut,
    /// What to take of each material.
    pub materials: Vec<ProductionMaterialOut>,
    /// Water for the soak, without starter.
    pub soak_water: QuantityOut,
    /// Liquid starter for the soak.
    pub starter: QuantityOut,
    /// Water for dry manure.
    pub rehydration_water: QuantityOut,
    /// Water to add when mixing.
    pub extra_water: QuantityOut,
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// The live worms that it needs.
    pub worms: QuantityOut,
    /// The layers of feed to lay.
    pub layers: u32,
    /// The last day to start; none where it is too late, or no day of the years searched is one.
    pub start_on: Option<NaiveDate>,
    /// Of the size for a chance of 90 %: the last day to begin it for an even chance; never before `start_on`.
    pub latest_start_at_50_percent: Option<NaiveDate>,
    /// The day on which the worms go in.
    pub worms_in_on: Option<NaiveDate>,
    /// The day on which the castings are ready at the likely values; none where it is too late.
    pub ready_on: Option<NaiveDate>,
    /// Set where it cannot be in time.
    pub too_late: Option<TooLateOut>,
    /// The bed as a request has it: among the `worm_beds` of a season with the same climate it closes the shortfall,
    /// but for crops that wait after raw manure where `enforce_application_to_harvest_interval` is asked for: say of the bed what `manure` it was fed.
    #[schema(value_type = Option<SeasonBedRequest>)]
    pub worm_bed: Option<ProductionBedOut>,
}

/// Why it cannot be in time, and when it could be.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TooLate)]
pub struct TooLateOut {
    /// What prevents an earlier start.
    #[schema(schema_with = crate::http::output::enums::limiting_factors)]
    pub limiting_factor: &'static str,
    /// The first day on which the work can start.
    pub first_start_on: Option<NaiveDate>,
    /// The day on which the castings are then ready; none where that is not within a year or the worms die before.
    pub ready_on: Option<NaiveDate>,
    /// The ground that would hold the feed, where the ground given does not.
    pub area_needed: Option<QuantityOut>,
}

/// A later start.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LaterStart)]
pub struct LaterStartOut {
    /// How many days later.
    pub days: u32,
    /// The day on which the work starts.
    pub start_on: NaiveDate,
    /// The castings are ready; none where that is not within a year or the worms die before.
    pub ready_on: Option<NaiveDate>,
    /// How many days after the day by which they are short.
    pub days_late: Option<i64>,
}

/// A number of layers.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LayerChoice)]
pub struct ChoiceOut {
    /// How many layers of feed there are.
    pub layers: u32,
    /// The ground that it takes.
    pub surface_area: QuantityOut,
    /// The worms that go in.
    pub worms: QuantityOut,
    /// The last day to begin at the likely values; none where it is too late.
    pub start_on: Option<NaiveDate>,
    /// The last day to begin for a chance of 90 %.
    pub latest_start_at_90_percent: Option<NaiveDate>,
    /// The last day to begin for an even chance.
    pub latest_start_at_50_percent: Option<NaiveDate>,
    /// True if it is too late for that at the likely values.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub too_late: bool,
}

/// A demand that can be served later.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CanWait)]
pub struct CanWaitOut {
    /// The demand that can wait.
    pub demand: ReferenceOut,
    /// Castings that it leaves to the short ones.
    pub amount: QuantityOut,
}

/// A bed as a request has it.
#[skip_serializing_none]
#[derive(Debug, Serialize)]
pub struct ProductionBedOut {
    /// The ground that the bed needs.
    pub ground: ProductionGroundOut,
    /// The day on which the worms go in.
    pub start_on: NaiveDate,
    /// The live worms that it needs.
    pub worms: QuantityOut,
    /// Layers before it is left to finish.
    pub layers_per_cycle: u32,
    /// Always 1: the bed is harvested once.
    pub cycles: u32,
    /// What the bed is fed.
    pub feed: ProductionFeedOut,
    /// `none` where none of the materials is manure; else say what is known of it.
    pub manure: Option<ProductionManureOut>,
    /// The dry matter in a volume of this feed.
    pub assumptions: BTreeMap<&'static str, QuantityOut>,
}

/// States that there is no manure in the feed of a bed to start.
#[derive(Debug, Serialize)]
pub struct ProductionManureOut {
    /// Always `none`: there is no manure in it.
    pub kind: &'static str,
}

/// The ground of a bed to start.
#[derive(Debug, Serialize)]
pub struct ProductionGroundOut {
    /// Always `area`: the ground is given by its area.
    pub kind: &'static str,
    /// The area of that ground.
    pub area: QuantityOut,
}

/// The feed of a bed to start.
#[derive(Debug, Serialize)]
pub struct ProductionFeedOut {
    /// Water, wet basis.
    pub moisture: QuantityOut,
    /// Ash in the dry matter.
    pub ash: QuantityOut,
    /// Nitrogen in the dry matter.
    pub nitrogen: QuantityOut,
    /// All of it at once.
    pub supply: ProductionSupplyOut,
}

/// How much feed there is.
#[derive(Debug, Serialize)]
pub struct ProductionSupplyOut {
    /// Always `amount`: all of it is there at the start.
    pub kind: &'static str,
    /// As moist as it is fed.
    pub amount: QuantityOut,
}
