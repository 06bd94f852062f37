//! An answer as a page: one sheet, no scripts, nothing from elsewhere, quiet and print-first. It fits A4 and Letter, and a phone.

use super::table::{Cell, Column, For, Kind, Row, Table};
use super::words::{cell, containers, day, moment};
use super::{Description, Part, ToDo, notes};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Black on white, one column, tables with thin rules; numbers right. No colour carries a meaning.
const STYLE: &str = "\
@page{margin:15mm}\
*{box-sizing:border-box}\
body{font:11pt/1.45 Georgia,'Times New Roman',serif;color:#111;background:#fff;max-width:44em;margin:1.5em auto;padding:0 1em}\
h1{font-size:1.5em;line-height:1.2;margin:0 0 .2em;overflow-wrap:anywhere}\
h2{font-size:1.05em;margin:1.6em 0 .4em;border-bottom:1px solid #111;break-after:avoid;overflow-wrap:anywhere}\
h3{font-size:1em;margin:1.2em 0 .3em;break-after:avoid;overflow-wrap:anywhere}\
figure{margin:1em 0;max-width:38em;break-inside:avoid}\
.chart{display:block;width:100%;height:auto}\
p,li{overflow-wrap:anywhere}\
p{margin:.4em 0}\
.small{font-size:.85em;color:#333}\
table{border-collapse:collapse;width:100%}\
th,td{text-align:left;vertical-align:top;padding:.25em .6em .25em 0;border-bottom:1px solid #bbb;overflow-wrap:anywhere}\
th{font-weight:normal;font-style:italic;border-bottom-color:#111}\
.n{text-align:right}\
.q{white-space:nowrap}\
td:not(.n):not(.k){min-width:7em}\
.wide{font-size:.8em}\
th,.n{overflow-wrap:normal}\
.n+:not(.n){padding-left:.6em}\
.id{overflow-wrap:break-word}\
.week{break-inside:avoid}\
.lead{break-after:avoid}\
thead{break-after:avoid}\
tr{break-inside:avoid}\
ul{padding-left:1.2em;margin:.4em 0}\
li{margin:.3em 0;break-inside:avoid}\
.tasks{list-style:none;padding-left:0}\
.tasks li{padding-left:1.5em;text-indent:-1.5em}\
.tasks .small{text-indent:0}\
.tick{display:inline-block;width:.9em;height:.9em;border:1px solid #111;vertical-align:-.1em}\
@media(max-width:34em){body{font-size:10.5pt}th,td{padding-right:.35em}td:not(.n):not(.k){min-width:5em}.q{white-space:normal}}\
@media print{body{margin:0;padding:0;max-width:none;font-size:10pt}}";

/// The page.
#[must_use]
pub fn render(description: &Description<'_>) -> String {
    let title = &description.title;
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { (title) }
                @if !description.subtitle.is_empty() { p.small { (description.subtitle) } }
                @for one in &description.parts { (part(one)) }
                (ending(description))
                p.small { "Computed with " (crate::http::output::COMPUTED_WITH) ". Figures in brackets are the lower and upper bound." }
            }
        }
    };
    markup.into_string()
}

fn part(part: &Part) -> Markup {
    html! {
        @match part {
            Part::Heading(text) => h2 { (text) },
            Part::Subheading(text) => h3 { (text) },
            Part::Paragraph { stressed, text } => p { @if !stressed.is_empty() { b { (stressed) } " " } (text) },
            Part::List(points) => ul { @for point in points { li { (point) } } },
            Part::Tasks(tasks) => ul.tasks { @for task in tasks { (to_do(task)) } },
            Part::Details => {},
            Part::Chart(of) => figure { (PreEscaped(of.figure())) },
            Part::Table(of) => @if matches!(of.audience, For::Everyone | For::Page) { (table(of)) },
        }
    }
}

/// A task with a box to tick.
fn to_do(task: &ToDo) -> Markup {
    html! {
        li {
            span.tick {} " " b { (task.when) } ": " (task.what)
            @if !task.mind.is_empty() { br; span.small { (task.mind.join("; ")) } }
        }
    }
}

