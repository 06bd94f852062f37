//! Beds of a season, as they are asked for and as the plan has them.

use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{CycleCount, LayerCount, ShortText};
use crate::http::input::climate::ClimateInput;
use crate::http::input::ground::GroundInput;
use crate::http::input::list::List;
use crate::http::input::manure::ManureInput;
use crate::http::input::quantity::MassInput;
use crate::http::limits::MAX_BEDS;
use crate::http::output::{InContainers, QuantityOut};
use crate::http::present::words::name_of;
use crate::http::resources::Named;
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use crate::http::resources::harvests::{BedFeedRequest, ForecastOut, RunningBedRequest};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use validator::Validate;

/// The beds.
pub type SeasonBeds = List<SeasonBedRequest, 0, { MAX_BEDS }>;

/// A worm bed of a season.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct SeasonBedRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// The ground of the bed.
    #[validate(nested)]
    pub ground: GroundInput,
    /// The morning on which it starts; `as_of` unless given. A running bed takes `observed_on`.
    #[schema(format = Date)]
    pub start_on: Option<String>,
    /// Of a running bed, the morning on which `running` and `worms` were observed; `start_on`, or `as_of`, unless given. The forecast goes
    /// on from this day, whatever `as_of` is.
    #[schema(format = Date)]
    pub observed_on: Option<String>,
    /// Live worms at the start; ground x the assumption `worms.stocking_density` unless given.
    pub worms: Option<MassInput>,
    /// Layers that are laid before the bed is left to finish; the assumption `bed.layers_per_cycle` unless given. More layers give a
    /// larger, later lot.
    #[validate(nested)]
    pub layers_per_cycle: Option<LayerCount>,
    /// The most cycles; as many as feed and days allow unless given.
    #[validate(nested)]
    pub cycles: Option<CycleCount>,
    /// What it is fed; its part of `feed_supply` unless given.
    #[validate(nested)]
    pub feed: Option<BedFeedRequest>,
    /// What is in it at the start, or on `observed_on`; an empty bed unless given.
    #[validate(nested)]
    pub running: Option<RunningBedRequest>,
    /// What is known about manure in its feed; unless given it is unknown, which counts as untreated. Worms and time alone do not treat it.
    #[validate(nested)]
    pub manure: Option<ManureInput>,
    /// The temperature of this bed, where it differs from the others.
    #[validate(nested)]
    pub climate: Option<ClimateInput>,
    /// What you know better than the defaults for this bed.
    pub assumptions: Option<AssumptionsInput>,
}

impl Named for SeasonBedRequest {
    fn id(&self) -> Option<&str> {
        self.id.as_deref()
    }

    fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }
}

/// A bed of the season.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SeasonBed)]
pub struct SeasonBedOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// The ground of the bed.
    pub surface_area: QuantityOut,
    /// The day on which a running bed was observed.
    pub observed_on: Option<NaiveDate>,
    /// What happens to its castings, harvest by harvest.
    pub lots: Vec<SeasonLotOut>,
    /// What it does until the end.
    pub forecast: ForecastOut,
    /// The rules of the cautions that apply to this bed.
    pub cautions: Vec<&'static str>,
}

impl SeasonBedOut {
    /// What it is called, at its place in the list.
    pub fn called(&self, index: usize) -> String {
        name_of(self.name.as_deref(), self.id.as_deref(), "worm bed", index)
    }
}

/// One harvest of a bed in the plan: allocated + remaining = amount.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SeasonLot)]
pub struct SeasonLotOut {
    /// The cycle of the bed, counted from 1.
    pub cycle: u32,
    /// The day on which it is ready at the likely values; the plan counts on it from then on.
    pub ready_on: NaiveDate,
    /// How much the plan counts on.
    pub amount: QuantityOut,
    /// The same in the caller's containers of a volume.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// How much of it the plan gives to demands.
    pub allocated: QuantityOut,
    /// How much of it the plan gives to no demand.
    pub remaining: QuantityOut,
    /// When it is ready, over all runs.
    pub ready: Option<DatePercentiles>,
    /// How much it is, over all runs.
    pub volume: Option<Percentiles>,
}
