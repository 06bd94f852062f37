//! Balances that are refused.

use super::demand;
use crate::support::{ok, reported, with};
use serde_json::json;

#[test]
fn a_demand_is_one_of_amount_application_and_brew() {
    let application =
        json!({"surface": {"kind": "plants", "count": 2}, "rate": {"kind": "per_plant", "amount": "1 L"}});
    let brew = json!({"water": "20 L", "brewer": {"capacity": "10 L"}});
    for one in [json!({"amount": "2 L"}), json!({"application": application}), json!({"brew": brew})] {
        assert_eq!(ok("balances", &demand(&one))["demands"][0]["needed"]["value"], 2);
    }
    for other in [
        json!({}),
        json!({"amount": "2 L", "brew": brew}),
        json!({"application": application, "brew": brew}),
        json!({"amount": "2 L", "application": application, "brew": brew}),
        json!({"amount": null}),
    ] {
        assert_eq!(reported("balances", &demand(&other)), ["/demands/0 exactly_one_of"], "{other}");
    }
}

#[test]
fn dates_that_contradict_each_other_are_refused() {
    let brew = json!({"water": "20 L", "use_at": "2027-06-10T18:00:00+02:00"});
    for (one, error) in [
        (json!({"amount": "1 L", "on": "2027-03-20", "earliest": "2027-03-01"}), "on exactly_one_of"),
        (json!({"amount": "1 L", "on": "2027-03-20", "latest": "2027-04-01"}), "on exactly_one_of"),
        (json!({"amount": "1 L", "earliest": "2027-03-20", "latest": "2027-03-19"}), "latest dates_out_of_order"),
        (json!({"brew": brew, "on": "2027-06-10"}), "on not_allowed_here"),
        (json!({"brew": brew, "latest": "2027-06-10"}), "latest not_allowed_here"),
        (json!({"amount": "1 L", "on": "2027-02-29"}), "on bad_date"),
        (json!({"amount": "1 L", "on": "20.3.2027"}), "on bad_date"),
        (json!({"amount": "1 L", "on": "2027-3-20"}), "on bad_date"),
        (json!({"amount": "1 L", "on": "1899-12-31"}), "on out_of_range"),
        (json!({"amount": "1 L", "on": "2200-01-01"}), "on out_of_range"),
        (json!({"amount": "1 L", "on": 20270320}), "on wrong_type"),
    ] {
        assert_eq!(reported("balances", &demand(&one)), [format!("/demands/0/{error}")], "{one}");
    }
    let same_day = demand(&json!({"amount": "1 L", "earliest": "2027-03-20", "latest": "2027-03-20"}));
    assert_eq!(ok("balances", &same_day)["demands"][0]["allocated"]["value"], 1);
}

#[test]
fn lots_are_checked_as_well() {
    let one = demand(&json!({"amount": "1 L"}));
    let heap = json!({"kind": "cone", "diameter": "1 m", "height": "1 m"});
    for (lot, error) in [
        (json!({}), "/stock/0 exactly_one_of"),
        (json!({"amount": "1 L", "heap": heap}), "/stock/0 exactly_one_of"),
        (
            json!({"amount": "1 L", "ready_on": "2027-05-02", "use_by": "2027-05-01"}),
            "/stock/0/use_by dates_out_of_order",
        ),
        (json!({"amount": "1 m2"}), "/stock/0/amount unit_does_not_fit"),
        (json!({"heap": with(&heap, "/height", json!(1))}), "/stock/0/heap/height unit_missing"),
    ] {
        assert_eq!(reported("balances", &with(&one, "/stock/0", lot)), [error]);
    }
    // By mass, the bulk density makes it a volume, and is reported as used.
    let by_mass = ok("balances", &with(&one, "/stock/0", json!({"amount": "6 kg"})));
    assert_eq!(by_mass["total"]["supply"]["value"], 10);
    assert_eq!(by_mass["assumptions"][0]["id"], "castings.bulk_density");
    let eleven_years =
        with(&with(&one, "/stock/0/ready_on", json!("2016-01-01")), "/demands/0/on", json!("2027-01-01"));
    assert_eq!(reported("balances", &eleven_years), [" out_of_range"]);
    let nothing = with(&one, "/stock", json!([]));
    assert_eq!(ok("balances", &nothing)["total"]["shortfall"]["value"], 1);
}
