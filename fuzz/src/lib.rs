//! What holds for any input: one function for each target. Each panics where its property does not hold.

mod allocation;
mod bodies;
mod quantities;
mod queries;
mod tables;
mod wire;

pub use allocation::allocation;
pub use bodies::bodies;
pub use quantities::quantities;
pub use queries::queries;
pub use tables::tables;
pub use wire::wire;

/// The targets by name.
pub const TARGETS: &[(&str, fn(&[u8]))] = &[
    ("quantities", quantities),
    ("wire", wire),
    ("bodies", bodies),
    ("queries", queries),
    ("tables", tables),
    ("allocation", allocation),
];
