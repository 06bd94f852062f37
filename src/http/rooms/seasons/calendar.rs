//! The work as a calendar (RFC 5545): one all-day event for each task. Its id is a name-based UUID (RFC 9562, section 5.5; RFC
//! 7986, section 5.3, asks for ids that tell nothing) of what is done and what for, never of when: importing again updates.

use super::SeasonsAnswer;
use super::answer::TaskOut;
use super::page::amounts;
use crate::http::output::calendar::{empty, name as named};
use crate::http::output::page::shown;
use crate::http::problem::Problem;
use crate::http::rooms::ReferenceOut;
use chrono::{Days, NaiveTime};
use icalendar::{Component, Event, EventLike, Property};
use std::collections::HashMap;
use uuid::Uuid;

/// The name space of these ids: chosen once at random.
const SPACE: Uuid = Uuid::from_u128(0x6f2d_2a0e_83c4_4b57_9d1b_c7e0_5a94_1f36);

/// Writes the calendar.
///
/// # Errors
/// None: every task has its day.
pub fn write(answer: &SeasonsAnswer) -> Result<String, Problem> {
    let mut calendar = empty("Season");
    if let Some(name) = answer.name.as_deref().or(answer.id.as_deref()) {
        named(&mut calendar, name);
    }
    let mut seen: HashMap<String, u32> = HashMap::new();
    for task in &answer.work {
        let key = key(answer, task);
        let before = seen.entry(key.clone()).or_default();
        let uid = Uuid::new_v5(&SPACE, format!("{key}{before}").as_bytes());
        *before += 1;
        calendar.push(event(answer, task, &uid.to_string()));
    }
    Ok(calendar.done().to_string())
}

fn event(answer: &SeasonsAnswer, task: &TaskOut, uid: &str) -> Event {
    let last = task.until.unwrap_or(task.on);
    let mut event = Event::new();
    event
        .uid(uid)
        .timestamp(task.on.and_time(NaiveTime::MIN).and_utc())
        .sequence(answer.revision.unwrap_or_default())
        .summary(&task.text)
        .starts(task.on)
        .ends(last.checked_add_days(Days::new(1)).unwrap_or(last))
        .append_property(Property::new("TRANSP", "TRANSPARENT"));
    let description = description(task);
    if !description.is_empty() {
        event.description(&description);
    }
    event.done()
}

/// Amounts and measures, one on a line.
fn description(task: &TaskOut) -> String {
    let measures = task.in_measures.iter().map(shown);
    amounts(task).into_iter().chain(measures).chain(task.note.clone()).collect::<Vec<_>>().join("\n")
}

/// What a task is, apart from its day: every part is told by its length, so that no two of them run into one another.
fn key(answer: &SeasonsAnswer, task: &TaskOut) -> String {
    let number = |n: Option<u32>| n.map(|n| n.to_string()).unwrap_or_default();
    let season = match (&answer.id, &answer.name) {
        (Some(id), _) => format!("id {id}"),
        (None, Some(name)) => format!("name {name}"),
        (None, None) => String::new(),
    };
    let of = |item: Option<&ReferenceOut>| {
        item.map(|item| item.id.as_ref().map_or_else(|| format!("index {}", item.index), |id| format!("id {id}")))
            .unwrap_or_default()
    };
    let parts = [
        season,
        of(task.worm_bed.as_ref()),
        of(task.demand.as_ref()),
        number(task.cycle),
        number(task.layer),
        // What is prepared or bought is told apart by the shortage it is for.
        task.by.map(|by| by.to_string()).unwrap_or_default(),
        task.kind.to_owned(),
    ];
    parts.iter().map(|part| format!("{}:{part};", part.len())).collect()
}
