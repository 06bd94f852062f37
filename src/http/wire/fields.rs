//! The fields of structs, one after the other.

use std::slice::Iter;

use serde::de::value::BorrowedStrDeserializer;
use serde::de::{DeserializeSeed, MapAccess};

use super::access::KIND;
use super::state::{Cursor, Id, Source, Stop, id_of};
use super::tree::{Member, Node};

/// Which fields of a struct have been seen.
#[derive(Default)]
struct Seen {
    low: u64,
    high: Vec<usize>,
}

impl Seen {
    fn bit(field: usize) -> Option<u64> {
        u32::try_from(field).ok().and_then(|field| 1_u64.checked_shl(field))
    }

    fn has(&self, field: usize) -> bool {
        match Self::bit(field) {
            Some(bit) => self.low & bit != 0,
            None => self.high.contains(&field),
        }
    }

    fn add(&mut self, field: usize) {
        match Self::bit(field) {
            Some(bit) => self.low |= bit,
            None => self.high.push(field),
        }
    }
}

/// A field about to be read: its name, its source and its id.
type Next<'t> = (&'static str, Source<'t>, Option<Id>);

/// The fields of a struct: first the members of the object in their order, then
/// the fields that it lacks.
pub(crate) struct Fields<'t, 'p> {
    object: Cursor<'t, 'p>,
    node: Option<&'t Node<'t>>,
    known: &'static [&'static str],
    members: Iter<'t, Member<'t>>,
    skips_kind: bool,
    kinds: usize,
    seen: Seen,
    likely: usize,
    lacking: usize,
    lacks: Source<'t>,
    last: Vec<Next<'t>>,
    value: Option<Next<'t>>,
}

impl<'t, 'p> Fields<'t, 'p> {
    /// The fields read from an object, or made up if the cursor has none.
    pub(crate) fn new(object: Cursor<'t, 'p>, fields: &'static [&'static str]) -> Result<Self, Stop> {
        let (node, members, tagged, lacks): (_, &[_], _, _) = match object.source {
            Source::Here(node @ Node::Object(members)) => (Some(node), members, false, Source::Absent),
            Source::Tagged(node @ Node::Object(members)) => (Some(node), members, true, Source::Absent),
            _ => (None, &[], false, object.part_of_made()?),
        };
        Ok(Self {
            object,
            node,
            known: fields,
            members: members.iter(),
            skips_kind: tagged && !fields.contains(&KIND),
            kinds: 0,
            seen: Seen::default(),
            likely: 0,
            lacking: 0,
            lacks,
            last: Vec::new(),
            value: None,
        })
    }

    fn next_field(&mut self) -> Option<Next<'t>> {
        while let Some((name, node)) = self.members.next() {
            let Some(field) = self.field_of(name) else {
                continue;
            };
            let next = (field, Source::Here(node), Some(id_of(node)));
            if let Some(next) = self.now_or_last(next) {
                return Some(next);
            }
        }
        while let Some(field) = self.known.get(self.lacking).copied() {
            let seen = self.seen.has(self.lacking);
            self.lacking = self.lacking.saturating_add(1);
            let id = self.node.map(|node| (id_of(node).0, Some(field)));
            if seen {
                continue;
            }
            if let Some(next) = self.now_or_last((field, self.lacks, id)) {
                return Some(next);
            }
        }
        self.last.pop()
    }

    /// Puts off a field that is known to fail.
    fn now_or_last(&mut self, next: Next<'t>) -> Option<Next<'t>> {
        match next.2 {
            Some(id) if self.object.reader.leaves_out(id) => {
                self.last.push(next);
                None
            }
            _ => Some(next),
        }
    }

    /// The field a member is, or nothing if it is not to be read.
    fn field_of(&mut self, name: &str) -> Option<&'static str> {
        if self.skips_kind && name == KIND {
            self.kinds = self.kinds.saturating_add(1);
            if self.kinds > 1 {
                self.object.note_repeated(name);
            }
            return None;
        }
        let likely = self.known.get(self.likely).filter(|field| **field == name);
        let number = match likely {
            Some(_) => Some(self.likely),
            None => self.known.iter().position(|field| *field == name),
        };
        let Some(number) = number else {
            self.object.note_unknown(name, self.known);
            return None;
        };
        self.likely = number.saturating_add(1);
        if self.seen.has(number) {
            self.object.note_repeated(name);
            return None;
        }
        self.seen.add(number);
        self.known.get(number).copied()
    }
}

impl<'t> MapAccess<'t> for Fields<'t, '_> {
    type Error = Stop;

    fn next_key_seed<K: DeserializeSeed<'t>>(&mut self, seed: K) -> Result<Option<K::Value>, Stop> {
        self.value = self.next_field();
        match self.value {
            Some((name, ..)) => seed.deserialize(BorrowedStrDeserializer::new(name)).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<V: DeserializeSeed<'t>>(&mut self, seed: V) -> Result<V::Value, Stop> {
        let (name, source, id) = self.value.take().ok_or(Stop::Hopeless)?;
        let (place, reader) = (self.object.place, self.object.reader);
        let place = place.field(name);
        let cursor = match id {
            Some(id) => Cursor::on(source, id, place, reader),
            None => Cursor { source, place, reader },
        };
        cursor.settle(id, seed.deserialize(cursor))
    }
}
