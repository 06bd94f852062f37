//! The table as it goes: the caller's columns in place, those of the answer replaced or at the end.

use super::Tabular;
use super::columns::{Column, Columns, NOTES, normal};
use super::params::Address;
use super::records::{Cell, Records};
use super::rows::Item;
use crate::garden::assumptions::SetBy;
use crate::garden::interrupt::check;
use crate::garden::work::Work;
use crate::http::present::csv::{by_item, names, of_request, written};
use crate::http::present::{Description, Options, Table};
use crate::http::resources::respond::STEPS_FOR_CELL;
use crate::http::wire::csv;
use crate::http::wire::formulas::{guarded, unguarded};
use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};

/// A table that is answered.
#[must_use]
pub struct Rows<'a> {
    /// As it came.
    pub sheet: &'a csv::Sheet<'a>,
    /// What its columns are.
    pub columns: &'a Columns,
    /// The item that each row is.
    pub items: &'a [Option<Item<'static>>],
}

/// Which column of a described table it is, and which columns of the answer it becomes.
type Taken = (usize, Vec<usize>);

/// The columns of an answer: their names, and for each described table which of its columns go where.
struct Added<'a> {
    names: Vec<String>,
    tables: Vec<(&'a Table, Vec<Taken>)>,
}

impl<'a> Added<'a> {
    fn of<T: Tabular>(description: &'a Description<'_>) -> Self {
        let mut added = Self { names: Vec::new(), tables: Vec::new() };
        for table in description.tables().filter(|table| T::DESCRIBED.contains(&table.name)) {
            let is_added =
                |name: &str| T::ADDS.iter().any(|figure| figure.name == name) || T::ADDS_WORDS.contains(&name);
            let columns = table.columns.iter().enumerate().filter(|(_, column)| is_added(column.name));
            let columns: Vec<_> = columns.map(|(at, column)| (at, added.places(names(column)))).collect();
            added.tables.push((table, columns));
        }
        added.names.extend(NOTES.map(str::to_owned));
        added
    }

    /// Where the columns of these names are.
    fn places(&mut self, names: Vec<String>) -> Vec<usize> {
        let place = |name: String| {
            self.names.iter().position(|known| *known == name).unwrap_or_else(|| {
                self.names.push(name);
                self.names.len() - 1
            })
        };
        names.into_iter().map(place).collect()
    }

    /// What is answered to each item, by its pointer.
    fn cells(&self, options: &Options) -> HashMap<&'a str, Vec<String>> {
        let mut cells = HashMap::new();
        for (table, columns) in &self.tables {
            for row in table.rows.iter().filter(|row| !row.is_sum) {
                check();
                let mut record = vec![String::new(); self.names.len()];
                for (at, places) in columns {
                    let Some(column) = table.columns.get(*at) else { continue };
                    for (place, text) in places.iter().zip(written(column, table.cell(row, *at), options)) {
                        if let Some(known) = record.get_mut(*place) {
                            *known = text;
                        }
                    }
                }
                cells.insert(row.pointer.as_str(), record);
            }
        }
        cells
    }
}

/// Where a cell of the answer comes from.
#[derive(Clone, Copy)]
enum From {
    /// The column of the caller's.
    Caller(usize),
    /// The column of the answer, where the caller's table has it.
    Replaced(usize, usize),
    /// The column of the answer.
    Added(usize),
}

impl Rows<'_> {
    /// About how much work it is to write it.
    #[must_use]
    pub fn work<T: Tabular>(&self, answer: &Description<'_>) -> Work {
        let added = Added::of::<T>(answer).names.len();
        let columns = self.sheet.header.len().saturating_add(added);
        Work::of(self.sheet.rows.len().saturating_mul(columns), STEPS_FOR_CELL)
    }

    /// Where the cells of each column come from.
    fn order(&self, names: &[String]) -> Vec<From> {
        let header = self.sheet.header.iter().enumerate().zip(&self.columns.all);
        let replaced = |name: &str| names.iter().position(|known| known.to_lowercase() == normal(name));
        let mut order: Vec<From> = header
            .filter_map(|((at, name), column)| match column {
                Column::Answer => replaced(name).map(|place| From::Replaced(at, place)),
                _ => Some(From::Caller(at)),
            })
            .collect();
        let is_there = |place| order.iter().any(|from| matches!(from, From::Replaced(_, there) if *there == place));
        let added: Vec<From> = (0..names.len()).filter(|place| !is_there(*place)).map(From::Added).collect();
        order.extend(added);
        order
    }

    /// Writes it with the answer.
    #[must_use]
    pub fn render<T: Tabular>(&self, answer: &Description<'_>, address: &Address) -> Vec<u8> {
        let options = &address.options;
        let comma = options.decimal_comma;
        let mut records = Records::new(options.bom, self.delimiter(address));
        let added = Added::of::<T>(answer);
        let order = self.order(&added.names);
        let own = |text: &Cow<'_, str>| Cell::Own(guarded(unguarded(text, comma), comma));
        let header = |from: &From| match from {
            From::Caller(at) | From::Replaced(at, _) => self.sheet.header.get(*at).map(own).unwrap_or_default(),
            From::Added(place) => {
                added.names.get(*place).map(|name| Cell::Answer(guarded(name, comma))).unwrap_or_default()
            }
        };
        records.push(order.iter().map(header));
        let mut cells = added.cells(options);
        note(answer, &added, &mut cells);
        for (row, item) in self.sheet.rows.iter().zip(self.items) {
            check();
            let pointer = item.map(|item| item.pointer()).unwrap_or_default();
            let of_item = cells.get(pointer.as_str());
            let cell = |from: &From| match from {
                From::Caller(at) => row.cells.get(*at).map(own).unwrap_or_default(),
                From::Replaced(_, place) | From::Added(place) => {
                    let text = of_item.and_then(|of_item| of_item.get(*place));
                    text.map(|text| Cell::Answer(text.clone())).unwrap_or_default()
                }
            };
            records.push(order.iter().map(cell));
        }
        records.text.into_bytes()
    }

    /// What separates the cells: as in the table, or a semicolon where that is the decimal mark.
    fn delimiter(&self, address: &Address) -> char {
        let of_table = self.sheet.delimiter;
        let usual = if address.options.decimal_comma && of_table == ',' { ';' } else { of_table };
        address.delimiter.unwrap_or(usual)
    }
}

/// Adds cautions and what was assumed.
fn note(answer: &Description<'_>, added: &Added<'_>, cells: &mut HashMap<&str, Vec<String>>) {
    let cautions = answer.cautions;
    let items: BTreeSet<&str> = cells.keys().copied().collect();
    let (of_items, of_request) = (by_item(cautions), of_request(cautions, &items));
    let defaults = answer.assumptions.iter().filter(|assumption| assumption.set_by == SetBy::Default.as_str());
    let assumed = defaults.map(|assumption| assumption.id).collect::<Vec<_>>().join(" ");
    let first = added.names.len() - NOTES.len();
    for (pointer, record) in cells {
        let of_item = of_items.get(pointer).map_or_else(String::new, |rules| rules.join(" "));
        let notes = [of_item, assumed.clone(), of_request.clone()];
        for (known, note) in record.iter_mut().skip(first).zip(notes) {
            *known = note;
        }
    }
}
