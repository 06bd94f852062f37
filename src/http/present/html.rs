//! An answer as a page: one sheet, no scripts, nothing from elsewhere, quiet and print-first. It fits A4 and Letter, and a phone.

mod table;

use super::isolated::{isolated, prose};
use super::table::For;
use super::words::legible;
use super::{Description, Label, Part, TableToFillIn, TaskLine, notes};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use table::table;

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
