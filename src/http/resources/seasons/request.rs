//! The request.

use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{Revision, Seed, ShortText, SimulationRuns};
use crate::http::input::climate::ClimateInput;
use crate::http::input::containers::ContainerList;
use crate::http::output::Texts;
use crate::http::output::quantity::System;
use crate::http::resources::balances::{AdditionalProductionRequest, Demands, Lots, SackRequest};
use crate::http::resources::harvests::BedFeedRequest;
use crate::http::resources::season_beds::SeasonBeds;
use crate::http::resources::skip::OnError;
use crate::http::resources::variants::Variants;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// A season: beds, stock and demands.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct SeasonsRequest {
    /// Your own id. With it, the events of a calendar keep their ids, so that importing it again updates them.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// Increase it with each import of the calendar, so that the later one wins; 0 unless given.
    #[validate(nested)]
    pub revision: Option<Revision>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// The caller's today: what lies ahead is served from this day on. Without it no task is overdue, and nothing is past or too late.
    #[schema(format = Date)]
    pub as_of: Option<String>,
    /// The last day of the season; the last date of the demands unless given.
    #[schema(format = Date)]
    pub until: Option<String>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<AssumptionsInput>,
    /// The temperature of the beds that have none of their own.
    #[validate(nested)]
    pub climate: Option<ClimateInput>,
    /// The feed of the beds that have none of their own. An amount, or deliveries, are shared among them by their ground.
    #[validate(nested)]
    pub feed_supply: Option<BedFeedRequest>,
    /// The worm beds of the season, with their feed and worms.
    #[validate(nested)]
    pub worm_beds: Option<SeasonBeds>,
    /// The lots of castings in stock or to come from elsewhere. A range of an amount counts as uncertain.
    #[validate(nested)]
    pub stock: Option<Lots>,
    /// The beds, rows, pots and brews that need castings, and when.
    #[validate(nested)]
    pub demands: Demands,
    /// True if the interval between raw manure and harvest is a limit of the plan, as in `POST /v1/balances`; false unless given. Chances
    /// then count raw castings only for those who may use them on the day.
    pub enforce_application_to_harvest_interval: Option<bool>,
    /// What a bought sack holds and costs; without it no sacks are counted.
    #[validate(nested)]
    pub sack: Option<SackRequest>,
    /// The feed and bed for additional production; without it the answer plans none.
    #[validate(nested)]
    pub additional_production: Option<AdditionalProductionRequest>,
    /// Runs for the chances; 2,000 unless given; 0 for none. The most that are allowed depends on the size of the season: see
    /// `simulation_runs_of_demands_and_lots` of `GET /v1/limits`. An error says how many.
    #[validate(nested)]
    pub simulation_runs: Option<SimulationRuns>,
    /// The seed of these runs; 1 unless given. The same seed gives the same answer.
    #[validate(nested)]
    pub seed: Option<Seed>,
    /// Changes of this request to compare: each is answered as a request of its own, and its headline, chance, shortfall and cost are side by
    /// side in `variants` of the answer. One that is not a valid request is reported there under its name. The work of all counts together.
    #[validate(nested)]
    pub variants: Option<Variants>,
    /// True adds how the castings of beds, sums and shares are computed; for at most 200 demands, lots and beds.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
    /// `skip` leaves out areas, beds, heaps, brews, lots and demands with errors, and lists them in `skipped`; one of each must be left. `refuse` unless given.
    pub on_error: Option<OnError>,
}
