//! Beds by what was fed.

use crate::support::{demo, errors, form, keys, ok, q, reported, with};
use serde_json::{Value, json};

/// A bed that was fed this, with assumptions.
fn fed(feeds: Value, more: Value) -> Value {
    let mut bed = json!({"ground": {"kind": "area", "area": "1 m2"}, "fed": feeds});
    bed.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    json!({"worm_beds": [bed]})
}

fn found(body: &Value) -> Value {
    ok("harvests", body)["worm_beds"][0]["from_feed"].clone()
}

fn near(value: &Value, expected: f64) {
    let value = value["value"].as_f64().unwrap();
    assert!((value / expected - 1.0).abs() < 1e-8, "{value} is not {expected}");
}

/// What was fed is an estimate of its own: the sum of what was measured does not claim to be all.
#[test]
fn castings_by_what_was_fed_are_beside_what_was_measured() {
    let heap = json!([{"kind": "counted", "count": 1, "capacity": "35 L"}]);
    let fed = fed(json!([{"amount": "400 kg", "moisture": "75 %", "ash": "15 %"}]), json!({}));
    let text = form("harvests", "text/plain", &with(&fed, "/heaps", heap.clone()));
    let text = text.text();
    assert!(text.contains("35 L of castings as measured") && text.contains("By what was fed:"), "{text}");
    let measured = form("harvests", "text/plain", &json!({"heaps": heap}));
    assert!(measured.text().contains("35 L of castings in all"), "{}", measured.text());
}

/// Ash from 15 to 30 %: 58.82 % of the organic matter lost, half the dry matter left; ash is neither made nor lost.
#[test]
fn ash_before_and_after_measures_the_loss() {
    let feed = json!([{"amount": "400 kg", "moisture": "75 %", "ash": "15 %"}]);
    let body = fed(feed, json!({"ash_after": "30 %"}));
    let from_feed = found(&body);
    assert_eq!(from_feed["fed_mass"], q(json!(400), "kg"));
    assert_eq!(from_feed["fed_moisture"], q(json!(75), "%"));
    assert_eq!(from_feed["fed_dry_matter"], q(json!(100), "kg"));
    assert_eq!(from_feed["organic_matter_loss"], q(json!(58.823_529_4), "%"));
    assert_eq!(from_feed["dry_matter"], q(json!(50), "kg"));
    assert_eq!(from_feed["of_dry_feed"], q(json!(50), "%"));
    assert_eq!(from_feed["analysis"]["ash"], q(json!(30), "%"));
    assert_eq!(from_feed["castings_moisture"]["value"], 50);
    let used = ok("harvests", &body)["assumptions"].clone();
    assert!(used.as_array().unwrap().iter().all(|a| a["id"] != "bed.organic_matter_loss"), "{used}");
}

/// Mitchell 1997 (abstract): 30 % of the dry matter lost; at 25 % ash that is 40 % of the organic matter.
#[test]
fn thirty_percent_of_dry_matter_is_forty_of_organic_matter_at_25_percent_ash() {
    let feed = |name: &str, share: &str| json!([{"amount": "100 kg", "moisture": "0 %", name: share}]);
    let known = json!({"assumptions": {"bed.organic_matter_loss": "40 %"}});
    for (name, share) in [("ash", "25 %"), ("organic_matter", "75 %"), ("carbon", "41.6666666666667 %")] {
        near(&found(&fed(feed(name, share), known.clone()))["of_dry_feed"], 70.0);
    }
    let measured = found(&fed(feed("ash", "25 %"), json!({"ash_after": "35.7142857142857 %"})));
    near(&measured["organic_matter_loss"], 40.0);
}

/// Published yields of 35, 20 and 70 % belong to one balance; only the moistures differ.
#[test]
fn one_balance_explains_35_20_and_70_percent() {
    for (moist, stored, expected) in [("75 %", "50 %", 35.0), ("80 %", "30 %", 20.0), ("0 %", "0 %", 70.0)] {
        let known = json!({"bed.organic_matter_loss": "40 %", "castings.moisture": stored,
                           "castings.bulk_density": "600 kg/m3"});
        let feed = json!([{"amount": "1 t", "moisture": moist, "ash": "25 %"}]);
        near(&found(&fed(feed, json!({"assumptions": known})))["of_fresh_feed"], expected);
    }
}

#[test]
fn nutrients_go_over_and_feeds_weigh_by_their_dry_matter() {
    let known = json!({"assumptions": {"bed.organic_matter_loss": "50 %", "bed.nitrogen_retained": "85 %"}});
    let feed = json!({"amount": "100 kg", "moisture": "70 %", "ash": "20 %", "nitrogen": "2 %", "phosphorus": "0.4 %",
                      "potassium": "1 %"});
    let analysis = found(&fed(json!([feed]), known.clone()))["analysis"].clone();
    assert_eq!(keys(&analysis), ["ash", "nitrogen", "phosphorus", "potassium", "carbon_to_nitrogen"]);
    near(&analysis["nitrogen"], 0.85 * 2.0 * 30.0 / 18.0);
    near(&analysis["phosphorus"], 0.4 * 30.0 / 18.0);
    near(&analysis["potassium"], 1.0 * 30.0 / 18.0);
    near(&analysis["carbon_to_nitrogen"], 0.8 / 1.8 / 0.02 * 0.5 / 0.85);
    let plain =
        json!({"name": "leaves", "amount": "50 L", "bulk_density": "200 kg/m3", "moisture": "50 %", "ash": "10 %"});
    let both = found(&fed(json!([feed, plain]), known));
    assert_eq!(both["fed"][1], json!({"name": "leaves", "mass": q(json!(10), "kg"), "dry_matter": q(json!(5), "kg")}));
    assert_eq!(keys(&both["analysis"]), ["ash"]);
    near(&both["fed_dry_matter"], 35.0);
}

