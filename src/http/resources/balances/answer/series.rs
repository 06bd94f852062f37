//! The account of a balance as series, in the unit of the answer and not rounded.

use crate::garden::balances::allocation::Lot;
use crate::garden::balances::{Balance, Requirement};
use crate::garden::units::{Millilitres, whole};
use crate::http::output::View;
use crate::http::output::quantity::Role;
use crate::http::present::chart::{Day, Needs, Series, Total};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// The series of a balance, whose headline names the day of the first shortfall. What is needed on no particular day falls on the last of
/// all days, or `until` that day.
pub fn series(
    balance: &Balance,
    (requirements, lots): (&[Requirement], &[Lot]),
    (until, first_short_on): (Option<NaiveDate>, Option<NaiveDate>),
    view: &View<'_>,
) -> Series {
    let (unit, factor) = view.system.unit(Role::Bulk);
    let amount = |millilitres: u64| whole(millilitres) / 1000.0 / factor;
    let sum = |all: &mut dyn Iterator<Item = Millilitres>| amount(all.map(Millilitres::get).sum());
    let undated =
        balance.demands.iter().flat_map(|served| &served.allocations).filter(|allotment| allotment.on.is_none());
    let opening = balance.opening_stock.get();
    Series {
        unit: unit.to_owned(),
        at_first: amount(opening + undated.map(|allotment| allotment.amount.get()).sum::<u64>()),
        opening: amount(opening),
        days: balance
            .by_date
            .iter()
            .map(|day| Day {
                date: day.date,
                received: amount(day.received.get()),
                expired: amount(day.expired.get()),
                left: amount(day.closing_stock.get()),
            })
            .collect(),
        due: due(balance, requirements, until)
            .into_iter()
            .map(|(date, [needed, short])| Needs { date, needed: amount(needed), short: amount(short) })
            .collect(),
        total: Total {
            stock: sum(&mut lots.iter().map(|lot| lot.amount)),
            needed: sum(&mut requirements.iter().map(Requirement::amount)),
            short: sum(&mut balance.demands.iter().map(|served| served.shortfall)),
            first_short_on,
        },
        until,
    }
}

/// What is needed by the end of each day on which something is needed, and what is short on it of what was not short before.
fn due(balance: &Balance, requirements: &[Requirement], until: Option<NaiveDate>) -> BTreeMap<NaiveDate, [u64; 2]> {
    let windows = requirements
        .iter()
        .flat_map(|requirement| &requirement.parts)
        .flat_map(|part| [part.window.first, part.window.last]);
    let all = balance.by_date.iter().map(|day| day.date).chain(windows.flatten());
    let Some(end) = until.or_else(|| all.max()) else { return BTreeMap::new() };
    let mut days: BTreeMap<NaiveDate, [u64; 2]> = BTreeMap::new();
    for part in requirements.iter().flat_map(|requirement| &requirement.parts) {
        let [needed, missing] = days.entry(part.window.last.unwrap_or(end)).or_default();
        *needed += part.amount.get();
        *missing += if part.eligibility.leaves_a_day(part.window) { 0 } else { part.amount.get() };
    }
    for short in &balance.shortfalls {
        let [_, missing] = days.entry(short.by.unwrap_or(end)).or_default();
        *missing += short.amount.get();
    }
    let mut sum = 0;
    for [needed, _] in days.values_mut() {
        sum += *needed;
        *needed = sum;
    }
    days
}
