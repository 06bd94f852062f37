//! Any value at all, kept only as far as a message about it needs.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error, Visitor};

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
