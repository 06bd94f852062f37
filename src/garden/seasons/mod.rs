//! A season: beds, stock and demands over its dates; how sure it is; what to measure.
//!
//! ```text
//! forecasts of the beds -> lots -> balance (the plan) -> runs: does the plan hold? -> chances, what to measure first
//! ```

mod chances;
mod plan;
mod promise;
mod simulation;
mod supply;
pub mod work;

pub use chances::{Chances, DateChance, LotChance, Measure, Percentiles, ReadyOn};
pub use plan::{Amount, BedPlan, Factor, Origin, Season, SeasonPlan, plan};
pub use simulation::simulate;
