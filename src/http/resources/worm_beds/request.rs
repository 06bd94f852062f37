//! The request.

use crate::garden::beds::sizing::{Feeding, HarvestDates};
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{LayerCount, ShortText};
use crate::http::input::climate::ClimateInput;
use crate::http::input::containers::ContainerList;
use crate::http::input::enums::words;
use crate::http::input::ground::GroundInput;
use crate::http::input::list::List;
use crate::http::input::quantity::{DensityInput, MassInput, ShareInput, VolumeInput, VolumeOrMassInput};
use crate::http::limits::{MAX_DELIVERIES, MAX_NEEDS};
use crate::http::output::Texts;
use crate::http::output::quantity::System;
use crate::http::resources::harvests::{FeedDelivery, FeedParts};
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// A bed to size, by the feed that comes or by the castings needed: exactly one of `feed_supply.each_week`, `feed_supply.deliveries`, amounts
/// of `feed_supply.materials`, and `castings_needed`.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct WormBedsRequest {
    /// Your own id. With it, the events of a calendar keep their ids, so that importing it again updates them.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name for the bed; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<AssumptionsInput>,
    /// The morning on which the bed starts.
    #[schema(format = Date)]
    pub start_on: String,
    /// The last day of the plan, at most 500 weeks later; a year after `start_on`, or the last day on which castings are needed, unless given.
    #[schema(format = Date)]
    pub until: Option<String>,
    /// How warm the bed is.
    #[validate(nested)]
    pub climate: ClimateInput,
    /// What the bed is fed, and how much of it comes.
    #[validate(nested)]
    pub feed_supply: FeedToSizeRequest,
    /// The castings that are needed by dates, in place of amounts of feed; the answer says how much feed they take.
    #[validate(nested)]
    pub castings_needed: Option<CastingsNeeded>,
    /// Which day of a harvest must be in time for the castings needed: `likely`, unless given; or `latest`, the day at the slow end of the
    /// assumptions. Only with `castings_needed`.
    pub harvest_dates: Option<HarvestDatesInput>,
    /// The ground that is there; as much as is needed unless given. With `castings_needed` the bed takes no more of it than they need.
    #[validate(nested)]
    pub ground: Option<GroundInput>,
    /// Live worms that you have. With `castings_needed` the bed is planned with as many as it needs; the answer says how many you lack.
    pub worms: Option<MassInput>,
    /// Live worms that you buy for the start. Unless given: none where you have some, else as many as eat all feed from the first day. Not with
    /// `castings_needed`, for which the answer says how many to buy.
    pub worms_to_buy: Option<MassInput>,
    /// The bins that you have or may have; the answer says how many.
    #[validate(nested)]
    pub bins: Option<BinsRequest>,
    /// `weekly`: a little each week, as much as the worms eat; or `layers`: in layers of the usual depth. `weekly` unless given.
    pub feeding: Option<FeedingInput>,
    /// How many layers of the usual depth make a harvest; fed week by week, nearly as much feed. Unless given: the assumption
    /// `bed.layers_per_cycle`; with `castings_needed`, the number from 1 to 8 that takes the least ground.
    #[validate(nested)]
    pub layers_per_cycle: Option<LayerCount>,
    /// True adds how each figure is computed; for at most 200 weeks and harvests.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
}

words! {
    /// Which day of a harvest must be in time.
    HarvestDatesInput => HarvestDates {
        /// The day at the likely values.
        Likely,
        /// The day at the slow end of the assumptions.
        Latest,
    }
}

words! {
    /// How a bed is fed.
    FeedingInput => Feeding {
        /// A little each week.
        Weekly,
        /// In layers of the usual depth.
        Layers,
    }
}

/// What a bed is fed: a material of `GET /v1/materials`; or several `materials`; or its own analysis: moisture and exactly one of `ash`,
/// `organic_matter` and `carbon`, which are shares of the dry matter. And how much comes, unless castings are asked for.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct FeedToSizeRequest {
    /// A material of `GET /v1/materials`: its likely values are used where no value is given here.
    #[schema(example = "kitchen_scraps", min_length = 1)]
    pub material: Option<String>,
    /// The materials that it is mixed of, in place of the analysis. With amounts, these come each week.
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
    /// As moist as it is fed; needed where an amount of it is a volume and no `material` is named. That of a mix follows from its
    /// materials and the assumption `mix.packing` unless given. Volumes of feed in the answer use it, and layers as in `POST /v1/seasons`.
    pub bulk_density: Option<DensityInput>,
    /// How much comes on the first day of each week, as moist as it is fed: by mass, or by volume with the bulk density of the feed. In a last
    /// week that is cut short, the share of it for the days that are left.
    pub each_week: Option<VolumeOrMassInput>,
    /// How much comes on which days. It is kept, and fed as the worms eat.
    #[validate(nested)]
    pub deliveries: Option<DeliveriesToSize>,
}

/// Feed that comes on dates, of which there is at least one.
pub type DeliveriesToSize = List<FeedDelivery, 1, { MAX_DELIVERIES }>;

/// The castings needed, each with its day.
pub type CastingsNeeded = List<CastingsNeededRequest, 1, { MAX_NEEDS }>;

/// Castings that are needed by a day.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct CastingsNeededRequest {
    /// The day by which they are needed.
    #[schema(format = Date)]
    pub by: String,
    /// How much, sieved, as it lies in store: by volume, or by mass with the assumption `castings.bulk_density`.
    pub amount: VolumeOrMassInput,
}

/// Bins of one size.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct BinsRequest {
    /// What one bin holds.
    pub capacity: VolumeInput,
    /// The ground of one bin; as much as its capacity covers to the assumption `bed.max_depth` unless given. A shallower bin is
    /// filled only to its own depth.
    #[validate(nested)]
    pub ground: Option<GroundInput>,
}
