//! What is past by `as_of`, and what lies ahead.

use super::demand;
use crate::support::{flat, form, ok, q, with};
use serde_json::{Value, json};

#[test]
fn without_a_today_nothing_is_called_past() {
    let one = demand(&json!({"amount": "1 L", "on": "2027-03-20"}));
    assert!(ok("balances", &one)["demands"][0].get("past").is_none());
    let later = ok("balances", &with(&one, "/as_of", json!("2027-03-21")));
    assert_eq!(later["demands"][0]["past"], true);
    let today = ok("balances", &with(&one, "/as_of", json!("2027-03-20")));
    assert!(today["demands"][0].get("past").is_none());
}

/// Castings cannot be used in the past: a demand that lies ahead is served from today on, and a lot whose use-by has passed serves it no more.
/// What had its last day before today may have got its castings in time.
#[test]
fn a_lot_past_its_use_by_serves_no_demand_that_lies_ahead() {
    let body = json!({"stock": [{"amount": "10 L", "use_by": "2027-04-10"}], "demands": [{"amount": "5 L", "latest": "2027-05-01"}]});
    let said = "The use-by of 1 lot has passed, so what is left of it does not count (lot 1).";
    let sums = |answer: &Value| {
        let litres = |of: &Value, names: [&str; 3]| names.map(|name| of[name]["value"].as_f64().unwrap());
        let demand = litres(&answer["demands"][0], ["needed", "allocated", "shortfall"]);
        let lot = litres(&answer["stock"][0], ["allocated", "remaining", "expired"]);
        assert_eq!(litres(&answer["total"], ["allocated", "remaining", "expired"]), lot);
        [demand, lot]
    };
    let undated = ok("balances", &body);
    assert_eq!(sums(&undated), [[5.0, 5.0, 0.0], [5.0, 0.0, 5.0]]);
    assert!(!undated["headline"].as_str().unwrap().contains("use-by"));
    let today = with(&body, "/as_of", json!("2027-04-20"));
    let season = with(&with(&today, "/until", json!("2027-06-01")), "/simulation_runs", json!(200));
    for (question, body) in [("balances", &today), ("seasons", &season)] {
        let answer = ok(question, body);
        assert_eq!(sums(&answer), [[5.0, 0.0, 5.0], [0.0, 0.0, 10.0]], "{question}");
        let headline = answer["headline"].as_str().unwrap();
        assert!(headline.starts_with("Not enough. ") && headline.contains(said), "{headline}");
        for accept in ["text/plain", "text/html"] {
            assert!(flat(form(question, accept, body).text()).contains(said), "{question} {accept}");
        }
    }
    assert_eq!(ok("seasons", &season)["demands"][0]["chance_full"]["value"], 5);
    // On the last day it still serves, and a demand of the past is served as it may have been.
    let last_day = with(&body, "/as_of", json!("2027-04-10"));
    assert_eq!(sums(&ok("balances", &last_day)), [[5.0, 5.0, 0.0], [5.0, 0.0, 5.0]]);
    let past = ok("balances", &with(&today, "/demands/0/latest", json!("2027-04-15")));
    assert_eq!(sums(&past), [[5.0, 5.0, 0.0], [5.0, 0.0, 5.0]]);
    assert!(past["headline"].as_str().unwrap().contains(said), "{}", past["headline"]);
    // Another lot serves it, from today on.
    let lots = json!([{"amount": "10 L", "use_by": "2027-04-10"}, {"amount": "5 L"}]);
    let two = with(&with(&today, "/stock", lots), "/demands/0/earliest", json!("2027-04-01"));
    let answer = ok("balances", &two);
    let demand = &answer["demands"][0];
    let lot = json!({"index": 1});
    assert_eq!(demand["allocations"], json!([{"lot": lot, "on": "2027-04-20", "amount": q(json!(5), "L")}]));
    assert_eq!((&demand["earliest"], &answer["total"]["expired"]["value"]), (&json!("2027-04-20"), &json!(10)));
}

/// The same of raw castings whose interval ended before today: 120 days before 10 August are the 12th of April.
#[test]
fn raw_castings_serve_no_demand_from_today_on_after_their_last_day() {
    let crop = json!({"first_crop_harvest": "2027-08-10", "edible_part": "touches_soil", "incorporated": true});
    let body = json!({"stock": [{"amount": "10 L", "manure": {"kind": "untreated"}}], "enforce_application_to_harvest_interval": true,
        "demands": [{"amount": "5 L", "latest": "2027-05-01", "crop": crop}]});
    let allocated = |body: &Value| ok("balances", body)["demands"][0]["allocated"]["value"].clone();
    assert_eq!(allocated(&body), 5);
    assert_eq!(allocated(&with(&body, "/as_of", json!("2027-04-12"))), 5);
    assert_eq!(allocated(&with(&body, "/as_of", json!("2027-04-13"))), 0);
    // Not enforced, the interval counts from today.
    let open = with(
        &with(&body, "/enforce_application_to_harvest_interval", json!(false)),
        "/demands/0/earliest",
        json!("2027-03-01"),
    );
    let harvest = |body: &Value| ok("balances", body)["demands"][0]["allocations"][0]["earliest_crop_harvest"].clone();
    assert_eq!(harvest(&open), "2027-06-29");
    assert_eq!(harvest(&with(&open, "/as_of", json!("2027-04-20"))), "2027-08-18");
}

/// Nobody waits for castings of a day that has passed: of the two lots the first has expired, and the second is there today.
#[test]
fn who_waits_is_served_from_today_on() {
    let body = json!({
        "stock": [{"amount": "5 L", "ready_on": "2027-04-05", "use_by": "2027-04-10"}, {"amount": "3 L", "ready_on": "2027-04-07"}],
        "demands": [{"amount": "5 L", "on": "2027-04-01"}]
    });
    let waits = |body: &Value| {
        let all = ok("balances", body)["shortfall_options"]["later_supply"].clone();
        all.as_array()
            .unwrap()
            .iter()
            .map(|of| (of["until"].clone(), of["amount"]["value"].clone()))
            .collect::<Vec<_>>()
    };
    assert_eq!(waits(&body), [(json!("2027-04-05"), json!(5))]);
    assert_eq!(waits(&with(&body, "/as_of", json!("2027-04-20"))), [(json!("2027-04-20"), json!(3))]);
}

#[test]
fn a_purchase_that_comes_too_late_is_called_past_only_with_as_of() {
    let body = json!({
        "stock": [], "demands": [{"amount": "10 L", "on": "2027-03-20"}], "sack": {"capacity": "6 kg", "price": 4.5}
    });
    let sacks = |body: &Value| ok("balances", body)["shortfall_options"]["sacks"][0].clone();
    // 6 kg at 600 kg/m3 are 10 L.
    assert_eq!(sacks(&body)["capacity"]["value"], 10);
    assert_eq!(sacks(&body)["cost"], 4.5);
    assert!(sacks(&body).get("past").is_none());
    assert_eq!(sacks(&with(&body, "/as_of", json!("2027-04-01")))["past"], true);
    assert!(sacks(&with(&body, "/as_of", json!("2027-03-20"))).get("past").is_none());
}