/// Explanations, cautions and assumptions.
fn ending(description: &Description<'_>) -> Markup {
    html! {
        @if !description.explanations.is_empty() {
            h2 { "How it is computed" }
            p.small { (notes::OF_FORMULAS) }
            (table(&notes::explanations(description.explanations)))
        }
        h2 { "Cautions" }
        ul {
            @for caution in description.cautions {
                @let places = notes::places(caution, description);
                li {
                    b { (caution.severity) ": " (caution.heading) "." } " " (caution.text) @if !places.is_empty() { " " i { (places) "." } }
                    " " span.small { "[" (caution.source) "]" }
                }
            }
        }
        h2 { "Assumptions" }
        @if description.assumptions.is_empty() { p { "None." } }
        (table(&notes::assumptions(description.assumptions)))
    }
}

/// The columns that have anything to show, each with those printed below it.
fn columns(table: &Table) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (place, column) in table.columns.iter().enumerate() {
        let is_empty = table.rows.iter().all(|row| row.cells.get(place).is_none_or(|cell| text(cell).is_empty()));
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

/// Tables of more columns than this are printed smaller.
const NARROW: usize = 7;

fn table(of: &Table) -> Markup {
    let groups = columns(of);
    let head = |group: &Vec<usize>| group.first().and_then(|place| of.columns.get(*place));
    let width = groups.len() + usize::from(of.to_tick);
    html! {
        @if !of.rows.iter().all(|row| row.is_data) {
            @if !of.caption.is_empty() { p.lead { (of.caption) } }
            table class=[(width > NARROW).then_some("wide")] {
                thead {
                    tr {
                        @if of.to_tick { td.k {} }
                        @for column in groups.iter().filter_map(head) {
                            th class=[class(&column.kind).filter(|class| *class == "n")] { (column.heading.unwrap_or_default().replace('\n', " ")) }
                        }
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

fn line((of, row): (&Table, &Row), groups: &[Vec<usize>]) -> Markup {
    html! {
        tr {
            @if of.to_tick { td.k { @if !row.is_sum { span.tick {} } } }
            @for group in groups {
                @let cells = group.iter().filter_map(|place| of.columns.get(*place).zip(row.cells.get(*place)));
                @let filled: Vec<(&Column, &Cell)> = cells.collect();
                td class=[filled.first().and_then(|(column, _)| class(&column.kind))] {
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
        Kind::Words | Kind::Containers(_) => None,
    }
}

/// A cell, or a piece of small print below it.
fn piece(column: &Column, cell: &Cell, (index, row): (usize, &Row)) -> Markup {
    let text = text(cell);
    html! {
        @if text.is_empty() {
        } @else if index > 0 {
            br; span.small { (text) }
        } @else if column.kind == Kind::Id {
            @for part in text.split_inclusive(['.', '_']) { (part) wbr; }
        } @else if class(&column.kind) == Some("n") {
            (number(&text, row.is_sum))
        } @else if row.is_sum {
            i { (text) }
        } @else if row.is_stressed && text == row.name {
            b { (text) }
        } @else {
            (text)
        }
    }
}

/// A number with its unit; a narrow column breaks the line before the range and nowhere else.
fn number(text: &str, is_sum: bool) -> Markup {
    let (value, range) = text.split_once(" (").map_or((text, None), |(value, range)| (value, Some(range)));
    let whole = html! { span.q { (value) } @if let Some(range) = range { " " span.q { "(" (range) } } };
    html! { @if is_sum { i { (whole) } } @else { (whole) } }
}

/// A cell for readers.
fn text(of: &Cell) -> String {
    match of.read() {
        Cell::Nothing | Cell::Either(..) => String::new(),
        Cell::Text(text) => text.clone(),
        Cell::Count(count) => count.to_string(),
        Cell::Quantity(quantity) => cell(quantity),
        Cell::Containers(list) => containers(list),
        Cell::Date(date) => day(*date),
        Cell::Moment(at) => format!("{} {}", moment(*at), at.offset()),
    }
}
