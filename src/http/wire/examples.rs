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

/// Fields with an example of each form in which they are given; one that differs in the items of a list has the name of the list before it.
const EXAMPLES: &[(&str, &str)] = &[
    (
        "areas",
        "[{\"surface\": {\"kind\": \"area\", \"area\": \"6 m2\"}, \"rate\": {\"kind\": \"depth\", \"amount\": \"1 cm\"}}]",
    ),
    ("assumptions", "{\"castings.bulk_density\": \"620 kg/m3\"}"),
    ("bottom_diameter", "\"15 cm\""),
    ("brewer", "{\"capacity\": \"20 L\"}"),
    ("brews", "[{\"water\": \"20 L\", \"castings_to_water\": \"1:10\"}]"),
    ("carbon_to_nitrogen", "{\"low\": 25, \"high\": 35}"),
    ("castings_needed", "[{\"amount\": \"200 L\", \"by\": \"2027-04-15\"}]"),
    ("climate", "\"15 C\""),
    ("containers", "[{\"name\": \"bucket\", \"capacity\": \"12 L\"}]"),
    ("corners", "[{\"x\": 0, \"y\": 0}, {\"x\": 4, \"y\": 0}, {\"x\": 4, \"y\": 3}]"),
    ("deliveries", "[{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}]"),
    ("demands", "[{\"amount\": \"60 L\", \"on\": \"2027-04-05\"}]"),
    ("empty", "\"1 kg\""),
    ("every", "\"14 d\""),
    ("fed", "[{\"material\": \"leaves_shredded\", \"amount\": \"20 kg\"}]"),
    ("feed", "{\"material\": \"leaves_shredded\"}"),
    ("feed_supply", "{\"material\": \"kitchen_scraps\"}"),
    ("finished_share", "\"80 %\""),
    ("ground", "{\"kind\": \"area\", \"area\": \"6 m2\"}"),
    ("harvested", "[{\"on\": \"2027-09-01\", \"amount\": \"60 L\"}]"),
    ("inner_diameter", "\"10 cm\""),
    ("length", "\"6 m\""),
    ("material_depth", "\"20 cm\""),
    ("materials", "[{\"material\": \"leaves_shredded\", \"amount\": \"100 kg\"}]"),
    ("moisture", "{\"low\": \"60 %\", \"high\": \"75 %\"}"),
    ("rate", "{\"kind\": \"depth\", \"amount\": \"1 cm\"}"),
    (
        "records",
        "[{\"ground\": {\"kind\": \"area\", \"area\": \"2 m2\"}, \"climate\": \"15 C\", \"feed\": {\"material\": \"leaves_shredded\"}, \
          \"fed\": [{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}], \"harvested\": [{\"on\": \"2027-09-01\", \"amount\": \"60 L\"}]}]",
    ),
    ("records/fed", "[{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}]"),
    ("stock", "[{\"amount\": \"110 L\"}]"),
    ("spacing", "\"45 cm\""),
    ("surface", "{\"kind\": \"area\", \"area\": \"6 m2\"}"),
    ("unit", "\"m\""),
    ("volume", "\"5 L\""),
];

/// Whether a field of this name is a day.
pub(crate) fn is_day(field: &str) -> bool {
    DAYS.contains(&field)
}

/// `, as in "start_on": "2027-04-05"`; nothing where no example is known that is as `expected`: a text, a list or an object.
pub(crate) fn as_in(field: &str, expected: &str) -> String {
    as_in_or((None, field), expected, None)
}

/// The same of a field in the items of a list, with a text that works wherever no better one is known.
pub(super) fn as_in_or((list, field): (Option<&str>, &str), expected: &str, like: Option<&str>) -> String {
    let begins = match () {
        () if expected.starts_with("a list") => '[',
        () if expected.starts_with("an object") => '{',
        () if expected.starts_with("a text") => '"',
        () => return String::new(),
    };
    let in_list = list.and_then(|list| examples(&format!("{list}/{field}")).next());
    let example = in_list
        .into_iter()
        .chain(examples(field))
        .chain(is_day(field).then_some(DAY))
        .find(|example| example.starts_with(begins));
    let example = example.map(str::to_owned).or_else(|| like.map(|text| format!("\"{text}\"")));
    example.map_or_else(String::new, |example| format!(", as in \"{field}\": {example}"))
}

/// `, as in {"x": 0, "y": 0}`: the first item of a list; nothing where none is known that is as `expected`.
pub(super) fn as_in_item(list: &str, expected: &str) -> String {
    let items = examples(list).find_map(|example| example.strip_prefix('[')?.strip_suffix(']'));
    let item =
        items.filter(|_| expected.starts_with("an object")).map(|items| items.split("}, {").next().unwrap_or(items));
    let item = item.map(|item| if item.ends_with('}') { item.to_owned() } else { format!("{item}}}") });
    item.map_or_else(String::new, |item| format!(", as in {item}"))
}

/// The examples of a field.
fn examples(field: &str) -> impl Iterator<Item = &'static str> {
    EXAMPLES.iter().filter(move |(name, _)| *name == field).map(|(_, example)| *example)
}
