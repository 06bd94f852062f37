//! What a bed is to do, written.

use super::EndOut;
use crate::garden::beds::{Deadly, Forecast, Laid, Lot, Period, WormsOn};
use crate::http::output::enums::words;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{InContainers, QuantityOut};
use crate::http::resources::CastingsOut;
use crate::http::resources::collected::{CollectOut, CollectedFeed, ProductionMaterialOut};
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

/// What a bed does until the last day. Dates of things to do are those of the likely values.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedForecast)]
pub struct ForecastOut {
    /// The castings of each cycle that is ready by the last day.
    pub lots: Vec<LotOut>,
    /// The layers to lay.
    pub layers: Vec<LayerOut>,
    /// Water from layer to layer.
    pub water: Vec<WaterOut>,
    /// The worms, each time a cycle starts or the worms have eaten a layer.
    pub worms: Vec<WormsOut>,
    /// The day on which the worms die, if one comes: the forecast ends there.
    pub stopped: Option<StoppedOut>,
    /// The longest time without feed, where over 56 warm days.
    pub without_feed: Option<WithoutFeedOut>,
    /// The bed at the end.
    pub end: EndOut,
}

/// A time without feed.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WithoutFeed)]
pub struct WithoutFeedOut {
    /// All is eaten, or the castings are finished.
    pub start_on: NaiveDate,
    /// There is feed again, or the forecast ends.
    pub end_on: NaiveDate,
}

/// The castings of one cycle.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedLot)]
pub struct LotOut {
    /// The cycle of the bed, counted from 1.
    pub cycle: u32,
    /// When they are dry and ready to use.
    pub ready: ReadyOut,
    /// The morning on which the worms have eaten all feed.
    pub eaten_on: NaiveDate,
    /// When the bed is left to finish; `None` where it was before it is looked at.
    #[serde(skip)]
    pub let_finish_on: Option<NaiveDate>,
    /// The morning on which they are finished.
    pub finished_on: NaiveDate,
    /// Why the cycle takes no more layers: `all_layers`, `depth` or `no_more_feed`.
    #[schema(schema_with = crate::http::output::enums::closings)]
    pub ended_because: &'static str,
    /// Feed that the worms have eaten, as dry matter.
    pub feed_dry_matter: QuantityOut,
    /// As they lie in the bed before the harvest.
    pub in_bed: QuantityOut,
    /// Their water there, of the whole.
    pub in_bed_moisture: QuantityOut,
    /// What passes the sieve, as it lies in store.
    pub castings: CastingsOut,
    /// Their water there, of the whole.
    pub castings_moisture: QuantityOut,
    /// What passes the sieve, dry matter.
    pub castings_dry_matter: QuantityOut,
    /// What the sieve holds back, at the moisture of the store.
    pub oversize: QuantityOut,
    /// Total N in their dry matter, where that of the feed is given.
    pub nitrogen: Option<QuantityOut>,
    /// Carbon over nitrogen, where the nitrogen of the feed is given.
    pub carbon_to_nitrogen: Option<QuantityOut>,
}

/// When a lot is ready: all assumptions on pace at their quick end, likely, and at their slow end.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ReadyDates)]
pub struct ReadyOut {
    /// At the quick end.
    pub earliest: NaiveDate,
    /// At the likely values.
    pub likely: NaiveDate,
    /// At the slow end; left out if that is after the last day.
    #[schema(value_type = Option<NaiveDate>)]
    pub latest: Option<NaiveDate>,
}

/// A layer to lay.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedLayer)]
pub struct LayerOut {
    /// On which day.
    pub on: NaiveDate,
    /// The cycle of the bed, counted from 1.
    pub cycle: u32,
    /// Which layer of that cycle, for the tasks.
    #[serde(skip)]
    pub number: u32,
    /// How deep it lies when fresh.
    pub depth: QuantityOut,
    /// Its volume as laid: shredded, soaked and settled.
    pub volume: QuantityOut,
    /// Its mass, as moist as it is fed.
    pub mass: QuantityOut,
    /// The same amount in your containers.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub in_containers: InContainers,
    /// What to collect for it.
    pub collect: Option<CollectOut>,
    /// What to take of each material, of at most 10 (fewer with over 5 containers).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<ProductionMaterialOut>,
    /// What is left of it without its water.
    pub dry_matter: QuantityOut,
    /// How deep the bed lies then.
    pub bed_depth: QuantityOut,
    /// The morning on which the worms have eaten it, where that is before the end.
    #[schema(value_type = Option<NaiveDate>)]
    pub eaten_on: Option<NaiveDate>,
}

