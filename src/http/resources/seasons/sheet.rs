//! The work of a season on a sheet: week by week, with boxes to tick.

use super::SeasonsAnswer;
use super::answer::TaskOut;
use super::calendar::work;
use crate::garden::seasons::work::TaskKind;
use crate::http::present::words::{days, days_soon};
use crate::http::present::{Part, TaskLine};
use crate::http::resources::calendar::{ADDITIONAL_PRODUCTION, heading};
use crate::http::wire::capitalised;
use chrono::{Datelike, Days, NaiveDate};
use std::collections::HashSet;

/// The tasks that are not of the next weeks, below a heading for each week (ISO 8601) in which some begin.
pub fn plan(answer: &SeasonsAnswer) -> Part {
    let lines = lines(&answer.work, answer).into_iter().zip(&answer.work);
    let mut weeks: Vec<(String, Vec<TaskLine>)> = Vec::new();
    for (line, task) in lines.filter(|(_, task)| !task.is_next) {
        let week = week(task.on);
        match weeks.last_mut() {
            Some((last, tasks)) if *last == week => tasks.push(line),
            _ => weeks.push((week, vec![line])),
        }
    }
    let heading = if answer.next.is_empty() { "The plan week by week" } else { "The rest of the plan week by week" };
    Part::Plan { heading, weeks }
}

/// Tasks as lines to tick off, the heading of each caution with the first task that it is about.
pub fn lines(tasks: &[TaskOut], answer: &SeasonsAnswer) -> Vec<TaskLine> {
    let mut named: HashSet<&str> = HashSet::new();
    let line = |task: &TaskOut| {
        let fresh = task.cautions.iter().filter(|rule| named.insert(rule));
        let headings = fresh.filter_map(|rule| heading(rule, &answer.cautions));
        TaskLine {
            when: when(task, answer.as_of),
            what: what(task),
            mind: headings.chain(task.mind.clone()).collect(),
            item: item(task),
            cautions: task.cautions.clone(),
        }
    };
    tasks.iter().map(line).collect()
}

/// `Sun 20 Sep`, `14–26 Sep`; the days that are left of what is done week by week and has started.
fn when(task: &TaskOut, today: Option<NaiveDate>) -> String {
    let left = today.filter(|today| task.each_week.is_some() && !task.overdue && *today > task.on);
    let on = left.unwrap_or(task.on);
    match task.until.filter(|last| *last != on) {
        Some(last) => days_soon(on, last),
        None => on.format("%a %-d %b").to_string(),
    }
}

/// The part of the request that a task is for, as a pointer.
fn item(task: &TaskOut) -> String {
    if task.kind == TaskKind::StartProduction.as_str() {
        return format!("/{ADDITIONAL_PRODUCTION}");
    }
    let bed = task.worm_bed.as_ref().map(|bed| format!("/worm_beds/{}", bed.index));
    bed.or_else(|| task.demand.as_ref().map(|demand| format!("/demands/{}", demand.index))).unwrap_or_default()
}

/// Where, what is done, and with how much: `bed along the mill wall: lay 80 mm of feed, 3½ barrows (240 L)`.
fn what(task: &TaskOut) -> String {
    let overdue = if task.overdue { " (overdue)" } else { "" };
    let Some(work) = work(task) else { return task.text.clone() + overdue };
    let at = if work.at.is_empty() { String::new() } else { format!("{}: ", work.at) };
    let mark = if task.hours.is_some() { "; " } else { ": " };
    let further = work.further().map(|text| format!("{mark}{text}")).unwrap_or_default();
    let action = work.action(work.weeks()) + &further;
    format!("{at}{}{overdue}", if at.is_empty() { capitalised(&action) } else { action })
}

/// `Week 38, 14–20 Sep 2026`
pub fn week(date: NaiveDate) -> String {
    let monday = date.week(chrono::Weekday::Mon).checked_first_day().unwrap_or(date);
    let sunday = monday.checked_add_days(Days::new(6)).unwrap_or(date);
    format!("Week {}, {}", date.iso_week().week(), days(monday, sunday))
}
