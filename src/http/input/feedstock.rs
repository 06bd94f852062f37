//! A material of the table, by its id.

use super::RequestContext;
use crate::garden::feeds::{Feedstock, materials};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::{JsonPath, nearest};

/// The material whose id has all of these words, in any order: `leaves_shredded` for "shredded leaves".
fn of_words(text: &str, known: &[&'static str]) -> Option<&'static str> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let has_all = |id: &&&str| !words.is_empty() && words.iter().all(|word| id.split('_').any(|part| part == *word));
    known.iter().filter(has_all).min_by_key(|id| id.len()).copied()
}

impl RequestContext<'_> {
    /// The row of the table of materials that `material` names.
    pub fn feedstock(&self, id: &str, place: JsonPath<'_>) -> Option<&'static Feedstock> {
        let row = Feedstock::find(id);
        if row.is_none() {
            let known: Vec<&str> = materials::ALL.iter().map(|row| row.id).collect();
            let shown = crate::garden::units::text::clip(id);
            let meant = nearest(id, &known).or_else(|| of_words(id, &known));
            let detail = format!(
                "there is no material \"{shown}\" in the table{} GET /v1/materials lists them, or give its values",
                meant.map(|id| format!("; did you mean \"{id}\"?")).unwrap_or_else(|| ";".to_owned())
            );
            let mut refusal = Refusal::new(Reason::UnknownValue, detail);
            refusal.nearest = meant.map(str::to_owned);
            self.refuse(place.field("material"), refusal.allowed(known));
        }
        row
    }
}
