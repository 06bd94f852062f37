//! The running account of the lots, and what it would take to leave nobody
//! short.

use super::allocation::{Allocation, DatedShortfall, Demand, Lot, Window};
use crate::garden::figures::{Off, Recorder, WholeVolume};
use crate::garden::formulas::{LeftOver, OnHand};
use crate::garden::units::Millilitres;
use chrono::{Days, NaiveDate};
use std::collections::BTreeMap;

/// What became of one lot: allocated + remaining + expired = its amount.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct LotState {
    /// Drawn for demands, in millilitres.
    pub allocated: Millilitres,
    /// Not drawn, without a use-by, in millilitres.
    pub remaining: Millilitres,
    /// Not drawn by its use-by, in millilitres.
    pub expired: Millilitres,
}

/// One day on which something happens:
/// closing stock = closing stock the day before + received - allocated - expired.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DayRow {
    /// The day.
    pub date: NaiveDate,
    /// Ready from this day on, in millilitres.
    pub received: Millilitres,
    /// Drawn on this day, in millilitres.
    pub allocated: Millilitres,
    /// No longer usable from this day on (the use-by was the day before), in
    /// millilitres.
    pub expired: Millilitres,
    /// On hand after this day, in millilitres.
    pub closing_stock: Millilitres,
}

/// The account of all lots.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct StockAccount {
    /// What became of each lot, in the order of the lots.
    pub lots: Vec<LotState>,
    /// On hand before the first dated day, in millilitres: the lots without a
    /// first day, minus the allotments without a date.
    pub opening_stock: Millilitres,
    /// One row for each date on which something happens, in date order.
    pub days: Vec<DayRow>,
}

/// Bags to buy by a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SackPurchase {
    /// The day by which they are needed; `None` when any day will do.
    pub by: Option<NaiveDate>,
    /// How many; at least one.
    pub count: u64,
}

/// What is left of a lot that is neither allocated nor expired.
#[must_use]
pub fn left_over([amount, given, expired]: [WholeVolume; 3], recorder: impl Recorder) -> WholeVolume {
    recorder.whole::<LeftOver, 3>([amount, given, expired])
}

/// What is on hand at the end of a day that began with `before`.
#[must_use]
pub fn on_hand(
    before: WholeVolume,
    [received, allocated, expired]: [WholeVolume; 3],
    recorder: impl Recorder,
) -> WholeVolume {
    recorder.whole::<OnHand, 4>([before, received, allocated, expired])
}

/// The movements of one day, in millilitres.
#[derive(Default)]
struct Day {
    received: u128,
    allocated: u128,
    expired: u128,
}

/// The account of an allocation.
///
/// Exact: every millilitre of every lot is given, left or expired, and the
/// running balance is never below zero. What is left of a lot with a use-by
/// expires on the day after it. Draws that name a lot or a demand not in the
/// lists are left out.
#[must_use]
pub fn ledger(lots: &[Lot], demands: &[Demand], allocation: &Allocation) -> StockAccount {
    let mut used = vec![0_u128; lots.len()];
    let mut days: BTreeMap<Option<NaiveDate>, Day> = BTreeMap::new();
    for allotment in &allocation.allotments {
        let has_demand = demands.get(allotment.demand).is_some();
        if let Some(total) = used.get_mut(allotment.lot).filter(|_| has_demand) {
            let amount = u128::from(allotment.amount.get());
            *total += amount;
            days.entry(allotment.on).or_default().allocated += amount;
        }
    }
    let mut states = Vec::with_capacity(lots.len());
    for (lot, used) in lots.iter().zip(used) {
        let amount = u128::from(lot.amount.get());
        let unused = amount.saturating_sub(used);
        days.entry(lot.window.first).or_default().received += amount;
        let end = expiry(lot.window);
        let (allocated, mut expired) = (volume(used), Millilitres::ZERO);
        if end.is_some() {
            days.entry(end).or_default().expired += unused;
            expired = volume(unused);
        }
        let left = left_over([lot.amount, allocated, expired].map(WholeVolume::from), Off).volume;
        states.push(LotState { allocated, remaining: left, expired });
    }
    let (opening, rows) = rows(days);
    StockAccount { lots: states, opening_stock: opening, days: rows }
}

