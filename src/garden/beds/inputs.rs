//! What is known, as it is taken: where it is recorded, what was assumed, and what is to be minded.

use crate::garden::assumptions::{Assumed, Assumption, Known, SetBy, Span};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::units::quantity::{OfDensity, OfShare};
use crate::garden::units::{End, Estimate, Measured};

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

    /// Takes an assumption off the list, where something else replaces it.
    pub fn forget(&mut self, assumption: Assumption) {
        self.assumed.retain(|one| one.assumption != assumption);
    }
}

/// The dry matter in a volume of feed, with its range, for [`Assumption::FeedDryDensity`] unless that is given itself: by the bulk density at
/// which the feed lies in its bed, or by that at which it is collected, where it would lie looser else. That no
/// treatment loosens feed is common practice, no source.
#[must_use]
pub fn feed_density(
    (rho, set_by): (Estimate<OfDensity>, SetBy),
    moisture: Estimate<OfShare>,
    known: Known<'_>,
) -> Option<Span> {
    let assumed = known.get(Assumption::FeedDryDensity)?;
    let dry = |end| rho.only(end).likely().base() * (1.0 - moisture.fraction());
    let span = Span { low: dry(End::Low), likely: dry(End::Likely), high: dry(End::High) };
    let counts = set_by == SetBy::Item || span.likely > assumed.span.likely;
    (assumed.set_by == SetBy::Default && counts).then_some(span)
}
