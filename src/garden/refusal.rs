//! The core's one error. It says what is wrong, why, and how to mend it; it knows nothing of HTTP.

use std::fmt;

/// Why a value was refused. The list is closed; every reason is explained in the API document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// A number without a unit where one is needed.
    UnitMissing,
    /// No unit and no container of the caller has this name.
    UnknownUnit,
    /// The name stands for several units of different size.
    AmbiguousUnit,
    /// The unit is known, but measures something else than what is asked.
    UnitDoesNotFit,
    /// The text does not begin with a number in the accepted notation.
    BadNumber,
    /// A share was given as a plain number instead of a percentage.
    ShareWithoutPercent,
    /// The value is outside the stated bounds.
    OutOfRange,
    /// A result that follows from the values is larger than the service computes with.
    TooLarge,
    /// No date of the calendar, or not in the accepted notation.
    BadDate,
    /// The dates contradict each other.
    DatesOutOfOrder,
    /// This kind of rate cannot be applied to this kind of surface.
    RateDoesNotFit,
    /// One of several fields must be given, and only one.
    ExactlyOneOf,
    /// There is no assumption with this id.
    UnknownAssumption,
    /// Values given together contradict each other.
    InconsistentAssumptions,
    /// The value cannot occur in nature or in geometry.
    ImpossibleValue,
    /// A name is already taken.
    ClashingName,
    /// An id occurs twice in one list.
    RepeatedId,
    /// The sides of the polygon cross or touch each other.
    SelfCrossing,
    /// The text has characters that are not accepted.
    BadText,
    /// The field is known, but does not belong in this place.
    NotAllowedHere,
    /// A field that is needed is missing.
    MissingField,
    /// The value is none of the accepted words.
    UnknownValue,
}

impl Reason {
    /// Every reason, in the order in which the document lists them.
    pub const ALL: &'static [Reason] = &[
        Reason::UnitMissing,
        Reason::UnknownUnit,
        Reason::AmbiguousUnit,
        Reason::UnitDoesNotFit,
        Reason::BadNumber,
        Reason::ShareWithoutPercent,
        Reason::OutOfRange,
        Reason::TooLarge,
        Reason::BadDate,
        Reason::DatesOutOfOrder,
        Reason::RateDoesNotFit,
        Reason::ExactlyOneOf,
        Reason::UnknownAssumption,
        Reason::InconsistentAssumptions,
        Reason::ImpossibleValue,
        Reason::ClashingName,
        Reason::RepeatedId,
        Reason::SelfCrossing,
        Reason::BadText,
        Reason::NotAllowedHere,
        Reason::MissingField,
        Reason::UnknownValue,
    ];

    /// The reason's code: lower case, words joined by `_`.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::UnitMissing => "unit_missing",
            Self::UnknownUnit => "unknown_unit",
            Self::AmbiguousUnit => "ambiguous_unit",
            Self::UnitDoesNotFit => "unit_does_not_fit",
            Self::BadNumber => "bad_number",
            Self::ShareWithoutPercent => "share_without_percent",
            Self::OutOfRange => "out_of_range",
            Self::TooLarge => "too_large",
            Self::BadDate => "bad_date",
            Self::DatesOutOfOrder => "dates_out_of_order",
            Self::RateDoesNotFit => "rate_does_not_fit",
            Self::ExactlyOneOf => "exactly_one_of",
            Self::UnknownAssumption => "unknown_assumption",
            Self::InconsistentAssumptions => "inconsistent_assumptions",
            Self::ImpossibleValue => "impossible_value",
            Self::ClashingName => "clashing_name",
            Self::RepeatedId => "repeated_id",
            Self::SelfCrossing => "self_crossing",
            Self::BadText => "bad_text",
            Self::NotAllowedHere => "not_allowed_here",
            Self::MissingField => "missing_field",
            Self::UnknownValue => "unknown_value",
        }
    }
}

/// A refusal: the reason, a sentence that says what was found and how to mend it, and where they help, the nearest
/// word, the accepted words and the bounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// Why.
    pub reason: Reason,
    /// What was found and how to mend it, in one or two sentences.
    pub detail: String,
    /// The accepted word nearest to the one given.
    pub nearest: Option<String>,
    /// The accepted words, where there are few enough to list.
    pub allowed: Vec<String>,
    /// The smallest value accepted, in the unit that `detail` names.
    pub min: Option<f64>,
    /// The largest value accepted, in the unit that `detail` names.
    pub max: Option<f64>,
    /// The field below the current place that is meant, if it is not the place itself.
    pub field: Option<&'static str>,
    /// True if it only follows from another refusal, which says what is wrong.
    pub follows: bool,
}

impl Refusal {
    /// A refusal with a reason and a sentence.
    #[must_use]
    pub fn new(reason: Reason, detail: impl Into<String>) -> Self {
        let (detail, allowed) = (detail.into(), Vec::new());
        Self { reason, detail, nearest: None, allowed, min: None, max: None, field: None, follows: false }
    }

    /// Adds the accepted words.
    #[must_use]
    pub fn allowed<I: IntoIterator<Item = S>, S: Into<String>>(mut self, words: I) -> Self {
        self.allowed = words.into_iter().map(Into::into).collect();
        self
    }

    /// Adds the bounds, in the unit that the sentence names.
    #[must_use]
    pub fn between(mut self, min: f64, max: f64) -> Self {
        self.min = Some(min);
        self.max = Some(max);
        self
    }

    /// Says which field below the current place is meant.
    #[must_use]
    pub fn at(mut self, field: &'static str) -> Self {
        self.field = Some(field);
        self
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.reason.as_str(), self.detail)
    }
}

impl std::error::Error for Refusal {}
