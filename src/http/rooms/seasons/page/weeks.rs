//! The plan week by week, to tick off.

use crate::http::output::page::shown;
use crate::http::rooms::seasons::answer::TaskOut;
use crate::http::rooms::sheets::{days, measures};
use chrono::{Datelike, Days, NaiveDate};
use maud::{Markup, html};

/// Tasks grouped by the week (ISO 8601) of their first day.
#[must_use]
pub fn weeks(work: &[TaskOut]) -> Markup {
    html! {
        @if !work.is_empty() {
            h2 { "The plan week by week" }
            table {
                @for tasks in work.chunk_by(|a, b| a.on.iso_week() == b.on.iso_week()) {
                    tbody.week {
                        @if let Some(first) = tasks.first() {
                            tr { th colspan="4" scope="rowgroup" { (heading(first.on)) } }
                        }
                        @for task in tasks { (row(task)) }
                    }
                }
            }
        }
    }
}

fn heading(date: NaiveDate) -> String {
    let monday = date.week(chrono::Weekday::Mon).checked_first_day().unwrap_or(date);
    let sunday = monday.checked_add_days(Days::new(6)).unwrap_or(date);
    format!("Week {}, {}", date.iso_week().week(), days(monday, sunday))
}

fn row(task: &TaskOut) -> Markup {
    let amounts = amounts(task);
    html! {
        tr {
            td { span.tick {} }
            td.when {
                (task.on.format("%a %-d %b"))
                @if let Some(until) = task.until { " to " (until.format("%-d %b")) }
            }
            td {
                (task.text) @if task.past { " " i { "(past)" } }
                @if let Some(note) = &task.note { br; span.small { (note) } }
            }
            td.n {
                (amounts.join(", "))
                @if !task.in_measures.is_empty() { br; span.small { (measures(&task.in_measures)) } }
            }
        }
    }
}

/// How much.
pub fn amounts(task: &TaskOut) -> Vec<String> {
    let quantities = [&task.volume, &task.mass, &task.depth];
    let mut list: Vec<String> = quantities.into_iter().flatten().map(shown).collect();
    if let Some(sacks) = task.sacks {
        list.push(if sacks == 1 { "1 sack".to_owned() } else { format!("{sacks} sacks") });
    }
    list
}
