//! The core's one error. It says what is wrong, why, and how to mend it; it knows nothing of HTTP.

use crate::garden::closed_list::closed_list;
use std::fmt;

closed_list! {
    /// Why a value was refused. The list is closed; the API document explains every reason, in this order.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Reason {
        /// A number without a unit where one is needed.
        UnitMissing = "unit_missing",
        /// No unit and no container of the caller has this name.
        UnknownUnit = "unknown_unit",
        /// The name is that of several units of different size.
        AmbiguousUnit = "ambiguous_unit",
        /// The unit is known, but measures something else than what is asked.
        UnitDoesNotFit = "unit_does_not_fit",
        /// The text does not begin with a number in the accepted notation.
        BadNumber = "bad_number",
        /// A share was given as a plain number instead of a percentage.
        ShareWithoutPercent = "share_without_percent",
        /// The value is outside the stated bounds.
        OutOfRange = "out_of_range",
        /// A result that follows from the values is larger than the service computes with.
        TooLarge = "too_large",
        /// No date of the calendar, or not in the accepted notation.
        BadDate = "bad_date",
        /// The dates contradict each other.
        DatesOutOfOrder = "dates_out_of_order",
        /// This kind of rate cannot be applied to this kind of surface.
        RateDoesNotFit = "rate_does_not_fit",
        /// One of several fields must be given, and only one.
        ExactlyOneOf = "exactly_one_of",
        /// There is no assumption with this id.
        UnknownAssumption = "unknown_assumption",
        /// Values given together contradict each other.
        InconsistentAssumptions = "inconsistent_assumptions",
        /// The value cannot occur in nature or in geometry.
        ImpossibleValue = "impossible_value",
        /// A name is already taken.
        ClashingName = "clashing_name",
        /// An id occurs twice in one list.
        RepeatedId = "repeated_id",
        /// The sides of the polygon cross or touch each other.
        SelfCrossing = "self_crossing",
        /// The text has characters that are not accepted.
        BadText = "bad_text",
        /// The field is known, but does not belong in this place.
        NotAllowedHere = "not_allowed_here",
        /// A field that is needed is missing.
        MissingField = "missing_field",
        /// The value is none of the accepted words.
        UnknownValue = "unknown_value",
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
