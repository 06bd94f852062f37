//! The questions that take a table: their columns, and what a row becomes.

use super::Tabular;
use super::columns::Figure;
use super::fields::{NoList, Row};
use crate::garden::units::text::clip;
use crate::http::output::quantity::Role;
use crate::http::resources::applications::Applications;
use crate::http::resources::balances::Balances;
use crate::http::resources::cells::flat::{Fields, Flat};
use crate::http::resources::cells::params::{Bed, Field, Rate, Repeat, Surface, SurfaceKind};
use crate::http::resources::harvests::Harvests;
use crate::http::wire::{ErrorCode, Node};

impl Tabular for Applications {
    const LISTS: &'static [&'static str] = &["areas"];
    const DESCRIBED: &'static [&'static str] = &["areas"];
    const ADDS: &'static [Figure] = &[
        Figure::of("surface_area", &[Role::Area]),
        Figure::of("depth", &[Role::Depth]).bounded(&[Role::Depth]),
        Figure::of("volume_per_length", &[Role::BulkPerLength]).bounded(&[Role::BulkPerLength]),
        Figure::of("per_plant", &[Role::Bulk]).bounded(&[Role::Bulk]),
        Figure::of("share_of_mix", &[Role::Share]).bounded(&[Role::Share]),
        Figure::of("castings", &[Role::Bulk, Role::Mass]).bounded(&[Role::Bulk, Role::Mass]).in_containers(),
        Figure::of("castings_each", &[Role::Bulk]).bounded(&[Role::Bulk]),
        Figure::of("nitrogen", &[Role::Nutrient]).bounded(&[Role::Nutrient]),
        Figure::of("available_nitrogen", &[Role::Nutrient]).bounded(&[Role::Nutrient]),
        Figure::of("phosphorus", &[Role::Nutrient]).bounded(&[Role::Nutrient]),
        Figure::of("phosphate", &[Role::Nutrient]).bounded(&[Role::Nutrient]),
        Figure::of("potassium", &[Role::Nutrient]).bounded(&[Role::Nutrient]),
        Figure::of("potash", &[Role::Nutrient]).bounded(&[Role::Nutrient]),
        Figure::of("organic_matter", &[Role::Mass]).bounded(&[Role::Mass]),
        Figure::of("salt", &[Role::Conductivity]).bounded(&[Role::Conductivity]),
        Figure::of("salt_limit", &[Role::Conductivity]),
        Figure::of("salt_largest_share", &[Role::Share]).bounded(&[Role::Share]),
    ];
    const TABLE: &'static str = include_str!("../../../../demo-data/tables/applications.csv");

    fn takes() -> Vec<Field> {
        [SurfaceKind::FIELDS, Surface::FIELDS, Rate::FIELDS, Repeat::FIELDS].concat()
    }

    fn list(_: &Row<'_>) -> Result<&'static str, NoList> {
        Ok("areas")
    }

    fn item<'s>(_: &'static str, row: Flat<'s, '_>) -> Vec<(&'static str, Node<'s>)> {
        row.area()
    }
}

/// Columns of demands and lots.
const ACCOUNT: &[Field] = &[
    ("row", "demand", "What the row is: `stock` or `demand`."),
    (
        "amount",
        "40 L",
        "How much is needed, or how much there is, by volume or mass. Of a demand this, or a surface and a rate.",
    ),
    ("ready_on", "2027-03-01", "Of stock: the first day on which it can be used."),
    ("use_by", "2027-12-31", "Of stock: the last day on which it can be used."),
    ("on", "2027-04-05", "Of a demand: the day. This, or `earliest` and `latest`, or none."),
    ("earliest", "2027-05-15", "Of a demand: the first day."),
    ("latest", "2027-06-01", "Of a demand: the last day."),
    ("priority", "1", "Of a demand: 1 is served first; 1 unless given."),
    ("minimum", "20 L", "Of a demand: the smallest amount that is of use."),
];

/// Columns of a demand that is a place with its rate.
const OF_A_PLACE: [&str; 3] = ["rate", "rate_kind", "settling"];

impl Tabular for Balances {
    const LISTS: &'static [&'static str] = &["stock", "demands"];
    const ROWS: &'static [(&'static str, &'static str)] = &[("stock", "stock"), ("demand", "demands")];
    const DESCRIBED: &'static [&'static str] = &["demands", "stock"];
    const ADDS: &'static [Figure] = &[
        Figure::of("needed", &[Role::Bulk]),
        Figure::of("allocated", &[Role::Bulk]).in_containers(),
        Figure::of("shortfall", &[Role::Bulk]),
        Figure::of("share_allocated", &[Role::Share]),
        Figure::of("remaining", &[Role::Bulk]),
        Figure::of("expired", &[Role::Bulk]),
        Figure::of("share_supplied", &[Role::Share]),
        Figure::of("would_have_been_allocated", &[Role::Bulk]),
    ];
    const ADDS_WORDS: &'static [&'static str] = &["allocations", "incorporate_by"];
    const TABLE: &'static str = include_str!("../../../../demo-data/tables/balances.csv");

    fn takes() -> Vec<Field> {
        let of_a_place = Rate::FIELDS.iter().copied().filter(|(name, ..)| OF_A_PLACE.contains(name)).collect();
        [ACCOUNT.to_vec(), SurfaceKind::FIELDS.to_vec(), Surface::FIELDS.to_vec(), of_a_place].concat()
    }

    fn list(row: &Row<'_>) -> Result<&'static str, NoList> {
        word(row, Self::ROWS, None)
    }

    fn guess(row: &Row<'_>) -> Option<&'static str> {
        let is_of_stock = ["ready_on", "use_by"].iter().any(|field| row.get(field).is_some());
        Some(if is_of_stock { "stock" } else { "demands" })
    }

    fn item<'s>(list: &'static str, row: Flat<'s, '_>) -> Vec<(&'static str, Node<'s>)> {
        let texts = ["amount", "ready_on", "use_by", "on", "earliest", "latest", "minimum"];
        let mut item = row.given(&texts);
        item.extend(row.number("priority"));
        let place = [SurfaceKind::NAMES, Surface::NAMES, &OF_A_PLACE].concat();
        if list == "demands" && row.has(&place) {
            let mut application = vec![("surface", row.surface()), ("rate", row.rate())];
            application.extend(row.given(&["settling"]));
            item.push(("application", Node::object_from(application)));
        } else {
            // A lot has none of them, which is then said.
            item.extend(row.given(&place));
        }
        item
    }
}

