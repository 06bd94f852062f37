//! What to prepare for what is short, and by when.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind, paragraphs};
use super::words::{at, exact, items, joined, list, range, value};

/// A row for each day on which castings are short, and a sentence for each that says what a late start brings.
pub(super) fn table(gap: &Value) -> String {
    let plans = items(gap, "/prepare");
    let mut grid = Grid::new(&[
        ("to prepare\nfor", Kind::Words),
        ("short", Kind::Number),
        ("begin by", Kind::Words),
        ("for 90 %\nbegin by", Kind::Words),
        ("materials", Kind::Words),
        ("ground", Kind::Number),
        ("worms", Kind::Number),
        ("layers", Kind::Number),
    ]);
    for plan in plans {
        let likely = at(plan, "/likely");
        grid.row([
            Cell::Words(list(at(plan, "/by"))),
            Cell::Number(exact(at(plan, "/short"))),
            Cell::Words(begin(likely)),
            Cell::Words(begin(at(plan, "/for_90"))),
            Cell::Words(materials(likely)),
            Cell::Number(value(at(likely, "/surface_area"))),
            Cell::Number(range(at(likely, "/worms"))),
            Cell::Number(value(at(likely, "/layers"))),
        ]);
    }
    let rows: Vec<Vec<String>> =
        plans.iter().map(sentence).filter(|words| !words.is_empty()).map(|w| vec![w]).collect();
    let sentences = if rows.is_empty() { String::new() } else { paragraphs(&rows, 0) };
    joined(&[grid.render(), sentences], "\n\n")
}

/// "2026-10-20", "too late", or nothing where the answer says nothing of it.
fn begin(batch: &Value) -> String {
    if at(batch, "/too_late").is_object() { "too late".to_owned() } else { list(at(batch, "/start_on")) }
}

/// "10.65 kg leaves of the lane, 4.346 kg dry litter"
fn materials(batch: &Value) -> String {
    let one = |part: &Value| {
        format!("{} {}", value(at(part, "/mass")).sentence(), list(at(part, "/material/name"))).trim().to_owned()
    };
    let parts: Vec<String> = items(batch, "/materials").iter().map(one).collect();
    joined(&parts, ", ")
}

/// "For 2027-03-25: begun 7 days later it is ready on 2027-04-02, 21 days later on 2027-04-15."
fn sentence(plan: &Value) -> String {
    let by = list(at(plan, "/by"));
    let late = at(plan, "/likely/too_late");
    let parts = if late.is_object() { too_late(late, plan) } else { slips(plan) };
    if parts.is_empty() { parts } else { format!("For {by}: {parts}.") }
}

fn slips(plan: &Value) -> String {
    let slip = |(index, slip): (usize, &Value)| {
        let (days, ready) = (list(at(slip, "/days")), list(at(slip, "/ready_on")));
        let ready = if ready.is_empty() { "not within a year".to_owned() } else { format!("on {ready}") };
        if index == 0 {
            format!("begun {days} days later it is ready {ready}")
        } else {
            format!("{days} days later {ready}")
        }
    };
    let parts: Vec<String> = items(plan, "/if_later").iter().enumerate().map(slip).collect();
    joined(&parts, ", ")
}

/// Why no start is early enough, and when castings would be ready.
fn too_late(late: &Value, plan: &Value) -> String {
    let why = match at(late, "/binds").as_str().unwrap_or_default() {
        "today" => "it would have had to begin before today",
        "materials" => "the materials come too late",
        "bed" => "the bed is free too late",
        "frost" => "a frost before then kills the worms",
        "heat" => "heat before then kills the worms",
        "ground" => "the ground does not hold so much feed",
        "warmth" => "there is not enough warmth before then",
        _ => "it is too late",
    };
    let (first, ready) = (list(at(late, "/first_start_on")), list(at(late, "/ready_on")));
    let ready = if ready.is_empty() { String::new() } else { format!("begun on {first} it is ready on {ready}") };
    let needed = value(at(late, "/area_needed")).sentence();
    let needed = if needed.is_empty() { needed } else { format!("it takes {needed}") };
    let wait = |one: &Value| {
        let index = at(one, "/demand/index").as_u64().and_then(|index| usize::try_from(index).ok()).unwrap_or(0);
        format!(
            "{} of {}",
            exact(at(one, "/amount")).sentence(),
            super::words::label(at(one, "/demand"), "demand", index)
        )
    };
    let waits: Vec<String> = items(plan, "/could_wait").iter().map(wait).collect();
    let waits = if waits.is_empty() { String::new() } else { format!("could wait for it: {}", waits.join(", ")) };
    joined(&[why.to_owned(), needed, ready, waits], "; ")
}
