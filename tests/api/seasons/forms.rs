//! The forms of a season and of a balance besides JSON: tables, sheets, charts, calendars.

use super::kitchen_garden;
use crate::support::{Row, brief, demo, demo_files, form, get, ok, post, q, rows, with};
use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;
use chrono::{Days, NaiveDate};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

/// The rows of a table, of which no two columns have one name.
fn table(body: &Value, which: &str) -> Vec<Row> {
    let answer = form(&format!("seasons?table={which}"), "text/csv", body);
    assert_eq!(answer.header("content-type"), "text/csv; charset=utf-8; header=present");
    let header: Vec<&str> = answer.text().lines().next().unwrap().split(',').collect();
    assert_eq!(header.iter().collect::<BTreeSet<_>>().len(), header.len(), "{which} has two columns of one name");
    rows(&answer.bytes, b',')
}

fn text(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

#[test]
fn each_form_has_its_content_type_and_pages_may_load_nothing() {
    for question in ["seasons", "balances"] {
        for path in demo_files(question) {
            let body: Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
            let page = form(question, "text/html", &body);
            assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
            let chart = form(question, "image/svg+xml", &body);
            assert_eq!(chart.header("content-type"), "image/svg+xml");
            for answer in [&page, &chart] {
                assert_eq!(answer.header("content-security-policy"), POLICY);
                for banned in ["<script", "javascript:", "<link", "<img", "<image", "href=", "@import", "onload"] {
                    assert!(!answer.text().contains(banned), "{banned}");
                }
            }
            assert!(page.text().starts_with("<!DOCTYPE html>") && page.text().contains("<svg class=\"chart\""));
            assert!(chart.text().starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg "));
        }
    }
    let calendar = form("seasons", "text/calendar", &kitchen_garden());
    assert_eq!(calendar.header("content-type"), "text/calendar; charset=utf-8");
}

#[test]
fn the_tables_hold_what_the_answer_holds() {
    let answer = ok("seasons", &kitchen_garden());
    let list = |name: &str| answer[name].as_array().unwrap().clone();
    let rows = table(&kitchen_garden(), "work").into_iter();
    let (short, work): (Vec<_>, Vec<_>) = rows.partition(|row| row["kind"] == "shortfall");
    let is_short = |demand: &&Value| demand["shortfall"]["value"] != 0;
    assert_eq!((work.len(), short.len()), (list("work").len(), list("demands").iter().filter(is_short).count()));
    for (row, task) in work.iter().zip(list("work")) {
        assert_eq!(
            [&row["on"], &row["kind"], &row["text"]].map(String::as_str),
            ["on", "kind", "text"].map(|n| task[n].as_str().unwrap())
        );
        let amount = match task["kind"].as_str() {
            Some("water") => "water_L",
            Some("use_tea") => "tea_L",
            _ => "volume_L",
        };
        assert_eq!(row[amount], text(&task["volume"]["value"]), "{row:?}");
        assert_eq!(row["mass_kg"], text(&task["mass"]["value"]));
        assert_eq!(row["worm_bed_id"], text(&task["worm_bed"]["id"]));
        assert_eq!(row["demand_index"], text(&task["demand"]["index"]));
        assert_eq!(row["volume_bucket"], text(&task["in_containers"][0]["value"]));
    }
    let demands = table(&kitchen_garden(), "demands");
    for (row, demand) in demands.iter().zip(list("demands")) {
        for (column, value) in [
            ("id", &demand["id"]),
            ("name", &demand["name"]),
            ("needed_L", &demand["needed"]["value"]),
            ("allocated_L", &demand["allocated"]["value"]),
            ("shortfall_L", &demand["shortfall"]["value"]),
            ("chance_full_%", &demand["chance_full"]["value"]),
            ("chance_allocated_%", &demand["chance_allocated"]["value"]),
            ("last_day", &demand["latest"]),
            ("allocated_barrow", &demand["in_containers"][1]["value"]),
        ] {
            assert_eq!(row[column], text(value), "{column}");
        }
    }
    // allocated + remaining + expired = amount, and all that is given comes of some lot.
    let stock = table(&kitchen_garden(), "stock");
    let number = |row: &BTreeMap<String, String>, name: &str| row[name].parse::<f64>().unwrap_or(0.0);
    let rows: Vec<&str> = stock.iter().map(|row| row["row"].as_str()).collect();
    assert_eq!(rows, ["stock", "worm_bed", "worm_bed", "worm_bed"]);
    for row in &stock {
        let sum = number(row, "allocated_L") + number(row, "remaining_L") + number(row, "expired_L");
        assert!((sum - number(row, "amount_L")).abs() < 1e-6, "{row:?}");
    }
    let given: f64 = stock.iter().map(|row| number(row, "allocated_L")).sum();
    assert!((given - answer["total"]["allocated"]["value"].as_f64().unwrap()).abs() < 1e-6);
    let beds = table(&kitchen_garden(), "worm_beds");
    assert_eq!(
        beds.iter().map(|row| (row["id"].as_str(), row["cycle"].as_str())).collect::<Vec<_>>(),
        [("wall", "1"), ("loft", "1"), ("loft", "2")]
    );
    assert_eq!(beds[0]["ready_p10"], answer["worm_beds"][0]["lots"][0]["ready"]["p10"]);
    assert_eq!(beds[0]["volume_p90_L"], text(&answer["worm_beds"][0]["lots"][0]["volume"]["p90"]["value"]));
}

#[test]
fn the_days_balance_and_tell_what_is_wanted_and_the_chance() {
    let answer = ok("seasons", &kitchen_garden());
    let rows = table(&kitchen_garden(), "by_date");
    let number = |row: &BTreeMap<String, String>, name: &str| row[name].parse::<f64>().unwrap();
    let mut left = answer["opening_stock"]["value"].as_f64().unwrap();
    for row in &rows {
        left += number(row, "received_L") - number(row, "allocated_L") - number(row, "expired_L");
        assert!((left - number(row, "closing_stock_L")).abs() < 1e-6, "{row:?}");
    }
    let last = rows.last().unwrap();
    assert_eq!(last["needed_by_then_L"], text(&answer["total"]["needed"]["value"]));
    let chances: BTreeMap<&str, String> = answer["chances"]["by_date"]
        .as_array()
        .unwrap()
        .iter()
        .map(|by| (by["date"].as_str().unwrap(), text(&by["chance"]["value"])))
        .collect();
    let reported: BTreeMap<&str, String> = rows
        .iter()
        .filter(|row| !row["chance_of_enough_%"].is_empty())
        .map(|row| (row["date"].as_str(), row["chance_of_enough_%"].clone()))
        .collect();
    assert_eq!(reported, chances);
    let days: Vec<&String> = rows.iter().map(|row| &row["date"]).collect();
    assert!(days.windows(2).all(|pair| pair[0] < pair[1]), "{days:?}");
}

#[test]
fn tables_in_us_units_say_so_and_a_bed_without_a_harvest_has_its_row() {
    let body = with(&with(&kitchen_garden(), "/units", json!("us")), "/until", json!("2026-12-31"));
    let body = with(&body, "/demands", json!([{"amount": "1 ft3", "on": "2026-12-01"}]));
    let work = table(&body, "work");
    let water = work.iter().find(|row| row["kind"] == "water").unwrap();
    assert!(water["volume_ft3"].is_empty() && !water["water_US_gal"].is_empty() && water.contains_key("mass_lb"));
    let beds = table(&body, "worm_beds");
    assert_eq!(
        beds.iter().map(|row| (row["id"].as_str(), row["cycle"].as_str())).collect::<Vec<_>>(),
        [("wall", ""), ("loft", "")]
    );
}

#[test]
fn without_draws_there_are_no_chances_in_any_form() {
    let body = with(&kitchen_garden(), "/simulation_runs", json!(0));
    assert!(
        table(&body, "demands")
            .iter()
            .all(|row| row["chance_full_%"].is_empty() && row["chance_allocated_%"].is_empty())
    );
    let rows = table(&body, "by_date");
    assert!(rows.iter().all(|row| row["chance_of_enough_%"].is_empty()));
    assert_eq!(rows.last().unwrap()["needed_by_then_L"], "250.732");
    let page = form("seasons", "text/html", &body);
    for said in ["80 % of simulated seasons", "80 of 100 runs", "The chance that"] {
        assert!(!page.text().contains(said), "{said}");
    }
}

#[test]
fn the_first_table_is_the_default_and_unknown_ones_are_refused_with_the_nearest() {
    let plain = form("seasons", "text/csv", &kitchen_garden());
    assert_eq!(plain.bytes, form("seasons?table=work", "text/csv", &kitchen_garden()).bytes);
    let refused = post("seasons?table=demand", &kitchen_garden());
    assert_eq!(refused.status, 422);
    let errors = refused.json()["errors"].as_array().unwrap().clone();
    assert_eq!(brief(&errors), ["table unknown_value"]);
    assert_eq!(errors[0]["nearest"], "demands");
    assert_eq!(
        errors[0]["allowed"],
        json!(["work", "demands", "occasions", "stock", "by_date", "worm_beds", "layers", "variants"])
    );
    let twice = post("seasons?table=work&table=stock&x=1", &kitchen_garden());
    assert_eq!(brief(twice.json()["errors"].as_array().unwrap()), ["table repeated_parameter", "x unknown_parameter"]);
}

#[test]
fn a_link_gives_every_form_by_a_word() {
    let body = demo("seasons/one-demand.json");
    let link = BASE64_URL_SAFE_NO_PAD.encode(serde_json::to_vec(&body).unwrap());
    for (word, accept, kind) in [
        ("csv", "text/csv", "text/csv; charset=utf-8; header=present"),
        ("html", "text/html", "text/html; charset=utf-8"),
        ("svg", "image/svg+xml", "image/svg+xml"),
        ("calendar", "text/calendar", "text/calendar; charset=utf-8"),
    ] {
        let answer = get(&format!("/v1/seasons?as={word}&request={link}"));
        assert_eq!((answer.status, answer.header("content-type")), (200, kind));
        assert_eq!(answer.bytes, form("seasons", accept, &body).bytes, "{word}");
    }
    let stock = get(&format!("/v1/seasons?as=csv&table=stock&request={link}"));
    assert_eq!(stock.bytes, form("seasons?table=stock", "text/csv", &body).bytes);
    let refused = get(&format!("/v1/seasons?as=pdf&request={link}"));
    assert_eq!(brief(refused.json()["errors"].as_array().unwrap()), ["as unknown_value"]);
}

/// The values of one property, event by event, unfolded (RFC 5545, section 3.1).
fn values(calendar: &str, name: &str) -> Vec<String> {
    let unfolded = calendar.replace("\r\n ", "");
    let of = |line: &str| line.split_once(':').filter(|(key, _)| *key == name).map(|(_, value)| value.to_owned());
    unfolded.lines().filter_map(of).collect()
}

/// Day of each event by its id.
fn dates(calendar: &str) -> BTreeMap<String, String> {
    let ids = values(calendar, "UID");
    let days = values(calendar, "DTSTART;VALUE=DATE");
    assert_eq!(ids.len(), days.len());
    let by_id: BTreeMap<String, String> = ids.iter().cloned().zip(days).collect();
    assert_eq!(by_id.len(), ids.len(), "two events have one id");
    by_id
}

#[test]
fn events_keep_their_ids_when_their_days_and_the_revision_change() {
    let first = form("seasons", "text/calendar", &kitchen_garden());
    // A warmer loft: its harvests, layers and waterings come earlier.
    let warmer = with(&with(&kitchen_garden(), "/worm_beds/1/climate/fixed", json!(18)), "/revision", json!(3));
    let later = form("seasons", "text/calendar", &warmer);
    let (before, after) = (dates(first.text()), dates(later.text()));
    assert_eq!(before.keys().collect::<Vec<_>>(), after.keys().collect::<Vec<_>>());
    assert!(before.iter().any(|(id, day)| after[id] != *day), "no day changed");
    assert!(values(first.text(), "SEQUENCE").iter().all(|n| n == "0"));
    assert!(values(later.text(), "SEQUENCE").iter().all(|n| n == "3"));
    // Another season has other ids.
    let other = form("seasons", "text/calendar", &with(&kitchen_garden(), "/id", json!("mill-2028")));
    let other = dates(other.text());
    assert!(before.keys().all(|id| !other.contains_key(id)));
}

#[test]
fn events_of_beds_and_demands_with_one_id_differ() {
    let mut body = kitchen_garden();
    body["worm_beds"][0]["id"] = json!("x");
    body["demands"][0]["id"] = json!("x");
    // Without an id the place in the list counts, which no id can imitate.
    body["worm_beds"][1].as_object_mut().unwrap().remove("id");
    body["demands"][1]["id"] = json!("index 1");
    // Besides the work there are the last days of the barrow in the shed, and to feed the worms of the box.
    let work = ok("seasons", &body)["work"].as_array().unwrap().len();
    assert_eq!(dates(form("seasons", "text/calendar", &body).text()).len(), work + 2);
}

#[test]
fn events_last_whole_days_and_long_names_survive() {
    let name = "Möhren, Lauch; „früh“ \\ 🥕 ".to_owned() + &"x".repeat(70);
    let body = with(&with(&kitchen_garden(), "/demands/0/name", json!(name)), "/name", json!(name));
    let answer = ok("seasons", &body);
    let calendar = form("seasons", "text/calendar", &body);
    assert!(calendar.text().split("\r\n").all(|line| line.len() <= 75), "a line is longer than 75 octets");
    // Section 3.3.11: comma, semicolon and backslash are escaped.
    let escaped = name.replace('\\', "\\\\").replace(',', "\\,").replace(';', "\\;");
    assert_eq!(values(calendar.text(), "NAME"), std::slice::from_ref(&escaped));
    assert_eq!(values(calendar.text(), "X-WR-CALNAME"), std::slice::from_ref(&escaped));
    let applied = values(calendar.text(), "SUMMARY").into_iter().find(|title| title.ends_with(&format!(": {escaped}")));
    assert!(applied.is_some_and(|title| title.starts_with("Apply 1 bucket (12 L) of castings")));
    let ends = values(calendar.text(), "DTEND;VALUE=DATE");
    for (task, end) in answer["work"].as_array().unwrap().iter().zip(ends) {
        // Watering is repeated every week, each time on one day.
        let last = task.get("until").filter(|_| task["kind"] != "water").unwrap_or(&task["on"]);
        let last: NaiveDate = last.as_str().unwrap().parse().unwrap();
        // Section 3.6.1: the end is the first day after.
        assert_eq!(end, last.checked_add_days(Days::new(1)).unwrap().format("%Y%m%d").to_string());
    }
    assert!(values(calendar.text(), "TRANSP").iter().all(|value| value == "TRANSPARENT"));
}

#[test]
fn names_are_text_in_pages_and_charts() {
    let name = "<script>alert(1)</script> & \"quoted\" \u{ffff}";
    let mut body = with(&kitchen_garden(), "/name", json!(name));
    for list in ["worm_beds", "stock", "demands"] {
        for item in body[list].as_array_mut().unwrap() {
            item["name"] = json!(name);
        }
    }
    for accept in ["text/html", "image/svg+xml"] {
        let answer = form("seasons", accept, &body);
        assert!(!answer.text().contains("<script"), "{accept}");
        assert!(answer.text().contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; "));
    }
    // XML 1.0, section 2.2: U+FFFF is no character of XML.
    assert!(!form("seasons", "image/svg+xml", &body).text().contains('\u{ffff}'));
    assert!(
        !form("balances", "image/svg+xml", &with(&demo("balances/two-lots.json"), "/name", json!(name)))
            .text()
            .contains("<script")
    );
}

#[test]
fn the_sheet_says_first_whether_there_is_enough() {
    let page = form("seasons", "text/html", &kitchen_garden());
    for part in [
        "<b>Not enough.</b> 62.3 L of the 251 L needed are missing at the likely values, first on 5 Apr 2027 (carrot rows); as shares are equal",
        "is 15 %, if the ranges shown are right.",
        "<h2>Who gets what in 2027: of 65 L on hand and 349 L expected harvest, 225 L remain</h2>",
        "<li>By 5 Apr 2027: buy 2 sacks of 40 L, 19.80 EUR; chance 85 %. Then give onion bed all it needs from 25 Mar 2027 on.</li>",
        "Produce more for 5 Apr 2027: 62.3 L are missing",
        "Week 43, 19–25 Oct 2026",
        "weigh the dry feed that a known mass of worms eats in a week",
        "shortfall 62.3 L",
    ] {
        assert!(page.text().contains(part), "{part}");
    }
    let enough = form("seasons", "text/html", &demo("seasons/one-demand.json"));
    assert!(
        enough
            .text()
            .contains("<b>Enough.</b> Every demand gets all of its castings in time, 55 L in all; 5 L remain.")
    );
    assert!(!enough.text().contains("Options to close the shortfall") && !enough.text().contains("shortfall "));
}

#[test]
fn the_chart_tells_in_words_what_it_shows() {
    // Two lots, five demands: 90 L have come by 5 April, and 40 + 48 + 57.6 L are wanted by then.
    let chart = form("balances", "image/svg+xml", &demo("balances/two-lots.json"));
    for part in [
        "Castings summed up to each day",
        "The shortfall is 55.6 L in all, first on 5 Apr 2027.",
        "Where the demand is above the supply, the chart is hatched.",
        "150 L in the end",
        "172 L in the end",
        "In stock (dotted line): 34 L",
    ] {
        assert!(chart.text().contains(part), "{part}\n{}", chart.text());
    }
    assert!(chart.text().contains("role=\"img\" aria-labelledby=\"chart-title chart-words\""));
    let undated = json!({"stock": [{"amount": "30 L"}], "demands": [{"amount": q(json!(40), "L")}]});
    let undated = form("balances", "image/svg+xml", &undated);
    assert!(undated.text().contains("Supply 30 L, demand 40 L, shortfall 10 L."));
    let us = form("balances", "image/svg+xml", &with(&demo("balances/two-lots.json"), "/units", json!("us")));
    assert!(us.text().contains(" US gal</text>") && !us.text().contains(" L</text>"));
}

/// A draw whose wait after raw manure is not kept is on the sheet, in the calendar and in the tables, with its date: 120 days
/// after 5 April is 3 August (7 CFR 205.203(c)(1)).
#[test]
fn a_wait_after_raw_manure_is_in_every_form() {
    let body = json!({
        "stock": [{"name": "raw", "amount": "200 L", "manure": {"kind": "untreated"}}],
        "demands": [{
            "name": "salad", "amount": "40 L", "on": "2027-04-05",
            "crop": {"first_crop_harvest": "2027-05-20", "edible_part": "touches_soil", "incorporated": true},
        }],
        "simulation_runs": 0,
    });
    let sheet = form("seasons", "text/html", &body).text().to_owned();
    assert!(sheet.contains("Not safe to harvest as planned:") && sheet.contains("harvest from 3 Aug 2027"));
    for (table, day) in [("work", "3 Aug 2027"), ("demands", "2027-08-03")] {
        let rows = form(&format!("seasons?table={table}"), "text/csv", &body).text().to_owned();
        let wanted = format!("harvest from {day}, which is after the first crop harvest");
        assert!(rows.contains(&wanted), "{table}: {rows}");
    }
    let events = form("seasons", "text/calendar", &body).text().replace("\r\n ", "");
    assert!(events.contains("harvest from 3 Aug 2027"), "{events}");
    let mut clean = body.clone();
    clean["stock"][0]["manure"] = json!({"kind": "none"});
    let sheet = form("seasons", "text/html", &clean).text().to_owned();
    assert!(!sheet.contains("Not safe to harvest") && !sheet.contains("harvest from"));
}
