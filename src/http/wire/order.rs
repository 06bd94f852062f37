//! What has a place in the document, in the order of the document.

use std::collections::HashMap;

use super::path::unescape;
use super::tree::Node;

/// From so many members on, an object gets an index for looking them up.
const MANY_MEMBERS: usize = 16;

/// Sorts by the position of each place in the tree, parents before their
/// members and what the tree does not have after what it has.
pub(crate) fn sorted<T>(items: Vec<T>, place: impl Fn(&T) -> &str, tree: &Node) -> Vec<T> {
    let mut finder = Finder::default();
    let mut keyed: Vec<(Vec<usize>, T)> =
        items.into_iter().map(|item| (finder.position(place(&item), tree), item)).collect();
    keyed.sort_by(|(left, _), (right, _)| left.cmp(right));
    keyed.into_iter().map(|(_, item)| item).collect()
}

/// Finds positions and remembers the members of large objects.
#[derive(Default)]
struct Finder<'t> {
    objects: HashMap<*const Node<'t>, HashMap<&'t str, usize>>,
}

impl<'t> Finder<'t> {
    /// The way to a place as the numbers of the members and entries on it.
    fn position(&mut self, pointer: &str, tree: &'t Node<'t>) -> Vec<usize> {
        let mut numbers = Vec::new();
        let mut at = Some(tree);
        for step in pointer.split('/').skip(1) {
            let number = at.and_then(|node| self.number(node, step));
            numbers.push(number.unwrap_or(usize::MAX));
            at = match (at, number) {
                (Some(node), Some(number)) => child(node, number),
                _ => None,
            };
        }
        numbers
    }

    fn number(&mut self, node: &'t Node<'t>, step: &str) -> Option<usize> {
        match node {
            Node::List(items) => step.parse().ok().filter(|number| *number < items.len()),
            Node::Object(members) if members.len() < MANY_MEMBERS => {
                let name = unescape(step);
                members.iter().position(|(key, _)| *key == name)
            }
            Node::Object(members) => {
                let index = self.objects.entry(node).or_insert_with(|| {
                    let numbered = members.iter().enumerate().rev();
                    numbered.map(|(number, (key, _))| (key.as_ref(), number)).collect()
                });
                index.get(unescape(step).as_str()).copied()
            }
            _ => None,
        }
    }
}

fn child<'t>(node: &'t Node<'t>, number: usize) -> Option<&'t Node<'t>> {
    match node {
        Node::List(items) => items.get(number),
        Node::Object(members) => members.get(number).map(|(_, value)| value),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::tree::parse;
    use super::*;

    fn order(tree: &str, pointers: &[&str]) -> Vec<String> {
        let tree = parse(tree.as_bytes()).unwrap();
        sorted(pointers.iter().map(|pointer| (*pointer).to_owned()).collect(), String::as_str, &tree)
    }

    #[test]
    fn parents_first_and_missing_last() {
        let tree = r#"{"b": [1, {"x": 1}], "a": 2}"#;
        let given = ["/zz", "/a", "/b/1/none", "/b/1/x", "/b/1", "/b/10", "/b/0", "", "/b"];
        let wanted = ["", "/b", "/b/0", "/b/1", "/b/1/x", "/b/1/none", "/b/10", "/a", "/zz"];
        assert_eq!(order(tree, &given), wanted);
    }

    #[test]
    fn large_objects_and_escapes() {
        let members: Vec<String> = (0..40).map(|n| format!("\"k/{}\": {n}", 40 - n)).collect();
        let tree = format!("{{{}, \"k/40\": 1}}", members.join(","));
        let wanted = ["/k~140", "/k~139", "/k~11", "/none"];
        assert_eq!(order(&tree, &["/none", "/k~11", "/k~139", "/k~140"]), wanted);
    }
}
