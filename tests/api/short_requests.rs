//! The shortest requests that are answered, and what is assumed for the rest.

use crate::support::{demo, ok, reported, with};
use serde_json::{Value, json};

/// The assumption with this id in an answer.
fn assumed<'a>(answer: &'a Value, id: &str) -> Option<&'a Value> {
    answer["assumptions"].as_array().unwrap().iter().find(|one| one["id"] == id)
}

#[test]
fn a_season_of_one_bed_needs_ground_feed_a_start_and_a_climate() {
    let short = demo("seasons/shortest.json");
    let answer = ok("seasons", &short);
    assert!(!answer["worm_beds"][0]["lots"].as_array().unwrap().is_empty());
    for id in ["bed.layers_per_cycle", "bed.finishing", "harvest.drying", "bed.first_layer", "worms.stocking_density"] {
        let found = assumed(&answer, id).unwrap_or_else(|| panic!("{id} is not listed"));
        assert_eq!(found["set_by"], "default", "{found}");
        assert!(!found["source"].as_str().unwrap().is_empty(), "{found}");
    }
    let layers = assumed(&answer, "bed.layers_per_cycle").unwrap();
    assert_eq!(layers["value"], json!({"value": 3, "low": 2, "high": 5, "unit": ""}));
    assert_eq!(layers["source"], "common practice, no source");
}

#[test]
fn what_is_assumed_gives_the_answer_of_what_is_said() {
    let short = demo("seasons/shortest.json");
    let (unsaid, said) =
        (ok("seasons", &short), ok("seasons", &with(&short, "/worm_beds/0/layers_per_cycle", json!(3))));
    assert!(assumed(&said, "bed.layers_per_cycle").is_none());
    assert_eq!((&unsaid["worm_beds"], &unsaid["chances"]), (&said["worm_beds"], &said["chances"]));
    let of_two = ok("seasons", &with(&short, "/worm_beds/0/layers_per_cycle", json!(2)));
    let set = with(&short, "/assumptions", json!({"bed.layers_per_cycle": 2}));
    let assumed_two = ok("seasons", &set);
    assert_eq!(assumed(&assumed_two, "bed.layers_per_cycle").unwrap()["set_by"], "request");
    assert_eq!(assumed_two["worm_beds"], of_two["worm_beds"]);
    assert_ne!(assumed_two["worm_beds"], unsaid["worm_beds"]);
    // Said for the bed, the assumption is of no use.
    let both = ok("seasons", &with(&set, "/worm_beds/0/layers_per_cycle", json!(2)));
    let unused = both["cautions"].as_array().unwrap().iter().find(|one| one["rule"] == "assumption_not_used").unwrap();
    assert_eq!(unused["at"], json!(["/assumptions/bed.layers_per_cycle"]));
}

#[test]
fn a_forecast_goes_by_the_usual_layers_too() {
    let forecast = json!({"start_on": "2027-04-01", "until": "2027-12-31", "climate": "15 C", "feed": {"material": "leaves_shredded"}});
    let bed = json!({"worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "forecast": forecast}]});
    let answer = ok("harvests", &bed);
    assert_eq!(assumed(&answer, "bed.layers_per_cycle").unwrap()["set_by"], "default");
    let odd = with(&bed, "/assumptions", json!({"bed.layers_per_cycle": 2.5}));
    assert_eq!(reported("harvests", &odd), ["/assumptions/bed.layers_per_cycle out_of_range"]);
}
