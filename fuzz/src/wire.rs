//! The reader of JSON: what it takes is JSON to others too, and says the same.

use barrowful::http::wire::tree::Member;
use barrowful::http::wire::{JsonPath, Node, RequestErrors, merge, note_repeats, parse};
use serde_json::Value;

/// Parses bytes, and merges them with themselves.
pub fn wire(data: &[u8]) {
    let Ok(tree) = parse(data) else { return };
    // Numbers that no double holds are refused later, at their place; other readers refuse them here.
    let value = match serde_json::from_slice::<Value>(data) {
        Ok(value) => Some(value),
        Err(error) => {
            assert!(error.to_string().contains("number out of range"), "{error}: {data:?}");
            None
        }
    };
    // What has a member twice is refused before it is merged.
    let errors = RequestErrors::body();
    note_repeats(&tree, JsonPath::root(), &errors);
    if !errors.is_empty() {
        return;
    }
    assert!(value.is_none_or(|value| is_same(&tree, &value)), "another reader reads {tree:?} otherwise");
    let mut merged = tree.clone();
    merge(&mut merged, &tree);
    assert!(merged.count() <= tree.count(), "what is merged with itself has nothing more");
}

/// Tells whether a tree without repeated members says what a value says.
fn is_same(tree: &Node<'_>, value: &Value) -> bool {
    match (tree, value) {
        (Node::Null, Value::Null) => true,
        (Node::Bool(one), Value::Bool(other)) => one == other,
        (Node::Int(one), other) => other.as_i64() == Some(*one),
        (Node::UInt(one), other) => other.as_u64() == Some(*one),
        (Node::Float(one), other) => other.as_f64().map(f64::to_bits) == Some(one.to_bits()),
        (Node::Text(one), Value::String(other)) => one == other,
        (Node::List(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| is_same(one, other))
        }
        (Node::Object(one), Value::Object(other)) => {
            let is_in = |(name, one): &Member<'_>| other.get(name.as_ref()).is_some_and(|other| is_same(one, other));
            one.len() == other.len() && one.iter().all(is_in)
        }
        _ => false,
    }
}