/// The day from which what is left of a lot is no longer usable: the day after
/// its last, but not before it is ready.
fn expiry(window: Window) -> Option<NaiveDate> {
    let last = window.last?;
    let next = last.checked_add_days(Days::new(1)).unwrap_or(last);
    Some(window.first.map_or(next, |first| first.max(next)))
}

/// The opening balance and the rows; the movements without a date come first.
fn rows(days: BTreeMap<Option<NaiveDate>, Day>) -> (Millilitres, Vec<DayRow>) {
    let mut left = WholeVolume::default();
    let mut opening = Millilitres::ZERO;
    let mut rows = Vec::with_capacity(days.len());
    for (date, day) in days {
        let [received, allocated, expired] = [day.received, day.allocated, day.expired].map(volume);
        left = on_hand(left, [received, allocated, expired].map(WholeVolume::from), Off);
        match date {
            None => opening = left.volume,
            Some(date) if day.received + day.allocated + day.expired > 0 => {
                rows.push(DayRow { date, received, allocated, expired, closing_stock: left.volume });
            }
            Some(_) => {}
        }
    }
    (opening, rows)
}

/// Answers "on which day does the first shortfall show?": the first day by which not all that is asked can be met, however the lots are
/// shared ([`super::allocation::shortfalls`]). What has no last day counts on `end`, the last day of all.
///
/// `None` when nobody is short, or none of those who are has a date and there is no end.
#[must_use]
pub fn first_shortfall_on(shortfalls: &[DatedShortfall], end: Option<NaiveDate>) -> Option<NaiveDate> {
    shortfalls.iter().filter_map(|shortfall| shortfall.by.or(end)).min()
}

/// The sacks to buy so that nobody is short, and by when: the fewest, each as late as can be.
///
/// Exact: by each day on which something is short the sacks bought so far are ceil(shortfall so far / holds). Sacks ready on those
/// days and without a use-by, added to the lots, let every demand be served in full that can be served at all; one sack less by any
/// of them leaves somebody short. Empty when nobody is short, or when a sack holds nothing.
#[must_use]
pub fn sacks_to_close(shortfalls: &[DatedShortfall], holds: Millilitres) -> Vec<SackPurchase> {
    if holds == Millilitres::ZERO {
        return Vec::new();
    }
    let (mut missing, mut bought) = (0_u128, 0_u128);
    let mut purchases = Vec::new();
    for DatedShortfall { by, amount } in shortfalls.iter().copied() {
        missing += u128::from(amount.get());
        let needed = missing.div_ceil(u128::from(holds.get()));
        if needed > bought {
            purchases.push(SackPurchase { by, count: u64::try_from(needed - bought).unwrap_or(u64::MAX) });
            bought = needed;
        }
    }
    purchases
}

/// What is short before today, which no castings mend any more, and what is short from today on; all of it where today is not known.
#[must_use]
pub fn lost_and_rest(
    shortfalls: &[DatedShortfall],
    today: Option<NaiveDate>,
) -> (Vec<DatedShortfall>, Vec<DatedShortfall>) {
    shortfalls.iter().partition(|short| short.by.zip(today).is_some_and(|(by, today)| by < today))
}

/// The amount in millilitres; sums beyond the range stop at its end.
fn volume(amount: u128) -> Millilitres {
    Millilitres::new(u64::try_from(amount).unwrap_or(u64::MAX))
}

