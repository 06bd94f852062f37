//! Items of a request that were left out of its answer.

use super::error::ErrorOut;
use crate::http::wire::{Node, RequestError};
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// An item of the request that has errors and was left out.
#[skip_serializing_none]
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Skipped)]
pub struct SkippedOut {
    /// Where it is in the request.
    #[schema(example = "/areas/3")]
    pub pointer: String,
    /// Its id, where it has one.
    pub id: Option<String>,
    /// Its name, where it has one.
    pub name: Option<String>,
    /// What is wrong with it.
    pub errors: Vec<ErrorOut>,
}

impl SkippedOut {
    /// The item at this place of a list of the request.
    #[must_use]
    pub fn new(tree: &Node<'_>, (list, place): (&str, usize), errors: &[RequestError]) -> Self {
        let item = match tree.get(list) {
            Some(Node::List(items)) => items.get(place),
            _ => None,
        };
        let text = |name| item.and_then(|item| item.get(name)).and_then(Node::as_text).map(str::to_owned);
        Self {
            pointer: format!("/{list}/{place}"),
            id: text("id"),
            name: text("name"),
            errors: errors.iter().cloned().map(ErrorOut::from).collect(),
        }
    }
}

/// How many items of the request are left out: `1 item has errors and is left out`.
#[must_use]
pub fn how_many(count: usize) -> String {
    if count == 1 {
        "1 item has errors and is left out".to_owned()
    } else {
        format!("{count} items have errors and are left out")
    }
}

/// A headline that says first how many items it leaves out.
#[must_use]
pub fn with_left_out(headline: String, skipped: &[SkippedOut]) -> String {
    if skipped.is_empty() { headline } else { format!("{}. {headline}", how_many(skipped.len())) }
}

/// The rest of such a headline.
#[must_use]
pub fn without_left_out<'h>(headline: &'h str, skipped: &[SkippedOut]) -> &'h str {
    let rest = headline.strip_prefix(&how_many(skipped.len())).and_then(|rest| rest.strip_prefix(". "));
    rest.unwrap_or(headline)
}

/// What is wrong with the items that are left out: each error names its item.
pub fn in_words(skipped: &[SkippedOut]) -> impl Iterator<Item = &str> {
    skipped.iter().flat_map(|item| &item.errors).map(|error| error.detail.as_str())
}
