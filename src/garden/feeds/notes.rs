//! What was assumed for a mix, and what to mind.

use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::units::{Estimate, Measured};

/// Looks assumptions up and remembers which.
pub struct Notes<'a> {
    /// Where they are looked up.
    pub known: Known<'a>,
    /// Which were used.
    pub assumed: Vec<Assumed>,
    /// What they give reason to say.
    pub cautions: Vec<Rule>,
}

impl Notes<'_> {
    /// The value to use.
    pub fn take<D: Measured>(&mut self, assumption: Assumption) -> Estimate<D> {
        let (estimate, used) = self.known.estimate(assumption);
        self.assumed.extend(used);
        estimate
    }
}
