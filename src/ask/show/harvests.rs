//! What worm beds and heaps yield.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind, paragraphs};
use super::words::{at, items, joined, label, list, measures, range, value};

/// Tables for finished beds, beds by feed, heaps, and what beds are to do; a sentence for each comparison and the total.
pub(super) fn tables(answer: &Value) -> String {
    let (beds, heaps) = (items(answer, "/worm_beds"), items(answer, "/heaps"));
    let finished = table(beds, "bed", ["in\nbed", "/in_bed"]);
    let heaps = table(heaps, "heap", ["in\nheap", "/in_heap"]);
    let plans = [lots(beds), layers(beds), water(beds), each(beds, "/forecast", ending)];
    let parts = [finished, fed(beds), each(beds, "/comparison", comparison), heaps, joined(&plans, "\n\n")];
    joined(&[joined(&parts, "\n\n"), total(at(answer, "/total"))], "\n\n")
}

fn table(all: &[Value], noun: &'static str, [inside_head, inside]: [&'static str; 2]) -> String {
    let mut grid = Grid::new(&[
        (noun, Kind::Words),
        (inside_head, Kind::Number),
        ("not\nready", Kind::Number),
        ("ready", Kind::Number),
        ("sieved\noff", Kind::Number),
        ("castings", Kind::Number),
        ("stored", Kind::Number),
        ("mass", Kind::Number),
        ("in measures", Kind::Words),
    ]);
    for (index, item) in all.iter().enumerate().filter(|(_, item)| item.pointer(inside).is_some()) {
        let plain = |pointer: &str| Cell::Number(value(at(item, pointer)));
        let mass = either(item, "/stored/mass", "/mass");
        let in_measures = either(item, "/stored/in_measures", "/in_measures");
        grid.row([
            Cell::Words(label(item, noun, index)),
            plain(inside),
            plain("/not_ready"),
            plain("/ready"),
            plain("/sieved_off"),
            plain("/castings"),
            Cell::Number(value(volume(at(item, "/stored")))),
            Cell::Number(range(mass)),
            Cell::Words(measures(in_measures)),
        ]);
    }
    grid.render()
}

/// Beds by what was fed.
fn fed(beds: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("bed", Kind::Words),
        ("fed", Kind::Number),
        ("moist\nby", Kind::Number),
        ("dry", Kind::Number),
        ("organic\nlost", Kind::Number),
        ("stored", Kind::Number),
        ("mass", Kind::Number),
        ("moist\nby", Kind::Number),
        ("in measures", Kind::Words),
    ]);
    for (index, bed) in beds.iter().enumerate() {
        let Some(found) = bed.get("from_feed") else { continue };
        let plain = |pointer: &str| Cell::Number(value(at(found, pointer)));
        let ranged = |pointer: &str| Cell::Number(range(at(found, pointer)));
        grid.row([
            Cell::Words(label(bed, "bed", index)),
            plain("/fed_mass"),
            plain("/fed_moisture"),
            plain("/fed_dry_matter"),
            plain("/organic_matter_loss"),
            ranged("/castings/volume"),
            ranged("/castings/mass"),
            plain("/castings_moisture"),
            Cell::Words(measures(at(found, "/castings/in_measures"))),
        ]);
    }
    grid.render()
}

/// A sentence for each bed that has this part.
fn each(beds: &[Value], part: &str, sentence: fn(&Value) -> String) -> String {
    let found = beds.iter().enumerate().filter_map(|(index, bed)| {
        let words = sentence(bed.pointer(part)?);
        (!words.is_empty()).then(|| vec![format!("{}: {words}", label(bed, "bed", index))])
    });
    let rows: Vec<Vec<String>> = found.collect();
    if rows.is_empty() { String::new() } else { paragraphs(&rows, 0) }
}

/// "the depth says 92.4 kg of dry castings, the feed 79.55 kg; the gap is 12.85 kg (13.9 %), within what is assumed."
fn comparison(compared: &Value) -> String {
    let said = |pointer: &str| value(at(compared, pointer)).sentence();
    let within = match at(compared, "/ranges_meet").as_bool() {
        Some(true) => ", within what the assumptions leave open",
        Some(false) => ", more than the assumptions leave open",
        None => "",
    };
    format!(
        "the depth says {} of dry castings, the feed {}; the gap is {} ({}){within}.",
        said("/by_depth"),
        said("/by_feed"),
        said("/gap"),
        said("/gap_share")
    )
}

/// The rows of one list in every forecast, with the name of the bed at the first of each.
fn rows<'a>(beds: &'a [Value], part: &'a str) -> impl Iterator<Item = (String, &'a Value)> {
    beds.iter().enumerate().flat_map(move |(index, bed)| {
        let name = label(bed, "bed", index);
        items(bed, part)
            .iter()
            .enumerate()
            .map(move |(row, item)| (if row == 0 { name.clone() } else { String::new() }, item))
    })
}

