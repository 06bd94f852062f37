//! Who goes short, as the headline says it.

use crate::support::{demo, form, ok, with};
use serde_json::{Value, json};

/// Onions are due before the first day of shortfall, and get less already, since the plan shares evenly: the headline says both days.
#[test]
fn the_headline_says_who_gets_less_before_the_first_day_of_shortfall() {
    let body = json!({
        "stock": [{"amount": "60 L"}],
        "demands": [{"name": "onions", "amount": "40 L", "on": "2027-03-25"}, {"name": "carrots", "amount": "40 L", "on": "2027-04-05"}],
    });
    let headline = |body: &Value| ok("balances", body)["headline"].as_str().unwrap().to_owned();
    assert_eq!(
        headline(&body),
        "Not enough. 20 L of the 80 L needed are missing, first on 5 Apr 2027 (carrots); as shares are equal, onions already gets less on 25 Mar 2027."
    );
    // With the first priority they get all.
    let body = with(&body, "/demands/1/priority", json!(2));
    assert_eq!(headline(&body), "Not enough. 20 L of the 80 L needed are missing, first on 5 Apr 2027 (carrots).");
}

/// Of two times of peas, of the second priority, nothing is left for the first: it comes before the day by which not everybody can be served.
#[test]
fn the_first_day_of_shortfall_is_that_of_a_time_of_a_demand_too() {
    let headline = |body: &Value| ok("balances", body)["headline"].as_str().unwrap().to_owned();
    let body = json!({
        "stock": [{"amount": "60 L"}],
        "demands": [{"name": "carrots", "amount": "60 L", "on": "2027-06-05"},
                    {"name": "peas", "amount": "10 L", "on": "2027-04-05", "priority": 2, "repeat": {"every": "90 d", "times": 2}}],
    });
    assert_eq!(
        headline(&body),
        "Not enough. 20 L of the 80 L needed are missing, first for peas on 5 Apr 2027, since carrots has priority."
    );
    // Alone, its own times share what is there.
    let alone = json!({"stock": [{"amount": "10 L"}], "demands": [body["demands"][1].clone()]});
    let alone = with(&alone, "/stock/0/amount", json!("12 L"));
    assert_eq!(
        headline(&alone),
        "Not enough. 8 L of the 20 L needed are missing, first for peas on 5 Apr 2027, since its days get equal shares."
    );
    assert_eq!(
        headline(&demo("balances/side-dressing-all-summer.json")),
        "Not enough. 30 L of the 94 L needed are missing, first for tea for the hedge on 9 Jun 2027, since tomatoes and leek bed have priority."
    );
}

/// 110 L: tomatoes come first by priority and get all of their 60 L on 15 May, so carrots get 50 of 100 L on 5 April. That day comes first, also for
/// the same share, of which carrots would get 68.8 L.
#[test]
fn who_goes_short_for_a_better_priority_is_reported_first() {
    let body = json!({
        "stock": [{"amount": "110 L"}],
        "demands": [{"name": "carrots", "amount": "100 L", "on": "2027-04-05", "priority": 2},
                    {"name": "tomatoes", "amount": "60 L", "on": "2027-05-15", "priority": 1}],
    });
    let headline = "Not enough. 50 L of the 160 L needed are missing, first for carrots on 5 Apr 2027, since tomatoes has priority.";
    let answer = ok("balances", &body);
    assert_eq!(answer["headline"], headline);
    let same = &answer["shortfall_options"]["options"][0];
    assert_eq!((&same["kind"], &same["act_by"]), (&json!("pro_rata_share"), &json!("2027-04-05")));
    let text = form("balances", "text/plain", &body).text().to_owned();
    assert!(
        text.contains("first for carrots on 5 Apr") && text.contains("By 5 Apr 2027: give every demand 68.8 %"),
        "{text}"
    );
}

/// A demand whose last day has passed keeps its castings, and that is said first.
#[test]
fn demands_of_the_past_are_reported_first() {
    let body = json!({"as_of": "2027-06-01", "stock": [{"amount": "90 L"}], "demands": [{"name": "past", "amount": "10 L", "on": "2027-04-05"}]});
    let said = "The last day of 1 demand has passed, and it still takes castings (past). If it was served, remove it. \
                If not, give it a later day. Enough. Every demand gets all of its castings, 10 L in all; 80 L remain.";
    assert_eq!(ok("balances", &body)["headline"], said);
    let before = ok("balances", &with(&body, "/as_of", json!("2027-04-05")));
    assert_eq!(before["headline"], "Enough. Every demand gets all of its castings in time, 10 L in all; 80 L remain.");
}
