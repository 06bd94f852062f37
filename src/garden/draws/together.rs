//! Values that are drawn together, as a Gaussian copula.

use super::{Stream, Variable, normal, normal_chance};
use crate::garden::assumptions::{Assumption, Copula};
use crate::garden::linear::Lower;

/// Variables that go together. Each is drawn from the streams of all of them, also of those that nothing here depends on, so that its draws
/// do not depend on which others are used.
pub(super) struct Together<'a> {
    lower: &'a Lower,
    members: Vec<(Stream, Option<usize>)>,
    normals: Vec<f64>,
}

impl<'a> Together<'a> {
    /// `None` where none of them is drawn.
    pub fn new(copula: &'a Copula, all: &[Variable], stream: impl Fn(&Variable) -> Stream) -> Option<Self> {
        let member = |which: &Assumption| {
            let variable = Variable::Assumption(*which);
            (stream(&variable), all.iter().position(|other| *other == variable))
        };
        let members: Vec<_> = copula.members.iter().map(member).collect();
        let any = members.iter().any(|(_, column)| column.is_some());
        any.then(|| Self { lower: &copula.lower, members, normals: Vec::new() })
    }

    /// Puts their draws in the place of independent ones.
    pub fn draw(&mut self, row: &mut [f64]) {
        self.normals.clear();
        self.normals.extend(self.members.iter_mut().map(|(stream, _)| normal(stream.next())));
        for ((_, column), z) in self.members.iter().zip(self.lower.times(&self.normals)) {
            column.and_then(|column| row.get_mut(column)).into_iter().for_each(|u| *u = normal_chance(z));
        }
    }
}
