//! What is to be done when, as a calendar (RFC 5545). Ids of events stay the same from answer to answer, so importing again updates.

use super::{Description, notes};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use icalendar::{Component, Event, EventLike, Property};

/// When something is to be done.
#[derive(Debug, Clone, Copy)]
pub enum When {
    /// On whole days, from one to another.
    Days(NaiveDate, NaiveDate),
    /// From one moment to another, with the moment that stamps it.
    Times(DateTime<Utc>, DateTime<Utc>, DateTime<Utc>),
}

/// Something to do.
#[derive(Debug)]
pub struct Task {
    /// Its id, whatever its day.
    pub id: String,
    /// When it is to be done.
    pub when: When,
    /// What is to be done.
    pub summary: String,
    /// What belongs to it.
    pub details: String,
}

/// What is to be done when.
#[derive(Debug)]
pub struct Calendar {
    /// What it is a calendar of, for its product id.
    pub product: &'static str,
    /// Its name, where it has one.
    pub name: Option<String>,
    /// The revision of the plan, where the tasks may change with it and take no time of a person's day.
    pub revision: Option<u32>,
    /// The tasks.
    pub tasks: Vec<Task>,
}

/// The calendar.
#[must_use]
pub fn render(of: &Calendar, description: &Description<'_>) -> String {
    let mut calendar = icalendar::Calendar::empty();
    let product = format!("-//Barrowful//{}//EN", of.product);
    for (name, value) in [("VERSION", "2.0"), ("PRODID", product.as_str()), ("CALSCALE", "GREGORIAN")] {
        calendar.append_property((name, value));
    }
    if let Some(name) = &of.name {
        // For all readers (RFC 7986, section 5.1), and for those from before. The crate escapes the text of all properties but the
        // first, so that one is escaped here (RFC 5545, section 3.3.11).
        let escaped = name.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,").replace('\n', "\\n");
        calendar.append_property(("NAME", escaped.as_str()));
        calendar.append_property(("X-WR-CALNAME", name.as_str()));
    }
    let mind = notes::cautions(description).join("\n");
    if !mind.is_empty() {
        // RFC 7986, section 5.2.
        calendar.append_property(("DESCRIPTION", mind.as_str()));
    }
    let whole = calendar.done().to_string();
    let (head, end) = whole.split_at(whole.rfind("END:VCALENDAR").unwrap_or(whole.len()));
    // One event at a time: as components of a calendar, thousands would take many times the memory of their text.
    let events = of.tasks.iter().map(|task| event(task, of.revision).try_into_string().unwrap_or_default());
    let mut text = head.to_owned();
    events.for_each(|event| text += &event);
    text + end
}

fn event(task: &Task, revision: Option<u32>) -> Event {
    let mut event = Event::new();
    event.uid(&task.id);
    match task.when {
        When::Days(first, last) => {
            // The end is the first day after (RFC 5545, section 3.6.1).
            let end = last.checked_add_days(Days::new(1)).unwrap_or(last);
            event.timestamp(first.and_time(NaiveTime::MIN).and_utc()).starts(first).ends(end);
        }
        When::Times(stamp, from, to) => {
            event.timestamp(stamp).starts(from).ends(to);
        }
    }
    event.summary(&task.summary);
    if let Some(revision) = revision {
        event.sequence(revision).append_property(Property::new("TRANSP", "TRANSPARENT"));
    }
    if !task.details.is_empty() {
        event.description(&task.details);
    }
    event.done()
}

/// Letters, digits and hyphens of an id, for the id of an event.
#[must_use]
pub fn slug(text: &str) -> String {
    text.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}
