//! What an error gives as an example works where it is pasted.

use crate::support::{demo, errors, ok, with};
use serde_json::{Value, json};

/// The example of an error: what follows "as in", without the name of the field.
fn example(error: &Value) -> Value {
    let detail = error["detail"].as_str().unwrap();
    let (_, example) = detail.rsplit_once(" as in ").unwrap_or_else(|| panic!("{error}"));
    let example = example.trim_end_matches(['.', '?']);
    let field = format!("\"{}\": ", error["pointer"].as_str().unwrap().rsplit('/').next().unwrap());
    let example = example.strip_prefix(&field).unwrap_or(example);
    serde_json::from_str(example).unwrap_or_else(|_| json!(example.split(" or ").next().unwrap()))
}

/// Puts something wrong at a place, and then the example of the error that is reported there.
fn mend(question: &str, body: &Value, (pointer, wrong): (&str, Value)) {
    let found = errors(question, &with(body, pointer, wrong));
    let at: Vec<&Value> = found.iter().filter(|error| error["pointer"] == pointer).collect();
    assert_eq!((found.len(), at.len()), (1, 1), "{pointer}: {found:#?}");
    ok(question, &with(body, pointer, example(at[0])));
}

#[test]
fn of_fields_of_another_type() {
    let area = json!({"kind": "area", "area": "6 m2"});
    let rate = json!({"kind": "depth", "amount": "1 cm"});
    let applications =
        json!({"containers": [{"name": "tub", "capacity": "9 L"}], "areas": [{"surface": area, "rate": rate}]});
    let balance = json!({"stock": [{"amount": "90 L", "ready_on": "2027-01-01"}], "demands": [{"amount": "60 L", "on": "2027-04-05"}]});
    let brews = json!({"brews": [{"water": "40 L", "castings_to_water": "1:10"}]});
    let feeds = json!({"materials": [{"material": "leaves_shredded", "amount": "100 kg"}, {"material": "kitchen_scraps", "amount": "20 kg"}]});
    let mix =
        json!({"materials": [{"material": "leaves_shredded", "amount": "100 kg"}, {"material": "kitchen_scraps"}]});
    let sizing = json!({"start_on": "2027-03-01", "climate": "18 C", "feed_supply": {"material": "kitchen_scraps", "each_week": "10 kg"}});
    for (question, body, pointer) in [
        ("applications", &applications, "/id"),
        ("applications", &applications, "/name"),
        ("applications", &applications, "/areas/0/name"),
        ("applications", &applications, "/containers/0/name"),
        ("applications", &applications, "/areas/0/repeat"),
        ("applications", &applications, "/areas/0/surface"),
        ("balances", &balance, "/sack"),
        ("balances", &balance, "/demands/0/repeat"),
        ("balances", &balance, "/demands/0/crop"),
        ("balances", &balance, "/stock/0/manure"),
        ("balances", &balance, "/additional_production"),
        ("brews", &brews, "/brews/0/use_at"),
        ("harvests", &json!({}), "/heaps"),
        ("feeds", &feeds, "/soak"),
        ("feeds", &mix, "/goals"),
        ("worm-beds", &sizing, "/bins"),
    ] {
        for wrong in [json!(7), json!(true)] {
            mend(question, body, (pointer, wrong));
        }
    }
    // In place of the amount.
    let without = |list: &str| {
        let mut body = balance.clone();
        body[list][0].as_object_mut().unwrap().remove("amount");
        body
    };
    mend("balances", &without("stock"), ("/stock/0/heap", json!("cone")));
    mend("balances", &without("demands"), ("/demands/0/application", json!("1 cm")));
    mend("balances", &without("demands"), ("/demands/0/brew", json!("20 L")));
    let forecast = demo("calibrations/first-harvest.json");
    mend("calibrations", &forecast, ("/records/0/fed/0", json!("20 kg")));
    let polygon =
        json!({"kind": "polygon", "unit": "m", "corners": [{"x": 0, "y": 0}, {"x": 4, "y": 0}, {"x": 4, "y": 3}]});
    mend("applications", &with(&applications, "/areas/0/surface", polygon), ("/areas/0/surface/unit", json!(7)));
}

#[test]
fn of_quantities_and_assumptions() {
    let area = json!({"kind": "area", "area": "6 m2"});
    let body = json!({"areas": [{"surface": area, "rate": {"kind": "depth", "amount": "1 cm"}}]});
    for (pointer, wrong) in [
        ("/areas/0/surface/area", json!(true)),
        ("/areas/0/rate/amount", json!([])),
        ("/areas/0/settling", json!("3 m")),
        ("/areas/0/settling", json!(true)),
    ] {
        mend("applications", &body, (pointer, wrong));
    }
    // A unit that is none has no example of a place.
    let found = errors("applications", &with(&body, "/areas/0/rate/amount", json!({"value": 1, "unit": 7})));
    assert!(!found[0]["detail"].as_str().unwrap().contains("as in"), "{}", found[0]);
    let harvests = json!({"worm_beds": [{"ground": area, "material_depth": "20 cm", "finished_share": "80 %"}]});
    let table = crate::support::get("/v1/assumptions").json();
    for assumption in table["assumptions"].as_array().unwrap() {
        let id = assumption["id"].as_str().unwrap();
        let pointer = format!("/assumptions/{id}");
        let body = with(&harvests, "/assumptions", json!({}));
        mend("harvests", &body, (&pointer, json!("1 m2")));
    }
    let found = errors("applications", &with(&body, "/assumptions", json!({"castings.bulkdensity": "600 kg/m3"})));
    let detail = found[0]["detail"].as_str().unwrap();
    assert!(detail.contains("Did you mean \"castings.bulk_density\"?"), "{detail}");
    let found = errors("applications", &with(&body, "/assumptions", json!({"castings.phosphorus": "30 %"})));
    assert!(found[0]["detail"].as_str().unwrap().contains("between 0.0001 and 20 %"), "{}", found[0]);
}

#[test]
fn of_a_rate_that_is_missing() {
    for surface in [
        json!({"kind": "area", "area": "6 m2"}),
        json!({"kind": "plants", "count": 3}),
        json!({"kind": "planted_rows", "length": "3 m", "spacing": "30 cm"}),
        json!({"kind": "pots", "volume": "3 L"}),
        json!({"kind": "tapered_pots", "top_diameter": "20 cm", "bottom_diameter": "15 cm", "height": "20 cm"}),
        json!({"kind": "bed_fill", "ground": {"kind": "area", "area": "2 m2"}, "depth": "20 cm"}),
    ] {
        let body = json!({"areas": [{"surface": surface}]});
        let found = errors("applications", &body);
        let detail = found[0]["detail"].as_str().unwrap();
        let (_, rate) = detail.split_once("a rate, such as ").unwrap();
        let rate: Value = serde_json::from_str(rate.split_once(", or in its place").unwrap().0).unwrap();
        ok("applications", &with(&body, "/areas/0/rate", rate));
    }
}
