//! The batches as a calendar (RFC 5545): one event from start to ready, one from ready to use-by, with ids that stay the
//! same from answer to answer.

use super::BrewsAnswer;
use super::answer::{BatchOut, BrewOut};
use crate::http::output::calendar::{empty, slug};
use crate::http::problem::Problem;
use crate::http::wire::{FaultCode, Faults, Node, Place};
use chrono::{DateTime, Utc};
use icalendar::{Calendar, Component, Event, EventLike};

/// Writes the calendar.
///
/// # Errors
/// 422 at `use_at` of each brew without a time.
pub fn write(answer: &BrewsAnswer) -> Result<String, Problem> {
    let faults = Faults::body();
    let root = Place::root();
    let list = root.field("brews");
    let mut calendar = empty("Brews");
    for (i, brew) in answer.brews.iter().enumerate() {
        if brew.batches.iter().enumerate().any(|(n, batch)| add(&mut calendar, (i, brew), (n, batch)).is_none()) {
            let detail = "A calendar needs times: give use_at, when the first batches are to be ready.";
            faults.push(list.index(i).field("use_at"), FaultCode::MissingField, detail);
        }
    }
    if faults.is_empty() { Ok(calendar.done().to_string()) } else { Err(Problem::faults(faults, &Node::Null)) }
}

fn add(calendar: &mut Calendar, (i, brew): (usize, &BrewOut), (n, batch): (usize, &BatchOut)) -> Option<()> {
    let moment = |text: &Option<String>| -> Option<DateTime<Utc>> {
        Some(DateTime::parse_from_rfc3339(text.as_deref()?).ok()?.with_timezone(&Utc))
    };
    let (start, ready, use_by) = (moment(&batch.start)?, moment(&batch.ready)?, moment(&batch.use_by)?);
    let id = brew.id.as_deref().map_or_else(|| format!("brew-{i}"), slug);
    let name = brew.name.as_deref().or(brew.id.as_deref()).unwrap_or("tea");
    let of =
        if brew.batches.len() > 1 { format!(", batch {} of {}", n + 1, brew.batches.len()) } else { String::new() };
    let (castings, water) = (&batch.castings, &batch.water);
    let what = format!("{} {} of castings in {} {} of water", castings.value, castings.unit, water.value, water.unit);
    for (verb, from, to) in [("brew", start, ready), ("use", ready, use_by)] {
        let mut event = Event::new();
        event
            .uid(&format!("{id}-{n}-{verb}@barrowful"))
            .timestamp(start)
            .summary(&format!("{verb} {name}{of}"))
            .description(&what)
            .starts(from)
            .ends(to);
        calendar.push(event.done());
    }
    Some(())
}
