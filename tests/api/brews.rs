//! `POST /v1/brews`.

use crate::support::{brief, demo, errors, flat, form, get, keys, ok, post, q, reported, with};
use serde_json::{Value, json};

fn brew(water: &str) -> Value {
    let mut body = demo("brews/one-brew.json");
    body["brews"][0]["water"] = json!(water);
    body
}

#[test]
fn two_hundred_litres_make_four_batches_of_fifty() {
    let answer = ok("brews", &brew("200 L"));
    let brew = &answer["brews"][0];
    assert_eq!(brew["castings"]["volume"], q(json!(20), "L"));
    assert_eq!(brew["rounds"], 4);
    let batch = json!({"water": q(json!(50), "L"), "castings": q(json!(5), "L")});
    assert_eq!(brew["batches"], json!([batch, batch, batch, batch]));
    let first = ["water", "castings_to_water", "castings", "dilution_water", "tea", "brewing_time", "use_within"];
    assert_eq!(keys(brew)[..first.len()], first);
}

#[test]
fn a_hundred_and_eighty_litres_make_three_batches() {
    let answer = ok("brews", &brew("180 L"));
    let batches = answer["brews"][0]["batches"].as_array().unwrap();
    assert_eq!(batches.len(), 3);
    assert!(batches.iter().all(|batch| batch["water"] == q(json!(60), "L")));
}

#[test]
fn dilutions_are_read_in_three_ways() {
    for strength in [json!("1:10"), json!("100 mL/L"), json!("10 %"), q(json!(10), "%"), json!(" 1 : 10 ")] {
        let answer = ok("brews", &with(&brew("200 L"), "/brews/0/castings_to_water", strength));
        assert_eq!(answer["brews"][0]["castings"]["volume"]["value"], 20);
    }
    let pointer = "/brews/0/castings_to_water";
    for (strength, code) in [
        ("1:0", "bad_number"),
        ("0:1", "bad_number"),
        ("1:2:3", "bad_number"),
        ("-1:10", "bad_number"),
        (":", "bad_number"),
        ("2:1", "out_of_range"),
        ("one to ten", "bad_number"),
        ("1e1:3", "bad_number"),
    ] {
        let found = reported("brews", &with(&brew("200 L"), pointer, json!(strength)));
        assert_eq!(found, [format!("{pointer} {code}")], "{strength}");
    }
}

#[test]
fn the_drench_keeps_its_offset_and_counts_back_from_its_use() {
    let answer = ok("brews", &demo("brews/drench-for-the-rows.json"));
    let batch = &answer["brews"][0]["batches"][0];
    assert_eq!(batch["start"], "2027-06-09T06:00:00+02:00");
    assert_eq!(batch["ready"], "2027-06-10T18:00:00+02:00");
    assert_eq!(batch["use_by"], "2027-06-10T22:00:00+02:00");
}

#[test]
fn later_batches_follow_in_the_same_vessel() {
    let mut body = brew("200 L");
    body["brews"][0]["brewing_time"] = json!("24 h");
    body["brews"][0]["use_at"] = json!("2027-06-10T18:00:00-05:00");
    body["brews"][0]["brewer"]["turnaround"] = json!("1 h");
    let answer = ok("brews", &body);
    let batches = answer["brews"][0]["batches"].as_array().unwrap();
    let ready: Vec<&str> = batches.iter().map(|batch| batch["ready"].as_str().unwrap()).collect();
    let wanted = ["2027-06-10T18", "2027-06-11T19", "2027-06-12T20", "2027-06-13T21"];
    assert_eq!(ready, wanted.map(|hour| format!("{hour}:00:00-05:00")));
    assert_eq!(batches[1]["start"], "2027-06-10T19:00:00-05:00");
}

#[test]
fn how_much_is_said_in_exactly_one_way() {
    let plants = json!({"kind": "plants", "count": 3});
    for brew in [
        json!({}),
        json!({"coverage": "1 L/plant"}),
        json!({"surface": plants}),
        json!({"water": "9 L", "surface": plants}),
        json!({"water": "9 L", "coverage": "1 L/plant", "surface": plants}),
    ] {
        assert_eq!(reported("brews", &json!({"brews": [brew]})), ["/brews/0 exactly_one_of"]);
    }
    let answer = ok("brews", &json!({"brews": [{"coverage": "1 L/plant", "surface": plants}]}));
    assert_eq!(answer["brews"][0]["tea"], q(json!(3), "L"));
    let unfit = json!({"brews": [{"coverage": "1 L/m2", "surface": plants}]});
    assert_eq!(reported("brews", &unfit), ["/brews/0/coverage rate_does_not_fit"]);
}

