//! Any value at all, kept only as far as a message about it needs.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error, IgnoredAny, MapAccess, Visitor};

/// A value that is neither a text nor an object, where one was wanted: the number, if it is one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Other(pub Option<f64>);

impl<'de> Deserialize<'de> for Other {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(OtherVisitor)
    }
}

struct OtherVisitor;

impl Visitor<'_> for OtherVisitor {
    type Value = Other;

    fn expecting(&self, out: &mut fmt::Formatter) -> fmt::Result {
        out.write_str("any value")
    }

    fn visit_unit<E: Error>(self) -> Result<Other, E> {
        Ok(Other(None))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Other, E> {
        Ok(Other(Some(value)))
    }
}

/// An object that stays in the tree: whoever reads it on takes it from there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AnyObject;

impl<'de> Deserialize<'de> for AnyObject {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_map(ObjectVisitor)
    }
}

struct ObjectVisitor;

impl<'de> Visitor<'de> for ObjectVisitor {
    type Value = AnyObject;

    fn expecting(&self, out: &mut fmt::Formatter) -> fmt::Result {
        out.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<AnyObject, A::Error> {
        while from.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(AnyObject)
    }
}
