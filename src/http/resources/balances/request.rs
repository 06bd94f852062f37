//! The request; reading it is in [`asked`], [`items`] and [`uncertain`].

mod counted;
mod crop;
mod days;
mod fields;
mod items;
mod minimum;
mod parsed;
mod repeat;
mod uncertain;

use crate::garden::units::Dimension;
use crate::garden::units::text::{Reader, read as read_text, with_unit};
use crate::http::input::bounded::{Currency, Price, Priority, Seed, ShortText, SimulationRuns};
pub use crop::CropRequest;
pub use fields::read;
pub(in crate::http::resources) use fields::{BalanceFields, ReadBalance};
pub(in crate::http::resources) use parsed::runs_from;
pub use parsed::{ParsedBalance, Source, Stocked, producing, production};

use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::containers::ContainerList;
use crate::http::input::heap::HeapInput;
use crate::http::input::list::List;
use crate::http::input::manure::ManureInput;
use crate::http::input::quantity::{MassInput, QuantityInput, ShareInput, VolumeMassOrShareInput, VolumeOrMassInput};
use crate::http::input::rate::RateInput;
use crate::http::input::repeat::RepeatInput;
use crate::http::input::surface::SurfaceInput;
use crate::http::limits::{MAX_ITEMS, MAX_STOCK};
use crate::http::output::Texts;
use crate::http::output::quantity::System;
use crate::http::present::words::{clean, digits};
use crate::http::resources::balances::additional_production::AdditionalProductionRequest;
use crate::http::resources::brews::BrewRequest;
use crate::http::resources::skip::OnError;
use crate::http::resources::variants::Variants;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Stock and demands.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct BalancesRequest {
    /// Your own id; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// The caller's today: what lies ahead is served from this day on. Without it nothing counts as past.
    #[schema(format = Date)]
    pub as_of: Option<String>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<AssumptionsInput>,
    /// The lots of castings in stock or to come.
    #[validate(nested)]
    pub stock: Lots,
    /// The beds, rows, pots and brews that need castings, and when.
    #[validate(nested)]
    pub demands: Demands,
    /// True if the interval between raw manure and harvest is a limit of the plan. Stock that is not stated as treated or free of manure then
    /// goes to a demand with a `crop` only as long as the interval ends by its first harvest, and not at all where it is not worked in.
    /// Treated stock goes to those crops instead. Sacks and additional production count as treated: make sure that they are. False unless
    /// given: the interval is then reported and changes nothing. True takes eight times as much computing; see `steps` of `GET /v1/limits`.
    pub enforce_application_to_harvest_interval: Option<bool>,
    /// What a bought sack holds and costs; without it no sacks are counted.
    #[validate(nested)]
    pub sack: Option<SackRequest>,
    /// The feed and bed for additional production; without it the answer plans none.
    #[validate(nested)]
    pub additional_production: Option<AdditionalProductionRequest>,
    /// Simulation runs for the sizes of additional production; 2,000 unless given; 0 for the likely values alone.
    #[validate(nested)]
    pub simulation_runs: Option<SimulationRuns>,
    /// The seed of these runs; 1 unless given. The same seed gives the same answer.
    #[validate(nested)]
    pub seed: Option<Seed>,
    /// Changes of this request to compare: each is answered as a request of its own, and its headline, chance, shortfall and cost are side by
    /// side in `variants` of the answer. One that is not a valid request is reported there under its name. The work of all counts together.
    #[validate(nested)]
    pub variants: Option<Variants>,
    /// True adds how allocated, short and remaining amounts are computed; for at most 200 demands and lots.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
    /// `skip` leaves out areas, beds, heaps, brews, lots and demands with errors, and lists them in `skipped`; one of each must be left. `refuse` unless given.
    pub on_error: Option<OnError>,
}

/// The lots.
pub type Lots = List<StockRequest, 0, { MAX_STOCK }>;

/// The demands.
pub type Demands = List<DemandRequest, 1, { MAX_ITEMS }>;

/// A lot of castings: an amount, or a heap to measure.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct StockRequest {
    /// Your own id, unique in the list; the heap's id unless given.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name for the lot; the heap's name unless given.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// How much, by volume, or by mass with the bulk density of the same day. Exactly one of this, `dry_mass` and `heap`.
    pub amount: Option<VolumeOrMassInput>,
    /// How much, by the mass of the dry matter.
    pub dry_mass: Option<MassInput>,
    /// A heap to measure.
    #[validate(nested)]
    pub heap: Option<HeapInput>,
    /// The first day on which it can be used; from the start unless given.
    #[schema(format = Date)]
    pub ready_on: Option<String>,
    /// The last day on which it can be used; it does not expire unless given.
    #[schema(format = Date)]
    pub use_by: Option<String>,
    /// What you know better than the defaults for the castings of this lot: their densities turn its mass into a volume, and what they hold
    /// counts in `rate_allocated`. It overrides that of the request. A heap has its own `assumptions`.
    pub assumptions: Option<AssumptionsInput>,
    /// What is known about manure in what the worms were fed; unless given it is unknown, which counts as untreated.
    #[validate(nested)]
    pub manure: Option<ManureInput>,
}

