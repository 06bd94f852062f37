//! Worm beds over time: worms, feed worked, layers, water, finishing, drying; lots with their dates. One warm-day clock, closed
//! forms. Masses of feed and castings are dry matter; worms are live mass.

mod assemble;
pub mod climate;
pub mod clock;
mod clocks;
mod comparison;
mod drawn;
mod forecast;
mod forecast_batch;
mod harvest_estimates;
mod history;
mod inputs;
mod layers;
mod loss;
mod pacing;
mod planned;
mod record;
mod running;
mod simulator;
mod single_cycle;
pub mod sizing;
mod tally;
mod timeline;
mod unfed;
mod water;
mod weather;
pub mod worms;
pub mod yields;

pub use assemble::forecast_on;
pub use climate::Climate;
pub use clock::{Band, Clock, Deadly};
pub use clocks::Clocks;
pub use comparison::{Comparison, Larger, compare};
pub use drawn::ClockDrawn;
pub use forecast::{EndState, Forecast, Laid, Lot, MoistInBed, Phase, Ready, Stopped, WormsOn};
pub use forecast_batch::{ForecastBatch, MAX_LAYERS_TOGETHER};
pub use harvest_estimates::{HarvestEstimates, Stored, Total};
pub use history::{History, HistorySimulator, NOON, Observation, dry_matter_fed};
pub use inputs::feed_density;
pub use layers::{Closed, MAX_LAYERS};
pub use loss::{Keeps, MeasuredLoss, ORGANIC_MATTER_IN_CARBON, measured_loss};
pub use planned::PlannedBed;
pub use running::Running;
pub use simulator::{BedSimulator, Outcome};
pub use single_cycle::{Needs, SingleCycle, first_cycle};
pub use unfed::Unfed;
pub use water::{MassAccount, MassBalance, Period};
pub use worms::Pace;
pub use yields::{Fed, FedMass, FromFeed, Yield, from_feed};

use crate::garden::assumptions::Assumed;
use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfMass, OfShare};
use crate::garden::units::text::outside;
use crate::garden::units::{Dimension, Estimate};
use chrono::NaiveDate;

/// A worm bed to forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    /// Its ground.
    pub area: Estimate<OfArea>,
    /// Live worms at the start; `None`: area x worms.stocking_density.
    pub worms: Option<Estimate<OfMass>>,
    /// What is in it already.
    pub running: Option<Running>,
    /// The morning on which it starts.
    pub start_on: NaiveDate,
    /// What it is fed.
    pub feed: Feed,
    /// How many layers are laid in a cycle before it is left to finish; what is in a running bed counts as its `layers_laid`. A cycle with
    /// more layers gives a later lot. `None`: bed.layers_per_cycle.
    pub layers_per_cycle: Option<u32>,
    /// At most so many cycles; `None`: as many as feed and days allow.
    pub cycles: Option<u32>,
}

/// The feed: its analysis, and how much of it comes when.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// Water, wet basis. It moves no date: rates are of dry matter.
    pub moisture: Estimate<OfShare>,
    /// Ash in the dry matter.
    pub ash: Estimate<OfShare>,
    /// Total N in the dry matter.
    pub nitrogen: Option<Estimate<OfShare>>,
    /// How much comes when.
    pub supply: Supply,
    /// What to mind with the materials it is of.
    pub cautions: Vec<Rule>,
    /// What was assumed of these materials.
    pub assumed: Vec<Assumed>,
}

/// How much feed comes when, as dry matter.
#[derive(Debug, Clone, PartialEq)]
pub enum Supply {
    /// As much as the layers take.
    AsNeeded,
    /// All of it is there at the start.
    AllAtOnce(Estimate<OfMass>),
    /// It comes on dates, in any order. A layer is laid once enough for it has come; the last may be thinner.
    OnDates(Vec<Delivery>),
}

/// Feed that comes on a date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Delivery {
    /// The morning on which it is there.
    pub on: NaiveDate,
    /// How much, dry matter.
    pub dry_matter: Estimate<OfMass>,
}

impl Bed {
    /// The first day whose temperature counts.
    #[must_use]
    pub fn first_day(&self) -> NaiveDate {
        Running::first_day(self.running.as_ref(), self.start_on)
    }

    /// Whether no feed is laid any more: all is eaten, and what is in it now is its last cycle.
    #[must_use]
    pub fn takes_no_feed(&self) -> bool {
        self.cycles == Some(1) && self.running.is_some_and(|running| running.eaten_on.is_some())
    }

    /// Checks each value by itself.
    pub(crate) fn check(&self) -> Result<(), Refusal> {
        within("the area", self.area.square_metres(), Dimension::Area).map_err(|e| e.at("area"))?;
        if let Some(worms) = self.worms {
            within("the mass of worms", worms.kilograms(), Dimension::Mass).map_err(|e| e.at("worms"))?;
        }
        if let Some(running) = self.running {
            for (what, mass) in [("uneaten feed", running.uneaten_feed), ("castings", running.castings)] {
                if mass.kilograms() != 0.0 {
                    within(what, mass.kilograms(), Dimension::Mass).map_err(|e| e.at("running"))?;
                }
            }
        }
        if let Some(running) = self.running.filter(|running| running.eaten_on.is_some()) {
            let contents = (Some(running.uneaten_feed), Some(running.castings));
            let faults = Running::faults_of_eaten(contents, (running.eaten_on, Some(self.start_on)));
            faults.into_iter().next().map_or(Ok(()), |fault| Err(fault.at("running")))?;
        }
        if self.layers_per_cycle == Some(0) || self.cycles == Some(0) {
            let detail = "a bed needs at least one layer in a cycle, and at least one cycle";
            return Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, f64::from(MAX_LAYERS)));
        }
        self.feed.check().map_err(|e| e.at("feed"))
    }
}

impl Feed {
    /// Whether it heats up on the bed, by what is to be minded with it.
    #[must_use]
    pub fn heats(&self) -> bool {
        self.cautions.contains(&Rule::FeedHeat)
    }

    fn check(&self) -> Result<(), Refusal> {
        let nitrogen = self.nitrogen.map(Estimate::likely);
        yields::check_analysis(self.moisture.likely(), self.ash.likely(), nitrogen)?;
        let amount = |mass: Estimate<OfMass>| within("an amount of feed", mass.kilograms(), Dimension::Mass);
        match &self.supply {
            Supply::AsNeeded => Ok(()),
            Supply::AllAtOnce(mass) => amount(*mass),
            Supply::OnDates(deliveries) => deliveries.iter().try_for_each(|d| amount(d.dry_matter)),
        }
    }
}

/// Refuses what is outside the bounds of its dimension.
fn within(what: &str, base: f64, dimension: Dimension) -> Result<(), Refusal> {
    let (min, max) = dimension.bounds();
    if base >= min && base <= max {
        return Ok(());
    }
    Err(outside(what, (min, max), dimension.base_unit()))
}
