//! What can be wrong, and the collection of all that is.

use std::cell::RefCell;
use std::rc::Rc;

pub use super::codes::ErrorCode;
use super::kept::Kept;
pub use super::kept::{RequestError, Where};
use super::order;
use super::path::JsonPath;
pub use super::sentences::nearest;
use super::tree::Node;

/// The errors found so far.
///
/// A place at which a placeholder was handed out is hidden: later errors at it
/// or under it are dropped, because they would only be about the placeholder.
#[must_use]
#[derive(Debug, Default)]
pub struct RequestErrors {
    is_query: bool,
    /// The place of everything that is read with it, as a pointer.
    above: String,
    kept: Rc<RefCell<Kept>>,
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

    /// The same collection for what is at a place of the body and is read as a document of its own.
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

    /// `None` once something is wrong: such a request is not answered.
    #[must_use]
    pub fn none(&self) -> Option<()> {
        self.is_empty().then_some(())
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
    fn what_is_below_a_place_is_reported_there() {
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
