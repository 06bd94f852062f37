//! Names that attack whoever reads them: a spreadsheet, a browser, a calendar, a terminal, an eye.

use crate::support::{demo, form, ok, reported, with};
use serde_json::{Value, json};

/// Names that a spreadsheet would compute.
const FORMULAS: [&str; 8] = ["=HYPERLINK(\"x\")", "+1+1", "-inf", "@SUM(A1)", "＝1+1", "＋1", "－1＋1", "＠x"];

/// Names that look as if an apostrophe had been put before them.
const APOSTROPHES: [&str; 3] = ["'=1", "''=1", "'a"];

/// Names that are markup, or text of a calendar, elsewhere.
const MARKUP: [&str; 4] =
    ["</title></style><script>alert(1)</script>", "\" onload='x' & <b>]]>", "a\\;b,c\\nEND:VEVENT", "&lt;&#x202e;"];

/// Characters that turn the direction of writing, hide, or are none.
const STEERING: [char; 14] = [
    '\u{61c}',
    '\u{200b}',
    '\u{200e}',
    '\u{200f}',
    '\u{202a}',
    '\u{202e}',
    '\u{2060}',
    '\u{2066}',
    '\u{2069}',
    '\u{feff}',
    '\u{fdd0}',
    '\u{fffe}',
    '\u{ffff}',
    '\u{10ffff}',
];

/// A question with that name wherever there may be one, and the pointer of a name in its table.
fn questions(name: &str) -> Vec<(&'static str, Value, &'static [&'static str])> {
    const SHEETS: &[&str] = &["text/html", "text/plain"];
    const WITH_CHART: &[&str] = &["text/html", "text/plain", "image/svg+xml"];
    const WITH_CALENDAR: &[&str] = &["text/html", "text/plain", "text/calendar"];
    const ALL: &[&str] = &["text/html", "text/plain", "image/svg+xml", "text/calendar"];
    let named =
        |file: &str, places: &[&str]| places.iter().fold(demo(file), |body, place| with(&body, place, json!(name)));
    vec![
        ("applications", named("applications/kitchen-garden.json", &["/name", "/areas/0/name"]), SHEETS),
        ("harvests", named("harvests/forecast.json", &["/name", "/worm_beds/0/name", "/heaps/0/name"]), WITH_CHART),
        (
            "brews",
            with(
                &named("brews/one-brew.json", &["/name", "/brews/0/name"]),
                "/brews/0/use_at",
                json!("2027-06-10T18:00:00+02:00"),
            ),
            WITH_CALENDAR,
        ),
        ("feeds", named("feeds/autumn-heap.json", &["/name", "/materials/0/name"]), WITH_CALENDAR),
        ("balances", named("balances/two-lots.json", &["/name", "/demands/0/name", "/stock/0/name"]), WITH_CHART),
        ("worm-beds", named("worm-beds/school-garden.json", &["/name", "/feed_supply/materials/0/name"]), ALL),
        ("calibrations", named("calibrations/first-harvest.json", &["/name", "/records/0/name"]), WITH_CHART),
        ("seasons", season(&named("seasons/one-bed.json", &["/name", "/worm_beds/0/name", "/demands/0/name"])), ALL),
    ]
}

/// With a lot and a variant of the name of the season.
fn season(body: &Value) -> Value {
    let name = &body["name"];
    let stock = json!([{"name": name, "amount": "5 L", "use_by": body["until"]}]);
    let body = with(&with(body, "/stock", stock), "/simulation_runs", json!(0));
    with(&body, "/variants", json!([{"name": name, "change": {"units": "metric"}}]))
}

/// The tables in which a cell has the name.
fn tables(question: &str) -> &'static [&'static str] {
    match question {
        "calibrations" => &["?table=records"],
        "seasons" => &["?table=work", "?table=stock", "?table=variants"],
        _ => &[""],
    }
}

#[test]
fn no_container_has_such_a_name_which_is_a_unit_too() {
    let steering: Vec<String> = STEERING.iter().map(|character| format!("a{character}b")).collect();
    let names = FORMULAS.iter().chain(&APOSTROPHES).chain(&MARKUP).copied();
    for name in names.chain(steering.iter().map(String::as_str)) {
        let body = with(&demo("worm-beds/first-weeks.json"), "/containers", json!([{"name": name, "capacity": "5 L"}]));
        let found = reported("worm-beds", &body);
        assert!(found.iter().all(|error| error.starts_with("/containers/0/name ")), "{name:?}: {found:?}");
    }
}

#[test]
fn every_name_comes_back_as_it_was_in_json_and_csv() {
    let steering: String = STEERING.iter().collect();
    for name in FORMULAS.iter().chain(&APOSTROPHES).chain(&MARKUP).copied().chain([steering.as_str()]) {
        for (question, body, _) in questions(name) {
            assert_eq!(ok(question, &body)["name"], name, "{question}");
            let is_guarded = FORMULAS.contains(&name) || name.trim_start_matches('\'').starts_with('=');
            let written = if is_guarded { format!("'{name}") } else { name.to_owned() };
            for table in tables(question) {
                let cells = cells(&form(&format!("{question}{table}"), "text/csv", &body).bytes);
                // What worms are fed is in a cell with its amounts.
                let is_there = |cell: &String| *cell == written || question == "worm-beds" && cell.contains(name);
                assert!(cells.iter().any(is_there), "{question}{table}: {written:?} in {cells:?}");
                assert!(!is_guarded || !cells.iter().any(|cell| cell == name), "{question}: {name:?} in {cells:?}");
            }
        }
    }
}

#[test]
fn no_name_turns_or_hides_what_people_read() {
    for steering in STEERING {
        let name = format!("a{steering}b");
        for (question, body, forms) in questions(&name) {
            for accept in forms {
                let answer = form(&format!("{question}{}", all(accept)), accept, &body);
                // The lines of a calendar and of a text are folded.
                let text = answer.text().replace("\r\n ", "").replace('\n', "");
                assert!(!text.contains(STEERING), "{question} as {accept}: {steering:?}");
                assert!(text.contains("a\u{fffd}b"), "{question} as {accept}: {steering:?} is not shown as unknown");
            }
        }
    }
}

#[test]
fn no_name_becomes_markup() {
    for name in MARKUP {
        for (question, body, forms) in questions(name) {
            for accept in forms.iter().filter(|accept| **accept != "text/plain") {
                let answer = form(question, accept, &body);
                let lines = |start: &str| answer.text().lines().filter(|line| line.starts_with(start)).count();
                assert_eq!(lines("END:VEVENT"), lines("BEGIN:VEVENT"), "{question} as {accept}");
                assert!(*accept == "text/calendar" || !answer.text().contains("<script"), "{question} as {accept}");
                assert!(*accept == "text/calendar" || !answer.text().contains("<b>]]"), "{question} as {accept}");
            }
        }
    }
}

/// Every cell below the header.
fn cells(csv: &[u8]) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(csv);
    reader.records().flat_map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>()).collect()
}

/// A text leaves out details unless it is asked to show all.
fn all(accept: &str) -> &'static str {
    if accept == "text/plain" { "?all=true" } else { "" }
}
