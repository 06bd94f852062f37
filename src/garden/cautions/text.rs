//! What a caution holds: how grave it is, its words, where it is from.

/// How grave a caution is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Notice,
    /// May spoil the crop, the worms or the soil.
    Caution,
    /// May hurt somebody.
    Warning,
}

impl Severity {
    /// Every severity, the gravest first.
    pub const ALL: &'static [Self] = &[Self::Warning, Self::Caution, Self::Notice];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Notice => "notice",
            Self::Caution => "caution",
            Self::Warning => "warning",
        }
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