/// The water of a bed from one day to another.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedWater)]
pub struct WaterOut {
    /// The first day.
    pub start_on: NaiveDate,
    /// The last day.
    pub end_on: NaiveDate,
    /// Water to add.
    pub to_add: QuantityOut,
    /// Water that drains, or that dry leaves are to take up.
    pub to_drain: QuantityOut,
    /// Water that comes in with new feed.
    pub with_feed: QuantityOut,
    /// Water set free by organic matter lost.
    pub water_from_decomposition: QuantityOut,
    /// Water given off to the air.
    pub evaporated: QuantityOut,
}

/// The worms on a day.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedWorms)]
pub struct WormsOut {
    /// On which day.
    pub on: NaiveDate,
    /// Live worms, by mass.
    pub mass: QuantityOut,
}

/// The end of a forecast before its last day.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BedStopped)]
pub struct StoppedOut {
    /// On which day.
    pub on: NaiveDate,
    /// Why the worms die: `frost` or `heat`.
    #[schema(schema_with = deaths)]
    pub why: &'static str,
}

fn deaths() -> RefOr<Schema> {
    words("Why the worms die.", Deadly::words())
}

impl ForecastOut {
    /// Writes it.
    pub(in crate::http::resources) fn new(forecast: &Forecast, collected: &CollectedFeed, view: &View<'_>) -> Self {
        let worms = |of: &WormsOn| WormsOut { on: of.on, mass: view.estimate(Role::Mass, of.mass) };
        let stopped = forecast.stopped.map(|of| StoppedOut { on: of.on, why: of.why.as_str() });
        Self {
            lots: forecast.lots.iter().map(|lot| LotOut::new(lot, view)).collect(),
            layers: forecast.layers.iter().map(|laid| LayerOut::new(laid, collected, view)).collect(),
            water: forecast.water.iter().map(|period| WaterOut::new(period, view)).collect(),
            worms: forecast.worms.iter().map(worms).collect(),
            stopped,
            without_feed: forecast.unfed.map(|unfed| WithoutFeedOut { start_on: unfed.start_on, end_on: unfed.end_on }),
            end: EndOut::new(&forecast.end, view),
        }
    }
}

impl LotOut {
    fn new(lot: &Lot, view: &View<'_>) -> Self {
        let (yields, ready) = (&lot.yields, lot.ready);
        Self {
            cycle: lot.cycle,
            ready: ReadyOut { earliest: ready.earliest, likely: ready.likely, latest: ready.latest },
            eaten_on: lot.eaten_on,
            let_finish_on: lot.let_finish_on,
            finished_on: lot.finished_on,
            ended_because: lot.closed.as_str(),
            feed_dry_matter: view.estimate(Role::Mass, lot.feed),
            in_bed: view.estimate(Role::Bulk, lot.in_bed),
            in_bed_moisture: view.estimate(Role::Share, lot.bed_moisture),
            castings: CastingsOut::new(view, yields.castings, yields.mass),
            castings_moisture: view.estimate(Role::Share, yields.moisture),
            castings_dry_matter: view.estimate(Role::Mass, yields.sieved_dry_matter),
            oversize: view.estimate(Role::Bulk, yields.oversize),
            nitrogen: lot.nitrogen.map(|share| view.estimate(Role::Share, share)),
            carbon_to_nitrogen: lot.carbon_to_nitrogen.map(|ratio| view.estimate(Role::Ratio, ratio)),
        }
    }
}

impl LayerOut {
    /// A layer that is laid.
    pub(in crate::http::resources) fn new(laid: &Laid, collected: &CollectedFeed, view: &View<'_>) -> Self {
        Self {
            on: laid.on,
            cycle: laid.cycle,
            number: laid.number,
            depth: view.estimate(Role::Depth, laid.depth),
            volume: view.estimate(Role::Bulk, laid.volume),
            mass: view.estimate(Role::Mass, laid.mass),
            in_containers: view.in_containers(laid.volume, Some(laid.mass)),
            collect: collected.layer(laid, view),
            materials: collected.materials_of_one(laid.mass, view),
            dry_matter: view.estimate(Role::Mass, laid.dry_matter),
            bed_depth: view.exact(Role::Depth, laid.bed_depth),
            eaten_on: laid.eaten_on,
        }
    }
}

impl WaterOut {
    fn new(period: &Period, view: &View<'_>) -> Self {
        Self {
            start_on: period.from,
            end_on: period.to,
            to_add: view.estimate(Role::Water, period.to_add),
            to_drain: view.estimate(Role::Water, period.to_drain),
            with_feed: view.estimate(Role::Water, period.with_feed),
            water_from_decomposition: view.exact(Role::Water, period.water_from_decomposition),
            evaporated: view.exact(Role::Water, period.evaporated),
        }
    }
}
