//! What a grower must know is in every form of an answer, not in one of them alone.

use crate::support::{demo, form, ok, with};
use crate::tables::rows;
use serde_json::{Value, json};

/// A form of an answer, without its line ends and without what stresses words.
fn read(question: &str, accept: &str, body: &Value) -> String {
    let text = form(question, accept, body).text().replace("\r\n ", "").replace("\\,", ",").replace("\\;", ";");
    text.replace("<b>", "").replace("</b>", "").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_balance_says_in_each_form_from_when_to_harvest_after_raw_manure() {
    let body = demo("balances/early-crops.json");
    let demand = &ok("balances", &body)["demands"][0];
    assert_eq!(demand["allocations"][0]["earliest_crop_harvest"], "2027-07-18");
    assert_eq!(demand["incorporate_by"], "2027-05-13");
    for accept in ["text/plain", "text/html"] {
        let text = read("balances", accept, &body);
        let [above, below] = text.split("Raw manure before harvest").collect::<Vec<_>>()[..] else { panic!("{text}") };
        assert!(!above.contains("work in"), "{text}");
        assert!(below.contains("work in; harvest from 18 Jul 2027"), "{text}");
        assert!(below.contains("work raw manure in by 13 May 2027 for the first crop harvest"), "{text}");
        // The others get castings that were composted hot first.
        assert!(!text.contains("by 5 Jan 2027"), "{text}");
    }
    let table = form("balances", "text/csv", &body);
    let first = &rows(table.text(), b',')[0];
    assert!(first["allocations"].contains("harvest from 2027-07-18"), "{first:?}");
    assert_eq!(first["incorporate_by"], "2027-05-13");
    // Castings that were composted hot first ask for nothing.
    let treated = body["stock"][0]["manure"].clone();
    let text = read("balances", "text/plain", &with(&body, "/stock/1/manure", treated));
    assert!(!text.contains("Raw manure before harvest"), "{text}");
}

/// 25 Mar and 120 days are 23 Jul; 120 days before 5 May it is 5 Jan, before 1 Oct it is 3 Jun.
#[test]
fn castings_that_the_interval_bars_from_a_short_demand_are_said_in_each_form() {
    let crop = |harvest: &str, worked_in: bool| json!({"first_crop_harvest": harvest, "incorporated": worked_in});
    let body = json!({
        "as_of": "2027-02-20", "enforce_application_to_harvest_interval": true,
        "stock": [{"name": "pony heap", "amount": "90 L", "ready_on": "2027-03-01", "manure": {"kind": "untreated"}}],
        "demands": [
            {"name": "radishes", "amount": "30 L", "on": "2027-03-25", "crop": crop("2027-05-05", true)},
            {"name": "salad", "amount": "10 L", "on": "2027-04-01", "crop": crop("2027-10-01", false)},
            {"name": "squash", "amount": "10 L", "on": "2027-04-01", "crop": crop("2027-10-01", true)},
        ],
    });
    let treated = "Use castings from feed that was composted hot or is free of manure";
    let raw = "80 L of pony heap stay unused, since they count as raw manure:";
    let radishes = format!(
        "{raw} the 120 days from working them in to the first crop harvest on 5 May 2027 would not be met. {treated}, or harvest from 23 Jul \
         2027 on."
    );
    let salad = format!(
        "{raw} left on top, they never meet the interval to a harvest. {treated}, or work these in by 3 Jun 2027."
    );
    let season = with(&with(&body, "/until", json!("2027-12-31")), "/simulation_runs", json!(0));
    for (question, body) in [("balances", &body), ("seasons", &season)] {
        let demands = ok(question, body)["demands"].clone();
        assert_eq!([&demands[0]["castings_barred"], &demands[1]["castings_barred"]], [&json!(radishes), &json!(salad)]);
        assert!(demands[2].get("castings_barred").is_none(), "{demands}");
        for accept in ["text/plain", "text/html"] {
            let text = read(question, accept, body);
            assert!(
                text.contains(&format!("radishes: {radishes}")) && text.contains(&format!("salad: {salad}")),
                "{text}"
            );
        }
        let of_demands = form(&format!("{question}?table=demands"), "text/csv", body);
        let cells: Vec<String> =
            rows(of_demands.text(), b',').iter().map(|row| row["castings_barred"].clone()).collect();
        assert_eq!(cells, [radishes.as_str(), &salad, ""], "{question}");
    }
    assert_eq!(rows(form("balances", "text/csv", &body).text(), b',')[0]["castings_barred"], radishes);
    // Only the interval bars them.
    let reported = ok("balances", &with(&body, "/enforce_application_to_harvest_interval", json!(false)));
    assert_eq!(
        (&reported["total"]["remaining"]["value"], reported["demands"][0].get("castings_barred")),
        (&json!(40), None)
    );
    let late = ok("balances", &with(&body, "/stock/0/ready_on", json!("2027-04-02")));
    assert!(late["demands"].as_array().unwrap().iter().all(|demand| demand.get("castings_barred").is_none()), "{late}");
    // Three lots are named.
    let heaps =
        |count: u32| (1..=count).map(|i| json!({"name": format!("heap {i}"), "amount": "9 L"})).collect::<Vec<_>>();
    let named =
        |count| ok("balances", &with(&body, "/stock", json!(heaps(count))))["demands"][1]["castings_barred"].clone();
    let text = named(5);
    let start = "8 L of heap 2, 9 L of heap 3, 9 L of heap 4 and 1 more lot stay unused,";
    assert!(text.as_str().unwrap().starts_with(start), "{text}");
    assert!(named(4).as_str().unwrap().contains("9 L of heap 3 and 9 L of heap 4 stay unused,"));
    // Where the heap is there in time, an earlier application helps too, unless that day has passed.
    let there = with(&body, "/stock/0/ready_on", json!("2026-11-01"));
    for (today, is_in_time) in [("2026-12-01", true), ("2027-01-05", true), ("2027-01-06", false)] {
        let answer = ok("balances", &with(&there, "/as_of", json!(today)));
        let text = answer["demands"][0]["castings_barred"].as_str().unwrap();
        assert_eq!(
            text.ends_with(", or harvest from 23 Jul 2027 on, or work these in by 5 Jan 2027."),
            is_in_time,
            "{text}"
        );
    }
}

/// A tea counts from the day on which it is used up; with additives it counts as raw manure whatever its castings are.
#[test]
fn a_tea_that_the_interval_bars_says_what_helps() {
    let of = |additives: Value, kind: &str| {
        let brew = json!({"water": "50 L", "castings_to_water": "1:10", "use_at": "2027-06-10T22:00:00+02:00", "water_source": "mains",
            "additives": additives});
        let crop = json!({"first_crop_harvest": "2027-10-08", "incorporated": true});
        let body = json!({"as_of": "2027-02-01", "stock": [{"name": "bin", "amount": "90 L", "manure": {"kind": kind}}],
            "demands": [{"brew": brew, "crop": crop}], "enforce_application_to_harvest_interval": true});
        ok("balances", &body)["demands"][0]["castings_barred"].as_str().map(str::to_owned)
    };
    let not_met = "the 120 days from using up the tea to the first crop harvest on 8 Oct 2027 would not be met.";
    let times = "or harvest from 9 Oct 2027 on, or work the tea in by 10 Jun 2027.";
    let additives = of(json!(["molasses"]), "none").unwrap();
    let what = "90 L of bin stay unused, since the tea counts as raw manure:";
    assert_eq!(additives, format!("{what} {not_met} Brew it without additives and with water from the mains, {times}"));
    let raw = of(json!([]), "untreated").unwrap();
    let what = "90 L of bin stay unused, since they count as raw manure:";
    assert_eq!(
        raw,
        format!("{what} {not_met} Use castings from feed that was composted hot or is free of manure, {times}")
    );
    assert_eq!(of(json!([]), "none"), None);
}

/// 20 L for 50 L, of which peas come last.
fn short() -> Value {
    json!({"as_of": "2027-02-01", "until": "2027-06-30", "stock": [{"amount": "20 L"}],
        "demands": [
            {"name": "carrots", "amount": "30 L", "on": "2027-04-05"},
            {"name": "peas", "amount": "20 L", "on": "2027-04-20", "priority": 2}]})
}

#[test]
fn a_season_says_in_each_form_what_is_missing() {
    let body = short();
    let answer = ok("seasons", &body);
    let headline = answer["headline"].as_str().unwrap();
    assert!(headline.starts_with("Not enough. 30 L of the 50 L needed are missing"), "{headline}");
    for accept in ["text/plain", "text/html", "text/calendar"] {
        assert!(read("seasons", accept, &body).contains(headline), "{accept}");
    }
    let missing = "of the 30 L of castings needed, 10 L are missing";
    let apply = answer["work"].as_array().unwrap().iter().find(|task| task["kind"] == "apply").unwrap();
    assert_eq!(apply["note"], missing);
    assert!(read("seasons", "text/calendar", &body).contains(missing));
    let table = form("seasons", "text/csv", &body);
    let row = rows(table.text(), b',').into_iter().find(|row| row["kind"] == "apply").unwrap();
    assert_eq!(row["note"], missing);
    // Nothing is missing, nothing is said.
    let enough = ok("seasons", &with(&body, "/stock/0/amount", json!("60 L")));
    assert!(enough["work"].as_array().unwrap().iter().all(|task| task.get("note").is_none()), "{enough}");
}

#[test]
fn a_demand_that_repeats_says_what_is_missing_each_time() {
    let repeat = json!({"every": "4 weeks", "times": 2});
    let demand =
        json!({"name": "roses", "amount": "20 L", "earliest": "2027-04-01", "latest": "2027-04-02", "repeat": repeat});
    let mut body = short();
    body["demands"] = json!([demand]);
    body["stock"] = json!([{"amount": "25 L"}]);
    let answer = ok("seasons", &body);
    let notes: Vec<&Value> = answer["work"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|task| task["kind"] == "apply")
        .map(|task| &task["note"])
        .collect();
    let times = answer["demands"][0]["occasions"].as_array().unwrap();
    let short: Vec<f64> = times.iter().map(|time| time["shortfall"]["value"].as_f64().unwrap()).collect();
    assert_eq!(short.iter().sum::<f64>(), 15.0, "{answer}");
    assert_eq!(notes.len(), times.len());
    for (note, missing) in notes.iter().zip(&short).filter(|(_, missing)| **missing > 0.0) {
        let wanted = format!("of the 20 L of castings needed, {missing} L are missing");
        assert_eq!(note.as_str(), Some(wanted.as_str()));
    }
}

#[test]
fn places_alike_say_how_much_each_of_them_takes() {
    let circles = json!({"surface": {"kind": "circle", "diameter": "2 m", "count": 6}, "rate": {"kind": "depth", "amount": "1 cm"}});
    let one = with(&circles, "/surface/count", json!(1));
    let body = json!({"areas": [circles, one]});
    let areas = ok("applications", &body)["areas"].clone();
    // Six circles of 2 m under 1 cm: pi / 4 x 4 m2 x 10 L/m2 for each, worked by hand.
    assert_eq!(areas[0]["count"], 6);
    let each = areas[0]["castings_each"]["value"].as_f64().unwrap();
    assert!((each - 31.4159265).abs() < 1e-6, "{each}");
    assert_eq!(areas[1]["castings"]["volume"]["value"].as_f64().unwrap(), each);
    assert!(areas[1].get("count").is_none() && areas[1].get("castings_each").is_none());
    for accept in ["text/plain", "text/html"] {
        assert!(read("applications?width=160", accept, &body).contains("6 places, 31.4 L each"), "{accept}");
    }
    let table = form("applications", "text/csv", &body);
    let row = &rows(table.text(), b',')[0];
    assert_eq!([&row["count"], &row["castings_each_L"]], ["6", "31.4159265"]);
}

#[test]
fn each_of_several_places_is_of_one_time() {
    let area = json!({"surface": {"kind": "rectangle", "length": "2 m", "width": "1 m", "count": 3},
        "rate": {"kind": "depth", "amount": "1 cm"}, "repeat": {"every": "30 days", "times": 4}});
    let area = &ok("applications", &json!({"areas": [area]}))["areas"][0];
    assert_eq!(area["castings"]["volume"]["value"], 240);
    assert_eq!(area["each_time"]["castings"]["volume"]["value"], 60);
    assert_eq!(area["castings_each"]["value"], 20);
}

#[test]
fn amounts_within_words_have_the_decimal_mark_of_the_table() {
    let body = demo("seasons/kitchen-garden.json");
    let materials = |question: &str, delimiter| -> Vec<String> {
        let table = form(question, "text/csv", &body);
        rows(table.text(), delimiter).iter().map(|row| row["materials"].clone()).collect()
    };
    let (point, comma) = (materials("seasons", b','), materials("seasons?decimal=comma", b';'));
    assert!(point.iter().any(|text| text.contains('.')), "{point:?}");
    assert_eq!(comma, point.iter().map(|text| text.replace('.', ",")).collect::<Vec<_>>());
}

#[test]
fn water_that_runs_into_another_year_has_its_years() {
    let bed = json!({"ground": {"kind": "area", "area": "0.2 m2"}, "start_on": "2026-12-01", "worms": "60 g",
        "feed": {"material": "leaves_shredded"}});
    let body = json!({"as_of": "2026-11-20", "until": "2028-02-15", "climate": "6 C", "worm_beds": [bed], "simulation_runs": 0,
        "demands": [{"amount": "1 L", "on": "2028-01-10"}]});
    for accept in ["text/plain", "text/html"] {
        let text = read("seasons", accept, &body);
        assert!(text.contains("1 Dec 2026–15 Feb 2028"), "{text}");
    }
}

#[test]
fn where_nothing_is_to_do_soon_the_next_day_with_work_is_reported() {
    let apply = |name: &str, on: &str| json!({"name": name, "amount": "5 L", "on": on});
    let body = json!({"as_of": "2027-02-25", "until": "2027-06-30", "stock": [{"amount": "90 L"}],
        "demands": [apply("peas", "2027-04-06"), apply("beans", "2027-04-06"), apply("leeks", "2027-05-02")]});
    let text = read("seasons", "text/plain", &body);
    let next = text.split("Next work, on 6 Apr 2027").nth(1).unwrap_or_else(|| panic!("{text}"));
    let next = next.split("Who gets what").next().unwrap();
    assert!(next.contains("peas") && next.contains("beans") && !next.contains("leeks"), "{text}");
    assert!(read("seasons", "text/html", &body).contains("Next work, on 6 Apr 2027"));
    let soon = with(&body, "/as_of", json!("2027-03-25"));
    let text = read("seasons", "text/plain", &soon);
    assert!(text.contains("What to do in the 30 days from") && !text.contains("Next work"), "{text}");
}

#[test]
fn a_shortfall_of_days_that_have_passed_has_no_options_and_says_so() {
    let late = json!({"as_of": "2028-03-01", "stock": [{"amount": "3 L", "use_by": "2027-01-01"}],
        "demands": [{"name": "peas", "amount": "1 L", "on": "2027-04-05"}]});
    let sack = with(&late, "/sack", json!({"capacity": "40 L"}));
    let passed = "since the last day of peas has passed. Give it a later day, or remove it.";
    for (body, accept) in [&late, &sack].into_iter().flat_map(|body| ["text/plain", "text/html"].map(|as_| (body, as_)))
    {
        let text = read("balances", accept, body);
        assert!(
            text.contains(&format!(
                "Options to close the shortfall{}",
                if accept == "text/html" { "</h2>" } else { "" }
            ))
        );
        assert!(text.contains(passed) && !text.contains("<ul></ul>"), "{text}");
        assert!(!text.contains("say what a bought sack holds"), "{text}");
    }
    let ahead = with(&late, "/demands/0/on", json!("2028-04-05"));
    assert!(read("balances", "text/plain", &ahead).contains("say what a bought sack holds"));
}

#[test]
fn a_season_that_is_over_says_until_when_it_was() {
    let body =
        json!({"as_of": "2028-03-01", "until": "2028-02-29", "demands": [{"amount": "5 L", "on": "2028-02-29"}]});
    for accept in ["text/plain", "text/html"] {
        assert!(read("seasons", accept, &body).contains("until 29 Feb 2028, seen on 1 Mar 2028"));
    }
}
