//! What can be wrong, and the collection of all that is.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;

pub use super::codes::FaultCode;
use super::order;
use super::place::{Place, unescape};
use super::tree::Node;
pub use super::words::nearest;

/// The most faults that are kept; the rest are only counted.
const MOST_KEPT: usize = 1_000;
/// The most text (in bytes) spent on pointers and sentences before the rest of
/// the faults are only counted, so that no body can make its refusal costly.
const MOST_TEXT: usize = 8 * 1024 * 1024;

/// The part of a request that a fault is about.
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
}

impl Where {
    /// The pointer or the name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        match self {
            Self::Body { pointer } => pointer,
            Self::Query { parameter } => parameter,
        }
    }
}

/// One thing that is wrong, where, and how to mend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Where it is wrong.
    pub at: Where,
    /// What kind of fault it is.
    pub code: FaultCode,
    /// The fault in words.
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

impl Fault {
    /// A fault at a place of the body, without particulars.
    pub(crate) const fn new(pointer: String, code: FaultCode, detail: String) -> Self {
        let at = Where::Body { pointer };
        Self { at, code, detail, nearest: None, allowed: Vec::new(), min: None, max: None }
    }

    /// The same fault at the parameter that its place begins with.
    fn of_query(self) -> Self {
        let first = self.at.as_str().split('/').nth(1).unwrap_or_default();
        Self { at: Where::Query { parameter: unescape(first) }, ..self }
    }
}

/// The faults found so far.
///
/// A place at which a placeholder was handed out is hidden: later faults at it
/// or under it are dropped, because they would only be about the placeholder.
#[must_use]
#[derive(Debug, Default)]
pub struct Faults {
    is_query: bool,
    kept: RefCell<Kept>,
}

/// What a [`Faults`] holds.
#[derive(Debug, Default)]
struct Kept {
    entries: Vec<Fault>,
    by_pointer: BTreeMap<String, Vec<usize>>,
    hidden: BTreeSet<String>,
    text: usize,
    left_out: usize,
}

impl Faults {
    /// An empty collection for a body.
    pub fn body() -> Self {
        Self::default()
    }

    /// An empty collection for a query: faults are told by parameter.
    pub fn query() -> Self {
        Self { is_query: true, ..Self::default() }
    }

    /// Notes a fault, unless its place is hidden or the same fault is noted
    /// already. What is returned takes further particulars.
    pub fn push(&self, place: Place, code: FaultCode, detail: impl Into<String>) -> Pushed<'_> {
        let index = if self.is_full_by_one_more() {
            None
        } else {
            self.kept.borrow_mut().add_unless_hidden(Fault::new(place.to_pointer(), code, detail.into()))
        };
        Pushed { faults: self, index }
    }

    /// Notes a fault of the document that no placeholder can have caused, so
    /// that it is told even if its place is hidden.
    pub(crate) fn push_even_hidden(&self, place: Place, code: FaultCode, detail: String) {
        self.kept.borrow_mut().add(Fault::new(place.to_pointer(), code, detail));
    }

    /// Whether no more faults are kept. If so, one more is counted, so that
    /// whoever found it need not put it into words.
    pub(crate) fn is_full_by_one_more(&self) -> bool {
        let mut kept = self.kept.borrow_mut();
        let full = kept.is_full();
        kept.left_out = kept.left_out.saturating_add(usize::from(full));
        full
    }

    /// Hides the place: later faults at it or under it are dropped.
    pub fn hide(&self, place: Place) {
        let mut kept = self.kept.borrow_mut();
        if !kept.is_full() {
            let pointer = place.to_pointer();
            kept.text = kept.text.saturating_add(pointer.len());
            kept.hidden.insert(pointer);
        }
    }

    /// Whether the value read at this place is a placeholder, lies in one or
    /// has one in it. Rules over several fields should then not be applied.
    #[must_use]
    pub fn touches(&self, place: Place) -> bool {
        let kept = self.kept.borrow();
        kept.is_full() || (!kept.hidden.is_empty() && kept.touches(&place.to_pointer()))
    }

    /// Whether nothing is wrong so far.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many faults are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.kept.borrow().entries.len()
    }

    /// How many faults were found after so many were kept that the rest are
    /// only counted. The count may hold the same fault more than once.
    #[must_use]
    pub fn left_out(&self) -> usize {
        self.kept.borrow().left_out
    }

    /// All faults in the order of the document.
    ///
    /// A missing field comes after the last member of the object it belongs
    /// to; faults at one place stay in the order in which they were noted.
    #[must_use]
    pub fn into_sorted(self, tree: &Node) -> Vec<Fault> {
        let sorted = order::sorted(self.kept.into_inner().entries, |fault| fault.at.as_str(), tree);
        if self.is_query { sorted.into_iter().map(Fault::of_query).collect() } else { sorted }
    }
}

