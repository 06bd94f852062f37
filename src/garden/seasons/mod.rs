//! A season: beds, stock and demands over its dates; how sure it is; what to measure.
//!
//! ```text
//! forecasts of the beds -> lots -> balance (the plan) -> runs: a grower follows the plan -> chances, what to measure first
//! ```

pub mod beds;
mod chances;
mod counted;
pub mod dates;
mod days;
mod drawn;
pub mod options;
mod plan;
pub mod reach;
mod rule;
mod simulation;
mod size;
mod supply;
mod tally;
pub mod work;
mod worst;

pub use chances::{Chances, DateChance, DemandChance, LotChance, MeasureFirst, Percentiles, PlanChances, ReadyOn};
pub use plan::{Amount, BedPlan, Factor, Season, SeasonPlan, plan};
pub use simulation::{plan_chances, simulate};
