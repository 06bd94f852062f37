//! Who gets what, and from which lots.

use super::Account;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::table::For;
use crate::http::present::words::{chance_in_cell, day, days, days_soon, shown, soon};
use crate::http::present::{Cell, Column, Description, Part, Rows, Table};
use crate::http::resources::balances::{AllocationOut, DemandOut};
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;

/// A demand with its place in the request.
type Demand<'a> = (usize, &'a DemandOut);

/// A row for each demand.
pub fn table(account: &Account<'_>) -> Table {
    let unit = &account.series.unit;
    let bulk = |name, heading| Column::quantity(name, heading, unit.clone());
    let year = year(account);
    let served = Rows::of(account.demands.iter().enumerate(), ["demand", "demands"])
        .named("demands")
        .about(|(i, demand)| ("demands", *i, demand.called(*i)))
        .mark(|(_, demand), row| row.is_stressed = demand.shortfall.value.get() > 0.0)
        .column(Column::data("index"), |(i, _)| *i)
        .column(Column::data("id"), |(_, demand)| &demand.id)
        .column(Column::data("name"), |(_, demand)| &demand.name)
        .column(Column::words("", "for"), |(i, demand)| demand.called(*i))
        .column(Column::words("", "when").below(), |(_, demand)| when(demand, year))
        .column(Column::data("first_day"), |(_, demand)| demand.earliest)
        .column(Column::data("last_day"), |(_, demand)| demand.latest)
        .column(Column::data("past"), |(_, demand)| Cell::yes(demand.past))
        .column(Column::count("priority", "priority").only_for(For::Long), |(_, demand)| demand.priority)
        .column(bulk("needed", "needed"), |(_, demand)| &demand.needed)
        .column(bulk("allocated", "allocated"), |(_, demand)| &demand.allocated)
        .column(Column::containers(""), |(_, demand)| &demand.in_containers)
        .column(bulk("shortfall", "shortfall").if_room(), |(_, demand)| &demand.shortfall)
        .column(Column::quantity("share_allocated", "share", "%").only_for(For::Long), |(_, demand)| {
            &demand.share_allocated
        })
        .column(Column::words("", "makes"), |(_, demand)| demand.makes())
        .column(Column::quantity("chance_full", "chance", "%"), |(_, demand)| {
            demand.chance_full.as_ref().map(|of| Cell::either(of, chance_in_cell(of)))
        })
        .column(
            Column::quantity("chance_allocated", "chance of\nallocated", "%").only_for(For::Long),
            |(_, demand)| demand.chance_allocated.as_ref().map(|of| Cell::either(of, chance_in_cell(of))),
        );
    in_detail(served, account, year).done()
}

/// Adds where it comes from, at what rate, and why it is not more.
fn in_detail<'a>(served: Rows<Demand<'a>>, account: &Account<'a>, year: Option<i32>) -> Rows<Demand<'a>> {
    let data = |name| Column::data_in(name, account.series.unit.clone());
    let served = whole_portions(served, |(_, demand)| Some(*demand))
        .column(data("minimum"), |(_, demand)| demand.dropped.as_ref().map(|dropped| &dropped.minimum))
        .column(data("would_have_been_allocated"), |(_, demand)| {
            demand.dropped.as_ref().map(|dropped| &dropped.would_have_been_allocated)
        });
    rate(served, |(_, demand)| Some(*demand))
        .column(Column::data("counted_by"), |(_, demand)| demand.content.as_ref().map(|content| content.counted_by))
        .column(Column::data_in("content_needed", ""), |(_, demand)| demand.content.as_ref().map(|of| &of.needed))
        .column(Column::data_in("content_supplied", ""), |(_, demand)| demand.content.as_ref().map(|of| &of.supplied))
        .column(Column::data("content_unit"), |(_, demand)| demand.content.as_ref().map(|of| &*of.supplied.unit))
        .column(Column::data_in("share_supplied", "%"), |(_, demand)| {
            demand.content.as_ref().map(|of| &of.share_supplied)
        })
        .column(Column::words("allocations", "from").only_for(For::Page), |(_, demand)| {
            Cell::either(allocations(demand), reported(demand, year).join("; "))
        })
        .column(Column::data("incorporate_by"), |(_, demand)| demand.incorporate_by)
        .column(Column::data("castings_barred").sentences(), |(_, demand)| &demand.castings_barred)
        .column(Column::data_containers("allocated"), |(_, demand)| &demand.in_containers)
}

/// Adds how many whole portions a demand needs and gets.
pub fn whole_portions<'a, T>(rows: Rows<T>, of: impl Fn(&T) -> Option<&'a DemandOut>) -> Rows<T> {
    let whole = |row: &T| of(row).and_then(|demand| demand.whole_portions.as_ref());
    rows.column(Column::data("whole_portions_needed"), |row| whole(row).map(|whole| whole.needed))
        .column(Column::data("whole_portions_allocated"), |row| whole(row).map(|whole| whole.allocated))
}

/// Adds the rate that a demand gets.
pub fn rate<'a, T>(rows: Rows<T>, of: impl Fn(&T) -> Option<&'a DemandOut>) -> Rows<T> {
    let rate = |row: &T| of(row).and_then(|demand| demand.rate_allocated.as_ref());
    rows.column(Column::data("rate_kind"), |row| rate(row).map(|rate| rate.kind))
        .column(Column::data_in("rate_allocated", ""), |row| rate(row).map(|rate| &rate.amount))
        .column(Column::data("rate_unit"), |row| rate(row).map(|rate| &*rate.amount.unit))
}

/// The year of all days of all demands, which is then written above them.
pub fn year(account: &Account<'_>) -> Option<i32> {
    let mut years =
        account.demands.iter().flat_map(|demand| [demand.earliest, demand.latest]).flatten().map(|on| on.year());
    let year = years.next()?;
    years.all(|other| other == year).then_some(year)
}