/// Columns that make the ground of a worm bed.
pub(super) const OF_GROUND: [&str; 8] =
    ["count", "length", "width", "band_width", "diameter", "inner_diameter", "area", "corners"];
/// Columns of a finished bed; heaps have the last two as well.
const OF_A_BED: [&str; 3] = ["material_depth", "finished_share", "sieve_yield"];

/// Columns of heaps that beds do not have.
const HEAPS: &[Field] = &[
    ("row", "worm_bed", "What the row is: `worm_bed`, or `heap`; a worm bed unless given."),
    ("heap", "cone", "Of a heap its kind: `cone`, `windrow`, `bay`, `bin` or `counted`."),
    ("height", "60 cm", "Of a heap."),
    ("mean_length", "1.5 m", "Of a bay: half-way between its length at the bottom and at the top."),
    ("section", "triangular", "Of a windrow: `triangular` or `half_ellipse`."),
    ("ends", "sloped", "Of a windrow: `sloped` or `square`."),
    ("capacity", "12 L", "Of counted containers: what each holds."),
];

impl Tabular for Harvests {
    const LISTS: &'static [&'static str] = &["worm_beds", "heaps"];
    const ROWS: &'static [(&'static str, &'static str)] = &[("worm_bed", "worm_beds"), ("heap", "heaps")];
    const DESCRIBED: &'static [&'static str] = &["harvests"];
    const ADDS: &'static [Figure] = &[
        Figure::of("in_place", &[Role::Bulk]),
        Figure::of("unfinished", &[Role::Bulk]),
        Figure::of("finished", &[Role::Bulk]),
        Figure::of("castings", &[Role::Bulk]).bounded(&[Role::Bulk]),
        Figure::of("oversize", &[Role::Bulk]),
        Figure::of("stored", &[Role::Bulk, Role::Mass]).bounded(&[Role::Bulk, Role::Mass]).in_containers(),
    ];
    const TABLE: &'static str = include_str!("../../../../demo-data/tables/harvests.csv");

    fn takes() -> Vec<Field> {
        let of_ground = Surface::FIELDS.iter().copied().filter(|(name, ..)| OF_GROUND.contains(name)).collect();
        let of_a_bed = Bed::FIELDS.iter().copied().filter(|(name, ..)| OF_A_BED.contains(name)).collect();
        [HEAPS.to_vec(), SurfaceKind::FIELDS.to_vec(), of_ground, of_a_bed].concat()
    }

    fn list(row: &Row<'_>) -> Result<&'static str, NoList> {
        word(row, Self::ROWS, Some("worm_beds"))
    }

    fn item<'s>(list: &'static str, row: Flat<'s, '_>) -> Vec<(&'static str, Node<'s>)> {
        let of_heaps: Vec<&'static str> = HEAPS.iter().map(|(name, ..)| *name).filter(|name| *name != "row").collect();
        if list == "worm_beds" {
            // A bed has none of a heap's, which is then said.
            let mut bed = row.bed();
            bed.extend(row.given(&of_heaps));
            return bed;
        }
        let mut heap: Vec<_> = row.given(&["heap"]).into_iter().map(|(_, kind)| ("kind", kind)).collect();
        heap.extend(row.number("count"));
        let rest: Vec<&'static str> = of_heaps.into_iter().chain(OF_GROUND).chain(OF_A_BED).collect();
        heap.extend(row.given(&rest).into_iter().filter(|(name, _)| !["heap", "count"].contains(name)));
        heap.extend(row.given(SurfaceKind::NAMES));
        heap
    }
}

/// The list that the column `row` says, or the usual one where it says nothing.
pub(super) fn word(
    row: &Row<'_>,
    words: &'static [(&'static str, &'static str)],
    usual: Option<&'static str>,
) -> Result<&'static str, NoList> {
    let word = row.get("row");
    let found = match word {
        Some(word) => words.iter().find(|(known, _)| *known == word.to_lowercase()).map(|(_, list)| *list),
        None => usual,
    };
    found.ok_or_else(|| {
        let allowed: Vec<&'static str> = words.iter().map(|(word, _)| *word).collect();
        let unknown_word = word.map_or_else(String::new, |word| format!("\"{}\" is not known here. ", clip(word)));
        let code = if word.is_some() { ErrorCode::UnknownValue } else { ErrorCode::MissingField };
        let detail = format!("{unknown_word}Write {} in the column row.", one_of(&allowed));
        NoList { field: "row", code, detail, allowed }
    })
}

/// `bed, fed or worms`
fn one_of(words: &[&str]) -> String {
    match words {
        [rest @ .., before, last] => {
            rest.iter().map(|word| format!("{word}, ")).chain([format!("{before} or {last}")]).collect()
        }
        _ => words.concat(),
    }
}
