//! Errors of a table, each at its line and column.

use super::columns::Columns;
use super::fields::{NoList, Row};
use super::params::Address;
use super::remedies::{self, OfRow};
use super::rows::Built;
use crate::http::problem::Problem;
use crate::http::resources::cells::decimal::hint;
use crate::http::resources::cells::flat::{Fields, field_of};
use crate::http::wire::csv::{Sheet, error};
use crate::http::wire::{ErrorCode, Node, RequestError, RequestErrors, Where, capital, clipped};
use std::collections::BTreeSet;
use std::collections::btree_map::{BTreeMap, Entry};

/// The table that errors are found in: its cells, its columns and what was read of its rows.
type TableContext<'a> = (&'a Sheet<'a>, &'a Columns, &'a [Row<'a>]);

/// What was found to be wrong before the request was read.
#[must_use]
pub struct Found<'a> {
    /// With the names of columns.
    pub columns: Vec<RequestError>,
    /// With the address.
    pub address: RequestErrors,
    /// With the flat form of rows.
    pub rows: &'a Built<'a>,
    /// The words of the column `row`, each with its list.
    pub words: &'static [(&'static str, &'static str)],
    /// A table that shows how it is done.
    pub sample: &'static str,
}

impl Found<'_> {
    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.columns.is_empty() && self.address.is_empty() && self.rows.errors.is_empty() && self.rows.lost.is_empty()
    }

    /// All errors, those of the request among them, in the order of the lines.
    pub fn problem(self, of_request: Option<RequestErrors>, table: TableContext<'_>, address: &Address) -> Problem {
        let decimal_comma = address.options.decimal_comma;
        let place = Places { built: self.rows, table, decimal_comma, words: self.words, sample: self.sample };
        let left_out = self.address.left_out() + of_request.as_ref().map_or(0, RequestErrors::left_out);
        let mut errors = self.address.into_sorted(&Node::Null);
        errors.extend(self.columns);
        let has_rows = place.has_column_row();
        errors.extend(self.rows.lost.first().filter(|_| !has_rows).map(|(_, lost)| place.of_column_row(lost)));
        errors.extend(self.rows.lost.iter().filter(|_| has_rows).map(|(row, no_list)| {
            let allowed = no_list.allowed.iter().map(|&word| word.to_owned()).collect();
            let wrong = place.at((*row, no_list.field), no_list.code, &no_list.detail);
            RequestError { allowed, ..wrong }
        }));
        let flat = self.rows.errors.sorted(&self.rows.tree);
        let of_flat: BTreeSet<(usize, &'static str)> = flat.iter().filter_map(|error| place.field(error)).collect();
        errors.extend(flat.into_iter().filter_map(|error| place.in_table(error)));
        let mut cells: BTreeSet<(usize, usize)> = errors.iter().filter_map(cell).collect();
        let found = of_request.map(|errors| errors.into_sorted(&self.rows.tree)).unwrap_or_default();
        // What is wrong with a cell in its flat form is wrong with what was made of it: that is said once.
        let is_new = |error: &RequestError| place.field(error).is_none_or(|field| !of_flat.contains(&field));
        let found = place.left_over_once(found.into_iter().filter(is_new));
        let found = found.into_iter().filter_map(|error| place.in_table(error));
        errors.extend(found.filter(|error| cell(error).is_none_or(|cell| cells.insert(cell))));
        errors.sort_by_key(|error| match error.at {
            Where::Csv { line, column } => (line, column.unwrap_or(usize::MAX)),
            _ => (0, 0),
        });
        Problem::listed(errors, left_out)
    }
}

/// The line and the column of an error of one cell.
const fn cell(error: &RequestError) -> Option<(usize, usize)> {
    if let Where::Csv { line, column: Some(column) } = error.at { Some((line, column)) } else { None }
}

/// Whether it says of a list that it has no items.
fn is_of_no_rows(error: &RequestError) -> bool {
    error.code == ErrorCode::MissingField && error.detail.starts_with("The field ")
}

/// Where errors are in a table.
struct Places<'a> {
    built: &'a Built<'a>,
    table: TableContext<'a>,
    decimal_comma: bool,
    words: &'static [(&'static str, &'static str)],
    sample: &'static str,
}