/// When it can be served, without the year that is written above.
fn when(demand: &DemandOut, year: Option<i32>) -> String {
    let when = between((demand.earliest, demand.latest), year);
    let times = match demand.occasions.len() {
        0 | 1 => String::new(),
        times => format!("{times} times, "),
    };
    let past = if demand.past { "; its last day has passed" } else { "" };
    format!("{times}{when}{past}")
}

/// From the first to the last day, without the year that is written above.
pub fn between(days_of: (Option<NaiveDate>, Option<NaiveDate>), year: Option<i32>) -> String {
    let one = |on| if year.is_some() { soon(on) } else { day(on) };
    match days_of {
        (Some(first), Some(last)) => between_days((first, last), year),
        (Some(first), None) => format!("from {}", one(first)),
        (None, Some(last)) => format!("by {}", one(last)),
        (None, None) => "any day".to_owned(),
    }
}

/// From one day to another, without the year that is written above.
fn between_days((first, last): (NaiveDate, NaiveDate), year: Option<i32>) -> String {
    let is_above = [first, last].iter().all(|on| Some(on.year()) == year);
    if is_above { days_soon(first, last) } else { days(first, last) }
}

/// From which lots, exactly: for data.
pub fn allocations(demand: &DemandOut) -> Vec<(Number, String)> {
    let one = |of: &AllocationOut| {
        let on = of.on.map(|on| format!(" on {on}")).unwrap_or_default();
        let interval = of.interval_in_words(|date| date.to_string());
        let interval = interval.map(|text| format!(" ({text})")).unwrap_or_default();
        let time = of.occasion.map(|time| format!(" (time {time})")).unwrap_or_default();
        (of.amount.value, format!("{} from {}{on}{time}{interval}", of.amount.unit, of.lot()))
    };
    demand.allocations.iter().map(one).collect()
}

/// More parts of one lot than this are given in one line.
const MAX_PARTS_LISTED: usize = 5;

/// From which lots and when: `30 L from north bed on 5 Apr`, and many parts of one lot together.
fn from_lots(allocations: &[AllocationOut], year: Option<i32>) -> Vec<String> {
    let mut lots: BTreeMap<String, Vec<&AllocationOut>> = BTreeMap::new();
    for of in allocations {
        lots.entry(of.lot()).or_default().push(of);
    }
    lots.retain(|_, parts| parts.len() > MAX_PARTS_LISTED);
    let from = |of: &AllocationOut| {
        let lot = of.lot();
        if let Some(parts) = lots.get_mut(&lot) {
            // The first names all of them.
            return together(&lot, &std::mem::take(parts), year);
        }
        let on = of.on.map(|on| format!(" on {}", between_days((on, on), year))).unwrap_or_default();
        Some(format!("{} from {lot}{on}", shown(&of.amount)))
    };
    allocations.iter().filter_map(from).collect()
}

/// Many parts of one lot in one line: `110 L from north bed in 65 parts, 30 Apr–3 Jul`; nothing of none.
fn together(lot: &str, parts: &[&AllocationOut], year: Option<i32>) -> Option<String> {
    let first = parts.first()?;
    let value = Number::rounded(parts.iter().map(|of| of.amount.value.get()).sum());
    let sum = QuantityOut { value, low: None, high: None, ..first.amount.clone() };
    let days = || parts.iter().filter_map(|of| of.on);
    let days = days().min().zip(days().max()).map(|days| format!(", {}", between_days(days, year))).unwrap_or_default();
    Some(format!("{} from {lot} in {} parts{days}", shown(&sum), parts.len()))
}

/// From which lots and when, and why it is not more: for readers, who find below what raw manure asks for ([`intervals`]).
fn reported(demand: &DemandOut, year: Option<i32>) -> Vec<String> {
    let mut list = from_lots(&demand.allocations, year);
    if let Some(content) = &demand.content {
        list.push(content.in_words());
    }
    if let Some(dropped) = &demand.dropped {
        let [least, would] = [&dropped.minimum, &dropped.would_have_been_allocated].map(shown);
        list.push(format!("gets nothing: its share would be {would}, less than its minimum of {least}"));
    }
    list
}

/// By when its castings are to be worked in, where any of them count as raw manure.
pub fn incorporate(demand: &DemandOut) -> Option<String> {
    let raw = || demand.allocations.iter().filter(|of| of.interval_in_words(day).is_some());
    raw().next()?;
    let by = demand.incorporate_by.filter(|_| !demand.too_late_to_incorporate)?;
    if raw().filter_map(|of| of.on).any(|on| on > by) {
        // It cannot be worked in before it is spread; when the harvest may begin then is beside it.
        return Some(format!("for the first crop harvest, raw manure would have to be in the soil by {}", day(by)));
    }
    Some(format!("work raw manure in by {} for the first crop harvest", day(by)))
}

/// What the interval after raw manure asks of each demand that gets such castings.
pub fn intervals(account: &Account<'_>, description: &mut Description<'_>) {
    let of_demand = |(i, demand): (usize, &DemandOut)| {
        let mut texts: Vec<String> = demand.allocations.iter().filter_map(|of| of.interval_in_words(day)).collect();
        texts.sort_unstable();
        texts.dedup();
        let named = (!texts.is_empty()).then(|| demand.called(i))?;
        texts.extend(incorporate(demand));
        Some((named, texts))
    };
    let lines: Vec<_> = account.demands.iter().enumerate().filter_map(of_demand).collect();
    if !lines.is_empty() {
        description.parts.extend([Part::Subheading("Raw manure before harvest".to_owned()), Part::Lines(lines)]);
    }
}
