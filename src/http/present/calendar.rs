//! What is to be done when, as a calendar (RFC 5545, RFC 7986). Ids of events stay the same from answer to answer, so importing again
//! updates.

use super::words::legible;
use super::{Description, notes};
use crate::garden::interrupt::check;
use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use icalendar::{Component, Event, EventLike, Property};
use std::io::{self, Write};

/// When something is to be done.
#[derive(Debug, Clone, Copy)]
pub enum When {
    /// On whole days, from one to another.
    Days(NaiveDate, NaiveDate),
    /// From one moment to another, with the moment that stamps it.
    Times(DateTime<Utc>, DateTime<Utc>, DateTime<Utc>),
}

/// How long before a last day or a last moment a calendar reminds of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reminder {
    /// A week before the day.
    Week,
    /// An hour before the end.
    Hour,
}

/// Something to do.
#[derive(Debug)]
pub struct Task {
    /// Its id, whatever its day.
    pub id: String,
    /// When it is to be done, the first time.
    pub when: When,
    /// In how many weeks in a row, on the same day of the week.
    pub weeks: u32,
    /// What is to be done, with its amount.
    pub summary: String,
    /// What belongs to it.
    pub details: String,
    /// The reminder of a last day or moment.
    pub reminder: Option<Reminder>,
}

/// What is to be done when.
#[derive(Debug)]
pub struct Calendar {
    /// What it is a calendar of, for its product id.
    pub product: &'static str,
    /// The revision of the plan, where the tasks may change with it and take no time of a person's day.
    pub revision: Option<u32>,
    /// The tasks.
    pub tasks: Vec<Task>,
}

/// How often a calendar that is subscribed to is to be read again: once a day.
const REFRESH: &str = "P1D";

/// What a calendar says before its tasks.
#[must_use]
#[derive(Debug)]
pub struct Head {
    /// The name of the answer.
    name: String,
    /// The answer in a sentence or two, and what to mind.
    mind: String,
}

impl Head {
    /// That of an answer.
    pub fn of(description: &Description<'_>) -> Self {
        let texts: Vec<String> = description.beginning().chain(notes::cautions(description)).collect();
        Self { name: legible(description.title.clone()), mind: legible(texts.join("\n")) }
    }
}

/// Writes the calendar, one event at a time: as components of a calendar, thousands would take many times the memory of their text.
///
/// # Errors
/// What `out` says.
pub fn render(of: Calendar, Head { name, mind }: Head, mut out: impl Write) -> io::Result<()> {
    let mut calendar = icalendar::Calendar::empty();
    let product = format!("-//Barrowful//{}//EN", of.product);
    for (name, value) in [("VERSION", "2.0"), ("PRODID", product.as_str()), ("CALSCALE", "GREGORIAN")] {
        calendar.append_property((name, value));
    }
    // For all readers (RFC 7986, section 5.1), and for those from before. The crate escapes the text of all properties but the
    // first, so that one is escaped here (RFC 5545, section 3.3.11).
    let escaped = name.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,").replace('\n', "\\n");
    calendar.append_property(("NAME", escaped.as_str()));
    calendar.append_property(("X-WR-CALNAME", name.as_str()));
    // RFC 7986, section 5.7.
    calendar.append_property(Property::new("REFRESH-INTERVAL", REFRESH).add_parameter("VALUE", "DURATION").done());
    if !mind.is_empty() {
        // RFC 7986, section 5.2.
        calendar.append_property(("DESCRIPTION", mind.as_str()));
    }
    let whole = calendar.done().to_string();
    let (head, end) = whole.split_at(whole.rfind("END:VCALENDAR").unwrap_or(whole.len()));
    out.write_all(head.as_bytes())?;
    for task in of.tasks {
        out.write_all(event(&task, of.revision).as_bytes())?;
    }
    out.write_all(end.as_bytes())
}

fn event(task: &Task, revision: Option<u32>) -> String {
    check();
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
    if task.weeks > 1 {
        event.append_property(Property::new("RRULE", format!("FREQ=WEEKLY;COUNT={}", task.weeks)));
    }
    event.summary(&legible(task.summary.clone()));
    if let Some(revision) = revision {
        event.sequence(revision).append_property(Property::new("TRANSP", "TRANSPARENT"));
    }
    if !task.details.is_empty() {
        event.description(&legible(task.details.clone()));
    }
    let text = event.done().try_into_string().unwrap_or_default();
    let Some(reminder) = task.reminder else { return text };
    let (head, end) = text.split_at(text.rfind("END:VEVENT").unwrap_or(text.len()));
    head.to_owned() + alarm(reminder) + end
}

/// An alarm that shows itself (RFC 5545, section 3.6.6). The crate would stamp it with the time of day.
const fn alarm(reminder: Reminder) -> &'static str {
    match reminder {
        Reminder::Week => {
            "BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:The last day is in a week.\r\nTRIGGER:-P7D\r\nEND:VALARM\r\n"
        }
        Reminder::Hour => {
            "BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:The last hour begins.\r\nTRIGGER;RELATED=END:-PT1H\r\nEND:VALARM\r\n"
        }
    }
}
