//! An error says what to send instead, and what it says works.

use crate::support::{area, bed, brief, demo, errors, ok, with};
use serde_json::{Value, json};

/// The text that an error gives as an example of a field.
fn example(error: &Value, field: &str) -> Value {
    let detail = error["detail"].as_str().unwrap();
    let (_, example) = detail.split_once(&format!(", as in \"{field}\": \"")).unwrap_or_else(|| panic!("{error}"));
    json!(example.split('"').next().unwrap())
}

#[test]
fn a_quantity_that_is_missing_comes_with_an_example_that_works() {
    let depth = json!({"kind": "depth", "amount": "1 cm"});
    let place = |surface: Value, rate: &Value| json!({"surface": surface, "rate": rate});
    let body = json!({"areas": [
        place(json!({"kind": "pots", "count": 3}), &json!({"kind": "share_of_mix"})),
        place(json!({"kind": "tapered_pots"}), &json!({"kind": "share_of_mix", "amount": "20 %"})),
        place(json!({"kind": "bed_fill", "ground": {"kind": "circle"}}), &json!({"kind": "share_of_mix", "amount": "20 %"})),
        place(json!({"kind": "rows"}), &depth),
        place(json!({"kind": "ring"}), &depth),
        place(json!({"kind": "rectangle"}), &json!({"kind": "depth"})),
        place(json!({"kind": "area"}), &json!({"kind": "mass_per_area"})),
        place(json!({"kind": "planted_rows"}), &json!({"kind": "per_plant"})),
        place(json!({"kind": "area", "area": "6 m2"}), &json!({"kind": "volume_per_area", "amount": null})),
        place(json!({"kind": "rows", "length": "6 m", "band_width": "20 cm"}), &json!({"kind": "volume_per_length"})),
    ]});
    let found = errors("applications", &body);
    assert_eq!(found.len(), 21, "{found:#?}");
    let mut mended = body;
    for error in &found {
        assert_eq!(error["code"], "missing_field", "{error}");
        let pointer = error["pointer"].as_str().unwrap();
        let field = pointer.rsplit('/').next().unwrap();
        mended = with(&mended, pointer, example(error, field));
    }
    ok("applications", &mended);
    // A bed with one of two fields that belong together.
    let bed = json!({"worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "material_depth": "20 cm"}]});
    let found = errors("harvests", &bed);
    assert_eq!(brief(&found), ["/worm_beds/0/finished_share missing_field"]);
    ok("harvests", &with(&bed, "/worm_beds/0/finished_share", example(&found[0], "finished_share")));
}

#[test]
fn pots_with_a_diameter_get_what_they_take() {
    let surface = json!({"kind": "pots", "count": 3, "volume": "5 L", "diameter": "20 cm"});
    let found = errors("applications", &area(&surface, &json!({"kind": "share_of_mix", "amount": "20 %"})));
    assert_eq!(brief(&found), ["/areas/0/surface/diameter unknown_field"]);
    let detail = found[0]["detail"].as_str().unwrap();
    assert!(detail.contains("Give the volume that one pot takes, or use the kind tapered_pots"), "{detail}");
}

#[test]
fn common_ways_of_writing_get_how_else() {
    for (length, hint) in [
        ("4' x 6'", "6 ft 4 in"),
        ("1-2 m", "low"),
        ("4 m 6 cm", "one unit"),
        ("2 buckets", "write a length with its unit (mm, cm, m and so on)."),
        ("5", "no unit"),
    ] {
        let body = with(&bed(), "/areas/0/surface/length", json!(length));
        let reported = errors("applications", &body);
        assert!(reported[0]["detail"].as_str().unwrap().contains(hint), "{length}: {}", reported[0]["detail"]);
    }
    let brew = json!({"brews": [{"water": "10 L", "castings_to_water": "10:1"}]});
    let detail = errors("brews", &brew)[0]["detail"].clone();
    assert!(detail.as_str().unwrap().contains("\"1:10\""), "{detail}");
    let body = with(&bed(), "/assumptions", json!({"bulk_density": "500 kg/m3"}));
    assert_eq!(errors("applications", &body)[0]["nearest"], "castings.bulk_density");
}

#[test]
fn a_near_synonym_gets_the_field_that_is_meant() {
    let demand =
        |field: &str| json!({"stock": [{"amount": "9 L"}], "demands": [{"amount": "1 L", field: "2027-04-01"}]});
    let lot = |field: &str| json!({"stock": [{"amount": "9 L", field: "2027-04-01"}], "demands": [{"amount": "1 L"}]});
    let bed = |field: &str| {
        json!({"climate": "20 C", "demands": [{"amount": "1 L", "on": "2027-09-01"}], "worm_beds": [{
            "ground": {"kind": "area", "area": "1 m2"}, "layers_per_cycle": 1, "start_on": "2027-04-01", field: "2027-04-01",
            "feed": {"moisture": "70 %", "ash": "20 %", "supply": {"kind": "as_needed"}}}]})
    };
    for (resource, body, meant) in [
        ("balances", demand("date"), "on"),
        ("balances", demand("from"), "earliest"),
        ("balances", demand("to"), "latest"),
        ("balances", demand("due"), "latest"),
        ("balances", demand("least"), "minimum"),
        ("balances", demand("whole"), "whole_portions"),
        ("applications", with(&crate::support::bed(), "/measures", json!([])), "containers"),
        ("balances", lot("ready"), "ready_on"),
        ("balances", lot("from"), "ready_on"),
        ("balances", lot("expires"), "use_by"),
        ("seasons", bed("from"), "start_on"),
        ("seasons", bed("date"), "start_on"),
        ("seasons", bed("temperature"), "climate"),
    ] {
        let found = errors(resource, &body);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!((&found[0]["code"], &found[0]["nearest"]), (&json!("unknown_field"), &json!(meant)), "{body}");
        let hint = format!("Did you mean \"{meant}\"?");
        assert!(found[0]["detail"].as_str().unwrap().contains(&hint), "{}", found[0]["detail"]);
    }
    // A demand of a brew has neither, so nothing is suggested that its object does not know.
    let brew = json!({"brews": [{"water": "9 L", "castings_to_water": "1:10", "expires": "2027-04-01"}]});
    assert!(errors("brews", &brew)[0].get("nearest").is_none());
}

#[test]
fn a_surface_and_a_rate_of_a_demand_belong_into_its_application() {
    let body = json!({"stock": [{"amount": "9 L"}], "demands": [{
        "surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}}]});
    let found = errors("balances", &body);
    let wanted = ["/demands/0 exactly_one_of", "/demands/0/surface unknown_field", "/demands/0/rate unknown_field"];
    assert_eq!(brief(&found), wanted);
    for error in &found[1..] {
        assert_eq!(error["nearest"], "application");
        assert!(error["detail"].as_str().unwrap().contains("Put surface and rate into application"), "{error}");
    }
    let bed =
        json!({"worm_beds": [{"length": "3 m", "width": "1 m", "material_depth": "25 cm", "finished_share": "80 %"}]});
    let found = errors("harvests", &bed);
    assert!(found.iter().any(|one| one["detail"].as_str().unwrap().contains("Put the measurements into ground")));
}

/// A bed as in a season, sent to harvests, where all of its future is in `forecast`.
#[test]
fn what_belongs_into_the_forecast_of_a_bed_or_into_what_is_in_it_is_led_there() {
    let ground = json!({"kind": "area", "area": "3 m2"});
    let bed = json!({"ground": ground, "start_on": "2027-03-01", "worms": "8 kg", "cycles": 1, "running": {"castings": "300 L"}});
    let found = errors("harvests", &json!({"worm_beds": [bed], "climate": "15 C"}));
    let unknown = found.iter().filter(|one| one["code"] == "unknown_field");
    let led: Vec<_> = unknown.map(|one| (one["pointer"].as_str().unwrap(), one["nearest"].as_str())).collect();
    let of_bed = ["start_on", "worms", "cycles", "running"].map(|field| format!("/worm_beds/0/{field}"));
    let wanted = of_bed.iter().map(|place| (place.as_str(), Some("forecast")));
    assert_eq!(led, wanted.chain([("/climate", Some("worm_beds"))]).collect::<Vec<_>>(), "{found:?}");
    let forecast =
        json!({"start_on": "2027-03-01", "until": "2027-09-01", "castings": "300 L", "eaten_on": "2027-02-15"});
    let found = errors("harvests", &json!({"worm_beds": [{"ground": ground, "forecast": forecast}]}));
    for field in ["castings", "eaten_on"] {
        let pointer = json!(format!("/worm_beds/0/forecast/{field}"));
        let error = found.iter().find(|one| one["pointer"] == pointer).unwrap();
        assert_eq!(error["nearest"], "running", "{error}");
    }
}

/// Words that a first-time caller writes are answered with the word or the form that is meant.
#[test]
fn guesses_of_a_newcomer_are_led_on() {
    let season = with(&demo("seasons/shortest.json"), "/worm_beds/0/feed/material", json!("shredded leaves"));
    let material = &errors("seasons", &season)[0];
    assert_eq!(material["nearest"], "leaves_shredded", "{material}");
    assert!(material["detail"].as_str().unwrap().contains("did you mean \"leaves_shredded\"?"), "{material}");
    let brew = json!({"brews": [{"water": "40 L", "ratio": "1:10", "castings_to_water": "one to ten"}]});
    let found = errors("brews", &brew);
    let ratio = found.iter().find(|error| error["pointer"] == "/brews/0/ratio").unwrap();
    assert_eq!(ratio["nearest"], "castings_to_water", "{ratio}");
    let words = found.iter().find(|error| error["pointer"] == "/brews/0/castings_to_water").unwrap();
    assert!(words["detail"].as_str().unwrap().contains("write \"1:10\""), "{words}");
}

/// What an error says after "as in" is put where the error is, and the request is answered.
#[test]
fn examples_of_errors_work() {
    let feed = json!({"castings_needed": [{"amount": "200 L", "by": "2028-04-15"}], "start_on": "2026-09-01", "climate": "18 C",
        "feed_supply": {"material": "kitchen_scraps"}});
    let mix = json!({"materials": [{"material": "leaves_shredded", "amount": "100 kg"}, {"material": "kitchen_scraps"}],
        "goals": {"carbon_to_nitrogen": {"low": 20, "high": 30}}});
    let balance = json!({"stock": [{"amount": "90 L"}], "demands": [{"amount": "60 L", "on": "2027-04-05"}]});
    let brew = json!({"brews": [{"water": "40 L", "brewer": {"capacity": "20 L"}}]});
    let area = with(&bed(), "/containers", json!([]));
    for (resource, body, pointer, wrong) in [
        ("worm-beds", &feed, "/castings_needed", json!("200 L")),
        ("worm-beds", &feed, "/castings_needed/0/by", json!(null)),
        ("worm-beds", &feed, "/castings_needed/0/amount", json!("90 m")),
        ("worm-beds", &feed, "/start_on", json!(null)),
        ("worm-beds", &feed, "/feed_supply", json!("scraps")),
        ("feeds", &mix, "/goals/carbon_to_nitrogen", json!(30)),
        ("feeds", &mix, "/materials", json!("leaves")),
        ("balances", &balance, "/demands", json!(null)),
        ("balances", &balance, "/stock", json!({"amount": "90 L"})),
        ("balances", &balance, "/demands/0/on", json!(20270405)),
        ("brews", &brew, "/brews", json!({"water": "40 L"})),
        ("brews", &brew, "/brews/0/brewer", json!("20 L")),
        ("applications", &area, "/areas", json!(null)),
        ("applications", &area, "/areas/0/surface", json!("6 m2")),
        ("applications", &area, "/areas/0/rate", json!("1 cm")),
        ("applications", &area, "/containers", json!("bucket")),
    ] {
        let found = errors(resource, &with(body, pointer, wrong));
        let at: Vec<&Value> = found.iter().filter(|error| error["pointer"] == pointer).collect();
        assert_eq!((found.len(), at.len()), (1, 1), "{found:?}");
        let detail = at[0]["detail"].as_str().unwrap();
        let example = detail.rsplit_once(", as in ").or_else(|| detail.rsplit_once(" as in ")).expect(detail).1;
        let example = example.trim_end_matches('.');
        let name = format!("\"{}\": ", pointer.rsplit('/').next().unwrap());
        let value = match example.strip_prefix(&name) {
            Some(value) => serde_json::from_str(value).unwrap(),
            None => json!(example.split(" or ").next().unwrap()),
        };
        ok(resource, &with(body, pointer, value));
    }
}

#[test]
fn a_day_by_which_castings_are_needed_is_by() {
    let body = json!({"castings_needed": [{"amount": "200 L", "on": "2028-04-15"}], "start_on": "2027-12-01", "climate": "18 C",
        "feed_supply": {"material": "kitchen_scraps"}});
    let found = errors("worm-beds", &body);
    let unknown = found.iter().find(|error| error["code"] == "unknown_field").unwrap();
    assert_eq!(unknown["nearest"], "by");
    assert!(unknown["detail"].as_str().unwrap().contains("Did you mean \"by\"?"), "{unknown}");
    let missing = found.iter().find(|error| error["code"] == "missing_field").unwrap()["detail"].as_str().unwrap();
    assert!(missing.contains("Give it a day in quotes, as in \"by\": \"2027-04-05\"."), "{missing}");
}

/// In additional production amounts are proportions; without any, nothing says so but the error.
#[test]
fn a_mix_of_additional_production_without_amounts_gets_what_amounts_mean_there() {
    let body = json!({"stock": [], "demands": [{"amount": "60 L", "on": "2028-04-05"}], "as_of": "2027-04-01",
        "additional_production": {"climate": "18 C", "materials": [{"material": "leaves_shredded"}]}});
    let found = errors("balances", &body);
    assert_eq!(brief(&found), ["/additional_production/materials impossible_value"]);
    let detail = found[0]["detail"].as_str().unwrap();
    assert!(detail.contains("in which proportion") && detail.ends_with("as in \"amount\": \"100 kg\"."), "{detail}");
    ok("balances", &with(&body, "/additional_production/materials/0/amount", json!("100 kg")));
}

/// "grass" is fresh or hay, which differ in water by seven times: whoever writes it is offered both.
#[test]
fn materials_of_one_word_are_all_offered() {
    let reported = |id: &str| {
        let mut found = errors("feeds", &json!({"materials": [{"material": id, "amount": "10 kg"}]}));
        (found[0]["detail"].as_str().unwrap().to_owned(), found[0]["nearest"].take())
    };
    for (id, offer, nearest) in [
        ("grass", "did you mean \"grass_clippings\", \"grass_compacted\" or \"grass_hay\"?", json!("grass_clippings")),
        ("food scraps", "did you mean \"vegetable_scraps\" or \"kitchen_scraps\"?", json!("vegetable_scraps")),
        ("leaves lose", "did you mean \"leaves_loose\"?", json!("leaves_loose")),
        ("manure", " or another of these ", json!("layer_manure_fresh")),
        ("cow manure", " or another of these ", json!("layer_manure_fresh")),
        ("plutonium", "in the table; GET /v1/materials lists them", json!(null)),
    ] {
        let (detail, found) = reported(id);
        assert!(detail.contains(offer), "{detail}");
        assert_eq!(found, nearest, "{detail}");
    }
}

/// A container is offered only where one is taken.
#[test]
fn containers_are_offered_where_they_are_taken() {
    let of_length = json!({"areas": [{"surface": {"kind": "rectangle", "length": "2.4 mtr", "width": "1 m"}, "castings": "2 pails"}]});
    let found = errors("applications", &of_length);
    let detail = |error: &Value| error["detail"].as_str().unwrap().to_owned();
    assert!(!detail(&found[0]).contains("container"), "{found:?}");
    assert!(detail(&found[1]).contains("or define it under containers, as in"), "{found:?}");
    for strength in [json!("1 to 4"), json!("10"), json!(10), json!("5 L")] {
        let found = errors("brews", &json!({"brews": [{"water": "20 L", "castings_to_water": strength}]}));
        let said = "is not a dilution; write \"1:10\" for one part to ten of water, or a share such as \"10 %\".";
        assert!(found.len() == 1 && detail(&found[0]).ends_with(said), "{found:?}");
    }
}

/// An error without a text of its own says what to write, and that works.
#[test]
fn what_is_missing_or_of_another_kind_comes_with_an_example() {
    let detail = |question: &str, body: &Value| errors(question, body)[0]["detail"].as_str().unwrap().to_owned();
    let found = detail("calibrations", &json!({}));
    let (_, example) = found.split_once(", as in \"records\": ").unwrap();
    let records: Value = serde_json::from_str(example.trim_end_matches('.')).unwrap();
    ok("calibrations", &json!({"records": records}));
    let without = |name: &str| {
        let mut record = records[0].clone();
        record.as_object_mut().unwrap().shift_remove(name);
        json!({"records": [record]})
    };
    let found = detail("calibrations", &without("fed"));
    assert!(found.ends_with(", as in \"fed\": [{\"on\": \"2027-03-01\", \"amount\": \"20 kg\"}]."), "{found}");
    let found = detail("calibrations", &without("harvested"));
    let (_, example) = found
        .split_once("(harvested, layers_eaten, worms_weighed or containers_weighed), as in \"harvested\": ")
        .unwrap();
    assert_eq!(records[0]["harvested"], serde_json::from_str::<Value>(example.trim_end_matches('.')).unwrap());
    let found = detail("applications", &with(&bed(), "/assumptions", json!([1])));
    assert!(found.ends_with("Write it as in \"assumptions\": {\"castings.bulk_density\": \"620 kg/m3\"}."), "{found}");
    let corners = json!({"kind": "polygon", "unit": "m", "corners": [[0, 0], {"x": 1, "y": 0}, {"x": 1, "y": 1}]});
    let found = detail("applications", &with(&bed(), "/areas/0/surface", corners));
    assert!(found.ends_with("Write it as in {\"x\": 0, \"y\": 0}."), "{found}");
    let found = detail("applications", &with(&bed(), "/areas/0/surface/length", json!({"value": 2})));
    assert!(found.ends_with("2 has no unit; write a length with its unit (mm, cm, m and so on)."), "{found}");
    let found = detail("applications", &with(&bed(), "/areas/0/settling", json!(5)));
    assert!(found.ends_with("write a share with its unit (% or mL/L)."), "{found}");
    let bed = json!({"start_on": "2027-04-01", "feed_supply": {"material": "kitchen_scraps", "each_week": "7 kg"}, "climate": [1, 2, 3]});
    let found = detail("worm-beds", &bed);
    let (_, example) = found.split_once("as in {").unwrap();
    let climate: Value = serde_json::from_str(&format!("{{{}", example.trim_end_matches('.'))).unwrap();
    ok("worm-beds", &with(&bed, "/climate", climate));
}

/// What is no quantity comes with one that is taken.
#[test]
fn a_time_in_words_comes_with_a_time_that_is_taken() {
    let of = |every: Value| json!({"stock": [], "demands": [{"amount": "5 L", "on": "2027-04-05", "repeat": {"every": every, "times": 2}}]});
    let found = errors("balances", &of(json!("a month")));
    let (_, example) = found[0]["detail"].as_str().unwrap().split_once("as in \"").unwrap();
    ok("balances", &of(json!(example.trim_end_matches("\"."))));
}

/// Of dates that lie too far apart the first and the last are named.
#[test]
fn dates_that_lie_too_far_apart_are_both_named() {
    let body = json!({"stock": [{"amount": "5 L"}, {"name": "old bin", "amount": "50 L", "ready_on": "2020-05-01"}],
        "demands": [{"name": "salad", "amount": "5 L", "on": "2040-05-01"}]});
    let found = errors("balances", &body);
    assert_eq!(brief(&found), [" out_of_range"]);
    let detail = found[0]["detail"].as_str().unwrap();
    let wanted = "2040-05-01, \"on\" of demand 1 ('salad'), is more than ten years after 2020-05-01, \"ready_on\" of lot 2 ('old bin'); one request";
    assert!(detail.starts_with(wanted), "{detail}");
}
