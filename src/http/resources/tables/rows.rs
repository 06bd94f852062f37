//! From rows to the tree of a request, and from a place in the tree back to its row.

use super::Tabular;
use super::fields::{NoList, Row};
use super::holders::Holders;
use super::params::Address;
use crate::http::resources::cells::flat::{Fields, Flat};
use crate::http::resources::cells::shared::Shared;
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestErrors};
use std::collections::HashMap;

/// An item of the request that a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Item<'a> {
    /// Its list.
    pub list: &'a str,
    /// Its position there.
    position: usize,
    /// The item that holds this list: its list and its position; none where the list is one of the request.
    within: Option<(&'a str, usize)>,
}

impl Item<'_> {
    /// Its place in the request.
    #[must_use]
    pub fn pointer(&self) -> String {
        let address = |list: &str, position: usize| format!("/{list}/{position}");
        let above = self.within.map_or_else(String::new, |(list, position)| address(list, position));
        above + &address(self.list, self.position)
    }
}

/// The tree of a request that was made from rows.
#[must_use]
#[derive(Debug)]
pub struct Built<'s> {
    /// The tree.
    pub tree: Node<'s>,
    /// For each row the item that it is; none of an empty row.
    pub items: Vec<Option<Item<'static>>>,
    /// For each item its row.
    rows: HashMap<Item<'static>, usize>,
    /// What is wrong with the flat form, by the place in the tree.
    pub errors: RequestErrors,
    /// Rows that belong to no list.
    pub lost: Vec<(usize, NoList)>,
}

/// A node of a request, and the name of its list or field.
type Member<'s> = (&'static str, Node<'s>);

/// A list of the request, as far as its rows are read: for each item its fields, and the lists that it holds.
type Open<'s> = (&'static str, Vec<(Vec<Member<'s>>, Lists<'s>)>);

/// Lists in an item.
type Lists<'s> = Vec<(&'static str, Vec<Node<'s>>)>;

impl<'s> Built<'s> {
    /// Builds the tree: a list for each kind of rows.
    pub fn of<T: Tabular>(rows: &'s [Row<'s>], shared: &Shared<'s>, address: &'s Address) -> Self {
        let mut built = Self {
            tree: Node::Null,
            items: Vec::with_capacity(rows.len()),
            rows: HashMap::new(),
            errors: RequestErrors::body(),
            lost: Vec::new(),
        };
        let mut lists: Vec<Open<'s>> = T::LISTS.iter().map(|list| (*list, Vec::new())).collect();
        let mut holders = Holders::default();
        for (index, row) in rows.iter().enumerate() {
            crate::garden::interrupt::check();
            let found = if row.is_empty() { Ok(None) } else { place::<T>(row, &mut holders, &lists) };
            let item = found.unwrap_or_else(|no_list| {
                let guess = if no_list.code == ErrorCode::MissingField { T::guess(row) } else { None };
                built.lost.push((index, no_list));
                guess.map(|list| Item { list, position: count(&lists, list), within: None })
            });
            built.items.push(item);
            if let Some(item) = item {
                built.rows.insert(item, index);
                let fields = built.fields::<T>((row, item), shared);
                add(&mut lists, item, fields);
            }
        }
        let units = address.units.as_deref().map(|units| ("units", Node::from(units)));
        built.tree = shared.tree(units.into_iter().chain(lists.into_iter().map(closed)));
        built
    }

    /// The fields of the item that a row is.
    fn fields<T: Tabular>(&self, (row, item): (&'s Row<'s>, Item<'static>), shared: &Shared<'s>) -> Vec<Member<'s>> {
        let root = JsonPath::root();
        let (above, holder);
        let list = match item.within {
            None => root.field(item.list),
            Some((list, position)) => {
                above = root.field(list);
                holder = above.index(position);
                holder.field(item.list)
            }
        };
        let place = list.index(item.position);
        for (field, wrong) in &row.pointed {
            self.errors.push(place.field(field), ErrorCode::BadNumber, wrong.as_str());
            self.errors.hide(place.field(field));
        }
        let flat = Flat::new(row, shared, (&self.errors, place));
        // An item within another is found by that one's id or name, and has none of its own.
        let named = ["id", "name"].into_iter().filter(|_| item.within.is_none());
        let named = named.filter_map(|field| Some((field, Node::from(row.get(field)?))));
        named.chain(T::item(item.list, flat)).collect()
    }

    /// Whether a list has no rows; every list where none is named.
    #[must_use]
    pub fn is_empty(&self, list: &str) -> bool {
        !self.items.iter().flatten().any(|item| list.is_empty() || item.list == list)
    }

    /// The earlier row of the same list that has the same id.
    #[must_use]
    pub fn same_id(&self, rows: &[Row<'_>], row: usize) -> Option<usize> {
        let id = rows.get(row)?.get("id")?;
        let list = |row: usize| self.items.get(row).copied().flatten().map(|item| (item.list, item.within));
        let own_list = list(row)?;
        (0..row).find(|other| {
            list(*other) == Some(own_list) && rows.get(*other).and_then(|other| other.get("id")) == Some(id)
        })
    }

    /// The row that a place is in, and the rest of the way to the place.
    #[must_use]
    pub fn row_of<'p>(&self, pointer: &'p str) -> Option<(usize, &'p str)> {
        let (list, position, rest) = split(pointer.strip_prefix('/')?)?;
        let inner = split(rest).and_then(|(inner, at, rest)| {
            let item = Item { list: inner, position: at, within: Some((list, position)) };
            Some((*self.rows.get(&item)?, rest))
        });
        inner.or_else(|| Some((*self.rows.get(&Item { list, position, within: None })?, rest)))
    }
}

