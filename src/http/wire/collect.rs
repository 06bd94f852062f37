//! Reading a tree into a type, past every error.
//!
//! Wire types are ordinary serde-derived types. What to keep to:
//!
//! * A field that may be left out is an `Option`; `null` counts as absent.
//!   `#[serde(default)]` and `#[serde(alias)]` are not for wire types: every
//!   name in the list of fields is asked for.
//! * Every struct is closed: a member that it does not know is an error.
//! * A union is an enum of newtype variants that hold structs, and is written
//!   `{"kind": "<variant>", ...}`. Its first variant must be one whose
//!   placeholder does not hold the union itself. A kind without fields of its
//!   own is an empty struct variant, `Nothing {}`.
//! * A unit variant is written as a text, and only so. An enum should have
//!   either unit variants or others, not both.
//! * An enum whose name starts with `TextOr` takes a text as its variant
//!   `text`, an object as `object`, and anything else as `other` (see [`Other`]).
//! * A newtype whose name starts with a digit is a text, and its name is an example of it.
//! * No type refuses a value through serde: it takes what comes, and refuses it
//!   afterwards, with its place. One that does refuse is reported as an error of the
//!   whole document.
//! * Tuples, `flatten`, `untagged` and internally tagged enums are not for wire
//!   types; their errors would lose their places.

use serde::de::{Deserialize, Deserializer, Visitor};

use super::access::{Entries, Items};
use super::choice::Pick;
use super::error::{ErrorCode, RequestErrors};
use super::fields::Fields;
use super::numbers::{Number, number_of, to_float};
pub use super::other::Other;
use super::path::JsonPath;
use super::sentences::listed;
use super::state::{Cursor, Source, Stop};
use super::tree::Node;

/// Reads the node at `place` as a `T`.
///
/// Every error is noted in `errors`; where there is one, the value returned
/// holds placeholders and is only good for looking for further errors. Nothing
/// is returned if no value can be made up, and then an error is noted.
pub fn read<'t, T>(node: &'t Node<'t>, place: JsonPath, errors: &RequestErrors) -> Option<T>
where
    T: Deserialize<'t>,
{
    let value = T::deserialize(Cursor { source: Source::Here(node), place, errors });
    if value.is_err() && errors.is_empty() {
        errors.push(place, ErrorCode::WrongType, "The value here cannot be understood.");
    }
    value.ok()
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

    /// Only [`Other`] takes what comes: a number, or nothing.
    fn deserialize_any<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        let number = if let Source::Here(node) = self.source { number_of(node) } else { None };
        match number {
            Some(Number::Whole(value)) => visitor.visit_f64(to_float(value)),
            Some(Number::Float(value)) => visitor.visit_f64(value),
            None => visitor.visit_unit(),
        }
    }

    fn deserialize_bool<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_bool(self.truth())
    }

    fn deserialize_f64<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_f64(self.float(f64::MAX))
    }

    fn deserialize_str<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if let Source::Here(Node::Text(text)) = self.source {
            return visitor.visit_borrowed_str(text);
        }
        self.refuse("a text in quotes");
        visitor.visit_borrowed_str("")
    }

    fn deserialize_string<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if self.is_nothing() { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'t>>(self, name: &'static str, visitor: V) -> Result<V::Value, Stop> {
        let is_example = name.starts_with(|first: char| first.is_ascii_digit());
        visitor.visit_newtype_struct(if is_example { self.or_made_like(name) } else { self })
    }

    fn deserialize_seq<V: Visitor<'t>>(self, visitor: V) -> Result<V::Value, Stop> {
        if !matches!(self.source, Source::Here(Node::List(_))) {
            self.refuse("a list");
        }
        visitor.visit_seq(Items::new(self))
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
        if self.is_object() || matches!(self.source, Source::Made(_)) {
            return visitor.visit_map(Fields::new(self, fields)?);
        }
        self.refuse(&object_with(fields));
        visitor.visit_map(Fields::new(Self { source: Source::Made(0), ..self }, fields)?)
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

    serde::forward_to_deserialize_any! {
        <V: Visitor<'t>> char f32 bytes byte_buf identifier unit unit_struct tuple tuple_struct
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
