//! Compost tea: what goes into each brew, and when each batch starts and is ready.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind};
use super::words::{at, items, joined, label, measures, moment, range, value};

/// One table for the brews, one for their batches.
pub(super) fn tables(answer: &Value) -> String {
    let brews = items(answer, "/brews");
    let parts = [amounts(brews), batches(brews)];
    joined(&parts, "\n\n")
}

fn amounts(brews: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("brew", Kind::Words),
        ("water", Kind::Number),
        ("castings", Kind::Number),
        ("mass", Kind::Number),
        ("in measures", Kind::Words),
        ("tea", Kind::Number),
    ]);
    for (index, brew) in brews.iter().enumerate() {
        let castings = at(brew, "/castings");
        grid.row([
            Cell::Words(label(brew, "brew", index)),
            Cell::Number(value(at(brew, "/water"))),
            Cell::Number(value(castings.get("volume").unwrap_or(castings))),
            Cell::Number(range(at(castings, "/mass"))),
            Cell::Words(measures(at(castings, "/in_measures"))),
            Cell::Number(range(at(brew, "/tea"))),
        ]);
    }
    grid.render()
}

fn batches(brews: &[Value]) -> String {
    let mut grid = Grid::new(&[
        ("batch", Kind::Words),
        ("water", Kind::Number),
        ("castings", Kind::Number),
        ("start", Kind::Words),
        ("ready", Kind::Words),
        ("use by", Kind::Words),
    ]);
    for (index, brew) in brews.iter().enumerate() {
        let batches = items(brew, "/batches");
        for (turn, batch) in batches.iter().enumerate() {
            let castings = at(batch, "/castings");
            let name = label(brew, "brew", index);
            grid.row([
                Cell::Words(format!("{name}, {} of {}", turn.saturating_add(1), batches.len())),
                Cell::Number(value(at(batch, "/water"))),
                Cell::Number(value(castings.get("volume").unwrap_or(castings))),
                Cell::Number(moment(at(batch, "/start"))),
                Cell::Number(moment(at(batch, "/ready"))),
                Cell::Number(moment(at(batch, "/use_by"))),
            ]);
        }
    }
    grid.render()
}
