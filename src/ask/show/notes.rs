//! What every answer ends with: cautions, and how much of it rests on assumptions.

use serde_json::Value;

use super::grid::paragraphs;
use super::words::{at, items, label, list};

/// The lists an answer may have, and what an item without a name is called.
const LISTS: [(&str, &str); 6] = [
    ("areas", "area"),
    ("worm_beds", "bed"),
    ("heaps", "heap"),
    ("brews", "brew"),
    ("demands", "demand"),
    ("stock", "lot"),
];

/// How many places a caution names before it says how many more there are.
const PLACES: usize = 5;

/// A caution and where it holds.
struct Caution {
    severity: String,
    text: String,
    places: Vec<String>,
}

/// Every caution once, whether it stands beside an item or at the end of the answer, with the names of the items.
pub(super) fn cautions(answer: &Value) -> String {
    let mut found: Vec<Caution> = Vec::new();
    let mut note = |caution: &Value, place: Option<String>| {
        let (severity, text) = (list(at(caution, "/severity")), list(at(caution, "/text")));
        if text.is_empty() {
            return;
        }
        let pointers = items(caution, "/at").iter().filter_map(Value::as_str).filter_map(|at| place_of(answer, at));
        let places: Vec<String> = place.into_iter().chain(pointers).collect();
        match found.iter_mut().find(|known| known.text == text && known.severity == severity) {
            Some(known) => known.places.extend(places),
            None => found.push(Caution { severity, text, places }),
        }
    };
    items(answer, "/cautions").iter().for_each(|caution| note(caution, None));
    for (name, noun) in LISTS {
        for (index, item) in items(answer, &format!("/{name}")).iter().enumerate() {
            items(item, "/cautions").iter().for_each(|caution| note(caution, Some(label(item, noun, index))));
        }
    }
    let rows: Vec<Vec<String>> = found.iter().map(row).collect();
    if rows.is_empty() { String::new() } else { paragraphs(&rows, 2) }
}

/// The name of the item a pointer such as `/areas/2/rate` leads into.
fn place_of(answer: &Value, pointer: &str) -> Option<String> {
    let mut steps = pointer.split('/').skip(1);
    let (step, index) = (steps.next()?, steps.next()?.parse::<usize>().ok()?);
    let (name, noun) = LISTS.iter().find(|(name, _)| *name == step)?;
    items(answer, &format!("/{name}")).get(index).map(|item| label(item, noun, index))
}

fn row(caution: &Caution) -> Vec<String> {
    let mut places: Vec<&str> = Vec::new();
    for place in &caution.places {
        if places.len() <= PLACES && !places.contains(&place.as_str()) {
            places.push(place);
        }
    }
    let text = if places.is_empty() {
        caution.text.clone()
    } else if places.len() > PLACES {
        places.truncate(PLACES);
        format!("{} [{} and others]", caution.text, places.join(", "))
    } else {
        format!("{} [{}]", caution.text, places.join(", "))
    };
    vec![caution.severity.clone(), text]
}

/// "12 assumptions, 10 of them defaults: --json shows them"
pub(super) fn assumptions(answer: &Value) -> String {
    let all = items(answer, "/assumptions");
    let defaults = all.iter().filter(|assumption| at(assumption, "/given_by") == "default").count();
    match (all.len(), defaults) {
        (0, _) => String::new(),
        (1, 0) => "1 assumption, not a default: --json shows it".to_owned(),
        (1, _) => "1 assumption, a default: --json shows it".to_owned(),
        (count, 0) => format!("{count} assumptions, none of them defaults: --json shows them"),
        (count, defaults) if count == defaults => {
            format!("{count} assumptions, all of them defaults: --json shows them")
        }
        (count, 1) => format!("{count} assumptions, 1 of them a default: --json shows them"),
        (count, defaults) => format!("{count} assumptions, {defaults} of them defaults: --json shows them"),
    }
}
