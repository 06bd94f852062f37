//! Cautions are data: a rule, its text, how grave it is, and where it is from. They travel with the answer and all defer
//! to local rules, labels and licensed advice.

mod table;
mod text;
pub mod waiting;

pub use table::Rule;
pub use text::{Severity, Text};

impl Rule {
    /// How far its source was checked, where it was not read.
    #[must_use]
    pub const fn checked(self) -> Option<&'static str> {
        match self {
            Self::Handling => Some("respirator classes from memory"),
            Self::TeaAdditives => Some("two batches from memory"),
            Self::KitchenScraps => Some("the regulation from memory"),
            _ => None,
        }
    }
}
