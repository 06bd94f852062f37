//! Waits between raw manure and harvest in `POST /v1/balances` and `POST /v1/seasons`: 120 or 90 days from digging in to harvest
//! (7 CFR 205.203(c)(1)), counted on a calendar.

mod limits;
mod refusals;

use crate::support::{demo, flat, form, ok, q, with};
use serde_json::{Value, json};

/// One lot of 90 L, and a demand of 40 L on 1 March with a crop.
fn bed(manure: Option<Value>, crop: &Value) -> Value {
    let body = json!({
        "stock": [{"amount": "90 L"}],
        "demands": [{"amount": "40 L", "on": "2027-03-01", "crop": crop}],
    });
    match manure {
        Some(manure) => with(&body, "/stock/0/manure", manure),
        None => body,
    }
}

fn crop(picking: &str) -> Value {
    json!({"first_crop_harvest": picking, "edible_part": "touches_soil", "incorporated": true})
}

fn treated() -> Value {
    json!({"kind": "treated", "method": "in_vessel", "days": 3, "lowest": "131 F", "highest": "170 F"})
}

/// The demand of an answer, and the waits of its draws: harvest from, too late, not met.
fn waits(answer: &Value) -> Vec<[Value; 3]> {
    let draws = answer["demands"][0]["allocations"].as_array().unwrap().iter();
    draws
        .map(|draw| {
            ["earliest_crop_harvest", "interval_not_met", "interval_not_met_because"].map(|field| draw[field].clone())
        })
        .collect()
}

fn rules(answer: &Value) -> Vec<&str> {
    answer["cautions"].as_array().unwrap().iter().map(|caution| caution["rule"].as_str().unwrap()).collect()
}

fn given(answer: &Value) -> Vec<f64> {
    answer["demands"].as_array().unwrap().iter().map(|demand| demand["allocated"]["value"].as_f64().unwrap()).collect()
}

#[test]
fn a_draw_tells_from_when_on_it_may_be_harvested() {
    // Dug in on 1 March: 120 days are over on 29 June, 90 on 30 May.
    let answer = ok("balances", &bed(None, &crop("2027-06-29")));
    assert_eq!(waits(&answer), [[json!("2027-06-29"), Value::Null, Value::Null]]);
    assert_eq!(answer["demands"][0]["incorporate_by"], "2027-03-01");
    assert!(!rules(&answer).contains(&"interval_too_short"));
    let clear = with(&bed(None, &crop("2027-06-29")), "/demands/0/crop/edible_part", json!("no_soil_contact"));
    assert_eq!(waits(&ok("balances", &clear)), [[json!("2027-05-30"), Value::Null, Value::Null]]);
}

#[test]
fn a_picking_that_comes_too_early_is_reported() {
    for manure in [None, Some(json!({"kind": "untreated"}))] {
        let answer = ok("balances", &bed(manure, &crop("2027-06-28")));
        assert_eq!(waits(&answer), [[json!("2027-06-29"), json!(true), Value::Null]]);
        assert_eq!(answer["demands"][0]["incorporate_by"], "2027-02-28");
        assert_eq!(answer["demands"][0]["cautions"], json!(["interval_too_short"]));
        let caution =
            answer["cautions"].as_array().unwrap().iter().find(|c| c["rule"] == "interval_too_short").unwrap();
        assert_eq!(caution["at"], json!(["/demands/0"]));
        // It is reported, and changes nothing.
        assert_eq!(answer["demands"][0]["allocated"], q(json!(40), "L"));
    }
}

#[test]
fn what_is_left_on_top_does_not_meet_the_rule() {
    let answer = ok("balances", &bed(None, &json!({"first_crop_harvest": "2028-06-28"})));
    assert_eq!(waits(&answer), [[Value::Null, Value::Null, json!("not_incorporated")]]);
    assert_eq!(answer["demands"][0]["cautions"], json!(["not_incorporated"]));
}

#[test]
fn treated_castings_and_crops_that_are_not_eaten_have_no_wait() {
    let none = [[Value::Null, Value::Null, Value::Null]];
    for manure in [treated(), json!({"kind": "none"})] {
        let answer = ok("balances", &bed(Some(manure), &crop("2027-03-02")));
        assert_eq!(waits(&answer), none);
        assert!(!rules(&answer).iter().any(|rule| rule.starts_with("wait_") || *rule == "raw_manure"));
    }
    let flowers = ok("balances", &bed(None, &json!({"first_crop_harvest": "2027-03-02", "edible_part": "not_eaten"})));
    assert_eq!(waits(&flowers), none);
    assert_eq!(flowers["demands"][0].get("incorporate_by"), None);
    assert!(rules(&flowers).contains(&"raw_manure"));
}

