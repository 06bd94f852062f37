//! A table as CSV (RFC 4180): one column for each unit, exact numbers, ISO dates. The last columns name the cautions: those of
//! the item, where rows are items, then those about all else of the request.

use super::options::Options;
use super::table::{Cell, Column, Kind, Table};
use super::{Description, item_of};
use crate::garden::interrupt::check;
use crate::http::output::{CautionOut, QuantityOut};
use chrono::SecondsFormat;
use std::collections::{BTreeMap, BTreeSet};

/// The table that is asked for, the first unless one is named; `None` if there is no such table.
#[must_use]
pub fn render(description: &Description<'_>, options: &Options) -> Option<Vec<u8>> {
    let asked = |table: &&Table| options.table.map_or(!table.name.is_empty(), |name| table.name == name);
    let table = description.tables().find(asked)?;
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .delimiter(options.delimiter)
        .from_writer(if options.bom { "\u{feff}".as_bytes().to_vec() } else { Vec::new() });
    writer.write_record(header(table).iter().map(|name| guarded(name))).ok()?;
    let (of_items, of_request) = (by_item(description.cautions), of_request(description.cautions, table));
    for row in table.rows.iter().filter(|row| !row.is_sum) {
        check();
        let cells = table.columns.iter().zip(&row.cells);
        let mut record: Vec<String> = cells.flat_map(|(column, cell)| written(column, cell, options)).collect();
        record.extend(
            table.is_of_items.then(|| of_items.get(row.pointer.as_str()).map_or_else(String::new, |of| of.join(" "))),
        );
        record.push(of_request.clone());
        writer.write_record(record).ok()?;
    }
    writer.into_inner().ok()
}

/// The names of all columns of a table.
#[must_use]
pub fn header(table: &Table) -> Vec<String> {
    let mut header: Vec<String> = table.columns.iter().flat_map(names).collect();
    header.extend(table.is_of_items.then(|| "cautions".to_owned()));
    header.push("cautions_of_request".to_owned());
    header
}

/// The names of the columns that one column becomes.
fn names(column: &Column) -> Vec<String> {
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
fn with_unit(name: &str, unit: &str) -> String {
    match unit {
        "" => name.to_owned(),
        "%" => format!("{name}_%"),
        unit => format!("{name}_{}", unit.replace([' ', '/'], "_")),
    }
}

/// The cells that one cell becomes.
fn written(column: &Column, cell: &Cell, options: &Options) -> Vec<String> {
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
            let of = |unit: &String| list.iter().find(|amount: &&QuantityOut| amount.unit == *unit);
            units.iter().map(|unit| of(unit).map_or_else(String::new, |amount| number(amount.value))).collect()
        }
        (Kind::Containers(units), _) => nothing(units.len()),
        (_, Cell::Nothing | Cell::Containers(_) | Cell::Either(..)) => nothing(1),
        (_, Cell::Quantity(quantity)) => vec![number(quantity.value)],
        (_, Cell::Text(text)) => vec![guarded(text)],
        (_, Cell::Count(count)) => vec![count.to_string()],
        (_, Cell::Date(date)) => vec![date.to_string()],
        (_, Cell::Moment(moment)) => vec![moment.to_rfc3339_opts(SecondsFormat::AutoSi, false)],
    }
}

fn decimal(number: &str, options: &Options) -> String {
    if options.decimal_comma { number.replace('.', ",") } else { number.to_owned() }
}

/// A text that a spreadsheet would take for a formula gets a leading apostrophe, which reading takes off again. A text that looks
/// as if it had got one gets one more, so that every text comes back as it was.
fn guarded(text: &str) -> String {
    if is_formula(text.trim_start_matches('\'')) { format!("'{text}") } else { text.to_owned() }
}

/// Whether a spreadsheet might compute it: it begins with a sign that begins formulas, in the usual or in full width, and is no number.
fn is_formula(text: &str) -> bool {
    const SIGNS: [char; 8] = ['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];
    // A tab or a line break at the start hides the sign from a check, not from a spreadsheet.
    let begins = text.starts_with(['\t', '\r', '\n']) || text.trim_start().starts_with(SIGNS);
    begins && !text.parse::<f64>().is_ok_and(f64::is_finite)
}

/// The rules of the cautions about each item, by its pointer.
fn by_item(cautions: &[CautionOut]) -> BTreeMap<&str, Vec<&'static str>> {
    let mut rules: BTreeMap<&str, Vec<&'static str>> = BTreeMap::new();
    for (caution, at) in cautions.iter().flat_map(|caution| caution.at.iter().map(move |at| (caution, at))) {
        let of = rules.entry(item_of(at)).or_default();
        if of.last() != Some(&caution.rule) {
            of.push(caution.rule);
        }
    }
    rules
}

/// The rules of the cautions that hold of more than the items of a table.
fn of_request(cautions: &[CautionOut], table: &Table) -> String {
    let items: BTreeSet<&str> = table.rows.iter().map(|row| row.pointer.as_str()).collect();
    let is_told = |at: &String| items.contains(item_of(at));
    let of = cautions.iter().filter(|caution| caution.at.is_empty() || !caution.at.iter().all(is_told));
    of.map(|caution| caution.rule).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Takes off the apostrophe, as a reader of tables does.
    fn unguarded(text: &str) -> &str {
        text.strip_prefix('\'').filter(|rest| is_formula(rest.trim_start_matches('\''))).unwrap_or(text)
    }

    #[test]
    fn what_a_spreadsheet_would_compute_is_guarded() {
        for formula in [
            "=1+1",
            "+a",
            "-a",
            "@SUM(A1)",
            "＝1",
            "＋1",
            "－1",
            "＠a",
            "\t=1",
            "\r=1",
            "\n",
            " =1",
            "\u{3000}＝1",
            "-inf",
            "+nan",
            "-infinity",
            "+1e999",
            "-1,5",
            "-1 2",
            "--1",
            "=",
            "-",
            "'=1",
        ] {
            assert_eq!(guarded(formula), format!("'{formula}"));
        }
        for text in ["", "a=1", "-1", "+1.5", "-2e-3", "'", "'a", "O'Neil", "inf", "nan", "(=1)", "1-2", "−3 °C"] {
            assert_eq!(guarded(text), text);
        }
    }

    proptest::proptest! {
        #[test]
        fn every_text_comes_back_as_it_was(text in "['=+@ \t＝a1-]{0,6}") {
            let written = guarded(&text);
            proptest::prop_assert_eq!(unguarded(&written), text);
        }

        #[test]
        fn no_two_texts_are_written_alike(one in "['=+a1-]{0,4}", other in "['=+a1-]{0,4}") {
            proptest::prop_assert_eq!(guarded(&one) == guarded(&other), one == other);
        }

        #[test]
        fn nothing_written_begins_a_formula(text in "['=+@ \t＝a1-]{0,6}") {
            proptest::prop_assert!(!is_formula(&guarded(&text)));
        }
    }
}
