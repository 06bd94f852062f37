//! What every refusal looks like, and bodies that are JSON but no question.

use crate::support::{Answer, area, bed, brief, demo, errors, keys, ok, post_bytes, reported, with};
use barrowful::http::wire::ErrorCode;
use serde_json::{Value, json};

/// Checks what holds of every problem document.
pub fn assert_problem(answer: &Answer) {
    assert_eq!(answer.header("content-type"), "application/problem+json", "{}", answer.text());
    assert_eq!(answer.header("cache-control"), "no-store");
    let problem = answer.json();
    crate::support::assert_tidy(&problem);
    assert_eq!(problem["status"], answer.status, "{problem}");
    assert!(problem["type"].as_str().unwrap().starts_with("/problems/"), "{problem}");
    assert!(!problem["title"].as_str().unwrap().is_empty(), "{problem}");
    assert!(!problem["detail"].as_str().unwrap().is_empty(), "{problem}");
    let Some(errors) = problem.get("errors") else {
        assert_ne!(answer.status, 422, "{problem}");
        return;
    };
    let errors = errors.as_array().unwrap();
    assert!(!errors.is_empty() && errors.len() <= 100, "{problem}");
    assert!(problem["errors_total"].as_u64().unwrap() >= u64::try_from(errors.len()).unwrap());
    for error in errors {
        let at = error["at"].as_str().unwrap();
        assert_eq!(error.get("pointer").is_some(), at == "body", "{error}");
        assert_eq!(error.get("parameter").is_some(), at == "query", "{error}");
        assert!(ErrorCode::find(error["code"].as_str().unwrap()).is_some(), "{error}");
        assert!(error["detail"].as_str().unwrap().ends_with(['.', '?']), "{error}");
        assert!(error["detail"].as_str().unwrap().chars().count() < 700, "{error}");
        assert_names_its_item(error);
        let known =
            ["at", "pointer", "parameter", "line", "column", "code", "detail", "nearest", "allowed", "min", "max"];
        assert!(keys(error).iter().all(|key| known.contains(key)), "{error}");
    }
}

/// An error in an item of a list says which item, by its position counted from 1.
fn assert_names_its_item(fault: &Value) {
    let mut steps = fault["pointer"].as_str().unwrap_or_default().split('/').skip(1);
    let (list, position) = (steps.next().unwrap_or_default(), steps.next().and_then(|step| step.parse::<usize>().ok()));
    let nouns = [
        ("areas", "Area"),
        ("worm_beds", "Bed"),
        ("heaps", "Heap"),
        ("brews", "Brew"),
        ("stock", "Lot"),
        ("demands", "Demand"),
        ("materials", "Material"),
        ("containers", "Container"),
    ];
    if let (Some((_, noun)), Some(position)) = (nouns.iter().find(|(name, _)| *name == list), position) {
        let detail = fault["detail"].as_str().unwrap();
        let rest = detail.strip_prefix(&format!("{noun} {}", position + 1)).unwrap_or_else(|| panic!("{fault}"));
        assert!(rest.starts_with([':', ',', ' ']), "{fault}");
    }
}

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
fn pots_with_a_diameter_are_told_what_they_take() {
    let surface = json!({"kind": "pots", "count": 3, "volume": "5 L", "diameter": "20 cm"});
    let found = errors("applications", &area(&surface, &json!({"kind": "share_of_mix", "amount": "20 %"})));
    assert_eq!(brief(&found), ["/areas/0/surface/diameter unknown_field"]);
    let detail = found[0]["detail"].as_str().unwrap();
    assert!(detail.contains("Give the volume that one pot takes, or use the kind tapered_pots"), "{detail}");
}

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
fn all_faults_are_told_at_once_in_the_order_of_the_request() {
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
fn assumptions_that_contradict_each_other_are_told_where_they_were_given() {
    let wet = json!({"castings.dry_bulk_density": "700 kg/m3"});
    let place = bed()["areas"][0].clone();
    let whole = json!({"assumptions": wet, "areas": [place, place]});
    assert_eq!(reported("applications", &whole), ["/assumptions inconsistent_assumptions"]);
    let one = json!({"areas": [place, with(&place, "/assumptions", wet)]});
    assert_eq!(reported("applications", &one), ["/areas/1/assumptions inconsistent_assumptions"]);
}

#[test]
fn of_more_than_a_hundred_faults_the_first_hundred_are_told() {
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

#[test]
fn common_ways_of_writing_are_told_how_else() {
    for (length, hint) in [
        ("4' x 6'", "6 ft 4 in"),
        ("1-2 m", "low"),
        ("4 m 6 cm", "one unit"),
        ("2 buckets", "containers"),
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
fn a_near_synonym_is_told_the_field_that_is_meant() {
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
fn a_mix_of_additional_production_without_amounts_is_told_what_amounts_mean_there() {
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
    let told = |id: &str| {
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
        let (detail, found) = told(id);
        assert!(detail.contains(offer), "{detail}");
        assert_eq!(found, nearest, "{detail}");
    }
}
