//! The fields of one row.

use super::columns::{Column, Columns};
use super::params::Address;
use crate::http::resources::cells::comma_as_point;
use crate::http::resources::cells::flat::Fields;
use crate::http::wire::ErrorCode;
use crate::http::wire::csv::SheetRow;
use crate::http::wire::formulas::unguarded;
use std::borrow::Cow;

/// Why a row belongs to no list: the column that should say to which, and what is wrong with it.
#[derive(Debug)]
pub struct NoList {
    /// The column.
    pub field: &'static str,
    /// What kind of error it is.
    pub code: ErrorCode,
    /// The error in words.
    pub detail: String,
    /// The words allowed there.
    pub allowed: Vec<&'static str>,
}

/// The fields of a row that are given.
#[must_use]
#[derive(Debug)]
pub struct Row<'s> {
    fields: Vec<(&'static str, Cow<'s, str>)>,
}

impl<'s> Row<'s> {
    /// Reads a row. Names stay as they are; the white space around other fields is left out.
    pub fn read(row: &'s SheetRow<'_>, columns: &Columns, address: &Address) -> Self {
        let comma = address.options.decimal_comma;
        let field = |(column, cell): (&Column, &'s Cow<'_, str>)| {
            let Column::Field(name) = *column else { return None };
            let text = unguarded(cell, comma);
            if text.trim().is_empty() {
                return None;
            }
            let is_name = matches!(name, "id" | "name");
            Some((
                name,
                match comma && text.contains(',') && !is_name {
                    true => Cow::Owned(comma_as_point(text.trim())),
                    false => Cow::Borrowed(if is_name { text } else { text.trim() }),
                },
            ))
        };
        Self { fields: columns.all.iter().zip(&row.cells).filter_map(field).collect() }
    }

    /// True if no field is given.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.fields.is_empty()
    }
}

impl Fields for Row<'_> {
    fn get(&self, name: &str) -> Option<&str> {
        self.fields.iter().find(|(known, _)| *known == name).map(|(_, text)| text.as_ref())
    }
}
