//! What can be wrong, and the collection of all that is.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;
use std::rc::Rc;

pub use super::codes::ErrorCode;
use super::order;
use super::path::{JsonPath, unescape};
use super::tree::Node;
pub use super::words::nearest;

/// The most errors that are kept; the rest are only counted.
const MOST_KEPT: usize = 1_000;
/// The most text (in bytes) spent on pointers and sentences before the rest of
/// the errors are only counted, so that no body can make its refusal costly.
const MOST_TEXT: usize = 8 * 1024 * 1024;

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
    fn of_query(self) -> Self {
        let first = self.at.as_str().split('/').nth(1).unwrap_or_default();
        Self { at: Where::Query { parameter: unescape(first) }, ..self }
    }
}

/// The errors found so far.
///
/// A place at which a placeholder was handed out is hidden: later errors at it
/// or under it are dropped, because they would only be about the placeholder.
#[must_use]
#[derive(Debug, Default)]
pub struct RequestErrors {
    is_query: bool,
    /// Where everything stands that is read with it, as a pointer.
    above: String,
    kept: Rc<RefCell<Kept>>,
}

/// What a [`RequestErrors`] holds.
#[derive(Debug, Default)]
struct Kept {
    entries: Vec<RequestError>,
    by_pointer: BTreeMap<String, Vec<usize>>,
    hidden: BTreeSet<String>,
    text: usize,
    left_out: usize,
}

impl RequestErrors {
    /// An empty collection for a body.
    pub fn body() -> Self {
        Self::default()
    }

    /// An empty collection for a query: errors are reported by parameter.
    pub fn query() -> Self {
        Self { is_query: true, ..Self::default() }
    }

    /// The same collection for what stands at a place of the body and is read as a document of its own.
    pub fn below(&self, place: JsonPath) -> Self {
        Self { is_query: self.is_query, above: self.pointer(place), kept: Rc::clone(&self.kept) }
    }

    /// The pointer of a place in the whole body.
    fn pointer(&self, place: JsonPath) -> String {
        if self.above.is_empty() { place.to_pointer() } else { format!("{}{}", self.above, place.to_pointer()) }
    }

    /// Notes an error, unless its place is hidden or the same error is noted
    /// already. What is returned takes further particulars.
    pub fn push(&self, place: JsonPath, code: ErrorCode, detail: impl Into<String>) -> Pushed<'_> {
        let index = if self.is_full_by_one_more() {
            None
        } else {
            self.kept.borrow_mut().add_unless_hidden(RequestError::new(self.pointer(place), code, detail.into()))
        };
        Pushed { errors: self, index }
    }

    /// Notes an error of the document that no placeholder can have caused, so
    /// that it is reported even if its place is hidden.
    pub(crate) fn push_even_hidden(&self, place: JsonPath, code: ErrorCode, detail: String) {
        self.kept.borrow_mut().add(RequestError::new(self.pointer(place), code, detail));
    }

    /// Whether no more errors are kept. If so, one more is counted, so that
    /// whoever found it need not put it into words.
    pub(crate) fn is_full_by_one_more(&self) -> bool {
        let mut kept = self.kept.borrow_mut();
        let full = kept.is_full();
        kept.left_out = kept.left_out.saturating_add(usize::from(full));
        full
    }

    /// Hides the place: later errors at it or under it are dropped.
    pub fn hide(&self, place: JsonPath) {
        let mut kept = self.kept.borrow_mut();
        if !kept.is_full() {
            let pointer = self.pointer(place);
            kept.text = kept.text.saturating_add(pointer.len());
            kept.hidden.insert(pointer);
        }
    }

    /// Whether the value read at this place is a placeholder, lies in one or
    /// has one in it. Rules over several fields should then not be applied.
    #[must_use]
    pub fn touches(&self, place: JsonPath) -> bool {
        let kept = self.kept.borrow();
        kept.is_full() || (!kept.hidden.is_empty() && kept.touches(&self.pointer(place)))
    }

    /// Whether nothing is wrong so far.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many errors are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.kept.borrow().entries.len()
    }

    /// How many errors were found after so many were kept that the rest are
    /// only counted. The count may hold the same error more than once.
    #[must_use]
    pub fn left_out(&self) -> usize {
        self.kept.borrow().left_out
    }

    /// All errors in the order of the document.
    ///
    /// A missing field comes after the last member of the object it belongs
    /// to; errors at one place stay in the order in which they were noted.
    #[must_use]
    pub fn into_sorted(self, tree: &Node) -> Vec<RequestError> {
        self.in_order(self.kept.take().entries, tree)
    }

    /// All errors in the order of the document, of a collection that is still looked at.
    #[must_use]
    pub fn sorted(&self, tree: &Node) -> Vec<RequestError> {
        self.in_order(self.kept.borrow().entries.clone(), tree)
    }

    fn in_order(&self, entries: Vec<RequestError>, tree: &Node) -> Vec<RequestError> {
        let sorted = order::sorted(entries, |error| error.at.as_str(), tree);
        if self.is_query { sorted.into_iter().map(RequestError::of_query).collect() } else { sorted }
    }
}

impl Kept {
    fn is_full(&self) -> bool {
        !self.entries.is_empty() && (self.entries.len() >= MOST_KEPT || self.text >= MOST_TEXT)
    }

    /// Adds the error, unless its place is hidden.
    fn add_unless_hidden(&mut self, error: RequestError) -> Option<usize> {
        let pointer = error.at.as_str();
        if self.is_hidden(pointer) {
            self.text = self.text.saturating_add(pointer.len());
            return None;
        }
        self.add(error)
    }

