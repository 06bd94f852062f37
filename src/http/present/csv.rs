//! A table as CSV (RFC 4180): one column for each unit, exact numbers, ISO dates. The last columns name the cautions: those of
//! the item, where rows are items, then those about all else of the request. Where items were left out, a column after these tells their
//! errors in the first row, or in a row of its own where there is none.

use super::options::Options;
use super::table::{Cell, Column, Kind, Table};
use super::{Description, item_of};
use crate::garden::interrupt::check;
use crate::http::output::CautionOut;
use crate::http::output::skipped::in_words;
use crate::http::wire::between_digits;
use crate::http::wire::formulas::guarded;
use chrono::SecondsFormat;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};

/// The column with the cautions about all but the items, which every table has.
pub const OF_REQUEST: &str = "cautions_of_request";

/// The column with the errors of items that were left out.
const SKIPPED: &str = "skipped";

/// Writes the table that is asked for, the first unless one is named.
///
/// # Errors
/// There is no such table; what `out` says.
pub fn render(description: &Description<'_>, options: &Options, mut out: impl Write) -> io::Result<()> {
    let asked = |table: &&Table| options.table.map_or(!table.name.is_empty(), |name| table.name == name);
    let table = description.tables().find(asked).ok_or(io::ErrorKind::NotFound)?;
    out.write_all(if options.bom { "\u{feff}".as_bytes() } else { &[] })?;
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).delimiter(options.delimiter).from_writer(out);
    let skipped = in_words(description.skipped).collect::<Vec<_>>().join(" ");
    let header = header(table);
    let columns = header.len();
    let header = header.into_iter().chain((!skipped.is_empty()).then(|| SKIPPED.to_owned()));
    writer.write_record(header.map(|name| guarded(&name, options.decimal_comma)))?;
    let mut skipped = (!skipped.is_empty()).then(|| guarded(&skipped, options.decimal_comma));
    let names = points(description.items.values());
    let items = table.rows.iter().map(|row| row.pointer.as_str()).collect();
    let (of_items, of_request) = (by_item(description.cautions), of_request(description.cautions, &items));
    for row in table.rows.iter().filter(|row| !row.is_sum) {
        check();
        let cells = table.columns.iter().enumerate().map(|(place, column)| (column, table.cell(row, place)));
        let mut record: Vec<String> = cells.flat_map(|cell| in_columns(cell, options, &names)).collect();
        record.extend(
            table.is_of_items.then(|| of_items.get(row.pointer.as_str()).map_or_else(String::new, |of| of.join(" "))),
        );
        record.push(of_request.clone());
        record.extend(skipped.as_mut().map(std::mem::take));
        writer.write_record(record)?;
    }
    // Where there is no row for it, what was left out has a row of its own.
    if let Some(skipped) = skipped.filter(|text| !text.is_empty()) {
        let mut record = vec![String::new(); columns - 1];
        record.extend([of_request, skipped]);
        writer.write_record(record)?;
    }
    writer.flush()
}

/// A cell, in the columns that it becomes.
fn in_columns((column, cell): (&Column, &Cell), options: &Options, names: &[(&str, usize)]) -> Vec<String> {
    match (&column.kind, cell.data()) {
        (Kind::Sentences, Cell::Text(text)) if options.decimal_comma => vec![guarded(&with_commas(text, names), true)],
        _ => written(column, cell, options),
    }
}

/// The names of all columns of a table.
#[must_use]
pub fn header(table: &Table) -> Vec<String> {
    let mut header: Vec<String> = table.columns.iter().flat_map(names).collect();
    header.extend(table.is_of_items.then(|| "cautions".to_owned()));
    header.push(OF_REQUEST.to_owned());
    header
}

/// The names of the columns that one column becomes.
pub(crate) fn names(column: &Column) -> Vec<String> {
    let name = column.name;
    match &column.kind {
        _ if name.is_empty() => Vec::new(),
        Kind::Quantity { unit, bounds: false } => vec![with_unit(name, unit)],
        Kind::Quantity { unit, bounds: true } => {
            let name = with_unit(name, unit);
            vec![name.clone(), format!("{name}_low"), format!("{name}_high")]
        }
        Kind::Containers(units) => units.iter().map(|unit| with_unit(name, unit)).collect(),
        _ => vec![name.to_owned()],
    }
}

/// A column's name with its unit: `castings_L`.
pub(crate) fn with_unit(name: &str, unit: &str) -> String {
    match unit {
        "" => name.to_owned(),
        "%" => format!("{name}_%"),
        unit => format!("{name}_{}", unit.replace([' ', '/'], "_")),
    }
}

