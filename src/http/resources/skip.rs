//! `"on_error": "skip"`: a request is answered without the items that have errors, and the answer says which.

use crate::http::output::skipped::SkippedOut;
use crate::http::wire::{Node, RequestError, RequestErrors, Where, with_items};
use serde::Deserialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What becomes of a request of which an item has errors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OnError {
    /// The request is refused with all its errors; the default.
    Refuse,
    /// Areas, beds, heaps, brews, lots and demands with errors are left out, and the answer says which in `skipped`.
    Skip,
}

/// The lists of which an item can be left out: the rest then still means what it did.
const LISTS: [&str; 6] = ["areas", "worm_beds", "heaps", "brews", "stock", "demands"];

/// How many times a request is read again without what had errors: some errors show only once others are gone.
const ROUNDS: usize = 5;

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

    /// Leaves items out. Nothing if a list is then empty: it would be the request of somebody else.
    fn without(self, items: &BTreeMap<Item<'_>, Vec<RequestError>>) -> Option<Self> {
        let Self { tree, mut places } = self;
        let Node::Object(mut members) = tree else { return None };
        for (name, value) in &mut members {
            let (Some(left), Node::List(entries)) = (places.get_mut(name.as_ref()), value) else { continue };
            let stays: Vec<bool> = left.iter().map(|place| !items.contains_key(&(name.as_ref(), *place))).collect();
            let mut of_entries = stays.iter();
            entries.retain(|_| of_entries.next().copied().unwrap_or(true));
            let mut of_places = stays.iter();
            left.retain(|_| of_places.next().copied().unwrap_or(true));
            if left.is_empty() {
                return None;
            }
        }
        Some(Self { tree: Node::Object(members), places })
    }
}

/// Answers a request without the items that have errors, by the way in which it is answered. `None` if it has an error elsewhere, or none but
/// wrong items: it is then refused as ever.
pub fn answer<T>(
    tree: &Node<'_>,
    mut errors: RequestErrors,
    answered: impl Fn(&Node<'_>, Vec<SkippedOut>) -> Result<T, RequestErrors>,
) -> Option<T> {
    let mut rest = Rest::of(tree);
    let mut skipped: BTreeMap<Item<'static>, Vec<RequestError>> = BTreeMap::new();
    for _ in 0..ROUNDS {
        let mut found: BTreeMap<Item<'static>, Vec<RequestError>> = BTreeMap::new();
        for mut error in errors.into_sorted(&rest.tree) {
            let Where::Body { pointer } = &mut error.at else { return None };
            let (item, original) = rest.item(pointer)?;
            error.detail = with_items(error.detail, &original, tree);
            *pointer = original;
            found.entry(item).or_default().push(error);
        }
        rest = rest.without(&found)?;
        skipped.extend(found);
        let left_out = skipped.iter().map(|((list, place), errors)| SkippedOut::new(tree, (list, *place), errors));
        match answered(&rest.tree, left_out.collect()) {
            Ok(answer) => return Some(answer),
            Err(others) => errors = others,
        }
    }
    None
}
