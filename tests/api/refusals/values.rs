//! Bodies that are JSON but no question: unknown and repeated fields, wrong kinds, absurd sizes.

use super::assert_problem;
use crate::support::{bed, brief, errors, ok, post_bytes, reported, with};
use serde_json::{Value, json};

#[test]
fn unknown_fields_are_refused_at_every_level_with_the_nearest() {
    let body = json!({
        "nmae": "x", "containers": [{"name": "bucket", "capacity": "12 L", "capacty": 1}],
        "areas": [{"surface": {"kind": "rectangle", "length": "2 m", "width": "1 m", "widht": 1}, "nme": "y",
            "rate": {"kind": "depth", "amount": "1 cm", "amuont": 2}}]});
    let found = errors("applications", &body);
    let wanted = ["/nmae", "/containers/0/capacty", "/areas/0/surface/widht", "/areas/0/nme", "/areas/0/rate/amuont"];
    assert_eq!(brief(&found), wanted.map(|pointer| format!("{pointer} unknown_field")));
    let nearest: Vec<&Value> = found.iter().map(|error| &error["nearest"]).collect();
    assert_eq!(nearest, ["name", "capacity", "width", "name", "amount"]);
}

#[test]
fn wrong_kinds_are_refused_with_the_nearest() {
    for (pointer, kind, nearest) in [
        ("/areas/0/surface/kind", "rectangel", "rectangle"),
        ("/areas/0/surface/kind", "Circle", "circle"),
        ("/areas/0/rate/kind", "dept", "depth"),
    ] {
        let found = errors("applications", &with(&bed(), pointer, json!(kind)));
        assert_eq!(brief(&found), [format!("{pointer} unknown_kind")]);
        assert_eq!(found[0]["nearest"], nearest);
        assert!(found[0]["allowed"].as_array().unwrap().contains(&json!(nearest)));
    }
    for kind in [json!(null), json!(3), json!(["depth"])] {
        let code = if kind.is_null() { "missing_field" } else { "wrong_type" };
        let found = reported("applications", &with(&bed(), "/areas/0/rate/kind", kind));
        assert_eq!(found, [format!("/areas/0/rate/kind {code}")]);
    }
}

#[test]
fn a_list_is_no_object_and_an_object_no_list() {
    let pair = json!(["2 m", "1 m"]);
    for (body, wanted) in [
        (json!([]), " wrong_type"),
        (json!("areas"), " wrong_type"),
        (json!(4), " wrong_type"),
        (json!(null), " missing_field"),
        (json!({}), "/areas missing_field"),
        (json!({"areas": {}}), "/areas wrong_type"),
        (json!({"areas": []}), "/areas wrong_length"),
        (json!({"areas": [[]]}), "/areas/0 wrong_type"),
        (json!({"areas": [null]}), "/areas/0 missing_field"),
        (with(&bed(), "/areas/0/surface", pair), "/areas/0/surface wrong_type"),
        (with(&bed(), "/areas/0/rate", json!("1 cm")), "/areas/0/rate wrong_type"),
        (with(&bed(), "/assumptions", json!([])), "/assumptions wrong_type"),
        (with(&bed(), "/areas/0/nitrate_vulnerable_zone", json!("yes")), "/areas/0/nitrate_vulnerable_zone wrong_type"),
    ] {
        assert_eq!(reported("applications", &body), [wanted], "{body}");
    }
}

/// As everywhere else in a request.
#[test]
fn an_assumption_that_is_null_counts_as_left_out() {
    let none = json!({"castings.bulk_density": null, "castings.carbon_to_nitrogen": null});
    let given = with(&bed(), "/assumptions", none.clone());
    let given = with(&given, "/areas/0/assumptions", none);
    assert_eq!(ok("applications", &given), ok("applications", &bed()));
    let unknown = json!({"castings.bulk_densityy": null});
    let found = ["/assumptions/castings.bulk_densityy unknown_assumption"];
    assert_eq!(reported("applications", &with(&bed(), "/assumptions", unknown)), found);
    let twice = r#"{"areas": [], "assumptions": {"castings.nitrogen": null, "castings.nitrogen": null}}"#;
    let found = brief(post_bytes("applications", twice).json()["errors"].as_array().unwrap());
    assert_eq!(found, ["/areas wrong_length", "/assumptions/castings.nitrogen repeated_field"]);
}

