//! Every unit with its exact factor. All customary factors follow from 1 in = 25.4 mm, 1 lb = 0.45359237 kg,
//! 1 US gal = 231 in3, 1 US bu = 2150.42 in3 and 1 imp gal = 4.54609 L (NIST Handbook 44, Appendix C; NIST SP 811,
//! Appendix B), written out in full: each is the decimal value itself, not a rounding of it.

use super::quantity::Dimension;
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::LazyLock;

/// A unit that is written alone or on either side of a `/`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// As the service writes it.
    pub symbol: &'static str,
    /// What it measures.
    pub measures: Atom,
    /// Base units in one of this unit.
    pub factor: f64,
    /// Other spellings that are read.
    pub spellings: &'static [&'static str],
}

/// What a single unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Atom {
    /// A dimension of its own.
    Of(Dimension),
    /// One plant or pot: only below a `/`.
    Plant,
    /// Conductance, held in dS: only above a `/`.
    Conductance,
}

/// A unit of conductance, so many dS.
const fn siemens(symbol: &'static str, factor: f64, spellings: &'static [&'static str]) -> Unit {
    Unit { symbol, measures: Atom::Conductance, factor, spellings }
}

const fn unit(symbol: &'static str, dimension: Dimension, factor: f64, spellings: &'static [&'static str]) -> Unit {
    Unit { symbol, measures: Atom::Of(dimension), factor, spellings }
}

use Dimension::{Area, Duration, Length, Mass, Share, Temperature, Volume};

/// The closed list of units of version 1.
pub static UNITS: &[Unit] = &[
    unit("mm", Length, 0.001, &["millimetre", "millimetres", "millimeter", "millimeters"]),
    unit("cm", Length, 0.01, &["centimetre", "centimetres", "centimeter", "centimeters"]),
    unit("m", Length, 1.0, &["metre", "metres", "meter", "meters"]),
    unit("km", Length, 1_000.0, &["kilometre", "kilometres", "kilometer", "kilometers"]),
    unit("in", Length, 0.0254, &["inch", "inches", "ins", "\"", "\u{2033}", "\u{201d}", "''"]),
    unit("ft", Length, 0.3048, &["foot", "feet", "'", "\u{2032}", "\u{2019}"]),
    unit("yd", Length, 0.9144, &["yds", "yard", "yards"]),
    unit("m2", Area, 1.0, &["m^2", "sq m", "square metre", "square metres", "square meter", "square meters", "sqm"]),
    unit("ft2", Area, 0.092_903_04, &["ft^2", "sq ft", "square foot", "square feet", "sqft"]),
    unit("yd2", Area, 0.836_127_36, &["yd^2", "sq yd", "square yard", "square yards"]),
    unit("ha", Area, 10_000.0, &["hectare", "hectares"]),
    unit("acre", Area, 4_046.856_422_4, &["acres", "ac"]),
    unit("mL", Volume, 0.001, &["millilitre", "millilitres", "milliliter", "milliliters"]),
    unit("L", Volume, 1.0, &["litre", "litres", "liter", "liters"]),
    unit("m3", Volume, 1_000.0, &["m^3", "cu m", "cubic metre", "cubic metres", "cubic meter", "cubic meters"]),
    unit("ft3", Volume, 28.316_846_592, &["ft^3", "cu ft", "cu. ft", "cu. ft.", "cf", "cubic foot", "cubic feet"]),
    unit("yd3", Volume, 764.554_857_984, &["yd^3", "cu yd", "cu. yd", "cu. yd.", "cubic yard", "cubic yards"]),
    unit("US gal", Volume, 3.785_411_784, &["US gallon", "US gallons"]),
    unit("US qt", Volume, 0.946_352_946, &["US quart", "US quarts"]),
    unit("US pt", Volume, 0.473_176_473, &["US pint", "US pints"]),
    unit("US fl oz", Volume, 0.029_573_529_562_5, &["US fluid ounce", "US fluid ounces"]),
    unit("US cup", Volume, 0.236_588_236_5, &["US cups"]),
    unit("US tbsp", Volume, 0.014_786_764_781_25, &["US tablespoon", "US tablespoons"]),
    unit("US tsp", Volume, 0.004_928_921_593_75, &["US teaspoon", "US teaspoons"]),
    unit("imp gal", Volume, 4.546_09, &["imperial gallon", "imperial gallons", "UK gal", "UK gallon", "UK gallons"]),
    unit("imp qt", Volume, 1.136_522_5, &["imperial quart", "imperial quarts", "UK qt", "UK quart", "UK quarts"]),
    unit("imp pt", Volume, 0.568_261_25, &["imperial pint", "imperial pints", "UK pt", "UK pint", "UK pints"]),
    unit("imp fl oz", Volume, 0.028_413_062_5, &["imperial fluid ounce", "imperial fluid ounces", "UK fl oz"]),
    unit("US bu", Volume, 35.239_070_166_88, &["US bushel", "US bushels"]),
    unit("imp bu", Volume, 36.368_72, &["imperial bushel", "imperial bushels", "UK bushel", "UK bushels"]),
    unit("g", Mass, 0.001, &["gram", "grams", "gramme", "grammes"]),
    unit("kg", Mass, 1.0, &["kilogram", "kilograms", "kilogramme", "kilogrammes", "kilo", "kilos"]),
    unit("t", Mass, 1_000.0, &["tonne", "tonnes", "metric ton", "metric tons"]),
    unit("oz", Mass, 0.028_349_523_125, &["ounce", "ounces"]),
    unit("lb", Mass, 0.453_592_37, &["lbs", "pound", "pounds"]),
    unit("short ton", Mass, 907.184_74, &["short tons", "US ton", "US tons"]),
    unit("long ton", Mass, 1_016.046_908_8, &["long tons", "UK ton", "UK tons"]),
    unit("min", Duration, 1.0 / 60.0, &["mins", "minute", "minutes"]),
    unit("h", Duration, 1.0, &["hr", "hrs", "hour", "hours"]),
    unit("d", Duration, 24.0, &["day", "days"]),
    unit("week", Duration, 168.0, &["weeks", "wk", "wks"]),
    unit("C", Temperature, 1.0, &["°C", "deg C", "degrees C", "celsius", "degrees celsius"]),
    unit("F", Temperature, 5.0 / 9.0, &["°F", "deg F", "degrees F", "fahrenheit", "degrees fahrenheit"]),
    unit("%", Share, 0.01, &["percent", "per cent"]),
    siemens("dS", 1.0, &["decisiemens"]),
    // A mho is a siemens.
    siemens("mS", 0.01, &["millisiemens", "mmho", "mmhos"]),
    siemens("uS", 1e-5, &["µS", "μS", "microsiemens", "umho", "umhos", "µmho", "µmhos", "μmho", "μmhos"]),
    Unit { symbol: "plant", measures: Atom::Plant, factor: 1.0, spellings: &["plants", "pot", "pots"] },
];

/// Names of units of different size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ambiguous {
    /// The names.
    pub names: &'static [&'static str],
    /// The units that may be meant; `mL` for a measure that differs between countries.
    pub meant: &'static [&'static str],
    /// The one that is meant in a request in US customary units; `None` if the name stays ambiguous there.
    pub us: Option<&'static str>,
}

