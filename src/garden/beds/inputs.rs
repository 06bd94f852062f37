//! What is known, as it is taken: where it is recorded, what was assumed, and what is to be minded.

use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::units::{Estimate, Measured};

/// Takes what is known of a bed, and notes what was taken.
#[derive(Debug)]
pub struct Inputs<'k, R> {
    /// What is known.
    pub known: Known<'k>,
    /// Where figures are recorded.
    pub recorder: R,
    /// What was assumed, in the order in which it was taken.
    pub assumed: Vec<Assumed>,
    /// What to mind.
    pub cautions: Vec<Rule>,
}

impl<'k, R: Recorder> Inputs<'k, R> {
    /// Nothing is taken yet.
    pub fn new(known: Known<'k>, recorder: R) -> Self {
        Self { known, recorder, assumed: Vec::new(), cautions: Vec::new() }
    }

    /// A value with its range.
    pub fn take<D: Measured>(&mut self, assumption: Assumption) -> Estimate<D> {
        let (figure, assumed) = self.known.figure(assumption, self.recorder);
        self.assumed.extend(assumed);
        figure
    }

    /// Notes a caution once.
    pub fn caution(&mut self, rule: Rule) {
        if !self.cautions.contains(&rule) {
            self.cautions.push(rule);
        }
    }

    /// Takes an assumption off the list, where something else stands in its place.
    pub fn forget(&mut self, assumption: Assumption) {
        self.assumed.retain(|one| one.assumption != assumption);
    }
}
