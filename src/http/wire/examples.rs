//! What a field may hold, as an example that works: for errors that say what to write instead.

/// A day, for fields that are one.
const DAY: &str = "\"2027-04-05\"";

/// Fields that are days.
const DAYS: &[&str] = &[
    "as_of",
    "bed_from",
    "by",
    "earliest",
    "latest",
    "materials_from",
    "on",
    "ready_on",
    "start_on",
    "until",
    "use_by",
];

/// Fields with an example of each form in which they are given.
const EXAMPLES: &[(&str, &str)] = &[
    (
        "areas",
        "[{\"surface\": {\"kind\": \"area\", \"area\": \"6 m2\"}, \"rate\": {\"kind\": \"depth\", \"amount\": \"1 cm\"}}]",
    ),
    ("bottom_diameter", "\"15 cm\""),
    ("brewer", "{\"capacity\": \"20 L\"}"),
    ("brews", "[{\"water\": \"20 L\", \"castings_to_water\": \"1:10\"}]"),
    ("carbon_to_nitrogen", "{\"low\": 25, \"high\": 35}"),
    ("castings_needed", "[{\"amount\": \"200 L\", \"by\": \"2027-04-15\"}]"),
    ("climate", "\"15 C\""),
    ("containers", "[{\"name\": \"bucket\", \"capacity\": \"12 L\"}]"),
    ("demands", "[{\"amount\": \"60 L\", \"on\": \"2027-04-05\"}]"),
    ("empty", "\"1 kg\""),
    ("every", "\"14 d\""),
    ("feed", "{\"material\": \"leaves_shredded\"}"),
    ("feed_supply", "{\"material\": \"kitchen_scraps\"}"),
    ("finished_share", "\"80 %\""),
    ("ground", "{\"kind\": \"area\", \"area\": \"6 m2\"}"),
    ("inner_diameter", "\"10 cm\""),
    ("length", "\"6 m\""),
    ("material_depth", "\"20 cm\""),
    ("materials", "[{\"material\": \"leaves_shredded\", \"amount\": \"100 kg\"}]"),
    ("moisture", "{\"low\": \"60 %\", \"high\": \"75 %\"}"),
    ("rate", "{\"kind\": \"depth\", \"amount\": \"1 cm\"}"),
    ("stock", "[{\"amount\": \"110 L\"}]"),
    ("spacing", "\"45 cm\""),
    ("surface", "{\"kind\": \"area\", \"area\": \"6 m2\"}"),
    ("volume", "\"5 L\""),
];

/// Whether a field of this name is a day.
pub(crate) fn is_day(field: &str) -> bool {
    DAYS.contains(&field)
}

/// `, as in "start_on": "2027-04-05"`; nothing where no example is known that is as `expected`: a text, a list or an object.
pub(crate) fn as_in(field: &str, expected: &str) -> String {
    as_in_or(field, expected, None)
}

/// The same with a text that works wherever no better one is known.
pub(super) fn as_in_or(field: &str, expected: &str, like: Option<&str>) -> String {
    let begins = match () {
        () if expected.starts_with("a list") => '[',
        () if expected.starts_with("an object") => '{',
        () if expected.starts_with("a text") => '"',
        () => return String::new(),
    };
    let of_field = EXAMPLES.iter().filter(|(name, _)| *name == field).map(|(_, example)| *example);
    let example = of_field.chain(is_day(field).then_some(DAY)).find(|example| example.starts_with(begins));
    let example = example.map(str::to_owned).or_else(|| like.map(|text| format!("\"{text}\"")));
    example.map_or_else(String::new, |example| format!(", as in \"{field}\": {example}"))
}
