//! What a grower does with an answer: sends a bed on, collects, stores, reads the clock, and compares.

use crate::support::{form, ok, q, rows, with, words};
use serde_json::{Value, json};

fn value(amount: &Value) -> f64 {
    amount["value"].as_f64().unwrap_or_else(|| panic!("{amount}"))
}

fn list<'a>(answer: &'a Value, pointer: &str) -> &'a [Value] {
    answer.pointer(pointer).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

fn climate() -> Value {
    json!({"unit": "C", "monthly_means": [1, 2, 5, 9, 14, 17, 19, 19, 15, 10, 5, 2], "offset": 5})
}

/// A bed of 4 m2 from a day to another, as the forecast of harvests takes it.
fn forecast(start_on: &Value, until: &str) -> Value {
    json!({"start_on": start_on, "until": until, "climate": climate(), "worms": "8 kg", "layers_per_cycle": 3,
           "feed": {"material": "leaves_shredded"}})
}

fn harvests(forecast: &Value) -> Value {
    let ground = json!({"kind": "area", "area": "4 m2"});
    ok("harvests", &json!({"worm_beds": [{"ground": ground, "forecast": forecast}]}))["worm_beds"][0]["forecast"]
        .clone()
}

/// What a forecast says of the bed at its end is what another takes: the harvest stays where it was, and as large.
#[test]
fn the_end_of_a_forecast_may_be_sent_back() {
    let start = json!("2027-03-01");
    let whole = harvests(&forecast(&start, "2027-12-31"));
    let first = &whole["lots"][0];
    for until in ["2027-04-10", "2027-05-20", "2027-06-14"] {
        let end = harvests(&forecast(&start, until))["end"].clone();
        let mut rest = forecast(&end["on"], "2027-12-31");
        rest["worms"] = end["worms"].clone();
        rest["running"] = end["running"].clone();
        let rest = harvests(&rest);
        let found = &rest["lots"][0];
        assert_eq!(found["ready"]["likely"], first["ready"]["likely"], "{until}: {end}");
        let [found, expected] = [found, first].map(|lot| value(&lot["castings"]["volume"]));
        assert!((found / expected - 1.0).abs() < 1e-6, "{until}: {found} is not {expected}");
        let laid = |of: &Value| list(of, "/layers").iter().filter(|layer| layer["cycle"] == 1).count();
        assert_eq!(end["running"]["layers_laid"], json!(laid(&whole) - laid(&rest)), "{until}");
    }
    // An empty bed has nothing to send.
    let mut once = forecast(&start, "2028-06-30");
    once["cycles"] = json!(1);
    assert_eq!(harvests(&once)["end"].get("running"), None);
}

/// 360 L come at once and are laid at once: nothing of it is left to dry or to share. Of twice as much the half is.
#[test]
fn feed_that_is_laid_does_not_wait() {
    let sized = |amount: &str| {
        json!({"start_on": "2027-04-01", "until": "2027-12-31", "climate": "18 C", "ground": {"kind": "area", "area": "3 m2"},
               "worms": "4 kg", "feeding": "layers",
               "feed_supply": {"material": "leaves_shredded", "deliveries": [{"on": "2027-04-01", "amount": amount}]}})
    };
    let body = sized("360 L");
    let answer = ok("worm-beds", &body);
    assert_eq!(list(&answer, "/layers").iter().map(|layer| &layer["on"]).collect::<Vec<_>>(), ["2027-04-01"]);
    assert_eq!(answer.get("surplus_feed"), None);
    assert!(!words("worm-beds", "text/plain", &body).contains("freeze it"));
    let answer = ok("worm-beds", &sized("720 L"));
    let laid: Vec<(&str, f64)> =
        list(&answer, "/layers").iter().map(|layer| (layer["on"].as_str().unwrap(), value(&layer["mass"]))).collect();
    let (surplus, on) = (&answer["surplus_feed"], answer["surplus_feed"]["on"].as_str().unwrap());
    let by_then: f64 = laid.iter().filter(|(day, _)| *day <= on).map(|(_, mass)| mass).sum();
    let all: f64 = list(&answer, "/weeks").iter().map(|week| value(&week["comes"])).sum();
    assert!(by_then > 0.0 && (value(&surplus["mass"]) - (all - by_then)).abs() < 1e-6 * all, "{surplus}: {laid:?}");
    assert!(words("worm-beds", "text/plain", &sized("720 L")).contains("freeze it"));
}

