//! A JSON document as a tree that borrows from the bytes it was read from.

use std::borrow::Cow;
use std::cell::Cell;
use std::fmt;

use serde::Deserialize;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use super::syntax::{self, MAX_DEPTH, SyntaxFault};
use crate::garden::interrupt::check;

/// A JSON value. Objects keep the order of their members and repeated names.
#[derive(Clone, Debug, PartialEq)]
pub enum Node<'a> {
    /// `null`.
    Null,
    /// `true` or `false`.
    Bool(bool),
    /// A whole number.
    Int(i64),
    /// A whole number too large for [`Node::Int`].
    UInt(u64),
    /// A number with a fraction or an exponent, or a very large one.
    Float(f64),
    /// A text.
    Text(Cow<'a, str>),
    /// A list.
    List(Vec<Node<'a>>),
    /// An object.
    Object(Vec<Member<'a>>),
}

/// A member of an object: its name and its value.
pub type Member<'a> = (Cow<'a, str>, Node<'a>);

impl<'a> Node<'a> {
    /// An object with these members, in this order.
    pub fn object_from<K, V>(members: impl IntoIterator<Item = (K, V)>) -> Self
    where
        K: Into<Cow<'a, str>>,
        V: Into<Node<'a>>,
    {
        let members = members.into_iter();
        Self::Object(members.map(|(key, value)| (key.into(), value.into())).collect())
    }

    /// A list of these entries, in this order.
    pub fn list_from<V: Into<Node<'a>>>(items: impl IntoIterator<Item = V>) -> Self {
        Self::List(items.into_iter().map(Into::into).collect())
    }

    /// What kind of JSON value this is, with its article, for a sentence.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Null => "null",
            Self::Bool(_) => "true or false",
            Self::Int(_) | Self::UInt(_) | Self::Float(_) => "a number",
            Self::Text(_) => "a text",
            Self::List(_) => "a list",
            Self::Object(_) => "an object",
        }
    }

    /// The first member with this name, if this is an object that has one.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Self> {
        match self {
            Self::Object(members) => {
                let mut members = members.iter();
                members.find(|(key, _)| key == name).map(|(_, value)| value)
            }
            _ => None,
        }
    }

    /// How many values it holds, itself included.
    #[must_use]
    pub fn count(&self) -> usize {
        1 + match self {
            Self::List(items) => items.iter().map(Self::count).sum(),
            Self::Object(members) => members.iter().map(|(_, value)| value.count()).sum::<usize>(),
            _ => 0,
        }
    }

    /// The text, if this is one.
    #[must_use]
    pub fn as_text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }
}

impl<'a> From<&'a str> for Node<'a> {
    fn from(text: &'a str) -> Self {
        Self::Text(Cow::Borrowed(text))
    }
}

/// Reads a document that must be JSON from its first byte to its last.
///
/// # Errors
///
/// The one error that keeps the bytes from being a document at all.
pub fn parse(bytes: &[u8]) -> Result<Node<'_>, SyntaxFault> {
    let text = syntax::text_of(bytes)?;
    let too_deep = Cell::new(false);
    let seed = NodeSeed { depth_left: MAX_DEPTH, too_deep: &too_deep };
    let mut reader = serde_json::Deserializer::from_str(text);
    let node = seed.deserialize(&mut reader);
    let whole = node.and_then(|node| reader.end().map(|()| node));
    whole.map_err(|error| syntax::explain(text, &error, too_deep.get()))
}

/// Reads one node; `depth_left` is how many containers may still be opened.
#[derive(Clone, Copy)]
struct NodeSeed<'c> {
    depth_left: usize,
    too_deep: &'c Cell<bool>,
}

impl NodeSeed<'_> {
    fn inner<E: Error>(self) -> Result<Self, E> {
        let depth_left = self.depth_left.checked_sub(1).ok_or_else(|| {
            self.too_deep.set(true);
            E::custom("nested too deeply")
        })?;
        Ok(Self { depth_left, ..self })
    }
}