#[test]
fn repeated_fields_are_refused_in_objects_unions_and_maps() {
    let text = r#"{"name": "a", "name": "a", "areas": [{"surface": {"kind": "rectangle", "length": "2 m", "width": "1 m",
        "width": "1 m"}, "rate": {"kind": "depth", "amount": {"value": 1, "unit": "cm", "unit": "cm"}}}],
        "assumptions": {"castings.nitrogen": "2 %", "castings.nitrogen": "2 %"}}"#;
    let answer = post_bytes("applications", text);
    assert_eq!(answer.status, 422);
    assert_problem(&answer);
    let places = ["/name", "/areas/0/surface/width", "/areas/0/rate/amount/unit", "/assumptions/castings.nitrogen"];
    let wanted = places.map(|pointer| format!("{pointer} repeated_field"));
    assert_eq!(brief(answer.json()["errors"].as_array().unwrap()), wanted);
}

#[test]
fn sizes_that_are_nought_negative_or_absurd_are_refused() {
    for length in ["0 m", "1e308 m", "1e6 m", "0.0000001 mm"] {
        let found = errors("applications", &with(&bed(), "/areas/0/surface/length", json!(length)));
        assert_eq!(brief(&found), ["/areas/0/surface/length out_of_range"], "{length}");
        assert_eq!((&found[0]["min"], &found[0]["max"]), (&json!(1e-6), &json!(100_000)));
    }
    let vast = json!({"kind": "rectangle", "length": "100000 m", "width": "100000 m", "count": 1_000_000});
    assert_eq!(reported("applications", &with(&bed(), "/areas/0/surface", vast)), ["/areas/0/surface too_large"]);
    let pots = json!({"kind": "pots", "count": 1_000_000, "volume": "1e12 L"});
    let many = with(
        &with(&bed(), "/areas/0/surface", pots),
        "/areas/0/rate",
        json!({"kind": "share_of_mix", "amount": "100 %"}),
    );
    let found = reported("applications", &many);
    assert_eq!(found, ["/areas/0/surface too_large"]);
}

#[test]
fn outlines_that_cross_themselves_are_refused() {
    let plot = |corners: &[(f64, f64)]| {
        let corners: Vec<Value> = corners.iter().map(|(x, y)| json!({"x": x, "y": y})).collect();
        with(&bed(), "/areas/0/surface", json!({"kind": "polygon", "unit": "m", "corners": corners}))
    };
    let at = "/areas/0/surface/corners";
    for corners in [
        &[(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)][..],
        &[(0.0, 0.0), (2.0, 0.0), (2.0, 0.0), (0.0, 2.0)],
        &[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)],
        &[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)],
    ] {
        assert_eq!(reported("applications", &plot(corners)), [format!("{at} self_crossing")], "{corners:?}");
    }
    assert_eq!(reported("applications", &plot(&[(0.0, 0.0), (1.0, 0.0)])), [format!("{at} wrong_length")]);
    let far = plot(&[(0.0, 0.0), (1e300, 0.0), (1.0, 1.0)]);
    assert_eq!(reported("applications", &far), [format!("{at}/1/x out_of_range")]);
    let text = with(&plot(&[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]), "/areas/0/surface/corners/2/y", json!("1"));
    assert_eq!(reported("applications", &text), [format!("{at}/2/y wrong_type")]);
    let back = plot(&[(0.0, 0.0), (0.0, 3.0), (4.0, 0.0)]);
    assert_eq!(ok("applications", &back)["areas"][0]["surface_area"]["value"], 6);
}

#[test]
fn what_cannot_apply_is_refused_rather_than_dropped() {
    let plants =
        crate::support::area(&json!({"kind": "plants", "count": 3}), &json!({"kind": "per_plant", "amount": "1 L"}));
    let body = with(&plants, "/areas/0/settling", json!("20 %"));
    let body = with(&body, "/areas/0/nitrate_vulnerable_zone", json!(true));
    assert_eq!(
        reported("applications", &body),
        ["/areas/0/settling not_allowed_here", "/areas/0/nitrate_vulnerable_zone not_allowed_here"]
    );
    let answer = post_bytes("applications?units=us", bed().to_string());
    assert_eq!(answer.status, 422);
    assert_problem(&answer);
    assert_eq!(answer.json()["errors"][0]["parameter"], "units");
}