/// The list and the position that the way to a place begins with, and the rest of it.
fn split(pointer: &str) -> Option<(&str, usize, &str)> {
    let (list, rest) = pointer.split_once('/')?;
    let (position, rest) = rest.split_once('/').unwrap_or((rest, ""));
    Some((list, position.parse().ok()?, rest))
}

/// The next item of the list that a row belongs to.
fn place<'s, T: Tabular>(
    row: &'s Row<'s>,
    holders: &mut Holders<'s>,
    lists: &[Open<'s>],
) -> Result<Option<Item<'static>>, NoList> {
    let named = T::list(row).inspect_err(|_| holders.lose(row))?;
    let count = |list: &str| count(lists, list);
    let Some(above) = T::LISTS.first().filter(|_| T::NESTED.contains(&named)) else {
        let item = Item { list: named, position: count(named), within: None };
        if !T::NESTED.is_empty() {
            holders.add(row, item.position);
        }
        return Ok(Some(item));
    };
    let word = T::ROWS.iter().find(|(_, list)| list == above).map_or(*above, |(word, _)| *word);
    let Some(holder) = holders.of(row, word)? else { return Ok(None) };
    let items = lists.first().and_then(|(_, items)| items.get(holder));
    let own = items.and_then(|(_, own)| own.iter().find(|(known, _)| *known == named));
    let position = own.map_or(0, |(_, nodes)| nodes.len());
    Ok(Some(Item { list: named, position, within: Some((above, holder)) }))
}

/// How many items a list has so far.
fn count(lists: &[Open<'_>], list: &str) -> usize {
    lists.iter().find(|(known, _)| *known == list).map_or(0, |(_, items)| items.len())
}

/// Adds an item to its list.
fn add<'s>(lists: &mut [Open<'s>], item: Item<'static>, fields: Vec<Member<'s>>) {
    let (list, position) = item.within.unwrap_or((item.list, item.position));
    let Some((_, items)) = lists.iter_mut().find(|(known, _)| *known == list) else { return };
    if item.within.is_none() {
        items.push((fields, Vec::new()));
        return;
    }
    let Some((_, own)) = items.get_mut(position) else { return };
    let node = Node::object_from(fields);
    match own.iter_mut().find(|(known, _)| *known == item.list) {
        Some((_, nodes)) => nodes.push(node),
        None => own.push((item.list, vec![node])),
    }
}

/// The node of a list.
fn closed<'s>((list, items): Open<'s>) -> (&'s str, Node<'s>) {
    let node = |(fields, own): (Vec<Member<'s>>, Lists<'s>)| {
        Node::object_from(fields.into_iter().chain(own.into_iter().map(|(list, nodes)| (list, Node::List(nodes)))))
    };
    (list, Node::List(items.into_iter().map(node).collect()))
}