    /// Adds the error and gives its number, or nothing if it is there already.
    fn add(&mut self, error: RequestError) -> Option<usize> {
        let pointer = error.at.as_str();
        self.text = self.text.saturating_add(pointer.len()).saturating_add(error.detail.len());
        let there = self.by_pointer.entry(pointer.to_owned()).or_default();
        let other = |index: &usize| self.entries.get(*index).map(|other| (other.code, &other.detail));
        if there.iter().any(|index| other(index) == Some((error.code, &error.detail))) {
            return None;
        }
        let ranged = |index: &&usize| other(index).is_some_and(|(code, _)| code == ErrorCode::OutOfRange);
        // One number has one range: the error noted last, by the rule, stands for both.
        let known = there.iter().find(ranged).copied().filter(|_| error.code == ErrorCode::OutOfRange);
        let index = known.unwrap_or(self.entries.len());
        if let Some(other) = self.entries.get_mut(index) {
            *other = error;
        } else {
            there.push(index);
            self.entries.push(error);
        }
        Some(index)
    }

    /// Whether a hidden place is this one or lies above it.
    fn is_hidden(&self, pointer: &str) -> bool {
        let mut above = pointer.match_indices('/').filter_map(|(at, _)| pointer.get(..at));
        !self.hidden.is_empty() && (self.hidden.contains(pointer) || above.any(|above| self.hidden.contains(above)))
    }

    /// Whether a hidden place is this one or lies above or under it.
    fn touches(&self, pointer: &str) -> bool {
        if self.is_hidden(pointer) {
            return true;
        }
        let start = format!("{pointer}/");
        let bounds = (Bound::Included(start.as_str()), Bound::Unbounded);
        let mut after = self.hidden.range::<str, _>(bounds);
        after.next().is_some_and(|next| next.starts_with(&start))
    }
}

/// An error just noted, to which particulars can be added.
///
/// If the error was dropped (see [`RequestErrors::push`]) they are dropped too.
#[derive(Debug)]
pub struct Pushed<'f> {
    errors: &'f RequestErrors,
    index: Option<usize>,
}

impl Pushed<'_> {
    fn with(&mut self, change: impl FnOnce(&mut RequestError)) -> &mut Self {
        let mut kept = self.errors.kept.borrow_mut();
        if let Some(error) = self.index.and_then(|index| kept.entries.get_mut(index)) {
            change(error);
        }
        self
    }

    /// Adds the known word nearest to the one given.
    pub fn nearest(&mut self, word: Option<&str>) -> &mut Self {
        self.with(|error| error.nearest = word.map(str::to_owned))
    }

    /// Adds the words allowed here.
    pub fn allowed(&mut self, words: &[&str]) -> &mut Self {
        self.with(|error| error.allowed = words.iter().map(|&word| word.to_owned()).collect())
    }

    /// Adds the smallest number or length allowed here.
    pub fn min(&mut self, min: impl Into<Option<f64>>) -> &mut Self {
        let min = min.into();
        self.with(|error| error.min = min)
    }

    /// Adds the largest number or length allowed here.
    pub fn max(&mut self, max: impl Into<Option<f64>>) -> &mut Self {
        let max = max.into();
        self.with(|error| error.max = max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_places_stay_silent() {
        let errors = RequestErrors::body();
        let root = JsonPath::root();
        let bed = root.field("bed");
        errors.push(bed, ErrorCode::WrongType, "first");
        errors.hide(bed);
        errors.push(bed, ErrorCode::OutOfRange, "second");
        errors.push(bed.field("width"), ErrorCode::OutOfRange, "third");
        errors.push(root.field("bedding"), ErrorCode::OutOfRange, "fourth");
        assert_eq!(errors.len(), 2);
        assert!(errors.touches(root));
        assert!(errors.touches(bed.field("width")));
        assert!(!errors.touches(root.field("be")));
        assert!(!errors.touches(root.field("bedding")));
    }

    #[test]
    fn the_same_fault_is_kept_once_and_the_number_is_bounded() {
        let errors = RequestErrors::body();
        let root = JsonPath::root();
        for _ in 0..3 {
            errors.push(root, ErrorCode::TooLarge, "same");
        }
        assert_eq!(errors.len(), 1);
        for index in 0..5_000 {
            errors.push(root.index(index), ErrorCode::TooLarge, "other");
        }
        assert_eq!(errors.len(), 1_000);
        assert_eq!(errors.left_out(), 4_001);
    }

    #[test]
    fn what_stands_below_a_place_is_reported_there() {
        let errors = RequestErrors::body();
        let root = JsonPath::root();
        let season = root.field("season");
        errors.hide(season.field("until"));
        let below = errors.below(season);
        below.push(root.field("until"), ErrorCode::OutOfRange, "hidden");
        below.push(root.field("demands").index(0), ErrorCode::OutOfRange, "first");
        assert!(below.touches(root.field("until")) && !below.touches(root.field("demands")));
        assert!(!below.is_empty());
        let all = errors.into_sorted(&Node::Null);
        assert_eq!(all.iter().map(|error| error.at.as_str()).collect::<Vec<_>>(), ["/season/demands/0"]);
    }

    #[test]
    fn particulars_are_added() {
        let errors = RequestErrors::query();
        let root = JsonPath::root();
        let mut pushed = errors.push(root.field("li/mit"), ErrorCode::OutOfRange, "x");
        pushed.min(1.0).max(9.0).nearest(Some("n")).allowed(&["a"]);
        let all = errors.into_sorted(&Node::Null);
        let error = all.first().unwrap();
        assert_eq!(error.at, Where::Query { parameter: "li/mit".to_owned() });
        assert_eq!((error.min, error.max), (Some(1.0), Some(9.0)));
        assert_eq!(error.nearest.as_deref(), Some("n"));
        assert_eq!(error.allowed, ["a"]);
    }
}
