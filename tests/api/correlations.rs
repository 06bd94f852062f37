//! Assumptions as a calibration gives them: what they are from, and which go together.

use crate::seasons::small;
use crate::support::{bed, errors, form, get, ok, reported, with};
use serde_json::{Value, json};

const DAYS_AND_AMOUNT: &str = "/worm_beds/0/lots/0";

/// The small season with these pairs.
fn season(pairs: Value) -> Value {
    with(&small(), "/assumptions", json!({"correlations": pairs}))
}

fn pair(first: &str, second: &str, rank_correlation: f64) -> Value {
    json!({"first": first, "second": second, "rank_correlation": rank_correlation})
}

fn assumption<'a>(answer: &'a Value, id: &str) -> &'a Value {
    answer["assumptions"].as_array().unwrap().iter().find(|one| one["id"] == id).unwrap()
}

#[test]
fn a_season_with_correlations_answers_otherwise_than_without() {
    let plain = ok("seasons", &small());
    assert_eq!(plain, ok("seasons", &season(json!([]))));
    let together = season(json!([pair("worms.feed_rate", "worms.doubling_time", -0.9)]));
    let drawn = ok("seasons", &together);
    let lot = |answer: &Value| answer.pointer(DAYS_AND_AMOUNT).unwrap().clone();
    assert_ne!(lot(&drawn), lot(&plain));
    // The likely plan is that of the likely values, however they go together.
    assert_eq!(drawn["total"], plain["total"]);
    assert_eq!(drawn["worm_beds"][0]["layers"], plain["worm_beds"][0]["layers"]);
    // The order of pairs and of the two of a pair changes nothing.
    let other = pair("castings.bulk_density", "bed.moisture", 0.5);
    let (a, b) =
        (pair("worms.feed_rate", "worms.doubling_time", -0.9), pair("worms.doubling_time", "worms.feed_rate", -0.9));
    assert_eq!(ok("seasons", &season(json!([a, other]))), ok("seasons", &season(json!([other, b]))));
}

#[test]
fn every_question_takes_the_block() {
    let block = json!({
        "castings.bulk_density": {"value": 620, "low": 560, "high": 700, "unit": "kg/m3", "source": "own records: 3 beds, 5 harvests", "observations": 5},
        "correlations": [pair("worms.feed_rate", "castings.bulk_density", 0.3)]
    });
    let answer = ok("applications", &with(&bed(), "/assumptions", block));
    let density = assumption(&answer, "castings.bulk_density");
    assert_eq!(
        (&density["source"], &density["observations"], &density["set_by"]),
        (&json!("own records: 3 beds, 5 harvests"), &json!(5), &json!("request"))
    );
}

#[test]
fn what_a_value_is_from_is_shown_in_every_form() {
    let own = |source: &str| json!({"value": 620, "unit": "kg/m3", "source": source});
    let body = with(&bed(), "/assumptions", json!({"castings.bulk_density": own("weighed < 2026 & dried")}));
    let mut item = body["areas"][0].clone();
    item["assumptions"] = json!({"castings.bulk_density": own("a bucket of this heap")});
    let both = with(&body, "/areas", json!([item, body["areas"][0]]));
    let answer = ok("applications", &both);
    let sources: Vec<&Value> = answer["assumptions"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["id"] == "castings.bulk_density")
        .map(|one| &one["source"])
        .collect();
    assert_eq!(sources, ["a bucket of this heap", "weighed < 2026 & dried"]);
    assert!(assumption(&answer, "castings.bulk_density").get("observations").is_none());
    let html = form("applications", "text/html", &both).text().to_owned();
    assert!(html.contains("a bucket of this heap") && html.contains("weighed &lt; 2026 &amp; dried"), "{html}");
    let brief = ok("applications", &with(&both, "/texts", json!("brief")));
    assert!(assumption(&brief, "castings.bulk_density").get("source").is_none());
}

#[test]
fn a_source_deep_in_an_item_is_that_of_the_item() {
    let application = |source: &str| json!({"amount": "10 kg", "assumptions": {"castings.bulk_density": {"value": 640, "unit": "kg/m3", "source": source}}});
    let body = json!({"stock": [application("the first heap"), application("the second heap")], "demands": [{"amount": "5 L"}]});
    let answer = ok("balances", &body);
    let of = |index: usize| {
        let place = format!("/stock/{index}");
        let all = answer["assumptions"].as_array().unwrap();
        all.iter().find(|one| one["pointer"] == json!(place)).map(|one| one["source"].clone()).unwrap()
    };
    assert_eq!([of(0), of(1)], [json!("the first heap"), json!("the second heap")]);
}

#[test]
fn each_of_many_items_has_its_own_source() {
    let area = |i: usize| {
        let value = json!({"value": 620, "unit": "kg/m3", "source": format!("bed {i}")});
        with(&bed()["areas"][0], "/assumptions", json!({"castings.bulk_density": value}))
    };
    let answer = ok("applications", &with(&bed(), "/areas", json!((0..3_000).map(area).collect::<Vec<_>>())));
    let mut found = 0;
    for one in answer["assumptions"].as_array().unwrap().iter().filter(|one| one["id"] == "castings.bulk_density") {
        let index = one["pointer"].as_str().unwrap().rsplit('/').next().unwrap();
        assert_eq!(one["source"], format!("bed {index}"));
        found += 1;
    }
    assert_eq!(found, 3_000);
}

