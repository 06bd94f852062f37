//! The table of records of beds: its columns, and what a row becomes. A row is a bed, or something that was done with it or observed of it.

use super::Tabular;
use super::columns::Figure;
use super::fields::{NoList, Row};
use super::kinds::{OF_GROUND, word};
use crate::http::output::quantity::Role;
use crate::http::present::Description;
use crate::http::resources::calibrations::{Calibrations, CalibrationsAnswer, beside_rows};
use crate::http::resources::cells::flat::Flat;
use crate::http::resources::cells::params::{Field, Surface, SurfaceKind};
use crate::http::wire::Node;

/// Columns of records of beds.
const RECORD: &[Field] = &[
    ("row", "fed", "`bed`, `fed`, `harvested`, `eaten` or `worms`; the row of a bed first."),
    ("worms", "2 kg", "Of a bed: live worms at the start. Of `worms`: all live worms, weighed."),
    ("start_on", "2026-03-01", "Of a bed: the day on which the worms were put in; the first feeding unless given."),
    ("bed_temperature", "15 C", "Of a bed: its temperature on every day."),
    ("material", "leaves_shredded", "Of a bed: what it was fed. This, or `moisture` and `ash`."),
    ("moisture", "70 %", "Of a bed: water of its feed."),
    ("ash", "10 %", "Of a bed: ash in the dry matter of its feed. Of `harvested`: that of the castings."),
    ("bulk_density", "400 kg/m3", "Of a bed: of its moist feed; needed for volumes without `material`."),
    ("on", "2026-04-15", "The day."),
    ("amount", "60 L", "Of `fed` and `harvested`: a volume or mass."),
    ("ready_on", "2026-09-14", "Of `harvested`: when they were ready."),
    ("sieve_yield", "70 %", "Of `harvested`: the share that passed the sieve."),
    ("layer", "1", "Of `eaten`: which row `fed` of the bed, from 1."),
    ("not_yet_on", "2026-06-28", "Of `eaten`, in place of `on`: a day on which it was not yet eaten."),
];

/// Columns of what a bed was fed.
const OF_A_FEED: [&str; 4] = ["material", "moisture", "ash", "bulk_density"];

/// The columns of `RECORD` that the rows in a list have.
fn of_a_record(list: &str) -> &'static [&'static str] {
    match list {
        "records" => &["worms", "start_on", "bed_temperature", "material", "moisture", "ash", "bulk_density"],
        "fed" => &["on", "amount"],
        "harvested" => &["on", "amount", "ready_on", "sieve_yield", "ash"],
        "layers_eaten" => &["layer", "on", "not_yet_on"],
        _ => &["on", "worms"],
    }
}

impl Tabular for Calibrations {
    const LISTS: &'static [&'static str] = &["records"];
    const NESTED: &'static [&'static str] = &["fed", "harvested", "layers_eaten", "worms_weighed"];
    const ROWS: &'static [(&'static str, &'static str)] = &[
        ("bed", "records"),
        ("fed", "fed"),
        ("harvested", "harvested"),
        ("eaten", "layers_eaten"),
        ("worms", "worms_weighed"),
    ];
    const NAMED: [Field; 2] = [
        ("id", "north", "Your own id of the bed, on all its rows."),
        ("name", "north bed", "Your own name for the bed; without an id on all its rows."),
    ];
    const DESCRIBED: &'static [&'static str] = &["rows"];
    const ADDS: &'static [Figure] = &[
        Figure::of("before_p10", &[Role::Bulk, Role::Mass]),
        Figure::of("before_p50", &[Role::Bulk, Role::Mass]),
        Figure::of("before_p90", &[Role::Bulk, Role::Mass]),
        Figure::of("after_p10", &[Role::Bulk, Role::Mass]),
        Figure::of("after_p50", &[Role::Bulk, Role::Mass]),
        Figure::of("after_p90", &[Role::Bulk, Role::Mass]),
    ];
    const ADDS_WORDS: &'static [&'static str] = &[
        "before_on_p10",
        "before_on_p50",
        "before_on_p90",
        "after_on_p10",
        "after_on_p50",
        "after_on_p90",
        "fits",
        "reason",
    ];
    const TABLE: &'static str = include_str!("../../../../demo-data/tables/calibrations.csv");

    fn takes() -> Vec<Field> {
        let of_ground = Surface::FIELDS.iter().copied().filter(|(name, ..)| OF_GROUND.contains(name)).collect();
        [RECORD.to_vec(), SurfaceKind::FIELDS.to_vec(), of_ground].concat()
    }

    fn list(row: &Row<'_>) -> Result<&'static str, NoList> {
        word(row, Self::ROWS, None)
    }

    fn item<'s>(list: &'static str, row: Flat<'s, '_>) -> Vec<(&'static str, Node<'s>)> {
        let own = of_a_record(list);
        let is_left_over = |name: &&'static str| *name != "row" && !own.contains(name);
        let left_over: Vec<&'static str> = RECORD.iter().map(|(name, ..)| *name).filter(is_left_over).collect();
        // A row has none of those of other rows, which is then said.
        let mut item = row.given(&left_over);
        if list == "records" {
            item.push(("ground", row.ground()));
            let feed = row.given(&OF_A_FEED);
            item.extend((!feed.is_empty()).then(|| ("feed", Node::object_from(feed))));
            item.extend(row.given(&["worms", "start_on"]));
            item.extend(row.given(&["bed_temperature"]).into_iter().map(|(_, text)| ("climate", text)));
            return item;
        }
        let texts: Vec<&'static str> = own.iter().copied().filter(|name| *name != "layer").collect();
        item.extend(row.given(&texts));
        if own.contains(&"layer") {
            item.extend(row.number("layer"));
        }
        item.extend(row.given(&[SurfaceKind::NAMES, &OF_GROUND].concat()));
        item
    }

    fn beside(answer: &CalibrationsAnswer) -> Description<'_> {
        beside_rows(answer)
    }
}
