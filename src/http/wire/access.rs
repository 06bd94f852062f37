//! The members of maps and the entries of lists, one after the other.

use std::collections::HashSet;
use std::slice::Iter;

use serde::de::value::BorrowedStrDeserializer;
use serde::de::{DeserializeSeed, Error, MapAccess, SeqAccess};

use super::error::{ErrorCode, nearest};
use super::sentences::{did_you_mean, listed, quoted};
use super::state::{Cursor, Source, Stop};
use super::synonyms::{deeper, synonym};
use super::tree::{Member, Node};

/// The member that tells the kinds of a union apart.
pub(crate) const KIND: &str = "kind";
/// Up to so many members, a map looks for repeated names one by one.
const FEW_MEMBERS: usize = 8;

impl Cursor<'_, '_> {
    /// Notes a member that is in its object more than once. No placeholder can have caused it, so it is reported even if its
    /// place is hidden.
    pub(crate) fn note_repeated(&self, name: &str) {
        if self.errors.is_full_by_one_more() {
            return;
        }
        let quoted = quoted(name);
        let detail = format!("The field {quoted} is in this object more than once. Keep one of them.");
        self.errors.push_even_hidden(self.place.field(name), ErrorCode::RepeatedField, detail);
    }

    /// Notes a member that its object does not know.
    pub(crate) fn note_unknown(&self, name: &str, fields: &[&str]) {
        if self.errors.is_full_by_one_more() {
            return;
        }
        if let Some((holder, advice)) = deeper(name, fields) {
            let detail = format!("The field {} is not known here. {advice}.", quoted(name));
            let mut pushed = self.errors.push(self.place.field(name), ErrorCode::UnknownField, detail);
            pushed.nearest(Some(holder)).allowed(fields);
            return;
        }
        let near = synonym(name, fields).or_else(|| nearest(name, fields));
        let mending = match fields {
            [] => "Remove it.".to_owned(),
            [field] => format!("Remove it, or use {field}."),
            _ => format!("Remove it, or use one of {}.", listed(fields)),
        };
        let detail = format!("The field {} is not known here.{} {mending}", quoted(name), did_you_mean(near));
        let mut pushed = self.errors.push(self.place.field(name), ErrorCode::UnknownField, detail);
        pushed.nearest(near).allowed(fields);
    }
}

/// The members of a map.
pub(crate) struct Entries<'t, 'p> {
    object: Cursor<'t, 'p>,
    members: &'t [Member<'t>],
    next: usize,
    names: HashSet<&'t str>,
    value: Option<&'t Member<'t>>,
}

impl<'t, 'p> Entries<'t, 'p> {
    /// The members of an object, or none if the cursor has no object.
    pub(crate) fn new(object: Cursor<'t, 'p>) -> Self {
        let members: &[_] = match object.source {
            Source::Here(Node::Object(members)) => members,
            _ => &[],
        };
        Self { object, members, next: 0, names: HashSet::new(), value: None }
    }

    fn next_member(&mut self) -> Option<&'t Member<'t>> {
        while let Some(member) = self.members.get(self.next) {
            let repeated = self.is_repeated(&member.0);
            self.next = self.next.saturating_add(1);
            if !repeated {
                return Some(member);
            }
            self.object.note_repeated(&member.0);
        }
        None
    }

    fn is_repeated(&mut self, name: &'t str) -> bool {
        if self.members.len() > FEW_MEMBERS {
            return !self.names.insert(name);
        }
        self.members.iter().take(self.next).any(|(other, _)| other == name)
    }
}

impl<'t> MapAccess<'t> for Entries<'t, '_> {
    type Error = Stop;

    fn next_key_seed<K: DeserializeSeed<'t>>(&mut self, seed: K) -> Result<Option<K::Value>, Stop> {
        self.value = self.next_member();
        self.value.map(|(name, _)| seed.deserialize(BorrowedStrDeserializer::new(name))).transpose()
    }

    fn next_value_seed<V: DeserializeSeed<'t>>(&mut self, seed: V) -> Result<V::Value, Stop> {
        let (name, node) = self.value.take().ok_or_else(|| Stop::custom("a value without its name"))?;
        let place = self.object.place;
        seed.deserialize(Cursor { source: Source::Here(node), place: place.field(name), ..self.object })
    }
}

/// The entries of a list.
pub(crate) struct Items<'t, 'p> {
    list: Cursor<'t, 'p>,
    nodes: Iter<'t, Node<'t>>,
    next: usize,
}

impl<'t, 'p> Items<'t, 'p> {
    /// The entries of a list, or none if the cursor has no list.
    pub(crate) fn new(list: Cursor<'t, 'p>) -> Self {
        let items: &[_] = match list.source {
            Source::Here(Node::List(items)) => items,
            _ => &[],
        };
        Self { list, nodes: items.iter(), next: 0 }
    }
}

impl<'t> SeqAccess<'t> for Items<'t, '_> {
    type Error = Stop;

    fn next_element_seed<T: DeserializeSeed<'t>>(&mut self, seed: T) -> Result<Option<T::Value>, Stop> {
        let Some(node) = self.nodes.next() else {
            return Ok(None);
        };
        let place = self.list.place;
        let cursor = Cursor { source: Source::Here(node), place: place.index(self.next), ..self.list };
        self.next = self.next.saturating_add(1);
        seed.deserialize(cursor).map(Some)
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.nodes.len())
    }
}
