//! What comes next: the tasks of the next weeks, and which cautions each task is about.

use super::SeasonsAnswer;
use crate::garden::cautions::Rule;
use crate::garden::seasons::work::{Task, TaskKind, next_days};
use crate::http::resources::calendar::{ADDITIONAL_PRODUCTION, CautionsByItem, uncapitalised, worms_wait};
use chrono::NaiveDate;

/// Says of each task which cautions of the answer are about it, and puts the tasks of the next weeks first.
pub fn complete(answer: &mut SeasonsAnswer, tasks: &[Task], today: Option<NaiveDate>) {
    let cautions = CautionsByItem::of(&answer.cautions);
    for (task, out) in tasks.iter().zip(&mut answer.part.work) {
        let bed = out.worm_bed.as_ref().map(|bed| ("worm_beds", Some(bed.index)));
        let demand = out.demand.as_ref().map(|demand| ("demands", Some(demand.index)));
        let production = (task.kind == TaskKind::StartProduction).then_some((ADDITIONAL_PRODUCTION, None));
        let items: Vec<(&str, Option<usize>)> = bed.into_iter().chain(demand).chain(production).collect();
        out.cautions = cautions.about(task.kind, &items);
        if !task.untreated {
            out.cautions.retain(|rule| *rule != Rule::RawManure.text().rule);
        }
        let is_first = task.kind == TaskKind::IntroduceWorms;
        if is_first || task.takes_worms_back() {
            let wait = worms_wait(&out.cautions, is_first, answer.units);
            out.note = wait.map(|text| uncapitalised(text.trim_end_matches('.')));
            out.mind.clone_from(&out.note);
        }
    }
    let Some((first, last)) = next_days(tasks, today) else { return };
    for task in &mut answer.part.work {
        task.is_next = task.on <= last && task.until.unwrap_or(task.on) >= first;
    }
    answer.part.next = answer.part.work.iter().filter(|task| task.is_next).cloned().collect();
}
