//! On which days a demand repeats.

use super::DemandRequest;
use crate::garden::dates::{date, moment};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::input::RequestContext;
use crate::http::limits::MAX_SHARED;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

impl DemandRequest {
    /// The day from which it repeats: its first, else its last; of a tea with a time the day of that time.
    fn starts(&self) -> Option<NaiveDate> {
        let use_at = self.brew.as_ref().and_then(|brew| brew.use_at.as_deref());
        let brewed = use_at.and_then(|text| moment(text).ok()).map(|at| at.date_naive());
        let days = [&self.on, &self.earliest, &self.latest];
        brewed.or_else(|| days.into_iter().flatten().find_map(|text| date(text).ok()))
    }

    /// How many times it is asked, as far as can be seen ahead; once where it does not repeat, or will be refused.
    pub(super) fn times(&self, ahead: &RequestContext<'_>) -> usize {
        let days = self.repeat.as_ref().and_then(|repeat| repeat.days_after(self.starts(), ahead, JsonPath::root()));
        days.map_or(1, |days| days.len())
    }

    /// How many days after the first it is asked, the first included; nothing where it does not repeat.
    pub(super) fn days_after(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Vec<u64>> {
        let Some(repeat) = &self.repeat else { return Some(Vec::new()) };
        let starts = self.starts();
        let dated = [&self.on, &self.earliest, &self.latest].into_iter().any(Option::is_some);
        if starts.is_none() && !dated && self.brew.as_ref().is_none_or(|brew| brew.use_at.is_none()) {
            let detail = "a demand that repeats needs its first day: add on, such as \"2027-04-05\"";
            context.refuse(place.field("on"), Refusal::new(Reason::MissingField, detail));
            return None;
        }
        // A day that cannot be read has been refused.
        repeat.days_after(Some(starts?), context, place.field("repeat"))
    }
}

/// Refuses more times and batches than are ever shared, before any of them is made.
pub(super) fn few_parts(parts: usize, context: &RequestContext<'_>, at: JsonPath<'_>) -> Option<()> {
    if parts <= MAX_SHARED {
        return Some(());
    }
    let detail = format!(
        "the demands come to {parts} times and batches, and at most {MAX_SHARED} are shared at once: ask for fewer times of a repeat, or for \
         brews of fewer batches"
    );
    context.refuse(at, Refusal::new(Reason::TooLarge, detail));
    None
}
