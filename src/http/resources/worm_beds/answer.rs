//! The answer.

use crate::garden::beds::sizing::{HarvestDates, Limit};
use crate::http::output::enums::words;
use crate::http::output::quantity::CountOut;
use crate::http::output::{Answer, InContainers, Part, QuantityOut};
use crate::http::resources::CastingsOut;
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::resources::harvests::{
    EndOut, LayerOut, LotOut, StoppedOut, WaterOut, WithoutFeedOut, WormBedRequest,
};
use crate::http::resources::season_beds::SeasonBedRequest;
use chrono::NaiveDate;
use serde::Serialize;
use serde_json::Value;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

/// How large a bed, how many worms, and what it does.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WormBedsAnswer)]
pub struct WormBedsPart {
    /// The ground of the bed.
    pub ground: SizedGroundOut,
    /// The worms of the bed: needed, at the start, to buy.
    pub worms: SizedWormsOut,
    /// How many bins it takes, where bins are given.
    pub bins: Option<BinsNeededOut>,
    /// The feed of the bed, and the castings of it.
    pub feed: SizedFeedOut,
    /// What limits how much is eaten: `feed` (all that comes is eaten), `worms` (too few at first), `ground` (it does not carry enough worms),
    /// `warmth` (too few warm days) or `time` (`deliveries` come too late in the plan). With `castings_needed`: `ground` where that is too small for them, else `feed`.
    #[schema(schema_with = limits)]
    pub limiting_factor: &'static str,
    /// The most feed that waits at once, where some does.
    pub surplus_feed: Option<SurplusOut>,
    /// The longest time of a week or more without any warmth, in which no feed is eaten.
    pub winter: Option<WinterOut>,
    /// The plan week by week, by the likely values: feed that comes, that is eaten, and that waits; the worms.
    pub weeks: Vec<WeekOut>,
    /// What the feed is called.
    #[serde(skip)]
    #[schema(ignore)]
    pub feed_name: Option<String>,
    /// Whether equal volumes of its materials are assumed.
    #[serde(skip)]
    #[schema(ignore)]
    pub is_mix_assumed: bool,
    /// The layers to lay, where the bed is fed in layers.
    pub layers: Option<Vec<LayerOut>>,
    /// Water from layer to layer, where the bed is fed in layers.
    pub water: Option<Vec<WaterOut>>,
    /// The castings of each harvest that is ready by the last day.
    pub lots: Vec<LotOut>,
    /// With `castings_needed`: which days of the harvests are in time for them.
    #[schema(schema_with = harvest_dates)]
    pub harvest_dates: Option<&'static str>,
    /// The castings needed, in the order of their days, and what is ready by then.
    pub castings_needed: Vec<CastingsReadyOut>,
    /// What rules of thumb say, to compare with: common practice, without a source.
    pub rules_of_thumb: ThumbOut,
    /// The day on which the worms die, if one comes: the plan ends there.
    pub stopped: Option<StoppedOut>,
    /// The longest time without feed, where over 56 warm days.
    pub without_feed: Option<WithoutFeedOut>,
    /// The bed at the end.
    pub end: EndOut,
    /// This bed, to be sent on unchanged.
    pub worm_bed: WormBedOut,
}

/// The answer.
pub type WormBedsAnswer = Answer<WormBedsPart>;

impl Part for WormBedsPart {
    const EXPLAINED: &'static str = "How each figure is computed, where the request asks for it; what follows from the simulation week by week \
                                     has no formula.";
}

/// The ground of a bed.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SizedGround)]
pub struct SizedGroundOut {
    /// The ground of the bed of this plan: what is given, or with room to grow; with bins, the ground of all of them. With
    /// `castings_needed`, as much as they need, and at most what is given.
    pub bed: QuantityOut,
    /// The least ground that carries the worms needed for the feed; left out with `castings_needed`.
    pub at_least: Option<QuantityOut>,
    /// The ground on which the worms needed have room to grow; with `castings_needed`, the ground that these take.
    pub with_room: QuantityOut,
}

/// The worms of a bed.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SizedWorms)]
pub struct SizedWormsOut {
    /// Live worms that eat the feed as it comes; with `castings_needed`, those that the bed is stocked with.
    pub needed: QuantityOut,
    /// Live worms that the bed of this plan starts with.
    pub at_start: QuantityOut,
    /// The morning on which they are put in: the start, or a later day on which there is enough feed for a first layer.
    pub introduce_on: NaiveDate,
    /// How many of these to buy.
    pub to_buy: QuantityOut,
    /// How many more to buy, so that the bed eats all feed from the first day.
    pub to_buy_for_all_feed: QuantityOut,
    /// Warm days with feed until the worms are enough by themselves; left out where the ground does not carry so many.
    pub enough_after: Option<QuantityOut>,
    /// The first day from which they are enough in this plan, in which a bed takes no feed while its castings finish.
    pub enough_on: Option<NaiveDate>,
}

