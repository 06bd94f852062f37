//! The parameters of cells: their names, their words, and what the document says of them.

use crate::http::output::enums::{kinds_of_rates, word_schema};
use utoipa::IntoParams;
use utoipa::openapi::path::{Parameter, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::{ArrayBuilder, Type};
use utoipa::openapi::{ObjectBuilder, RefOr, Required, Schema};

/// The parameters that may be repeated.
pub const REPEATED: &[&str] = &["container", "assume"];

/// The parameters that are one of some words.
pub const WORDS: &[(&str, &[&str])] = &[
    ("decimal", &["point", "comma"]),
    ("bound", &["low", "likely", "high"]),
    ("errors", &["status", "cell"]),
    ("of", &["castings", "stored"]),
];

/// A kind of surface, and its fields.
pub type Kind = (&'static str, &'static [&'static str]);

/// The fields of each kind of ground; what tells the kinds apart comes first.
pub const GROUNDS: &[Kind] = &[
    ("polygon", &["corners"]),
    ("rows", &["band_width", "length"]),
    ("ring", &["inner_diameter", "diameter"]),
    ("circle", &["diameter"]),
    ("area", &["area"]),
    ("rectangle", &["width", "length"]),
];

/// The fields of each other kind of surface.
pub const OTHERS: &[Kind] = &[
    ("planted_rows", &["spacing", "length"]),
    ("tapered_pots", &["top_diameter", "bottom_diameter", "height"]),
    ("pots", &["volume"]),
    ("plants", &[]),
];

/// The kinds of surface that the flat form has.
fn surface_kinds() -> impl Iterator<Item = &'static str> {
    GROUNDS.iter().chain(OTHERS).map(|(kind, _)| *kind).chain(["bed_fill"])
}

/// A field of the flat form: its name, an example, and what it is.
pub type Field = (&'static str, &'static str, &'static str);

macro_rules! params {
    ($($(#[$about:meta])* $group:ident { $($required:ident $name:literal $example:literal $what:literal;)* })*) => {$(
        $(#[$about])*
        pub struct $group;

        impl $group {
            /// Their names.
            pub const NAMES: &'static [&'static str] = &[$($name),*];
            /// Their names, each with an example and what it is.
            pub const FIELDS: &'static [Field] = &[$(($name, $example, $what)),*];
        }

        impl IntoParams for $group {
            fn into_params(_: impl Fn() -> Option<ParameterIn>) -> Vec<Parameter> {
                let required = [$(Required::$required),*];
                required.into_iter().zip(Self::FIELDS).map(|(required, field)| parameter(required, field)).collect()
            }
        }
    )*};
}

params! {
    /// The parameters of a surface. Those that are given decide its kind.
    Surface {
        False "count" "4" "How many of these.";
        False "length" "6m" "With a width: a rectangle; with a band: rows; with a spacing: planted rows.";
        False "width" "1.2 m" "Of a rectangle.";
        False "band_width" "20cm" "The treated band of a row.";
        False "diameter" "80 cm" "Of a circle, or of the outside of a ring.";
        False "inner_diameter" "20 cm" "Of the hole of a ring.";
        False "area" "12 m2" "An area that was measured elsewhere.";
        False "corners" "0 0, 4 0, 4 3 m" "Of a polygon: its corners in order around it, each `x y`, and their unit after the last.";
        False "spacing" "50 cm" "From plant to plant.";
        False "volume" "3 L" "Of one pot.";
        False "top_diameter" "20 cm" "Of a tapered pot.";
        False "bottom_diameter" "14 cm" "Of a tapered pot.";
        False "height" "18 cm" "Of a tapered pot.";
        False "bed_fill_depth" "30 cm" "Fills the ground with a mix to this depth.";
    }
    /// The parameter of its kind.
    SurfaceKind {
        False "surface" "rows" "The kind of surface; unless given, the fields decide.";
    }
    /// The parameters of a rate.
    Rate {
        False "rate" "1cm" "How much; its unit decides the kind. This, `castings` or `dry_mass`.";
        False "rate_kind" "available_nitrogen" "The kind of rate; only needed if its unit does not show it: for nutrients and dry mass.";
        False "castings" "60 L" "The castings for the whole place, by volume or mass, in place of a rate.";
        False "dry_mass" "18 kg" "The same by the mass of their dry matter.";
        False "settling" "0 %" "The share of its depth that a layer loses by settling.";
    }
    /// The parameters of an application that repeats.
    Repeat {
        False "repeat_every" "6 weeks" "The interval from one time to the next, in whole days or weeks. The answer is all times together.";
        False "repeat_times" "4" "How many times, the first one included.";
    }
    /// The parameters of a worm bed.
    Bed {
        True "material_depth" "25cm" "How deep the castings lie.";
        True "finished_share" "80 %" "The share that is ready.";
        False "sieve_yield" "70 %" "The share that passes the sieve.";
        False "of" "stored" "Castings as they lie in the bed, unless given, or once they are stored.";
    }
    /// The parameters of a brew.
    Brew {
        False "water" "200 L" "Water to brew with. Either this, or coverage and a surface.";
        False "coverage" "2 L/m2" "Tea for the surface.";
        False "castings_to_water" "1:10" "Castings to water.";
        False "dilution" "1:1" "Tea to water added before use.";
    }
    /// The parameters of the flat form that every cell takes.
    Common {
        False "unit" "L" "The unit of the answer, or a container; L or kg unless given, mm for a depth.";
        False "container" "bucket:12 L" "Your containers, each with its name and capacity; one parameter for each.";
        False "assume" "castings.bulk_density:620 kg/m3" "What you know better than a default: id and value; one parameter for each.";
        False "decimal" "point" "`comma` reads and writes the decimal mark as a comma: `length=6,5m&decimal=comma`.";
        False "bound" "high" "`low` or `high` gives that bound instead of the likely value.";
        False "errors" "cell" "`cell` returns errors as 200 with one line that begins with `# `, since spreadsheets hide the text of errors.";
    }
}

fn parameter(required: Required, (name, example, what): &Field) -> Parameter {
    let is_list = REPEATED.contains(name);
    let example = if is_list { serde_json::json!([example]) } else { (*example).into() };
    ParameterBuilder::new()
        .name(*name)
        .parameter_in(ParameterIn::Query)
        .required(required)
        .description(Some(*what))
        .schema(Some(schema(name, is_list)))
        .example(Some(example))
        .build()
}

fn schema(name: &str, is_list: bool) -> RefOr<Schema> {
    let text = ObjectBuilder::new().schema_type(Type::String);
    let words = WORDS.iter().find(|(known, _)| *known == name).map(|(_, words)| *words);
    match (name, words) {
        (_, Some(words)) => word_schema(words.iter().copied()),
        ("surface", _) => word_schema(surface_kinds()),
        ("rate_kind", _) => word_schema(kinds_of_rates()),
        _ if is_list => RefOr::T(ArrayBuilder::new().items(text).build().into()),
        _ => RefOr::T(text.build().into()),
    }
}