impl Places<'_> {
    /// Whether the table has the column that says to which list a row belongs, or needs none.
    fn has_column_row(&self) -> bool {
        self.words.is_empty() || self.table.1.number("row").is_some()
    }

    /// Says once that this column is missing.
    fn of_column_row(&self, lost: &NoList) -> RequestError {
        let detail =
            format!("Line {}: Add a column row that says what each line is. {}", self.table.0.header_line, lost.detail);
        let allowed = lost.allowed.iter().map(|&word| word.to_owned()).collect();
        RequestError { allowed, ..error((self.table.0.header_line, None), lost.code, detail) }
    }

    /// Says how columns are named, by a table that works.
    fn no_column(&self) -> String {
        let mut lines = self.sample.lines();
        let [names, row] = [lines.next(), lines.next()].map(Option::unwrap_or_default);
        format!(
            "No column is known here. Name the columns as in the first line of a table that works ({names}), and write each amount with its \
             unit, as in its second line ({row})."
        )
    }

    /// The errors with each cell that is left over once: several parts of what is made of a row may refuse it, and the row takes what any
    /// of them takes.
    fn left_over_once(&self, found: impl Iterator<Item = RequestError>) -> Vec<RequestError> {
        let mut kept: Vec<RequestError> = Vec::new();
        let mut first = BTreeMap::new();
        for error in found {
            let cell =
                Some(&error).filter(|error| error.code == ErrorCode::UnknownField).and_then(|error| self.field(error));
            let seen = cell.and_then(|cell| match first.entry(cell) {
                Entry::Occupied(entry) => kept.get_mut(*entry.get()),
                Entry::Vacant(entry) => {
                    entry.insert(kept.len());
                    None
                }
            });
            match seen {
                Some(seen) => seen.allowed.extend(error.allowed),
                None => kept.push(error),
            }
        }
        kept
    }

    /// The row and the field that an error is about, if it is about one.
    fn field(&self, error: &RequestError) -> Option<(usize, &'static str)> {
        let (row, rest) = self.built.row_of(error.at.as_str())?;
        let (_, columns, _) = self.table;
        Some((row, field_of(rest, &columns.known))).filter(|(_, field)| !field.is_empty())
    }

    /// An error of the request at its line and column, or at its parameter; none where it follows from rows that were refused.
    fn in_table(&self, found: RequestError) -> Option<RequestError> {
        let Where::Body { pointer } = &found.at else { return Some(found) };
        let pointer = pointer.clone();
        let first = pointer.split('/').nth(1).unwrap_or_default();
        if let Some((row, rest)) = self.built.row_of(&pointer) {
            return Some(self.in_row(found, (row, first, rest)));
        }
        let parameter = match first {
            "containers" => "container",
            "assumptions" => "assume",
            "units" => "units",
            _ => return self.of_list(found, first),
        };
        Some(RequestError { at: Where::Query { parameter: parameter.to_owned() }, ..found })
    }

    /// An error of a row.
    fn in_row(&self, found: RequestError, (row, list, rest): (usize, &str, &str)) -> RequestError {
        let (sheet, columns, rows) = self.table;
        let missing_rows = self.words.iter().find(|(_, list)| *list == rest);
        if let Some((word, _)) = missing_rows.filter(|_| is_of_no_rows(&found)) {
            let detail = format!(
                "There is no row {word} for it. Add one with {word} in the column row, and the same id or name."
            );
            return RequestError { allowed: Vec::new(), ..self.at((row, ""), found.code, &detail) };
        }
        let fields: Vec<&'static str> = columns.fields().collect();
        let mut field = field_of(rest, &fields);
        if field == "rate_kind" && rows.get(row).is_none_or(|row| row.get(field).is_none()) {
            field = "rate";
        }
        let same_id = self.built.same_id(rows, row).and_then(|row| sheet.rows.get(row)).map(|row| row.line);
        let has_column = columns.number(field).is_some();
        let of_row = OfRow { known: &columns.known, list, pointer: rest, has_column, same_id };
        let found = remedies::in_table(found, of_row);
        let at = self.at((row, field), found.code, &found.detail);
        RequestError { at: at.at, detail: at.detail, ..found }
    }

    /// An error of a whole list: at the names of the columns.
    fn of_list(&self, found: RequestError, list: &str) -> Option<RequestError> {
        let (sheet, columns, _) = self.table;
        let line = sheet.header_line;
        if !self.built.is_empty(list) {
            return Some(RequestError { at: Where::Csv { line, column: None }, ..found });
        }
        if !self.built.lost.is_empty() {
            return None;
        }
        if columns.fields().next().is_none() {
            return Some(RequestError {
                at: Where::Csv { line, column: None },
                detail: self.no_column(),
                allowed: Vec::new(),
                ..found
            });
        }
        let word = self.words.iter().find(|(_, known)| *known == list).map(|(word, _)| *word);
        let column = word.and_then(|_| columns.number("row"));
        let detail = word.map_or_else(
            || "All rows are empty. Add a row for each item below the names of the columns.".to_owned(),
            |word| format!("No row is a {word}. Add at least one with {word} in the column row."),
        );
        Some(RequestError { at: Where::Csv { line, column }, detail, allowed: Vec::new(), ..found })
    }

    /// An error in a row, at the column of a field if there is one.
    fn at(&self, (row, field): (usize, &str), code: ErrorCode, detail: &str) -> RequestError {
        let (sheet, columns, rows) = self.table;
        let (line, row) = (sheet.rows.get(row).map_or(1, |row| row.line), rows.get(row));
        let text = |field: &str| row.and_then(|row| row.get(field));
        let name = text("name")
            .or_else(|| text("id"))
            .map(|name| format!(" ('{}')", clipped(name.trim())))
            .unwrap_or_default();
        let column = columns.number(field);
        let called = if column.is_some() { format!(", column {field}") } else { String::new() };
        let mut detail = format!("Line {line}{name}{called}: {}", capital(detail));
        if code == ErrorCode::BadNumber && !self.decimal_comma {
            detail.extend(text(field).and_then(|text| hint(field, text)));
        }
        error((line, column), code, detail)
    }
}
