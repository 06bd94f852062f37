//! The core against sources outside the project, and its laws.

mod applications;
mod areas;
mod assumptions;
mod balances;
mod balances_least;
mod balances_shift;
mod beds;
mod beds_laws;
mod beds_pace;
mod beds_yields;
mod bounds;
mod brews;
mod claims;
mod constants;
mod feeds;
mod feeds_mix;
mod harvests;
mod measures;
mod numbers;
mod rates;
mod refusals;
mod rounding;
mod sources;
mod support;
mod units;
