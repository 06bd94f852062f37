//! The same again and again, on the wire.

use super::RequestContext;
use super::bounded::Times;
use super::quantity::DurationInput;
use crate::garden::applications::repeats::{Ends, Repeat, check_times};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// The same again and again: every so many days, until a day or so many times. All items of a request are repeated at most 10,000 times
/// together.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
#[schema(as = Repeat)]
pub struct RepeatInput {
    /// From one time to the next, in whole days or weeks: `"14 d"`, `"6 weeks"`.
    pub every: DurationInput,
    /// The last day on which it may start once more. Either this or `times`.
    #[schema(format = Date)]
    pub until: Option<String>,
    /// How many times in all, the first one included. Either this or `until`.
    #[validate(nested)]
    pub times: Option<Times>,
}

impl RepeatInput {
    /// Reads it: how many days after the first it is done, the first included.
    pub fn days_after(
        &self,
        first: Option<NaiveDate>,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
    ) -> Option<Vec<u64>> {
        // Its bounds are in days, and those of the repeat.
        let every = context.exact_between(&self.every.0, (0.0, f64::INFINITY), place.field("every"));
        let ends = self.ends(context, place);
        let repeat = context.keep(place, Repeat::new(every?, ends?))?;
        let days = context.keep(place, repeat.days_after(first))?;
        let before = context.times.get();
        let all = context.count_times(days.len());
        // More than are computed with are reported once, where they become too many.
        check_times(before).ok()?;
        context.keep(place, check_times(all)).map(|()| days)
    }

    fn ends(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Ends> {
        match (&self.until, self.times) {
            (Some(until), None) => context.day(Some(until), place.field("until")).flatten().map(Ends::Until),
            // What lies outside its bounds has been refused.
            (None, Some(times)) => times.is_within().then_some(Ends::Times(times.0)),
            _ => {
                let detail = "say when the repeat ends: either until, such as \"2027-09-01\", or times, such as 4";
                context.refuse(place, Refusal::new(Reason::ExactlyOneOf, detail).allowed(["until", "times"]));
                None
            }
        }
    }
}

impl RequestContext<'_> {
    /// Counts the times of an item that repeats, and answers how many there are so far.
    fn count_times(&self, times: usize) -> usize {
        self.times.set(self.times.get().saturating_add(times));
        self.times.get()
    }
}
