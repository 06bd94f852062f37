//! The days of a request.

use crate::garden::balances::Requirement;
use crate::garden::balances::allocation::Lot;
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use chrono::NaiveDate;

/// Refuses dates that lie further apart than ten years.
pub(super) fn span(days: impl Iterator<Item = NaiveDate>) -> Result<(), Refusal> {
    let days: Vec<NaiveDate> = days.collect();
    match (days.iter().min(), days.iter().max()) {
        (Some(first), Some(last)) if (*last - *first).num_days() > MAX_SPAN_DAYS => {
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
