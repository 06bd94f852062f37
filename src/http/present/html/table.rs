//! Tables of a page.

use crate::garden::interrupt::check;
use crate::http::present::counted::containers;
use crate::http::present::isolated::{isolated, prose};
use crate::http::present::moments::moment;
use crate::http::present::table::{Cell, Column, For, Kind, Row, Table};
use crate::http::present::words::{cell, day};
use maud::{Markup, html};

/// The columns that have anything to show, each with those printed below it.
fn columns(table: &Table) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (place, column) in table.columns.iter().enumerate() {
        let is_empty = table.rows.iter().all(|row| text(table.cell(row, place)).is_empty());
        if column.heading.is_none() || is_empty || !matches!(column.audience, For::Everyone | For::Page) {
            continue;
        }
        match groups.last_mut() {
            Some(group) if column.below => group.push(place),
            _ => groups.push(vec![place]),
        }
    }
    groups
}

/// Tables of at most so many columns fit everywhere.
const FEW: usize = 3;
/// Tables of more columns than this are printed smaller.
const NARROW: usize = 7;

/// A table as its readers see it.
pub(super) fn table(of: &Table) -> Markup {
    let groups = columns(of);
    let head = |group: &Vec<usize>| group.first().and_then(|place| of.columns.get(*place));
    let width = groups.len() + usize::from(of.to_tick);
    html! {
        @if !of.rows.iter().all(|row| row.is_data) {
            @if !of.caption.is_empty() { p.lead { (of.caption) } }
            table class=[(width > FEW).then_some(if width > NARROW { "wide" } else { "some" })] {
                thead {
                    tr {
                        @if of.to_tick { td.k {} }
                        @for column in groups.iter().filter_map(head) { (column_heading(column)) }
                    }
                }
                @for rows in of.rows.chunk_by(|_, next| next.group.is_none()) {
                    tbody class=[rows.iter().any(|row| row.group.is_some()).then_some("week")] {
                        @if let Some(group) = rows.first().and_then(|row| row.group.as_ref()) {
                            tr { th colspan=(width) scope="rowgroup" { (group) } }
                        }
                        @for row in rows.iter().filter(|row| !row.is_data) { (line((of, row), &groups)) }
                    }
                }
            }
        }
    }
}

/// The head of a column; an empty one is no heading.
fn column_heading(column: &Column) -> Markup {
    let heading = column.heading.unwrap_or_default().replace('\n', " ");
    html! {
        @if heading.is_empty() { td {} } @else { th class=[class(&column.kind).filter(|class| *class == "n")] scope="col" { (heading) } }
    }
}

fn line((of, row): (&Table, &Row), groups: &[Vec<usize>]) -> Markup {
    check();
    html! {
        tr {
            @if of.to_tick { td.k { @if !row.is_sum { span.tick {} } } }
            @for (place, group) in groups.iter().enumerate() {
                @let cells = group.iter().filter_map(|place| Some((of.columns.get(*place)?, of.cell(row, *place))));
                @let filled: Vec<(&Column, &Cell)> = cells.collect();
                @let first = filled.first();
                // The first cell of a row is its name.
                @let heading = first.filter(|(_, cell)| place > 0 && !text(cell).is_empty()).and_then(|(column, _)| column.heading);
                td class=[first.and_then(|(column, _)| class(&column.kind))] data-of=[heading.filter(|of| !of.is_empty()).map(|of| of.replace('\n', " "))] {
                    @for (i, (column, cell)) in filled.iter().enumerate() { (piece(column, cell, (i, row))) }
                }
            }
        }
    }
}

/// How a page prints a column.
fn class(kind: &Kind) -> Option<&'static str> {
    match kind {
        Kind::Count | Kind::Quantity { .. } => Some("n"),
        Kind::Id => Some("id"),
        Kind::Fine => Some("small"),
        Kind::Words | Kind::Sentences | Kind::Containers(_) => None,
    }
}

/// A cell, or a piece of small print below it.
fn piece(column: &Column, cell: &Cell, (index, row): (usize, &Row)) -> Markup {
    let text = text(cell);
    html! {
        @if text.is_empty() {
        } @else if index > 0 {
            br; span.small { @if matches!(column.kind, Kind::Containers(_)) { (number(&text, false)) } @else { (isolated(&text)) } }
        } @else if column.kind == Kind::Id {
            @for part in text.split_inclusive(['.', '_']) { (part) wbr; }
        } @else if class(&column.kind) == Some("n") {
            (number(&text, row.is_sum))
        } @else if row.is_sum {
            i { (isolated(&text)) }
        } @else if row.is_stressed && text == row.name {
            b { (isolated(&text)) }
        } @else if matches!(column.kind, Kind::Sentences | Kind::Fine) || matches!(cell, Cell::Phrases(_) | Cell::Either(..)) {
            (prose(&text))
        } @else {
            (isolated(&text))
        }
    }
}

/// A number with its unit or container; a narrow column breaks the line before the range and nowhere else.
fn number(text: &str, is_sum: bool) -> Markup {
    let (value, range) = text.split_once(" (").map_or((text, None), |(value, range)| (value, Some(range)));
    let whole = html! { span.q { (isolated(value)) } @if let Some(range) = range { " " span.q { "(" (range) } } };
    html! { @if is_sum { i { (whole) } } @else { (whole) } }
}

/// A cell for readers.
fn text(of: &Cell) -> String {
    match of.read() {
        Cell::Nothing | Cell::Either(..) => String::new(),
        Cell::Text(text) => text.clone(),
        Cell::Phrases(list) => Cell::phrases(list, |number| number),
        Cell::Count(count) => count.to_string(),
        Cell::Quantity(quantity) => cell(quantity),
        Cell::Containers(list) => containers(list.iter()).unwrap_or_default(),
        Cell::Date(date) => day(*date),
        Cell::Moment(at) => moment(*at),
    }
}
