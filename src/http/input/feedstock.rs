//! A material of the table, by its id.

use super::RequestContext;
use crate::garden::feeds::{Feedstock, materials};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::{JsonPath, choice, nearest};

/// How many materials of one word a sentence offers.
const OFFERED: usize = 6;

/// The materials whose ids have all of these words, in any order: `leaves_shredded` for "shredded leaves"; if none has, those with the last
/// word, which says what it is: `vegetable_scraps` and `kitchen_scraps` for "food scraps".
fn of_words(text: &str, known: &[&'static str]) -> Vec<&'static str> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let with = |words: &[&str]| -> Vec<&'static str> {
        let has_all =
            |id: &&&str| !words.is_empty() && words.iter().all(|word| id.split('_').any(|part| part == *word));
        known.iter().filter(has_all).copied().collect()
    };
    let all = with(&words);
    if all.is_empty() { with(words.split_last().map_or(&[], |(last, _)| std::slice::from_ref(last))) } else { all }
}

/// The materials that may be meant: all of its words rather than the one that is spelt most like it.
fn meant(text: &str, known: &[&'static str]) -> Vec<&'static str> {
    let of_words = of_words(text, known);
    if of_words.is_empty() { nearest(text, known).into_iter().collect() } else { of_words }
}

/// `; did you mean "grass_clippings", "grass_compacted" or "grass_hay"?`
fn offer(meant: &[&str]) -> String {
    match meant {
        [] => ";".to_owned(),
        few if few.len() <= OFFERED => format!("; did you mean {}?", choice(few)),
        many => {
            let some = many.iter().take(OFFERED).map(|id| format!("\"{id}\"")).collect::<Vec<_>>().join(", ");
            format!("; did you mean {some} or another of these {}?", many.len())
        }
    }
}

impl RequestContext<'_> {
    /// The row of the table of materials that `material` names.
    pub fn feedstock(&self, id: &str, place: JsonPath<'_>) -> Option<&'static Feedstock> {
        let row = Feedstock::find(id);
        if row.is_none() {
            let ids: Vec<&str> = materials::ALL.iter().map(|row| row.id).collect();
            let shown = crate::garden::units::text::clip(id);
            let meant = meant(id, &ids);
            let detail = format!(
                "there is no material \"{shown}\" in the table{} GET /v1/materials lists them, or give its values",
                offer(&meant)
            );
            let mut refusal = Refusal::new(Reason::UnknownValue, detail);
            refusal.nearest = meant.first().map(|&id| id.to_owned());
            self.refuse(place.field("material"), refusal.allowed(ids));
        }
        row
    }
}