/// A season of one bed that is fed a mix.
fn mixed() -> Value {
    json!({"until": "2027-08-01", "climate": "18 C", "as_of": "2026-11-01", "simulation_runs": 0,
           "feed_supply": {"materials": [{"material": "cattle_manure_fresh", "amount": "270 L"}, {"material": "straw", "amount": "180 L"}],
                           "supply": {"kind": "as_needed"}},
           "worm_beds": [{"name": "mill", "ground": {"kind": "area", "area": "4 m2"}, "start_on": "2026-11-10", "worms": "6 kg"}],
           "demands": [{"name": "x", "amount": "100 L", "on": "2027-06-01"}]})
}

/// What is collected of a mix lies apart: straw has not yet packed between the manure.
#[test]
fn the_materials_of_a_mix_are_all_that_is_collected() {
    let answer = ok("seasons", &mixed());
    let tasks = list(&answer, "/work").iter().filter(|task| task["kind"] == "lay_feed");
    let layers = list(&answer, "/worm_beds/0/forecast/layers");
    assert!(!layers.is_empty());
    for of in tasks.chain(layers) {
        let materials: f64 = list(of, "/materials").iter().map(|material| value(&material["volume"])).sum();
        let collected = value(&of["collect"]["volume"]);
        assert!((collected / materials - 1.0).abs() < 1e-6, "{collected} is not {materials}");
    }
    let table = form("seasons?table=work", "text/csv", &mixed());
    let cells: Vec<f64> = rows(&table.bytes, b',').iter().filter_map(|row| row["collect_L"].parse().ok()).collect();
    let collected: Vec<f64> =
        list(&answer, "/work").iter().filter_map(|task| Some(value(task.get("collect")?.get("volume")?))).collect();
    assert_eq!(cells, collected);
}

/// A moment says in which time zone it is, in every place.
#[test]
fn hours_of_a_tea_are_with_their_offset() {
    let season = |at: &str| {
        json!({"as_of": "2027-06-01", "until": "2027-06-30", "stock": [{"amount": "100 L"}],
               "demands": [{"name": "tea", "brew": {"water": "50 L", "castings_to_water": "1:10", "use_at": at, "brewing_time": "24 h"}}]})
    };
    let brews = |at: &str| json!({"brews": [{"name": "tea", "water": "50 L", "use_at": at, "brewing_time": "24 h"}]});
    for (at, ready, last) in [
        ("2027-06-12T17:00:00Z", "12 Jun 2027 17:00 UTC", "12 Jun 2027 21:00 UTC"),
        ("2027-06-12T19:00:00+02:00", "12 Jun 2027 19:00 +02:00", "12 Jun 2027 23:00 +02:00"),
    ] {
        let answer = ok("seasons", &season(at));
        let notes: Vec<&str> = list(&answer, "/work").iter().filter_map(|task| task["note"].as_str()).collect();
        assert!(notes[0].contains(&format!("ready on {ready}")), "{notes:?}");
        assert_eq!(notes[1], format!("ready on {ready}, use all by {last}"));
        for accept in ["text/plain", "text/html", "text/calendar", "text/csv"] {
            let question = if accept == "text/csv" { "seasons?table=work" } else { "seasons" };
            let text = words(question, accept, &season(at));
            assert!(text.contains(ready) && text.contains(last), "{accept}: {text}");
        }
        assert!(words("brews", "text/plain", &brews(at)).contains(&format!("use all by {last}.")));
    }
}

fn cautions(task: &Value) -> Vec<&str> {
    list(task, "/cautions").iter().filter_map(Value::as_str).collect()
}

/// Raw manure is named with what is drawn on castings that may have it, and with nothing else.
#[test]
fn a_task_minds_raw_manure_by_the_lots_that_it_draws_on() {
    let body = json!({"as_of": "2027-04-01", "until": "2027-06-30",
        "stock": [{"name": "clean", "amount": "40 L", "use_by": "2027-04-20", "manure": {"kind": "none"}},
                  {"name": "raw", "amount": "40 L", "ready_on": "2027-05-01", "manure": {"kind": "untreated"}}],
        "demands": [{"name": "cabbage", "amount": "40 L", "on": "2027-04-10"}, {"name": "beans", "amount": "40 L", "on": "2027-05-10"}]});
    let answer = ok("seasons", &body);
    let [cabbage, beans] = list(&answer, "/work") else { panic!("{answer}") };
    assert_eq!(cabbage["demand"]["name"], "cabbage");
    assert!(!cautions(cabbage).contains(&"raw_manure") && cautions(beans).contains(&"raw_manure"));
    assert!(cautions(cabbage).contains(&"handling"));
    let calendar = words("seasons", "text/calendar", &body);
    let event = |name: &str| calendar.split("BEGIN:VEVENT").find(|event| event.contains(name)).unwrap().to_owned();
    let heading =
        list(&answer, "/cautions").iter().find(|of| of["rule"] == "raw_manure").unwrap()["heading"].as_str().unwrap();
    assert!(!event(": cabbage").contains(heading) && event(": beans").contains(heading), "{calendar}");
}

