//! One error, those that are kept, and the places that stay silent.

use super::codes::ErrorCode;
use super::path::unescape;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;

/// The most errors that are kept; the rest are only counted.
const MAX_KEPT: usize = 1_000;
/// The most text (in bytes) spent on pointers and sentences before the rest of
/// the errors are only counted, so that no body can make its refusal costly.
const MAX_TEXT: usize = 8 * 1024 * 1024;

/// The part of a request that an error is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Where {
    /// A place in the body.
    Body {
        /// The place as a JSON pointer.
        pointer: String,
    },
    /// A parameter of the query.
    Query {
        /// The name of the parameter.
        parameter: String,
    },
    /// A cell of a table.
    Csv {
        /// The line of the file, counted from 1.
        line: usize,
        /// The column of the table, counted from 1; none where it is the whole line.
        column: Option<usize>,
    },
}

impl Where {
    /// The pointer or the name; of a cell nothing.
    #[must_use]
    pub fn as_str(&self) -> &str {
        match self {
            Self::Body { pointer } => pointer,
            Self::Query { parameter } => parameter,
            Self::Csv { .. } => "",
        }
    }
}

/// One thing that is wrong, where, and how to mend it.
#[derive(Clone, Debug, PartialEq)]
pub struct RequestError {
    /// Where it is wrong.
    pub at: Where,
    /// What kind of error it is.
    pub code: ErrorCode,
    /// The error in words.
    pub detail: String,
    /// The known word nearest to the one given.
    pub nearest: Option<String>,
    /// The words allowed here.
    pub allowed: Vec<String>,
    /// The smallest number or length allowed here.
    pub min: Option<f64>,
    /// The largest number or length allowed here.
    pub max: Option<f64>,
}

impl RequestError {
    /// An error at a place of the body, without particulars.
    pub(crate) const fn new(pointer: String, code: ErrorCode, detail: String) -> Self {
        let at = Where::Body { pointer };
        Self { at, code, detail, nearest: None, allowed: Vec::new(), min: None, max: None }
    }

    /// The same error at the parameter that its place begins with.
    pub(super) fn of_query(self) -> Self {
        let first = self.at.as_str().split('/').nth(1).unwrap_or_default();
        Self { at: Where::Query { parameter: unescape(first) }, ..self }
    }
}

/// What a [`super::error::RequestErrors`] holds.
#[derive(Debug, Default)]
pub struct Kept {
    pub(super) entries: Vec<RequestError>,
    pub(super) by_pointer: BTreeMap<String, Vec<usize>>,
    pub(super) hidden: BTreeSet<String>,
    pub(super) text: usize,
    pub(super) left_out: usize,
}

impl Kept {
    pub(super) fn is_full(&self) -> bool {
        !self.entries.is_empty() && (self.entries.len() >= MAX_KEPT || self.text >= MAX_TEXT)
    }

    /// Adds the error, unless its place is hidden.
    pub(super) fn add_unless_hidden(&mut self, error: RequestError) -> Option<usize> {
        let pointer = error.at.as_str();
        if self.is_hidden(pointer) {
            self.text = self.text.saturating_add(pointer.len());
            return None;
        }
        self.add(error)
    }

    /// Adds the error and gives its number, or nothing if it is there already.
    pub(super) fn add(&mut self, error: RequestError) -> Option<usize> {
        let pointer = error.at.as_str();
        self.text = self.text.saturating_add(pointer.len()).saturating_add(error.detail.len());
        let there = self.by_pointer.entry(pointer.to_owned()).or_default();
        let other = |index: &usize| self.entries.get(*index).map(|other| (other.code, &other.detail));
        if there.iter().any(|index| other(index) == Some((error.code, &error.detail))) {
            return None;
        }
        let ranged = |index: &&usize| other(index).is_some_and(|(code, _)| code == ErrorCode::OutOfRange);
        // One number has one range: the error noted last, by the rule, is taken for both.
        let same_place = there.iter().find(ranged).copied().filter(|_| error.code == ErrorCode::OutOfRange);
        let index = same_place.unwrap_or(self.entries.len());
        if let Some(other) = self.entries.get_mut(index) {
            *other = error;
        } else {
            there.push(index);
            self.entries.push(error);
        }
        Some(index)
    }

    /// Whether a hidden place is this one or above it.
    pub(super) fn is_hidden(&self, pointer: &str) -> bool {
        let mut above = pointer.match_indices('/').filter_map(|(at, _)| pointer.get(..at));
        !self.hidden.is_empty() && (self.hidden.contains(pointer) || above.any(|above| self.hidden.contains(above)))
    }

    /// Whether a hidden place is this one, or above or under it.
    pub(super) fn touches(&self, pointer: &str) -> bool {
        if self.is_hidden(pointer) {
            return true;
        }
        let start = format!("{pointer}/");
        let bounds = (Bound::Included(start.as_str()), Bound::Unbounded);
        let mut after = self.hidden.range::<str, _>(bounds);
        after.next().is_some_and(|next| next.starts_with(&start))
    }
}
