//! The request.

use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{FeedingNumber, Seed, ShortText};
use crate::http::input::climate::ClimateInput;
use crate::http::input::containers::ContainerList;
use crate::http::input::ground::GroundInput;
use crate::http::input::list::List;
use crate::http::input::quantity::{DensityInput, MassInput, ShareInput, VolumeInput, VolumeOrMassInput};
use crate::http::limits::{MAX_DELIVERIES, MAX_OBSERVATIONS, MAX_RECORDS};
use crate::http::output::Texts;
use crate::http::output::quantity::System;
use crate::http::resources::Named;
use crate::http::resources::harvests::{FeedDelivery, FeedParts};
use crate::http::resources::seasons::SeasonsRequest;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Records of beds that were fed and harvested. What they say about the assumptions comes back as a block for later requests.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct CalibrationsRequest {
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
    /// What you know better than the defaults, by the id of the assumption: the ranges before the records. One value without a range is known,
    /// and no record moves it. A block that records gave has no place here: they would count twice. Give all records in one request.
    pub assumptions: Option<AssumptionsInput>,
    /// The temperature of the beds that have none of their own.
    #[validate(nested)]
    pub climate: Option<ClimateInput>,
    /// What the feed is made of, for beds that have none of their own.
    #[validate(nested)]
    pub feed: Option<RecordedFeedRequest>,
    /// The beds with what was done and observed. Their dates lie at most ten years apart. Together they are at most about 200
    /// parts, fewer where a season is compared: each feeding and each harvest is one, each observation and each bed two, and each 40 days
    /// of each climate one. Sum up feedings of a week or a month where there are more.
    #[validate(nested)]
    pub records: Records,
    /// A season, as in `POST /v1/seasons`, without `variants` and `on_error`: the answer compares it without and with the
    /// calibrated assumptions in addition to its own. What its own `assumptions` say stays: a value of its own, its own correlations, and with one
    /// of the moisture and the two bulk densities of castings all three. It is computed twice, in addition to the records: so it may have fewer
    /// `simulation_runs` than alone.
    #[validate(nested)]
    pub season: Option<SeasonsRequest>,
    /// The seed of the draws; 1 unless given. The same seed gives the same answer.
    #[validate(nested)]
    pub seed: Option<Seed>,
    /// True adds `moved_by`: which record moved which value by how much; for at most 200 observations. `explanations` has what a formula
    /// gives: the dry matter fed, the bulk density of a weighed container. What follows from draws has no formula.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
}

/// The records.
pub type Records = List<RecordRequest, 1, MAX_RECORDS>;

/// One bed: what was done with it, and what was observed. A feeding is identified by its number in `fed`, from 1.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct RecordRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// The ground of the bed.
    #[validate(nested)]
    pub ground: GroundInput,
    /// Live worms at the start; ground x the assumption `worms.stocking_density` unless given.
    pub worms: Option<MassInput>,
    /// The morning on which the worms were put in; the first day of `fed` unless given.
    #[schema(format = Date)]
    pub start_on: Option<String>,
    /// What its feed is made of; the `feed` of the request unless given.
    #[validate(nested)]
    pub feed: Option<RecordedFeedRequest>,
    /// The temperature of this bed; the `climate` of the request unless given.
    #[validate(nested)]
    pub climate: Option<ClimateInput>,
    /// What it was fed, each on the morning of its day.
    #[validate(nested)]
    pub fed: Feedings,
    /// Its harvests, each of all castings that lay in it; feed that was not yet eaten went back into the bed.
    #[validate(nested)]
    pub harvested: Option<Harvests>,
    /// Feedings that were found eaten, or not yet eaten, on a day.
    #[validate(nested)]
    pub layers_eaten: Option<LayersEaten>,
    /// Its worms, weighed on a day.
    #[validate(nested)]
    pub worms_weighed: Option<WormsWeighed>,
    /// Containers of its castings, weighed as these lie in store.
    #[validate(nested)]
    pub containers_weighed: Option<ContainersWeighed>,
}

/// What a bed was fed.
pub type Feedings = List<FeedDelivery, 1, { MAX_DELIVERIES }>;

/// The harvests of a bed.
pub type Harvests = List<HarvestedRequest, 0, MAX_OBSERVATIONS>;

/// Looks at its layers.
pub type LayersEaten = List<LayerEatenRequest, 0, MAX_OBSERVATIONS>;

/// Weighings of its worms.
pub type WormsWeighed = List<WormsWeighedRequest, 0, MAX_OBSERVATIONS>;

/// Weighed containers of its castings.
pub type ContainersWeighed = List<ContainerWeighedRequest, 0, MAX_OBSERVATIONS>;

impl Named for RecordRequest {
    fn id(&self) -> Option<&str> {
        self.id.as_deref()
    }

    fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }
}

/// What a feed is made of: a material of `GET /v1/materials`; or several `materials`, whose amounts give their proportions; or its own
/// analysis: moisture and exactly one of `ash`, `organic_matter` and `carbon`, which are shares of the dry matter.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct RecordedFeedRequest {
    /// A material of `GET /v1/materials`: its likely values are used where no value is given here.
    #[schema(example = "leaves_shredded", min_length = 1)]
    pub material: Option<String>,
    /// The materials that it is mixed of, in place of the analysis.
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
    /// materials and the assumption `mix.packing` unless given.
    pub bulk_density: Option<DensityInput>,
}

/// A harvest.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct HarvestedRequest {
    /// The morning on which it was taken out.
    #[schema(format = Date)]
    pub on: String,
    /// The castings, sieved, as they lie in store: by volume or by mass. A mass is compared as a mass.
    pub amount: VolumeOrMassInput,
    /// The day on which they were ready: dark, crumbly and dry enough to sieve and store.
    #[schema(format = Date)]
    pub ready_on: Option<String>,
    /// The share of them that passed the sieve, by volume.
    pub sieve_yield: Option<ShareInput>,
    /// Ash in their dry matter, measured.
    pub ash: Option<ShareInput>,
}

/// A feeding that was looked at: exactly one of `on` and `not_yet_on`.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct LayerEatenRequest {
    /// The number of the feeding in `fed`, from 1.
    #[validate(nested)]
    pub layer: FeedingNumber,
    /// The day on which the last of it was eaten; if you look once a week, the first look that finds it eaten.
    #[schema(format = Date)]
    pub on: Option<String>,
    /// A day on which it was not yet eaten.
    #[schema(format = Date)]
    pub not_yet_on: Option<String>,
}

/// Worms that were weighed.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct WormsWeighedRequest {
    /// The day of the weighing.
    #[schema(format = Date)]
    pub on: String,
    /// All live worms of the bed.
    pub worms: MassInput,
}

/// A container of castings that was weighed.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct ContainerWeighedRequest {
    /// Mass of the full container, such as 8.2 kg.
    pub full: MassInput,
    /// Mass of the empty container, such as 1 kg.
    pub empty: MassInput,
    /// What the container takes, such as 12 L.
    pub capacity: VolumeInput,
    /// Water of the castings, of the whole (wet basis), where it was measured.
    pub moisture: Option<ShareInput>,
}
