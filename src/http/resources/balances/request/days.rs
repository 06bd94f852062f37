//! The days of a request.

use super::{BalanceFields, DemandRequest};
use crate::garden::balances::Requirement;
use crate::garden::balances::allocation::Lot;
use crate::garden::dates::{MAX_SPAN_DAYS, date};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::input::RequestContext;
use crate::http::resources::Named;
use crate::http::wire::{JsonPath, clipped, noun};
use chrono::NaiveDate;

/// A date of a lot or a demand, and its place in the request.
struct Dated<'a> {
    day: NaiveDate,
    list: &'static str,
    index: usize,
    field: &'static str,
    name: Option<&'a str>,
}

impl<'a> BalanceFields<'a> {
    /// The dates of lots and demands that can be read, whatever else is wrong with them; without those of brews, which their batches have.
    pub fn dates(&self) -> impl Iterator<Item = NaiveDate> + use<'a> {
        self.dated().map(|dated| dated.day)
    }

    fn dated(&self) -> impl Iterator<Item = Dated<'a>> + use<'a> {
        let of_lots = self.stock.iter().enumerate().flat_map(|(index, lot)| {
            let texts = [("ready_on", lot.ready_on.as_deref()), ("use_by", lot.use_by.as_deref())];
            texts.into_iter().map(move |text| ("stock", index, lot.name(), text))
        });
        let of_demands = self.demands.iter().enumerate().flat_map(|(index, demand)| {
            demand.day_texts().into_iter().map(move |text| ("demands", index, demand.name(), text))
        });
        of_lots.chain(of_demands).filter_map(|(list, index, name, (field, text))| {
            Some(Dated { day: date(text?).ok()?, list, index, field, name })
        })
    }

    /// Refuses dates that lie further apart than ten years, and names the first and the last of them: which of the two is meant, only the
    /// caller knows.
    pub(super) fn check_dates(&self, context: &RequestContext<'_>) -> Option<()> {
        let (first, last) = (self.dated().min_by_key(|dated| dated.day), self.dated().max_by_key(|dated| dated.day));
        let Some((first, last)) = first.zip(last).filter(|(first, last)| is_too_long(first.day, last.day)) else {
            return Some(());
        };
        let detail = format!(
            "{} is more than ten years after {}; one request covers at most ten years, so bring the two nearer together or split the request",
            last.in_words(),
            first.in_words().trim_end_matches(',')
        );
        context.refuse(JsonPath::root(), Refusal::new(Reason::OutOfRange, detail));
        None
    }

    /// Whether the dates that can be read lie further apart than ten years.
    pub fn are_too_far_apart(&self) -> bool {
        let days = || self.dated().map(|dated| dated.day);
        days().min().zip(days().max()).is_some_and(|(first, last)| is_too_long(first, last))
    }
}

impl Dated<'_> {
    /// `2027-04-05, "on" of demand 1 ('carrots')`
    fn in_words(&self) -> String {
        let name = self.name.map(|name| format!(" ('{}')", clipped(name))).unwrap_or_default();
        format!("{}, \"{}\" of {} {}{name},", self.day, self.field, noun(self.list), self.index.saturating_add(1))
    }
}

impl DemandRequest {
    /// The texts of its days, without those of its brew.
    fn day_texts(&self) -> [(&'static str, Option<&str>); 4] {
        let harvest = self.crop.as_ref().and_then(|crop| crop.first_crop_harvest.as_deref());
        [
            ("on", self.on.as_deref()),
            ("earliest", self.earliest.as_deref()),
            ("latest", self.latest.as_deref()),
            ("first_crop_harvest", harvest),
        ]
    }
}

fn is_too_long(first: NaiveDate, last: NaiveDate) -> bool {
    (last - first).num_days() > MAX_SPAN_DAYS
}

/// Refuses dates that lie further apart than ten years.
pub(super) fn span(days: impl Iterator<Item = NaiveDate>) -> Result<(), Refusal> {
    let days: Vec<NaiveDate> = days.collect();
    match (days.iter().min().copied(), days.iter().max().copied()) {
        (Some(first), Some(last)) if is_too_long(first, last) => {
            let detail = format!("the dates run from {first} to {last}; one request covers at most ten years");
            Err(Refusal::new(Reason::OutOfRange, detail))
        }
        _ => Ok(()),
    }
}

/// The days on which lots and demands begin and end, and those of the first harvests of crops.
pub(super) fn days<'a>(
    lots: impl Iterator<Item = &'a Lot>,
    requirements: impl Iterator<Item = &'a Requirement> + Clone,
) -> impl Iterator<Item = NaiveDate> {
    let crops = requirements.clone().filter_map(|requirement| requirement.grown.as_ref()?.crop.first_crop_harvest);
    ends(lots, requirements).chain(crops)
}

/// The days on which lots and demands begin and end.
pub(super) fn ends<'a>(
    lots: impl Iterator<Item = &'a Lot>,
    requirements: impl Iterator<Item = &'a Requirement>,
) -> impl Iterator<Item = NaiveDate> {
    let parts = requirements.flat_map(|requirement| &requirement.parts);
    let windows = lots.map(|lot| lot.window).chain(parts.map(|part| part.window));
    windows.flat_map(|window| [window.first, window.last]).flatten()
}
