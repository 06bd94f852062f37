//! From when to when a season goes.

use crate::garden::balances::Requirement;
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use chrono::NaiveDate;

/// The last date of the demands.
#[must_use]
pub fn last_day<'a>(requirements: impl Iterator<Item = &'a Requirement>) -> Option<NaiveDate> {
    let windows = requirements.flat_map(|requirement| requirement.parts.iter().map(|part| part.window));
    windows.flat_map(|window| [window.first, window.last]).flatten().max()
}

/// Refuses a demand that begins after the last day of the season.
///
/// # Errors
/// `dates_out_of_order`.
pub fn check_begin(begins: Option<NaiveDate>, until: NaiveDate) -> Result<(), Refusal> {
    let Some(begins) = begins.filter(|day| *day > until) else { return Ok(()) };
    let detail = format!(
        "this demand starts on {begins}, after the last day of the season, {until}; give a later \"until\", or leave it \
         out"
    );
    Err(Refusal::new(Reason::DatesOutOfOrder, detail))
}

/// Refuses a demand whose last time begins after the last day of the season.
///
/// # Errors
/// `dates_out_of_order`.
pub fn check_last_time(begins: Option<NaiveDate>, until: NaiveDate) -> Result<(), Refusal> {
    let Some(begins) = begins.filter(|day| *day > until) else { return Ok(()) };
    let detail = format!(
        "the last time of this repeat starts on {begins}, after the last day of the season, {until}; end the repeat \
         earlier, or give a later \"until\" of the season"
    );
    Err(Refusal::new(Reason::DatesOutOfOrder, detail))
}

/// Refuses a bed that starts after the last day of the season.
///
/// # Errors
/// `dates_out_of_order` at `start_on`.
pub fn check_start(start_on: NaiveDate, until: NaiveDate) -> Result<(), Refusal> {
    if start_on <= until {
        return Ok(());
    }
    let detail = format!(
        "this bed starts on {start_on}, after the last day of the season, {until}; give an earlier \"start_on\" or a later \
         \"until\""
    );
    Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("start_on"))
}

/// The first day of the last part of a demand.
#[must_use]
pub fn begin(requirement: &Requirement) -> Option<NaiveDate> {
    requirement.parts.iter().filter_map(|part| part.window.first).max()
}

/// Refuses a season longer than ten years, from the first of these days on.
///
/// # Errors
/// `out_of_range` at `until`.
pub fn check_span(days: impl Iterator<Item = NaiveDate>, until: NaiveDate) -> Result<(), Refusal> {
    let first = days.min().unwrap_or(until);
    if until.signed_duration_since(first).num_days() <= MAX_SPAN_DAYS {
        return Ok(());
    }
    let detail =
        format!("from {first} to {until} is more than ten years, the longest season; give an earlier \"until\"");
    Err(Refusal::new(Reason::OutOfRange, detail).at("until"))
}
