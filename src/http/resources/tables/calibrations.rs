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
    (
        "row",
        "fed",
        "What the row is: `bed`, `fed`, `harvested`, `eaten` or `worms`. The row of a bed stands above the others about it.",
    ),
    ("worms", "2 kg", "Of a bed: live worms at the start. Of `worms`: all live worms, weighed on the day."),
    (
        "start_on",
        "2026-03-01",
        "Of a bed: the day on which the worms were put in; that of the first feed unless given.",
    ),
    ("bed_temperature", "15 C", "Of a bed: its temperature on every day."),
    (
        "material",
        "leaves_shredded",
        "Of a bed: what it was fed, a material of `GET /v1/materials`. This, or `moisture` and `ash`.",
    ),
    ("moisture", "70 %", "Of a bed: the water of its feed, of the whole."),
    (
        "ash",
        "10 %",
        "Of a bed: ash in the dry matter of its feed. Of `harvested`: ash in the dry matter of the castings, measured.",
    ),
    (
        "bulk_density",
        "400 kg/m3",
        "Of a bed: of its feed, as moist as it was fed; needed where an amount fed is a volume and no material is named.",
    ),
    ("on", "2026-04-15", "The day on which it was fed, harvested, found eaten or weighed."),
    ("amount", "60 L", "Of `fed` and `harvested`: how much, by volume or mass."),
    ("ready_on", "2026-09-14", "Of `harvested`: the day on which the castings were ready."),
    ("sieve_yield", "70 %", "Of `harvested`: the share that passed the sieve."),
    ("layer", "1", "Of `eaten`: which feeding of the bed, by the number of its row among those of the bed, from 1."),
    ("not_yet_on", "2026-06-28", "Of `eaten`, in place of `on`: a day on which the layer was not yet eaten."),
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
        ("id", "north", "Of a bed: your own id, which no other bed has. Of other rows: the id of their bed."),
        ("name", "north bed", "Of a bed: your own name for it. Of other rows without an id: the name of their bed."),
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
            item.push(("ground", row.surface()));
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
