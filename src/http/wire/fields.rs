//! The fields of structs, one after the other.

use std::slice::Iter;

use serde::de::value::BorrowedStrDeserializer;
use serde::de::{DeserializeSeed, Error, MapAccess};

use super::access::KIND;
use super::state::{Cursor, Source, Stop};
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

/// A field about to be read: its name and its source.
type Next<'t> = (&'static str, Source<'t>);

/// The fields of a struct: first the members of the object in their order, then
/// the fields that it lacks.
pub(crate) struct Fields<'t, 'p> {
    object: Cursor<'t, 'p>,
    known: &'static [&'static str],
    members: Iter<'t, Member<'t>>,
    /// The source of the fields that it lacks.
    lacks: Source<'t>,
    skips_kind: bool,
    has_kind: bool,
    seen: Seen,
    likely: usize,
    lacking: usize,
    value: Option<Next<'t>>,
}

impl<'t, 'p> Fields<'t, 'p> {
    /// The fields read from an object, or made up if the cursor has none.
    pub(crate) fn new(object: Cursor<'t, 'p>, known: &'static [&'static str]) -> Result<Self, Stop> {
        let (members, is_tagged, lacks): (&[_], _, _) = match object.source {
            Source::Here(Node::Object(members)) => (members, false, Source::Absent),
            Source::Tagged(Node::Object(members)) => (members, true, Source::Absent),
            _ => (&[], false, object.part_of_made()?),
        };
        Ok(Self {
            object,
            known,
            members: members.iter(),
            lacks,
            skips_kind: is_tagged && !known.contains(&KIND),
            has_kind: false,
            seen: Seen::default(),
            likely: 0,
            lacking: 0,
            value: None,
        })
    }

    fn next_field(&mut self) -> Option<Next<'t>> {
        while let Some((name, node)) = self.members.next() {
            if let Some(field) = self.field_of(name) {
                return Some((field, Source::Here(node)));
            }
        }
        while let Some(field) = self.known.get(self.lacking) {
            let is_seen = self.seen.has(self.lacking);
            self.lacking = self.lacking.saturating_add(1);
            if !is_seen {
                return Some((field, self.lacks));
            }
        }
        None
    }

    /// The field a member is, or nothing if it is not to be read.
    fn field_of(&mut self, name: &str) -> Option<&'static str> {
        if self.skips_kind && name == KIND {
            if std::mem::replace(&mut self.has_kind, true) {
                self.object.note_repeated(name);
            }
            return None;
        }
        let is_likely = self.known.get(self.likely).is_some_and(|field| *field == name);
        let number = if is_likely { Some(self.likely) } else { self.known.iter().position(|field| *field == name) };
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
        self.value.map(|(name, _)| seed.deserialize(BorrowedStrDeserializer::new(name))).transpose()
    }

    fn next_value_seed<V: DeserializeSeed<'t>>(&mut self, seed: V) -> Result<V::Value, Stop> {
        let (name, source) = self.value.take().ok_or_else(|| Stop::custom("a value without its name"))?;
        let place = self.object.place;
        seed.deserialize(Cursor { source, place: place.field(name), ..self.object })
    }
}
