//! What is known better than the defaults.

use crate::support::{bed, brief, errors, get, ok, reported, with};
use serde_json::{Value, json};

fn density(answer: &Value) -> Vec<&Value> {
    let all = answer["assumptions"].as_array().unwrap();
    all.iter().filter(|assumption| assumption["id"] == "castings.bulk_density").collect()
}

fn knowing(known: Value) -> Value {
    with(&bed(), "/assumptions", known)
}

#[test]
fn a_value_of_the_request_takes_the_place_of_the_default_and_is_known() {
    let answer = ok("applications", &knowing(json!({"castings.bulk_density": "500 kg/m3"})));
    assert_eq!(answer["areas"][0]["castings"]["mass"], json!({"value": 10, "unit": "kg"}));
    let used = density(&answer);
    assert_eq!(used.len(), 1);
    assert_eq!(used[0]["value"], json!({"value": 500, "unit": "kg/m3"}));
    assert_eq!(used[0]["set_by"], "request");
    assert!(used[0].get("measure_it").is_none());
}

#[test]
fn the_nearest_value_wins() {
    let body = knowing(json!({"castings.bulk_density": "500 kg/m3"}));
    let own = with(&body["areas"][0], "/assumptions", json!({"castings.bulk_density": "700 kg/m3"}));
    let answer = ok("applications", &with(&body, "/areas", json!([own, body["areas"][0]])));
    assert_eq!(answer["areas"][0]["castings"]["mass"]["value"], 14);
    assert_eq!(answer["areas"][1]["castings"]["mass"]["value"], 10);
    let used = density(&answer);
    let set_by: Vec<&Value> = used.iter().map(|one| &one["set_by"]).collect();
    assert_eq!(set_by, ["item", "request"]);
    assert_eq!(used[0]["pointer"], "/areas/0");
}

#[test]
fn a_range_gives_bounds() {
    let range = json!({"value": 1.8, "low": 1.6, "high": 2, "unit": "%"});
    let answer =
        ok("applications", &knowing(json!({"castings.nitrogen": range, "castings.dry_bulk_density": "300 kg/m3"})));
    let nitrogen = &answer["areas"][0]["nutrients"]["nitrogen"]["mass"];
    assert_eq!(nitrogen, &json!({"value": 108, "low": 96, "high": 120, "unit": "g"}));
}

#[test]
fn a_weighed_bucket_gives_the_density() {
    let bucket = json!({"full": "8.2 kg", "empty": "1 kg", "capacity": "12 L"});
    let answer = ok("applications", &knowing(json!({"castings.bulk_density": bucket})));
    assert_eq!(density(&answer)[0]["value"], json!({"value": 600, "unit": "kg/m3"}));
    let id = "/assumptions/castings.bulk_density";
    for (bucket, wanted) in [
        (json!({"full": "8.2 kg", "empty": "1 kg"}), "/capacity missing_field"),
        (json!({"full": "1 kg", "empty": "8.2 kg", "capacity": "12 L"}), "/full inconsistent_assumptions"),
        (json!({"full": 8.2, "empty": "1 kg", "capacity": "12 L"}), "/full unit_missing"),
        (json!({"full": "8.2 kg", "empty": "1 kg", "capacity": "12 L", "unit": "kg/m3"}), " not_allowed_here"),
        (json!({"full": "8.2 kg", "empty": "1 kg", "hold": "12 L"}), "/hold unknown_field"),
    ] {
        let found = reported("applications", &knowing(json!({"castings.bulk_density": bucket})));
        assert_eq!(found[0], format!("{id}{wanted}"), "{bucket}");
    }
}

#[test]
fn an_unknown_id_is_refused_with_the_nearest() {
    let found = errors("applications", &knowing(json!({"castings.bulk_densty": "620 kg/m3"})));
    assert_eq!(brief(&found), ["/assumptions/castings.bulk_densty unknown_assumption"]);
    assert_eq!(found[0]["nearest"], "castings.bulk_density");
}

