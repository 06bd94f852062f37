//! What the value of a quantity is counted in.

use crate::garden::units::ContainerName;
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::ops::Deref;
use std::sync::Arc;

/// The name of a unit, or of a container of the caller's, which all amounts in it share: there may be many thousands of them.
#[must_use]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnitName {
    /// A unit; empty for a ratio.
    Unit(Cow<'static, str>),
    /// A container of the caller's.
    Container(Arc<ContainerName>),
}

impl UnitName {
    /// What several of it are called, where that has a name of its own.
    #[must_use]
    pub fn several(&self) -> Option<&str> {
        match self {
            Self::Unit(_) => None,
            Self::Container(name) => Some(&name.several),
        }
    }
}

impl Deref for UnitName {
    type Target = str;

    fn deref(&self) -> &str {
        match self {
            Self::Unit(name) => name,
            Self::Container(name) => &name.one,
        }
    }
}

impl PartialEq<&str> for UnitName {
    fn eq(&self, other: &&str) -> bool {
        **self == **other
    }
}

impl std::fmt::Display for UnitName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self)
    }
}

impl From<&'static str> for UnitName {
    fn from(unit: &'static str) -> Self {
        Self::Unit(Cow::Borrowed(unit))
    }
}

impl From<String> for UnitName {
    fn from(unit: String) -> Self {
        Self::Unit(Cow::Owned(unit))
    }
}

impl Serialize for UnitName {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self)
    }
}
