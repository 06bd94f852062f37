//! Feeds that are refused.

use crate::support::{errors, post_bytes, reported, with};
use serde_json::json;

#[test]
fn what_no_material_can_be_is_refused_at_its_place() {
    let leaves = json!({"materials": [{"material": "leaves_loose", "amount": "10 kg"}]});
    for (field, value, error) in [
        ("moisture", json!("100 %"), "/materials/0/moisture impossible_value"),
        ("carbon", json!("59 %"), "/materials/0/carbon impossible_value"),
        ("carbon_to_nitrogen", json!(500), "/materials/0/carbon_to_nitrogen impossible_value"),
        ("material", json!("leaves_lose"), "/materials/0/material unknown_value"),
        ("amount", json!("10 m"), "/materials/0/amount unit_does_not_fit"),
        ("at_most", json!("20 kg"), "/materials/0 exactly_one_of"),
        ("bulk_density", json!("2000 kg/m3"), "/materials/0/bulk_density impossible_value"),
    ] {
        assert_eq!(reported("feeds", &with(&leaves, &format!("/materials/0/{field}"), value)), [error]);
    }
    let misspelt = with(&leaves, "/materials/0/material", json!("leaves_lose"));
    assert_eq!(errors("feeds", &misspelt)[0]["nearest"], "leaves_loose");
    assert_eq!(
        reported("feeds", &json!({"materials": [{"amount": "1 kg"}]})),
        [
            "/materials/0/moisture missing_field",
            "/materials/0/nitrogen missing_field",
            "/materials/0/carbon missing_field"
        ]
    );
    for alone in [json!({"material": "leaves_loose", "at_most": "10 kg"}), json!({"material": "leaves_loose"})] {
        assert_eq!(reported("feeds", &with(&leaves, "/materials/0", alone)), ["/materials impossible_value"]);
    }
    assert_eq!(
        reported("feeds", &with(&leaves, "/goals", json!({"moisture": "0.6"}))),
        ["/goals/moisture share_without_percent"]
    );
    let goal = json!({"carbon_to_nitrogen": {"low": 30, "high": 25}});
    assert_eq!(reported("feeds", &with(&leaves, "/goals", goal)), ["/goals/carbon_to_nitrogen out_of_range"]);
    assert_eq!(post_bytes("feeds", "{\"materials\": []}").status, 422);
}

/// What is wrong with a range is reported at its place.
#[test]
fn at_least_above_at_most_is_reported_at_at_least() {
    let body = json!({"materials": [{"material": "leaves_loose", "at_least": "20 kg", "at_most": "10 kg"}, {"material": "grass_clippings", "amount": "10 kg"}]});
    assert_eq!(reported("feeds", &body), ["/materials/0/at_least out_of_range"]);
}

/// One mistake is one error.
#[test]
fn a_ratio_of_nothing_is_one_error() {
    let body =
        json!({"materials": [{"amount": "4 kg", "moisture": "50 %", "nitrogen": "2 %", "carbon_to_nitrogen": 0}]});
    assert_eq!(reported("feeds", &body), ["/materials/0/carbon_to_nitrogen out_of_range"]);
}
