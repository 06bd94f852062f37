//! What worm beds and heaps yield.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind};
use super::words::{at, items, joined, label, measures, range, value};

/// One table for the beds, one for the heaps, and a sentence for the total.
pub(super) fn tables(answer: &Value) -> String {
    let beds = table(items(answer, "/worm_beds"), "bed", ["in\nbed", "/in_bed"]);
    let heaps = table(items(answer, "/heaps"), "heap", ["in\nheap", "/in_heap"]);
    let parts = [beds, heaps, total(at(answer, "/total"))];
    joined(&parts, "\n\n")
}

fn table(list: &[Value], noun: &'static str, [inside_head, inside]: [&'static str; 2]) -> String {
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
    for (index, item) in list.iter().enumerate() {
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

/// Beds keep these under `stored`, heaps beside the rest.
fn either<'a>(item: &'a Value, first: &str, second: &str) -> &'a Value {
    item.pointer(first).unwrap_or(at(item, second))
}

/// `{volume, mass}` or the volume alone.
fn volume(amount: &Value) -> &Value {
    amount.get("volume").unwrap_or(amount)
}

/// "In all 420 L of castings; once dried for the store 330 L, 198 (150–260) kg, 27.5 bucket."
fn total(total: &Value) -> String {
    let castings = value(volume(at(total, "/castings"))).sentence();
    let stored = at(total, "/stored");
    let (volume, mass) = (value(volume(stored)).sentence(), range(at(stored, "/mass")).sentence());
    let kept = joined(&[volume, mass, measures(at(stored, "/in_measures"))], ", ");
    match (castings.is_empty(), kept.is_empty()) {
        (true, true) => String::new(),
        (false, true) => format!("In all {castings} of castings."),
        (true, false) => format!("In all, once dried for the store: {kept}."),
        (false, false) => format!("In all {castings} of castings; once dried for the store {kept}."),
    }
}
