//! The answer as tables: the work, the demands, the stock, the days, and the harvests of the beds.

mod demands;
mod work;

use super::SeasonsAnswer;
use super::answer::{DateChanceOut, DatePercentiles, SeasonBedOut, SeasonLotOut};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Number, Role, System};
use crate::http::rooms::balances::DayOut;
use crate::http::rooms::sheets::Ledger;
use crate::http::rooms::{cell, column};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// The rows of one of its tables, header first; those of `work` unless another is asked for.
#[must_use]
pub fn table(answer: &SeasonsAnswer, which: Option<&str>) -> Vec<Vec<String>> {
    match which {
        Some("demands") => demands::table(answer),
        Some("stock") => stock(answer),
        Some("by_date") => by_date(answer),
        Some("worm_beds") => worm_beds(answer),
        _ => work::table(answer),
    }
}

/// The unit of a role in this answer.
fn unit(answer: &SeasonsAnswer, role: Role) -> &'static str {
    let system = if answer.units == System::Us.as_str() { System::Us } else { System::Metric };
    system.unit(role).0
}

fn words(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

fn with_unit(names: &[&str], unit: &str) -> Vec<String> {
    names.iter().map(|name| column(name, unit)).collect()
}

fn optional<T: ToString>(value: Option<T>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// The lots of the request, then those of the beds.
fn stock(answer: &SeasonsAnswer) -> Vec<Vec<String>> {
    let mut header = words(&["row", "index", "id", "name", "cycle", "ready_on", "use_by", "past"]);
    header.extend(with_unit(&["amount", "given", "left", "expired"], unit(answer, Role::Bulk)));
    let mut rows = vec![header];
    for (i, lot) in answer.stock.iter().enumerate() {
        let mut row = vec!["stock".to_owned(), i.to_string(), optional(lot.id.as_ref()), optional(lot.name.as_ref())];
        row.extend([String::new(), optional(lot.ready_on), optional(lot.use_by), yes(lot.past)]);
        row.extend([&lot.amount, &lot.given, &lot.left, &lot.expired].map(|q| cell(Some(q))));
        rows.push(row);
    }
    for (bed, lot) in
        answer.worm_beds.iter().enumerate().flat_map(|(i, bed)| bed.lots.iter().map(move |lot| ((i, bed), lot)))
    {
        let mut row = vec!["worm_bed".to_owned()];
        row.extend(named(bed));
        row.extend([lot.cycle.to_string(), lot.ready_on.to_string(), String::new(), String::new()]);
        row.extend([&lot.amount, &lot.given, &lot.left].map(|q| cell(Some(q))));
        row.push(String::new());
        rows.push(row);
    }
    rows
}

/// `yes`, or nothing.
fn yes(is: bool) -> String {
    if is { "yes".to_owned() } else { String::new() }
}

fn named((index, bed): (usize, &SeasonBedOut)) -> [String; 3] {
    [index.to_string(), optional(bed.id.as_ref()), optional(bed.name.as_ref())]
}

/// What is known of one day.
#[derive(Default)]
struct Known<'a> {
    day: Option<&'a DayOut>,
    chance: Option<&'a DateChanceOut>,
    wanted: Option<f64>,
}

/// The days on which something happens or is due.
fn known(answer: &SeasonsAnswer) -> BTreeMap<NaiveDate, Known<'_>> {
    let mut days: BTreeMap<NaiveDate, Known<'_>> = BTreeMap::new();
    for day in &answer.by_date {
        days.entry(day.date).or_default().day = Some(day);
    }
    for by in answer.chances.iter().flat_map(|chances| &chances.by_date) {
        days.entry(by.date).or_default().chance = Some(by);
    }
    for (date, wanted) in Ledger::from(answer).wanted_by() {
        days.entry(date).or_default().wanted = Some(wanted);
    }
    days
}

/// The running balance day by day, with what is wanted by then and the chance of enough.
fn by_date(answer: &SeasonsAnswer) -> Vec<Vec<String>> {
    let mut header = words(&["date"]);
    let castings = ["arrived", "given", "expired", "left", "wanted_by_then"];
    header.extend(with_unit(&castings, unit(answer, Role::Bulk)));
    header.push("chance_of_enough_%".to_owned());
    let (mut left, mut wanted) = (&answer.opening, 0.0);
    let mut rows = vec![header];
    for (date, known) in known(answer) {
        left = known.day.map_or(left, |day| &day.left);
        wanted = known.wanted.unwrap_or(wanted);
        let of_day =
            |pick: fn(&DayOut) -> &QuantityOut| known.day.map_or_else(|| "0".to_owned(), |day| cell(Some(pick(day))));
        rows.push(vec![
            date.to_string(),
            of_day(|day| &day.arrived),
            of_day(|day| &day.given),
            of_day(|day| &day.expired),
            cell(Some(left)),
            Number::rounded(wanted).to_string(),
            cell(known.chance.map(|by| &by.chance)),
        ]);
    }
    rows
}

/// One row for each harvest of a bed; a bed without any has one row.
fn worm_beds(answer: &SeasonsAnswer) -> Vec<Vec<String>> {
    let bulk = unit(answer, Role::Bulk);
    let mut header = words(&["index", "id", "name"]);
    header.push(column("surface_area", unit(answer, Role::Area)));
    header.extend(words(&["cycle", "ready_on", "ready_p10", "ready_p50", "ready_p90"]));
    header.extend(with_unit(&["amount", "given", "left", "volume_p10", "volume_p50", "volume_p90"], bulk));
    header.push("cautions".to_owned());
    let mut rows = vec![header];
    for (i, bed) in answer.worm_beds.iter().enumerate() {
        let lots: Vec<Option<&SeasonLotOut>> =
            if bed.lots.is_empty() { vec![None] } else { bed.lots.iter().map(Some).collect() };
        for lot in lots {
            let mut row = named((i, bed)).to_vec();
            row.push(cell(Some(&bed.surface_area)));
            row.extend(harvest(lot));
            row.push(bed.cautions.join(" "));
            rows.push(row);
        }
    }
    rows
}

fn harvest(lot: Option<&SeasonLotOut>) -> Vec<String> {
    let ready = lot.and_then(|lot| lot.ready.as_ref());
    let date = |pick: fn(&DatePercentiles) -> Option<NaiveDate>| optional(ready.and_then(pick));
    let volume = lot.and_then(|lot| lot.volume.as_ref());
    vec![
        optional(lot.map(|lot| lot.cycle)),
        optional(lot.map(|lot| lot.ready_on)),
        date(|ready| ready.p10),
        date(|ready| ready.p50),
        date(|ready| ready.p90),
        cell(lot.map(|lot| &lot.amount)),
        cell(lot.map(|lot| &lot.given)),
        cell(lot.map(|lot| &lot.left)),
        cell(volume.map(|volume| &volume.p10)),
        cell(volume.map(|volume| &volume.p50)),
        cell(volume.map(|volume| &volume.p90)),
    ]
}