#[test]
fn faults_of_one_brew_are_reported_together_in_the_order_of_the_request() {
    let body = json!({"brews": [{"water": "200 L", "castings_to_water": 0.1, "dilution": "0:3",
        "brewer": {"capacity": "1 kg", "count": 1001}, "brewing_time": 24, "use_within": "4 m", "use_at": "2027-06-10",
        "additives": ["", "molasses", "a\tb"], "water_source": "rein"}]});
    let found = errors("brews", &body);
    let wanted = [
        "castings_to_water share_without_percent",
        "dilution bad_number",
        "brewer/capacity unit_does_not_fit",
        "brewer/count out_of_range",
        "brewing_time unit_missing",
        "use_within unit_does_not_fit",
        "use_at bad_date",
        "additives/0 wrong_length",
        "additives/2 bad_text",
        "water_source unknown_value",
    ];
    assert_eq!(brief(&found), wanted.map(|error| format!("/brews/0/{error}")));
    assert_eq!(found[9]["nearest"], "rain");
}

#[test]
fn all_brews_together_make_a_limited_number_of_batches() {
    let limit = get("/v1/limits").json()["batches"].as_u64().unwrap();
    let thousand = json!({"water": "1000 L", "brewer": {"capacity": "1 L"}});
    let most = usize::try_from(limit).unwrap() / 1_000;
    ok("brews", &json!({"brews": vec![thousand.clone(); most]}));
    let found = reported("brews", &json!({"brews": vec![thousand.clone(); most + 1]}));
    assert_eq!(found, [format!("/brews/{most} too_large")]);
    let demands = vec![json!({"brew": thousand}); most + 1];
    let found = reported("balances", &json!({"stock": [], "demands": demands}));
    assert_eq!(found, [format!("/demands/{most}/brew too_large")]);
    let one = json!({"brews": [{"water": "1001 L", "brewer": {"capacity": "1 L"}}]});
    assert_eq!(reported("brews", &one), ["/brews/0/brewer too_large"]);
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    let body = demo("brews/drench-for-the-rows.json");
    assert_eq!(post("brews", &body).bytes, post("brews", &body).bytes);
}

#[test]
fn the_batches_come_as_a_calendar() {
    let headers = [("content-type", "application/json"), ("accept", "text/calendar")];
    let calendar = |body: &Value| {
        let path = (reqwest::Method::POST, "/v1/brews");
        crate::support::send(&crate::support::service(), path, &headers, body.to_string().into_bytes())
    };
    let tea = json!({"id": "june", "name": "June tea", "water": "120 L", "castings_to_water": "1:10",
        "brewer": {"capacity": "60 L"}, "brewing_time": "36 h", "use_at": "2027-06-10T18:00:00+02:00"});
    let answer = calendar(&json!({"brews": [tea]}));
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/calendar; charset=utf-8"));
    let text = answer.text();
    assert_eq!(text.matches("BEGIN:VEVENT").count(), 4, "two batches, to brew and to use");
    assert!(text.contains("DTSTART:20270609T040000Z"));
    let unfolded = text.replace("\r\n ", "");
    // 120 L at 1:10 are 12 L of castings, in two batches.
    assert!(unfolded.contains("SUMMARY:Brew June tea\\, batch 2 of 2: 6 L of castings in 60 L of water"), "{text}");
    assert!(unfolded.contains("SUMMARY:Use June tea\\, batch 2 of 2: brewed with 60 L of water"), "{text}");
    assert_eq!(unfolded.matches("TRIGGER;RELATED=END:-PT1H").count(), 2, "an hour before the end of each use");
    assert!(unfolded.contains("\nNAME:Castings for compost tea\r"), "{text}");
    let untimed = calendar(&json!({"brews": [{"water": "10 L"}, {"water": "5 L"}]}));
    assert_eq!(untimed.status, 422);
    assert_eq!(untimed.json()["errors"][1]["pointer"], "/brews/1/use_at");
}

