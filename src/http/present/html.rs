//! An answer as a page: one sheet, no scripts, nothing from elsewhere, quiet and print-first. It fits A4 and Letter, and a phone.

use super::isolated::isolated;
use super::moments::moment;
use super::table::{Cell, Column, For, Kind, Row, Table};
use super::unbroken::unbroken;
use super::words::{cell, containers, day, legible};
use super::{Description, Label, Part, TableToFillIn, TaskLine, notes};
use crate::garden::interrupt::check;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// How the page looks.
const STYLE: &str = include_str!("page.css");

/// A table of these classes on a screen of at most this width becomes a list of its rows, each cell after the heading of its column:
/// nothing is squeezed, and nothing is wider than the screen.
const STACKED: [(&str, &str); 2] = [(".some", "44em"), (".wide", "62em")];

/// The rules of stacked tables.
fn stacked((of, width): (&str, &str)) -> String {
    const RULES: &str = "\
{},{} tbody,{} tr,{} th,{} td{display:block;width:auto}\
{}{font-size:1em}\
{} thead{display:none}\
{} tr{border-bottom:1px solid #bbb;padding:.4em 0}\
{} th{border:0;padding-top:.8em}\
{} td,{} .n+td{border:0;padding:.05em 0;text-align:left;min-width:0}\
{} td.n{display:inline-block;margin-right:1.2em}\
{} td.k{float:left;padding-right:.6em}\
{} td:empty{display:none}\
{} .q{white-space:normal}\
{} td[data-of]::before{content:attr(data-of) ': ';font-style:italic}";
    format!("@media screen and (max-width:{width}){{{}}}", RULES.replace("{}", of))
}

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
                style { (PreEscaped(STYLE)) @for of in STACKED { (PreEscaped(stacked(of))) } }
            }
            body {
                main {
                    h1 { (title) }
                    @if !description.subtitle.is_empty() { p.small { (description.subtitle) } }
                    @for one in &description.parts { (part(one)) }
                    div.fine { (ending(description)) }
                }
                footer.small { "Computed with " (crate::http::output::COMPUTED_WITH) ". Figures in brackets are the lower and upper bound." }
            }
        }
    };
    legible(markup.into_string())
}

fn part(part: &Part) -> Markup {
    html! {
        @match part {
            Part::Heading(text) => h2 { (text) },
            Part::Subheading(text) => h3 { (text) },
            Part::Paragraph { stressed, text } => p { @if !stressed.is_empty() { b { (isolated(stressed)) } " " } (prose(text)) },
            Part::List(points) => ul { @for point in points { li { (prose(point)) } } },
            Part::Hint { words, .. } => p { (words) "." },
            Part::Lines(lines) => ul { @for (name, texts) in lines { li { b { (isolated(name)) } ": " (prose(&texts.join("; "))) } } },
            Part::Tasks(tasks) => ul.tasks { @for task in tasks { (task_line(task)) } },
            Part::Plan { heading, weeks } => (plan(heading, weeks)),
            Part::Labels(labels) => (cut_outs(labels)),
            Part::ToFillIn { heading, about, tables } => (to_fill_in(heading, about, tables)),
            Part::Details => {},
            Part::Chart(of) => figure class=[of.is_in_parts().then_some("parts")] { (PreEscaped(of.figure())) },
            Part::Table(of) => @if matches!(of.audience, For::Everyone | For::Page) { (table(of)) },
        }
    }
}

/// A sentence: a line is not broken within an amount.
fn prose(text: &str) -> Markup {
    isolated(&unbroken(text))
}

/// Weeks with their tasks, in columns where there is room.
fn plan(heading: &str, weeks: &[(String, Vec<TaskLine>)]) -> Markup {
    html! {
        @if !weeks.is_empty() {
            h2 { (heading) }
            div.plan {
                @for (week, tasks) in weeks {
                    div.week { h3 { (week) } ul.tasks { @for task in tasks { (task_line(task)) } } }
                }
            }
        }
    }
}

/// Labels with dashed lines to cut along.
fn cut_outs(labels: &[Label]) -> Markup {
    html! {
        @if !labels.is_empty() {
            h2 { "Labels to cut out" }
            div.labels {
                @for label in labels {
                    div.label { b { (isolated(&label.name)) } @for line in &label.lines { div { (isolated(line)) } } }
                }
            }
        }
    }
}

/// Tables with empty cells to write in.
fn to_fill_in(heading: &str, about: &str, tables: &[TableToFillIn]) -> Markup {
    html! {
        @if !tables.is_empty() {
            h2 { (heading) }
            p { (about) }
            @for of in tables {
                h3 { (of.name) }
                // Each part is a table, so that its headings are repeated on a new page.
                @for section in &of.sections {
                    table.fill {
                        thead {
                            tr { @for column in section.columns { @if column.is_empty() { td {} } @else { th scope="col" { (column) } } } }
                        }
                        tbody {
                            @for [name, planned] in &section.rows {
                                tr {
                                    td { (name) }
                                    td { (planned) }
                                    @for column in section.columns.iter().skip(2) { td class=[(!column.is_empty()).then_some("blank")] {} }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A task with a box to tick.
fn task_line(task: &TaskLine) -> Markup {
    html! {
        li {
            span.tick {} " " b { (task.when) } ": " (prose(&task.what))
            @if !task.mind.is_empty() { br; span.small { (isolated(&task.mind.join("; "))) } }
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
                    b { (caution.severity) ": " (caution.heading) "." } @if let Some(text) = caution.text { " " (text) } @if !places.is_empty() { " " i { (isolated(&places)) "." } }
                    @if let Some(source) = caution.source { " " span.small { "[" (source) "]" } }
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

fn table(of: &Table) -> Markup {
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
        Cell::Containers(list) => containers(list).unwrap_or_default(),
        Cell::Date(date) => day(*date),
        Cell::Moment(at) => moment(*at),
    }
}
