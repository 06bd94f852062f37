//! Any value at all, kept only as far as a message about it needs.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::numbers::to_float;
use super::tree::JsonKind;

/// A value that is neither a text nor an object, where one was wanted.
///
/// It takes any JSON value without complaint and keeps what a message about it
/// needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Other {
    /// The kind of value.
    pub found: JsonKind,
    /// The number, if it is one.
    pub number: Option<f64>,
}

impl<'de> Deserialize<'de> for Other {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(OtherVisitor)
    }
}

struct OtherVisitor;

impl OtherVisitor {
    const fn other(found: JsonKind) -> Other {
        Other { found, number: None }
    }

    const fn number(number: f64) -> Other {
        Other { found: JsonKind::Number, number: Some(number) }
    }
}

impl<'de> Visitor<'de> for OtherVisitor {
    type Value = Other;

    fn expecting(&self, out: &mut fmt::Formatter) -> fmt::Result {
        out.write_str("any value")
    }

    fn visit_unit<E: Error>(self) -> Result<Other, E> {
        Ok(Self::other(JsonKind::Null))
    }

    fn visit_bool<E: Error>(self, _value: bool) -> Result<Other, E> {
        Ok(Self::other(JsonKind::Boolean))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Other, E> {
        Ok(Self::number(to_float(value.into())))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Other, E> {
        Ok(Self::number(to_float(value.into())))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Other, E> {
        Ok(Self::number(value))
    }

    fn visit_str<E: Error>(self, _text: &str) -> Result<Other, E> {
        Ok(Self::other(JsonKind::Text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Other, A::Error> {
        while from.next_element::<IgnoredAny>()?.is_some() {}
        Ok(Self::other(JsonKind::List))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Other, A::Error> {
        while from.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(Self::other(JsonKind::Object))
    }
}
