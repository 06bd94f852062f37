//! The work of a season on a sheet: week by week, with boxes to tick.

use super::SeasonsAnswer;
use super::answer::TaskOut;
use crate::http::present::words::{containers, days, days_soon, shown};
use crate::http::present::{Part, TaskLine};
use chrono::{Datelike, Days, NaiveDate};

/// All tasks, below a heading for each week (ISO 8601) in which some begin.
pub fn plan(answer: &SeasonsAnswer) -> Part {
    let weeks = answer.work.chunk_by(|one, next| one.on.iso_week() == next.on.iso_week());
    let of = |tasks: &[TaskOut]| {
        let first = tasks.first().map(|task| week(task.on)).unwrap_or_default();
        (first, tasks.iter().map(task_line).collect())
    };
    Part::Plan(weeks.map(of).collect())
}

fn task_line(task: &TaskOut) -> TaskLine {
    let overdue = if task.overdue { " (overdue)" } else { "" };
    TaskLine {
        when: format!("{} {}", task.on.format("%a"), days_soon(task.on, task.until.unwrap_or(task.on))),
        what: what(task) + overdue,
        mind: task.note.iter().cloned().collect(),
        cautions: task.cautions.clone(),
    }
}

/// What is done, where, and with how much.
pub fn what(task: &TaskOut) -> String {
    [task.text.clone(), amount(task)].join(": ").trim_end_matches(": ").to_owned()
}

/// How much of what a task takes, in the caller's containers first: `20 buckets (240 L), 80 mm deep`.
fn amount(task: &TaskOut) -> String {
    let counted = containers(&task.in_containers);
    let volume = task.volume.as_ref().map(shown);
    let volume = volume.map(|volume| if counted.is_empty() { volume } else { format!("{counted} ({volume})") });
    let mass = task.mass.as_ref().filter(|_| task.volume.is_none()).map(shown);
    let depth = task.depth.as_ref().map(|depth| format!("{} deep", shown(depth)));
    let sacks = task.sacks.map(|count| if count == 1 { "1 sack".to_owned() } else { format!("{count} sacks") });
    [volume, mass, depth, sacks].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// `Week 38, 14–20 Sep 2026`
pub fn week(date: NaiveDate) -> String {
    let monday = date.week(chrono::Weekday::Mon).checked_first_day().unwrap_or(date);
    let sunday = monday.checked_add_days(Days::new(6)).unwrap_or(date);
    format!("Week {}, {}", date.iso_week().week(), days(monday, sunday))
}
