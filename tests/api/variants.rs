//! Variants of a season or a balance: each answered as the changed request would be, side by side with it.

use crate::support::{brief, demo, errors, flat, form, get, keys, ok, reported, with};
use serde_json::{Value, json};

/// What a variant keeps of an answer, under its name.
fn kept(name: &str, answer: &Value) -> Value {
    let sacks = answer["shortfall_options"]["sacks"].as_array().unwrap();
    let cost: Option<f64> = sacks.iter().map(|sack| sack["cost"].as_f64()).sum();
    let mut kept = json!({"name": name, "headline": answer["headline"], "shortfall": answer["total"]["shortfall"]});
    for field in ["chance_enough", "first_shortfall_on"] {
        if let Some(value) = answer.get(field) {
            kept[field] = value.clone();
        }
    }
    if let (Some(cost), Some(first)) = (cost, sacks.first()) {
        kept["cost"] = json!((cost * 1e6).round() / 1e6);
        if let Some(currency) = first.get("currency") {
            kept["currency"] = currency.clone();
        }
    }
    kept
}

/// Numbers as they compare: `60` and `60.0` are one.
fn even(value: &Value) -> Value {
    match value {
        Value::Number(number) => json!(number.as_f64()),
        Value::Array(items) => items.iter().map(even).collect(),
        Value::Object(members) => members.iter().map(|(name, value)| (name.clone(), even(value))).collect(),
        other => other.clone(),
    }
}

fn without_variants(body: &Value) -> Value {
    let mut body = body.clone();
    body.as_object_mut().unwrap().remove("variants");
    body
}

fn two_lots() -> Value {
    demo("balances/two-lots.json")
}

/// A balance with a change as its one variant.
fn changed(change: &Value) -> Value {
    with(&two_lots(), "/variants", json!([{"name": "changed", "change": change}]))
}

#[test]
fn a_season_compares_a_later_start_a_second_bed_and_says_what_is_wrong_with_a_third() {
    let mut body = demo("seasons/three-plans.json");
    body["simulation_runs"] = json!(500);
    body["variants"][2] = json!({"name": "no temperature", "change": {"climate": null, "stock": [{"amount": "40"}]}});
    let answer = ok("seasons", &body);
    let variants = answer["variants"].as_array().unwrap();
    assert_eq!(variants.len(), 3);
    let mut alone = without_variants(&body);
    assert_eq!(answer["headline"], ok("seasons", &alone)["headline"]);
    for (index, name) in ["start three weeks later", "build a second bed"].into_iter().enumerate() {
        alone["worm_beds"] = body["variants"][index]["change"]["worm_beds"].clone();
        assert_eq!(even(&variants[index]), even(&kept(name, &ok("seasons", &alone))));
    }
    assert_ne!(variants[0]["chance_enough"], variants[1]["chance_enough"]);
    assert_eq!(keys(&variants[2]), ["name", "problem"]);
    let problem = &variants[2]["problem"];
    assert_eq!(problem["status"], 422);
    alone = without_variants(&body);
    alone.as_object_mut().unwrap().remove("climate");
    alone["stock"] = json!([{"amount": "40"}]);
    assert_eq!(problem["errors"], json!(errors("seasons", &alone)));
    assert!(brief(problem["errors"].as_array().unwrap()).contains(&"/stock/0/amount unit_missing".to_owned()));
}

#[test]
fn nothing_but_the_variants_is_added_to_the_answer() {
    for (question, file) in [("seasons", "seasons/three-plans.json"), ("balances", "balances/two-lots.json")] {
        let mut body = demo(file);
        body["simulation_runs"] = json!(if question == "seasons" { 100 } else { 2_000 });
        let alone = ok(question, &without_variants(&body));
        assert!(alone.get("variants").is_none());
        for explain in [false, true] {
            body["explain"] = json!(explain);
            body["variants"] = json!([{"name": "the same", "change": {}}, {"name": "us", "change": {"units": "us"}}]);
            let mut answer = ok(question, &body);
            let variants = answer.as_object_mut().unwrap().remove("variants").unwrap();
            assert_eq!(answer, ok(question, &without_variants(&body)), "{question}");
            assert_eq!(even(&variants[0]), even(&kept("the same", &alone)), "{question}");
            assert_eq!(variants[1]["shortfall"]["unit"], "ft3");
        }
    }
}