/// How many bins a bed takes.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BinsNeeded)]
pub struct BinsNeededOut {
    /// How many bins it takes.
    #[schema(value_type = u32)]
    pub count: CountOut,
    /// The ground of one.
    pub ground: QuantityOut,
    /// What one holds.
    pub capacity: QuantityOut,
}

/// The feed of a bed.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SizedFeed)]
pub struct SizedFeedOut {
    /// Dry matter a day, on average over the plan.
    pub dry_matter_a_day: QuantityOut,
    /// The same a week, as moist as it is fed; weeks in which the bed takes no feed count too.
    pub a_week: QuantityOut,
    /// All that is eaten in this plan.
    pub eaten: EatenOut,
    /// Warm days over all days of the plan.
    pub warm_days: QuantityOut,
    /// Castings of a year of feed that comes each week once all of it is eaten, sieved, in store.
    pub castings_a_year: Option<CastingsOut>,
    /// What the sieve holds back of them, at the moisture of the store.
    pub oversize_a_year: Option<QuantityOut>,
    /// Castings of all `deliveries` once they are eaten, also after the plan, sieved, in store.
    pub castings_of_all: Option<CastingsOut>,
    /// What the sieve holds back of these.
    pub oversize_of_all: Option<QuantityOut>,
}

/// Feed that is eaten in a plan, as moist as it is fed.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = EatenFeed)]
pub struct EatenOut {
    /// All of it by mass.
    pub mass: QuantityOut,
    /// The same by volume.
    pub volume: QuantityOut,
    /// The same in your containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// What to take of each material of a mix.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<ProductionMaterialOut>,
    /// In how many weeks the bed takes feed.
    pub weeks: usize,
}

/// Feed that waits to be eaten.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SurplusFeed)]
pub struct SurplusOut {
    /// The last day of the week at the end of which most feed waits.
    pub on: NaiveDate,
    /// How much, as moist as it is fed: what is not laid yet; fed weekly, what lies in the bed too.
    pub mass: QuantityOut,
    /// The same by volume.
    pub volume: QuantityOut,
    /// The same in your containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// What to do with feed that is too much.
    pub advice: &'static str,
}

/// A time without any warmth.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WinterWithoutWarmth)]
pub struct WinterOut {
    /// The first day that does not count as warm.
    pub start_on: NaiveDate,
    /// The last such day.
    pub end_on: NaiveDate,
    /// Feed that waits at its end, as moist as it is fed.
    pub feed_waiting: QuantityOut,
}

/// A week of the plan.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedWeek)]
pub struct WeekOut {
    /// Its first day.
    pub start_on: NaiveDate,
    /// Its last day.
    pub end_on: NaiveDate,
    /// Warm days that it counts.
    pub warm_days: QuantityOut,
    /// Feed that comes, as moist as it is fed.
    pub comes: QuantityOut,
    /// Feed that the worms eat, as moist as it is fed: what to feed in this week, where the bed is fed weekly.
    pub feed: QuantityOut,
    /// The same by volume.
    pub feed_volume: QuantityOut,
    /// The same in your containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub feed_in_containers: InContainers,
    /// What to take of each material, of at most 10 (fewer with over 5 containers).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<ProductionMaterialOut>,
    /// Feed that has come and is not eaten at the end of the week, in store or in the bed, as moist as it is fed.
    pub waiting: QuantityOut,
    /// Live worms at its end.
    pub worms: QuantityOut,
}

/// Castings needed by a day, and those that are ready by then.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CastingsReady)]
pub struct CastingsReadyOut {
    /// The day by which they are needed.
    pub by: NaiveDate,
    /// All that is needed up to this day.
    pub needed: QuantityOut,
    /// All that is ready up to this day: the value at the likely dates of the harvests. The low end has only harvests that are ready by then
    /// at their latest, the high end all that are at their earliest.
    pub ready: QuantityOut,
}

/// Rules of thumb.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RulesOfThumb)]
pub struct ThumbOut {
    /// The feed a week that they use: as it comes each week, else all of it divided by the weeks in which the bed takes feed.
    pub feed_a_week: QuantityOut,
    /// Worms that eat half their weight of moist feed a day.
    pub worms: QuantityOut,
    /// Ground for these at a pound of worms per square foot.
    pub ground: QuantityOut,
}

/// A bed to be sent on unchanged.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WormBedToSend)]
pub struct WormBedOut {
    /// For `worm_beds` of `POST /v1/seasons`.
    #[schema(value_type = SeasonBedRequest)]
    pub seasons: Value,
    /// For `worm_beds` of `POST /v1/harvests`.
    #[schema(value_type = WormBedRequest)]
    pub harvests: Value,
}

fn harvest_dates() -> RefOr<Schema> {
    words("Which days of the harvests are in time.", HarvestDates::words())
}

fn limits() -> RefOr<Schema> {
    words("What limits how much is eaten.", Limit::words())
}
