//! How long castings lie in store before they are used.

use super::allocation::Lot;
use super::{Allocated, Requirement};
use crate::garden::cautions::Rule;
use chrono::{Days, NaiveDate};

/// The days in store after which castings get a caution. Source: common practice, no source: printed advice runs from four months
/// to three years.
const LONG_IN_STORE: u64 = 365;

/// The caution about castings that a demand gets from a lot that has been ready for more than a year by then; none where either day
/// is not known. What is drawn before today is not used before today, unless its last day is earlier. Nothing expires by it: that is for
/// the use-by of a lot alone.
#[must_use]
pub fn long_stored(
    (requirement, allotments): (&Requirement, &[Allocated]),
    lots: &[Lot],
    today: Option<NaiveDate>,
) -> Option<Rule> {
    let used = |allotment: &Allocated| {
        let last = requirement.parts.get(allotment.part).and_then(|part| part.window.last);
        let used = allotment.on.max(today);
        last.map_or(used, |last| used.map(|day| day.min(last)))
    };
    let long = |allotment: &Allocated| {
        let ready = lots.get(allotment.lot).and_then(|lot| lot.window.first);
        let kept = ready.and_then(|ready| ready.checked_add_days(Days::new(LONG_IN_STORE)));
        kept.zip(used(allotment)).is_some_and(|(kept, on)| on > kept)
    };
    allotments.iter().any(long).then_some(Rule::LongStored)
}
