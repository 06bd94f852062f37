//! What is short by which day, and the days that have to be looked at for it.

use super::super::allocation::{DatedShortfall, Demand, Lot, Window, shortfalls as short_by_day};
use super::super::{Balance, Requirement, add, flatten};
use crate::garden::beds::Climate;
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Millilitres;
use chrono::{Days, NaiveDate};
use std::ops::Range;

/// The most shortfall dates planned for one by one; what is short on later ones is added to the last, which is sooner than needed. Source: limit of this service.
pub const MAX_DATES: usize = 24;
/// Starts are sought so many days before a shortfall: two years. Source: limit of this service.
pub const LOOK_BACK_DAYS: u64 = 731;
/// Ready dates are sought so many days after the last shortfall. Source: limit of this service.
pub const LOOK_AHEAD_DAYS: u64 = 400;

/// So many lots and demands together are looked at to date what raw manure can meet; what more looks would tell apart is needed by the earlier
/// day. Source: how this service works.
const ITEMS_LOOKED_AT: usize = 60_000;
/// At least so many looks. Source: how this service works.
const MIN_LOOKS: usize = 4;
/// At most so many: [`MAX_DATES`] days among ten years of them. Source: how this service works.
const MAX_LOOKS: usize = 24 * 12;

/// A shortfall: so much is missing by a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shortfall {
    /// The last day on which it is of use.
    pub by: NaiveDate,
    /// How much is missing.
    pub amount: Millilitres,
}

/// Answers "what of all that is short can be produced for, by which day?" ([`super::super::allocation::shortfalls`]). What is short without a
/// last day falls on `end`. Where what is produced counts as raw manure, that is only what may still draw on it
/// ([`met_by_untreated`]).
///
/// # Errors
/// The place of the first demand that is short, where there is no day at all.
pub fn shortfalls(
    (lots, requirements, balance): (&[Lot], &[Requirement], &Balance),
    is_untreated: bool,
    end: Option<NaiveDate>,
) -> Result<Vec<Shortfall>, usize> {
    let met = is_untreated.then(|| met_by_untreated(&balance.shortfalls, lots, requirements));
    let first = || balance.demands.iter().position(|served| served.shortfall > Millilitres::ZERO).unwrap_or(0);
    let dated = |short: &DatedShortfall| {
        let by = short.by.or(end).ok_or_else(first)?;
        Ok(Shortfall { by, amount: short.amount })
    };
    let short = met.as_deref().unwrap_or(&balance.shortfalls);
    short.iter().map(dated).collect::<Result<Vec<_>, _>>().map(by_date)
}

/// Answers "how much of what is short can castings that count as raw manure meet, and by when?" What stays short however many of them there
/// are is left out.
///
/// With as many of them as anybody may draw on, but only after a day t, so much more is short than with them from the start: that is needed
/// by t (by the smallest cut: those who may draw on them by a day may draw on all that came before). Where that would take too many looks,
/// what is left is needed by a day that is early enough.
#[must_use]
pub fn met_by_untreated(short: &[DatedShortfall], lots: &[Lot], requirements: &[Requirement]) -> Vec<DatedShortfall> {
    let (demands, _) = flatten(requirements);
    if !demands.iter().any(|demand| demand.eligibility.differs()) {
        return short.to_vec();
    }
    let total =
        |short: &[DatedShortfall]| short.iter().fold(0_u64, |sum, short| sum.saturating_add(short.amount.get()));
    let amount = demands.iter().fold(Millilitres::ZERO, |sum, demand| add(sum, demand.amount));
    let short_from = |first: Option<NaiveDate>| {
        let plenty = Lot { amount, window: Window { first, last: None }, untreated: true, ..Lot::default() };
        total(&short_by_day(&lots.iter().copied().chain([plenty]).collect::<Vec<_>>(), &demands))
    };
    let (barred, all) = (short_from(None), total(short));
    let needed_by = |day: Option<NaiveDate>| day.map_or(all, |day| short_from(day.succ_opt())).saturating_sub(barred);
    let days = last_days_on_untreated(&demands);
    let mut looks = (ITEMS_LOOKED_AT / (lots.len() + demands.len())).clamp(MIN_LOOKS, MAX_LOOKS);
    let (mut met, mut so_far, mut place) = (Vec::new(), 0, 0);
    while so_far < all.saturating_sub(barred) {
        place = first_needed(place..days.len(), |place| {
            looks = looks.checked_sub(1)?;
            Some(needed_by(days.get(place).copied().flatten()) > so_far)
        });
        // From the last of the dates that are planned for one by one on, all is needed by it.
        let by = days.get(place).copied().flatten();
        let needed = needed_by(by.filter(|_| looks > 0 && met.len() + 1 < MAX_DATES));
        met.push(DatedShortfall { by, amount: Millilitres::new(needed.saturating_sub(so_far)) });
        (so_far, place) = (needed, place + 1);
    }
    met
}

/// The first of these places that is needed, where all after it are too, and the last is; an earlier one where `is_needed` tells no more.
fn first_needed(places: Range<usize>, mut is_needed: impl FnMut(usize) -> Option<bool>) -> usize {
    let (mut low, mut high, mut step) = (places.start, places.end.saturating_sub(1), 1);
    // Mostly one of the next is needed: so it goes on by steps that double, until one is.
    while low < high {
        let probe = (low + step - 1).min(high);
        match is_needed(probe) {
            Some(true) => {
                high = probe;
                break;
            }
            Some(false) => (low, step) = (probe + 1, step * 2),
            None => return low,
        }
    }
    while low < high {
        let middle = low.midpoint(high);
        match is_needed(middle) {
            Some(true) => high = middle,
            Some(false) => low = middle + 1,
            None => return low,
        }
    }
    low
}

/// The last days on which demands may draw on castings that count as raw manure, each once; an open end comes last.
fn last_days_on_untreated(demands: &[Demand]) -> Vec<Option<NaiveDate>> {
    let last = |demand: &Demand| demand.eligibility.untreated.cut(demand.window).map(|window| window.last);
    let mut days: Vec<_> = demands.iter().filter_map(last).collect();
    days.sort_by_key(|day| day.unwrap_or(NaiveDate::MAX));
    days.dedup();
    days
}

/// All that is short, to be produced for the first of its days.
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
