//! One table: columns that are empty throughout are left out, a unit that is the same all the way down moves into the head,
//! numbers stand at the right and are never broken, words are wrapped and never cut.

use comfy_table::presets::NOTHING;
use comfy_table::{CellAlignment, Column, ColumnConstraint, ContentArrangement, LineStyle, Table};

use super::words::Shown;

/// The widest line of a page.
pub(super) const PAGE: u16 = 100;
/// The widest line of running text.
pub(super) const TEXT: u16 = 96;

/// What stands in a cell.
#[derive(Debug, Clone)]
pub(super) enum Cell {
    Words(String),
    Number(Shown),
}

/// What stands in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Text and times: left, wrapped where the page is too narrow.
    Words,
    /// Digits and units: right, never broken.
    Number,
}

/// A table in the making.
#[derive(Debug)]
pub(super) struct Grid {
    heads: Vec<(&'static str, Kind)>,
    rows: Vec<Vec<Cell>>,
}

impl Grid {
    /// The heads of the columns; a line break in a head is kept.
    pub(super) fn new(heads: &[(&'static str, Kind)]) -> Self {
        Self { heads: heads.to_vec(), rows: Vec::new() }
    }

    /// Adds a row with a cell for each head.
    pub(super) fn row<const N: usize>(&mut self, cells: [Cell; N]) {
        self.rows.push(cells.into());
    }

    /// The table, or nothing when it has no rows. Ranges go under their values when the line would be too long otherwise.
    pub(super) fn render(&self) -> String {
        if self.rows.is_empty() {
            return String::new();
        }
        let columns: Vec<Written> =
            self.heads.iter().enumerate().filter_map(|(place, head)| self.column(place, *head)).collect();
        let wide = table(&columns, false);
        if natural_width(&wide) <= usize::from(PAGE) {
            return trimmed(&wide);
        }
        let mut narrow = table(&columns, true);
        narrow.set_content_arrangement(ContentArrangement::Dynamic).set_width(PAGE);
        trimmed(&narrow)
    }

    /// One column as text; none when all its cells are empty.
    fn column(&self, place: usize, (head, kind): (&'static str, Kind)) -> Option<Written> {
        let cells: Vec<&Cell> = self.rows.iter().filter_map(|row| row.get(place)).collect();
        let mut units = cells.iter().filter_map(|cell| match cell {
            Cell::Number(shown) if !shown.digits.is_empty() => Some(shown.unit.as_str()),
            _ => None,
        });
        let first = units.next().unwrap_or_default();
        let same = units.all(|unit| unit == first);
        let written: Vec<String> = cells.into_iter().map(|cell| text(cell, same)).collect();
        if written.iter().all(String::is_empty) {
            return None;
        }
        let head = if same && !first.is_empty() { format!("{head}\n{first}") } else { head.to_owned() };
        Some(Written { head, kind, cells: written })
    }
}

/// A column as text.
struct Written {
    head: String,
    kind: Kind,
    cells: Vec<String>,
}

fn text(cell: &Cell, unit_in_head: bool) -> String {
    match cell {
        Cell::Words(words) => words.clone(),
        Cell::Number(shown) if unit_in_head => Shown { unit: String::new(), ..shown.clone() }.sentence(),
        Cell::Number(shown) => shown.sentence(),
    }
}

fn table(columns: &[Written], fold_ranges: bool) -> Table {
    let mut table = plain();
    table.style_mut().header_separator = LineStyle::none().fill('─');
    table.set_header(columns.iter().map(|column| column.head.as_str()));
    let depth = columns.iter().map(|column| column.cells.len()).max().unwrap_or(0);
    for line in 0..depth {
        table.add_row(columns.iter().map(|column| {
            let cell = column.cells.get(line).map(String::as_str).unwrap_or_default();
            if fold_ranges && column.kind == Kind::Number { cell.replacen(" (", "\n(", 1) } else { cell.to_owned() }
        }));
    }
    for (place, (column, written)) in table.column_iter_mut().zip(columns).enumerate() {
        column.set_padding((if place == 0 { 0 } else { 2 }, 0));
        if written.kind == Kind::Number {
            column.set_cell_alignment(CellAlignment::Right);
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    table
}

/// Words in columns without heads or lines, as wide as running text: the last column is wrapped.
/// `gap` is the white space between columns.
pub(super) fn paragraphs(rows: &[Vec<String>], gap: u16) -> String {
    let mut table = plain();
    table.set_content_arrangement(ContentArrangement::Dynamic).set_width(TEXT);
    for row in rows {
        table.add_row(row);
    }
    let last = table.column_iter().count().saturating_sub(1);
    for (place, column) in table.column_iter_mut().enumerate() {
        column.set_padding((if place == 0 { 0 } else { gap }, 0));
        if place < last {
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    trimmed(&table)
}

fn plain() -> Table {
    let mut table = Table::new();
    table.load_style(NOTHING).set_content_arrangement(ContentArrangement::Disabled);
    table
}

fn natural_width(table: &Table) -> usize {
    let padding: u16 = table.column_iter().map(Column::padding_width).sum();
    table.column_max_content_widths().into_iter().map(usize::from).sum::<usize>().saturating_add(padding.into())
}

fn trimmed(table: &Table) -> String {
    table.trim_fmt()
}
