//! What is short by which day, and the days that have to be looked at for it.

use super::super::allocation::DatedShortfall;
use super::super::{Balance, add};
use crate::garden::beds::Climate;
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Millilitres;
use chrono::{Days, NaiveDate};

/// The most shortfall dates planned for one by one; what is short on later ones is added to the last, which is sooner than needed. Source: limit of this service.
pub const MAX_DATES: usize = 24;
/// Starts are sought so many days before a shortfall: two years. Source: limit of this service.
pub const LOOK_BACK_DAYS: u64 = 731;
/// Ready dates are sought so many days after the last shortfall. Source: limit of this service.
pub const LOOK_AHEAD_DAYS: u64 = 400;

/// A shortfall: so much is missing by a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shortfall {
    /// The last day on which it is of use.
    pub by: NaiveDate,
    /// How much is missing.
    pub amount: Millilitres,
}

/// Answers "what is short by which day?" ([`super::super::allocation::shortfalls`]). What is short without a last day falls on `end`.
///
/// # Errors
/// The place of the first demand that is short, where there is no day at all.
pub fn shortfalls(balance: &Balance, end: Option<NaiveDate>) -> Result<Vec<Shortfall>, usize> {
    let first = || balance.demands.iter().position(|served| served.shortfall > Millilitres::ZERO).unwrap_or(0);
    let dated = |short: &DatedShortfall| {
        let by = short.by.or(end).ok_or_else(first)?;
        Ok(Shortfall { by, amount: short.amount })
    };
    balance.shortfalls.iter().map(dated).collect::<Result<Vec<_>, _>>().map(by_date)
}

/// One bed, or one lot of worms, can only be promised once: all that is short is then produced for the first day.
#[must_use]
pub fn on_the_first_day(shortfalls: &[Shortfall]) -> Vec<Shortfall> {
    let first = shortfalls.first().map(|first| first.by);
    by_date(shortfalls.iter().map(|shortfall| Shortfall { by: first.unwrap_or(shortfall.by), ..*shortfall }))
}

/// Shortfalls in order of their dates, one for each date, at most [`MAX_DATES`] of them.
#[must_use]
pub fn by_date(shortfalls: impl IntoIterator<Item = Shortfall>) -> Vec<Shortfall> {
    let mut sorted: Vec<Shortfall> = shortfalls.into_iter().filter(|s| s.amount > Millilitres::ZERO).collect();
    sorted.sort_by_key(|s| s.by);
    let mut merged: Vec<Shortfall> = Vec::new();
    for shortfall in sorted {
        let full = merged.len() == MAX_DATES;
        match merged.last_mut().filter(|last| full || last.by == shortfall.by) {
            Some(last) => last.amount = add(last.amount, shortfall.amount),
            None => merged.push(shortfall),
        }
    }
    merged
}

/// The first day of the clocks for these shortfalls.
#[must_use]
pub fn first_day(as_of: Option<NaiveDate>, shortfalls: &[Shortfall]) -> Option<NaiveDate> {
    let first = shortfalls.iter().map(|s| s.by).min()?;
    let back = first.checked_sub_days(Days::new(LOOK_BACK_DAYS)).unwrap_or(first);
    Some(as_of.map_or(back, |today| today.min(back)))
}

/// The last day of the clocks for these shortfalls.
#[must_use]
pub fn last_day(as_of: Option<NaiveDate>, shortfalls: &[Shortfall]) -> Option<NaiveDate> {
    let last = shortfalls.iter().map(|s| s.by).max()?;
    let last = as_of.map_or(last, |today| today.max(last));
    last.checked_add_days(Days::new(LOOK_AHEAD_DAYS)).or(Some(last))
}

/// Refuses days that lie too far apart to look for starts on all of them.
pub(super) fn check_span((first, last): (NaiveDate, NaiveDate), as_of: Option<NaiveDate>) -> Result<(), Refusal> {
    if last.signed_duration_since(first).num_days() <= MAX_SPAN_DAYS {
        return Ok(());
    }
    let of_today = as_of.is_some_and(|today| {
        let without = today.checked_add_days(Days::new(LOOK_AHEAD_DAYS)).is_some_and(|day| day >= last);
        today <= first || without
    });
    let (field, detail) = if of_today {
        let detail = "as_of is more than ten years from a day on which castings are short, so no start can be found; \
                      use a later as_of or split the request";
        ("as_of", detail.to_owned())
    } else {
        let detail = format!(
            "the search for start dates needs the days from {first} to {last}, more than ten years; split the request"
        );
        ("additional_production", detail)
    };
    Err(Refusal::new(Reason::OutOfRange, detail).at(field))
}

/// The days for which there are temperatures.
pub(super) fn within(climate: &Climate, (first, last): (NaiveDate, NaiveDate)) -> (NaiveDate, NaiveDate) {
    let Climate::Daily { first_day, values } = climate else { return (first, last) };
    let count = u64::try_from(values.len()).unwrap_or(u64::MAX).saturating_sub(1);
    let end = first_day.checked_add_days(Days::new(count)).unwrap_or(*first_day);
    let from = first.max(*first_day).min(end);
    (from, last.min(end).max(from))
}
