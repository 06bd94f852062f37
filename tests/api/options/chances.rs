//! How sure each option is, and what makes a season 90 % sure.

use super::{options, priced};
use crate::support::{demo, form, ok, with};
use serde_json::{Value, json};

/// In a season each option says how sure it makes everybody of all, by the runs of the season; the same share cannot.
#[test]
fn each_option_of_a_season_says_how_sure_it_is() {
    let answer = ok("seasons", &priced());
    let of = |kind: &str| {
        let all = answer["shortfall_options"]["options"].as_array().unwrap();
        let option = all.iter().find(|option| option["kind"] == kind).unwrap_or_else(|| panic!("{kind}"));
        option.get("chance_enough").map(|chance| chance["value"].as_f64().unwrap())
    };
    // A sack of 40 L is certain, and so is the demand.
    assert_eq!(of("sacks"), Some(95.0));
    let (likely, sure) = (of("additional_production").unwrap(), of("additional_production_at_90_percent").unwrap());
    assert!(likely < sure && sure >= 85.0, "{likely} {sure}");
    assert_eq!(answer["chance_enough"]["value"], 5);
    // Without runs no chance is known, and a balance has none.
    for body in [with(&priced(), "/simulation_runs", json!(0)), demo("balances/two-lots.json")] {
        let question = if body.get("stock").is_some() { "balances" } else { "seasons" };
        assert!(options(question, &body).iter().all(|option| option.get("chance_enough").is_none()));
    }
}

/// Where no option is 90 % sure, it is said what is: each step does so when it is put into the request as it was written.
#[test]
fn what_reaches_90_percent_does_so_in_the_request() {
    let late = |on: &str| with(&with(&priced(), "/demands/0/on", json!(on)), "/as_of", json!("2026-06-20"));
    let uncertain = json!({"value": 40, "low": 30, "high": 58, "unit": "L"});
    let small = with(&priced(), "/sack/capacity", json!("4 L"));
    let bodies = [
        demo("seasons/kitchen-garden.json"),
        with(&late("2026-09-20"), "/sack", json!(null)),
        with(&small, "/demands/0/amount", uncertain),
    ];
    let mut kinds = Vec::new();
    for body in bodies {
        let answer = ok("seasons", &body);
        let gap = &answer["shortfall_options"];
        let chance = |of: &Value| of["chance_enough"]["value"].as_f64().unwrap();
        assert!(
            gap["options"].as_array().unwrap().iter().all(|o| o.get("chance_enough").is_none() || chance(o) <= 90.0)
        );
        for step in gap.get("reach_90_percent").and_then(Value::as_array).into_iter().flatten() {
            let kind = step["kind"].as_str().unwrap().to_owned();
            assert!(chance(step) >= 90.0, "{step}");
            let mut changed = body.clone();
            let add = |changed: &mut Value, list: &str, item: Value| {
                let list = changed.as_object_mut().unwrap().entry(list).or_insert_with(|| json!([]));
                list.as_array_mut().unwrap().push(item);
            };
            if kind == "sacks" {
                let count: u64 = step["text"].as_str().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
                let litres: u64 =
                    body["sack"]["capacity"].as_str().unwrap().split(' ').next().unwrap().parse().unwrap();
                let price = body["sack"]["price"].as_f64().unwrap() * f64::from(u32::try_from(count).unwrap());
                assert!((step["cost"].as_f64().unwrap() - price).abs() < 1e-6);
                let bought = json!({"amount": format!("{} L", count * litres), "ready_on": step["act_by"]});
                add(&mut changed, "stock", bought);
            }
            for bed in step.get("worm_beds").and_then(Value::as_array).into_iter().flatten() {
                add(&mut changed, "worm_beds", bed.clone());
            }
            changed.as_object_mut().unwrap().remove("additional_production");
            let answer = ok("seasons", &changed);
            assert_eq!(answer["chance_enough"], step["chance_enough"], "{kind}");
            assert_eq!(answer["total"]["shortfall"], step["shortfall"], "{kind}");
            kinds.push(kind);
        }
        for tried in gap.get("out_of_reach").and_then(Value::as_array).into_iter().flatten() {
            kinds.push(format!("not {}", tried["kind"].as_str().unwrap()));
        }
    }
    let expected = [
        "sacks",
        "more_ground",
        "more_worms",
        "earlier_start",
        "not earlier_start",
        "not more_ground",
        "not more_worms",
    ];
    assert!(expected.iter().all(|kind| kinds.iter().any(|other| other == kind)), "{kinds:?}");
    // Where an option is sure enough, where nothing is short, and without runs nothing of it is said.
    for body in [priced(), demo("seasons/leaves-and-grass.json"), with(&priced(), "/simulation_runs", json!(0))] {
        let gap = ok("seasons", &body)["shortfall_options"].clone();
        assert!(gap.get("reach_90_percent").is_none() && gap.get("out_of_reach").is_none());
    }
}

