//! The work, one row for each task.

use super::super::SeasonsAnswer;
use super::super::answer::TaskOut;
use super::{optional, unit, words, yes};
use crate::http::output::quantity::Role;
use crate::http::rooms::{ReferenceOut, cell, column};

/// The rows, header first.
pub fn table(answer: &SeasonsAnswer) -> Vec<Vec<String>> {
    let measures = measures(&answer.work);
    let mut header = words(&["on", "until", "past", "kind", "text"]);
    header.extend(words(&["worm_bed_index", "worm_bed_id", "worm_bed_name", "cycle", "layer"]));
    header.extend(words(&["demand_index", "demand_id", "demand_name"]));
    header.push(column("volume", unit(answer, Role::Bulk)));
    header.push(column("water", unit(answer, Role::Water)));
    header.push(column("mass", unit(answer, Role::Mass)));
    header.push(column("depth", unit(answer, Role::Depth)));
    header.extend(words(&["sacks", "by", "note"]));
    header.extend(measures.iter().map(|unit| column("volume", unit)));
    std::iter::once(header).chain(answer.work.iter().map(|task| row(task, &measures))).collect()
}

/// The caller's measures that any task has, in their order.
fn measures(work: &[TaskOut]) -> Vec<&str> {
    let mut units: Vec<&str> = Vec::new();
    // A task with all measures, where there is one, has them in the order of the request.
    let mut tasks: Vec<&TaskOut> = work.iter().collect();
    tasks.sort_by_key(|task| std::cmp::Reverse(task.in_measures.len()));
    for measure in tasks.iter().flat_map(|task| &task.in_measures) {
        if !units.contains(&measure.unit.as_ref()) {
            units.push(&measure.unit);
        }
    }
    units
}

fn row(task: &TaskOut, measures: &[&str]) -> Vec<String> {
    let named = |item: Option<&ReferenceOut>| {
        let (index, id, name) =
            (item.map(|i| i.index), item.and_then(|i| i.id.as_ref()), item.and_then(|i| i.name.as_ref()));
        [optional(index), optional(id), optional(name)]
    };
    let water = task.kind == "water";
    let mut row =
        vec![task.on.to_string(), optional(task.until), yes(task.past), task.kind.to_owned(), task.text.clone()];
    row.extend(named(task.worm_bed.as_ref()));
    row.extend([optional(task.cycle), optional(task.layer)]);
    row.extend(named(task.demand.as_ref()));
    row.push(cell(task.volume.as_ref().filter(|_| !water)));
    row.push(cell(task.volume.as_ref().filter(|_| water)));
    row.extend([cell(task.mass.as_ref()), cell(task.depth.as_ref()), optional(task.sacks), optional(task.by)]);
    row.push(optional(task.note.as_ref()));
    row.extend(measures.iter().map(|unit| cell(task.in_measures.iter().find(|measure| measure.unit == *unit))));
    row
}
