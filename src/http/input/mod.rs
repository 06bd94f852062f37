//! From the wire to the core: quantities, containers, assumptions, surfaces, rates. After this context only values exist
//! that the core accepts; what is refused is reported with its place.

pub mod assumptions;
mod assumptions_schema;
pub mod bounded;
pub mod castings;
pub mod climate;
pub mod containers;
pub mod correlations;
pub mod enums;
mod feed;
mod feedstock;
pub mod ground;
pub mod heap;
pub mod list;
pub mod manure;
pub mod piece_size;
pub mod price;
pub mod quantity;
pub mod quantity_schema;
pub mod rate;
pub mod repeat;
mod sources;
pub mod surface;
pub mod text;
pub mod union;
mod unknown_assumption;
mod ways;

use crate::garden::assumptions::{Assumed, Assumption, Known, Overrides};
use crate::garden::cautions::Rule;
use crate::garden::dates::date;
use crate::garden::figures::Book;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Estimate, Measured, Reader};
use crate::garden::work::Work;
use crate::http::limits::MAX_BATCHES;
use crate::http::output::Recording;
use crate::http::output::Texts;
use crate::http::output::quantity::Role;
use crate::http::output::skipped::SkippedOut;
use crate::http::wire::{ErrorCode, JsonPath, RequestErrors, capital};
use chrono::NaiveDate;
use quantity::{Due, QuantityInput};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

/// What one request is read with: its containers and assumptions, and where errors and notes are kept.
#[must_use]
pub struct RequestContext<'f> {
    /// Where errors go.
    pub errors: &'f RequestErrors,
    /// The caller's containers.
    pub reader: Reader,
    /// The assumptions of the request as a whole.
    pub overrides: Overrides,
    /// Places whose low and high were checked and then not used.
    unused_ranges: RefCell<Vec<String>>,
    /// Assumptions of the request that some answer used.
    used: RefCell<Vec<Assumption>>,
    /// Places of assumptions of items that their answer did not use.
    unused_assumptions: RefCell<Vec<String>>,
    /// Places of assumptions of items that something else made use of.
    effective: RefCell<BTreeSet<String>>,
    /// What values of the request and its items are from, where it says so, by their places.
    sources: RefCell<BTreeMap<String, sources::GivenSource>>,
    /// Places of fields that are of use only beside others, and of those that were.
    fields: RefCell<Fields>,
    /// What was assumed besides what the items tell: to turn a mass of castings into a volume.
    pub assumed: RefCell<Vec<Assumed>>,
    /// Places of quantities in which a name of several units was read as the US one.
    pub us_customary: RefCell<BTreeSet<String>>,
    /// Batches of tea so far.
    batches: Cell<usize>,
    /// Times of all items that repeat, so far.
    times: Cell<usize>,
    /// Where figures are recorded, where they are to be explained.
    pub recording: Option<&'f Recording>,
    /// How much of the texts the answer repeats.
    pub texts: Texts,
    /// Items of the request that were left out.
    pub skipped: Vec<SkippedOut>,
    /// Work of the same answer before this request: that of what this one is a variant of.
    pub beside: Work,
    /// Work that this request took so far.
    spent: Cell<Work>,
}

/// Fields that are of use only beside others.
#[derive(Debug, Default)]
struct Fields {
    idle: Vec<String>,
    used: BTreeSet<String>,
}

impl<'f> RequestContext<'f> {
    /// A context without containers and assumptions yet.
    pub fn new(errors: &'f RequestErrors) -> Self {
        Self {
            errors,
            reader: Reader::default(),
            overrides: Overrides::default(),
            unused_ranges: RefCell::default(),
            used: RefCell::default(),
            unused_assumptions: RefCell::default(),
            effective: RefCell::default(),
            sources: RefCell::default(),
            fields: RefCell::default(),
            assumed: RefCell::default(),
            us_customary: RefCell::default(),
            batches: Cell::default(),
            times: Cell::default(),
            recording: None,
            texts: Texts::default(),
            skipped: Vec::new(),
            beside: Work::default(),
            spent: Cell::default(),
        }
    }