impl Ambiguous {
    /// Whether it is a cup or a spoon: so may a container of the caller be called.
    #[must_use]
    pub fn is_kitchen_measure(&self) -> bool {
        self.meant.contains(&"mL")
    }
}

const fn ambiguous_names(
    names: &'static [&'static str],
    meant: &'static [&'static str],
    us: Option<&'static str>,
) -> Ambiguous {
    Ambiguous { names, meant, us }
}

/// Every name of units of different size.
pub static AMBIGUOUS: &[Ambiguous] = &[
    ambiguous_names(&["gal", "gals", "gallon", "gallons"], &["US gal", "imp gal"], Some("US gal")),
    ambiguous_names(&["qt", "qts", "quart", "quarts"], &["US qt", "imp qt"], Some("US qt")),
    ambiguous_names(&["pt", "pts", "pint", "pints"], &["US pt", "imp pt"], Some("US pt")),
    ambiguous_names(&["fl oz", "fluid ounce", "fluid ounces"], &["US fl oz", "imp fl oz"], Some("US fl oz")),
    ambiguous_names(&["cup", "cups"], &["US cup", "mL"], Some("US cup")),
    ambiguous_names(&["tbsp", "tablespoon", "tablespoons"], &["US tbsp", "mL"], Some("US tbsp")),
    ambiguous_names(&["tsp", "teaspoon", "teaspoons"], &["US tsp", "mL"], Some("US tsp")),
    ambiguous_names(&["bu", "bushel", "bushels"], &["US bu", "imp bu"], Some("US bu")),
    ambiguous_names(&["ton", "tons"], &["t", "short ton", "long ton"], Some("short ton")),
    ambiguous_names(&["T"], &["t", "short ton", "long ton"], None),
];

