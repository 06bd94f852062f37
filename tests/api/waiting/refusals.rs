//! What is refused of manure and crops.

use super::{bed, crop, season, treated};
use crate::support::{demo, errors, reported, with};
use serde_json::{Value, json};

#[test]
fn a_hot_stage_that_is_too_little_is_refused_with_all_that_is_missing() {
    let body = demo("refused/balances-heap-hot-for-two-days.json");
    assert_eq!(
        reported("balances", &body),
        [
            "/stock/0/manure/days inconsistent_assumptions",
            "/stock/0/manure/lowest inconsistent_assumptions",
            "/stock/0/manure/turnings inconsistent_assumptions"
        ]
    );
    for error in errors("balances", &body) {
        assert!(error["detail"].as_str().unwrap().contains("untreated"), "{error}");
    }
    assert!(errors("balances", &body)[0]["detail"].as_str().unwrap().contains("15 days"));
    let with_manure = |manure: Value| reported("balances", &bed(Some(manure), &crop("2027-09-01")));
    let changed = |field: &str, value: Value| with_manure(with(&treated(), &format!("/{field}"), value));
    assert_eq!(changed("turnings", json!(3)), ["/stock/0/manure/turnings not_allowed_here"]);
    assert_eq!(changed("days", json!(0)), ["/stock/0/manure/days out_of_range"]);
    assert_eq!(changed("highest", json!("80 C")), ["/stock/0/manure/highest inconsistent_assumptions"]);
    assert_eq!(changed("highest", json!("50 C")), ["/stock/0/manure/highest inconsistent_assumptions"]);
    assert_eq!(changed("lowest", json!(55)), ["/stock/0/manure/lowest unit_missing"]);
    assert_eq!(
        changed("method", json!("turned_windrow")),
        ["/stock/0/manure/days inconsistent_assumptions", "/stock/0/manure/turnings missing_field",]
    );
    assert_eq!(with_manure(json!({"kind": "composted"})), ["/stock/0/manure/kind unknown_kind"]);
    assert_eq!(with_manure(json!({"kind": "none", "days": 3})), ["/stock/0/manure/days unknown_field"]);
}

#[test]
fn crops_that_contradict_themselves_are_refused() {
    let crop = |crop: Value| reported("balances", &bed(None, &crop));
    assert_eq!(
        crop(json!({"first_crop_harvest": "2027-02-28"})),
        ["/demands/0/crop/first_crop_harvest dates_out_of_order"]
    );
    assert_eq!(crop(json!({"first_crop_harvest": "28.2.2027"})), ["/demands/0/crop/first_crop_harvest bad_date"]);
    assert_eq!(crop(json!({"edible_part": "leaves"})), ["/demands/0/crop/edible_part unknown_value"]);
    assert_eq!(crop(json!({"first_crop_harvest": "2040-02-28"})), [" out_of_range"]);
    let many = json!({
        "stock": [{"amount": "1 L", "manure": {"kind": "treated", "method": "in_vessel", "days": 1, "lowest": "55 C", "highest": "60 C"}}],
        "demands": [{"amount": "5 m", "crop": {"first_crop_harvest": "tomorrow", "edible_part": "fruit"}}],
    });
    assert_eq!(
        reported("balances", &many),
        [
            "/stock/0/manure/days inconsistent_assumptions",
            "/demands/0/amount unit_does_not_fit",
            "/demands/0/crop/first_crop_harvest bad_date",
            "/demands/0/crop/edible_part unknown_value",
        ]
    );
    let beds = season(
        json!({"kind": "treated", "method": "in_vessel", "days": 1, "lowest": "55 C", "highest": "60 C"}),
        &json!({}),
    );
    assert_eq!(reported("seasons", &beds), ["/worm_beds/0/manure/days inconsistent_assumptions"]);
}
