//! From rows to the tree of a request, and from a place in the tree back to its row.

use super::Tabular;
use super::fields::{NoList, Row};
use super::params::Address;
use crate::http::resources::cells::flat::{Fields, Flat, Shared};
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestErrors};

/// The tree of a request that was made from rows.
#[must_use]
#[derive(Debug)]
pub struct Built<'s> {
    /// The tree.
    pub tree: Node<'s>,
    /// For each row the item that it is: its list and its position there. None of an empty row.
    pub items: Vec<Option<(&'static str, usize)>>,
    /// For each list the rows that are its items.
    lists: Vec<(&'static str, Vec<usize>)>,
    /// What is wrong with the flat form, by the place in the tree.
    pub errors: RequestErrors,
    /// Rows that belong to no list.
    pub lost: Vec<(usize, NoList)>,
}

impl<'s> Built<'s> {
    /// Builds the tree: a list for each kind of rows.
    pub fn of<T: Tabular>(rows: &'s [Row<'s>], shared: &Shared<'s>, address: &'s Address) -> Self {
        let (errors, mut lost, mut items) = (RequestErrors::body(), Vec::new(), Vec::with_capacity(rows.len()));
        let mut lists: Vec<(&'static str, Vec<usize>, Vec<Node<'s>>)> =
            T::LISTS.iter().map(|list| (*list, Vec::new(), Vec::new())).collect();
        for (index, row) in rows.iter().enumerate() {
            crate::garden::interrupt::check();
            items.push(None);
            let name = match T::list(row) {
                _ if row.is_empty() => continue,
                Ok(name) => name,
                Err(no_list) => {
                    lost.push((index, no_list));
                    continue;
                }
            };
            let Some((list, of, nodes)) = lists.iter_mut().find(|(list, ..)| *list == name) else { continue };
            let root = JsonPath::root();
            let place = root.field(list);
            let place = place.index(nodes.len());
            for (field, wrong) in &row.pointed {
                errors.push(place.field(field), ErrorCode::BadNumber, wrong.as_str());
                errors.hide(place.field(field));
            }
            let flat = Flat::new(row, shared, (&errors, place));
            let named = ["id", "name"].into_iter().filter_map(|field| Some((field, Node::from(row.get(field)?))));
            let item = named.chain(T::item(list, flat));
            if let Some(known) = items.last_mut() {
                *known = Some((*list, nodes.len()));
            }
            of.push(index);
            nodes.push(Node::object_from(item));
        }
        let (of, nodes): (Vec<_>, Vec<_>) =
            lists.into_iter().map(|(list, of, nodes)| ((list, of), (list, Node::List(nodes)))).unzip();
        let units = address.units.as_deref().map(|units| ("units", Node::from(units)));
        Self { tree: shared.tree(units.into_iter().chain(nodes)), items, lists: of, errors, lost }
    }

    /// Whether a list has no rows; every list where none is named.
    #[must_use]
    pub fn is_empty(&self, list: &str) -> bool {
        self.lists.iter().filter(|(name, _)| list.is_empty() || *name == list).all(|(_, rows)| rows.is_empty())
    }

    /// The earlier row of the same list that has the same id.
    #[must_use]
    pub fn same_id(&self, rows: &[Row<'_>], row: usize) -> Option<usize> {
        let id = rows.get(row)?.get("id")?;
        let (_, of_list) = self.lists.iter().find(|(_, of_list)| of_list.contains(&row))?;
        of_list
            .iter()
            .copied()
            .find(|other| *other < row && rows.get(*other).and_then(|other| other.get("id")) == Some(id))
    }

    /// The row that a place lies in, and the rest of the way to the place.
    #[must_use]
    pub fn row_of<'p>(&self, pointer: &'p str) -> Option<(usize, &'p str)> {
        let (list, rest) = pointer.strip_prefix('/')?.split_once('/')?;
        let (position, rest) = rest.split_once('/').unwrap_or((rest, ""));
        let (_, rows) = self.lists.iter().find(|(name, _)| *name == list)?;
        Some((*rows.get(position.parse::<usize>().ok()?)?, rest))
    }
}