/// In words: one line for each step that reaches it, and one for those that do not.
#[test]
fn what_reaches_90_percent_is_a_line_of_the_text() {
    let of = |address: &str| {
        let answer = form(address, "text/plain", &demo("seasons/kitchen-garden.json"));
        crate::support::flat(answer.text())
    };
    // The first is among the options; a long text has the others, too.
    let (text, long) = (of("seasons"), of("seasons?all=true"));
    assert!(
        text.contains("- For 90 %, by 5 Apr 2027: buy 4 sacks of 40 L, 39.60 EUR; chance 95 % or more. Then give onion bed all it needs from 25 Mar 2027 on."),
        "{text}"
    );
    assert!(
        long.contains("- Not enough for a chance of 90 %: 4 times the ground; 3.5 times the worms; an earlier start: "),
        "{long}"
    );
}

/// The plan lets the long demand wait, so that the short one gets its castings, and the chances count on it, and say so: both are sure.
#[test]
fn chances_count_on_what_the_plan_serves_later() {
    let body = json!({
        "until": "2027-05-01",
        "stock": [{"amount": "10 L"}, {"amount": "10 L", "ready_on": "2027-03-01"}],
        "demands": [{"name": "long", "amount": "10 L", "earliest": "2027-01-01", "latest": "2027-04-01"},
                    {"name": "short", "amount": "10 L", "on": "2027-02-01"}],
    });
    let answer = ok("seasons", &body);
    assert_eq!(answer["shortfall_options"]["served_later"][0]["demand"]["name"], "long");
    assert_eq!(answer["total"]["shortfall"]["value"], 0.0);
    for demand in 0..2 {
        assert_eq!(answer["demands"][demand]["chance_full"]["value"], 95);
    }
    let said = |body: &Value| {
        let answer = form("seasons", "text/plain", body);
        crate::support::flat(answer.text()).contains("To serve such a demand at once, give it an earlier last day.")
    };
    assert!(said(&body));
    assert!(!said(&with(&body, "/simulation_runs", json!(0))));
    assert!(!said(&with(&body, "/demands/0/earliest", json!("2027-03-01"))));
}

/// 100 L for carrots until the end of May and 50 L for beans until the end of April, of 100 L: two sacks of 25 L by the end of May suffice, if
/// beans come first and carrots wait. The chance is of a season in which they do.
#[test]
fn the_chance_of_sacks_is_of_those_who_wait_as_its_text_says() {
    let body = json!({
        "as_of": "2027-03-01",
        "stock": [{"amount": "100 L"}],
        "demands": [{"name": "carrots", "amount": "100 L", "earliest": "2027-04-01", "latest": "2027-05-31"},
                    {"name": "beans", "amount": "50 L", "earliest": "2027-04-01", "latest": "2027-04-30"}],
        "sack": {"capacity": "25 L"},
    });
    let answer = ok("seasons", &body);
    let gap = &answer["shortfall_options"];
    let sacks = gap["options"].as_array().unwrap().iter().find(|option| option["kind"] == "sacks").unwrap();
    assert_eq!(sacks["act_by"], "2027-05-31");
    let text = "Buy 2 sacks of 25 L. Then give beans all it needs from 1 Apr 2027 on, and let carrots wait for these castings.";
    assert_eq!(sacks["text"], text);
    assert_eq!(sacks["chance_enough"]["value"], 95);
    assert!(gap.get("reach_90_percent").is_none());
}
