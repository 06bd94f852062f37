//! The work of a season on a sheet: week by week, with boxes to tick.

use super::SeasonsAnswer;
use super::answer::TaskOut;
use crate::http::output::CautionOut;
use crate::http::present::words::{containers, days, days_soon, shown};
use crate::http::present::{Part, TaskLine};
use crate::http::resources::calendar::{heading, sacks};
use chrono::{Datelike, Days, NaiveDate};
use std::collections::HashSet;

/// All tasks, below a heading for each week (ISO 8601) in which some begin.
pub fn plan(answer: &SeasonsAnswer) -> Part {
    let mut lines = lines(&answer.work, &answer.cautions).into_iter();
    let weeks = answer.work.chunk_by(|one, next| one.on.iso_week() == next.on.iso_week());
    let of = |tasks: &[TaskOut]| {
        let first = tasks.first().map(|task| week(task.on)).unwrap_or_default();
        (first, lines.by_ref().take(tasks.len()).collect())
    };
    Part::Plan(weeks.map(of).collect())
}

/// Tasks as lines to tick off, the heading of each caution with the first task that it is about.
pub fn lines(tasks: &[TaskOut], cautions: &[CautionOut]) -> Vec<TaskLine> {
    let mut named: HashSet<&str> = HashSet::new();
    let line = |task: &TaskOut| {
        let fresh = task.cautions.iter().filter(|rule| named.insert(rule));
        let headings = fresh.filter_map(|rule| heading(rule, cautions));
        TaskLine {
            when: format!("{} {}", task.on.format("%a"), days_soon(task.on, task.until.unwrap_or(task.on))),
            what: what(task),
            mind: headings.chain(task.note.clone()).collect(),
            item: item(task),
            cautions: task.cautions.clone(),
        }
    };
    tasks.iter().map(line).collect()
}

fn item(task: &TaskOut) -> String {
    let bed = task.worm_bed.as_ref().map(|bed| format!("/worm_beds/{}", bed.index));
    bed.or_else(|| task.demand.as_ref().map(|demand| format!("/demands/{}", demand.index))).unwrap_or_default()
}

/// What is done, where, and with how much.
fn what(task: &TaskOut) -> String {
    let overdue = if task.overdue { " (overdue)" } else { "" };
    [task.text.clone(), amount(task)].join(": ").trim_end_matches(": ").to_owned() + overdue
}

/// How much of what a task takes, in the caller's containers first: `20 buckets (240 L), 80 mm deep`.
fn amount(task: &TaskOut) -> String {
    let counted = containers(&task.in_containers);
    let volume = task.volume.as_ref().map(shown);
    let volume = volume.map(|volume| if counted.is_empty() { volume } else { format!("{counted} ({volume})") });
    let mass = task.mass.as_ref().filter(|_| task.volume.is_none()).map(shown);
    let depth = task.depth.as_ref().map(|depth| format!("{} deep", shown(depth)));
    let sacks = task.sacks.map(sacks);
    [volume, mass, depth, sacks].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// `Week 38, 14–20 Sep 2026`
pub fn week(date: NaiveDate) -> String {
    let monday = date.week(chrono::Weekday::Mon).checked_first_day().unwrap_or(date);
    let sunday = monday.checked_add_days(Days::new(6)).unwrap_or(date);
    format!("Week {}, {}", date.iso_week().week(), days(monday, sunday))
}
