//! Every figure of feeds is explained.

use super::{check, figure};
use crate::support::{demo_files, ok};
use serde_json::{Value, json};

/// Feeds of the demo, and one whose materials are given each in another way.
fn feeds() -> Vec<Value> {
    let read = |path: std::path::PathBuf| serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    let mut all: Vec<Value> = demo_files("feeds").into_iter().map(read).collect();
    let range = |low: f64, value: f64, high: f64| json!({"low": low, "value": value, "high": high, "unit": "%"});
    all.push(json!({
        "units": "us",
        "containers": [{"name": "bucket", "capacity": "12 L"}, {"name": "sack", "capacity": "40 lb"}],
        "ground": {"kind": "circle", "diameter": "6 ft"},
        "materials": [
            {"amount": "200 L", "moisture": range(30.0, 40.0, 50.0), "nitrogen": "0.9 %", "ash": range(5.0, 8.0, 12.0), "soak": true},
            {"amount": "3 buckets", "moisture": "20 %", "nitrogen": range(3.0, 4.0, 5.0), "carbon_to_nitrogen": 9, "rehydrate": {}},
            {"material": "straw", "amount": "5 kg", "moisture": "15 %", "nitrogen": "0.6 %"},
            {"material": "straw", "at_most": "5 kg", "carbon_to_nitrogen": 60},
            {"material": "grass_clippings", "at_least": "10 L", "at_most": "30 L", "rehydrate": {"water_per_kilogram": "0.5 US gal"}},
        ],
    }));
    all
}

#[test]
fn every_figure_of_feeds_is_explained() {
    for body in feeds() {
        let mut asked = body.clone();
        asked["explain"] = json!(true);
        let answer = ok("feeds", &asked);
        // Bounds of a mix are those of the best corner of all materials: see tests/garden/feeds/laws.rs.
        let mut left = check("feeds", &body, false);
        // Amounts are given or chosen, moistures given or assumed; of nothing there is nothing to tell.
        let value = |of: &str| answer.pointer(of).map_or(0.0, |there| figure(there, "value"));
        let moved = |of: &String| {
            value(of) != 0.0
                && of.strip_suffix("/moisture_mixed").is_none_or(|item| value(&format!("{item}/mass")) != 0.0)
        };
        let told_elsewhere = |of: &String| {
            let material =
                of.starts_with("/materials/") && ["/mass", "/volume", "/moisture"].iter().any(|end| of.ends_with(end));
            let goals = of.starts_with("/out_of_reach/") || of.starts_with("/instead/");
            // What is neither shredded nor put into water keeps the volume that was given.
            let kept = of.strip_suffix("_mixed").is_some_and(|it| it.ends_with("/volume") && value(it) == value(of));
            let assumed = ["/castings/bed_moisture", "/hot_composting/cooling_time"].contains(&of.as_str());
            // How much is laid when comes of a forecast day by day.
            let dated = of.starts_with("/layers/dated/") && (of.ends_with("/volume") || of.ends_with("/bed_depth"));
            material || goals || kept || assumed || dated
        };
        // A ratio that was given is explained by nothing.
        let given = |of: &String| {
            let item = of.strip_suffix("/carbon_to_nitrogen").and_then(|item| body.pointer(item));
            item.is_some_and(|item| item.get("carbon_to_nitrogen").is_some())
        };
        left.retain(|of| moved(of) && !told_elsewhere(of) && !given(of));
        assert!(left.is_empty(), "{body}: {left:#?}");
        // How many layers there are after the first is explained too.
        let all = answer["explanations"].as_array().unwrap();
        let later = all.iter().find(|one| one["figure"] == "/layers/later");
        assert_eq!(later.is_some(), answer.get("layers").is_some(), "{body}");
    }
}
