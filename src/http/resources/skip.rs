//! `"on_error": "skip"`: a request is answered without the items that have errors, and the answer says which.

use crate::garden::work::{MAX_STEPS, Work};
use crate::http::output::skipped::SkippedOut;
use crate::http::wire::{Node, RequestError, RequestErrors, Where, noun, with_items};
use serde::Deserialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What happens to a request if an item has errors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OnError {
    /// The request is refused with all its errors; the default.
    Refuse,
    /// Areas, beds, heaps, brews, lots and demands with errors are left out, and the answer says which in `skipped`. A list of which none
    /// would be left refuses the request.
    Skip,
}

/// The lists of which an item can be left out: the rest then still means what it did.
const LISTS: [&str; 6] = ["areas", "worm_beds", "heaps", "brews", "stock", "demands"];

/// How many times a request is read again without what had errors: some errors show only once others are gone. Rounds in which errors
/// were only counted come besides, as far as the work of an answer goes.
const ROUNDS: usize = 5;
/// Steps to read and drop a value of a request again, without some items or with what a variant changes. Source: how this service works.
pub const STEPS_FOR_VALUE: u64 = 40;

/// Whether the request is to be answered without items that have errors.
pub fn is_asked_for(tree: &Node<'_>) -> bool {
    tree.get("on_error").and_then(Node::as_text) == Some("skip")
}

/// An item of a list: the name of the list, and the place in the request as it came.
type Item<'q> = (&'q str, usize);

/// A request without some of its items.
struct Rest<'q> {
    tree: Node<'q>,
    /// For each list, where the items that are left were in the request.
    places: BTreeMap<&'static str, Vec<usize>>,
}

impl<'q> Rest<'q> {
    fn of(tree: &Node<'q>) -> Self {
        let places = LISTS.iter().filter_map(|list| match tree.get(list) {
            Some(Node::List(items)) => Some((*list, (0..items.len()).collect())),
            _ => None,
        });
        Self { tree: tree.clone(), places: places.collect() }
    }

    /// The item that a pointer leads to or into, and the pointer in the request as it came.
    fn item(&self, pointer: &str) -> Option<(Item<'static>, String)> {
        let mut steps = pointer.strip_prefix('/')?.splitn(3, '/');
        let (list, index) = (steps.next()?, steps.next()?.parse::<usize>().ok()?);
        let (list, places) = self.places.get_key_value(list)?;
        let place = *places.get(index)?;
        let rest = steps.next().map(|rest| format!("/{rest}")).unwrap_or_default();
        Some(((list, place), format!("/{list}/{place}{rest}")))
    }

    /// The errors of each item, at its place in the request as it came; nothing if one is not of an item.
    fn found(&self, errors: RequestErrors, tree: &Node<'_>) -> Option<BTreeMap<Item<'static>, Vec<RequestError>>> {
        let mut found: BTreeMap<Item<'static>, Vec<RequestError>> = BTreeMap::new();
        for mut error in errors.into_sorted(&self.tree) {
            let Where::Body { pointer } = &mut error.at else { return None };
            let (item, original) = self.item(pointer)?;
            error.detail = with_items(error.detail, &original, tree);
            *pointer = original;
            found.entry(item).or_default().push(error);
        }
        Some(found)
    }

    /// Leaves items out, or says why not: if a list is then empty, it would be the request of somebody else.
    fn without(self, items: &BTreeMap<Item<'_>, Vec<RequestError>>) -> Result<Self, String> {
        let Self { tree, mut places } = self;
        let Node::Object(mut members) = tree else { return Err(ELSEWHERE.to_owned()) };
        for (name, value) in &mut members {
            let (Some(left), Node::List(entries)) = (places.get_mut(name.as_ref()), value) else { continue };
            let stays: Vec<bool> = left.iter().map(|place| !items.contains_key(&(name.as_ref(), *place))).collect();
            let mut of_entries = stays.iter();
            entries.retain(|_| of_entries.next().copied().unwrap_or(true));
            let mut of_places = stays.iter();
            left.retain(|_| of_places.next().copied().unwrap_or(true));
            if left.is_empty() {
                let noun = noun(name);
                return Err(format!(
                    "Nothing is left out, because no {noun} would remain: correct at least one {noun}."
                ));
            }
        }
        Ok(Self { tree: Node::Object(members), places })
    }
}

/// Why nothing is left out where the request as a whole has an error.
const ELSEWHERE: &str =
    "Nothing is left out, because an error is not in an item that can be left out: correct that error first.";
/// Why nothing is left out where errors go on and on.
const TOO_MANY: &str =
    "Nothing is left out, because there are too many errors to leave them all out: correct some, or split the request.";

/// Answers a request without the items that have errors, by the way in which it is answered. `Err` says why nothing can be left out, and the
/// request is then refused as ever.
pub fn answer<T>(
    tree: &Node<'_>,
    mut errors: RequestErrors,
    answered: impl Fn(&Node<'_>, Vec<SkippedOut>) -> Result<T, RequestErrors>,
) -> Result<T, String> {
    let mut rest = Rest::of(tree);
    let mut skipped: BTreeMap<Item<'static>, Vec<RequestError>> = BTreeMap::new();
    let (mut rounds, mut work) = (0, Work::default());
    while rounds < ROUNDS && work.count() <= MAX_STEPS {
        rounds += usize::from(errors.left_out() == 0);
        let found = rest.found(errors, tree).ok_or(ELSEWHERE)?;
        rest = rest.without(&found)?;
        skipped.extend(found);
        work = work.and(Work::of(rest.tree.count(), STEPS_FOR_VALUE));
        let left_out = skipped.iter().map(|((list, place), errors)| SkippedOut::new(tree, (list, *place), errors));
        match answered(&rest.tree, left_out.collect()) {
            Ok(answer) => return Ok(answer),
            Err(others) => errors = others,
        }
    }
    Err(TOO_MANY.to_owned())
}
