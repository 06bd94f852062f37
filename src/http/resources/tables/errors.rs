//! Errors of a table, each at its line and column.

use super::columns::Columns;
use super::fields::Row;
use super::params::Address;
use super::rows::Built;
use crate::http::problem::Problem;
use crate::http::resources::cells::decimal::hint;
use crate::http::resources::cells::flat::{Fields, field_of};
use crate::http::wire::csv::{Sheet, error};
use crate::http::wire::{ErrorCode, Node, RequestError, RequestErrors, Where, capital, clipped};
use std::collections::BTreeSet;

/// The table that errors are found in.
type Of<'a> = (&'a Sheet<'a>, &'a Columns, &'a [Row<'a>]);

/// What was found to be wrong before the request was read.
#[must_use]
pub struct Found<'a> {
    /// With the names of columns.
    pub columns: Vec<RequestError>,
    /// With the address.
    pub address: RequestErrors,
    /// With the flat form of rows.
    pub rows: &'a Built<'a>,
}

impl Found<'_> {
    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.columns.is_empty() && self.address.is_empty() && self.rows.errors.is_empty() && self.rows.lost.is_empty()
    }

    /// All errors, those of the request among them, in the order of the lines.
    pub fn problem(self, of_request: Option<RequestErrors>, of: Of<'_>, address: &Address) -> Problem {
        let place = Places { built: self.rows, of, decimal_comma: address.options.decimal_comma };
        let left_out = self.address.left_out() + of_request.as_ref().map_or(0, RequestErrors::left_out);
        let mut errors = self.address.into_sorted(&Node::Null);
        errors.extend(self.columns);
        errors.extend(self.rows.lost.iter().map(|(row, no_list)| {
            let allowed = no_list.allowed.iter().map(|&word| word.to_owned()).collect();
            let wrong = place.at((*row, no_list.field), no_list.code, &no_list.detail);
            RequestError { allowed, ..wrong }
        }));
        let flat = self.rows.errors.sorted(&self.rows.tree);
        errors.extend(flat.into_iter().map(|error| place.in_table(error)));
        let cells: BTreeSet<(usize, Option<usize>)> = errors.iter().filter_map(cell).collect();
        let found = of_request.map(|errors| errors.into_sorted(&self.rows.tree)).unwrap_or_default();
        // What is wrong with a cell in its flat form is wrong with what was made of it: that is said once.
        let found = found.into_iter().map(|error| place.in_table(error));
        errors.extend(found.filter(|error| cell(error).is_none_or(|cell| !cells.contains(&cell))));
        errors.sort_by_key(|error| match error.at {
            Where::Csv { line, column } => (line, column.unwrap_or(usize::MAX)),
            _ => (0, 0),
        });
        Problem::listed(errors, left_out)
    }
}

/// The line and the column of an error in a table.
const fn cell(error: &RequestError) -> Option<(usize, Option<usize>)> {
    if let Where::Csv { line, column } = error.at { Some((line, column)) } else { None }
}

/// Where errors are in a table.
struct Places<'a> {
    built: &'a Built<'a>,
    of: Of<'a>,
    decimal_comma: bool,
}

impl Places<'_> {
    /// An error of the request at its line and column, or at its parameter.
    fn in_table(&self, found: RequestError) -> RequestError {
        let Where::Body { pointer } = &found.at else { return found };
        if let Some((row, rest)) = self.built.row_of(pointer) {
            let (_, columns, rows) = self.of;
            let fields: Vec<&'static str> = columns.fields().collect();
            let mut field = field_of(rest, &fields);
            if field == "rate_kind" && rows.get(row).is_none_or(|row| row.get(field).is_none()) {
                field = "rate";
            }
            let at = self.at((row, field), found.code, &found.detail);
            return RequestError { at: at.at, detail: at.detail, ..found };
        }
        let first = pointer.split('/').nth(1).unwrap_or_default();
        let parameter = match first {
            "containers" => "container",
            "assumptions" => "assume",
            "units" => "units",
            _ => return RequestError { at: Where::Csv { line: 1, column: None }, ..found },
        };
        RequestError { at: Where::Query { parameter: parameter.to_owned() }, ..found }
    }

    /// An error in a row, at the column of a field if there is one.
    fn at(&self, (row, field): (usize, &str), code: ErrorCode, detail: &str) -> RequestError {
        let (sheet, columns, rows) = self.of;
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
