//! The answer.

use crate::http::input::piece_size::SizeInput;
use crate::http::output::quantity::CountOut;
use crate::http::output::{Answer, InContainers, Part, QuantityOut};
use crate::http::resources::harvests::LayerOut as DatedLayerOut;
use crate::http::resources::{CastingsOut, ReferenceOut};
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// The mix, its water, layers, steps and castings.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedsAnswer)]
pub struct FeedsPart {
    /// The materials, in the order of the request.
    pub materials: Vec<MaterialOut>,
    /// Water and starter.
    pub water: WaterOut,
    /// The mix of all materials, water included.
    pub mix: MixOut,
    /// Goals that these amounts cannot meet, or not with the others; the mix meets the others and comes as near to these as it can.
    pub out_of_reach: Vec<OutOfReachOut>,
    /// Where the ratio and the moisture exclude each other: the mix that meets the moisture alone.
    pub instead: Option<InsteadOut>,
    /// What hot composting leaves of the mix, moistened again.
    pub hot_composting: Option<HotCompostedOut>,
    /// The mix laid on the ground of the bed, after hot composting if there is any.
    pub layers: Option<LayersOut>,
    /// What to do, in order.
    pub steps: Vec<StepOut>,
    /// The castings to expect.
    pub castings: ExpectedOut,
}

/// The answer.
pub type FeedsAnswer = Answer<FeedsPart>;

impl Part for FeedsPart {
    const EXPLAINED: &'static str = "How each figure is computed, where the request asks for it; amounts that the service chooses, and the volumes and days of dated layers, have no formula.";
}

/// A material as it goes into the mix.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedMaterial)]
pub struct MaterialOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// The material of the table, as the request named it.
    pub material: Option<String>,
    /// True if the service chose the amount.
    pub chosen: bool,
    /// How much to take, by mass, before any water is added.
    pub mass: QuantityOut,
    /// How much to take, by volume as it lies.
    pub volume: QuantityOut,
    /// The same once it is shredded, where it is.
    pub volume_shredded: Option<QuantityOut>,
    /// The same as it is mixed: shredded, soaked, and shredded again.
    pub volume_mixed: QuantityOut,
    /// How much to take, in the caller's containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// What is left of it without its water.
    pub dry_matter: QuantityOut,
    /// Its moisture before any water is added, wet basis.
    pub moisture: QuantityOut,
    /// Carbon over nitrogen, by mass.
    pub carbon_to_nitrogen: QuantityOut,
    /// Water that soaking or rehydration adds.
    pub water_added: QuantityOut,
    /// Its moisture when it is mixed.
    pub moisture_mixed: QuantityOut,
    /// How large its pieces are when it is mixed.
    #[schema(value_type = SizeInput)]
    pub size_mixed: &'static str,
}

/// Water and starter.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedWater)]
pub struct WaterOut {
    /// Water that soaked materials take up.
    pub soak: QuantityOut,
    /// Liquid starter in it.
    pub starter: QuantityOut,
    /// Water for rehydration.
    pub rehydration: QuantityOut,
    /// Water to add when mixing.
    pub extra: QuantityOut,
    /// Water that would bring the mix to the likely `bed.moisture`, where the goals name no moisture, the mix is drier than that range, and
    /// its pores can hold that much besides air. The other figures are those of the mix without it.
    pub to_usual_moisture: Option<QuantityOut>,
}

/// The mix.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedMix)]
pub struct MixOut {
    /// The mass of the mix, water included.
    pub mass: QuantityOut,
    /// Its volume: the sum, or less where pieces of different size are mixed, since fines fill voids.
    pub volume: QuantityOut,
    /// Its volume or mass in the caller's containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// Its bulk density.
    pub bulk_density: QuantityOut,
    /// What is left of it without its water.
    pub dry_matter: QuantityOut,
    /// Its moisture, wet basis.
    pub moisture: QuantityOut,
    /// Carbon over nitrogen, by mass.
    pub carbon_to_nitrogen: QuantityOut,
    /// Total nitrogen, as a share of the dry matter.
    pub nitrogen: QuantityOut,
    /// The share of air in its volume.
    pub air_space: QuantityOut,
}

/// A goal that cannot be met.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OutOfReach)]
pub struct OutOfReachOut {
    /// `carbon_to_nitrogen`, `moisture` or `air_space`.
    #[schema(schema_with = crate::http::output::enums::goals)]
    pub goal: &'static str,
    /// The goal, as the request gives it.
    pub wanted: QuantityOut,
    /// What the mix has: the nearest that can be had, or 1 % farther where that saves more than 1 % of the material.
    pub nearest: QuantityOut,
    /// How far the mix is from the goal.
    pub by: QuantityOut,
    /// True if it could be met without the other goals: all cannot hold at once.
    pub without_the_other: bool,
    /// The same as a sentence.
    pub text: String,
    /// The kind of material that would help. `carbon_rich`, `nitrogen_rich`, `dry` or `coarse`.
    #[schema(schema_with = crate::http::output::enums::remedies)]
    pub remedy: &'static str,
    /// Materials of the table that would do.
    pub would_do: Vec<&'static str>,
}

