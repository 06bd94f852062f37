//! Every figure of castings for places is explained, for any place and rate.

use super::{check, names};
use crate::support::{demo, demo_files, ok};
use proptest::prelude::*;
use serde_json::{Value, json};

#[test]
fn an_explained_bed() {
    let answer = ok("applications", &demo("applications/explained.json"));
    let all = answer["explanations"].as_array().unwrap();
    let one = all.iter().find(|one| one["figure"] == "/areas/0/castings/volume").unwrap();
    // 4.5 m2 x 10 mm / (1 - 20 %) = 56.25 L.
    assert_eq!(one["formula"], "V = A d / (1 - s)");
    assert_eq!(answer["areas"][0]["castings"]["volume"], json!({"value": 56.25, "unit": "L"}));
    let taken: Vec<_> = one["inputs"].as_array().unwrap().iter().map(|term| &term["taken_from"]).collect();
    assert_eq!(taken, ["answer:/areas/0/surface_area", "request:/areas/0/rate/amount", "request:/areas/0/settling"]);
    assert_eq!(one["inputs"][1]["value"], json!({"value": 10, "unit": "mm"}));
    let mass = all.iter().find(|one| one["figure"] == "/areas/0/castings/mass").unwrap();
    assert_eq!(mass["inputs"][1]["taken_from"], "assumption:castings.bulk_density");
    assert_eq!(mass["inputs"][1]["value"], json!({"value": 600, "low": 450, "high": 900, "unit": "kg/m3"}));
}

#[test]
fn every_figure_of_applications_is_explained() {
    for path in demo_files("applications") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let mut left = check("applications", &body, true);
        // Castings that the request gives for the whole place, by volume or by mass.
        left.retain(|of| {
            !(of.ends_with("/castings/volume") || of.ends_with("/castings/mass")) || {
                let area = of.split('/').nth(2).unwrap();
                body.pointer(&format!("/areas/{area}/castings")).is_none()
            }
        });
        // What a table of the service has.
        left.retain(|of| !of.ends_with("/typical_rate/amount") && !of.ends_with("/salt/limit"));
        assert!(left.is_empty(), "{}: {left:?}", path.display());
    }
}