/// The cells that one cell becomes.
pub(crate) fn written(column: &Column, cell: &Cell, options: &Options) -> Vec<String> {
    let number = |value: crate::http::output::Number| decimal(&value.to_string(), options);
    let nothing = |count: usize| vec![String::new(); count];
    match (&column.kind, cell.data()) {
        _ if column.name.is_empty() => Vec::new(),
        (Kind::Quantity { bounds: true, .. }, Cell::Quantity(quantity)) => {
            let bound = |bound: Option<_>| number(bound.unwrap_or(quantity.value));
            vec![number(quantity.value), bound(quantity.low), bound(quantity.high)]
        }
        (Kind::Quantity { bounds: true, .. }, _) => nothing(3),
        (Kind::Containers(units), Cell::Containers(list)) => {
            let amount_in = |unit: &String| list.iter().find(|amount| amount.unit == unit.as_str());
            units.iter().map(|unit| amount_in(unit).map_or_else(String::new, |amount| number(amount.value))).collect()
        }
        (Kind::Containers(units), _) => nothing(units.len()),
        (_, Cell::Nothing | Cell::Containers(_) | Cell::Either(..)) => nothing(1),
        (_, Cell::Quantity(quantity)) => vec![number(quantity.value)],
        (_, Cell::Text(text)) => vec![guarded(text, options.decimal_comma)],
        (_, Cell::Phrases(list)) => {
            let text = Cell::phrases(list, |number| decimal(&number, options));
            vec![guarded(&text, options.decimal_comma)]
        }
        (_, Cell::Count(count)) => vec![count.to_string()],
        (_, Cell::Date(date)) => vec![date.to_string()],
        (_, Cell::Moment(moment)) => vec![moment.to_rfc3339_opts(SecondsFormat::AutoSi, false)],
    }
}

/// Each name that has a point between digits, with the place of each such point.
fn points<'n>(names: impl Iterator<Item = &'n String>) -> Vec<(&'n str, usize)> {
    names.flat_map(|name| between_digits(name, '.').map(|at| (name.as_str(), at))).collect()
}

/// A sentence with commas as the decimal marks of its numbers. Names keep their points.
fn with_commas(sentence: &str, names: &[(&str, usize)]) -> String {
    let is_of_name = |at: usize| {
        let begins = |(name, point): &(&str, usize)| {
            let rest = at.checked_sub(*point).and_then(|first| sentence.get(first..));
            rest.is_some_and(|rest| rest.starts_with(name))
        };
        names.iter().any(begins)
    };
    let mut written = sentence.to_owned();
    for at in between_digits(sentence, '.').filter(|at| !is_of_name(*at)) {
        written.replace_range(at..=at, ",");
    }
    written
}

fn decimal(number: &str, options: &Options) -> String {
    if options.decimal_comma { number.replace('.', ",") } else { number.to_owned() }
}

/// The rules of the cautions about each item, by its pointer.
pub(crate) fn by_item(cautions: &[CautionOut]) -> BTreeMap<&str, Vec<&'static str>> {
    let mut rules: BTreeMap<&str, Vec<&'static str>> = BTreeMap::new();
    for (caution, at) in cautions.iter().flat_map(|caution| caution.at.iter().map(move |at| (caution, at))) {
        let rules_of_item = rules.entry(item_of(at)).or_default();
        if rules_of_item.last() != Some(&caution.rule) {
            rules_of_item.push(caution.rule);
        }
    }
    rules
}

/// The rules of the cautions that hold of more than these items.
pub(crate) fn of_request(cautions: &[CautionOut], items: &BTreeSet<&str>) -> String {
    let is_reported = |at: &String| items.contains(item_of(at));
    let of_all = cautions.iter().filter(|caution| caution.at.is_empty() || !caution.at.iter().all(is_reported));
    of_all.map(|caution| caution.rule).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_sentences_have_commas_and_names_keep_their_points() {
        let names = ["bed 1.5", "1.5 north", "tomatoes"].map(str::to_owned);
        let commas = |text| with_commas(text, &points(names.iter()));
        for (text, wanted) in [
            ("35.6 L of the 1.5 kg (2.25 to 3.5).", "35,6 L of the 1,5 kg (2,25 to 3,5)."),
            ("bed 1.5 gets 1.5 L, 1.5 north 2.5", "bed 1.5 gets 1,5 L, 1.5 north 2,5"),
            ("bed 1.25 ends on 5 Apr 2027. 1. .5", "bed 1,25 ends on 5 Apr 2027. 1. .5"),
        ] {
            assert_eq!(commas(text), wanted);
        }
    }
}
