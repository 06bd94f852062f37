//! One answer in all its forms: the same figures, the same cautions, and a word on what a shorter form leaves out.

use crate::support::{
    Row, brief, demo, flat, form, get, ok, post, post_bytes, quick_demo_files, rows, unescaped, with,
};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::cautions::Rule;
use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;
use serde_json::{Value, json};
use std::collections::BTreeSet;

mod figures;

/// The questions, each with its tables.
const QUESTIONS: [(&str, &[&str]); 8] = [
    ("applications", &[]),
    ("harvests", &["harvests", "layers"]),
    ("brews", &["brews", "batches"]),
    ("feeds", &["materials", "steps"]),
    ("worm-beds", &["weeks", "castings", "layers"]),
    ("calibrations", &["values", "records", "one_more"]),
    ("balances", &["balance", "demands", "occasions", "stock", "by_date", "variants"]),
    ("seasons", &["work", "demands", "occasions", "stock", "by_date", "worm_beds", "layers", "variants"]),
];

fn bodies(question: &str) -> Vec<Value> {
    let files = quick_demo_files(question).into_iter();
    files.map(|path| serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()).collect()
}

/// Three significant digits, as readers see them.
fn digits(value: f64) -> String {
    format!("{}", format!("{value:.2e}").parse::<f64>().unwrap())
}

/// A caution as it is printed: the heading, then what to do.
fn in_words(caution: &Value) -> String {
    format!("{}. {}", caution["heading"].as_str().unwrap(), caution["text"].as_str().unwrap())
}

#[test]
fn every_form_has_every_caution() {
    for (question, tables) in QUESTIONS {
        for body in bodies(question) {
            let answer = ok(question, &body);
            let texts =
                ["", "?all=true"].map(|more| flat(form(&format!("{question}{more}"), "text/plain", &body).text()));
            let page = flat(&unescaped(form(question, "text/html", &body).text()).replace("</b>", ""));
            for caution in answer["cautions"].as_array().unwrap() {
                // A short text has the heading; all else has what to do, too.
                let (heading, words) = (flat(caution["heading"].as_str().unwrap()), flat(&in_words(caution)));
                for (text, words) in [(&texts[0], &heading), (&texts[1], &words), (&page, &words)] {
                    assert!(text.contains(words), "{question}: {words}\n{text}");
                }
            }
            let none: [&str; 1] = [""];
            for table in if tables.is_empty() { none.as_slice() } else { tables } {
                let address = if table.is_empty() { question.to_owned() } else { format!("{question}?table={table}") };
                let rows = rows(&form(&address, "text/csv", &body).bytes, b',');
                for caution in answer["cautions"].as_array().unwrap() {
                    let rule = caution["rule"].as_str().unwrap();
                    let is_in = |row: &Row, column: &str| {
                        row.get(column).is_some_and(|rules| rules.split(' ').any(|known| known == rule))
                    };
                    let reported = rows.iter().any(|row| is_in(row, "cautions") || is_in(row, "cautions_of_request"));
                    assert!(reported || rows.is_empty(), "{address}: {rule}");
                    if caution.get("at").is_none() {
                        assert!(rows.iter().all(|row| is_in(row, "cautions_of_request")), "{address}: {rule}");
                    }
                }
            }
        }
    }
}

/// The first word of a text that only a program knows: a field, a method, a path, a name in backquotes. Ids of materials, of purposes
/// and of assumptions (`castings.ash`) are names that people write too.
fn word_for_programs<'t>(text: &'t str, ids: &[String]) -> Option<&'t str> {
    let words = text.split(|sign: char| !(sign.is_alphanumeric() || "_./`".contains(sign)));
    let mut words = words.map(|word| word.trim_end_matches(['.', '/']));
    words.find(|word| {
        let is_field = word.contains('_') && !word.contains('.') && !ids.iter().any(|id| id == word);
        is_field || *word == "POST" || word.contains('`') || word.starts_with("/v1/")
    })
}

/// Tells whether a request has the dates for a calendar.
fn is_dated(question: &str, body: &Value) -> bool {
    match question {
        "brews" => body["brews"][0].get("use_at").is_some(),
        "feeds" => body.get("start_on").is_some(),
        "harvests" => body["worm_beds"][0].get("forecast").is_some(),
        _ => true,
    }
}

/// The questions that have a calendar, with the bodies that have the dates for one.
fn dated() -> Vec<(&'static str, Value)> {
    let questions = ["brews", "feeds", "harvests", "seasons", "worm-beds"];
    let all = questions.iter().flat_map(|question| bodies(question).into_iter().map(|body| (*question, body)));
    all.filter(|of| of.1["explain"] != json!(true)).filter(|(question, body)| is_dated(question, body)).collect()
}

