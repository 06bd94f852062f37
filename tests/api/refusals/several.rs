//! Of several faults all are reported at once, in order, each with its item, and none breeds others.

use super::assert_problem;
use crate::support::{bed, brief, demo, errors, post_bytes, reported, with};
use serde_json::json;

#[test]
fn an_error_begins_with_the_item_it_is_about() {
    let bed = json!({"name": "carrots", "ground": {"kind": "area", "area": "4"}, "start_on": "2027-04-01", "layers_per_cycle": 2,
        "feed": {"material": "leaves_shredded", "supply": {"kind": "deliveries", "deliveries": [{"on": "2027-04-31", "amount": "9 kg"}]}}});
    let body = json!({"climate": {"unit": "C", "monthly_means": [1, 2, "x", 4, 5, 6, 7, 8, 9, 10, 11, 12]}, "until": "2027-12-31",
        "worm_beds": [null, bed], "stock": [{"amount": "3", "heap": null, "id": "s"}],
        "demands": [{"amount": "20", "on": "2027-08-01"}, {"brew": {"name": "tea", "water": "3 kg"}, "on": "2027-08-01"},
            {"id": "a", "amount": "1 L"}, {"id": "a", "amount": "1 L"}]});
    let found = errors("seasons", &body);
    let first: Vec<&str> =
        found.iter().map(|fault| fault["detail"].as_str().unwrap().split(": ").next().unwrap()).collect();
    let wanted = [
        "Month 3",
        "Bed 1",
        "Bed 2 ('carrots')",
        "Bed 2 ('carrots'), delivery 1",
        "Lot 1 ('s')",
        "Demand 1",
        "Demand 2 ('tea')",
        "Demand 4 ('a')",
    ];
    assert_eq!(first, wanted, "{found:#?}");
    let repeated = found.last().unwrap()["detail"].as_str().unwrap();
    assert_eq!(repeated, "Demand 4 ('a'): The id is already that of demand 3; give each demand its own.");
}

