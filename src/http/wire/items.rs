//! What an item of a list is called where an error is about it: "Bed 2 ('carrots')".

use super::path::unescape;
use super::sentences::{capital, capitalised, clipped};
use super::tree::Node;

/// What an item of a list is, by the name of the list.
const NOUNS: &[(&str, &str)] = &[
    ("additives", "additive"),
    ("areas", "area"),
    ("brews", "brew"),
    ("containers", "container"),
    ("containers_weighed", "weighed container"),
    ("corners", "corner"),
    ("deliveries", "delivery"),
    ("demands", "demand"),
    ("fed", "feed"),
    ("harvested", "harvest"),
    ("heaps", "heap"),
    ("layers_eaten", "layer"),
    ("materials", "material"),
    ("monthly_means", "month"),
    ("records", "record"),
    ("stock", "lot"),
    ("values", "day"),
    ("variants", "variant"),
    ("worm_beds", "bed"),
    ("worms_weighed", "weighing"),
];

/// The members that hold the name of an item, the first that is there. A lot may be named by its heap, a demand by its brew.
const NAMES: &[&[&str]] = &[&["name"], &["id"], &["heap", "name"], &["brew", "name"], &["material"]];

/// The sentence with the items of lists in front that the pointer leads into: `Bed 2 ('carrots'), delivery 3: ...`. A name that
/// the sentence begins with is not repeated.
pub(crate) fn with_items(detail: String, pointer: &str, tree: &Node<'_>) -> String {
    let items = items(pointer, tree);
    let Some(last) = items.last() else { return detail };
    let rest = last.name.as_deref().and_then(|name| detail.strip_prefix(name)?.strip_prefix(": "));
    let rest = rest.map_or_else(|| detail.clone(), capital);
    let called: Vec<String> = items.iter().map(Item::called).collect();
    format!("{}: {rest}", capitalised(&called.join(", ")))
}

/// An item of a list.
struct Item {
    noun: &'static str,
    /// Its position, counted from 1.
    number: usize,
    name: Option<String>,
}

impl Item {
    fn called(&self) -> String {
        let Self { noun, number, name } = self;
        name.as_ref().map_or_else(|| format!("{noun} {number}"), |name| format!("{noun} {number} ('{name}')"))
    }
}

/// The items on the way to a place, the outermost first.
fn items(pointer: &str, tree: &Node<'_>) -> Vec<Item> {
    let (mut at, mut list, mut items) = (Some(tree), String::new(), Vec::new());
    for step in pointer.split('/').skip(1) {
        let name = unescape(step);
        at = match (at, step.parse::<usize>().ok()) {
            (Some(Node::List(entries)), Some(position)) => {
                let entry = entries.get(position);
                items.extend(item(&list, position, entry));
                entry
            }
            // There is nothing, or no tree: the name of the list says that it is one.
            (None | Some(Node::Null), Some(position)) if NOUNS.iter().any(|(known, _)| *known == list) => {
                items.extend(item(&list, position, None));
                None
            }
            (Some(node), _) => node.get(&name),
            (None, _) => None,
        };
        list = name;
    }
    items
}

/// What an item of this list is.
pub(crate) fn noun(list: &str) -> &'static str {
    NOUNS.iter().find(|(name, _)| *name == list).map_or("entry", |(_, noun)| noun)
}

fn item(list: &str, position: usize, node: Option<&Node<'_>>) -> Option<Item> {
    let name = |path: &&[&str]| {
        let found = path.iter().try_fold(node?, |node, step| node.get(step))?.as_text()?;
        (!found.trim().is_empty()).then(|| clipped(found))
    };
    Some(Item { noun: noun(list), number: position.checked_add(1)?, name: NAMES.iter().find_map(name) })
}

#[cfg(test)]
mod tests {
    use super::super::tree::parse;
    use super::*;

    const TREE: &str = r#"{"worm_beds": [{}, {"name": "carrots", "feed": {"supply": {"deliveries": [{"on": 3}]}}}],
        "demands": [{"brew": {"name": "tea"}}, {"id": "b", "name": 7}], "feed": {"materials": [{"material": "hay"}]},
        "odd": {"0": 1}, "list": [[1]], "stock": [{"name": "a\nb"}]}"#;

    fn reported(detail: &str, pointer: &str) -> String {
        let tree = parse(TREE.as_bytes()).unwrap();
        with_items(detail.to_owned(), pointer, &tree)
    }

    #[test]
    fn items_are_reported_by_position_and_name() {
        for (pointer, wanted) in [
            ("", "Wrong."),
            ("/worm_beds", "Wrong."),
            ("/worm_beds/0", "Bed 1: Wrong."),
            ("/worm_beds/1/ground/length", "Bed 2 ('carrots'): Wrong."),
            ("/worm_beds/1/feed/supply/deliveries/0/on", "Bed 2 ('carrots'), delivery 1: Wrong."),
            ("/worm_beds/7/name", "Bed 8: Wrong."),
            ("/demands/0/brew/water", "Demand 1 ('tea'): Wrong."),
            ("/demands/1/name", "Demand 2 ('b'): Wrong."),
            ("/feed/materials/0", "Material 1 ('hay'): Wrong."),
            ("/stock/0", "Lot 1 ('a b'): Wrong."),
            ("/list/0/0", "Entry 1, entry 1: Wrong."),
            ("/odd/0", "Wrong."),
            ("/worm_beds/18446744073709551615", "Wrong."),
        ] {
            assert_eq!(reported("Wrong.", pointer), wanted, "{pointer}");
        }
    }

    #[test]
    fn without_a_tree_items_are_reported_by_position() {
        assert_eq!(with_items("Wrong.".to_owned(), "/brews/1/use_at", &Node::Null), "Brew 2: Wrong.");
        assert_eq!(with_items("Wrong.".to_owned(), "/odd/1/x", &Node::Null), "Wrong.");
    }

    #[test]
    fn a_name_that_the_sentence_begins_with_is_there_once() {
        assert_eq!(reported("carrots: too deep.", "/worm_beds/1"), "Bed 2 ('carrots'): Too deep.");
        assert_eq!(reported("carrots are too deep.", "/worm_beds/1"), "Bed 2 ('carrots'): carrots are too deep.");
    }
}
