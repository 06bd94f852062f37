//! What a caution holds: how grave it is, its words, where it is from.

use crate::garden::closed_list::closed_list;

closed_list! {
    /// How grave a caution is, the gravest last.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum Severity {
        /// Worth knowing.
        Notice = "notice",
        /// May spoil the crop, the worms or the soil.
        Caution = "caution",
        /// May hurt somebody.
        Warning = "warning",
    }
}

/// A caution's text and source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Text {
    /// Its name.
    pub rule: &'static str,
    /// How grave it is.
    pub severity: Severity,
    /// What it is about, in at most ten words.
    pub heading: &'static str,
    /// What to do, and why.
    pub text: &'static str,
    /// Where it is from.
    pub source: &'static str,
    /// When an answer carries it.
    pub raised_when: &'static str,
}
