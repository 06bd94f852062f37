//! The reader of JSON: what it takes is JSON to others too, and says the same.

use barrowful::http::wire::{JsonPath, RequestErrors, merge, note_repeats, parse};

/// Parses bytes, and merges them with themselves.
pub fn wire(data: &[u8]) {
    let Ok(tree) = parse(data) else { return };
    // Numbers that no double holds are refused later, at their place; other readers refuse them here.
    match serde_json::from_slice::<serde_json::Value>(data) {
        Ok(_) => {}
        Err(error) => assert!(error.to_string().contains("number out of range"), "{error}: {data:?}"),
    }
    // What has a member twice is refused before it is merged.
    let errors = RequestErrors::body();
    note_repeats(&tree, JsonPath::root(), &errors);
    if !errors.is_empty() {
        return;
    }
    let mut merged = tree.clone();
    merge(&mut merged, &tree);
    assert!(merged.count() <= tree.count(), "what is merged with itself has nothing more");
}
