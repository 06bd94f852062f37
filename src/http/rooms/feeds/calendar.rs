//! The steps as a calendar (RFC 5545): one all-day event for each, with an id that stays the same from answer to answer, so
//! that importing again updates.

use super::FeedsAnswer;
use crate::http::output::calendar::{empty, slug};
use crate::http::problem::Problem;
use crate::http::wire::{FaultCode, Faults, Node, Place};
use chrono::{Days, NaiveTime};
use icalendar::{Component, Event, EventLike};

/// Writes the calendar.
///
/// # Errors
/// 422 at `start_on` where the steps have no dates.
pub fn write(answer: &FeedsAnswer) -> Result<String, Problem> {
    let mut calendar = empty("Feed");
    let title = answer.name.as_deref().or(answer.id.as_deref());
    for (i, step) in answer.steps.iter().enumerate() {
        let (Some(from), Some(to)) = (step.starts_on, step.ends_on) else { return Err(undated()) };
        let of: Vec<&str> = step.materials.iter().filter_map(|m| m.name.as_deref().or(m.id.as_deref())).collect();
        let what = step.kind.replace('_', " ");
        let summary = if of.is_empty() { what } else { format!("{what}: {}", of.join(", ")) };
        let mut event = Event::new();
        event
            .uid(&format!("{}-{i}-{}@barrowful", slug(answer.id.as_deref().unwrap_or("feed")), step.kind))
            .timestamp(from.and_time(NaiveTime::MIN).and_utc())
            .summary(&title.map_or_else(|| summary.clone(), |title| format!("{title}: {summary}")))
            .description(step.text)
            .starts(from)
            .ends(to.checked_add_days(Days::new(1)).unwrap_or(to));
        calendar.push(event.done());
    }
    Ok(calendar.done().to_string())
}

fn undated() -> Problem {
    let faults = Faults::body();
    let root = Place::root();
    faults.push(
        root.field("start_on"),
        FaultCode::MissingField,
        "A calendar needs dates: give start_on, the first day of work.",
    );
    Problem::faults(faults, &Node::Null)
}