/// 500 L to be used by the end of June, of which 360 L are asked for.
#[test]
fn what_expires_is_a_task() {
    let season = |needed: &str| {
        json!({"as_of": "2027-06-01", "until": "2027-08-31",
               "stock": [{"name": "old heap", "amount": "500 L", "use_by": "2027-06-30", "manure": {"kind": "none"}}],
               "demands": [{"name": "beans", "amount": needed, "on": "2027-06-10"}]})
    };
    let body = season("360 L");
    let answer = ok("seasons", &body);
    let task = list(&answer, "/work").iter().find(|task| task["kind"] == "use_lot").unwrap();
    assert_eq!((&task["on"], &task["volume"]), (&json!("2027-06-30"), &q(json!(140), "L")));
    assert_eq!(task["text"], "old heap: last day to use what no demand takes");
    assert_eq!(list(&answer, "/next").last(), Some(task));
    let calendar = words("seasons", "text/calendar", &body);
    assert_eq!(calendar.matches("Last day to use").count(), 1, "{calendar}");
    assert!(calendar.contains("500 L, of which 360 L are allocated; 140 L expire unused"), "{calendar}");
    for accept in ["text/plain", "text/html"] {
        let text = words("seasons", accept, &body);
        assert!(text.contains("use 140 L of castings, which no demand takes, or lose them"), "{accept}: {text}");
    }
    let table = form("seasons?table=work", "text/csv", &body).text().to_owned();
    assert!(table.lines().any(|line| line.contains("use_lot") && line.contains("140")), "{table}");
    // Nothing is left to use of what is all asked for, or what has expired before today.
    let is_asked = |body: &Value| list(&ok("seasons", body), "/work").iter().any(|task| task["kind"] == "use_lot");
    let mut late = body.clone();
    late["as_of"] = json!("2027-07-01");
    assert!(!is_asked(&season("500 L")) && !is_asked(&late));
}

/// Leaves that are soaked in autumn for layers of spring rot: each layer is prepared by itself.
#[test]
fn feed_is_soaked_for_the_next_layer_alone() {
    let feed = |ground: &str| {
        json!({"materials": [{"name": "leaves", "material": "leaves_loose", "amount": "1500 L", "soak": true},
                             {"name": "litter", "material": "broiler_litter_dry", "rehydrate": {}}],
               "goals": {"carbon_to_nitrogen": {"low": 25, "high": 30}, "moisture": "72 %"},
               "ground": {"kind": "area", "area": ground}, "start_on": "2026-10-15", "climate": climate(), "worms": "4 kg"})
    };
    let answer = ok("feeds", &feed("3 m2"));
    let text = |answer: &Value, kind: &str| {
        let step = list(answer, "/steps").iter().find(|step| step["kind"] == kind);
        step.unwrap()["text"].as_str().unwrap().to_owned()
    };
    for (kind, what) in [("soak", "soak only"), ("rehydrate_manure", "stir in only"), ("mix", "mix only")] {
        let text = text(&answer, kind);
        assert!(text.contains(&format!("{what} what the next one takes")), "{text}");
    }
    assert!(text(&answer, "stir_daily").contains("do this for each by itself"));
    let day = |kind: &str, end: &str| {
        let step = list(&answer, "/steps").iter().find(|step| step["kind"] == kind);
        step.unwrap()[end].as_u64().unwrap()
    };
    let days = day("mix", "ends_day") - day("soak", "starts_day");
    assert!(days > 1, "{days}");
    let calendar = words("feeds", "text/calendar", &feed("3 m2"));
    let before = format!("Begin {days} days before: soak, stir daily, ");
    assert!(calendar.contains("Soak, layer by layer: leaves") && calendar.contains(&before), "{calendar}");
    // All of it is one layer on more ground.
    let answer = ok("feeds", &feed("20 m2"));
    assert!(["soak", "rehydrate_manure", "mix"].iter().all(|kind| !text(&answer, kind).contains("next one")));
}

