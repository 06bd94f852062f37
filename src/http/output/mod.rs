//! From the core to the wire: numbers, quantities, assumptions, cautions. Numbers are rounded here and nowhere else.

pub mod enums;
pub mod envelope;
pub mod error;
pub mod explain;
pub mod in_containers;
pub mod quantity;
pub mod recorded;
pub mod recording;
pub mod report;
pub mod role;
pub mod skipped;
pub mod texts;
pub mod unit_name;

pub use envelope::{Answer, Echo, Part};
pub use explain::ExplanationOut;
pub use in_containers::InContainers;
pub use quantity::{Number, QuantityOut, View};
pub use recorded::explain;
pub use recording::Recording;
pub use report::{AssumptionOut, CautionOut, Report};
pub use texts::Texts;
pub use unit_name::UnitName;

/// The program and its version, in every answer.
pub const COMPUTED_WITH: &str = concat!("barrowful ", env!("CARGO_PKG_VERSION"));
