//! What could be produced from manure, where the interval between raw manure and harvest is a limit: 7 CFR 205.203(c)(1), 120 days where
//! the edible part touches soil, 90 where it does not.

use crate::support::{flat, form, ok, reported, with};
use serde_json::{Value, json};

/// 70 L are short for beds that are worked on 20 May and harvested on a day, and could be produced from these materials.
fn season(harvest: &str, materials: &Value) -> Value {
    json!({"as_of": "2026-09-01", "until": "2027-12-31", "climate": "18 C", "simulation_runs": 0,
        "enforce_application_to_harvest_interval": true,
        "stock": [{"amount": "20 L", "manure": {"kind": "none"}}],
        "demands": [{"name": "beds", "amount": "90 L", "on": "2027-05-20",
            "crop": {"first_crop_harvest": harvest, "edible_part": "touches_soil", "incorporated": true}}],
        "additional_production": {"materials": materials}})
}

fn manure() -> Value {
    json!([{"material": "cattle_manure_fresh", "amount": "200 kg"}, {"material": "straw", "amount": "50 kg"}])
}

/// What stays short where more is produced, if that is an option.
fn produced(answer: &Value) -> Option<&Value> {
    let mut options = answer["shortfall_options"]["options"].as_array().unwrap().iter();
    options.find(|option| option["kind"] == "additional_production").map(|option| &option["shortfall"]["value"])
}

const BARRED: &str = "What could be produced counts as raw manure, and the interval before the harvest keeps it";

/// From 20 May to 1 August are 73 days, to 17 September 120.
#[test]
fn raw_manure_is_not_produced_for_a_harvest_that_comes_too_soon() {
    for (harvest, is_kept) in [("2027-08-01", true), ("2027-09-16", true), ("2027-09-17", false)] {
        let body = season(harvest, &manure());
        let answer = ok("seasons", &body);
        assert_eq!(produced(&answer).is_none(), is_kept, "{harvest}");
        let plans = answer["shortfall_options"]["additional_production"].as_array().map_or(0, Vec::len);
        assert_eq!(plans, usize::from(!is_kept));
        let too_soon = |caution: &Value| {
            caution["rule"] == "interval_too_short" && caution["at"] == json!(["/additional_production"])
        };
        assert_eq!(answer["cautions"].as_array().unwrap().iter().any(too_soon), is_kept);
        for accept in ["text/plain", "text/html"] {
            let text = flat(form("seasons", accept, &body).text());
            assert_eq!(text.contains(BARRED), is_kept, "{text}");
            assert!(!(is_kept && text.contains("To see what closes it")), "{text}");
        }
        let mut balance = body;
        for member in ["until", "climate", "simulation_runs"] {
            balance.as_object_mut().unwrap().remove(member);
        }
        let balance = with(&balance, "/additional_production/climate", json!("18 C"));
        assert_eq!(produced(&ok("balances", &balance)), produced(&answer));
    }
    // Leaves are no manure.
    let leaves = ok("seasons", &season("2027-08-01", &json!([{"material": "leaves_shredded", "amount": "100 kg"}])));
    assert_eq!(produced(&leaves), Some(&json!(0)));
}

/// Flowers may have what the beds may not: 30 L are produced for them, and the 70 L of the beds stay short.
#[test]
fn raw_manure_is_produced_for_those_who_may_have_it() {
    let mut body = season("2027-08-01", &manure());
    let flowers = json!({"name": "flowers", "amount": "30 L", "on": "2027-06-10", "priority": 2});
    body["demands"].as_array_mut().unwrap().push(flowers);
    let answer = ok("seasons", &body);
    assert_eq!(produced(&answer), Some(&json!(70)));
    let plans = answer["shortfall_options"]["additional_production"].as_array().unwrap();
    let days: Vec<_> = plans.iter().map(|of| (&of["by"], &of["shortfall"]["value"])).collect();
    assert_eq!(days, [(&json!("2027-06-10"), &json!(30))]);
    for accept in ["text/plain", "text/html"] {
        let text = flat(form("seasons", accept, &body).text());
        assert!(text.contains(BARRED) && text.contains("70 L are still short"), "{text}");
    }
}

#[test]
fn no_manure_is_not_said_of_a_bed_that_is_fed_some() {
    let of = |manure: &str, feed: Value| {
        json!({"until": "2027-12-31", "climate": "18 C", "simulation_runs": 0, "demands": [{"amount": "1 L"}],
            "worm_beds": [{"ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-01-01", "feed": feed, "manure": {"kind": manure}}]})
    };
    let refused = ["/worm_beds/0/manure impossible_value"];
    assert_eq!(reported("seasons", &of("none", json!({"material": "cattle_manure_fresh"}))), refused);
    let mix = json!({"materials": [{"material": "leaves_shredded", "parts": 3}, {"material": "cattle_manure_fresh", "parts": 1}]});
    assert_eq!(reported("seasons", &of("none", mix.clone())), refused);
    let mut shared = of("none", Value::Null);
    shared["worm_beds"][0].as_object_mut().unwrap().remove("feed");
    shared["feed_supply"] =
        with(&mix, "/supply", json!({"kind": "deliveries", "deliveries": [{"on": "2027-01-01", "amount": "200 kg"}]}));
    assert_eq!(reported("seasons", &shared), refused);
    ok("seasons", &of("untreated", json!({"material": "cattle_manure_fresh"})));
    ok("seasons", &of("none", json!({"material": "leaves_shredded"})));
}

/// A layer left on top never meets the rule: a later harvest does not help.
#[test]
fn what_is_not_worked_in_gets_other_advice() {
    let mut body = season("2028-01-15", &manure());
    body["demands"][0]["crop"]["incorporated"] = json!(false);
    let cautions = ok("seasons", &body)["cautions"].clone();
    let at_production = |caution: &&Value| caution["at"] == json!(["/additional_production"]);
    let rules: Vec<_> = cautions.as_array().unwrap().iter().filter(at_production).map(|of| &of["rule"]).collect();
    assert_eq!(rules, ["not_incorporated"]);
    let text = flat(form("seasons", "text/plain", &body).text());
    assert!(text.contains("or work it into the soil and harvest late enough."), "{text}");
}
