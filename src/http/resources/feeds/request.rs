//! The request.

use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{CarbonRatio, CoolingDays, HotDays, ShortText, SoakDays};
use crate::http::input::climate::ClimateInput;
use crate::http::input::containers::ContainerList;
use crate::http::input::ground::GroundInput;
use crate::http::input::list::List;
use crate::http::input::piece_size::SizeInput;
use crate::http::input::price::UnitPriceInput;
use crate::http::input::quantity::{
    DensityInput, DurationInput, MassInput, ShareInput, TemperatureInput, VolumeInput, VolumeOrMassInput,
};
use crate::http::limits::MAX_MATERIALS;
use crate::http::output::Texts;
use crate::http::output::quantity::System;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Materials and goals.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct FeedsRequest {
    /// Your own id; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<AssumptionsInput>,
    /// The materials. At least one amount is fixed, or a range that begins above nothing.
    #[validate(nested)]
    pub materials: Materials,
    /// What the mix is to be like. Where a material has neither amount nor `at_most` and there is no goal, carbon to nitrogen is to be the
    /// likely value of the assumption `mix.carbon_to_nitrogen`.
    #[validate(nested)]
    pub goals: Option<GoalsRequest>,
    /// How soaked materials are soaked; four days without starter unless given.
    #[validate(nested)]
    pub soak: Option<SoakRequest>,
    /// Hot composting before the worms go in.
    #[validate(nested)]
    pub hot_composting: Option<HotCompostingRequest>,
    /// The ground of the worm bed, for layers.
    #[validate(nested)]
    pub ground: Option<GroundInput>,
    /// The climate of the bed, for the dates of the later layers; it counts with `ground` and `start_on`.
    pub climate: Option<ClimateInput>,
    /// Live worms that are put in, for these dates; ground x the assumption `worms.stocking_density` unless given.
    pub worms: Option<MassInput>,
    /// The first day of work, for dates.
    #[schema(format = Date)]
    pub start_on: Option<String>,
    /// True adds how each figure is computed.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
}

/// The materials.
pub type Materials = List<MaterialRequest, 1, { MAX_MATERIALS }>;

/// A material: from the table, or by its composition.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct MaterialRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// A material of `GET /v1/materials`, for all values that are not given. Without it, moisture, nitrogen and one of carbon,
    /// ash and carbon_to_nitrogen are needed.
    #[schema(example = "leaves_shredded", min_length = 1)]
    pub material: Option<String>,
    /// How much, by mass or volume, before any water. Without it the service chooses, between `at_least` and `at_most` where they are
    /// given, and as much as the goals take where they are not.
    pub amount: Option<VolumeOrMassInput>,
    /// The least the service may choose; nothing unless given.
    pub at_least: Option<VolumeOrMassInput>,
    /// The most the service may choose; as much as the goals take unless given.
    pub at_most: Option<VolumeOrMassInput>,
    /// What it costs where it is bought; the options of additional production count it.
    #[validate(nested)]
    pub price: Option<UnitPriceInput>,
    /// Water as a share of the moist mass (wet basis).
    pub moisture: Option<ShareInput>,
    /// Total nitrogen, as a share of the dry matter.
    pub nitrogen: Option<ShareInput>,
    /// Carbon, as a share of the dry matter. Ash is then 1 - 1.8 carbon, unless it is given too.
    pub carbon: Option<ShareInput>,
    /// Ash, as a share of the dry matter. Carbon is then (1 - ash)/1.8, unless it is given too.
    pub ash: Option<ShareInput>,
    /// Carbon over nitrogen, by mass.
    #[validate(nested)]
    pub carbon_to_nitrogen: Option<CarbonRatio>,
    /// The mass of a volume as it lies, water included.
    pub bulk_density: Option<DensityInput>,
    /// True if it is soaked with the others.
    pub soak: Option<bool>,
    /// Stirs it into its own water before mixing, as for dry manure; an empty object means 2 L per kilogram for four hours.
    #[validate(nested)]
    pub rehydrate: Option<RehydrateRequest>,
    /// How large its pieces are before any shredding: that of the table, or `medium`, unless given. Materials of different size pack
    /// closer when they are mixed.
    pub size: Option<SizeInput>,
    /// True if it is shredded, and once more after a soak; leaves, straw, wood and paper in coarse pieces are unless this says otherwise.
    pub shred: Option<bool>,
}

/// What the mix is to be like. Where not all can be met together, as few as possible are missed; in a tie the ratio is kept before the
/// moisture, and the moisture before the air.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct GoalsRequest {
    /// The carbon to nitrogen ratio of the mix.
    #[validate(nested)]
    pub carbon_to_nitrogen: Option<RatioGoal>,
    /// Water as a share of the mix (wet basis).
    pub moisture: Option<ShareInput>,
    /// The least air as a share of the volume of the mix; 20 % unless given.
    pub air_space: Option<ShareInput>,
}

/// A ratio to be met: between low and high.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct RatioGoal {
    /// The lowest acceptable value.
    #[validate(nested)]
    pub low: CarbonRatio,
    /// The highest acceptable value; the lowest unless given.
    #[validate(nested)]
    pub high: Option<CarbonRatio>,
}

/// How soaked materials are soaked.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct SoakRequest {
    /// How many days; three to five are usual.
    #[validate(nested)]
    pub days: Option<SoakDays>,
    /// Liquid starter for the water: `"40 mL/L"` is 200 mL in 5 L.
    pub starter: Option<ShareInput>,
}

/// Hot composting before the worms go in.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct HotCompostingRequest {
    /// How many days it stays hot.
    #[validate(nested)]
    pub days: HotDays,
    /// How hot the middle of the heap is, 40 to 80 C; 55 C unless given. The daily loss depends on it.
    pub temperature: Option<TemperatureInput>,
    /// Days until it is below 30 C; the assumption `mix.cooling` unless given.
    #[validate(nested)]
    pub cooling_days: Option<CoolingDays>,
}

/// Dry manure in water.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct RehydrateRequest {
    /// Water for each kilogram; 2 L unless given.
    pub water_per_kilogram: Option<VolumeInput>,
    /// How long it soaks; four hours unless given.
    pub soaking_time: Option<DurationInput>,
}
