//! How large the pieces of a material are.

use crate::garden::closed_list::closed_list;

/// Where the size classes are from.
pub const SIZES_SOURCE: &str = "common practice, no source; the class of a material is from its nature";

closed_list! {
    /// The size class of the pieces of a material, the finest first. Pieces of one size leave voids that only smaller ones fill.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Size {
        /// Grains and crumbs up to about 1 cm: manure, coffee grounds, sawdust.
        Fine = "fine",
        /// Pieces of about 1 to 5 cm: grass clippings, shredded leaves, chips.
        Medium = "medium",
        /// Whole leaves, stalks, sheets, above about 5 cm: loose leaves, straw, cardboard.
        Coarse = "coarse",
    }
}

impl Size {
    /// What it means.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Fine => "grains and crumbs up to about 1 cm: manure, coffee grounds, sawdust",
            Self::Medium => "pieces of about 1 to 5 cm: grass clippings, shredded leaves, chips",
            Self::Coarse => "above about 5 cm: loose leaves, straw, cardboard",
        }
    }

    /// The size after it is shredded once: one class finer. What is fine stays fine.
    #[must_use]
    pub const fn shredded(self) -> Self {
        match self {
            Self::Coarse => Self::Medium,
            Self::Medium | Self::Fine => Self::Fine,
        }
    }
}