fn lots(beds: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("lots of bed", Kind::Words),
        ("ready", Kind::Words),
        ("at the\nearliest", Kind::Words),
        ("at the\nlatest", Kind::Words),
        ("castings", Kind::Number),
        ("mass", Kind::Number),
        ("in measures", Kind::Words),
    ]);
    for (name, lot) in rows(beds, "/forecast/lots") {
        let day = |pointer: &str| Cell::Words(list(at(lot, pointer)));
        let latest = list(at(lot, "/ready/latest"));
        grid.row([
            Cell::Words(name),
            day("/ready/likely"),
            day("/ready/earliest"),
            Cell::Words(if latest.is_empty() { "later".to_owned() } else { latest }),
            Cell::Number(range(at(lot, "/castings/volume"))),
            Cell::Number(range(at(lot, "/castings/mass"))),
            Cell::Words(measures(at(lot, "/castings/in_measures"))),
        ]);
    }
    grid.render()
}

fn layers(beds: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("layers of bed", Kind::Words),
        ("lay on", Kind::Words),
        ("depth", Kind::Number),
        ("volume", Kind::Number),
        ("mass", Kind::Number),
        ("dry", Kind::Number),
        ("in measures", Kind::Words),
        ("worked by", Kind::Words),
    ]);
    for (name, layer) in rows(beds, "/forecast/layers") {
        let plain = |pointer: &str| Cell::Number(value(at(layer, pointer)));
        grid.row([
            Cell::Words(name),
            Cell::Words(list(at(layer, "/on"))),
            plain("/depth"),
            plain("/volume"),
            plain("/mass"),
            plain("/dry_matter"),
            Cell::Words(measures(at(layer, "/in_measures"))),
            Cell::Words(list(at(layer, "/worked_on"))),
        ]);
    }
    grid.render()
}

fn water(beds: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("water of bed", Kind::Words),
        ("starting", Kind::Words),
        ("until", Kind::Words),
        ("add", Kind::Number),
        ("drains", Kind::Number),
    ]);
    for (name, period) in rows(beds, "/forecast/water") {
        grid.row([
            Cell::Words(name),
            Cell::Words(list(at(period, "/start_on"))),
            Cell::Words(list(at(period, "/end_on"))),
            Cell::Number(range(at(period, "/to_add"))),
            Cell::Number(range(at(period, "/to_drain"))),
        ]);
    }
    grid.render()
}

/// "frost kills the worms on 2027-12-20; on 2027-12-20 working, 12 kg of feed and 40 kg of castings (dry) in it."
fn ending(forecast: &Value) -> String {
    let stopped = at(forecast, "/stopped");
    let stopped = match (list(at(stopped, "/why")), list(at(stopped, "/on"))) {
        (why, on) if why.is_empty() || on.is_empty() => String::new(),
        (why, on) => format!("{why} kills the worms on {on}; "),
    };
    let end = at(forecast, "/end");
    let said = |pointer: &str| value(at(end, pointer)).sentence();
    let (on, phase) = (list(at(end, "/on")), list(at(end, "/phase")));
    if on.is_empty() {
        return String::new();
    }
    format!(
        "{stopped}on {on} {phase}, with {} of feed and {} of castings (dry matter) in it, and {} of worms.",
        said("/unworked"),
        said("/castings"),
        said("/worms")
    )
}

/// Beds keep these under `stored`, heaps beside the rest.
fn either<'a>(item: &'a Value, first: &str, second: &str) -> &'a Value {
    item.pointer(first).unwrap_or(at(item, second))
}

/// `{volume, mass}` or the volume alone.
fn volume(amount: &Value) -> &Value {
    amount.get("volume").unwrap_or(amount)
}

/// "In all 420 L of castings; once dried for the store 330 L, 198 (150–260) kg, 27.5 bucket." And what feed and forecasts add.
fn total(total: &Value) -> String {
    let more = [("from_feed", "By what was fed"), ("forecast", "By the forecasts")];
    let more = more.map(|(field, words)| match kept(at(total, &format!("/{field}"))) {
        amount if amount.is_empty() => amount,
        amount => format!("{words}: {amount} in store."),
    });
    let added = joined(&more, "\n");
    let there = volume(at(total, "/castings"));
    let nothing = there.get("value").and_then(Value::as_f64) == Some(0.0);
    let there = if nothing && !added.is_empty() { String::new() } else { in_all(there, &kept(at(total, "/stored"))) };
    joined(&[there, added], "\n")
}

/// "330 L, 198 (150–260) kg, 27.5 bucket"
fn kept(stored: &Value) -> String {
    let (volume, mass) = (value(volume(stored)).sentence(), range(at(stored, "/mass")).sentence());
    joined(&[volume, mass, measures(at(stored, "/in_measures"))], ", ")
}

fn in_all(castings: &Value, kept: &str) -> String {
    let castings = value(castings).sentence();
    match (castings.is_empty(), kept.is_empty()) {
        (true, true) => String::new(),
        (false, true) => format!("In all {castings} of castings."),
        (true, false) => format!("In all, once dried for the store: {kept}."),
        (false, false) => format!("In all {castings} of castings; once dried for the store {kept}."),
    }
}
