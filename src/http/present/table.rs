//! Tables with named, typed columns.
//!
//! A column has a name for data (CSV) and a heading for readers (text, HTML); without one of them it is left out there.

use super::units::in_unit_of;
use crate::garden::interrupt::check;
use crate::http::output::{InContainers, Number, QuantityOut};
use chrono::{DateTime, FixedOffset, NaiveDate};
use std::borrow::Cow;

/// What a cell holds.
#[must_use]
#[derive(Debug, Clone)]
pub enum Cell {
    /// Nothing.
    Nothing,
    /// Words.
    Text(String),
    /// A count.
    Count(u64),
    /// A number with its unit, and its bounds where there are any. Boxed, since most cells of a wide table hold nothing.
    Quantity(Box<QuantityOut>),
    /// The same amount in containers of the caller's.
    Containers(InContainers),
    /// Numbers, each with the words that follow it.
    Phrases(Vec<(Number, String)>),
    /// A day.
    Date(NaiveDate),
    /// A moment.
    Moment(DateTime<FixedOffset>),
    /// What is written as data, and what is written for readers.
    Either(Box<Cell>, Box<Cell>),
}

impl Cell {
    /// The cell as data.
    pub fn data(&self) -> &Self {
        if let Self::Either(data, _) = self { data } else { self }
    }

    /// The cell for readers.
    pub fn read(&self) -> &Self {
        if let Self::Either(_, read) = self { read } else { self }
    }

    /// The quantity for readers, where it is one.
    fn quantity(&self) -> Option<&QuantityOut> {
        if let Self::Quantity(quantity) = self.read() { Some(quantity) } else { None }
    }

    /// One cell as data, another for readers.
    pub fn either(data: impl Into<Self>, read: impl Into<Self>) -> Self {
        Self::Either(Box::new(data.into()), Box::new(read.into()))
    }

    /// Phrases in one line, each number written so.
    pub fn phrases(list: &[(Number, String)], write: impl Fn(String) -> String) -> String {
        let one = |(number, words): &(Number, String)| format!("{} {words}", write(number.to_string()));
        list.iter().map(one).collect::<Vec<_>>().join("; ")
    }

    /// `yes`, or nothing.
    pub fn yes(is: bool) -> Self {
        if is { "yes".into() } else { Self::Nothing }
    }
}

macro_rules! cells {
    ($($value:ident: $type:ty => $cell:expr;)*) => {$(
        impl From<$type> for Cell {
            fn from($value: $type) -> Self {
                $cell
            }
        }
    )*};
}

cells! {
    text: String => if text.is_empty() { Self::Nothing } else { Self::Text(text) };
    text: &str => text.to_owned().into();
    text: &String => text.clone().into();
    text: &Option<String> => text.as_ref().into();
    quantity: QuantityOut => Self::Quantity(Box::new(quantity));
    quantity: &QuantityOut => quantity.clone().into();
    quantity: &Option<QuantityOut> => quantity.as_ref().into();
    containers: &InContainers => Self::Containers(containers.clone());
    phrases: Vec<(Number, String)> => if phrases.is_empty() { Self::Nothing } else { Self::Phrases(phrases) };
    date: NaiveDate => Self::Date(date);
    count: u64 => Self::Count(count);
    count: u32 => Self::Count(count.into());
    count: u8 => Self::Count(count.into());
    count: usize => Self::Count(u64::try_from(count).unwrap_or(u64::MAX));
}

impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Nothing, Into::into)
    }
}

/// What a column holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// Words, dates and moments.
    Words,
    /// Sentences with numbers in them, which data write with the decimal mark that is asked for.
    Sentences,
    /// Words that need a small print only.
    Fine,
    /// An id with dots and underscores.
    Id,
    /// Counts.
    Count,
    /// Quantities in one unit.
    Quantity {
        /// The unit in which they are written as data.
        unit: Cow<'static, str>,
        /// Whether data have columns for the bounds.
        bounds: bool,
    },
    /// The same amount in the caller's containers: the names of all in which one of its cells is counted.
    Containers(Vec<String>),
}

