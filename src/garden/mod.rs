//! The core: pure computation. No web, no serialisation, no clock, no files.

pub mod applications;
pub mod areas;
pub mod assumptions;
pub mod balances;
pub mod beds;
pub mod brews;
pub mod calibrations;
pub mod cautions;
pub(crate) mod closed_list;
pub mod containers;
pub mod dates;
pub mod draws;
pub mod feeds;
pub mod figures;
pub mod formulas;
pub mod glossary;
pub mod harvests;
pub mod interrupt;
pub mod linear;
pub mod refusal;
pub mod seasons;
pub mod units;
pub mod work;
