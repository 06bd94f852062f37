//! What values of a request are from, where it says so.

use super::RequestContext;
use crate::http::wire::JsonPath;
use std::ops::Bound;

/// What a value is from: in words, and from how many observations.
#[derive(Debug, Clone)]
pub struct GivenSource {
    /// In words.
    pub text: String,
    /// From how many observations.
    pub observations: Option<u32>,
}

impl RequestContext<'_> {
    /// Notes what a value is from.
    pub fn note_source(&self, place: JsonPath<'_>, text: &str, observations: Option<u32>) {
        let source = GivenSource { text: text.to_owned(), observations };
        self.sources.borrow_mut().insert(place.to_pointer(), source);
    }

    /// What the value of an assumption is from that the item of this pointer gives, or the request where there is none.
    #[must_use]
    pub fn source_of(&self, id: &str, item: Option<&str>) -> Option<GivenSource> {
        let sources = self.sources.borrow();
        if sources.is_empty() {
            return None;
        }
        let end = format!("/assumptions/{id}");
        let Some(item) = item else { return sources.get(&end).cloned() };
        // Some are deeper in their item. Those of one item are together in the map.
        let below = format!("{item}/");
        let from = (Bound::Included(below.as_str()), Bound::Unbounded);
        let mut of_item = sources.range::<str, _>(from).take_while(|(place, _)| place.starts_with(&below));
        of_item.find(|(place, _)| place.ends_with(&end)).map(|(_, source)| source.clone())
    }
}