impl<'de> DeserializeSeed<'de> for NodeSeed<'_> {
    type Value = Node<'de>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Node<'de>, D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for NodeSeed<'_> {
    type Value = Node<'de>;

    fn expecting(&self, out: &mut fmt::Formatter) -> fmt::Result {
        out.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Node<'de>, E> {
        Ok(Node::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Node<'de>, E> {
        Ok(Node::Bool(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Node<'de>, E> {
        Ok(Node::Int(value))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Node<'de>, E> {
        Ok(i64::try_from(value).map_or(Node::UInt(value), Node::Int))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Node<'de>, E> {
        Ok(Node::Float(value))
    }

    fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<Node<'de>, E> {
        Ok(Node::Text(Cow::Borrowed(text)))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Node<'de>, E> {
        Ok(Node::Text(Cow::Owned(text.to_owned())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Node<'de>, A::Error> {
        let inner = self.inner()?;
        let mut items = Vec::new();
        while let Some(item) = from.next_element_seed(inner)? {
            check();
            items.push(item);
        }
        Ok(Node::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Node<'de>, A::Error> {
        let inner = self.inner()?;
        let mut members = Vec::new();
        while let Some(Name(name)) = from.next_key()? {
            members.push((name, from.next_value_seed(inner)?));
        }
        Ok(Node::Object(members))
    }
}

/// The name of a member, borrowed where it has no escapes.
#[derive(Deserialize)]
struct Name<'a>(#[serde(borrow)] Cow<'a, str>);

#[cfg(test)]
mod tests {
    use super::super::codes::ErrorCode;
    use super::*;

    #[test]
    fn order_repeats_and_borrowing() {
        let node = parse(br#"{"b": 1, "a": [null, true, -2, 1.5], "b": "x\n", "c": "y"}"#).unwrap();
        let Node::Object(members) = &node else { panic!("an object") };
        let names: Vec<&str> = members.iter().map(|(name, _)| name.as_ref()).collect();
        assert_eq!(names, ["b", "a", "b", "c"]);
        assert!(members.iter().all(|(name, _)| matches!(name, Cow::Borrowed(_))));
        assert_eq!(node.get("b"), Some(&Node::Int(1)));
        assert!(matches!(&members[2].1, Node::Text(Cow::Owned(text)) if text == "x\n"));
        assert!(matches!(&members[3].1, Node::Text(Cow::Borrowed("y"))));
        let list = [Node::Null, Node::Bool(true), Node::Int(-2), Node::Float(1.5)];
        assert_eq!(node.get("a"), Some(&Node::list_from(list)));
        assert_eq!(node.get("z"), None);
    }

    #[test]
    fn large_whole_numbers() {
        let node = parse(b"[18446744073709551615, 9223372036854775807, 1e3]").unwrap();
        let wanted = [Node::UInt(u64::MAX), Node::Int(i64::MAX), Node::Float(1000.0)];
        assert_eq!(node, Node::list_from(wanted));
    }

    #[test]
    fn nested_to_the_limit_and_beyond() {
        let nest = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
        assert!(parse(nest(32).as_bytes()).is_ok());
        let error = parse(nest(33).as_bytes()).unwrap_err();
        assert_eq!((error.code, error.position), (ErrorCode::TooDeep, Some((1, 33))));
        let error = parse("[".repeat(100_000).as_bytes()).unwrap_err();
        assert_eq!((error.code, error.position), (ErrorCode::TooDeep, Some((1, 33))));
        let objects = format!("{}1{}", "{\"a\":".repeat(33), "}".repeat(33));
        assert_eq!(parse(objects.as_bytes()).unwrap_err().code, ErrorCode::TooDeep);
        let body = format!("{{\"[\\\"ö[\": [],\n \"b\": {}", nest(40));
        let error = parse(body.as_bytes()).unwrap_err();
        assert_eq!((error.code, error.position), (ErrorCode::TooDeep, Some((2, 38))));
    }

    #[test]
    fn trees_from_pairs() {
        let node = Node::object_from([("limit", "3"), ("crop", "leek")]);
        assert_eq!(node.get("crop").and_then(Node::as_text), Some("leek"));
        assert_eq!(node.kind(), "an object");
    }
}