/// What sacks replace is said only where there is something else.
#[test]
fn sacks_replace_what_would_close_the_gap_too() {
    let season = |second: Value| {
        json!({"as_of": "2027-04-01", "until": "2027-08-31", "sack": {"capacity": "40 L"},
               "stock": [{"amount": "40 L", "manure": {"kind": "none"}}, second],
               "demands": [{"name": "beans", "amount": "100 L", "on": "2027-06-10"}]})
    };
    let note = |body: &Value| {
        let answer = ok("seasons", body);
        let task = list(&answer, "/work").iter().find(|task| task["kind"] == "buy_sacks").cloned();
        task.unwrap()["note"].as_str().unwrap_or_default().to_owned()
    };
    let alone = note(&season(json!({"amount": "1 L", "manure": {"kind": "none"}})));
    assert!(!alone.contains("instead of"), "{alone}");
    let waits = note(&season(json!({"amount": "80 L", "ready_on": "2027-07-01", "manure": {"kind": "none"}})));
    assert!(waits.contains("instead of later supply") && !waits.contains("production"), "{waits}");
}

/// Two that get all they need before sacks come are named.
#[test]
fn who_gets_all_before_sacks_come_is_named() {
    let demand = |name: &str, on: &str| json!({"name": name, "amount": "50 L", "on": on, "priority": 2});
    let body = json!({"as_of": "2027-04-01", "stock": [{"amount": "100 L"}], "sack": {"capacity": "50 L"},
        "demands": [demand("beans", "2027-05-01"), demand("leeks", "2027-05-02"),
                    {"name": "late", "amount": "100 L", "on": "2027-06-01", "priority": 1}]});
    let answer = ok("balances", &body);
    let text = list(&answer, "/shortfall_options/options").iter().find(|of| of["kind"] == "sacks").unwrap()["text"]
        .to_string();
    assert!(text.contains("Then give beans and leeks all they need"), "{text}");
    // Of many some are.
    let mut many = body.clone();
    many["stock"] = json!([{"amount": "250 L"}]);
    many["demands"] = json!(
        (1..=5)
            .map(|i| demand(&format!("d{i}"), &format!("2027-05-0{i}")))
            .chain([json!({"name": "late", "amount": "250 L", "on": "2027-06-01", "priority": 1})])
            .collect::<Vec<_>>()
    );
    let text = ok("balances", &many).to_string();
    assert!(text.contains("Then give d1, d2 and 3 more all they need"), "{text}");
}

/// Layers of less than an eighth of an inch differ where they are compared.
#[test]
fn thin_layers_are_compared_in_inches() {
    let body = json!({"units": "us", "areas": [{"name": "m", "surface": {"kind": "area", "area": "100 ft2"},
                      "rate": {"kind": "depth", "amount": "2 mm"}}], "assumptions": {"castings.phosphorus": "2 %"}});
    let text = words("applications", "text/plain", &body);
    assert!(text.contains("m (0.079 in) gets more") && !text.contains("under ⅛ in brings"), "{text}");
    // What its ruler tells reads as in the table.
    let eighth = words("applications", "text/plain", &with(&body, "/areas/0/rate/amount", json!("1/8 in")));
    assert!(eighth.contains("m (⅛ in) gets more"), "{eighth}");
}

/// The last day of a plan is its last, and not the morning after.
#[test]
fn no_harvest_is_ready_by_the_last_day() {
    let mut body = mixed();
    body["until"] = json!("2026-11-30");
    body["demands"][0]["on"] = json!("2026-11-30");
    let text = words("seasons?all=true", "text/plain", &body);
    assert!(text.contains("mill: no harvest is ready by 30 Nov 2026."), "{text}");
}

/// A sack is what is written on it; a row of a table is read in one unit.
#[test]
fn sacks_and_rows_keep_their_units() {
    let balance = |sack: Value| {
        json!({"units": "us", "as_of": "2027-04-01", "stock": [{"amount": "2.4 ft3"}], "sack": {"capacity": sack},
               "demands": [{"name": "beans", "amount": "24 ft3", "on": "2027-05-01"}]})
    };
    for (sack, shown) in [
        (json!("40 lb"), " sacks of 40 lb ("),
        (json!({"value": 20, "unit": "kg"}), " sacks of 20 kg ("),
        (json!("1 ft3"), " sacks of 1 ft3"),
    ] {
        let text = words("balances", "text/plain", &balance(sack));
        assert!(text.contains(shown), "{text}");
    }
    let text = form("balances", "text/plain", &balance(json!("1 ft3"))).text().to_owned();
    let row = text.lines().find(|line| line.contains("beans") && line.contains("24")).unwrap();
    assert!(row.contains("2.4") && row.contains("21.6") && !row.contains("US gal"), "{text}");
}