#[test]
fn a_draw_without_a_date_tells_only_the_last_day() {
    let body = json!({"stock": [{"amount": "90 L"}], "demands": [{"amount": "40 L", "crop": crop("2027-06-29")}]});
    let answer = ok("balances", &body);
    assert_eq!(waits(&answer), [[Value::Null, Value::Null, Value::Null]]);
    assert_eq!(answer["demands"][0]["incorporate_by"], "2027-03-01");
}

/// Castings are used today at the earliest, and the interval begins then: also for a demand that is open at the start, and whatever other lots
/// there are. 120 days after 20 April is 18 August.
#[test]
fn the_interval_begins_today_at_the_earliest() {
    let body = json!({
        "as_of": "2027-04-20",
        "stock": [{"amount": "60 L", "ready_on": "2026-10-01", "manure": {"kind": "untreated"}}],
        "demands": [{"amount": "40 L", "latest": "2027-06-01", "crop": crop("2027-07-01")}],
    });
    let undated = with(&body, "/stock/0", json!({"amount": "60 L", "manure": {"kind": "untreated"}}));
    let other = json!({"amount": "1 L", "use_by": "2027-01-01"});
    let beside = with(&body, "/stock", json!([body["stock"][0], other]));
    for body in [body, undated, beside] {
        for question in ["balances", "seasons"] {
            let answer = ok(question, &body);
            assert_eq!(answer["demands"][0]["allocations"][0]["on"], "2027-04-20", "{question} {body}");
            assert_eq!(waits(&answer), [[json!("2027-08-18"), json!(true), Value::Null]], "{question} {body}");
            assert!(rules(&answer).contains(&"interval_too_short"), "{question} {body}");
        }
    }
}

/// No form advises a day that has passed: 120 days before 1 May are in January. What is over takes its castings today at the earliest.
#[test]
fn no_form_says_to_work_in_by_a_day_that_has_passed() {
    for (latest, allocations) in [("2027-06-01", json!("2027-04-20")), ("2027-03-01", Value::Null)] {
        let body = json!({
            "as_of": "2027-04-20",
            "stock": [{"amount": "60 L", "manure": {"kind": "untreated"}}],
            "demands": [{"amount": "40 L", "latest": latest, "crop": crop("2027-05-01")}],
        });
        for question in ["balances", "seasons"] {
            let answer = ok(question, &body);
            assert_eq!(answer["demands"][0]["allocations"][0]["on"], allocations, "{question} {latest}");
            assert_eq!(waits(&answer), [[json!("2027-08-18"), json!(true), Value::Null]], "{question} {latest}");
            assert_eq!(answer["demands"][0]["incorporate_by"], "2027-01-01");
            assert!(rules(&answer).contains(&"interval_too_short"), "{question} {latest}");
            for media in ["text/plain", "text/html"] {
                let text = form(&format!("{question}?all=true"), media, &body);
                assert!(!text.text().contains("1 Jan 2027"), "{question} {latest} {media}");
            }
        }
    }
}

/// What is spread after the last day for it is not to be worked in before: 120 days before 1 Sep are 4 May, and it is spread in June.
#[test]
fn raw_manure_is_not_to_be_worked_in_before_it_is_spread() {
    let mut body = json!({
        "stock": [{"amount": "60 L", "manure": {"kind": "untreated"}}],
        "demands": [{"name": "carrots", "amount": "40 L", "earliest": "2027-06-01", "latest": "2027-06-05", "crop": crop("2027-09-01")}],
    });
    let text = |body: &Value| flat(form("balances", "text/plain", body).text());
    let late = text(&body);
    assert!(late.contains("raw manure would have to be in the soil by 4 May 2027"), "{late}");
    assert!(
        late.contains("which is after the first crop harvest") && !late.contains("work raw manure in by"),
        "{late}"
    );
    body["demands"][0]["earliest"] = json!("2027-05-01");
    let early = text(&body);
    assert!(early.contains("work raw manure in by 4 May 2027") && !early.contains("would have to be"), "{early}");
}

/// What may be taken on any day is taken on the last on which the interval is kept, and by the use-by day; every form says so.
#[test]
fn work_without_days_keeps_the_interval_and_the_use_by() {
    let body = json!({
        "until": "2027-12-01", "simulation_runs": 0,
        "stock": [{"amount": "60 L", "manure": {"kind": "untreated"}}],
        "demands": [{"name": "carrots", "amount": "40 L", "latest": "2027-06-01", "crop": crop("2027-09-01")}],
    });
    let apply = |body: &Value| {
        let answer = ok("seasons", body);
        answer["work"].as_array().unwrap().iter().find(|task| task["kind"] == "apply").unwrap()["on"].clone()
    };
    assert_eq!(apply(&body), "2027-05-04");
    let text = form("seasons", "text/plain", &body);
    let text = flat(text.text());
    assert!(text.contains("Raw manure before harvest") && text.contains("work raw manure in by 4 May 2027"), "{text}");
    let expires = json!([{"amount": "60 L", "use_by": "2027-05-01", "manure": {"kind": "none"}}]);
    assert_eq!(apply(&with(&body, "/stock", expires)), "2027-05-01");
}