/// A density of one place with a moisture of all: the dry density that comes of them is of that place.
#[test]
fn a_density_reckoned_for_one_place_is_reported_for_it() {
    let mut body = json!({"assumptions": {"castings.moisture": "45 %"}, "areas": []});
    let bed = json!({"surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}});
    let own = json!({"surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"},
        "assumptions": {"castings.bulk_density": "800 kg/m3"}});
    body["areas"] = json!([bed, own]);
    let answer = ok("applications", &body);
    let list = answer["assumptions"].as_array().unwrap();
    let dry: Vec<_> = list.iter().filter(|one| one["id"] == "castings.dry_bulk_density").collect();
    assert_eq!(dry.len(), 2);
    // Identity: dry = moist x (1 - moisture).
    assert_eq!((&dry[0]["value"]["value"], dry[0].get("pointer")), (&json!(330), None));
    assert_eq!((&dry[1]["value"]["value"], &dry[1]["pointer"]), (&json!(440), &json!("/areas/1")));
    assert!(check("applications", &body, true).is_empty());
}

fn surface() -> impl Strategy<Value = (Value, Vec<&'static str>)> {
    let of = |kind: &str, fields: Value| {
        let mut surface = fields;
        surface["kind"] = json!(kind);
        surface
    };
    (0_usize..11, 1_u32..9, 1_u32..60, 1_u32..60).prop_map(move |(kind, count, a, b)| {
        let (a, b) = (f64::from(a) / 7.0, f64::from(b) / 9.0);
        let m = |x: f64| json!(format!("{x} m"));
        let ground = vec!["depth", "mass_per_area", "volume_per_area", "available_nitrogen"];
        let rows = vec!["depth", "mass_per_area", "volume_per_area", "available_nitrogen", "volume_per_length"];
        let plants = vec!["per_plant"];
        match kind {
            0 => (of("rectangle", json!({"count": count, "length": m(a), "width": m(b)})), ground),
            1 => (of("circle", json!({"count": count, "diameter": m(a)})), ground),
            2 => (of("ring", json!({"diameter": m(a + b), "inner_diameter": m(a)})), ground),
            3 => (of("rows", json!({"count": count, "length": m(a), "band_width": m(b)})), rows),
            4 => {
                let corners =
                    json!([{"x": 0, "y": 0}, {"x": a, "y": 0}, {"x": a + 1.0, "y": b}, {"x": 0.5, "y": b + 2.0}]);
                (of("polygon", json!({"count": count, "unit": "ft", "corners": corners})), ground)
            }
            5 => (of("area", json!({"count": count, "area": format!("{a} m2")})), ground),
            6 => (of("plants", json!({"count": count})), plants),
            7 => {
                let fields = json!({"count": count, "length": m(a + 1.0), "spacing": m(b / 10.0)});
                (of("planted_rows", fields), vec!["per_plant", "volume_per_length"])
            }
            // They hold the most that a plant gets below.
            8 => {
                let fields = json!({"count": count, "volume": format!("{} L", a + 31.0)});
                (of("pots", fields), vec!["per_plant", "share_of_mix"])
            }
            9 => {
                let fields = json!({"count": count, "top_diameter": m(a), "bottom_diameter": m(b), "height": m(0.3)});
                (of("tapered_pots", fields), vec!["share_of_mix"])
            }
            _ => {
                let ground = json!({"kind": "rectangle", "count": count, "length": m(a), "width": m(b)});
                (of("bed_fill", json!({"ground": ground, "depth": "25 cm"})), vec!["share_of_mix"])
            }
        }
    })
}

fn request() -> impl Strategy<Value = Value> {
    let area = (surface(), any::<prop::sample::Index>(), 1_u32..400, 0_u32..50, 0_u32..4);
    (prop::collection::vec(area, 1..4), any::<bool>(), any::<bool>()).prop_map(|(areas, us, known)| {
        let areas: Vec<Value> = areas
            .into_iter()
            .map(|((surface, kinds), kind, amount, settling, density)| {
                let kind = kinds[kind.index(kinds.len())];
                let x = f64::from(amount) / 13.0;
                let amount = match kind {
                    "depth" => format!("{x} mm"),
                    "mass_per_area" => format!("{x} lb/ft2"),
                    "volume_per_area" => format!("{x} buckets/m2"),
                    "available_nitrogen" => format!("{x} g/m2"),
                    "volume_per_length" => format!("{x} L/m"),
                    "per_plant" if settling % 2 == 0 => format!("{x} oz/plant"),
                    "per_plant" => format!("{x} L/plant"),
                    _ => format!("{} %", 1 + amount / 5),
                };
                let mut area = json!({"surface": surface, "rate": {"kind": kind, "amount": amount}});
                if kind == "depth" {
                    area["settling"] = json!(format!("{settling} %"));
                }
                if density > 0 {
                    area["assumptions"] = json!({"castings.bulk_density": format!("{} kg/m3", 450 + 100 * density)});
                }
                area
            })
            .collect();
        let mut request = json!({"units": if us { "us" } else { "metric" }, "areas": areas});
        request["containers"] = json!([{"name": "bucket", "capacity": "12 L"}, {"name": "sack", "capacity": "40 lb"}]);
        if known {
            request["assumptions"] = json!({"castings.nitrogen": "1.7 %", "castings.moisture": "45 %"});
        }
        request
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_explanation_gives_its_figure(request in request()) {
        let mut left = check("applications", &request, false);
        left.retain(|of| !of.ends_with("/salt/limit"));
        prop_assert!(left.is_empty(), "{:?}", names(&left));
    }
}
