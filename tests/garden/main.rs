//! The core against sources outside the project, and its laws.

mod balances;
