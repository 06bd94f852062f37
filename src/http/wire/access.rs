//! The members of maps and the entries of lists, one after the other.

use std::collections::HashSet;
use std::slice::Iter;

use serde::de::{DeserializeSeed, MapAccess, SeqAccess};

use super::fault::{FaultCode, nearest};
use super::state::{Cover, Cursor, Reader, Source, Stop, id_of};
use super::tree::{Member, Node};
use super::words::{did_you_mean, listed, quoted};

/// The member that tells the kinds of a union apart.
pub(crate) const KIND: &str = "kind";
/// Up to so many members, a map looks for repeated names one by one.
const FEW_MEMBERS: usize = 8;

impl Cursor<'_, '_> {
    /// Notes a member that stands in its object more than once.
    pub(crate) fn note_repeated(&self, name: &str) {
        if self.reader.faults.is_full_by_one_more() {
            return;
        }
        let (code, often) = if self.reader.faults.is_query() {
            (FaultCode::RepeatedParameter, "is given")
        } else {
            (FaultCode::RepeatedField, "stands in this object")
        };
        let (word, quoted) = (self.word(), quoted(name));
        let detail = format!("The {word} {quoted} {often} more than once. Keep one of them.");
        let faults = self.reader.faults;
        faults.push_even_hidden(self.place.field(name), code, detail);
    }

    /// Notes a member that its object does not know.
    pub(crate) fn note_unknown(&self, name: &str, fields: &[&str]) {
        if self.reader.faults.is_full_by_one_more() {
            return;
        }
        let code = if self.reader.faults.is_query() { FaultCode::UnknownParameter } else { FaultCode::UnknownField };
        let near = nearest(name, fields);
        let detail = format!(
            "The {} {} is not known here.{} {}",
            self.word(),
            quoted(name),
            did_you_mean(near),
            mending(fields)
        );
        let mut pushed = self.reader.faults.push(self.place.field(name), code, detail);
        pushed.nearest(near).allowed(fields);
    }
}

/// What to do with an unknown member.
fn mending(fields: &[&str]) -> String {
    match fields {
        [] => "Take it out.".to_owned(),
        [field] => format!("Take it out, or use {field}."),
        _ => format!("Take it out, or use one of {}.", listed(fields)),
    }
}

/// The members of a map.
pub(crate) struct Entries<'t, 'p> {
    object: Cursor<'t, 'p>,
    members: &'t [Member<'t>],
    next: usize,
    skips_kind: bool,
    kinds: usize,
    names: HashSet<&'t str>,
    left_out: bool,
    value: Option<&'t Member<'t>>,
}

impl<'t, 'p> Entries<'t, 'p> {
    /// The members of an object, or none if the cursor has no object.
    pub(crate) fn new(object: Cursor<'t, 'p>) -> Self {
        let (members, skips_kind): (&[_], _) = match object.source {
            Source::Here(Node::Object(members)) => (members, false),
            Source::Tagged(Node::Object(members)) => (members, true),
            _ => (&[], false),
        };
        Self { object, members, next: 0, skips_kind, kinds: 0, names: HashSet::new(), left_out: false, value: None }
    }

    fn next_member(&mut self) -> Option<&'t Member<'t>> {
        while let Some(member) = self.members.get(self.next) {
            let (name, node) = member;
            let repeated = self.is_repeated(name);
            self.next = self.next.saturating_add(1);
            if repeated {
                self.object.note_repeated(name);
            } else if self.skips_kind && name == KIND {
                self.kinds = self.kinds.saturating_add(1);
            } else if self.object.reader.leaves_out(id_of(node)) {
                self.left_out = true;
            } else {
                return Some(member);
            }
        }
        if self.left_out {
            self.object.reader.faults.hide(self.object.place);
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
        let Some((name, node)) = self.value else {
            return Ok(None);
        };
        let (place, reader) = (self.object.place, self.object.reader);
        let cursor = Cursor { source: Source::Name(name), place: place.field(name), reader };
        let key = seed.deserialize(cursor);
        if let Err(Stop::Said(words)) = &key {
            cursor.note_refusal(words);
        }
        Ok(key.ok().or_else(|| {
            reader.set_cover(id_of(node), Cover::LeaveOut);
            reader.read_again();
            None
        }))
    }

    fn next_value_seed<V: DeserializeSeed<'t>>(&mut self, seed: V) -> Result<V::Value, Stop> {
        let (name, node) = self.value.take().ok_or(Stop::Hopeless)?;
        let (place, reader) = (self.object.place, self.object.reader);
        let cursor = Cursor::node(node, place.field(name), reader);
        cursor.settle(Some(id_of(node)), seed.deserialize(cursor))
    }
}

/// The entries of a list.
pub(crate) struct Items<'t, 'p> {
    list: Cursor<'t, 'p>,
    nodes: Iter<'t, Node<'t>>,
    next: usize,
    left_out: bool,
}

impl<'t, 'p> Items<'t, 'p> {
    /// The entries of a list, or none if the cursor has no list.
    pub(crate) fn new(list: Cursor<'t, 'p>) -> Self {
        let items: &[_] = match list.source {
            Source::Here(Node::List(items)) => items,
            _ => &[],
        };
        Self { list, nodes: items.iter(), next: 0, left_out: false }
    }
}

impl<'t> SeqAccess<'t> for Items<'t, '_> {
    type Error = Stop;

    fn next_element_seed<T: DeserializeSeed<'t>>(&mut self, seed: T) -> Result<Option<T::Value>, Stop> {
        let (place, reader): (_, &Reader) = (self.list.place, self.list.reader);
        for node in self.nodes.by_ref() {
            let index = self.next;
            self.next = index.saturating_add(1);
            if reader.leaves_out(id_of(node)) {
                self.left_out = true;
                continue;
            }
            let cursor = Cursor::node(node, place.index(index), reader);
            let item = cursor.settle(Some(id_of(node)), seed.deserialize(cursor));
            return Ok(item.ok().or_else(|| {
                reader.read_again();
                None
            }));
        }
        if self.left_out {
            reader.faults.hide(place);
        }
        Ok(None)
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.nodes.len())
    }
}

/// The entries of a tuple that is made up.
pub(crate) struct MadeItems<'t, 'p> {
    item: Cursor<'t, 'p>,
    left: usize,
}

impl<'t, 'p> MadeItems<'t, 'p> {
    /// So many placeholders.
    pub(crate) fn new(tuple: Cursor<'t, 'p>, left: usize) -> Result<Self, Stop> {
        let source = tuple.part_of_made()?;
        let item = Cursor { source, ..tuple };
        Ok(Self { item, left })
    }
}

impl<'t> SeqAccess<'t> for MadeItems<'t, '_> {
    type Error = Stop;

    fn next_element_seed<T: DeserializeSeed<'t>>(&mut self, seed: T) -> Result<Option<T::Value>, Stop> {
        let Some(left) = self.left.checked_sub(1) else {
            return Ok(None);
        };
        self.left = left;
        self.item.settle(None, seed.deserialize(self.item)).map(Some)
    }
}
