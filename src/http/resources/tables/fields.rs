//! The fields of one row.

use super::columns::{Column, Columns};
use super::params::Address;
use crate::http::resources::cells::decimal::with_point;
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

/// Fields that are names, which stay as they are.
const NAMES: [&str; 2] = ["id", "name"];

/// Fields that are days, which have no decimal mark.
const DAYS: [&str; 7] = ["ready_on", "use_by", "on", "earliest", "latest", "start_on", "not_yet_on"];

/// The fields of a row that are given.
#[must_use]
#[derive(Debug)]
pub struct Row<'s> {
    fields: Vec<(&'static str, Cow<'s, str>)>,
    /// The fields that have a point where the decimal mark is a comma, and what is wrong with each.
    pub pointed: Vec<(&'static str, String)>,
}

impl<'s> Row<'s> {
    /// Reads a row. Names stay as they are; the white space around other fields is left out.
    pub fn read(row: &'s SheetRow<'_>, columns: &Columns, address: &Address) -> Self {
        let comma = address.options.decimal_comma;
        let (mut fields, mut pointed) = (Vec::new(), Vec::new());
        for (column, cell) in columns.all.iter().zip(&row.cells) {
            let Column::Field(name) = *column else { continue };
            let text = unguarded(cell, comma);
            if text.trim().is_empty() {
                continue;
            }
            let text = if NAMES.contains(&name) { text } else { text.trim() };
            let has_marks = comma && text.contains([',', '.']) && !NAMES.contains(&name) && !DAYS.contains(&name);
            let read = if has_marks { with_point(name, text).map(Cow::Owned) } else { Ok(Cow::Borrowed(text)) };
            fields.push((name, read.as_ref().map_or(Cow::Borrowed(text), Cow::clone)));
            pointed.extend(read.err().map(|wrong| (name, wrong)));
        }
        Self { fields, pointed }
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
