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

/// The work without what is said of today, and of options, which go when their day has passed.
fn work(answer: &Value) -> Vec<Value> {
    let mut tasks = list(answer, "/work").to_vec();
    tasks.retain(|task| task["kind"] != "buy_sacks");
    tasks.iter_mut().for_each(|task| {
        for of_today in ["overdue", "note"] {
            task.as_object_mut().unwrap().remove(of_today);
        }
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
        for part in ["worm_beds", "demands", "by_date", "first_shortfall_on"] {
            assert_eq!(without_past(&later[part]), without_past(&first[part]), "{part} on {today}");
        }
        // Chances are of what is still to come.
        assert_eq!(later["chances"]["ready"], first["chances"]["ready"]);
        assert_eq!(work(&later), work(&first));
        assert_eq!(later["total"]["supply"], first["total"]["supply"]);
    }
}

/// Demands whose last day has passed say so, and have a caution.
fn without_past(value: &Value) -> Value {
    let mut value = value.clone();
    for demand in value.as_array_mut().into_iter().flatten() {
        let demand = demand.as_object_mut().unwrap();
        demand.remove("past");
        if let Some(cautions) = demand.get_mut("cautions").and_then(Value::as_array_mut) {
            cautions.retain(|rule| rule != "past_demand");
        }
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

/// A season of one bed with what a calibration says of it, asked up to a day.
fn of_one_bed(feed_rate: f64, until: &str) -> Value {
    let mut body = on_day("2026-09-14");
    body["until"] = json!(until);
    body["worm_beds"] = json!([body["worm_beds"][0]]);
    body["demands"] = json!([{"name": "beans", "amount": "50 L", "on": until}]);
    body["assumptions"] = json!({
        "worms.feed_rate": {"value": feed_rate, "low": 0.8 * feed_rate, "high": 1.2 * feed_rate, "unit": "kg/kg/d",
                            "source": "own records: 2 beds, 3 harvests", "observations": 3},
        "bed.moisture": "75 %",
        "correlations": [{"first": "worms.feed_rate", "second": "worms.doubling_time", "rank_correlation": 0.4}]
    });
    body
}

/// The same season from a day on, with what then lies in the bed: what the season up to that day says, as moist as it is weighed.
fn from(day: &str, (feed_rate, layers_laid): (f64, usize)) -> Value {
    let before = ok("seasons", &of_one_bed(feed_rate, day));
    let end = &before["worm_beds"][0]["forecast"]["end"];
    let moist = |dry: &Value| json!({"value": dry["value"].as_f64().unwrap() / 0.25, "unit": "kg"});
    let mut body = of_one_bed(feed_rate, "2027-07-31");
    body["as_of"] = end["on"].clone();
    let bed = &mut body["worm_beds"][0];
    bed["observed_on"] = end["on"].clone();
    bed["worms"] = end["worms"].clone();
    bed["running"] = json!({"uneaten_feed": moist(&end["uneaten_feed"]), "castings": moist(&end["castings"]), "layers_laid": layers_laid});
    body
}

/// A season that is corrected midway by what the model itself expects then goes on as it would have.
#[test]
fn a_season_goes_on_from_what_was_observed_midway() {
    let whole = ok("seasons", &of_one_bed(0.3, "2027-07-31"));
    let layers = list(&whole, "/worm_beds/0/forecast/layers");
    let harvests = list(&whole, "/worm_beds/0/lots");
    assert!(harvests.len() > 1 && layers.len() > 5, "{harvests:?}");
    for day in ["2026-10-10", "2026-10-30"] {
        let laid = layers.iter().filter(|layer| layer["cycle"] == 1 && layer["on"].as_str().unwrap() <= day).count();
        let rest = ok("seasons", &from(day, (0.3, laid)));
        let later: Vec<&Value> = layers.iter().filter(|layer| layer["on"].as_str().unwrap() > day).collect();
        let found = list(&rest, "/worm_beds/0/forecast/layers");
        assert_eq!(found.len(), later.len(), "{day}: {found:?}");
        for (found, expected) in found.iter().zip(later) {
            assert!(days_apart(&found["on"], &expected["on"]) <= 2, "{day}: {} {}", found["on"], expected["on"]);
        }
        for (found, expected) in list(&rest, "/worm_beds/0/lots").iter().zip(harvests) {
            let (found_on, expected_on) = (&found["ready_on"], &expected["ready_on"]);
            assert!(days_apart(found_on, expected_on) <= 2, "{day}: {found_on} {expected_on}");
            let ratio = found["amount"]["value"].as_f64().unwrap() / expected["amount"]["value"].as_f64().unwrap();
            assert!((ratio - 1.0).abs() < 0.01, "{day}: {ratio}");
        }
        // The work list goes on from that day: the layers to lay are those of the forecast.
        let work = list(&rest, "/work");
        assert!(work.iter().all(|task| task.get("until").unwrap_or(&task["on"]).as_str().unwrap() >= day));
        let lay = work.iter().filter(|task| task["kind"] == "lay_feed").map(|task| &task["on"]);
        assert!(lay.eq(found.iter().map(|layer| &layer["on"])));
    }
}

/// What the bed holds while its castings finish is sent as the answer has it; they are harvested when they would have been.
#[test]
fn castings_that_finish_go_on_finishing() {
    let whole = ok("seasons", &of_one_bed(0.3, "2027-07-31"));
    let lot = &list(&whole, "/worm_beds/0/forecast/lots")[0];
    let [eaten, finished, ready] = ["/eaten_on", "/finished_on", "/ready/likely"].map(|at| lot.pointer(at).unwrap());
    let days = days_apart(finished, eaten);
    assert!(days > 20, "{days}");
    let mut runs = Vec::new();
    for after in [0, 5, days / 2, days - 2] {
        let day =
            eaten.as_str().unwrap().parse::<chrono::NaiveDate>().unwrap() + chrono::Days::new(after.unsigned_abs());
        let before = ok("seasons", &of_one_bed(0.3, &day.to_string()));
        let end = &before["worm_beds"][0]["forecast"]["end"];
        assert_eq!((&end["phase"], &end["running"]["eaten_on"]), (&json!("finishing"), eaten));
        let mut body = of_one_bed(0.3, "2027-07-31");
        body["as_of"] = end["on"].clone();
        let bed = &mut body["worm_beds"][0];
        bed["observed_on"] = end["on"].clone();
        bed["worms"] = end["worms"].clone();
        bed["running"] = end["running"].clone();
        let rest = ok("seasons", &body);
        let again = &list(&rest, "/worm_beds/0/forecast/lots")[0];
        assert_eq!(&again["eaten_on"], eaten);
        assert!(days_apart(&again["finished_on"], finished) <= 2, "{after}: {} {finished}", again["finished_on"]);
        assert!(days_apart(&again["ready"]["likely"], ready) <= 2, "{after}: {}", again["ready"]);
        // Whenever it is looked at, the runs go on from the same day.
        runs.push(rest["worm_beds"][0]["lots"][0]["ready"]["p50"].clone());
        // It was left to finish before; nothing is laid until the harvest.
        let work = list(&rest, "/work");
        let first = work.iter().find(|task| task["kind"] != "water").unwrap();
        assert_eq!((&first["kind"], &first["on"]), (&json!("harvest"), &again["finished_on"]));
        // Without the day they take their whole time once more.
        body["worm_beds"][0]["running"].as_object_mut().unwrap().remove("eaten_on");
        let anew = ok("seasons", &body);
        let later = list(&anew, "/worm_beds/0/forecast/lots")[0]["ready"]["likely"].clone();
        assert!(later.as_str() >= again["ready"]["likely"].as_str());
        assert!(after < 5 || days_apart(&later, ready) > 2, "{after}: {later}");
    }
    assert!(runs[0].is_string() && runs.iter().all(|day| *day == runs[0]), "{runs:?}");
}

#[test]
fn a_bed_that_finishes_has_castings_and_no_feed() {
    let body = on_day("2026-09-14");
    let running = |change: Value| with(&body, "/worm_beds/0/running", change);
    for (change, expected) in [
        (json!({"castings": "180 L", "eaten_on": "2026-09-15"}), vec!["eaten_on dates_out_of_order"]),
        (
            json!({"castings": "180 L", "uneaten_feed": "5 kg", "eaten_on": "2026-09-01"}),
            vec!["eaten_on not_allowed_here"],
        ),
        (json!({"uneaten_feed": "0 L", "eaten_on": "2026-09-01"}), vec!["castings missing_field"]),
        (json!({"castings": "180 L", "eaten_on": "1 Sep"}), vec!["eaten_on bad_date"]),
        (json!({"castings": "180 L", "eaten_on": "2010-09-14"}), vec!["eaten_on out_of_range"]),
        (json!({"castings": "180 L", "eaten_on": 3}), vec!["eaten_on wrong_type"]),
        // None of them hides another.
        (json!({"castings": "180 X", "eaten_on": "x"}), vec!["castings unknown_unit", "eaten_on bad_date"]),
        (
            json!({"uneaten_feed": "5 kg", "eaten_on": "2026-10-01"}),
            vec!["castings missing_field", "eaten_on dates_out_of_order", "eaten_on not_allowed_here"],
        ),
    ] {
        let mut found = reported("seasons", &running(change.clone()));
        found.sort();
        let expected: Vec<_> = expected.iter().map(|error| format!("/worm_beds/0/running/{error}")).collect();
        assert_eq!(found, expected, "{change}");
    }
    ok("seasons", &running(json!({"castings": "180 L", "uneaten_feed": "0 L", "eaten_on": "2026-09-14"})));
    // Temperatures are needed from that day on, and heat before the bed was looked at is over.
    let running = |eaten_on: &str, climate: Value| {
        json!({"worm_beds": [{"ground": {"kind": "area", "area": "4 m2"}, "forecast": {
            "start_on": "2027-10-15", "until": "2027-12-31", "feed": {"material": "leaves_shredded"}, "climate": climate,
            "running": {"castings": "60 L", "eaten_on": eaten_on}}}]})
    };
    let hot = json!({"unit": "C", "monthly_means": [12, 12, 13, 16, 20, 24, 29, 29, 24, 18, 14, 12]});
    let answer = ok("harvests", &running("2027-07-20", hot));
    assert!(list(&answer, "/cautions").iter().all(|caution| caution["rule"] != "hidden_heat"));
    let values = vec![17; 100];
    let daily = json!({"unit": "C", "daily": {"first_day": "2027-10-01", "values": values}});
    ok("harvests", &running("2027-10-01", daily.clone()));
    let at = "/worm_beds/0/forecast/climate/daily/values missing_field";
    assert_eq!(reported("harvests", &running("2027-09-30", daily)), [at]);
}

fn days_apart(a: &Value, b: &Value) -> i64 {
    let day = |value: &Value| value.as_str().unwrap().parse::<chrono::NaiveDate>().unwrap();
    (day(a) - day(b)).num_days().abs()
}

#[test]
fn worms_that_eat_less_than_thought_move_the_rest_of_the_plan() {
    let quick = from("2026-10-10", (0.3, 2));
    let mut slow = quick.clone();
    slow["assumptions"]["worms.feed_rate"] = of_one_bed(0.15, "2027-07-31")["assumptions"]["worms.feed_rate"].clone();
    let [quick, slow] = [ok("seasons", &quick), ok("seasons", &slow)];
    let ready = |answer: &Value| list(answer, "/worm_beds/0/lots")[0]["ready_on"].as_str().unwrap().to_owned();
    assert!(ready(&slow) > ready(&quick), "{} {}", ready(&slow), ready(&quick));
    let harvest = |answer: &Value| {
        list(answer, "/work").iter().find(|task| task["kind"] == "harvest").map(|task| task["on"].clone()).unwrap()
    };
    assert!(harvest(&slow).as_str() > harvest(&quick).as_str());
    let source = |answer: &Value| {
        let all = list(answer, "/assumptions");
        all.iter().find(|one| one["id"] == "worms.feed_rate").map(|one| one["source"].clone())
    };
    assert_eq!(source(&slow), Some(json!("own records: 2 beds, 3 harvests")));
}

/// A bed whose layers are all laid is left to finish; it gets no new ones on top.
#[test]
fn a_bed_whose_layers_are_all_laid_gets_no_more_of_them() {
    let first_on = |layers_laid: Value| {
        let mut body = from("2026-12-01", (0.3, 3));
        body["worm_beds"][0]["running"]["layers_laid"] = layers_laid;
        let answer = ok("seasons", &body);
        let of_cycle = list(&answer, "/worm_beds/0/forecast/layers").iter().filter(|layer| layer["cycle"] == 1).count();
        (of_cycle, list(&answer, "/worm_beds/0/lots")[0]["ready_on"].as_str().unwrap().to_owned())
    };
    let [none, two, all, more] = [json!(0), json!(2), json!(3), json!(7)].map(first_on);
    assert_eq!([none.0, two.0, all.0, more.0], [3, 1, 0, 0]);
    assert!(all.1 < two.1 && two.1 < none.1 && more == all, "{all:?} {two:?} {none:?}");
    // The layers before count: the next is the third.
    let mut body = from("2026-12-01", (0.3, 3));
    body["worm_beds"][0]["running"]["layers_laid"] = json!(2);
    let answer = ok("seasons", &body);
    let next = list(&answer, "/work").iter().find(|task| task["kind"] == "lay_feed").unwrap();
    assert_eq!((&next["cycle"], &next["layer"]), (&json!(1), &json!(3)));
    let body = with(&on_day("2026-09-14"), "/worm_beds/0/running/layers_laid", json!(-1));
    assert_eq!(reported("seasons", &body), ["/worm_beds/0/running/layers_laid out_of_range"]);
}