#[test]
fn raw_manure_is_reported_wherever_it_may_be() {
    let two = |second: Value| {
        let body = bed(Some(treated()), &crop("2027-09-01"));
        with(&body, "/stock", json!([body["stock"][0], {"amount": "1 L", "manure": second}]))
    };
    let tells = |body: &Value| rules(&ok("balances", body)).contains(&"raw_manure");
    assert!(!tells(&two(json!({"kind": "none"}))));
    assert!(tells(&two(json!({"kind": "untreated"}))) && tells(&two(Value::Null)));
    // A sack that has to be bought may hold anything; one that need not be bought does not matter.
    let short = with(
        &with(&two(json!({"kind": "none"})), "/sack", json!({"capacity": "40 L"})),
        "/demands/0/amount",
        json!("99 L"),
    );
    assert!(tells(&short));
    assert!(!tells(&with(&short, "/demands/0/amount", json!("40 L"))));
    assert!(tells(&json!({"stock": [], "demands": [{"amount": "1 L"}]})));
}

#[test]
fn kept_waits_give_the_treated_lot_to_the_early_crops() {
    let body = demo("balances/early-crops.json");
    let kept = ok("balances", &body);
    // 60 L treated for radishes, beans and salad, which ask 65 L: 60/65 each. Squash and dahlias have the other lot.
    assert_eq!(given(&kept), [50.0, 27.692, 23.077, 9.231, 20.0]);
    let lots = |answer: &Value, demand: usize| -> Vec<u64> {
        let draws = answer["demands"][demand]["allocations"].as_array().unwrap().iter();
        draws.map(|draw| draw["lot"]["index"].as_u64().unwrap()).collect()
    };
    let drawn: Vec<Vec<u64>> = (0..5).map(|demand| lots(&kept, demand)).collect();
    assert_eq!(drawn, [vec![1], vec![0], vec![0], vec![0], vec![1]]);
    assert_eq!(kept["demands"][0]["allocations"][0]["earliest_crop_harvest"], "2027-07-18");
    assert_eq!(kept["shortfall_options"]["pro_rata_share"], q(json!(92.3076923), "%"));
    assert!(!rules(&kept).iter().any(|rule| rule.starts_with("wait_")));
    // Only reported, the plan is the one without crops.
    let reported = ok("balances", &with(&body, "/enforce_application_to_harvest_interval", json!(false)));
    let mut plain = body;
    plain.as_object_mut().unwrap().remove("enforce_application_to_harvest_interval");
    for demand in plain["demands"].as_array_mut().unwrap() {
        demand.as_object_mut().unwrap().remove("crop");
    }
    let plain = ok("balances", &plain);
    assert_eq!(reported["by_date"], plain["by_date"]);
    assert_eq!((given(&reported), &reported["stock"]), (given(&plain), &plain["stock"]));
    assert!(rules(&reported).contains(&"interval_too_short"));
}

#[test]
fn keeping_waits_without_crops_or_with_clean_lots_changes_nothing() {
    let body = demo("balances/two-lots.json");
    assert_eq!(
        ok("balances", &body),
        ok("balances", &with(&body, "/enforce_application_to_harvest_interval", json!(true)))
    );
    let clean = bed(Some(treated()), &crop("2027-03-02"));
    assert_eq!(
        ok("balances", &clean),
        ok("balances", &with(&clean, "/enforce_application_to_harvest_interval", json!(true)))
    );
}

#[test]
fn tea_waits_from_the_day_it_is_used_up() {
    let brew = |source: &str| {
        json!({
            "stock": [{"amount": "90 L", "manure": {"kind": "none"}}],
            "demands": [{
                "brew": {"water": "50 L", "castings_to_water": "1:10", "use_at": "2027-06-10T22:00:00+02:00", "water_source": source},
                "crop": crop("2027-10-08"),
            }],
        })
    };
    // Started on the 9th, ready on the 10th at 22:00, used up by 02:00 on the 11th: 120 days later it is 9 October.
    let answer = ok("balances", &brew("surface_water"));
    assert_eq!(answer["demands"][0]["allocations"][0]["on"], "2027-06-09");
    assert_eq!(waits(&answer), [[json!("2027-10-09"), json!(true), Value::Null]]);
    // The castings are clean, and so is tap water.
    assert_eq!(waits(&ok("balances", &brew("mains"))), [[Value::Null, Value::Null, Value::Null]]);
    let additives = with(&brew("mains"), "/demands/0/brew/additives", json!(["molasses"]));
    assert_eq!(waits(&ok("balances", &additives)), waits(&answer));
    let raw = with(&brew("mains"), "/stock/0/manure", json!({"kind": "untreated"}));
    assert_eq!(waits(&ok("balances", &raw)), waits(&answer));
    // Kept, it gets nothing from any lot; a day later it gets all.
    let kept = with(&brew("surface_water"), "/enforce_application_to_harvest_interval", json!(true));
    assert_eq!(given(&ok("balances", &kept)), [0.0]);
    let later = with(&kept, "/demands/0/crop/first_crop_harvest", json!("2027-10-09"));
    assert_eq!(given(&ok("balances", &later)), [5.0]);
}