#[test]
fn a_change_replaces_takes_away_and_merges() {
    let body = two_lots();
    for (change, alone) in [
        (json!({"stock": []}), with(&body, "/stock", json!([]))),
        (json!({"sack": {"price": 12.5}}), with(&body, "/sack/price", json!(12.5))),
        (json!({"sack": null}), {
            let mut alone = body.clone();
            alone.as_object_mut().unwrap().remove("sack");
            alone
        }),
        (json!({"variants": null, "nothing": null}), body.clone()),
        (json!({"assumptions": {"castings.bulk_density": null}}), body.clone()),
        (json!({"stock": body["stock"], "assumptions": {"castings.nitrogen": null}}), body.clone()),
        (json!({"sack": {"price": null, "currency": null}}), with(&body, "/sack", json!({"capacity": "40 L"}))),
    ] {
        let found = ok("balances", &changed(&change));
        assert_eq!(even(&found["variants"][0]), even(&kept("changed", &ok("balances", &alone))), "{change}");
    }
    // 25.273 L for the carrots and 30.327 L for the salad bed are two sacks of 40 L.
    let priced = ok("balances", &changed(&json!({"sack": {"price": 12.5}})));
    assert_eq!((&priced["variants"][0]["cost"], &priced["variants"][0]["currency"]), (&json!(25), &json!("EUR")));
    let free = ok("balances", &changed(&json!({"sack": {"price": null}})));
    assert!(free["variants"][0].get("cost").is_none());
}

#[test]
fn a_variant_that_is_no_request_is_reported_under_its_name() {
    let found = |change: Value| {
        let answer = ok("balances", &changed(&change));
        let variant = &answer["variants"][0];
        assert_eq!(keys(variant), ["name", "problem"], "{change}");
        assert_eq!(variant["name"], "changed");
        brief(variant["problem"]["errors"].as_array().unwrap())
    };
    assert_eq!(found(json!({"demands": null})), ["/demands missing_field"]);
    assert_eq!(found(json!({"demands": []})), ["/demands wrong_length"]);
    assert_eq!(
        found(json!({"stocks": [], "sack": {"price": -1}})),
        ["/sack/price out_of_range", "/stocks unknown_field"]
    );
    assert_eq!(found(json!({"variants": []})), ["/variants not_allowed_here"]);
    let own = json!({"variants": [{"name": "inner", "change": {}}]});
    assert_eq!(found(own), ["/variants not_allowed_here"]);
    assert_eq!(found(json!({"variants": 7})), ["/variants wrong_type"]);
}

#[test]
fn what_is_wrong_with_the_list_itself_refuses_the_request() {
    let of = |variants: Value| reported("balances", &with(&two_lots(), "/variants", variants));
    let named =
        |count: usize| (0..count).map(|n| json!({"name": format!("plan {n}"), "change": {}})).collect::<Value>();
    assert_eq!(of(named(21)), ["/variants wrong_length"]);
    assert_eq!(ok("balances", &with(&two_lots(), "/variants", named(20)))["variants"].as_array().unwrap().len(), 20);
    assert!(ok("balances", &with(&two_lots(), "/variants", json!([]))).get("variants").is_none());
    let twice = json!([{"name": "a", "change": {}}, {"name": "b", "change": {}}, {"name": "a", "change": {}}]);
    assert_eq!(of(twice), ["/variants/2/name clashing_name"]);
    assert_eq!(of(json!([{"name": "as asked", "change": {}}])), ["/variants/0/name clashing_name"]);
    assert_eq!(of(json!([{"name": "", "change": {}}])), ["/variants/0/name wrong_length"]);
    assert_eq!(of(json!([{}])), ["/variants/0/name missing_field", "/variants/0/change missing_field"]);
    for change in [json!("stock"), json!([]), json!(3), json!(true)] {
        assert_eq!(of(json!([{"name": "a", "change": change}])), ["/variants/0/change wrong_type"]);
    }
    assert_eq!(of(json!([{"name": "a", "change": {}, "changes": {}}])), ["/variants/0/changes unknown_field"]);
    assert_eq!(
        reported("applications", &json!({"areas": [], "variants": []})).last().unwrap(),
        "/variants unknown_field"
    );
    assert_eq!(get("/v1/limits").json()["variants"], 20);
}