#[test]
fn what_was_given_and_not_used_is_reported_as_a_notice() {
    let body = knowing(json!({"tea.brewing_time": "24 h"}));
    let answer = ok("applications", &with(&body, "/areas/0/assumptions", json!({"tea.use_within": "4 h"})));
    let cautions = answer["cautions"].as_array().unwrap();
    let notice = cautions.iter().find(|caution| caution["rule"] == "assumption_not_used").unwrap();
    let at = json!(["/areas/0/assumptions/tea.use_within", "/assumptions/tea.brewing_time"]);
    assert_eq!((&notice["severity"], &notice["at"]), (&json!("notice"), &at));
}

/// A field that sets an assumption wins over the same one under `assumptions`, which is said.
#[test]
fn an_assumption_beside_its_own_field_is_reported_as_not_used() {
    let given = json!({"tea.castings_to_water": "20 %", "tea.brewing_time": "48 h"});
    let brew = json!({"water": "20 L", "castings_to_water": "1:10", "brewing_time": "24 h", "assumptions": given});
    let bed = json!({"ground": {"kind": "area", "area": "2 m2"}, "material_depth": "20 cm", "finished_share": "80 %",
                     "sieve_yield": "70 %", "assumptions": {"castings.sieve_yield": "50 %"}});
    for (question, body, at) in [
        (
            "brews",
            json!({"brews": [brew]}),
            vec!["/brews/0/assumptions/tea.brewing_time", "/brews/0/assumptions/tea.castings_to_water"],
        ),
        ("harvests", json!({"worm_beds": [bed]}), vec!["/worm_beds/0/assumptions/castings.sieve_yield"]),
    ] {
        let answer = ok(question, &body);
        let cautions = answer["cautions"].as_array().unwrap();
        let notice = cautions.iter().find(|caution| caution["rule"] == "assumption_not_used").unwrap();
        let mut found: Vec<&str> = notice["at"].as_array().unwrap().iter().map(|at| at.as_str().unwrap()).collect();
        found.sort_unstable();
        assert_eq!(found, at, "{question}");
    }
}

#[test]
fn faults_of_a_value_are_reported_once_and_at_its_id() {
    let id = "/assumptions/castings.bulk_density";
    for (value, wanted) in [
        (json!(600), " unit_missing"),
        (json!("600"), " unit_missing"),
        (json!("600 kg"), " unit_does_not_fit"),
        (json!("0 kg/m3"), " out_of_range"),
        (json!("1e9 kg/m3"), " out_of_range"),
        (json!({"value": 600}), "/unit missing_field"),
        (json!({"value": "600", "unit": "kg/m3"}), "/value wrong_type"),
        (json!({"value": 600, "low": 700, "high": 800, "unit": "kg/m3"}), " inconsistent_assumptions"),
        (json!({"value": 600, "unit": "kg/m3", "from": "me"}), "/from unknown_field"),
    ] {
        let found = reported("applications", &knowing(json!({"castings.bulk_density": value})));
        assert_eq!(found, [format!("{id}{wanted}")], "{value}");
    }
}

#[test]
fn a_ratio_is_a_plain_number() {
    for ratio in [json!(18), json!(18.5), json!({"value": 18, "low": 15, "high": 20})] {
        ok("applications", &knowing(json!({"castings.carbon_to_nitrogen": ratio})));
    }
    let found = reported("applications", &knowing(json!({"castings.carbon_to_nitrogen": "18"})));
    assert_eq!(found, ["/assumptions/castings.carbon_to_nitrogen bad_number"]);
}

#[test]
fn every_default_may_be_sent_as_it_is_reported() {
    let reported = get("/v1/assumptions").json();
    let all = reported["assumptions"].as_array().unwrap();
    assert!(all.len() > 10);
    for assumption in all.iter().filter(|assumption| assumption.get("default").is_some()) {
        let id = assumption["id"].as_str().unwrap();
        ok("applications", &knowing(json!({id: assumption["default"]})));
    }
}
