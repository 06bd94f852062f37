//! The columns of tables. One has a name for data (CSV) and a heading for readers (text, HTML); without one of them it is left out there.

use std::borrow::Cow;

/// What a column holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// Words, dates and moments.
    Words,
    /// Sentences with numbers in them, which data write with the decimal mark that is asked for.
    Sentences,
    /// Words that need a small print only.
    Fine,
    /// An id with dots and underscores.
    Id,
    /// Counts.
    Count,
    /// Quantities in one unit.
    Quantity {
        /// The unit in which they are written as data.
        unit: Cow<'static, str>,
        /// Whether data have columns for the bounds.
        bounds: bool,
    },
    /// The same amount in the caller's containers: the names of all in which one of its cells is counted.
    Containers(Vec<String>),
}

impl Kind {
    /// Whether it holds numbers.
    #[must_use]
    pub const fn is_number(&self) -> bool {
        matches!(self, Self::Count | Self::Quantity { .. })
    }
}

/// A column.
#[must_use]
#[derive(Debug, Clone)]
pub struct Column {
    /// Its name in data; empty where it is no data.
    pub name: &'static str,
    /// Its heading for readers; a column without one is for data only.
    pub heading: Option<&'static str>,
    /// What it holds.
    pub kind: Kind,
    /// Whether a page prints it small below the column before.
    pub below: bool,
    /// Whether a short text leaves it out where there is no room for all columns.
    pub if_room: bool,
    /// Whether it keeps its ranges in a text that has no room for all of them.
    pub is_main: bool,
    /// Who reads it.
    pub audience: For,
}

impl Column {
    const fn new(name: &'static str, heading: Option<&'static str>, kind: Kind) -> Self {
        Self { name, heading, kind, below: false, if_room: false, is_main: false, audience: For::Everyone }
    }

    /// Words, for data only.
    pub const fn data(name: &'static str) -> Self {
        Self::new(name, None, Kind::Words)
    }

    /// Quantities in a unit, for data only.
    pub fn data_in(name: &'static str, unit: impl Into<Cow<'static, str>>) -> Self {
        Self::new(name, None, Kind::Quantity { unit: unit.into(), bounds: false })
    }

    /// Words.
    pub const fn words(name: &'static str, heading: &'static str) -> Self {
        Self::new(name, Some(heading), Kind::Words)
    }

    /// Its words are sentences with numbers in them.
    pub fn sentences(mut self) -> Self {
        self.kind = Kind::Sentences;
        self
    }

    /// Words in small print, for readers only.
    pub const fn fine(heading: &'static str) -> Self {
        Self::new("", Some(heading), Kind::Fine)
    }

    /// Ids, for readers only.
    pub const fn id(heading: &'static str) -> Self {
        Self::new("", Some(heading), Kind::Id)
    }

    /// Counts.
    pub const fn count(name: &'static str, heading: &'static str) -> Self {
        Self::new(name, Some(heading), Kind::Count)
    }

    /// Quantities in a unit.
    pub fn quantity(name: &'static str, heading: &'static str, unit: impl Into<Cow<'static, str>>) -> Self {
        Self::new(name, Some(heading), Kind::Quantity { unit: unit.into(), bounds: false })
    }

    /// Quantities for readers only.
    pub fn shown(heading: &'static str) -> Self {
        Self::quantity("", heading, "")
    }

    /// Data have columns for the bounds too.
    pub fn bounded(mut self) -> Self {
        if let Kind::Quantity { bounds, .. } = &mut self.kind {
            *bounds = true;
        }
        self
    }

    /// It keeps its ranges in a text that has no room for all of them.
    pub const fn main(mut self) -> Self {
        self.is_main = true;
        self
    }

    /// The same amount in the caller's containers.
    pub const fn containers(name: &'static str) -> Self {
        Self::new(name, Some("in containers"), Kind::Containers(Vec::new())).below()
    }

    /// The same amount in the caller's containers, for data only.
    pub fn data_containers(name: &'static str) -> Self {
        Self { heading: None, ..Self::containers(name) }
    }

    /// Who reads it: a short text leaves out what is for pages or long texts, a page what is for long texts.
    pub const fn only_for(mut self, audience: For) -> Self {
        self.audience = audience;
        self
    }

    /// A short text without room for all columns leaves it out: what it says follows from others.
    pub const fn if_room(mut self) -> Self {
        self.if_room = true;
        self
    }

    /// A page prints it small below the column before.
    pub const fn below(mut self) -> Self {
        self.below = true;
        self
    }
}

/// Who a table is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum For {
    /// Every form.
    Everyone,
    /// Pages and long texts, and data where it has a name.
    Page,
    /// Long texts, and data where it has a name.
    Long,
    /// Data alone.
    Data,
}