/// A demand: an amount, an application or a brew.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct DemandRequest {
    /// Your own id, unique in the list; the brew's id unless given.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name for the demand; the brew's name unless given.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// How much, by volume, or by mass with the bulk density. Exactly one of this, `dry_mass`, `application` and `brew`.
    pub amount: Option<VolumeOrMassInput>,
    /// How much, by the mass of the dry matter.
    pub dry_mass: Option<MassInput>,
    /// A place and a rate.
    #[validate(nested)]
    pub application: Option<ApplicationRequest>,
    /// A tea; its castings are drawn as its batches start, by `use_at` or on a day of the demand.
    #[validate(nested)]
    pub brew: Option<BrewRequest>,
    /// The day. Either this, or `earliest` and/or `latest`, or none: any day will do.
    #[schema(format = Date)]
    pub on: Option<String>,
    /// The first day.
    #[schema(format = Date)]
    pub earliest: Option<String>,
    /// The last day.
    #[schema(format = Date)]
    pub latest: Option<String>,
    /// Repeats it from that day on: `{"every": "6 weeks", "until": "2027-09-01"}`. The amount, the `minimum` and the rate are
    /// those of each time. Each time counts as a demand on its own day when the stock is shared; the answer reports each in `occasions`.
    #[validate(nested)]
    pub repeat: Option<RepeatInput>,
    /// 1 is served first; 1 unless given.
    #[validate(nested)]
    pub priority: Option<Priority>,
    /// True if only whole plants, pots or batches are of use. Its fair share is rounded down to whole ones; then those that lost a part of
    /// one get one more, where the stock allows, the smallest share first; what is left goes out in turns.
    pub whole_portions: Option<bool>,
    /// The smallest amount that is of use, by volume, by mass, or as a share of what this demand needs; every amount
    /// is of use unless given. A demand that would get less is dropped and gets nothing. At most 100 demands of a
    /// request may have one; each time of a demand that repeats counts, and is dropped by itself.
    pub minimum: Option<VolumeMassOrShareInput>,
    /// The crop that is grown there. Without it, the answer gives no interval between application and harvest.
    #[validate(nested)]
    pub crop: Option<CropRequest>,
}

/// A place and its rate.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct ApplicationRequest {
    /// Where the castings go: ground, rows, plants or pots.
    #[validate(nested)]
    pub surface: SurfaceInput,
    /// How much castings goes there: a depth, or an amount for the area, the row or the plant. This or `castings`.
    #[validate(nested)]
    pub rate: Option<RateInput>,
    /// The castings that are to go there in all, by volume or mass: the answer says which depth or rate that makes.
    pub castings: Option<VolumeOrMassInput>,
    /// The castings that are to go there in all, by the mass of their dry matter. In place of `rate` and `castings`.
    pub dry_mass: Option<MassInput>,
    /// The share of its depth that a layer loses by settling; 0 % unless given.
    pub settling: Option<ShareInput>,
    /// True on land declared a nitrate vulnerable zone.
    pub nitrate_vulnerable_zone: Option<bool>,
    /// What you know better than the defaults for this place.
    pub assumptions: Option<AssumptionsInput>,
}

/// A sack of castings to buy.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct SackRequest {
    /// What it holds, by volume, or by mass with the bulk density.
    pub capacity: VolumeOrMassInput,
    /// The price of one sack.
    #[validate(nested)]
    pub price: Option<Price>,
    /// The currency of the price; the answer repeats it.
    #[validate(nested)]
    pub currency: Option<Currency>,
}

impl SackRequest {
    /// What it holds as it was given, where that is a mass: `20 kg`.
    pub fn mass(&self) -> Option<String> {
        let (wanted, reader) = ([Dimension::Mass], Reader::default());
        match &self.capacity.0 {
            QuantityInput::Text(text) => read_text(text, &wanted, &reader).ok().map(|_| clean(text)),
            QuantityInput::Object(of) => {
                let unit = of.unit.as_deref()?;
                let read = with_unit(of.value, unit, &wanted, &reader);
                read.ok().map(|_| format!("{} {}", digits(of.value), clean(unit)))
            }
            QuantityInput::Other(_) => None,
        }
    }
}