impl Kind {
    /// Whether it holds numbers.
    #[must_use]
    pub const fn is_number(&self) -> bool {
        matches!(self, Self::Count | Self::Quantity { .. })
    }
}

/// A column.
#[must_use]
#[derive(Debug, Clone)]
pub struct Column {
    /// Its name in data; empty where it is no data.
    pub name: &'static str,
    /// Its heading for readers; a column without one is for data only.
    pub heading: Option<&'static str>,
    /// What it holds.
    pub kind: Kind,
    /// Whether a page prints it small below the column before.
    pub below: bool,
    /// Whether a short text leaves it out where there is no room for all columns.
    pub if_room: bool,
    /// Whether it keeps its ranges in a text that has no room for all of them.
    pub is_main: bool,
    /// Who reads it.
    pub audience: For,
}

impl Column {
    const fn new(name: &'static str, heading: Option<&'static str>, kind: Kind) -> Self {
        Self { name, heading, kind, below: false, if_room: false, is_main: false, audience: For::Everyone }
    }

    /// Words, for data only.
    pub const fn data(name: &'static str) -> Self {
        Self::new(name, None, Kind::Words)
    }

    /// Quantities in a unit, for data only.
    pub fn data_in(name: &'static str, unit: impl Into<Cow<'static, str>>) -> Self {
        Self::new(name, None, Kind::Quantity { unit: unit.into(), bounds: false })
    }

    /// Words.
    pub const fn words(name: &'static str, heading: &'static str) -> Self {
        Self::new(name, Some(heading), Kind::Words)
    }

    /// Its words are sentences with numbers in them.
    pub fn sentences(mut self) -> Self {
        self.kind = Kind::Sentences;
        self
    }

    /// Words in small print, for readers only.
    pub const fn fine(heading: &'static str) -> Self {
        Self::new("", Some(heading), Kind::Fine)
    }

    /// Ids, for readers only.
    pub const fn id(heading: &'static str) -> Self {
        Self::new("", Some(heading), Kind::Id)
    }

    /// Counts.
    pub const fn count(name: &'static str, heading: &'static str) -> Self {
        Self::new(name, Some(heading), Kind::Count)
    }

    /// Quantities in a unit.
    pub fn quantity(name: &'static str, heading: &'static str, unit: impl Into<Cow<'static, str>>) -> Self {
        Self::new(name, Some(heading), Kind::Quantity { unit: unit.into(), bounds: false })
    }

    /// Quantities for readers only.
    pub fn shown(heading: &'static str) -> Self {
        Self::quantity("", heading, "")
    }

    /// Data have columns for the bounds too.
    pub fn bounded(mut self) -> Self {
        if let Kind::Quantity { bounds, .. } = &mut self.kind {
            *bounds = true;
        }
        self
    }

    /// It keeps its ranges in a text that has no room for all of them.
    pub const fn main(mut self) -> Self {
        self.is_main = true;
        self
    }

    /// The same amount in the caller's containers.
    pub const fn containers(name: &'static str) -> Self {
        Self::new(name, Some("in containers"), Kind::Containers(Vec::new())).below()
    }

    /// The same amount in the caller's containers, for data only.
    pub fn data_containers(name: &'static str) -> Self {
        Self { heading: None, ..Self::containers(name) }
    }

    /// Who reads it: a short text leaves out what is for pages or long texts, a page what is for long texts.
    pub const fn only_for(mut self, audience: For) -> Self {
        self.audience = audience;
        self
    }

    /// A short text without room for all columns leaves it out: what it says follows from others.
    pub const fn if_room(mut self) -> Self {
        self.if_room = true;
        self
    }

    /// A page prints it small below the column before.
    pub const fn below(mut self) -> Self {
        self.below = true;
        self
    }
}

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

/// Who a table is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum For {
    /// Every form.
    Everyone,
    /// Pages and long texts, and data where it has a name.
    Page,
    /// Long texts, and data where it has a name.
    Long,
    /// Data alone.
    Data,
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
