//! A season: is there enough, who gets what, what to do next, what to prepare, what to measure.

use chrono::{Days, NaiveDate};
use serde_json::Value;

use super::grid::{Cell, Grid, Kind, paragraphs};
use super::words::{at, exact, items, joined, label, list, measures, value};
use super::{balances, prepare};

/// The work of so many days from `as_of` is shown.
const DAYS: u64 = 56;
/// So many pieces of work are shown where there is no `as_of`.
const TASKS: usize = 12;

/// Sentences, then a table for each part.
pub(super) fn tables(answer: &Value, request: &Value) -> String {
    let gap = at(answer, "/close_the_gap");
    let parts = [
        joined(&[balances::sentence(answer), chance(answer)], "\n"),
        balances::demands(answer, request),
        lots(answer),
        work(answer),
        balances::close_the_gap(gap),
        prepare::table(gap),
        measure(answer),
    ];
    joined(&parts, "\n\n")
}

/// "Chance that it is enough on every day: 25 %, if the ranges shown are right. The tightest day is 2027-04-05: ..."
fn chance(answer: &Value) -> String {
    let last = items(answer, "/chances/by_date").last();
    let chance = last.map(|last| value(at(last, "/chance")).sentence()).unwrap_or_default();
    if chance.is_empty() {
        return String::new();
    }
    let provided = list(at(answer, "/chances/provided"));
    let enough = joined(&[format!("Chance that it is enough on every day: {chance}"), provided], ", ");
    let day = list(at(answer, "/chances/worst_on"));
    let margin = |of: &str| spare(at(answer, &format!("/chances/margin/{of}")));
    let tightest = if day.is_empty() || margin("p10").is_empty() {
        String::new()
    } else {
        format!(
            " The tightest day is {day}: {} at the median; {} or worse in a tenth of the runs, {} or better in another.",
            margin("p50"),
            margin("p10"),
            margin("p90")
        )
    };
    paragraphs(&[vec![format!("{enough}.{tightest}")]], 0)
}

/// "12 L to spare", "69.477 L too little".
fn spare(margin: &Value) -> String {
    let shown = exact(margin);
    match (shown.digits.strip_prefix('-'), shown.digits.is_empty()) {
        (_, true) => String::new(),
        (Some(digits), _) => format!("{digits} {} too little", shown.unit),
        (None, _) => format!("{} to spare", shown.sentence()),
    }
}

fn lots(answer: &Value) -> String {
    let mut grid = Grid::new(&[
        ("lots of bed", Kind::Words),
        ("ready", Kind::Words),
        ("10 in 100\nby", Kind::Words),
        ("90 in 100\nby", Kind::Words),
        ("amount", Kind::Number),
        ("10 in 100\nbelow", Kind::Number),
        ("90 in 100\nbelow", Kind::Number),
        ("given", Kind::Number),
        ("left", Kind::Number),
    ]);
    for (index, bed) in items(answer, "/worm_beds").iter().enumerate() {
        for (row, lot) in items(bed, "/lots").iter().enumerate() {
            let name = if row == 0 { label(bed, "bed", index) } else { String::new() };
            let day = |of: &str| {
                let day = list(at(lot, of));
                let later = day.is_empty() && at(lot, "/ready").is_object();
                Cell::Words(if later { "later".to_owned() } else { day })
            };
            let volume = |of: &str| Cell::Number(exact(at(lot, of)));
            grid.row([
                Cell::Words(name),
                Cell::Words(list(at(lot, "/ready_on"))),
                day("/ready/p10"),
                day("/ready/p90"),
                volume("/amount"),
                Cell::Number(value(at(lot, "/volume/p10"))),
                Cell::Number(value(at(lot, "/volume/p90"))),
                volume("/given"),
                volume("/left"),
            ]);
        }
    }
    let stops = items(answer, "/worm_beds").iter().enumerate().filter_map(|(index, bed)| {
        let why = list(at(bed, "/forecast/stopped/why"));
        let on = list(at(bed, "/forecast/stopped/on"));
        (!why.is_empty()).then(|| vec![format!("{}: the worms die of {why} on {on}.", label(bed, "bed", index))])
    });
    let stops: Vec<Vec<String>> = stops.collect();
    let stops = if stops.is_empty() { String::new() } else { paragraphs(&stops, 0) };
    joined(&[grid.render(), stops], "\n\n")
}

/// What is to be done in the eight weeks from `as_of`, or the first pieces of work.
fn work(answer: &Value) -> String {
    let day = |value: &Value| value.as_str().and_then(|text| text.parse::<NaiveDate>().ok());
    let today = day(at(answer, "/as_of"));
    let end = today.and_then(|today| today.checked_add_days(Days::new(DAYS)));
    let all = items(answer, "/work");
    let open: Vec<&Value> = all.iter().filter(|task| at(task, "/past") != true).collect();
    let soon = |task: &&&Value| match (day(at(task, "/on")), end) {
        (Some(on), Some(end)) => on < end,
        _ => true,
    };
    let most = if end.is_some() { usize::MAX } else { TASKS };
    let shown: Vec<&Value> = open.iter().filter(soon).take(most).copied().collect();
    let mut grid = Grid::new(&[
        ("to do", Kind::Words),
        ("until", Kind::Words),
        ("what", Kind::Words),
        ("volume", Kind::Number),
        ("mass", Kind::Number),
        ("depth", Kind::Number),
        ("in measures", Kind::Words),
    ]);
    for task in &shown {
        grid.row([
            Cell::Words(list(at(task, "/on"))),
            Cell::Words(list(at(task, "/until"))),
            Cell::Words(list(at(task, "/text"))),
            Cell::Number(value(at(task, "/volume"))),
            Cell::Number(value(at(task, "/mass"))),
            Cell::Number(value(at(task, "/depth"))),
            Cell::Words(measures(at(task, "/in_measures"))),
        ]);
    }
    let rest = open.len().saturating_sub(shown.len());
    let rest = match rest {
        0 => String::new(),
        1 => "1 piece of work comes later: --json shows it".to_owned(),
        rest => format!("{rest} pieces of work come later: --json shows them"),
    };
    joined(&[grid.render(), rest], "\n")
}

/// "- worms.feed_rate: 28.15 % of what is not sure hangs on it; weigh what a known worm mass clears in a week"
fn measure(answer: &Value) -> String {
    let one = |found: &Value| {
        let index = |of: &str| at(found, &format!("{of}/index")).as_u64().and_then(|index| usize::try_from(index).ok());
        let what = match (index("/stock"), index("/demand")) {
            (Some(index), _) => format!("the amount of {}", label(at(found, "/stock"), "lot", index)),
            (_, Some(index)) => format!("the amount of {}", label(at(found, "/demand"), "demand", index)),
            _ => list(at(found, "/assumption")),
        };
        let share = value(at(found, "/share_of_variance")).sentence();
        let hangs = format!("{what}: {share} of what is not sure hangs on it");
        vec!["-".to_owned(), joined(&[hangs, list(at(found, "/measure_it"))], "; ")]
    };
    let rows: Vec<Vec<String>> = items(answer, "/measure_first").iter().map(one).collect();
    if rows.is_empty() { String::new() } else { format!("To measure first:\n{}", paragraphs(&rows, 1)) }
}
