//! What the reading of one tree carries along.
//!
//! serde gives a deserializer no way to resume after a type has refused a
//! value: the visitor is spent, and only the type itself can make up a value.
//! Faults that are seen here before a visitor is called (all of those that
//! derived code can meet) are therefore noted and covered with a placeholder at
//! once. A refusal by a hand-written type is noted where it surfaces (a member,
//! an entry or the whole), that node is marked to be covered, and the tree is
//! read again, so that what stands after it is seen too. If a type refuses its
//! placeholder as well, a list or map leaves the entry out, and otherwise the
//! value around it is covered in turn, which makes an `Option` none.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::fmt;

use serde::de;

use super::fault::Faults;
use super::place::Place;
use super::tree::{JsonKind, Node};

/// How deeply placeholders may be nested before a type is given up, so that a
/// type whose placeholder holds itself cannot recurse without end.
const DEEPEST_PLACEHOLDER: u8 = 32;

/// Why a value could not be made.
#[derive(Debug)]
pub(crate) enum Stop {
    /// A type refused the value with these words; not noted yet.
    Said(String),
    /// It is noted, and the tree is worth reading again.
    Noted,
    /// The type refused a placeholder; the value around it has to give way.
    Hopeless,
}

impl fmt::Display for Stop {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Said(words) => out.write_str(words),
            Self::Noted | Self::Hopeless => out.write_str("the value cannot be read"),
        }
    }
}

impl std::error::Error for Stop {}

impl de::Error for Stop {
    fn custom<T: fmt::Display>(words: T) -> Self {
        Self::Said(words.to_string())
    }
}

/// Names a node, or a member that its object does not have.
pub(crate) type Id = (usize, Option<&'static str>);

/// The id of a node.
pub(crate) fn id_of(node: &Node) -> Id {
    (std::ptr::from_ref(node).addr(), None)
}

/// How a node is covered when the tree is read again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cover {
    /// A placeholder stands for it.
    Placeholder,
    /// Its type refuses placeholders: a list or map leaves it out, an object
    /// gives it last, so that its other members are read before it fails.
    LeaveOut,
}

/// What all parts of one reading share.
pub(crate) struct Reader<'f> {
    /// Where faults go.
    pub(crate) faults: &'f Faults,
    covers: RefCell<BTreeMap<Id, Cover>>,
    covering: Cell<bool>,
    again: Cell<bool>,
}

impl<'f> Reader<'f> {
    /// A reading that covers nothing yet.
    pub(crate) const fn new(faults: &'f Faults) -> Self {
        Self { faults, covers: RefCell::new(BTreeMap::new()), covering: Cell::new(false), again: Cell::new(false) }
    }

    /// How the node is covered.
    pub(crate) fn cover(&self, id: Id) -> Option<Cover> {
        if !self.covering.get() {
            return None;
        }
        let covers = self.covers.try_borrow().ok()?;
        covers.get(&id).copied()
    }

    /// Whether a list or map leaves the node out.
    pub(crate) fn leaves_out(&self, id: Id) -> bool {
        self.cover(id) == Some(Cover::LeaveOut)
    }

    /// Covers the node from the next reading on.
    pub(crate) fn set_cover(&self, id: Id, cover: Cover) {
        if let Ok(mut covers) = self.covers.try_borrow_mut() {
            covers.insert(id, cover);
        }
        self.covering.set(true);
    }

    /// Says that this reading stopped short somewhere.
    pub(crate) fn read_again(&self) {
        self.again.set(true);
    }

    /// Whether the reading stopped short, forgetting it.
    pub(crate) fn take_again(&self) -> bool {
        self.again.replace(false)
    }
}

/// What a value is read from.
#[derive(Clone, Copy)]
pub(crate) enum Source<'t> {
    /// A node of the tree.
    Here(&'t Node<'t>),
    /// An object without its member "kind".
    Tagged(&'t Node<'t>),
    /// The name of a member of a map.
    Name(&'t str),
    /// A member that is not there.
    Absent,
    /// Nothing: a placeholder is made, nested so deeply in others.
    Made(u8),
}

/// A value to be read: from what, where, and in which reading.
#[derive(Clone, Copy)]
pub(crate) struct Cursor<'t, 'p> {
    /// What it is read from.
    pub(crate) source: Source<'t>,
    /// Where it stands.
    pub(crate) place: Place<'p>,
    /// The reading it belongs to.
    pub(crate) reader: &'p Reader<'p>,
}

impl<'t, 'p> Cursor<'t, 'p> {
    /// A cursor on something that has an id, or on what covers it.
    pub(crate) fn on(source: Source<'t>, id: Id, place: Place<'p>, reader: &'p Reader<'p>) -> Self {
        let source = match reader.cover(id) {
            Some(_) => Source::Made(0),
            None => source,
        };
        Self { source, place, reader }
    }

    /// A cursor on a node, or on what covers it.
    pub(crate) fn node(node: &'t Node<'t>, place: Place<'p>, reader: &'p Reader<'p>) -> Self {
        Self::on(Source::Here(node), id_of(node), place, reader)
    }

    /// The same place, with a placeholder made for what is there.
    pub(crate) fn made(self) -> Self {
        let source = match self.source {
            Source::Made(depth) => Source::Made(depth),
            _ => Source::Made(0),
        };
        Self { source, ..self }
    }

    /// What the parts of a placeholder are read from.
    pub(crate) fn part_of_made(self) -> Result<Source<'t>, Stop> {
        match self.source {
            Source::Made(depth) if depth >= DEEPEST_PLACEHOLDER => Err(Stop::Hopeless),
            Source::Made(depth) => Ok(Source::Made(depth.saturating_add(1))),
            _ => Ok(Source::Made(1)),
        }
    }

    /// Whether there is no value: absent, null or to be made up.
    pub(crate) const fn is_nothing(&self) -> bool {
        matches!(self.source, Source::Absent | Source::Made(_) | Source::Here(Node::Null))
    }

    /// The kind of JSON value found, if there is a value.
    pub(crate) const fn found(&self) -> Option<JsonKind> {
        match self.source {
            Source::Here(node) | Source::Tagged(node) => Some(node.kind()),
            Source::Name(_) => Some(JsonKind::Text),
            Source::Absent | Source::Made(_) => None,
        }
    }
}
