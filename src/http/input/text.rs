//! Ids and names: echoed unchanged, so they must be short and free of control characters.

use super::RequestContext;
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::{JsonPath, noun};
use std::collections::BTreeMap;
use validator::ValidationError;

/// Refuses control characters.
///
/// # Errors
/// With the code `bad_text`.
pub fn no_control(text: &str) -> Result<(), ValidationError> {
    if text.chars().any(char::is_control) {
        let message = "Control characters (line breaks and tabs among them) are not accepted here.";
        return Err(ValidationError::new("bad_text").with_message(message.into()));
    }
    Ok(())
}

impl RequestContext<'_> {
    /// Refuses an id that is twice in one list; a repeated name is fine.
    pub fn unique_ids<'i>(&self, ids: impl Iterator<Item = Option<&'i str>>, list: JsonPath<'_>) {
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        for (i, id) in ids.enumerate() {
            let Some(id) = id else { continue };
            match seen.get(id) {
                Some(first) => {
                    let noun = noun(list.name().unwrap_or_default());
                    let detail = format!("the id is already that of {noun} {}; give each {noun} its own", first + 1);
                    self.refuse(list.index(i).field("id"), Refusal::new(Reason::RepeatedId, detail));
                }
                None => {
                    seen.insert(id, i);
                }
            }
        }
    }
}