#[test]
fn depth_and_feed_are_compared_in_dry_matter() {
    let mut depth = demo("harvests/one-bed.json");
    depth["worm_beds"][0]["assumptions"] = json!({"bed.organic_matter_loss": "40 %"});
    let alone = ok("harvests", &depth);
    let feed = json!([{"amount": "1000 kg", "moisture": "80 %", "ash": "15 %"}]);
    let answer = ok("harvests", &with(&depth, "/worm_beds/0/fed", feed));
    let bed = &answer["worm_beds"][0];
    // 420 L of 220 kg/m3; 200 kg dry feed x 0.66 x 70 % through the sieve: both 92.4 kg.
    near(&bed["comparison"]["by_depth"], 92.4);
    near(&bed["comparison"]["by_feed"], 92.4);
    assert_eq!(bed["comparison"]["ranges_meet"], true);
    for field in ["surface_area", "in_bed", "unfinished", "ready", "castings", "oversize", "stored"] {
        assert_eq!(bed[field], alone["worm_beds"][0][field], "{field}");
    }
    assert_eq!(answer["total"]["stored"], alone["total"]["stored"]);
    assert_eq!(answer["total"].get("from_feed"), None);
    let more = json!([{"amount": "4000 kg", "moisture": "80 %", "ash": "15 %"}]);
    let compared = ok("harvests", &with(&depth, "/worm_beds/0/fed", more))["worm_beds"][0]["comparison"].clone();
    assert_eq!((&compared["larger"], &compared["ranges_meet"]), (&json!("by_feed"), &json!(false)));
    near(&compared["gap"], 3.0 * 92.4);
    near(&compared["gap_share"], 75.0);
}

#[test]
fn a_bed_says_at_least_one_thing_and_what_is_missing_is_reported_where_it_belongs() {
    let bed = |more: Value| {
        let mut bed = json!({"ground": {"kind": "area", "area": "1 m2"}});
        bed.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        json!({"worm_beds": [bed]})
    };
    let nothing = errors("harvests", &bed(json!({})));
    assert_eq!(nothing[0]["pointer"], "/worm_beds/0/material_depth");
    for word in ["material_depth", "finished_share", "fed", "forecast"] {
        assert!(nothing[0]["detail"].as_str().unwrap().contains(word), "{}", nothing[0]);
    }
    for (more, expected) in [
        (json!({"finished_share": "80 %"}), "/worm_beds/0/material_depth missing_field"),
        (json!({"material_depth": "20 cm"}), "/worm_beds/0/finished_share missing_field"),
        (json!({"fed": []}), "/worm_beds/0/fed wrong_length"),
        (
            json!({"material_depth": "9 cm", "finished_share": "1 %", "ash_after": "9 %"}),
            "/worm_beds/0/ash_after not_allowed_here",
        ),
    ] {
        assert_eq!(reported("harvests", &bed(more)), [expected]);
    }
}

#[test]
fn feed_that_cannot_be_is_refused_at_its_field() {
    let feed = json!({"amount": "100 kg", "moisture": "70 %", "ash": "20 %"});
    let at = |name: &str, value: Value| {
        reported("harvests", &fed(json!([with(&feed, &format!("/{name}"), value)]), json!({})))
    };
    for (name, value, code) in [
        ("amount", json!("100"), "amount unit_missing"),
        ("amount", json!("9 m"), "amount unit_does_not_fit"),
        ("amount", json!("9 L"), "bulk_density missing_field"),
        ("moisture", json!("100 %"), "moisture out_of_range"),
        ("moisture", json!(0.7), "moisture share_without_percent"),
        ("ash", json!("96 %"), "ash out_of_range"),
        ("ash", json!(null), "ash missing_field"),
        ("nitrogen", json!("21 %"), "nitrogen out_of_range"),
        ("potassium", json!("21 %"), "potassium out_of_range"),
        ("colour", json!("brown"), "colour unknown_field"),
    ] {
        assert_eq!(at(name, value), [format!("/worm_beds/0/fed/0/{code}")]);
    }
    assert_eq!(at("carbon", json!("40 %")), ["/worm_beds/0/fed/0 exactly_one_of"]);
    let twice = json!([with(&feed, "/id", json!("a")), with(&feed, "/id", json!("a"))]);
    assert_eq!(reported("harvests", &fed(twice, json!({}))), ["/worm_beds/0/fed/1/id repeated_id"]);
    for after in ["19 %", "0 %", "100 %"] {
        let code = if after == "19 %" { "impossible_value" } else { "out_of_range" };
        let body = fed(json!([feed]), json!({"ash_after": after}));
        assert_eq!(reported("harvests", &body), [format!("/worm_beds/0/ash_after {code}")]);
    }
    let no_ash = with(&feed, "/ash", json!("0 %"));
    let body = fed(json!([no_ash]), json!({"ash_after": "30 %"}));
    assert_eq!(reported("harvests", &body), ["/worm_beds/0/ash_after out_of_range"]);
}
