//! A running bed has a date of its own: today moves, what was seen does not.

use super::list;
use crate::support::{demo, ok, reported, with};
use serde_json::{Value, json};

fn on_day(today: &str) -> Value {
    let mut body = with(&demo("seasons/kitchen-garden.json"), "/as_of", json!(today));
    body["simulation_runs"] = json!(200);
    body.as_object_mut().unwrap().remove("additional_production");
    body
}

/// The work without what is said of today.
fn work(answer: &Value) -> Vec<Value> {
    let mut tasks = list(answer, "/work").to_vec();
    tasks.iter_mut().for_each(|task| {
        task.as_object_mut().unwrap().remove("overdue");
    });
    tasks
}

#[test]
fn a_later_today_leaves_a_running_bed_and_its_harvests_as_they_are() {
    let first = ok("seasons", &on_day("2026-09-14"));
    assert_eq!(first["worm_beds"][0]["observed_on"], "2026-09-14");
    assert!(first["worm_beds"][1].get("observed_on").is_none());
    let harvests = list(&first, "/worm_beds/0/lots");
    assert!(!harvests.is_empty());
    let ready_on = harvests[0]["ready_on"].as_str().unwrap();
    for today in ["2026-09-15", "2026-11-30", ready_on, "2027-05-01"] {
        let later = ok("seasons", &on_day(today));
        for part in ["worm_beds", "demands", "by_date", "first_shortfall_on", "chances"] {
            assert_eq!(without_past(&later[part]), without_past(&first[part]), "{part} on {today}");
        }
        assert_eq!(work(&later), work(&first));
        assert_eq!(later["total"]["supply"], first["total"]["supply"]);
    }
}

/// Demands whose last day has passed say so.
fn without_past(value: &Value) -> Value {
    let mut value = value.clone();
    for demand in value.as_array_mut().into_iter().flatten() {
        demand.as_object_mut().unwrap().remove("past");
    }
    value
}

/// Without its own date it is taken as observed on the day it starts, or today.
#[test]
fn the_date_is_that_of_the_start_or_of_today_unless_given() {
    let body = on_day("2026-09-14");
    let mut unsaid = body.clone();
    unsaid["worm_beds"][0].as_object_mut().unwrap().remove("observed_on");
    let answer = ok("seasons", &body);
    assert_eq!(ok("seasons", &unsaid)["worm_beds"], answer["worm_beds"]);
    let started = with(&with(&unsaid, "/as_of", json!("2026-09-30")), "/worm_beds/0/start_on", json!("2026-09-14"));
    assert_eq!(ok("seasons", &started)["worm_beds"], answer["worm_beds"]);
}

#[test]
fn work_before_today_is_overdue() {
    let answer = ok("seasons", &on_day("2026-11-30"));
    let overdue: Vec<bool> = list(&answer, "/work").iter().map(|task| task["overdue"] == true).collect();
    assert!(overdue.contains(&true) && overdue.contains(&false));
    for (task, overdue) in list(&answer, "/work").iter().zip(overdue) {
        let last = task.get("until").unwrap_or(&task["on"]).as_str().unwrap();
        assert_eq!(overdue, last < "2026-11-30", "{task}");
    }
}

#[test]
fn a_date_that_does_not_fit_is_refused() {
    let body = on_day("2026-09-14");
    let at = "/worm_beds/0/observed_on";
    for (change, expected) in [
        (with(&body, at, json!("2026-09-15")), "/worm_beds/0/observed_on dates_out_of_order"),
        (with(&body, at, json!("14 Sep")), "/worm_beds/0/observed_on bad_date"),
        (with(&body, "/worm_beds/0/start_on", json!("2026-09-14")), "/worm_beds/0/start_on not_allowed_here"),
        (with(&body, "/worm_beds/1/observed_on", json!("2026-09-14")), "/worm_beds/1/observed_on not_allowed_here"),
    ] {
        assert_eq!(reported("seasons", &change), [expected]);
    }
}
