//! A value about to be read: from what, where, and where its errors go.
//!
//! serde gives a deserializer no way to resume after a type has refused a value: the visitor is spent, and only the type itself can
//! make up a value. RequestErrors are therefore seen here, before a visitor is called, and the value is covered with a placeholder at once.

use serde::de::{Error, value};

use super::error::RequestErrors;
use super::path::JsonPath;
use super::tree::Node;

/// How deeply placeholders may be nested before a type is given up, so that a
/// type whose placeholder holds itself cannot recurse without end.
const DEEPEST_PLACEHOLDER: u8 = 32;

/// Why a value could not be made. Types as [`super::collect`] describes them never give one.
pub(crate) type Stop = value::Error;

/// What a value is read from.
#[derive(Clone, Copy)]
pub(crate) enum Source<'t> {
    /// A node of the tree.
    Here(&'t Node<'t>),
    /// An object without its member "kind".
    Tagged(&'t Node<'t>),
    /// A member that is not there.
    Absent,
    /// Nothing: a placeholder is made, nested so deeply in others.
    Made(u8),
}

/// A value to be read: from what, where, and where its errors go.
#[derive(Clone, Copy)]
pub(crate) struct Cursor<'t, 'p> {
    /// What it is read from.
    pub(crate) source: Source<'t>,
    /// Its place.
    pub(crate) place: JsonPath<'p>,
    /// Where errors go.
    pub(crate) errors: &'p RequestErrors,
}

impl<'t> Cursor<'t, '_> {
    /// What the parts of a placeholder are read from.
    pub(crate) fn part_of_made(self) -> Result<Source<'t>, Stop> {
        match self.source {
            Source::Made(depth) if depth >= DEEPEST_PLACEHOLDER => Err(Stop::custom("a placeholder holds itself")),
            Source::Made(depth) => Ok(Source::Made(depth.saturating_add(1))),
            _ => Ok(Source::Made(1)),
        }
    }

    /// Whether there is no value: absent, null or to be made up.
    pub(crate) const fn is_nothing(&self) -> bool {
        matches!(self.source, Source::Absent | Source::Made(_) | Source::Here(Node::Null))
    }

    /// The kind of JSON value found, for a sentence.
    pub(crate) const fn found(&self) -> &'static str {
        match self.source {
            Source::Here(node) | Source::Tagged(node) => node.kind(),
            Source::Absent | Source::Made(_) => "nothing",
        }
    }
}
