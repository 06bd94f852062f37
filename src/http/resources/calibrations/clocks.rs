//! The clocks of the records: one for each climate, whatever the number of beds under it.

use super::request::{CalibrationsRequest, RecordRequest};
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::beds::{Climate, Clocks};
use crate::garden::calibrations::DAYS_AFTER;
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use crate::http::input::RequestContext;
use crate::http::wire::JsonPath;
use chrono::{Days, NaiveDate};

/// The first and the last day of a record.
pub(super) type Lasts = (NaiveDate, NaiveDate);

/// The climates of a request, each once.
#[derive(Debug, Default)]
pub(super) struct Climates {
    all: Vec<Climate>,
    /// The place of the request's own.
    shared: Option<usize>,
}

impl Climates {
    /// Reads that of the request.
    pub fn of(request: &CalibrationsRequest, context: &RequestContext<'_>) -> Self {
        let root = JsonPath::root();
        let mut climates = Self::default();
        let shared = request.climate.as_ref().and_then(|climate| context.climate(climate, root.field("climate")));
        climates.shared = shared.map(|climate| climates.place(climate));
        climates
    }

    /// The place of a climate among those that are known, which it joins.
    fn place(&mut self, climate: Climate) -> usize {
        self.all.iter().position(|known| *known == climate).unwrap_or_else(|| {
            self.all.push(climate);
            self.all.len() - 1
        })
    }

    /// The place of the climate of a record.
    pub fn of_record(
        &mut self,
        (request, record): (&CalibrationsRequest, &RecordRequest),
        (context, place): (&RequestContext<'_>, JsonPath<'_>),
    ) -> Option<usize> {
        let at = place.field("climate");
        match (&record.climate, &request.climate) {
            (Some(own), _) => context.climate(own, at).map(|climate| self.place(climate)),
            // An error of it has been reported at its place.
            (None, Some(_)) => self.shared,
            (None, None) => {
                let detail = "the temperature of this bed is missing: give climate here, as in \"15 C\", or climate for all records";
                context.refuse(at, Refusal::new(Reason::MissingField, detail));
                None
            }
        }
    }

    /// The clocks of all climates. `of` has for each record the place of its climate, and its first and last day.
    pub fn clocks(
        &self,
        of: &[(usize, Lasts)],
        (request, context): (&CalibrationsRequest, &RequestContext<'_>),
    ) -> Option<Vec<Clocks>> {
        let first = of.iter().map(|(_, (first, _))| *first).min()?;
        let (latest, (_, (_, last))) = of.iter().enumerate().max_by_key(|(_, (_, (_, last)))| *last)?;
        let root = JsonPath::root();
        let list = root.field("records");
        if last.signed_duration_since(first).num_days() > MAX_SPAN_DAYS {
            let detail = format!(
                "from {first} to {last} are more than ten years, the longest time of all records; leave the oldest records out"
            );
            context.refuse(list.index(latest), Refusal::new(Reason::OutOfRange, detail));
            return None;
        }
        let none = Overrides::default();
        let known = Known { request: &context.overrides, item: &none };
        let made: Vec<Option<Clocks>> = self
            .all
            .iter()
            .enumerate()
            .map(|(place, climate)| {
                let own: Vec<usize> =
                    of.iter().enumerate().filter(|(_, (at, _))| *at == place).map(|(i, _)| i).collect();
                let days = days_of(climate, own.iter().filter_map(|i| of.get(*i)).map(|(_, lasts)| *lasts))?;
                let refused = |refusal| {
                    let first =
                        own.iter().copied().find(|i| request.records.get(*i).is_some_and(|of| of.climate.is_some()));
                    refuse(context, first.map_or(root, |i| list.index(i)), refusal);
                };
                Clocks::new(climate, days, known).map_err(refused).ok()
            })
            .collect();
        made.into_iter().collect()
    }
}

/// The days of a climate's clocks: from the first start until long after the last date, or to the end of a series of temperatures that goes
/// on for less.
fn days_of(climate: &Climate, records: impl Iterator<Item = Lasts> + Clone) -> Option<Lasts> {
    let first = records.clone().map(|(first, _)| first).min()?;
    let last = records.map(|(_, last)| last).max()?;
    let most = first.checked_add_days(Days::new(MAX_SPAN_DAYS.unsigned_abs()))?;
    let long_after = last.checked_add_days(Days::new(DAYS_AFTER))?.min(most);
    Some((first, climate.last_day().map_or(long_after, |end| end.clamp(last, long_after))))
}

/// Tells a refusal of the clocks at the climate that it is about.
fn refuse(context: &RequestContext<'_>, above: JsonPath<'_>, refusal: Refusal) {
    let climate = above.field("climate");
    match refusal.field {
        Some("climate") => {
            // Only a series can have a hole; it is there, so the error is one of its length.
            let daily = climate.field("daily");
            context.refuse(daily.field("values"), Refusal { field: None, ..refusal });
        }
        Some("assumptions") => context.refuse(JsonPath::root(), refusal),
        _ => context.refuse(climate, Refusal { field: None, ..refusal }),
    }
}
