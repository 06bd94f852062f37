//! What to shred, soak and mix.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind};
use super::words::{at, clean, items, joined, label, measures, range, value};

/// The materials, then the water, the mix, the goals out of reach, the layers, the steps, and the castings to expect.
pub(super) fn tables(answer: &Value) -> String {
    let parts = [
        materials(items(answer, "/materials")),
        water_and_mix(answer),
        out_of_reach(items(answer, "/out_of_reach")),
        layers(at(answer, "/layers")),
        steps(items(answer, "/steps")),
        castings(at(answer, "/castings")),
    ];
    joined(&parts, "\n\n")
}

fn materials(list: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("material", Kind::Words),
        ("take", Kind::Number),
        ("or", Kind::Number),
        ("in measures", Kind::Words),
        ("moisture", Kind::Number),
        ("C:N", Kind::Number),
        ("add\nwater", Kind::Number),
    ]);
    for (index, item) in list.iter().enumerate() {
        let plain = |pointer: &str| Cell::Number(value(at(item, pointer)));
        let chosen = if at(item, "/chosen") == &Value::Bool(true) { " (chosen)" } else { "" };
        grid.row([
            Cell::Words(format!("{}{chosen}", label(item, "material", index))),
            plain("/mass"),
            plain("/volume"),
            Cell::Words(measures(at(item, "/in_measures"))),
            plain("/moisture"),
            plain("/carbon_to_nitrogen"),
            plain("/water_added"),
        ]);
    }
    grid.render()
}

fn said(answer: &Value, pointer: &str) -> String {
    value(at(answer, pointer)).sentence()
}

fn water_and_mix(answer: &Value) -> String {
    let water = format!(
        "Water: {} for the soak with {} of starter, {} for dry manure, {} when mixing.",
        said(answer, "/water/soak"),
        said(answer, "/water/starter"),
        said(answer, "/water/rehydration"),
        said(answer, "/water/extra")
    );
    let mix = format!(
        "The mix: {} or {}, {} moist, carbon to nitrogen {}, {} air.",
        said(answer, "/mix/mass"),
        said(answer, "/mix/volume"),
        said(answer, "/mix/moisture"),
        said(answer, "/mix/carbon_to_nitrogen").trim_end(),
        said(answer, "/mix/air_space")
    );
    format!("{water}\n{mix}")
}

fn out_of_reach(list: &[Value]) -> String {
    let mut grid = Grid::new(&[("out of reach", Kind::Words)]);
    for text in list.iter().filter_map(|goal| at(goal, "/text").as_str()) {
        grid.row([Cell::Words(clean(text))]);
    }
    grid.render()
}

fn layers(laid: &Value) -> String {
    if laid.is_null() {
        return String::new();
    }
    let layer =
        |name: &str| format!("{} ({})", said(laid, &format!("/{name}/depth")), said(laid, &format!("/{name}/volume")));
    let later = at(laid, "/later").as_u64().unwrap_or_default();
    let last =
        if at(laid, "/last").is_null() { String::new() } else { format!(", and a last one of {}", layer("last")) };
    format!(
        "Layers on {}: first {}, then {later} of {}{last}.",
        said(laid, "/surface_area"),
        layer("first"),
        layer("each")
    )
}

fn steps(list: &[Value]) -> String {
    let mut grid = Grid::new(&[("step", Kind::Words), ("when", Kind::Words), ("what", Kind::Words)]);
    for step in list {
        let text = |pointer: &str| at(step, pointer).as_str().map(clean).unwrap_or_default();
        let day = |date: &str, day: &str| {
            let on = text(date);
            if on.is_empty() { format!("day {}", at(step, day)) } else { on }
        };
        let (from, to) = (day("/starts_on", "/starts_day"), day("/ends_on", "/ends_day"));
        let when = if from == to { from } else { format!("{from} to {to}") };
        let of: Vec<String> =
            items(step, "/materials").iter().enumerate().map(|(i, m)| label(m, "material", i)).collect();
        grid.row([Cell::Words(text("/kind").replace('_', " ")), Cell::Words(when), Cell::Words(of.join(", "))]);
    }
    grid.render()
}

fn castings(expected: &Value) -> String {
    format!(
        "Castings to expect: {} in store at {} moisture, from {} dry feed.",
        range(at(expected, "/stored/volume")).sentence(),
        said(expected, "/store_moisture"),
        said(expected, "/dry_matter_in")
    )
}
