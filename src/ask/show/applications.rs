//! What each row, bed and pot takes.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind};
use super::words::{at, items, label, measures, range, value};

/// One row for each area and one for the total.
pub(super) fn tables(answer: &Value) -> String {
    let mut grid = Grid::new(&[
        ("place", Kind::Words),
        ("size", Kind::Words),
        ("depth", Kind::Number),
        ("castings", Kind::Number),
        ("mass", Kind::Number),
        ("in measures", Kind::Words),
        ("N", Kind::Number),
        ("available\nN", Kind::Number),
    ]);
    for (index, area) in items(answer, "/areas").iter().enumerate() {
        row(&mut grid, label(area, "area", index), area);
    }
    let total = at(answer, "/total");
    if total.is_object() {
        row(&mut grid, "total".to_owned(), total);
    }
    grid.render()
}

fn row(grid: &mut Grid, place: String, area: &Value) {
    let nutrient = |name: &str| {
        let carried = at(area, &format!("/nutrients/{name}"));
        Cell::Number(value(carried.get("mass").unwrap_or(carried)))
    };
    grid.row([
        Cell::Words(place),
        Cell::Words(size(area)),
        Cell::Number(value(at(area, "/depth"))),
        Cell::Number(value(at(area, "/castings/volume"))),
        Cell::Number(range(at(area, "/castings/mass"))),
        Cell::Words(measures(at(area, "/castings/in_measures"))),
        nutrient("nitrogen"),
        nutrient("available_nitrogen"),
    ]);
}

/// The first of these that the answer has: ground covered, plants, pots, row length, mix.
fn size(area: &Value) -> String {
    let kinds =
        [("surface_area", ""), ("plants", " plants"), ("pots", " pots"), ("row_length", " of row"), ("mix", " of mix")];
    let mut sizes = kinds.iter().filter_map(|(field, noun)| {
        let words = value(area.get(field)?).sentence();
        if words.is_empty() { None } else { Some(format!("{words}{noun}")) }
    });
    sizes.next().unwrap_or_default()
}