#[test]
fn all_faults_are_reported_at_once_in_the_order_of_the_request() {
    let body = demo("refused/applications-three-faults.json");
    let wanted =
        ["/areas/0/surface/length unit_missing", "/areas/1/rate rate_does_not_fit", "/areas/1/colour unknown_field"];
    assert_eq!(reported("applications", &body), wanted);
    let area = |surface: &str, rate: &str| format!(r#"{{"rate": {rate}, "surface": {surface}, "id": ""}}"#);
    let (plants, rows) = (r#"{"count": 0, "kind": "plants"}"#, r#"{"band_width": 2, "kind": "rows"}"#);
    let rate = r#"{"amount": "1 kg", "kind": "depth"}"#;
    let text = format!(r#"{{"areas": [{}, {}], "units": 4, "name": "\u0000"}}"#, area(plants, rate), area(rows, rate));
    let answer = post_bytes("applications", text);
    assert_problem(&answer);
    let wanted = [
        "/areas/0/rate/amount unit_does_not_fit",
        "/areas/0/surface/count out_of_range",
        "/areas/0/id wrong_length",
        "/areas/1/rate/amount unit_does_not_fit",
        "/areas/1/surface/band_width unit_missing",
        "/areas/1/surface/length missing_field",
        "/areas/1/id wrong_length",
        "/areas/1/id repeated_id",
        "/units wrong_type",
        "/name bad_text",
    ];
    assert_eq!(brief(answer.json()["errors"].as_array().unwrap()), wanted);
}

#[test]
fn a_fault_does_not_breed_others() {
    for (pointer, value) in [
        ("/areas/0/surface/count", json!("4")),
        ("/areas/0/surface/count", json!(0)),
        ("/areas/0/surface/count", json!(1e300)),
        ("/areas/0/surface/count", json!({})),
        ("/areas/0/settling", json!("80 %")),
        ("/areas/0/id", json!(7)),
        ("/areas/0/surface/length", json!({"value": [], "unit": "m"})),
        ("/areas/0/rate/amount", json!([])),
    ] {
        assert_eq!(errors("applications", &with(&bed(), pointer, value.clone())).len(), 1, "{pointer} {value}");
    }
}

#[test]
fn assumptions_that_contradict_each_other_are_reported_where_they_were_given() {
    let wet = json!({"castings.dry_bulk_density": "700 kg/m3"});
    let place = bed()["areas"][0].clone();
    let whole = json!({"assumptions": wet, "areas": [place, place]});
    assert_eq!(reported("applications", &whole), ["/assumptions inconsistent_assumptions"]);
    let one = json!({"areas": [place, with(&place, "/assumptions", wet)]});
    assert_eq!(reported("applications", &one), ["/areas/1/assumptions inconsistent_assumptions"]);
}

#[test]
fn of_more_than_a_hundred_faults_the_first_hundred_are_reported() {
    let wrong =
        json!({"surface": {"kind": "rectangle", "length": 2, "width": 1}, "rate": {"kind": "depth", "amount": "1 cm"}});
    let answer = post_bytes("applications", json!({"areas": vec![wrong; 150]}).to_string());
    assert_problem(&answer);
    let problem = answer.json();
    assert_eq!(problem["errors_total"], 300);
    let reported = brief(problem["errors"].as_array().unwrap());
    assert_eq!((reported.len(), reported[99].as_str()), (100, "/areas/49/surface/width unit_missing"));
    assert!(problem["detail"].as_str().unwrap().contains("300"), "{}", problem["detail"]);
}

#[test]
fn an_error_does_not_hide_another_of_the_same_item() {
    let heap = json!({"kind": "cone", "diameter": "2 L", "height": "1 m", "assumptions": {"castings.weight": "2 kg"}});
    let body = json!({
        "stock": [{"amount": "9", "ready_on": "1 April"}, {"heap": heap, "use_by": "soon"}],
        "demands": [{"amount": "1 L"}]});
    let wanted = [
        "/stock/0/amount unit_missing",
        "/stock/0/ready_on bad_date",
        "/stock/1/heap/diameter unit_does_not_fit",
        "/stock/1/heap/assumptions/castings.weight unknown_assumption",
        "/stock/1/use_by bad_date",
    ];
    assert_eq!(reported("balances", &body), wanted);
    let body = json!({"materials": [{"material": "leafs", "amount": "9", "moisture": "0.4"}]});
    let wanted = [
        "/materials/0/material unknown_value",
        "/materials/0/amount unit_missing",
        "/materials/0/moisture share_without_percent",
    ];
    assert_eq!(reported("feeds", &body), wanted);
}

/// What is wrong with a container is reported once, with all of it, and none of its uses.
#[test]
fn uses_of_a_container_that_is_refused_are_not_refused() {
    let uses = json!({
        "containers": [
            {"name": "bucket", "capacity": "12"}, {"name": "tub", "capacity": "9 m"}, {"name": "Bucket", "capacity": "x"},
            {"name": "2 cans", "capacity": "1 L"}, {"name": "barrow"}],
        "stock": [{"amount": "3 buckets"}, {"amount": {"value": 2, "unit": "tubs", "low": 1}}, {"amount": "1 barrow", "ready_on": "soon"}],
        "demands": [{"amount": "2 Buckets"}, {"amount": "2 pails"}, {"brew": {"water": "2 tubs", "castings_to_water": "1 bucket/tub"}}]});
    let wanted = [
        "/containers/0/capacity unit_missing",
        "/containers/1/capacity unit_does_not_fit",
        "/containers/2/name clashing_name",
        "/containers/2/capacity bad_number",
        "/containers/3/name bad_text",
        "/containers/4/capacity missing_field",
        "/stock/2/ready_on bad_date",
        "/demands/1/amount unknown_unit",
    ];
    assert_eq!(reported("balances", &uses), wanted);
}

#[test]
fn of_a_quantity_without_its_number_nothing_is_made_up() {
    let share = json!({"low": 60, "high": 75});
    let bed = json!({"ground": {"kind": "area", "area": "2 m2"}, "material_depth": "20 cm", "finished_share": share});
    let found = errors("harvests", &json!({"worm_beds": [bed]}));
    let at = "/worm_beds/0/finished_share";
    assert_eq!(brief(&found), [format!("{at}/value missing_field"), format!("{at}/unit missing_field")]);
    assert!(found[1].get("nearest").is_none(), "{}", found[1]);
}

#[test]
fn a_fault_of_the_unit_or_the_list_does_not_hide_or_breed_others() {
    let climate = json!({"fixed": 18, "monthly_means": [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]});
    let season = with(&demo("seasons/shortest.json"), "/climate", climate);
    assert_eq!(reported("seasons", &season), ["/climate exactly_one_of", "/climate/unit missing_field"]);
    let season = with(&season, "/climate", json!({"fixed": 18}));
    assert_eq!(reported("seasons", &season), ["/climate/unit missing_field"]);
    for field in ["worm_beds", "heaps"] {
        assert_eq!(reported("harvests", &json!({field: "x"})), [format!("/{field} wrong_type")]);
    }
}
