//! Reading a tree into a type, past every fault.
//!
//! Wire types are ordinary serde-derived types. What to keep to:
//!
//! * A field that may be left out is an `Option`; `null` counts as absent.
//!   `#[serde(default)]` and `#[serde(alias)]` are not for wire types: every
//!   name in the list of fields is asked for.
//! * A union is an enum of newtype variants that hold structs, and is written
//!   `{"kind": "<variant>", ...}`. Its first variant must be one whose
//!   placeholder does not hold the union itself. A kind without fields of its
//!   own is an empty struct variant, `Nothing {}`.
//! * A unit variant is written as a text, and only so. An enum should have
//!   either unit variants or others, not both.
//! * An enum whose name starts with `TextOr` takes a text as its variant
//!   `text`, an object as `object`, and anything else as `other` (see [`Other`]).
//! * Tuples, `flatten`, `untagged` and internally tagged enums are not for wire
//!   types; their faults would lose their places.

use serde::de::{Deserialize, Deserializer, Visitor};

use super::access::{Entries, Items, MadeItems};
use super::choice::Pick;
use super::fault::{FaultCode, Faults};
use super::fields::Fields;
pub use super::other::Other;
use super::place::Place;
use super::state::{Cursor, Reader, Source, Stop, id_of};
use super::tree::Node;
use super::words::listed;

/// How often a tree is read at most. It is read more than once only when a
/// hand-written type refuses a value or a placeholder.
const MOST_READINGS: usize = 32;

/// Reads the node, which stands at `place`, as a `T`.
///
/// Every fault is noted in `faults`; where there is one, the value returned
/// holds placeholders and is only good for looking for further faults. Nothing
/// is returned if no value can be made up, and then a fault is noted.
pub fn read<'t, T>(node: &'t Node<'t>, place: Place, faults: &Faults) -> Option<T>
where
    T: Deserialize<'t>,
{
    let reader = Reader::new(faults);
    for _ in 0..MOST_READINGS {
        let cursor = Cursor::node(node, place, &reader);
        let value = cursor.settle(Some(id_of(node)), T::deserialize(cursor));
        let again = reader.take_again();
        match value {
            Ok(value) if !again => return Some(value),
            Ok(_) | Err(Stop::Noted) => {}
            Err(Stop::Said(_) | Stop::Hopeless) => break,
        }
    }
    if faults.is_empty() {
        let detail = "The value here cannot be understood.";
        faults.push(place, FaultCode::WrongType, detail);
    }
    None
}

macro_rules! whole_numbers {
    ($($method:ident $visit:ident)*) => {
        $(fn $method<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
            visitor.$visit(self.whole())
        })*
    };
}

impl<'t> Deserializer<'t> for Cursor<'t, '_> {
    type Error = Stop;

    whole_numbers! {
        deserialize_u8 visit_u8
        deserialize_u16 visit_u16
        deserialize_u32 visit_u32
        deserialize_u64 visit_u64
        deserialize_i8 visit_i8
        deserialize_i16 visit_i16
        deserialize_i32 visit_i32
        deserialize_i64 visit_i64
    }

    fn deserialize_any<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        match self.source {
            Source::Name(text) => visitor.visit_borrowed_str(text),
            Source::Here(Node::Bool(value)) => visitor.visit_bool(*value),
            Source::Here(Node::Int(value)) => visitor.visit_i64(*value),
            Source::Here(Node::UInt(value)) => visitor.visit_u64(*value),
            Source::Here(Node::Float(value)) => visitor.visit_f64(*value),
            Source::Here(Node::Text(text)) => visitor.visit_borrowed_str(text),
            Source::Here(Node::List(_)) => visitor.visit_seq(Items::new(self)),
            Source::Here(Node::Object(_)) | Source::Tagged(_) => visitor.visit_map(Entries::new(self)),
            Source::Here(Node::Null) | Source::Absent | Source::Made(_) => {
                self.refuse("a value");
                visitor.visit_borrowed_str("")
            }
        }
    }

    fn deserialize_bool<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_bool(self.truth())
    }

    fn deserialize_f32<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_f64(self.float(f64::from(f32::MAX)))
    }

    fn deserialize_f64<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_f64(self.float(f64::MAX))
    }

    fn deserialize_char<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if let Source::Here(Node::Text(text)) = self.source {
            return visitor.visit_borrowed_str(text);
        }
        self.refuse("a text of one letter");
        visitor.visit_char(' ')
    }

    fn deserialize_str<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        match self.source {
            Source::Here(Node::Text(text)) => visitor.visit_borrowed_str(text),
            Source::Name(text) => visitor.visit_borrowed_str(text),
            _ => {
                self.refuse("a text in quotes");
                visitor.visit_borrowed_str("")
            }
        }
    }

    fn deserialize_string<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        self.deserialize_str(visitor)
    }

    fn deserialize_bytes<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        self.deserialize_str(visitor)
    }

    fn deserialize_byte_buf<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        self.deserialize_str(visitor)
    }

    fn deserialize_identifier<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if self.is_nothing() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_unit<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if !self.is_nothing() {
            self.refuse("null");
        }
        visitor.visit_unit()
    }

    fn deserialize_unit_struct<V: Visitor<'t>>(self, _name: &'static str, visitor: V) -> Result<V::Value, Stop> {
        self.deserialize_unit(visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'t>>(self, _name: &'static str, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if !matches!(self.source, Source::Here(Node::List(_))) {
            self.refuse("a list");
        }
        visitor.visit_seq(Items::new(self))
    }

    fn deserialize_tuple<V: Visitor<'t>>(self, len: usize, visitor: V) -> Result<V::Value, Stop> {
        self.refuse("a single value");
        visitor.visit_seq(MadeItems::new(self.made(), len)?)
    }

    fn deserialize_tuple_struct<V: Visitor<'t>>(
        self,
        _name: &'static str,
        len: usize,
        visitor: V,
    ) -> Result<V::Value, Stop> {
        self.deserialize_tuple(len, visitor)
    }

    fn deserialize_map<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if !self.is_object() {
            self.refuse("an object");
        }
        visitor.visit_map(Entries::new(self))
    }

    fn deserialize_struct<V: Visitor<'t>>(
        self,
        _name: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Stop> {
        if self.is_object() {
            return visitor.visit_map(Fields::new(self, fields)?);
        }
        if !matches!(self.source, Source::Made(_)) {
            self.refuse(&object_with(fields));
        }
        visitor.visit_map(Fields::new(self.made(), fields)?)
    }

    fn deserialize_enum<V: Visitor<'t>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Stop> {
        visitor.visit_enum(Pick::new(self, name, variants))
    }

    fn deserialize_ignored_any<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_unit()
    }
}

impl Cursor<'_, '_> {
    const fn is_object(&self) -> bool {
        matches!(self.source, Source::Here(Node::Object(_)) | Source::Tagged(Node::Object(_)))
    }
}

/// The words for an object that is expected.
fn object_with(fields: &[&str]) -> String {
    match fields {
        [] => "an object".to_owned(),
        [field] => format!("an object with the field {field}"),
        _ => format!("an object with the fields {}", listed(fields)),
    }
}