/// The mix that meets the moisture but not the ratio.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = InsteadMix)]
pub struct InsteadOut {
    /// The mass of each material, in the order of the request.
    pub materials: Vec<QuantityOut>,
    /// Water to add when mixing.
    pub extra_water: QuantityOut,
    /// The carbon to nitrogen ratio of that mix.
    pub carbon_to_nitrogen: QuantityOut,
    /// The moisture of that mix, wet basis.
    pub moisture: QuantityOut,
}

/// A mix after hot composting.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HotComposted)]
pub struct HotCompostedOut {
    /// Dry matter that is lost: organic matter, since ash stays.
    pub dry_matter_lost: QuantityOut,
    /// Carbon that is lost.
    pub carbon_lost: QuantityOut,
    /// Nitrogen that is lost, most of it as ammonia.
    pub nitrogen_lost: QuantityOut,
    /// Dry matter that is left.
    pub dry_matter: QuantityOut,
    /// The volume that is left.
    pub volume: QuantityOut,
    /// Carbon over nitrogen of what is left.
    pub carbon_to_nitrogen: QuantityOut,
    /// Water that evaporates.
    pub water_evaporated: QuantityOut,
    /// Water to add meanwhile and at the end, so that it is as moist as the mix was.
    pub water_to_add: QuantityOut,
    /// Its moisture then, wet basis; above that of the mix where less evaporates than the lost feed held.
    pub moisture: QuantityOut,
    /// Time until it is below 30 C.
    pub cooling_time: QuantityOut,
}

/// The mix laid on the bed: first + later x each + last.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedLayers)]
pub struct LayersOut {
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// The first layer.
    pub first: LayerOut,
    /// How many full later layers.
    #[schema(value_type = u32)]
    pub later: CountOut,
    /// One of these later layers, no deeper than `bed.fresh_layer` where the feed heats up.
    pub each: LayerOut,
    /// What is left for a last, shallower one.
    pub last: Option<LayerOut>,
    /// How many layers, the first one included, are laid before the bed is as deep as it may be and must be harvested; 1,000 at most.
    pub before_harvest: u32,
    /// True if that is all of the feed.
    pub all_fit: bool,
    /// The layers after the first, each on its day, as seasons forecast them with these depths, for two years.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub dated: Vec<DatedLayerOut>,
    /// Fields that are missing for the days of the later layers.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing_for_dates: Vec<&'static str>,
    /// The day on which frost or heat kills the worms, where one comes: no layer is dated after it.
    pub worms_die_on: Option<NaiveDate>,
    /// What to do with a last layer that is too thin to spread; the step of the first layer says it.
    #[serde(skip)]
    #[schema(ignore)]
    pub thin_last: Option<String>,
}

/// One layer.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedLayer)]
pub struct LayerOut {
    /// How deep the layer is when fresh.
    pub depth: QuantityOut,
    /// How much of the mix.
    pub volume: QuantityOut,
}

/// A step of the work.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedStep)]
pub struct StepOut {
    /// What is done.
    #[schema(schema_with = crate::http::output::enums::steps)]
    pub kind: &'static str,
    /// Whether it is done for each layer by itself.
    #[serde(skip)]
    #[schema(ignore)]
    pub is_by_layer: bool,
    /// What to do in this step.
    pub text: String,
    /// Where the rule is from.
    pub source: &'static str,
    /// Days after the start on which it begins.
    pub starts_day: u32,
    /// Days after the start on which it ends.
    pub ends_day: u32,
    /// The date on which it begins.
    pub starts_on: Option<NaiveDate>,
    /// The date on which it ends.
    pub ends_on: Option<NaiveDate>,
    /// Which materials; all of them where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<ReferenceOut>,
}

/// The castings to expect.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ExpectedCastings)]
pub struct ExpectedOut {
    /// Dry matter of the feed when the worms get it.
    pub dry_matter_in: QuantityOut,
    /// Dry matter that is left, before the sieve.
    pub dry_matter_out: QuantityOut,
    /// Castings in the bed, before the sieve.
    pub in_bed: QuantityOut,
    /// Their moisture there.
    pub bed_moisture: QuantityOut,
    /// Sieved castings in store.
    pub stored: CastingsOut,
    /// Their moisture there.
    pub store_moisture: QuantityOut,
    /// Nitrogen in the castings, before the sieve.
    pub nitrogen: QuantityOut,
    /// Carbon over nitrogen.
    pub carbon_to_nitrogen: QuantityOut,
}