#[test]
fn what_is_wrong_with_correlations_is_reported_all_at_once() {
    let pairs = json!([
        pair("worms.feed_rat", "worms.doubling_time", 0.2),
        pair("worms.feed_rate", "worms.doubling_time", 0.2),
        pair("worms.doubling_time", "worms.feed_rate", 0.3),
        pair("bed.moisture", "bed.moisture", 0.3),
        pair("bed.moisture", "worms.feed_rate", 1.2),
        {"first": "bed.moisture", "second": "castings.moisture"},
        {"first": "bed.moisture", "second": "castings.moisture", "rank_correlation": 0.2, "because": "x"},
    ]);
    let found = reported("seasons", &season(pairs));
    assert_eq!(
        found,
        [
            "/assumptions/correlations/0/first unknown_assumption",
            "/assumptions/correlations/2 inconsistent_assumptions",
            "/assumptions/correlations/3 inconsistent_assumptions",
            "/assumptions/correlations/4/rank_correlation out_of_range",
            "/assumptions/correlations/5/rank_correlation missing_field",
            "/assumptions/correlations/6/because unknown_field",
        ]
    );
    let found = errors("seasons", &season(json!([pair("feed_rate", "worms.doubling_time", 0.2)])));
    assert_eq!(found[0]["nearest"], "worms.feed_rate");
    let found = errors("seasons", &with(&small(), "/assumptions", json!({"corelations": []})));
    assert_eq!(
        (&found[0]["pointer"], &found[0]["nearest"]),
        (&json!("/assumptions/corelations"), &json!("correlations"))
    );
}

#[test]
fn correlations_that_no_values_can_have_are_refused() {
    let ids = ["worms.feed_rate", "worms.doubling_time", "castings.bulk_density"];
    let against = |r: f64| json!([pair(ids[0], ids[1], r), pair(ids[0], ids[2], r), pair(ids[1], ids[2], r)]);
    let _ = ok("seasons", &season(against(-0.4)));
    let found = errors("seasons", &season(against(-0.6)));
    assert_eq!(
        (&found[0]["pointer"], &found[0]["code"]),
        (&json!("/assumptions/correlations"), &json!("inconsistent_assumptions"))
    );
    let many = vec![pair(ids[0], ids[1], 0.1); 201];
    let found = reported("seasons", &season(json!(many)));
    assert!(found.contains(&"/assumptions/correlations wrong_length".to_owned()), "{found:?}");
    for wrong in [json!({}), json!("0.5"), json!([1]), json!([["worms.feed_rate"]])] {
        let found = reported("seasons", &season(wrong.clone()));
        assert!(found.iter().all(|error| error.ends_with("wrong_type")) && !found.is_empty(), "{wrong}: {found:?}");
    }
}

#[test]
fn an_item_has_no_correlations_of_its_own() {
    let own = json!({"correlations": [pair("worms.feed_rate", "worms.doubling_time", 0.2)]});
    let found = errors("seasons", &with(&small(), "/worm_beds/0/assumptions", own));
    assert_eq!(
        (&found[0]["pointer"], &found[0]["code"]),
        (&json!("/worm_beds/0/assumptions/correlations"), &json!("not_allowed_here"))
    );
    assert!(found[0]["detail"].as_str().unwrap().contains("assumptions of the request"), "{}", found[0]["detail"]);
}

#[test]
fn what_is_wrong_with_a_source_is_reported_at_its_place() {
    let id = "/assumptions/castings.bulk_density";
    let knowing = |value: Value| with(&bed(), "/assumptions", json!({"castings.bulk_density": value}));
    let long = "x".repeat(201);
    for (value, wanted) in [
        (json!({"value": 600, "unit": "kg/m3", "source": long}), "/source wrong_length"),
        (json!({"value": 600, "unit": "kg/m3", "source": "a\u{7}b"}), "/source bad_text"),
        (json!({"value": 600, "unit": "kg/m3", "source": 3}), "/source wrong_type"),
        (json!({"value": 600, "unit": "kg/m3", "observations": 3}), "/source missing_field"),
        (json!({"value": 600, "unit": "kg/m3", "source": "mine", "observations": 0}), "/observations out_of_range"),
        (json!({"value": 600, "unit": "kg/m3", "source": "mine", "observations": 1.5}), "/observations not_an_integer"),
        (json!({"full": "8.2 kg", "empty": "1 kg", "capacity": "12 L", "source": "mine"}), " not_allowed_here"),
    ] {
        let found = reported("applications", &knowing(value.clone()));
        assert_eq!(found, [format!("{id}{wanted}")], "{value}");
    }
}

/// Each value that goes together with others is drawn with all of them.
#[test]
fn runs_that_draw_many_values_together_are_counted_as_more_work() {
    let all = get("/v1/assumptions").json();
    let ids: Vec<&str> = all["assumptions"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap()).collect();
    let pairs: Vec<Value> = ids.windows(2).map(|two| pair(two[0], two[1], 0.2)).collect();
    let demands = vec![json!({"amount": "1 L", "on": "2027-09-10"}); 600];
    let mut body = with(&with(&small(), "/demands", json!(demands)), "/simulation_runs", json!(100_000));
    let most = |body: &Value| {
        let found = errors("seasons", body);
        assert_eq!(found[0]["pointer"], "/simulation_runs");
        found[0]["max"].as_f64().unwrap()
    };
    let without = most(&body);
    body["assumptions"] = json!({"correlations": pairs});
    assert!(most(&body) < 0.9 * without, "{} {without}", most(&body));
    body["assumptions"] = json!({"correlations": [pairs[0]]});
    assert!(most(&body) > 0.98 * without, "{} {without}", most(&body));
}