#[test]
fn the_table_tells_the_wait() {
    let answer = crate::support::send(
        &crate::support::service(),
        (reqwest::Method::POST, "/v1/balances"),
        &[("accept", "text/csv"), ("content-type", "application/json")],
        bed(None, &crop("2027-06-29")).to_string().into_bytes(),
    );
    assert!(answer.text().contains("on 2027-03-01 (work in; harvest from 2027-06-29)"), "{}", answer.text());
}

// ---------------------------------------------------------------------------
// Seasons
// ---------------------------------------------------------------------------

/// A bed that is ready within some weeks, and one demand that may be served until the end of the year.
fn season(manure: Value, crop: &Value) -> Value {
    json!({
        "as_of": "2027-03-01", "until": "2027-12-31", "simulation_runs": 200,
        "climate": {"unit": "C", "fixed": 20},
        "feed_supply": {"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}},
        "worm_beds": [{
            "ground": {"kind": "rectangle", "length": "1 m", "width": "1 m"}, "worms": "3 kg",
            "layers_per_cycle": 2, "cycles": 1, "manure": manure,
        }],
        "demands": [{"amount": "10 L", "latest": "2027-12-31", "crop": crop}],
    })
}

#[test]
fn beds_of_a_season_have_waits_too() {
    let answer = ok("seasons", &season(json!({"kind": "untreated"}), &crop("2027-12-01")));
    let on: chrono::NaiveDate = answer["demands"][0]["allocations"][0]["on"].as_str().unwrap().parse().unwrap();
    let from = (on + chrono::Days::new(120)).to_string();
    assert_eq!(answer["worm_beds"][0]["lots"][0]["ready_on"], on.to_string());
    assert_eq!(waits(&answer)[0][0], json!(from));
    assert!(rules(&answer).contains(&"raw_manure"));
    let clean = ok("seasons", &season(json!({"kind": "none"}), &crop("2027-12-01")));
    assert_eq!(waits(&clean)[0][0], Value::Null);
    assert!(!rules(&clean).contains(&"raw_manure"));
    // Kept: picked on the very day it is over it may be had, a day sooner not.
    let kept = |picking: &str| {
        ok(
            "seasons",
            &with(&season(Value::Null, &crop(picking)), "/enforce_application_to_harvest_interval", json!(true)),
        )
    };
    assert_eq!(given(&kept(&from)), [10.0]);
    let sooner = (on + chrono::Days::new(119)).to_string();
    assert_eq!(given(&kept(&sooner)), [0.0]);
    // The plan holds only in runs in which the bed is ready in time for the wait: half of them or so, and nearly all where there is time.
    let chance = |answer: &Value| answer["demands"][0]["chance_full"]["value"].as_f64().unwrap();
    let (narrow, wide) = (chance(&kept(&from)), chance(&kept("2028-04-29")));
    assert!(narrow < wide && wide >= 90.0, "{narrow} {wide}");
}

// ---------------------------------------------------------------------------
// Refusals
// ---------------------------------------------------------------------------

/// Three rounds of 36 h, used within 4 h, are 112 h: the last tea comes into the soil up to 5 days after 1 March, and 120 days after that is
/// 4 July. In one round it is 40 h: 2 days, 1 July.
#[test]
fn a_tea_without_times_waits_for_the_last_of_its_rounds() {
    for (capacity, earliest) in [("10 L", "2027-07-04"), ("30 L", "2027-07-01")] {
        let brew = json!({"water": "30 L", "castings_to_water": "1:10", "brewer": {"capacity": capacity}, "brewing_time": "36 h"});
        let crop = json!({"first_crop_harvest": "2027-12-01", "edible_part": "touches_soil", "incorporated": true});
        let body = json!({"stock": [{"amount": "100 L", "manure": {"kind": "untreated"}}],
            "demands": [{"on": "2027-03-01", "brew": brew, "crop": crop}]});
        let allocation = &ok("balances", &body)["demands"][0]["allocations"][0];
        assert_eq!(allocation["earliest_crop_harvest"], earliest, "{allocation}");
    }
}