/// 2 L/m2 on 20 m2 at 1:4 are 40 L of tea from 8 L of water. In two vessels of 4 L each batch gets its part of the 32 L.
#[test]
fn each_batch_says_how_much_water_dilutes_it() {
    let body = json!({"brews": [
        {"name": "long", "coverage": "2 L/m2", "surface": {"kind": "area", "area": "20 m2"}, "castings_to_water": "1:10",
            "dilution": "1:4", "brewer": {"capacity": "4 L", "count": 2}, "use_at": "2027-05-01T18:00:00+02:00"},
        {"name": "strong", "water": "3 L", "castings_to_water": "1:10", "use_at": "2027-05-01T18:00:00+02:00"}]});
    let answer = ok("brews", &body);
    let batches = answer["brews"][0]["batches"].as_array().unwrap();
    assert_eq!(batches.iter().map(|batch| &batch["dilution_water"]).collect::<Vec<_>>(), [&q(json!(16), "L"); 2]);
    assert_eq!(answer["brews"][1]["batches"][0].get("dilution_water"), None, "used as it is");
    let table = form("brews?table=batches", "text/csv", &body).text().to_owned();
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let place = reader.headers().unwrap().iter().position(|name| name == "dilution_water_L").unwrap();
    let cells: Vec<String> = reader.records().map(|row| row.unwrap()[place].to_owned()).collect();
    assert_eq!(cells, ["16", "16", ""]);
    let text = form("brews?width=200", "text/plain", &body).text().to_owned();
    let lines: Vec<Vec<&str>> = text.lines().map(|line| line.split_whitespace().collect()).collect();
    let begins = |line: &&Vec<&str>| line.starts_with(&["long,", "batch", "1"]);
    assert!(lines.iter().find(begins).unwrap().contains(&"16"), "{text}");
    let page = form("brews", "text/html", &body).text().to_owned();
    assert!(page.matches(">16 L<").count() >= 2, "{page}");
    let calendar = form("brews", "text/calendar", &body).text().replace("\r\n ", "");
    let used =
        "SUMMARY:Use long\\, batch 2 of 2: brewed with 4 L of water\\; add 16 L of water before use: 20 L of tea\r";
    assert!(calendar.contains(used), "{calendar}");
    assert!(calendar.contains("SUMMARY:Use strong: brewed with 3 L of water\r"), "{calendar}");
}

/// 100 mL at 1:30 are 3.33 mL of castings, and a fifth of them 0.667 mL. Data have whole millilitres, which add up; to people they would
/// say that two batches get none.
#[test]
fn a_batch_of_little_reads_as_its_part_of_the_whole() {
    let brew = |capacity: &str| {
        json!({"brews": [{"water": "100 mL", "castings_to_water": "1:30", "brewer": {"capacity": capacity},
            "use_at": "2027-05-01T18:00:00+02:00"}]})
    };
    for (capacity, part, data, times) in [("20 mL", "0.667 mL", "0.001", 5), ("0.1 L", "3.33 mL", "0.003", 1)] {
        let body = brew(capacity);
        let batches = ok("brews", &body)["brews"][0]["batches"].as_array().unwrap().clone();
        let sum: f64 = batches.iter().map(|batch| batch["castings"]["value"].as_f64().unwrap()).sum();
        assert_eq!((batches.len(), (sum * 1e6).round()), (times, 3000.0));
        assert!(form("brews?table=batches", "text/csv", &body).text().contains(&format!(",{data},")));
        let calendar = form("brews", "text/calendar", &body).text().replace("\r\n ", "");
        assert_eq!(
            calendar.matches(&format!(": {part} of castings in {capacity} of water")).count(),
            times,
            "{calendar}"
        );
        let page = form("brews", "text/html", &body).text().to_owned();
        assert!(page.matches(&format!(">{part}<")).count() >= times && page.contains("3.33 mL"), "{page}");
    }
}

