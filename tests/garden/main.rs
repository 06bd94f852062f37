//! The core against sources outside the project, and its laws.

mod applications;
mod areas;
mod assumptions;
mod balances;
mod bounds;
mod brews;
mod harvests;
mod measures;
mod numbers;
mod rates;
mod refusals;
mod rounding;
mod sources;
mod support;
mod units;
