//! `POST /v1/harvests`.

mod feed;
mod forecast;

use crate::support::{demo, keys, ok, post, q, reported, with};
use serde_json::{Value, json};

fn bed() -> Value {
    demo("harvests/one-bed.json")
}

#[test]
fn the_finished_bed_yields_the_worked_volumes() {
    let answer = ok("harvests", &bed());
    let bed = &answer["worm_beds"][0];
    for (name, litres) in
        [("in_bed", 750), ("unfinished", 150), ("finished", 600), ("castings", 420), ("oversize", 180)]
    {
        assert_eq!(bed[name], q(json!(litres), "L"), "{name}");
    }
    assert_eq!(bed["surface_area"], q(json!(3), "m2"));
    assert_eq!(bed["stored"]["volume"], json!({"value": 308, "low": 168, "high": 546, "unit": "L"}));
    let in_order = ["surface_area", "in_bed", "unfinished", "finished", "castings", "oversize", "stored", "cautions"];
    assert_eq!(keys(bed), in_order);
}

#[test]
fn the_parts_of_every_bed_and_heap_add_up() {
    let answer = ok("harvests", &demo("harvests/beds-and-heaps.json"));
    let value = |item: &Value, name: &str| item[name]["value"].as_f64().unwrap();
    let beds = answer["worm_beds"].as_array().unwrap().iter().map(|bed| (bed, "in_bed"));
    let heaps = answer["heaps"].as_array().unwrap().iter().map(|heap| (heap, "in_heap"));
    for (item, whole) in beds.chain(heaps) {
        let parts = value(item, "unfinished") + value(item, "castings") + value(item, "oversize");
        assert!((parts / value(item, whole) - 1.0).abs() < 1e-8, "{item}");
    }
}

#[test]
fn heaps_come_to_the_volumes_of_their_shapes() {
    for (heap, litres) in [
        (json!({"kind": "cone", "diameter": "2 m", "height": "60 cm"}), json!(628.318531)),
        (json!({"kind": "bin", "diameter": "1 m", "height": "1 m"}), json!(785.398163)),
        (json!({"kind": "bay", "mean_length": "2 m", "width": "1 m", "height": "50 cm"}), json!(1000)),
        (json!({"kind": "counted", "count": 7, "capacity": "12 L"}), json!(84)),
        (json!({"kind": "windrow", "length": "3 m", "width": "1 m", "height": "1 m", "ends": "square"}), json!(1500)),
    ] {
        let answer = ok("harvests", &json!({"heaps": [heap]}));
        assert_eq!(answer["heaps"][0]["in_heap"], q(litres, "L"), "{heap}");
        assert_eq!(answer["heaps"][0]["kind"], heap["kind"]);
        assert_eq!(answer["worm_beds"], json!([]));
    }
}

#[test]
fn a_range_for_the_sieve_gives_bounds() {
    let range = json!({"value": 70, "low": 60, "high": 80, "unit": "%"});
    let answer = ok("harvests", &with(&bed(), "/worm_beds/0/sieve_yield", range));
    let castings = &answer["worm_beds"][0]["castings"];
    assert_eq!(castings, &json!({"value": 420, "low": 360, "high": 480, "unit": "L"}));
}

#[test]
fn nothing_to_harvest_is_refused() {
    for body in [json!({}), json!({"worm_beds": [], "heaps": []}), json!({"heaps": null})] {
        assert_eq!(reported("harvests", &body), [" exactly_one_of"]);
    }
}

#[test]
fn shares_outside_nought_to_all_are_refused() {
    for share in ["0 %", "101 %", "1e308 %"] {
        for field in ["finished_share", "sieve_yield"] {
            let pointer = format!("/worm_beds/0/{field}");
            let body = with(&bed(), &pointer, json!(share));
            assert_eq!(reported("harvests", &body), [format!("{pointer} out_of_range")], "{share}");
        }
    }
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    let body = demo("harvests/beds-and-heaps.json");
    assert_eq!(post("harvests", &body).bytes, post("harvests", &body).bytes);
}

#[test]
fn each_heap_may_have_its_own_assumptions() {
    let heap =
        |assumptions: Value| json!({"kind": "counted", "count": 1, "capacity": "100 L", "assumptions": assumptions});
    let body = json!({"heaps": [
        heap(json!({"castings.bulk_density": "500 kg/m3", "castings.moisture_dry_basis": "100 %"})),
        heap(json!({"castings.bulk_density": "800 kg/m3"})),
    ]});
    let answer = ok("harvests", &body);
    assert_eq!(answer["heaps"][0]["mass"]["value"], 50);
    assert_eq!(answer["heaps"][1]["mass"]["value"], 80);
    let used = answer["assumptions"].as_array().unwrap();
    assert!(used.iter().any(|a| a["id"] == "castings.bulk_density" && a["pointer"] == "/heaps/0"));
    // Of what was weighed moist the moisture changes nothing, and the answer says so.
    let notice = answer["cautions"].as_array().unwrap().iter().find(|caution| caution["rule"] == "assumption_not_used");
    assert_eq!(notice.unwrap()["at"], json!(["/heaps/0/assumptions/castings.moisture_dry_basis"]));
}
