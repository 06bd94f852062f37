//! Tables with named, typed columns.

mod cell;
mod column;

pub use cell::Cell;
pub use column::{Column, For, Kind};

use super::units::in_unit_of;
use crate::garden::interrupt::check;
use crate::http::output::{InContainers, QuantityOut};

/// A row.
#[derive(Debug, Default)]
pub struct Row {
    /// Its place among the rows of its table.
    place: usize,
    /// The item of the request that it is about; empty where it is about none.
    pub pointer: String,
    /// What that item is called.
    pub name: String,
    /// Whether it is a sum for readers, which data leave out.
    pub is_sum: bool,
    /// Whether it is for data only.
    pub is_data: bool,
    /// Whether a page stresses its name.
    pub is_stressed: bool,
    /// The heading of the rows that begin with it.
    pub group: Option<String>,
}

/// A table.
#[must_use]
#[derive(Debug)]
pub struct Table {
    /// The name by which it is asked for as data; empty where it is for readers only.
    pub name: &'static str,
    /// What a text says of the rows that it leaves out: what one of them is called, and several.
    pub rows_are: [&'static str; 2],
    /// Who it is for.
    pub audience: For,
    /// The heading that readers see before it; empty where that is nothing.
    pub caption: &'static str,
    /// Whether a page gives each row a box to tick.
    pub to_tick: bool,
    /// Whether its rows are about items of the request.
    pub is_of_items: bool,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// The cells of each column, up to the last that holds anything: many columns of a wide table are empty.
    cells: Vec<Vec<Cell>>,
}

impl Table {
    /// The cell of a row in the column at this place.
    pub fn cell(&self, row: &Row, column: usize) -> &Cell {
        self.cells.get(column).and_then(|cells| cells.get(row.place)).unwrap_or(&Cell::Nothing)
    }
}

/// The unit of volumes that people read in two units, of which a row has one.
const OF_VOLUMES: &str = "ft3";

/// The largest volume of each row, whose unit all volumes of the row have.
fn largest(columns: &[(&Column, &mut Vec<Cell>)], rows: usize) -> Vec<Option<QuantityOut>> {
    let of_row = |row: usize| {
        let amounts = columns.iter().filter_map(|(_, cells)| cells.get(row)?.quantity());
        let volumes = amounts.filter(|amount| amount.unit == OF_VOLUMES && !is_nothing(amount));
        volumes.max_by(|a, b| a.value.get().abs().total_cmp(&b.value.get().abs())).cloned()
    };
    (0..rows).map(of_row).collect()
}

/// Writes all cells of a column that readers get in units for people, a volume in that of its row; a zero has the unit of another amount of
/// the row or the column.
fn write_for_people(rows: &[Row], cells: &mut [Cell], largest: &[Option<QuantityOut>]) {
    let read = rows.iter().zip(&*cells).filter(|(row, _)| !row.is_data).filter_map(|(_, cell)| cell.quantity());
    let mut amounts = read.filter(|amount| !is_nothing(amount));
    let first = amounts.next().cloned();
    for (cell, of_row) in cells.iter_mut().zip(largest) {
        check();
        let of_row = |amount: &QuantityOut| of_row.as_ref().filter(|largest| largest.unit == amount.unit);
        let of_column = |amount: &QuantityOut| first.as_ref().filter(|_| is_nothing(amount));
        let read = cell
            .quantity()
            .and_then(|amount| in_unit_of(amount, of_row(amount).or_else(|| of_column(amount)).unwrap_or(amount)));
        if let Some(read) = read {
            *cell = Cell::either(cell.data().clone(), read);
        }
    }
}

/// Whether it is nothing, in any unit.
fn is_nothing(amount: &QuantityOut) -> bool {
    amount.value.get() == 0.0
}

/// The containers in which the cells of a column are counted, in the order of the request: the longest list, since a cell without a mass has
/// fewer.
fn all_containers(cells: &[Cell]) -> Vec<String> {
    let lists = cells.iter().filter_map(|cell| if let Cell::Containers(list) = cell { Some(list) } else { None });
    let longest = lists.max_by_key(|list| list.iter().count());
    longest.into_iter().flat_map(InContainers::iter).map(|count| count.unit.to_string()).collect()
}

/// A table in the making: items, and for each column what it takes of them.
#[must_use]
#[derive(Debug)]
pub struct Rows<T> {
    items: Vec<T>,
    table: Table,
}

impl<T> Rows<T> {
    /// A table with a row for each of these items. `rows_are` says what one of the rows is called, and several.
    pub fn of(items: impl IntoIterator<Item = T>, rows_are: [&'static str; 2]) -> Self {
        let items: Vec<T> = items.into_iter().collect();
        let rows = (0..items.len()).map(|place| Row { place, ..Row::default() }).collect();
        let table = Table {
            name: "",
            rows_are,
            audience: For::Everyone,
            caption: "",
            to_tick: false,
            is_of_items: false,
            columns: Vec::new(),
            rows,
            cells: Vec::new(),
        };
        Self { items, table }
    }

    /// The table is data of this name.
    pub const fn named(mut self, name: &'static str) -> Self {
        self.table.name = name;
        self
    }

    /// Who it is for.
    pub const fn only_for(mut self, audience: For) -> Self {
        self.table.audience = audience;
        self
    }

    /// The heading that readers see before it.
    pub const fn captioned(mut self, caption: &'static str) -> Self {
        self.table.caption = caption;
        self
    }

    /// A page gives each row a box to tick.
    pub const fn to_tick(mut self) -> Self {
        self.table.to_tick = true;
        self
    }

    /// Says of each row which item of the request it is about (its list and its position) and what that is called.
    pub fn about(mut self, item: impl Fn(&T) -> (&'static str, usize, String)) -> Self {
        for (row, of) in self.table.rows.iter_mut().zip(&self.items) {
            let (list, index, name) = item(of);
            (row.pointer, row.name) = (format!("/{list}/{index}"), name);
        }
        self.table.is_of_items = true;
        self
    }

    /// Says more of each row.
    pub fn mark(mut self, mut mark: impl FnMut(&T, &mut Row)) -> Self {
        self.table.rows.iter_mut().zip(&self.items).for_each(|(row, item)| mark(item, row));
        self
    }

    /// Adds a column.
    pub fn column<C: Into<Cell>>(mut self, mut column: Column, cell: impl Fn(&T) -> C) -> Self {
        let cell = |item| {
            check();
            cell(item).into()
        };
        let mut cells: Vec<Cell> = self.items.iter().map(cell).collect();
        if let Kind::Containers(names) = &mut column.kind {
            *names = all_containers(&cells);
        }
        let filled = cells.iter().rposition(|cell| !matches!(cell, Cell::Nothing)).map_or(0, |last| last + 1);
        cells.truncate(filled);
        cells.shrink_to_fit();
        self.table.cells.push(cells);
        self.table.columns.push(column);
        self
    }

    /// Adds a sum below the rows, for readers: the cells of the columns that it has.
    pub fn sum(mut self, cells: impl IntoIterator<Item = (&'static str, Cell)>) -> Self {
        let mut sums: Vec<(&str, Cell)> = cells.into_iter().collect();
        let place = self.table.rows.len();
        for (column, cells) in self.table.columns.iter().zip(&mut self.table.cells) {
            if let Some(sum) = sums.iter().position(|(heading, _)| column.heading == Some(*heading)) {
                cells.resize(place, Cell::Nothing);
                cells.push(sums.swap_remove(sum).1);
            }
        }
        self.table.rows.push(Row { place, is_sum: true, ..Row::default() });
        self
    }

    /// The table, with the units that readers get.
    pub fn done(mut self) -> Table {
        let Table { columns, cells, rows, .. } = &mut self.table;
        let read = columns.iter().zip(cells).filter(|(column, _)| column.heading.is_some());
        let mut read: Vec<(&Column, &mut Vec<Cell>)> = read.collect();
        let largest = largest(&read, rows.len());
        read.iter_mut().for_each(|(_, cells)| write_for_people(rows, cells, &largest));
        self.table
    }
}