/// 2 L/m2 on 40 m2 are 80 L, in a brewer of 20 L: one batch is ready at the hour asked for, and each keeps for 4 h only.
#[test]
fn batches_one_after_another_are_used_one_after_another() {
    let body = json!({"brews": [{"coverage": "2 L/m2", "surface": {"kind": "area", "area": "40 m2"}, "castings_to_water": "1:10",
        "brewer": {"capacity": "20 L"}, "use_at": "2027-05-01T18:00:00+02:00"}]});
    let said = |body: &Value, accept: &str| {
        let text = form("brews", accept, body).text().to_owned();
        flat(&text)
    };
    for accept in ["text/plain", "text/html"] {
        let text = said(&body, accept);
        for wanted in [
            "Use each batch within 4 h of being ready: the first by 1 May 2027 22:00 +02:00, the last by 4 May 2027 22:00 +02:00.",
            "Only 1 of 4 batches (20 L of water each) is ready on 1 May 2027 18:00 +02:00, the last on 4 May 2027 18:00 +02:00.",
        ] {
            assert!(text.contains(wanted) && !text.contains("use all by"), "{accept}: {text}");
        }
    }
    // Four brewers at once are ready together, and two are so in pairs.
    let at_once = said(&with(&body, "/brews/0/brewer/count", json!(4)), "text/plain");
    assert!(at_once.contains("and use all by 1 May 2027 22:00 +02:00.") && !at_once.contains("Only"), "{at_once}");
    let in_pairs = said(&with(&body, "/brews/0/brewer/count", json!(2)), "text/plain");
    assert!(in_pairs.contains("Only 2 of 4 batches (20 L of water each) are ready on"), "{in_pairs}");
    // Brews for different hours have each their own time.
    let mut two = with(&body, "/brews/0/brewer/count", json!(4));
    let mut other = two["brews"][0].clone();
    other["use_at"] = json!("2027-05-03T18:00:00+02:00");
    other["use_within"] = json!("6 h");
    two["brews"].as_array_mut().unwrap().push(other);
    let text = said(&two, "text/plain");
    assert!(
        text.contains(
            "Use each batch by its own time: the first by 1 May 2027 22:00 +02:00, the last by 4 May 2027 00:00 +02:00."
        ),
        "{text}"
    );
}

/// Of several brews the headline says which has no times, and of which a time is assumed; times of several zones are given with their batches.
#[test]
fn the_headline_of_several_brews_names_them() {
    let brews = |list: Value| {
        let text = form("brews", "text/plain", &json!({"brews": list})).text().to_owned();
        flat(&text)
    };
    let a = json!({"name": "a", "water": "50 L", "brewing_time": "36 h", "use_at": "2027-06-30T18:00:00+02:00"});
    let b = json!({"name": "b", "water": "50 L"});
    let text = brews(json!([a, b]));
    assert!(
        text.contains("use all by 30 Jun 2027 22:00 +02:00. To get times for b, say when the tea is to be used."),
        "{text}"
    );
    assert!(text.contains("The brewing time of 24 h of b is assumed"), "{text}");
    let west = with(&a, "/use_at", json!("2027-06-30T18:00:00-07:00"));
    let text = brews(json!([a, west]));
    assert!(text.contains("The batches are in several time zones: see the times of each."), "{text}");
    assert!(!text.contains("Start on"), "{text}");
    let text = brews(json!([b, b]));
    assert!(text.contains("The brewing time of 24 h is assumed") && !text.contains("To get times for"), "{text}");
}

/// Text and sheet have the words of the request.
#[test]
fn readers_find_castings_to_water() {
    for accept in ["text/plain", "text/html"] {
        let text = form("brews", accept, &demo("brews/one-brew.json")).text().replace("<br>", " ");
        let words = flat(&text);
        assert!(words.contains("to water") && !words.contains("per water"), "{words}");
    }
}

/// A tub is 20 L; by mass the castings fill some 48 scoops, more or fewer. The text says what is certain wherever it says the amount.
#[test]
fn castings_are_counted_in_the_container_that_says_them_without_a_range() {
    let body = json!({
        "containers": [{"name": "tub", "capacity": "20 L"}, {"name": "scoop", "capacity": "250 g"}],
        "brews": [{"water": "200 L", "castings_to_water": "1:10", "brewer": {"capacity": "200 L"}}],
    });
    for accept in ["text/plain", "text/html"] {
        let text = form("brews", accept, &body).text().replace("<b>", "").replace("</b>", "");
        assert!(text.contains("1 tub (20 L) of castings") && !text.contains("scoops"), "{text}");
    }
}