/// Names that would be another unit's if their case did not count: a megalitre is no millilitre, and `T` may be any ton.
const EXACT_CASE: &[&str] = &["ML", "T"];

type ByName = HashMap<Cow<'static, str>, &'static Unit>;

/// The units by all their names, the first of the table where two have one name.
fn by_name(key: fn(&'static str) -> Cow<'static, str>) -> ByName {
    let mut all = ByName::new();
    for unit in UNITS {
        for name in std::iter::once(&unit.symbol).chain(unit.spellings) {
            all.entry(key(name)).or_insert(unit);
        }
    }
    all
}

/// The units by their names as they are written.
static EXACT: LazyLock<ByName> = LazyLock::new(|| by_name(Cow::Borrowed));
/// The units by their names in small letters.
static ANY_CASE: LazyLock<ByName> = LazyLock::new(|| by_name(|name| name.to_ascii_lowercase().into()));

/// Finds a unit by its symbol or a spelling: in exact case first, then in any case.
#[must_use]
pub fn find(name: &str) -> Option<&'static Unit> {
    if EXACT_CASE.contains(&name) {
        return None;
    }
    EXACT.get(name).or_else(|| ANY_CASE.get(name.to_ascii_lowercase().as_str())).copied()
}

/// All units of the table that fit a dimension, then those made of others as examples.
pub fn fitting(dimension: Dimension) -> impl Iterator<Item = &'static str> {
    let alone = match dimension {
        Dimension::VolumePerPlant => Volume,
        Dimension::MassPerPlant => Mass,
        Dimension::TemperatureDifference => Temperature,
        other => other,
    };
    let units = UNITS.iter().filter(move |unit| unit.measures == Atom::Of(alone)).map(|unit| unit.symbol);
    units.chain(dimension.compounds().iter().copied())
}

/// What an ambiguous name may mean; `None` if the name is not ambiguous.
#[must_use]
pub fn ambiguous(name: &str) -> Option<&'static Ambiguous> {
    AMBIGUOUS.iter().find(|entry| entry.names.iter().any(|n| n.eq_ignore_ascii_case(name)))
}

/// The unit that an ambiguous name means in a request in US customary units.
#[must_use]
pub fn us_customary(name: &str) -> Option<&'static Unit> {
    ambiguous(name).and_then(|entry| entry.us).and_then(find)
}

