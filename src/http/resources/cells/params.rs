//! The parameters of cells: their names, and what the document says of them.

use utoipa::IntoParams;
use utoipa::openapi::path::{Parameter, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::Type;
use utoipa::openapi::{ObjectBuilder, Required};

macro_rules! params {
    ($($(#[$about:meta])* $group:ident { $($required:ident $name:literal $example:literal $what:literal;)* })*) => {$(
        $(#[$about])*
        pub struct $group;

        impl $group {
            /// Their names.
            pub const NAMES: &'static [&'static str] = &[$($name),*];
        }

        impl IntoParams for $group {
            fn into_params(_: impl Fn() -> Option<ParameterIn>) -> Vec<Parameter> {
                vec![$(parameter(Required::$required, $name, $example, $what)),*]
            }
        }
    )*};
}

params! {
    /// The parameters of a surface. Those that are given decide its kind.
    Surface {
        False "count" "4" "How many alike.";
        False "length" "6m" "With width a rectangle, with band rows, with spacing planted rows.";
        False "width" "1.2 m" "Of a rectangle.";
        False "band_width" "20cm" "The treated band of a row.";
        False "diameter" "80 cm" "Of a circle, or of the outside of a ring.";
        False "inner_diameter" "20 cm" "Of the hole of a ring.";
        False "area" "12 m2" "An area that was measured elsewhere.";
        False "spacing" "50 cm" "From plant to plant.";
        False "volume" "3 L" "Of one pot.";
        False "top_diameter" "20 cm" "Of a tapered pot.";
        False "bottom_diameter" "14 cm" "Of a tapered pot.";
        False "height" "18 cm" "Of a tapered pot.";
        False "fill_depth" "30 cm" "Fills the ground with a mix to this depth.";
    }
    /// The parameter of its kind.
    SurfaceKind {
        False "surface" "rows" "The kind of surface, where the fields alone should not decide.";
    }
    /// The parameters of a rate.
    Rate {
        False "rate" "1cm" "How much; its unit decides the kind. This, `castings` or `dry_mass`.";
        False "rate_kind" "available_nitrogen" "The kind of rate; only needed to say `available_nitrogen`, `phosphorus`, `phosphate`, `potassium`, `potash` or `dry_mass_per_area`.";
        False "castings" "60 L" "The castings for the whole place, by volume or mass, in place of a rate.";
        False "dry_mass" "18 kg" "The same by the mass of their dry matter.";
        False "settling" "0 %" "The share of its depth that a layer loses by settling.";
    }
    /// The parameters of a worm bed.
    Bed {
        True "material_depth" "25cm" "How deep the castings lie.";
        True "finished_share" "80 %" "The share that is ready.";
        False "sieve_yield" "70 %" "The share that passes the sieve.";
        False "of" "stored" "`castings` as they lie in the bed (the default), or `stored`.";
    }
    /// The parameters of a brew.
    Brew {
        False "water" "200 L" "Water to brew with. Either this, or coverage and a surface.";
        False "coverage" "2 L/m2" "Tea for the surface.";
        False "castings_to_water" "1:10" "Castings for water.";
        False "dilution" "1:1" "Tea for water added before use.";
    }
    /// The parameters of the flat form that every cell takes.
    Common {
        False "unit" "L" "The unit of the answer, or a measure; L or kg unless given, of a depth mm.";
        False "container" "bucket:12 L" "A container of yours: its name and capacity. May be repeated.";
        False "assume" "castings.bulk_density:620 kg/m3" "What is known better than a default: id and value. May be repeated.";
        False "decimal" "point" "`comma` reads and writes the decimal mark as a comma: `length=6,5m&decimal=comma`.";
        False "bound" "high" "`low` or `high` answers that bound instead of the likely value.";
        False "errors" "cell" "`cell` answers errors as 200 with one line that begins with `# `, since spreadsheets hide the text of errors.";
    }
}

fn parameter(required: Required, name: &str, example: &str, what: &str) -> Parameter {
    ParameterBuilder::new()
        .name(name)
        .parameter_in(ParameterIn::Query)
        .required(required)
        .description(Some(what))
        .schema(Some(ObjectBuilder::new().schema_type(Type::String)))
        .example(Some(example.into()))
        .build()
}
