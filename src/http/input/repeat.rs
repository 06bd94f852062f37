//! The same again and again, on the wire.

use super::RequestContext;
use super::bounded::Times;
use super::quantity::DurationInput;
use crate::garden::applications::repeats::{Ends, Repeat, check_times};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Repeats after a fixed number of days, until a day or for a number of times. All items of a request are repeated at most 10,000 times
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
        let days = self.days(first, context, place)?;
        let before = context.times.get();
        let all = context.count_times(days.len());
        // More than are computed with are reported once, where they become too many.
        check_times(before).ok()?;
        context.keep(place, check_times(all)).map(|()| days)
    }

    /// The days by the one end that is given; what is wrong by another one is reported too.
    fn days(&self, first: Option<NaiveDate>, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Vec<u64>> {
        // Its bounds are in days, and those of the repeat.
        let every = context.exact_between(&self.every.0, (0.0, f64::INFINITY), place.field("every"));
        let repeat = |ends| context.keep(place, Repeat::new(every?, ends));
        let days = |ends| context.keep(place, repeat(ends)?.days_after(first));
        let until = self.until.as_deref().map(|until| {
            let day = context.day(Some(until), place.field("until")).flatten()?;
            // Without a first day it is no end, which need not be said beside times.
            if first.is_none() && self.times.is_some() { None } else { days(Ends::Until(day)) }
        });
        // What lies outside its bounds has been refused.
        let times = self.times.map(|times| times.is_within().then_some(Ends::Times(times.0)).and_then(days));
        if self.until.is_none() && self.times.is_none() {
            repeat(Ends::Times(1));
        }
        let detail = "say when the repeat ends: either until, such as \"2027-09-01\", or times, such as 4";
        context.only_way([until, times], (place, detail), &["until", "times"])
    }
}

impl RequestContext<'_> {
    /// Counts the times of an item that repeats, and answers how many there are so far.
    fn count_times(&self, times: usize) -> usize {
        self.times.set(self.times.get().saturating_add(times));
        self.times.get()
    }
}