/// What `numerator / denominators` measures, and the base units in one such unit when all factors are one.
#[must_use]
pub fn compound(numerator: Atom, denominators: &[Atom]) -> Option<(Dimension, f64)> {
    use Dimension::{
        Conductivity, Density, FeedRate, MassPerArea, MassPerPlant, VolumePerArea, VolumePerLength, VolumePerPlant,
    };
    let numerator = match numerator {
        Atom::Of(dimension) => dimension,
        Atom::Conductance => return (denominators == [Atom::Of(Length)]).then_some((Conductivity, 1.0)),
        Atom::Plant => return None,
    };
    match (numerator, denominators) {
        (only, []) => Some((only, 1.0)),
        (Mass, [Atom::Of(Area)]) => Some((MassPerArea, 1.0)),
        (Volume, [Atom::Of(Area)]) => Some((VolumePerArea, 1.0)),
        (Volume, [Atom::Of(Length)]) => Some((VolumePerLength, 1.0)),
        (Volume, [Atom::Plant]) => Some((VolumePerPlant, 1.0)),
        (Mass, [Atom::Plant]) => Some((MassPerPlant, 1.0)),
        // kg/L is 1000 kg/m3.
        (Mass, [Atom::Of(Volume)]) => Some((Density, 1000.0)),
        (Volume, [Atom::Of(Volume)]) | (Mass, [Atom::Of(Mass)]) => Some((Share, 1.0)),
        // Durations are held in hours, feed rates per day.
        (Mass, [Atom::Of(Mass), Atom::Of(Duration)]) => Some((FeedRate, 24.0)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Handbook 44 Appendix C and SP 811 Appendix B, exact values.
    #[test]
    fn factors_are_the_exact_values_of_nist() {
        for (symbol, value) in [
            ("ft3", 28.316846592),
            ("yd3", 764.554857984),
            ("US gal", 3.785411784),
            ("imp gal", 4.54609),
            ("US bu", 35.23907016688),
            ("imp bu", 36.36872),
            ("acre", 4046.8564224),
            ("lb", 0.45359237),
            ("oz", 0.028349523125),
            ("short ton", 907.18474),
        ] {
            assert_eq!(find(symbol).unwrap().factor, value, "{symbol}");
        }
    }

    /// The defining relations: every customary factor follows from five numbers.
    #[test]
    fn customary_factors_follow_from_the_definitions() {
        let near = |symbol: &str, value: f64| {
            let factor = find(symbol).unwrap().factor;
            assert!((factor / value - 1.0).abs() < 4.0 * f64::EPSILON, "{symbol}: {factor} is not {value}");
        };
        let inch: f64 = 0.0254;
        near("ft", 12.0 * inch);
        near("yd", 36.0 * inch);
        near("ft2", (12.0 * inch).powi(2));
        near("yd2", (36.0 * inch).powi(2));
        near("acre", 43_560.0 * (12.0 * inch).powi(2));
        near("ft3", 1000.0 * (12.0 * inch).powi(3));
        near("yd3", 1000.0 * (36.0 * inch).powi(3));
        near("US gal", 231.0 * 1000.0 * inch.powi(3));
        near("US qt", 231.0 / 4.0 * 1000.0 * inch.powi(3));
        near("US pt", 231.0 / 8.0 * 1000.0 * inch.powi(3));
        near("US fl oz", 231.0 / 128.0 * 1000.0 * inch.powi(3));
        near("US cup", 8.0 * 231.0 / 128.0 * 1000.0 * inch.powi(3));
        near("US tbsp", 231.0 / 256.0 * 1000.0 * inch.powi(3));
        near("US tsp", 231.0 / 768.0 * 1000.0 * inch.powi(3));
        near("US bu", 2150.42 * 1000.0 * inch.powi(3));
        near("imp qt", 4.54609 / 4.0);
        near("imp pt", 4.54609 / 8.0);
        near("imp fl oz", 4.54609 / 160.0);
        near("imp bu", 4.54609 * 8.0);
        near("oz", 0.45359237 / 16.0);
        near("short ton", 2000.0 * 0.45359237);
        near("long ton", 2240.0 * 0.45359237);
    }

    #[test]
    fn no_name_is_there_twice_even_in_another_case() {
        let mut seen = std::collections::BTreeSet::new();
        for unit in UNITS {
            for name in std::iter::once(&unit.symbol).chain(unit.spellings) {
                assert!(seen.insert(name.to_lowercase()), "{name} is there twice");
            }
        }
        for Ambiguous { names, meant, us } in AMBIGUOUS {
            let new = |name: &str| EXACT_CASE.contains(&name) || seen.insert(name.to_lowercase());
            assert!(names.iter().copied().all(new));
            assert!(names.iter().all(|name| find(name).is_none()));
            assert!(meant.iter().all(|symbol| find(symbol).is_some()));
            assert!(us.is_none_or(|symbol| meant.contains(&symbol)));
        }
    }

    /// Whatever is written alone and is read as a volume is named for it.
    #[test]
    fn all_units_of_the_table_are_named_for_what_they_measure() {
        for unit in UNITS {
            let Atom::Of(dimension) = unit.measures else { continue };
            assert!(fitting(dimension).any(|named| named == unit.symbol), "{}", unit.symbol);
        }
        assert_eq!(fitting(Dimension::VolumePerPlant).collect::<Vec<_>>(), fitting(Volume).collect::<Vec<_>>());
    }

    #[test]
    fn every_unit_that_is_named_for_a_dimension_fits_it() {
        use super::super::text::{Reader, read};
        for dimension in Dimension::ALL {
            for unit in fitting(*dimension) {
                read(&format!("0.5 {unit}"), &[*dimension], &Reader::default())
                    .unwrap_or_else(|e| panic!("{unit}: {e}"));
            }
        }
    }
}