/// The ids of the reference lists.
fn ids() -> Vec<String> {
    let ids = [("materials", "id"), ("rates", "purpose")].map(|(list, id)| {
        let items = get(&format!("/v1/{list}")).json()[list].as_array().unwrap().clone();
        items.iter().map(|item| item[id].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    });
    ids.concat()
}

#[test]
fn no_form_for_people_speaks_of_fields() {
    let ids = ids();
    assert_eq!(word_for_programs("lay leaves_shredded (bed.max_depth)", &ids), None);
    assert_eq!(word_for_programs("put additional_production in.", &ids), Some("additional_production"));
    for (question, _) in QUESTIONS {
        // What explains names the symbols of formulas.
        for body in bodies(question).iter().filter(|body| body["explain"] != json!(true)) {
            for (more, accept) in [("", "text/plain"), ("?all=true&width=400", "text/plain"), ("", "text/html")] {
                let answer = form(&format!("{question}{more}"), accept, body);
                // Of a page, what is read: no style, and no tags.
                let whole_ids = answer.text().replace("<wbr>", "");
                let style_out =
                    whole_ids.split("<style>").map(|part| part.split_once("</style>").map_or(part, |(_, rest)| rest));
                let text = style_out
                    .flat_map(|part| part.split('<').map(|tag| tag.split_once('>').map_or(tag, |(_, read)| read)));
                let text = text.collect::<Vec<_>>().join(" ").replace("&quot;", "\"");
                // The hint to whoever writes the request names what to add to it.
                let text = flat(&text);
                let text = text.replace("or \"additional_production\" to the request", "");
                assert_eq!(word_for_programs(&text, &ids), None, "{question}{more} as {accept}");
            }
        }
    }
    for (question, body) in dated() {
        let text = form(question, "text/calendar", &body).text().replace("\r\n ", "");
        // What people see of an event or of a calendar: RFC 5545, sections 3.8.1 and 3.6.6; RFC 7986, section 5.
        let read = text
            .lines()
            .filter_map(|line| line.split_once(':'))
            .filter(|(name, _)| ["SUMMARY", "DESCRIPTION", "NAME", "X-WR-CALNAME", "LOCATION"].contains(name));
        let words = read.map(|(_, words)| words.replace("\\n", " ").replace('\\', "")).collect::<Vec<_>>();
        assert!(words.len() > 2, "{question}: {text}");
        assert_eq!(word_for_programs(&words.join(" "), &ids), None, "{question} as a calendar");
    }
    for rule in Rule::ALL {
        let text = rule.text().text;
        assert_eq!(word_for_programs(text, &ids), None, "{rule:?}");
        let assumed = Assumption::ALL.iter().find(|assumption| text.contains(assumption.definition().id));
        assert_eq!(assumed.map(|assumption| assumption.definition().id), None, "{rule:?}");
    }
}

#[test]
fn no_form_says_what_of_a_source_is_from_memory() {
    for (question, _) in QUESTIONS {
        for body in bodies(question) {
            let body = with(&body, "/explain", json!(true));
            for (address, accept) in [("", "application/json"), ("?all=true", "text/plain"), ("", "text/html")] {
                let answer = form(&format!("{question}{address}"), accept, &body);
                assert!(!answer.text().contains("from memory"), "{question} as {accept}: {}", answer.text());
            }
        }
    }
    assert!(get("/v1/sources").text().contains("upper end from memory"));
}

#[test]
fn a_chart_shows_a_shortfall_although_as_many_castings_have_come() {
    // 150 L have come for 135 L, and 5 L are short: raw manure may not go to three of the demands. 55.6 L / 3.78541 = 14.69 US gal.
    let early = form("balances", "image/svg+xml", &demo("balances/early-crops.json"));
    assert!(
        early.text().contains("The shortfall is 5 L in all, first on 15 May 2027.")
            && early.text().contains("url(#too-few)")
    );
    let us = form("balances", "image/svg+xml", &with(&demo("balances/two-lots.json"), "/units", json!("us")));
    assert!(us.text().contains("shortfall 14.7 US gal"), "{}", us.text());
}

#[test]
fn calendars_and_charts_have_every_caution() {
    let document = get("/openapi.json").json();
    for (accept, count) in [("text/calendar", 5), ("image/svg+xml", 5)] {
        let mut asked = BTreeSet::new();
        for (question, _) in QUESTIONS {
            let answers = &document["paths"][format!("/v1/{question}")]["post"]["responses"]["200"]["content"];
            if answers.get(accept).is_none() {
                continue;
            }
            // A calendar needs dates.
            let all = bodies(question);
            for body in all.iter().filter(|body| accept != "text/calendar" || is_dated(question, body)) {
                asked.insert(question);
                let text = form(question, accept, body).text().replace("\r\n ", "").replace('\\', "");
                for caution in ok(question, body)["cautions"].as_array().unwrap() {
                    let words = in_words(caution);
                    assert!(unescaped(&text).contains(&words), "{question} as {accept}: {words}\n{text}");
                }
            }
        }
        assert_eq!(asked.len(), count, "{accept}: {asked:?}");
    }
}

#[test]
fn a_short_text_says_what_it_leaves_out_and_a_long_one_leaves_nothing_out() {
    let mill = with(&demo("seasons/kitchen-garden.json"), "/explain", json!(true));
    let (short, long) = (form("seasons", "text/plain", &mill), form("seasons?all=true", "text/plain", &mill));
    let (answer, flat_short) = (ok("seasons", &mill), flat(short.text()));
    let count = |list: &str| answer[list].as_array().unwrap().len();
    let defaults = answer["assumptions"].as_array().unwrap().iter().filter(|one| one["set_by"] == "default").count();
    for part in [
        format!("{} assumptions ({defaults} defaults)", count("assumptions")),
        format!("{} explanations", count("explanations")),
        "more: see all=true, ask --all.".to_owned(),
    ] {
        assert!(flat_short.contains(&part), "{part}\n{}", short.text());
    }
    assert!(!long.text().contains("\nleft out "), "{}", long.text());
    let flat_long = flat(long.text());
    for assumed in answer["assumptions"].as_array().unwrap() {
        assert!(flat_long.contains(assumed["id"].as_str().unwrap()), "{}", assumed["id"]);
    }
    for task in answer["work"].as_array().unwrap() {
        let first = task["text"].as_str().unwrap().split_whitespace().next_back().unwrap();
        assert!(flat_long.contains(first), "{first}");
    }
}

#[test]
fn no_line_is_longer_than_asked() {
    for (question, _) in QUESTIONS {
        for body in bodies(question) {
            for (width, all) in [(40, false), (60, true), (80, false), (100, true), (400, true)] {
                let explain = question != "feeds" && width != 400;
                let body = with(&body, "/explain", json!(explain));
                let text = form(&format!("{question}?width={width}&all={all}"), "text/plain", &body);
                assert_eq!(text.header("content-type"), "text/plain; charset=utf-8");
                let longest = text.text().lines().map(|line| line.chars().count()).max().unwrap();
                assert!(longest <= width, "{question}: {longest} > {width}\n{}", text.text());
            }
        }
    }
    let (body, plain) = (demo("balances/two-lots.json"), "text/plain");
    assert_eq!(form("balances", plain, &body).bytes, form("balances?width=80&all=false", plain, &body).bytes);
    assert_ne!(form("balances", plain, &body).bytes, form("balances?width=60", plain, &body).bytes);
}

#[test]
fn text_holds_nothing_that_steers_a_terminal() {
    let hostile = "a\u{202e}b\u{200f}\u{2066}c";
    for (question, place) in [("applications", "/areas/0/name"), ("balances", "/demands/0/name"), ("seasons", "/name")]
    {
        let body = with(&bodies(question).remove(0), place, json!(hostile));
        let text = form(&format!("{question}?all=true"), "text/plain", &body);
        let steers = |c: char| c != '\n' && (c.is_control() || ['\u{202e}', '\u{200f}', '\u{2066}'].contains(&c));
        assert!(!text.text().contains(steers), "{}", text.text());
        assert!(flat(text.text()).contains("a\u{fffd}b\u{fffd}\u{fffd}c"), "{}", text.text());
    }
}

#[test]
fn csv_follows_the_spreadsheet_that_is_to_read_it() {
    let body = demo("balances/two-lots.json");
    let exact = rows(&form("balances", "text/csv", &body).bytes, b',');
    let number = |row: &Row| row["allocated_L"].clone();
    assert!(exact.iter().map(number).any(|given| given == "22.727"));
    for (options, delimiter) in
        [("decimal=comma", b';'), ("decimal=comma&delimiter=tab", b'\t'), ("decimal=comma&delimiter=semicolon", b';')]
    {
        let answer = form(&format!("balances?{options}"), "text/csv", &body);
        let read = rows(&answer.bytes, delimiter);
        assert_eq!(read.len(), exact.len(), "{options}");
        for (row, same) in read.iter().zip(&exact) {
            assert_eq!(number(row), number(same).replace('.', ","), "{options}");
            assert_eq!(row["name"], same["name"], "{options}: words stay");
            // Its amounts are numbers too.
            assert_eq!(row["allocations"], same["allocations"].replace('.', ","), "{options}");
        }
    }
    for (options, delimiter) in
        [("delimiter=tab", b'\t'), ("delimiter=semicolon&decimal=point", b';'), ("delimiter=comma", b',')]
    {
        assert_eq!(rows(&form(&format!("balances?{options}"), "text/csv", &body).bytes, delimiter), exact, "{options}");
    }
    let marked = form("balances?bom=true", "text/csv", &body).bytes;
    assert_eq!(
        marked.strip_prefix("\u{feff}".as_bytes()),
        Some(form("balances?bom=false", "text/csv", &body).bytes.as_slice())
    );
    for (question, _) in QUESTIONS {
        let comma = form(&format!("{question}?decimal=comma"), "text/csv", &bodies(question).remove(0));
        assert!(comma.text().lines().next().unwrap().contains(';'), "{question}");
    }
}

#[test]
fn the_options_hold_for_an_address_too() {
    let body = demo("seasons/one-demand.json");
    let link = BASE64_URL_SAFE_NO_PAD.encode(serde_json::to_vec(&body).unwrap());
    for (word, accept, options) in
        [("csv", "text/csv", "table=by_date&decimal=comma&bom=true"), ("text", "text/plain", "width=60&all=true")]
    {
        let answer = get(&format!("/v1/seasons?as={word}&{options}&request={link}"));
        assert_eq!(answer.bytes, form(&format!("seasons?{options}"), accept, &body).bytes);
    }
    let refused = get(&format!("/v1/seasons?width=39&colour=red&request={link}"));
    assert_eq!(refused.status, 422);
    let errors = refused.json()["errors"].as_array().unwrap().clone();
    assert_eq!(brief(&errors), ["width out_of_range", "colour unknown_parameter"]);
}

/// What is wrong with the address hides nothing of what is wrong with the request.
#[test]
fn errors_of_address_and_request_come_together() {
    let mut body = demo("seasons/one-demand.json");
    body["until"] = json!("soon");
    body["colour"] = json!("red");
    let link = BASE64_URL_SAFE_NO_PAD.encode(serde_json::to_vec(&body).unwrap());
    let sent = post("seasons?width=39&table=all", &body);
    for refused in [get(&format!("/v1/seasons?width=39&table=all&request={link}")), sent] {
        assert_eq!(refused.status, 422);
        let problem = refused.json();
        let found = brief(problem["errors"].as_array().unwrap());
        let wanted = ["width out_of_range", "table unknown_value", "/until bad_date", "/colour unknown_field"];
        assert_eq!(found.len(), 4, "{found:?}");
        assert!(wanted.iter().all(|error| found.iter().any(|other| other == error)), "{found:?}");
        assert_eq!(
            (&problem["errors_total"], &problem["detail"]),
            (&json!(4), &json!("There are 4 errors in the request."))
        );
    }
    // What cannot be read at all says so first.
    let broken = post_bytes("seasons?width=39", "{\"until\": ");
    assert_eq!((broken.status, &broken.json()["type"]), (400, &json!("/problems/not-json")));
    assert_eq!(brief(broken.json()["errors"].as_array().unwrap()), ["width out_of_range", " not_json"]);
    // Many errors are counted; a hundred are listed.
    let mut body = demo("balances/two-lots.json");
    body["demands"] = json!(vec![json!({"amount": "1"}); 150]);
    let many = post("balances?width=39", &body).json();
    assert_eq!((many["errors"].as_array().unwrap().len(), &many["errors_total"]), (100, &json!(151)));
    // A request that would be answered is refused for its address alone.
    let refused = post("seasons?width=39", &demo("seasons/one-demand.json"));
    assert_eq!(brief(refused.json()["errors"].as_array().unwrap()), ["width out_of_range"]);
}

#[test]
fn options_that_cannot_be_followed_are_refused_by_name() {
    let body = demo("applications/one-bed.json");
    for (query, wanted) in [
        ("width=39", "width out_of_range"),
        ("width=401", "width out_of_range"),
        ("width=wide", "width out_of_range"),
        ("all=1", "all unknown_value"),
        ("bom=yes", "bom unknown_value"),
        ("decimal=dot", "decimal unknown_value"),
        ("delimiter=pipe", "delimiter unknown_value"),
        ("decimal=comma&delimiter=comma", "delimiter not_allowed_here"),
        ("width=80&width=90", "width repeated_parameter"),
        ("table=areas", "table unknown_parameter"),
        ("widht=80", "widht unknown_parameter"),
    ] {
        let refused = post(&format!("applications?{query}"), &body);
        assert_eq!(refused.status, 422, "{query}");
        let errors = refused.json()["errors"].as_array().unwrap().clone();
        assert_eq!(brief(&errors), [wanted], "{query}");
        if wanted.starts_with("width out") {
            assert_eq!((errors[0]["min"].as_f64(), errors[0]["max"].as_f64()), (Some(40.0), Some(400.0)));
        }
    }
    for width in [40, 400] {
        assert_eq!(post(&format!("applications?width={width}"), &body).status, 200);
    }
}

/// A year in store is reported with the demand that gets it, and nothing expires by it.
#[test]
fn castings_long_in_store_are_reported_with_their_demand_in_every_form() {
    let stock = json!([{"amount": "50 L", "ready_on": "2026-01-10"}]);
    let demands = json!([{"name": "leeks", "amount": "40 L", "on": "2027-04-01"}]);
    let body = json!({"stock": stock, "demands": demands});
    let answer = ok("balances", &body);
    let rule = json!("long_stored");
    assert_eq!(answer["demands"][0]["cautions"], json!([rule]));
    let reported = answer["cautions"].as_array().unwrap().iter().find(|one| one["rule"] == rule).unwrap();
    assert_eq!((&reported["at"], &reported["severity"]), (&json!(["/demands/0"]), &json!("caution")));
    assert!(answer["demands"][0]["allocations"][0]["lot"]["index"] == 0 && answer["total"]["expired"]["value"] == 0);
    let csv = form("balances", "text/csv", &body);
    assert!(csv.text().lines().any(|line| line.contains("leeks") && line.contains("long_stored")), "{}", csv.text());
    for medium in ["text/plain", "text/html"] {
        let page = form("balances", medium, &body);
        assert!(page.text().contains("These castings are stored for over a year"), "{}", page.text());
    }
}

/// The cells of a quantity of JSON: the value and its bounds, which a known value has itself.
fn bounds(quantity: &Value) -> [String; 3] {
    let text = |value: &Value| if value.is_null() { String::new() } else { value.to_string() };
    let value = &quantity["value"];
    ["value", "low", "high"].map(|name| text(quantity.get(name).unwrap_or(value)))
}

#[test]
fn what_has_a_range_in_json_has_its_bounds_in_csv() {
    let nutrients = ["nitrogen", "available_nitrogen", "phosphorus", "phosphate", "potassium", "potash"];
    let nutrients: Vec<(String, String)> =
        nutrients.iter().map(|name| (format!("{name}_g"), format!("/nutrients/{name}/mass"))).collect();
    let reported =
        |list: &[(&str, &str)]| list.iter().map(|(column, at)| ((*column).to_owned(), (*at).to_owned())).collect();
    let of_areas: Vec<(String, String)> = reported(&[
        ("depth_mm", "/depth"),
        ("castings_L", "/castings/volume"),
        ("castings_kg", "/castings/mass"),
        ("castings_each_L", "/castings_each"),
        ("castings_each_time_L", "/each_time/castings/volume"),
        ("organic_matter_kg", "/nutrients/organic_matter/mass"),
    ]);
    let of_materials: Vec<(String, String)> = reported(&[
        ("mass_kg", "/mass"),
        ("volume_L", "/volume"),
        ("dry_matter_kg", "/dry_matter"),
        ("volume_shredded_L", "/volume_shredded"),
        ("volume_mixed_L", "/volume_mixed"),
        ("moisture_%", "/moisture"),
        ("carbon_to_nitrogen", "/carbon_to_nitrogen"),
        ("water_added_L", "/water_added"),
        ("moisture_mixed_%", "/moisture_mixed"),
    ]);
    for (question, list, columns) in
        [("applications", "areas", [of_areas, nutrients].concat()), ("feeds", "materials", of_materials)]
    {
        let mut ranges = 0;
        for body in bodies(question).into_iter().map(|body| with(&body, "/units", json!("metric"))) {
            let answer = ok(question, &body);
            let rows = rows(&form(question, "text/csv", &body).bytes, b',');
            for (row, item) in rows.iter().zip(answer[list].as_array().unwrap()) {
                for (column, at) in &columns {
                    let quantity = item.pointer(at).unwrap_or(&Value::Null);
                    let cells = ["", "_low", "_high"].map(|end| row[&format!("{column}{end}")].clone());
                    assert_eq!(cells, bounds(quantity), "{question} {column}");
                    ranges += usize::from(quantity.get("low").is_some());
                }
            }
        }
        assert!(ranges > 20, "{question}: {ranges}");
    }
}
