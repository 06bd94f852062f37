//! Every figure of brews is explained.

use super::check;
use crate::support::demo_files;
use serde_json::{Value, json};

#[test]
fn every_figure_of_brews_is_explained() {
    let mut files: Vec<Value> = Vec::new();
    for path in demo_files("brews") {
        files.push(serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap());
    }
    // One that could be brewed stronger in one round.
    files.push(json!({"units": "us", "brews": [{"water": "120 L", "dilution": "1:3", "brewer": {"capacity": "60 L", "count": 1}}]}));
    for body in files {
        let mut left = check("brews", &body, true);
        // As given or assumed; water may be given; castings of batches are split in whole millilitres.
        let as_given = |of: &String| {
            let ends =
                ["0/water", "/castings_to_water", "/brewing_time", "/use_within"].iter().any(|end| of.ends_with(end));
            ends || of.contains("/batches/") && of.contains("/castings")
        };
        left.retain(|of| !as_given(of));
        assert!(left.is_empty(), "{body}: {left:#?}");
    }
}