#[test]
fn members_that_are_there_twice_in_a_change_are_refused_at_any_depth() {
    let body = r#"{"stock": [], "demands": [{"amount": "4 L"}],
        "variants": [{"name": "a", "change": {"sack": {"price": 1, "price": 2}, "units": "us", "units": "metric"}}]}"#;
    let answer = crate::support::post_bytes("balances", body);
    assert_eq!(answer.status, 422);
    let found = answer.json();
    let found = brief(found["errors"].as_array().unwrap());
    let wanted = ["/variants/0/change/sack/price repeated_field", "/variants/0/change/units repeated_field"];
    assert_eq!(found, wanted);
}

#[test]
fn text_and_sheet_show_the_variants_after_the_options() {
    let mut body = demo("seasons/three-plans.json");
    body["simulation_runs"] = json!(100);
    body["variants"][2]["change"] = json!({"stock": [{"amount": "some"}]});
    for accept in ["text/plain", "text/html"] {
        let answer = form("seasons", accept, &body);
        let text = answer.text();
        let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words} in {text}"));
        let order = [
            "Options to close the shortfall",
            "Variants",
            "as asked",
            "three weeks later",
            "a second bed",
            "buy a sack now",
            "Lot 1: ",
        ];
        let places: Vec<usize> = order.into_iter().map(at).collect();
        assert!(places.is_sorted(), "{places:?}");
        assert!(at("Who gets what") > places[6]);
        assert!(text.contains("EUR"));
        let headline = ok("seasons", &body)["variants"][0]["headline"].as_str().unwrap().to_owned();
        assert!(flat(text).contains(&headline), "{headline}\n{text}");
        let alone = form("seasons", accept, &without_variants(&body));
        assert!(!alone.text().contains("Variants"));
    }
    // Without anything short there are no options, but still variants.
    let enough = json!({"stock": [{"amount": "9 L"}], "demands": [{"amount": "4 L"}], "variants": [{"name": "more", "change": {}}]});
    assert!(form("balances", "text/plain", &enough).text().contains("as asked"));
}

/// 35.6 L are missing of what the garden needs: both numbers of the headline have a comma where the cell beside it has one.
#[test]
fn headlines_have_the_decimal_mark_of_the_other_cells() {
    let mut body = without_variants(&demo("balances/two-lots.json"));
    body["demands"][1]["name"] = json!("bed 1.5");
    body["variants"] = json!([{"name": "one more", "change": {"units": "metric"}}]);
    let csv = |decimal: &str| {
        form(&format!("balances?table=variants&delimiter=semicolon&decimal={decimal}"), "text/csv", &body)
            .text()
            .to_owned()
    };
    let [point, comma] = ["point", "comma"].map(|decimal| crate::tables::rows(csv(decimal), b';'));
    assert_eq!(comma.len(), 2);
    for (point, comma) in point.iter().zip(&comma) {
        let headline = &point["headline"];
        assert!(headline.contains("55.6 L") && headline.contains("(bed 1.5)"), "{headline}");
        assert_eq!(comma["headline"], headline.replace("55.6", "55,6"));
        assert_eq!(comma["shortfall_L"], "55,6");
    }
}
