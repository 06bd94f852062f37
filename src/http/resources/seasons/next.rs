//! What comes next: the tasks of the next weeks, and which cautions each task is about.

use super::SeasonsAnswer;
use super::answer::TaskOut;
use crate::garden::cautions::Rule;
use crate::garden::seasons::work::{Task, next_days};
use crate::http::output::CautionOut;
use crate::http::resources::ReferenceOut;
use chrono::NaiveDate;
use std::collections::{BTreeMap, HashSet};

/// The items of the request that a caution is about, by list and position; empty where it is about all of it.
type Items = HashSet<(String, usize)>;

/// Says of each task which cautions of the answer are about it, and puts the tasks of the next weeks first.
pub fn complete(answer: &mut SeasonsAnswer, tasks: &[Task], today: Option<NaiveDate>) {
    let cautions: BTreeMap<&str, Items> =
        answer.cautions.iter().map(|caution| (caution.rule, items(caution))).collect();
    let is_about = |rule: &Rule, task: &TaskOut| {
        cautions.get(rule.text().rule).is_some_and(|items| items.is_empty() || concerns(items, task))
    };
    for (task, out) in tasks.iter().zip(&mut answer.part.work) {
        let rules = task.kind.cautions().iter().filter(|rule| is_about(rule, out));
        out.cautions = rules.map(|rule| rule.text().rule).collect();
    }
    let Some((first, last)) = next_days(tasks, today) else { return };
    let is_next = |task: &&TaskOut| task.on <= last && task.until.unwrap_or(task.on) >= first;
    answer.part.next = answer.part.work.iter().filter(is_next).cloned().collect();
}

/// The items of lists to which the pointers of a caution lead.
fn items(caution: &CautionOut) -> Items {
    let item = |pointer: &String| {
        let mut steps = pointer.split('/').skip(1);
        Some((steps.next()?.to_owned(), steps.next()?.parse().ok()?))
    };
    caution.at.iter().filter_map(item).collect()
}

fn concerns(items: &Items, task: &TaskOut) -> bool {
    let has = |list: &str, of: &Option<ReferenceOut>| {
        of.as_ref().is_some_and(|of| items.contains(&(list.to_owned(), of.index)))
    };
    has("worm_beds", &task.worm_bed) || has("demands", &task.demand)
}