impl Kept {
    fn is_full(&self) -> bool {
        !self.entries.is_empty() && (self.entries.len() >= MOST_KEPT || self.text >= MOST_TEXT)
    }

    /// Adds the fault, unless its place is hidden.
    fn add_unless_hidden(&mut self, fault: Fault) -> Option<usize> {
        let pointer = fault.at.as_str();
        if self.is_hidden(pointer) {
            self.text = self.text.saturating_add(pointer.len());
            return None;
        }
        self.add(fault)
    }

    /// Adds the fault and gives its number, or nothing if it is there already.
    fn add(&mut self, fault: Fault) -> Option<usize> {
        let pointer = fault.at.as_str();
        self.text = self.text.saturating_add(pointer.len()).saturating_add(fault.detail.len());
        let there = self.by_pointer.entry(pointer.to_owned()).or_default();
        let other = |index: &usize| self.entries.get(*index).map(|other| (other.code, &other.detail));
        if there.iter().any(|index| other(index) == Some((fault.code, &fault.detail))) {
            return None;
        }
        let ranged = |index: &&usize| other(index).is_some_and(|(code, _)| code == FaultCode::OutOfRange);
        // One number has one range: the fault noted last, by the rule, stands for both.
        let known = there.iter().find(ranged).copied().filter(|_| fault.code == FaultCode::OutOfRange);
        let index = known.unwrap_or(self.entries.len());
        if let Some(other) = self.entries.get_mut(index) {
            *other = fault;
        } else {
            there.push(index);
            self.entries.push(fault);
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

/// A fault just noted, to which particulars can be added.
///
/// If the fault was dropped (see [`Faults::push`]) they are dropped too.
#[derive(Debug)]
pub struct Pushed<'f> {
    faults: &'f Faults,
    index: Option<usize>,
}

impl Pushed<'_> {
    fn with(&mut self, change: impl FnOnce(&mut Fault)) -> &mut Self {
        let mut kept = self.faults.kept.borrow_mut();
        if let Some(fault) = self.index.and_then(|index| kept.entries.get_mut(index)) {
            change(fault);
        }
        self
    }

    /// Adds the known word nearest to the one given.
    pub fn nearest(&mut self, word: Option<&str>) -> &mut Self {
        self.with(|fault| fault.nearest = word.map(str::to_owned))
    }

    /// Adds the words allowed here.
    pub fn allowed(&mut self, words: &[&str]) -> &mut Self {
        self.with(|fault| fault.allowed = words.iter().map(|&word| word.to_owned()).collect())
    }

    /// Adds the smallest number or length allowed here.
    pub fn min(&mut self, min: impl Into<Option<f64>>) -> &mut Self {
        let min = min.into();
        self.with(|fault| fault.min = min)
    }

    /// Adds the largest number or length allowed here.
    pub fn max(&mut self, max: impl Into<Option<f64>>) -> &mut Self {
        let max = max.into();
        self.with(|fault| fault.max = max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_places_stay_silent() {
        let faults = Faults::body();
        let root = Place::root();
        let bed = root.field("bed");
        faults.push(bed, FaultCode::WrongType, "first");
        faults.hide(bed);
        faults.push(bed, FaultCode::OutOfRange, "second");
        faults.push(bed.field("width"), FaultCode::OutOfRange, "third");
        faults.push(root.field("bedding"), FaultCode::OutOfRange, "fourth");
        assert_eq!(faults.len(), 2);
        assert!(faults.touches(root));
        assert!(faults.touches(bed.field("width")));
        assert!(!faults.touches(root.field("be")));
        assert!(!faults.touches(root.field("bedding")));
    }

    #[test]
    fn the_same_fault_is_kept_once_and_the_number_is_bounded() {
        let faults = Faults::body();
        let root = Place::root();
        for _ in 0..3 {
            faults.push(root, FaultCode::TooLarge, "same");
        }
        assert_eq!(faults.len(), 1);
        for index in 0..5_000 {
            faults.push(root.index(index), FaultCode::TooLarge, "other");
        }
        assert_eq!(faults.len(), 1_000);
        assert_eq!(faults.left_out(), 4_001);
    }

    #[test]
    fn particulars_are_added() {
        let faults = Faults::query();
        let root = Place::root();
        let mut pushed = faults.push(root.field("li/mit"), FaultCode::OutOfRange, "x");
        pushed.min(1.0).max(9.0).nearest(Some("n")).allowed(&["a"]);
        let all = faults.into_sorted(&Node::Null);
        let fault = all.first().unwrap();
        assert_eq!(fault.at, Where::Query { parameter: "li/mit".to_owned() });
        assert_eq!((fault.min, fault.max), (Some(1.0), Some(9.0)));
        assert_eq!(fault.nearest.as_deref(), Some("n"));
        assert_eq!(fault.allowed, ["a"]);
    }
}