    /// Whether the request is a variant of another.
    #[must_use]
    pub fn is_variant(&self) -> bool {
        self.beside > Work::default()
    }

    /// Notes work that is done for this request.
    pub fn spend(&self, work: Work) {
        self.spent.set(self.spent.get().and(work));
    }

    /// The work that this request took so far.
    #[must_use]
    pub fn spent(&self) -> Work {
        self.spent.get()
    }

    /// The same containers and assumptions, with errors and notes of its own: to look ahead.
    pub fn apart<'g>(&self, errors: &'g RequestErrors) -> RequestContext<'g> {
        RequestContext { reader: self.reader.clone(), overrides: self.overrides.clone(), ..RequestContext::new(errors) }
    }

    /// Where figures are recorded.
    #[must_use]
    pub fn book(&self) -> Option<&Book> {
        self.recording.map(|recording| &recording.book)
    }

    /// A quantity that was read at this place, as a figure that knows it.
    pub fn asked<D: Measured>(&self, role: Role, value: impl Into<Estimate<D>>, place: JsonPath<'_>) -> Estimate<D> {
        let value = value.into();
        self.recording.map_or(value, |it| it.asked(role, value, place.to_pointer()))
    }

    /// As [`Self::exact`], as a figure that knows its place.
    pub fn figure<D: Measured>(&self, role: Role, input: &QuantityInput, place: JsonPath<'_>) -> Option<Estimate<D>> {
        Some(self.asked(role, self.exact(input, place)?, place))
    }

    /// As [`Self::exact_between`], as a figure that knows its place.
    pub fn figure_between<D: Measured>(
        &self,
        role: Role,
        (input, bounds): (&QuantityInput, (f64, f64)),
        place: JsonPath<'_>,
    ) -> Option<Estimate<D>> {
        Some(self.asked(role, self.exact_between(input, bounds, place)?, place))
    }

    /// A quantity with its range, as a figure that knows its place.
    pub fn range<D: Measured>(
        &self,
        role: Role,
        (input, due): (&QuantityInput, Due<'_>),
        place: JsonPath<'_>,
    ) -> Option<Estimate<D>> {
        let (_, span) = self.span(input, due, place)?;
        Some(self.asked(role, span.estimate::<D>(), place))
    }

    /// Records a refusal of the core at a place, or at the field below it that the refusal names; none that follows from another.
    pub fn refuse(&self, place: JsonPath<'_>, refusal: Refusal) {
        if refusal.follows {
            return;
        }
        let at = refusal.field.map_or(place, |field| place.field(field));
        let code = ErrorCode::find(refusal.reason.as_str()).unwrap_or(ErrorCode::ImpossibleValue);
        let allowed: Vec<&str> = refusal.allowed.iter().map(String::as_str).collect();
        let mut pushed = self.errors.push(at, code, capital(&refusal.detail));
        pushed.nearest(refusal.nearest.as_deref()).allowed(&allowed).min(refusal.min).max(refusal.max);
    }

    /// The value, or `None` after recording the refusal.
    pub fn keep<T>(&self, place: JsonPath<'_>, result: Result<T, Refusal>) -> Option<T> {
        result.map_err(|refusal| self.refuse(place, refusal)).ok()
    }

    /// Reads an optional date.
    pub fn day(&self, text: Option<&str>, place: JsonPath<'_>) -> Option<Option<NaiveDate>> {
        optionally(text, |text| self.keep(place, date(text)))
    }

    /// Runs the core with what the request and the item know, and notes which of it was used.
    pub fn with_known<T>(
        &self,
        place: JsonPath<'_>,
        item: &Overrides,
        compute: impl FnOnce(Known<'_>) -> Result<T, Refusal>,
    ) -> Option<T> {
        let known = Known { request: &self.overrides, item };
        // What contradicts itself is in the item's assumptions, or else in those of the request.
        let of_request = |refusal: &Refusal| refusal.field == Some("assumptions") && item.is_empty();
        compute(known)
            .map_err(|refusal| self.refuse(if of_request(&refusal) { JsonPath::root() } else { place }, refusal))
            .ok()
    }

    /// Notes what an answer used of the item's and the request's assumptions.
    pub fn note_used(&self, place: JsonPath<'_>, item: &Overrides, assumed: &[crate::garden::assumptions::Assumed]) {
        if !self.overrides.is_empty() {
            let mut used = self.used.borrow_mut();
            let new = assumed.iter().map(|a| a.assumption).filter(|a| self.overrides.get(*a).is_some());
            for assumption in new {
                if !used.contains(&assumption) {
                    used.push(assumption);
                }
            }
        }
        for (assumption, _) in item.iter() {
            if !assumed.iter().any(|a| a.assumption == assumption) {
                let pointer = place.field("assumptions").field(assumption.id()).to_pointer();
                self.unused_assumptions.borrow_mut().push(pointer);
            }
        }
    }

    /// Takes back that an assumption of an item has no effect.
    pub fn took_effect(&self, place: JsonPath<'_>, which: crate::garden::assumptions::Assumption) {
        self.effective.borrow_mut().insert(place.field("assumptions").field(which.id()).to_pointer());
    }

    /// Counts batches of tea, or refuses them once all brews together make too many.
    pub fn count_batches(&self, place: JsonPath<'_>, batches: usize) -> Option<()> {
        self.batches.set(self.batches.get().saturating_add(batches));
        if self.batches.get() <= MAX_BATCHES {
            return Some(());
        }
        let detail = format!(
            "up to here the brews make more than {MAX_BATCHES} batches; take larger brewers, or split the request"
        );
        self.refuse(place, Refusal::new(Reason::TooLarge, detail));
        None
    }

    /// Notes a field that only counts where something asks for it.
    pub fn may_be_idle(&self, place: JsonPath<'_>) {
        self.fields.borrow_mut().idle.push(place.to_pointer());
    }

    /// Notes that such a field counts.
    pub fn counts(&self, place: JsonPath<'_>) {
        self.fields.borrow_mut().used.insert(place.to_pointer());
    }

    /// True if such a field counts, as far as is read.
    #[must_use]
    pub fn is_counted(&self, place: JsonPath<'_>) -> bool {
        self.fields.borrow().used.contains(&place.to_pointer())
    }

    /// What was given and not used, as pointers: ranges, assumptions of items and of the request, fields.
    #[must_use]
    pub fn unused(&self) -> [(Rule, Vec<String>); 3] {
        let (used, fields) = (self.used.borrow(), self.fields.borrow());
        let root = JsonPath::root();
        let of_request = root.field("assumptions");
        let unused = self.overrides.iter().filter(|(assumption, _)| !used.contains(assumption));
        let effective = self.effective.borrow();
        let items = self.unused_assumptions.borrow();
        let mut assumptions: Vec<String> = items.iter().filter(|at| !effective.contains(*at)).cloned().collect();
        assumptions.extend(unused.map(|(assumption, _)| of_request.field(assumption.id()).to_pointer()));
        let mut reported = fields.used.clone();
        let idle = fields.idle.iter().filter(|pointer| reported.insert((*pointer).clone())).cloned().collect();
        [
            (Rule::RangeNotUsed, self.unused_ranges.borrow().clone()),
            (Rule::AssumptionNotUsed, assumptions),
            (Rule::FieldNotUsed, idle),
        ]
    }
}

/// Reads what may be left out: `Some(None)` where it is, `None` only after an error.
pub fn optionally<T, U>(input: Option<T>, read: impl FnOnce(T) -> Option<U>) -> Option<Option<U>> {
    input.map_or(Some(None), |input| read(input).map(Some))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_of_the_core_has_a_code_on_the_wire() {
        for reason in Reason::ALL {
            assert!(ErrorCode::find(reason.as_str()).is_some(), "{reason:?}");
        }
    }
}
