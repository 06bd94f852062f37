//! A season: beds, stock and demands over its dates; how sure it is; what to measure.
//!
//! ```text
//! forecasts of the beds -> lots -> balance (the plan) -> runs: does the plan hold? -> chances, what to measure first
//! ```

pub mod beds;
mod chances;
pub mod dates;
mod plan;
mod promise;
mod simulation;
mod size;
mod supply;
pub mod work;

pub use chances::{Chances, DateChance, LotChance, MeasureFirst, Percentiles, ReadyOn};
pub use plan::{Amount, BedPlan, Factor, Season, SeasonPlan, plan};
pub use simulation::simulate;
