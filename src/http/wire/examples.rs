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

/// Fields with an example of each form in which they are given; one that differs in an object, or in the items of a list, has the name of that
/// before it.
const EXAMPLES: &[(&str, &str)] = &[
    (
        "additional_production",
        "{\"materials\": [{\"material\": \"leaves_loose\", \"amount\": \"100 kg\"}], \"climate\": \"15 C\"}",
    ),
    (
        "application",
        "{\"surface\": {\"kind\": \"area\", \"area\": \"6 m2\"}, \"rate\": {\"kind\": \"depth\", \"amount\": \"1 cm\"}}",
    ),
    (
        "areas",
        "[{\"surface\": {\"kind\": \"area\", \"area\": \"6 m2\"}, \"rate\": {\"kind\": \"depth\", \"amount\": \"1 cm\"}}]",
    ),
    ("assumptions", "{\"castings.bulk_density\": \"620 kg/m3\"}"),
    ("bins", "{\"capacity\": \"60 L\"}"),
    ("bottom_diameter", "\"15 cm\""),
    ("brew", "{\"water\": \"20 L\", \"castings_to_water\": \"1:10\"}"),
    ("brewer", "{\"capacity\": \"20 L\"}"),
    ("brews", "[{\"water\": \"20 L\", \"castings_to_water\": \"1:10\"}]"),
    ("carbon_to_nitrogen", "{\"low\": 25, \"high\": 35}"),
    ("castings_needed", "[{\"amount\": \"200 L\", \"by\": \"2027-04-15\"}]"),
    ("climate", "\"15 C\""),
    ("containers", "[{\"name\": \"bucket\", \"capacity\": \"12 L\"}]"),
    ("containers/name", "\"bucket\""),
    ("corners", "[{\"x\": 0, \"y\": 0}, {\"x\": 4, \"y\": 0}, {\"x\": 4, \"y\": 3}]"),
    ("crop", "{\"first_crop_harvest\": \"2027-08-01\"}"),
    ("deliveries", "[{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}]"),
    ("demands", "[{\"amount\": \"60 L\", \"on\": \"2027-04-05\"}]"),
    ("empty", "\"1 kg\""),
    ("every", "\"14 d\""),
    ("fed", "[{\"material\": \"leaves_shredded\", \"amount\": \"20 kg\"}]"),
    ("feed", "{\"material\": \"leaves_shredded\"}"),
    ("feed_supply", "{\"material\": \"kitchen_scraps\"}"),
    ("finished_share", "\"80 %\""),
    ("goals", "{\"carbon_to_nitrogen\": {\"low\": 25, \"high\": 35}}"),
    ("ground", "{\"kind\": \"area\", \"area\": \"6 m2\"}"),
    ("ground/unit", "\"m\""),
    ("harvested", "[{\"on\": \"2027-09-01\", \"amount\": \"60 L\"}]"),
    ("heap", "{\"kind\": \"cone\", \"diameter\": \"1.4 m\", \"height\": \"50 cm\"}"),
    ("heaps", "[{\"kind\": \"cone\", \"diameter\": \"1.4 m\", \"height\": \"50 cm\"}]"),
    ("id", "\"bed-1\""),
    ("inner_diameter", "\"10 cm\""),
    ("length", "\"6 m\""),
    ("manure", "{\"kind\": \"untreated\"}"),
    ("material_depth", "\"20 cm\""),
    ("materials", "[{\"material\": \"leaves_shredded\", \"amount\": \"100 kg\"}]"),
    ("moisture", "{\"low\": \"60 %\", \"high\": \"75 %\"}"),
    ("name", "\"salad bed\""),
    ("rate", "{\"kind\": \"depth\", \"amount\": \"1 cm\"}"),
    (
        "records",
        "[{\"ground\": {\"kind\": \"area\", \"area\": \"2 m2\"}, \"climate\": \"15 C\", \"feed\": {\"material\": \"leaves_shredded\"}, \
          \"fed\": [{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}], \"harvested\": [{\"on\": \"2027-09-01\", \"amount\": \"60 L\"}]}]",
    ),
    ("records/fed", "[{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}]"),
    ("repeat", "{\"every\": \"14 d\", \"times\": 3}"),
    ("sack", "{\"capacity\": \"40 L\"}"),
    ("soak", "{\"days\": 7}"),
    ("stock", "[{\"amount\": \"110 L\"}]"),
    ("spacing", "\"45 cm\""),
    ("surface", "{\"kind\": \"area\", \"area\": \"6 m2\"}"),
    ("surface/unit", "\"m\""),
    ("use_at", "\"2027-06-12T18:00:00+02:00\""),
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

/// The same of a field in an object or in the items of a list of this name, with a text that works wherever no better one is known.
pub(super) fn as_in_or((holder, field): (Option<&str>, &str), expected: &str, like: Option<&str>) -> String {
    let begins = match () {
        () if expected.starts_with("a list") => '[',
        () if expected.starts_with("an object") => '{',
        () if expected.starts_with("a text") => '"',
        () => return String::new(),
    };
    let example =
        examples_in(holder, field).chain(is_day(field).then_some(DAY)).find(|example| example.starts_with(begins));
    let example = example.map(str::to_owned).or_else(|| like.map(|text| format!("\"{text}\"")));
    example.map_or_else(String::new, |example| format!(", as in \"{field}\": {example}"))
}

/// `, as in {"x": 0, "y": 0}`: the first item of a list; nothing where none is known that is as `expected`.
pub(super) fn as_in_item((holder, list): (Option<&str>, &str), expected: &str) -> String {
    let items = examples_in(holder, list).find_map(|example| example.strip_prefix('[')?.strip_suffix(']'));
    let item =
        items.filter(|_| expected.starts_with("an object")).map(|items| items.split("}, {").next().unwrap_or(items));
    let item = item.map(|item| if item.ends_with('}') { item.to_owned() } else { format!("{item}}}") });
    item.map_or_else(String::new, |item| format!(", as in {item}"))
}

/// The examples of a field, that of the object or list which holds it first.
fn examples_in(holder: Option<&str>, field: &str) -> impl Iterator<Item = &'static str> {
    let own = holder.and_then(|holder| examples(&format!("{holder}/{field}")).next());
    own.into_iter().chain(examples(field))
}

/// The examples of a field.
fn examples(field: &str) -> impl Iterator<Item = &'static str> {
    EXAMPLES.iter().filter(move |(name, _)| *name == field).map(|(_, example)| *example)
}