#[cfg(test)]
mod tests {
    use super::super::allocation::{allocate, shortfalls};
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 4, day).unwrap()
    }

    fn window(first: Option<u32>, last: Option<u32>) -> Window {
        Window { first: first.map(day), last: last.map(day) }
    }

    fn lot(amount: u64, window: Window) -> Lot {
        Lot { amount: Millilitres::new(amount), window, ..Lot::default() }
    }

    fn demand(amount: u64, window: Window) -> Demand {
        Demand {
            amount: Millilitres::new(amount),
            window,
            priority: 1,
            portions: None,
            eligibility: Default::default(),
        }
    }

    fn row(date: u32, [received, given, expired, left]: [u64; 4]) -> DayRow {
        DayRow {
            date: day(date),
            received: Millilitres::new(received),
            allocated: Millilitres::new(given),
            expired: Millilitres::new(expired),
            closing_stock: Millilitres::new(left),
        }
    }

    #[test]
    fn what_is_not_used_expires_the_day_after() {
        let lots = [lot(10, window(None, Some(9))), lot(5, window(Some(3), None)), lot(7, window(None, None))];
        let demands =
            [demand(4, window(None, Some(2))), demand(3, window(Some(9), Some(9))), demand(2, window(Some(20), None))];
        let allocation = allocate(&lots, &demands);
        let ledger = ledger(&lots, &demands, &allocation);
        assert_eq!(ledger.opening_stock.get(), 13);
        let expected = [row(3, [5, 0, 0, 18]), row(9, [0, 3, 0, 15]), row(10, [0, 0, 3, 12]), row(20, [0, 2, 0, 10])];
        assert_eq!(ledger.days, expected);
        let states: Vec<[u64; 3]> =
            ledger.lots.iter().map(|lot| [lot.allocated.get(), lot.remaining.get(), lot.expired.get()]).collect();
        assert_eq!(states, [[7, 0, 3], [0, 5, 0], [2, 5, 0]]);
    }

    #[test]
    fn the_use_by_is_still_a_day_of_use() {
        let lots = [lot(10, window(Some(1), Some(9)))];
        let demands = [demand(4, window(Some(9), None))];
        let account = ledger(&lots, &demands, &allocate(&lots, &demands));
        let expected = [row(1, [10, 0, 0, 10]), row(9, [0, 4, 0, 6]), row(10, [0, 0, 6, 0])];
        assert_eq!(account.days, expected);
    }

    #[test]
    fn a_lot_past_its_use_by_when_ready_comes_and_goes() {
        let lots = [lot(10, window(Some(9), Some(2)))];
        let ledger = ledger(&lots, &[], &Allocation::default());
        assert_eq!(ledger.days, [row(9, [10, 0, 10, 0])]);
    }

    #[test]
    fn draws_from_unknown_places_are_left_out() {
        let lots = [lot(10, window(Some(1), None))];
        let demands = [demand(4, window(None, None))];
        let allocation = allocate(&lots, &demands);
        assert_eq!(ledger(&[], &demands, &allocation), StockAccount::default());
        let account = ledger(&lots, &[], &allocation);
        assert_eq!(account.days, [row(1, [10, 0, 0, 10])]);
    }

    #[test]
    fn sacks_are_counted_up_to_each_day() {
        let demands = [
            demand(30, window(None, None)),
            demand(5, window(Some(3), Some(8))),
            demand(5, window(None, Some(8))),
            demand(10, window(None, Some(12))),
            demand(12, window(None, Some(20))),
        ];
        let short = shortfalls(&[], &demands);
        let sacks = sacks_to_close(&short, Millilitres::new(20));
        let rows: Vec<_> = sacks.iter().map(|sack| (sack.by, sack.count)).collect();
        // 10 by the 8th, 20 by the 12th, 32 by the 20th, 62 in all.
        assert_eq!(rows, [(Some(day(8)), 1), (Some(day(20)), 1), (None, 2)]);
        assert!(sacks_to_close(&short, Millilitres::ZERO).is_empty());
        assert_eq!(first_shortfall_on(&short, None), Some(day(8)));
    }

    #[test]
    fn short_without_any_date() {
        let open = [demand(30, window(None, None)), demand(5, window(Some(3), None))];
        let short = shortfalls(&[lot(5, window(None, None))], &open);
        assert_eq!(short, [DatedShortfall { by: None, amount: Millilitres::new(30) }]);
        assert_eq!(first_shortfall_on(&short, None), None);
        assert_eq!(first_shortfall_on(&short, Some(day(9))), Some(day(9)));
        let short = shortfalls(&[lot(35, window(None, None))], &open);
        assert_eq!(first_shortfall_on(&short, Some(day(9))), None);
        assert!(sacks_to_close(&short, Millilitres::new(1)).is_empty());
    }
}
