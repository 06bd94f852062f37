//! What is recorded of the figures of one answer.

use super::role::Role;
use crate::garden::figures::{Book, Recorder, Source};
use crate::garden::units::{Estimate, Measured};
use std::cell::RefCell;

/// The figures of one answer and the places of the request that they are from.
#[derive(Debug, Default)]
pub struct Recording {
    /// How figures came.
    pub book: Book,
    /// Places of the request, and how the value of each is written.
    asked: RefCell<Vec<(String, Role)>>,
}

impl Recording {
    /// A quantity of the request, known by the pointer to its place.
    #[must_use]
    pub fn asked<D: Measured>(&self, role: Role, value: impl Into<Estimate<D>>, pointer: String) -> Estimate<D> {
        Some(&self.book).source(self.place(role, pointer), value.into())
    }

    /// A place of the request as a source.
    #[must_use]
    pub fn place(&self, role: Role, pointer: String) -> Source {
        Source::Request(self.number(role, pointer))
    }

    /// The number of a place of the request.
    #[must_use]
    pub fn number(&self, role: Role, pointer: String) -> u32 {
        let mut asked = self.asked.borrow_mut();
        asked.push((pointer, role));
        u32::try_from(asked.len()).unwrap_or(u32::MAX).saturating_sub(1)
    }

    /// The place of a source and how its value is written.
    #[must_use]
    pub fn place_of(&self, source: Source) -> Option<(String, Role)> {
        let (Source::Request(index) | Source::Material(_, index) | Source::Rate(_, index)) = source else {
            return None;
        };
        self.asked.borrow().get(usize::try_from(index).ok()?).cloned()
    }
}
