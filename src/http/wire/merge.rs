//! JSON Merge Patch (RFC 7396): a tree with a change merged into it.

use super::error::RequestErrors;
use super::path::JsonPath;
use super::state::{Cursor, Source};
use super::tree::{Member, Node};
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

/// Merges a change into a tree (RFC 7396, section 2). No object of either may have a member twice.
pub fn merge<'t>(target: &mut Node<'t>, change: &Node<'t>) {
    let Node::Object(changes) = change else {
        *target = change.clone();
        return;
    };
    let mut members = match std::mem::replace(target, Node::Null) {
        Node::Object(members) => members,
        _ => Vec::new(),
    };
    let mut places: HashMap<Cow<'t, str>, usize> =
        members.iter().enumerate().map(|(place, (name, _))| (name.clone(), place)).collect();
    let mut removed: HashSet<&str> = HashSet::new();
    for (name, change) in changes {
        if *change == Node::Null {
            removed.insert(name);
            continue;
        }
        let place = *places.entry(name.clone()).or_insert_with(|| {
            members.push((name.clone(), Node::Null));
            members.len() - 1
        });
        if let Some((_, value)) = members.get_mut(place) {
            merge(value, change);
        }
    }
    members.retain(|(name, _): &Member<'t>| !removed.contains(name.as_ref()));
    *target = Node::Object(members);
}

/// Notes every member that is in its object more than once, at any depth.
pub fn note_repeats(node: &Node<'_>, place: JsonPath<'_>, errors: &RequestErrors) {
    match node {
        Node::List(items) => {
            for (index, item) in items.iter().enumerate() {
                note_repeats(item, place.index(index), errors);
            }
        }
        Node::Object(members) => {
            let mut names = HashSet::new();
            for (name, value) in members {
                if !names.insert(name.as_ref()) {
                    Cursor { source: Source::Here(node), place, errors }.note_repeated(name);
                }
                note_repeats(value, place.field(name), errors);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::super::tree::parse;
    use super::*;

    fn merged(target: &str, change: &str) -> String {
        let (mut target, change) = (parse(target.as_bytes()).unwrap(), parse(change.as_bytes()).unwrap());
        merge(&mut target, &change);
        format!("{target:?}")
    }

    fn as_parsed(text: &str) -> String {
        format!("{:?}", parse(text.as_bytes()).unwrap())
    }

    /// The table of RFC 7396, appendix A: original, patch, result.
    const TABLE: [[&str; 3]; 15] = [
        [r#"{"a":"b"}"#, r#"{"a":"c"}"#, r#"{"a":"c"}"#],
        [r#"{"a":"b"}"#, r#"{"b":"c"}"#, r#"{"a":"b","b":"c"}"#],
        [r#"{"a":"b"}"#, r#"{"a":null}"#, "{}"],
        [r#"{"a":"b","b":"c"}"#, r#"{"a":null}"#, r#"{"b":"c"}"#],
        [r#"{"a":["b"]}"#, r#"{"a":"c"}"#, r#"{"a":"c"}"#],
        [r#"{"a":"c"}"#, r#"{"a":["b"]}"#, r#"{"a":["b"]}"#],
        [r#"{"a":{"b":"c"}}"#, r#"{"a":{"b":"d","c":null}}"#, r#"{"a":{"b":"d"}}"#],
        [r#"{"a":[{"b":"c"}]}"#, r#"{"a":[1]}"#, r#"{"a":[1]}"#],
        [r#"["a","b"]"#, r#"["c","d"]"#, r#"["c","d"]"#],
        [r#"{"a":"b"}"#, r#"["c"]"#, r#"["c"]"#],
        [r#"{"a":"foo"}"#, "null", "null"],
        [r#"{"a":"foo"}"#, r#""bar""#, r#""bar""#],
        [r#"{"e":null}"#, r#"{"a":1}"#, r#"{"e":null,"a":1}"#],
        ["[1,2]", r#"{"a":"b","c":null}"#, r#"{"a":"b"}"#],
        ["{}", r#"{"a":{"bb":{"ccc":null}}}"#, r#"{"a":{"bb":{}}}"#],
    ];

    #[test]
    fn the_table_of_rfc_7396() {
        for [original, patch, result] in TABLE {
            assert_eq!(merged(original, patch), as_parsed(result), "{original} with {patch}");
        }
    }

    #[test]
    fn the_example_of_rfc_7396() {
        let original = r#"{"title": "Goodbye!", "author": {"givenName": "John", "familyName": "Doe"},
            "tags": ["example", "sample"], "content": "This will be unchanged"}"#;
        let patch = r#"{"title": "Hello!", "phoneNumber": "+01-123-456-7890", "author": {"familyName": null}, "tags": ["example"]}"#;
        let result = r#"{"title": "Hello!", "author": {"givenName": "John"}, "tags": ["example"],
            "content": "This will be unchanged", "phoneNumber": "+01-123-456-7890"}"#;
        assert_eq!(merged(original, patch), as_parsed(result));
    }

    #[test]
    fn a_change_of_many_members_is_merged_in_one_pass() {
        let members = |value: &str| (0..100_000).map(|n| format!("\"{n}\":{value}")).collect::<Vec<_>>().join(",");
        let [one, two, none] = ["1", "2", "null"].map(|value| format!("{{{}}}", members(value)));
        assert_eq!(merged(&one, &two), as_parsed(&two));
        assert_eq!(merged(&one, &none), as_parsed("{}"));
    }

    #[test]
    fn repeated_members_are_reported_at_any_depth() {
        let tree = parse(br#"{"a": 1, "b": [{"c": {"d": 1, "d": 2}}], "a": 2}"#).unwrap();
        let errors = RequestErrors::body();
        note_repeats(&tree, JsonPath::root(), &errors);
        let found: Vec<String> = errors.into_sorted(&tree).iter().map(|error| error.at.as_str().to_owned()).collect();
        assert_eq!(found, ["/a", "/b/0/c/d"]);
    }
}
