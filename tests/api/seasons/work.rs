//! What the work of a season says: what to make, how much in a week, and of what.

use super::list;
use crate::support::{form, ok};
use serde_json::{Value, json};

/// The words of a text, whatever lines they stand on.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The same request as a text, a page and a calendar, each without its line ends.
fn for_people(body: &Value) -> [String; 3] {
    ["text/plain", "text/html", "text/calendar"].map(|accept| {
        let text = form("seasons", accept, body).text().replace("\r\n ", "").replace("\\,", ",");
        words(&text)
    })
}

/// The rows of a table by the names of their columns.
fn rows(body: &Value) -> Vec<Vec<(String, String)>> {
    let answer = form("seasons?table=work", "text/csv", body);
    let mut reader = csv::Reader::from_reader(answer.bytes.as_slice());
    let header = reader.headers().unwrap().clone();
    let row =
        |row: csv::StringRecord| header.iter().zip(row.iter()).map(|(n, c)| (n.to_owned(), c.to_owned())).collect();
    reader.records().map(|record| row(record.unwrap())).collect()
}

/// The cells of a column in the rows of one kind of work.
fn cells(body: &Value, kind: &str, column: &str) -> Vec<String> {
    let has = |row: &&Vec<(String, String)>| row.contains(&("kind".to_owned(), kind.to_owned()));
    let cell = |row: &Vec<(String, String)>| row.iter().find(|(name, _)| name == column).unwrap().1.clone();
    rows(body).iter().filter(has).map(cell).collect()
}

/// The task says what the option of its day makes, in every form: for 90 of 100 more than what is short.
#[test]
fn a_start_says_how_much_is_made() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-12-31", "climate": "18 C",
        "demands": [{"name": "veg", "amount": "200 L", "on": "2027-04-15"}],
        "additional_production": {"materials": [{"name": "leaves", "material": "leaves_loose", "amount": "1000 L", "shred": true}]}});
    let answer = ok("seasons", &body);
    let made = &answer["shortfall_options"]["additional_production"][0]["at_90_percent"]["castings"]["value"];
    let made = made.as_f64().unwrap();
    assert!(made > 250.0, "{made}");
    let task = list(&answer, "/work").iter().find(|task| task["kind"] == "start_preparing").unwrap();
    assert_eq!(task["volume"]["value"].as_f64(), Some(made));
    assert_eq!(cells(&body, "start_preparing", "volume_L")[0].parse::<f64>().unwrap(), made);
    let said = format!("ast day to start producing {} L", made.round());
    for text in for_people(&body) {
        assert!(text.contains(&said), "{said}: {text}");
        assert!(!text.contains("start producing 200 L"), "{text}");
    }
}

/// 17 December to 13 February are 59 days, 8 weeks: an eighth of the water each week, and on 1 February the days that are left.
#[test]
fn water_is_told_by_the_week_and_from_today() {
    let body = json!({"as_of": "2027-02-01", "until": "2027-06-30", "climate": "18 C",
        "worm_beds": [{"name": "w", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2026-10-01",
                       "feed": {"material": "leaves_shredded"}}],
        "demands": [{"name": "carrots", "amount": "60 L", "on": "2027-04-05"}]});
    let answer = ok("seasons", &body);
    let task = &list(&answer, "/next")[0];
    assert_eq!((&task["on"], &task["until"]), (&json!("2026-12-17"), &json!("2027-02-13")));
    let each = task["each_week"]["value"].as_f64().unwrap();
    assert!((each * 8.0 / task["volume"]["value"].as_f64().unwrap() - 1.0).abs() < 1e-6);
    assert!(cells(&body, "water", "water_each_week_L").contains(&each.to_string()));
    let [text, page, calendar] = for_people(&body);
    assert!(text.contains("1–13 Feb w: water with 15.9 L each week"), "{text}");
    assert!(!text.contains("128 L in all"), "{text}");
    assert!(page.contains("water with 15.9 L each week"), "{page}");
    assert!(calendar.contains("Water with 15.9 L each week: w"), "{calendar}");
}

/// Whatever leads the list of what to measure, it says how.
#[test]
fn what_to_measure_first_says_how() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-09-30", "climate": "15 C",
        "demands": [{"amount": "60 L", "on": "2027-04-05"}],
        "worm_beds": [{"ground": {"kind": "area", "area": "12 m2"}, "start_on": "2026-12-01",
            "feed": {"material": "leaves_loose", "supply": {"kind": "amount", "amount": "3000 L"}}}]});
    let answer = ok("seasons", &body);
    let measures = list(&answer, "/measure_first");
    assert!(measures.iter().any(|measure| measure["assumption"] == "bed.finishing"), "{measures:?}");
    for measure in measures {
        assert!(measure["measure_it"].is_string(), "{measure}");
    }
}
