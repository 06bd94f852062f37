//! What to produce, taken at its word: fed back as beds it closes the gap; started later it is late.

use super::{kitchen_garden, list, places, small};
use crate::support::{day, demo, form, ok, post, reported, with};
use chrono::{Days, NaiveDate};
use serde_json::{Value, json};

/// Leaves and litter for a production.
fn mix() -> Value {
    json!({"materials": [{"material": "leaves_loose", "amount": "100 kg", "soak": true},
                         {"material": "broiler_litter_dry", "amount": "60 kg", "rehydrate": {}}]})
}

/// 40 L wanted on a day, none there, 20 C.
fn gap() -> Value {
    json!({"climate": {"unit": "C", "fixed": 20}, "demands": [{"amount": "40 L", "on": "2027-09-10"}], "additional_production": mix()})
}

fn first(body: &Value) -> Value {
    ok("seasons", body)["shortfall_options"]["additional_production"][0].clone()
}

fn later(value: &Value, days: u64) -> Value {
    json!((day(value) + Days::new(days)).to_string())
}

fn earlier(value: &Value, days: u64) -> Value {
    json!((day(value) - Days::new(days)).to_string())
}

/// Puts the produced beds among those of a season.
fn fed_back(season: &Value, plans: &[Value], which: &str) -> Value {
    let mut season = season.clone();
    let mut beds: Vec<Value> = season.get("worm_beds").and_then(Value::as_array).cloned().unwrap_or_default();
    beds.extend(plans.iter().map(|plan| plan[which]["worm_bed"].clone()));
    season["worm_beds"] = Value::Array(beds);
    season
}

fn requests() -> Vec<(&'static str, Value)> {
    let climate = kitchen_garden()["climate"].clone();
    let mut several = gap();
    several["climate"] = climate;
    several["demands"] = json!([{"amount": "17.123 L", "on": "2027-05-01"}, {"amount": "1/3 L", "on": "2027-07-15", "priority": 2},
                                {"amount": "90 L", "earliest": "2027-08-01", "latest": "2027-09-01"}]);
    several["stock"] = json!([{"amount": "5.001 L"}]);
    let layers = with(&gap(), "/additional_production/layers", json!(3));
    let ground = with(&gap(), "/additional_production/ground", json!({"kind": "area", "area": "3 m2"}));
    let worms = with(&gap(), "/additional_production/worms", json!("2 kg"));
    let known = with(
        &gap(),
        "/additional_production/assumptions",
        json!({"bed.finishing": "20 d", "worms.feed_rate": "0.2 kg/kg/d"}),
    );
    let hot = with(&gap(), "/additional_production/hot_composting", json!({"days": 20, "cooling_days": 5}));
    vec![
        ("demo", kitchen_garden()),
        ("one", gap()),
        ("several", several),
        ("layers", layers),
        ("ground", ground),
        ("worms", worms),
        ("known", known),
        ("hot", hot),
    ]
}

#[test]
fn produced_beds_close_the_gap_exactly() {
    for (name, request) in requests() {
        for units in ["metric", "us"] {
            let season = with(&request, "/units", json!(units));
            let answer = ok("seasons", &season);
            assert_ne!(answer["total"]["shortfall"]["value"], 0, "{name}");
            let plans = list(&answer, "/shortfall_options/additional_production");
            let closed = ok("seasons", &fed_back(&season, plans, "likely"));
            assert_eq!(closed["total"]["shortfall"]["value"], 0, "{name} {units}");
        }
    }
}

#[test]
fn beds_produced_for_a_balance_close_its_gap_in_a_season() {
    for (name, request) in requests().into_iter().skip(1) {
        let mut balance = request.clone();
        let climate = balance.as_object_mut().unwrap().remove("climate").unwrap();
        balance["additional_production"]["climate"] = climate;
        if balance.get("stock").is_none() {
            balance["stock"] = json!([]);
        }
        let answer = ok("balances", &balance);
        let of_season = ok("seasons", &request);
        assert_eq!(
            answer["shortfall_options"]["additional_production"],
            of_season["shortfall_options"]["additional_production"],
            "{name}"
        );
        let closed =
            ok("seasons", &fed_back(&request, list(&answer, "/shortfall_options/additional_production"), "likely"));
        assert_eq!(closed["total"]["shortfall"]["value"], 0, "{name}");
    }
}

#[test]
fn beds_produced_for_90_keep_their_promise_under_another_seed() {
    for (name, request) in requests() {
        let answer = ok("seasons", &request);
        for plan in list(&answer, "/shortfall_options/additional_production") {
            if plan["at_90_percent"].get("worm_bed").is_none() {
                continue;
            }
            let demand = json!({"amount": plan["shortfall"], "on": plan["by"]});
            let alone = json!({"climate": request["climate"], "demands": [demand], "worm_beds": [plan["at_90_percent"]["worm_bed"]], "seed": 77});
            let chance = ok("seasons", &alone)["demands"][0]["chance_full"]["value"].as_i64().unwrap();
            assert!(chance >= 85, "{name}: {chance} %");
        }
    }
}

#[test]
fn a_start_that_slips_is_ready_on_the_day_given() {
    for (name, request) in requests() {
        let answer = ok("seasons", &request);
        for plan in list(&answer, "/shortfall_options/additional_production") {
            for slip in list(plan, "/if_started_later") {
                let mut bed = plan["likely"]["worm_bed"].clone();
                bed["start_on"] = later(&bed["start_on"], slip["days"].as_u64().unwrap());
                let until = json!("2028-12-31");
                let season = json!({"climate": request["climate"], "until": until, "worm_beds": [bed], "demands": [{"amount": "1 L"}], "simulation_runs": 0});
                let lots = ok("seasons", &season)["worm_beds"][0]["lots"].clone();
                assert_eq!(lots[0].get("ready_on"), slip.get("ready_on"), "{name} {slip}");
                let late = (day(&slip["ready_on"]) - day(&plan["by"])).num_days();
                assert_eq!(
                    slip.get("days_late").map_or(0, |days| days.as_i64().unwrap()),
                    late.max(0),
                    "{name} {slip}"
                );
            }
        }
    }
}

/// Days of 20 C for three years but one, which kills.
fn deadly(on: &Value, degrees: i32) -> Value {
    let begin: NaiveDate = "2025-06-01".parse().unwrap();
    let place = usize::try_from((day(on) - begin).num_days()).unwrap();
    let mut values = vec![20; 1_200];
    values[place] = degrees;
    json!({"unit": "C", "daily": {"first_day": "2025-06-01", "values": values}})
}

#[test]
fn what_prevents_an_earlier_start_is_reported_and_a_near_miss_is_in_time() {
    let free = first(&gap());
    let likely = &free["likely"];
    assert_eq!(likely.get("too_late"), None);
    let (start, worms_in) = (&likely["start_on"], &likely["worms_in_on"]);
    for (field, bound, binds) in [
        ("/as_of", start, "today"),
        ("/additional_production/materials_from", start, "materials"),
        ("/additional_production/bed_from", worms_in, "bed"),
    ] {
        // As many layers as without: the choice among them would move the start.
        let with_layers = with(&gap(), "/additional_production/layers", likely["layers"].clone());
        let in_time = first(&with(&with_layers, field, bound.clone()));
        assert_eq!(in_time["likely"].get("too_late"), None, "{binds}");
        let late = first(&with(&with_layers, field, later(bound, 1)));
        assert_eq!(late["likely"]["too_late"]["limiting_factor"], binds);
        assert_eq!(late["likely"]["too_late"]["first_start_on"], later(start, 1), "{binds}");
        assert!(day(&late["likely"]["too_late"]["ready_on"]) > day(&late["by"]), "{binds}");
    }
    for (degrees, binds) in [(0, "frost"), (35, "heat")] {
        let with_layers = with(&gap(), "/additional_production/layers", likely["layers"].clone());
        let before = first(&with(&with_layers, "/climate", deadly(&earlier(worms_in, 1), degrees)));
        assert_eq!(before["likely"].get("too_late"), None, "{binds}");
        // Without today's date a start the year before would do: it is finished before the deadly day.
        let today = with(&with_layers, "/as_of", start.clone());
        let late = first(&with(&today, "/climate", deadly(worms_in, degrees)));
        assert_eq!(late["likely"]["too_late"]["limiting_factor"], binds);
    }
    let narrow =
        |area: Value| first(&with(&gap(), "/additional_production/ground", json!({"kind": "area", "area": area})));
    let late = narrow(json!("0.05 m2"));
    assert_eq!(late["likely"]["too_late"]["limiting_factor"], "ground");
    assert_eq!(late["likely"].get("worm_bed"), None);
    let needed = late["likely"]["too_late"]["area_needed"].clone();
    let wide = json!({"value": needed["value"].as_f64().unwrap() * 1.000_001, "unit": "m2"});
    assert_eq!(narrow(wide)["likely"].get("too_late"), None);
    let tight = json!({"value": needed["value"].as_f64().unwrap() * 0.9, "unit": "m2"});
    assert_eq!(narrow(tight)["likely"]["too_late"]["limiting_factor"], "ground");
}

/// 40 L are there; roses of the first priority can take 30 L until the next year, salad needs 40 L on one day. So the roses wait for what is
/// produced, and it is needed on their last day only.
#[test]
fn who_waits_for_castings_is_named() {
    let mut body = with(&gap(), "/as_of", json!("2027-09-01"));
    body["stock"] = json!([{"amount": "40 L"}]);
    body["demands"] = json!([{"name": "roses", "amount": "30 L", "earliest": "2027-09-05", "latest": "2028-12-01", "priority": 1},
                             {"name": "salad", "amount": "40 L", "on": "2027-09-10", "priority": 2}]);
    let plan = first(&body);
    assert_eq!(plan["by"], "2028-12-01");
    let roses = json!({"index": 0, "name": "roses"});
    assert_eq!(plan["can_wait"], json!([{"demand": roses, "amount": {"value": 30, "unit": "L"}}]));
    let just = first(&with(&body, "/demands/0/latest", json!("2027-09-11")));
    assert_eq!((&just["by"], &just["can_wait"]), (&json!("2027-09-11"), &plan["can_wait"]));
    // Both on one day: each gets a part of what is there, and nobody waits.
    let not = first(&with(&body, "/demands/0/latest", json!("2027-09-10")));
    assert_eq!((&not["by"], &not["can_wait"]), (&json!("2027-09-10"), &json!([])));
}

#[test]
fn what_a_production_depends_on_is_listed_and_what_it_does_not_is_reported() {
    let known = json!({"bed.finishing": "20 d", "tea.use_within": "4 h"});
    let answer = ok("seasons", &with(&gap(), "/additional_production/assumptions", known));
    let listed = list(&answer, "/assumptions").iter().find(|a| a["id"] == "bed.finishing").unwrap();
    assert_eq!((&listed["set_by"], &listed["pointer"]), (&json!("item"), &json!("/additional_production")));
    for id in ["worms.feed_rate", "worms.stocking_density", "harvest.drying", "castings.dry_bulk_density"] {
        assert!(list(&answer, "/assumptions").iter().any(|a| a["id"] == id), "{id}");
    }
    assert_eq!(places(&answer, "assumption_not_used"), ["/additional_production/assumptions/tea.use_within"]);
    let of_request = ok("seasons", &with(&gap(), "/assumptions", json!({"worms.feed_rate": "0.2 kg/kg/d"})));
    assert_eq!(places(&of_request, "assumption_not_used"), Vec::<String>::new());
    assert_eq!(places(&of_request, "field_not_used"), Vec::<String>::new());
}

#[test]
fn productions_that_cannot_be_are_refused_at_their_field() {
    let short = json!({"unit": "C", "daily": {"first_day": "2027-03-01", "values": [20, 20]}});
    for (pointer, value, expected) in [
        ("/additional_production/layers", json!(0), "/additional_production/layers out_of_range"),
        ("/additional_production/layers", json!(60), "/additional_production/layers out_of_range"),
        ("/additional_production/worms", json!("0 kg"), "/additional_production/worms out_of_range"),
        ("/additional_production/materials_from", json!("soon"), "/additional_production/materials_from bad_date"),
        ("/additional_production/bed_from", json!("2027-02-29"), "/additional_production/bed_from bad_date"),
        ("/additional_production/climate", short, "/additional_production/climate missing_field"),
        (
            "/additional_production/materials/0/material",
            json!("leafs"),
            "/additional_production/materials/0/material unknown_value",
        ),
        (
            "/additional_production/ground",
            json!({"kind": "plants", "count": 2}),
            "/additional_production/ground/kind unknown_kind",
        ),
        ("/as_of", json!("1990-01-01"), "/as_of out_of_range"),
        ("/as_of", json!("2090-01-01"), "/as_of out_of_range"),
    ] {
        assert_eq!(reported("seasons", &with(&gap(), pointer, value)), [expected]);
    }
    ok("seasons", &with(&gap(), "/additional_production/layers", json!(8)));
    let mut cold = gap();
    cold.as_object_mut().unwrap().remove("climate");
    assert_eq!(reported("seasons", &cold), ["/additional_production/climate missing_field"]);
    cold["stock"] = json!([]);
    assert_eq!(reported("balances", &cold), ["/additional_production/climate missing_field"]);
    let mut undated = small();
    undated["demands"] = json!([{"name": "some day", "amount": "900 L"}]);
    undated["stock"] = json!([]);
    let mut produce = mix();
    produce["climate"] = json!({"unit": "C", "fixed": 20});
    let balance = json!({"stock": [], "demands": undated["demands"], "additional_production": produce});
    assert_eq!(reported("balances", &balance), ["/demands/0/latest missing_field"]);
    let days: Vec<Value> = (1..=9).map(|n| json!({"amount": "40 L", "on": format!("2027-0{n}-20")})).collect();
    let many = with(&with(&gap(), "/demands", json!(days)), "/simulation_runs", json!(100_000));
    assert_eq!(reported("seasons", &many), ["/simulation_runs too_large"]);
}

#[test]
fn one_bed_is_promised_once_and_worms_beyond_what_it_carries_are_reported() {
    let mut request = demo("seasons/kitchen-garden.json");
    request["simulation_runs"] = json!(200);
    // 100 L for pots by 20 March, of 65 L in stock.
    request["demands"][0] = json!({"name": "pots", "amount": "100 L", "latest": "2027-03-20"});
    let several = list(&ok("seasons", &request), "/shortfall_options/additional_production").len();
    assert_eq!(several, 2);
    request["additional_production"]["ground"] = json!({"kind": "area", "area": "2 m2"});
    let answer = ok("seasons", &request);
    let plans = list(&answer, "/shortfall_options/additional_production");
    assert_eq!(plans.len(), 1);
    assert_eq!(plans[0]["shortfall"], answer["total"]["shortfall"]);
    assert_eq!(plans[0]["by"], answer["first_shortfall_on"]);
    let reported =
        |answer: &Value| list(answer, "/cautions").iter().any(|caution| caution["rule"] == "worms_above_carrying");
    assert!(!reported(&answer));
    // 6 kg/m2 carried for good by default: 12 kg on 2 m2.
    request["additional_production"]["worms"] = json!("12 kg");
    assert!(!reported(&ok("seasons", &request)));
    request["additional_production"]["worms"] = json!("12.1 kg");
    assert!(reported(&ok("seasons", &request)));
}

/// Nothing is short at the likely values, and late harvests make it unsure: the sacks that are named make it sure, under another seed too.
#[test]
fn a_season_that_is_enough_but_not_sure_says_what_makes_it_sure() {
    let body = json!({"as_of": "2026-10-01", "until": "2027-06-30", "climate": "18 C", "simulation_runs": 1000,
        "worm_beds": [{"name": "w", "ground": {"kind": "area", "area": "4 m2"}, "start_on": "2026-10-01",
                       "feed": {"material": "leaves_shredded"}, "layers_per_cycle": 3, "cycles": 1}],
        "demands": [{"name": "carrots", "amount": "60 L", "on": "2027-03-01"}],
        "sack": {"capacity": "20 L", "price": 9, "currency": "EUR"}});
    let answer = ok("seasons", &body);
    assert_eq!(answer["total"]["shortfall"]["value"], 0);
    let chance = |answer: &Value| answer["chance_enough"]["value"].as_f64().unwrap();
    assert!(chance(&answer) < 90.0, "{}", answer["chance_enough"]);
    let gap = &answer["shortfall_options"];
    assert!(list(gap, "/options").is_empty());
    let [sacks] = list(gap, "/reach_90_percent") else { panic!("{gap}") };
    assert_eq!(sacks["kind"], "sacks");
    let text = form("seasons", "text/plain", &body).text().to_owned();
    assert!(text.contains("To be more certain that there is enough\n- For 90 %, by "), "{text}");
    // Taken at its word.
    let count = sacks["text"].as_str().unwrap().split_whitespace().nth(1).unwrap().parse::<f64>().unwrap();
    let lot = json!([{"amount": format!("{} L", 20.0 * count), "ready_on": sacks["act_by"]}]);
    let bought = with(&with(&body, "/stock", lot), "/seed", json!(11));
    assert!(chance(&ok("seasons", &bought)) >= 85.0);
    // A sure season has nothing to add.
    let sure = ok("seasons", &with(&body, "/stock", json!([{"amount": "90 L"}])));
    assert!(chance(&sure) >= 90.0 && sure["shortfall_options"].get("reach_90_percent").is_none());
}

#[test]
fn starts_that_are_out_of_the_question_are_marked() {
    let answer = ok("seasons", &demo("seasons/kitchen-garden.json"));
    let today = day(&answer["as_of"]).max(day(&json!("2026-10-20")));
    for plan in list(&answer, "/shortfall_options/additional_production") {
        for choice in list(plan, "/choices") {
            let late = choice.get("start_on").is_none_or(|start| day(start) < today);
            assert_eq!(choice.get("too_late"), late.then_some(&json!(true)), "{choice}");
        }
        assert!(plan["at_90_percent"].get("too_late").is_some() && plan["at_90_percent"].get("ready_on").is_none());
    }
    let starts = list(&answer, "/work").iter().filter(|task| task["kind"] == "start_production").count();
    let notes = list(&answer, "/work")
        .iter()
        .filter(|task| task["note"].as_str().is_some_and(|note| note.starts_with("at the likely values")));
    assert_eq!((starts, notes.count()), (1, 1));
}

/// 200 beds, each with ten years of its own climate: too many days to draw 2,000 times in one request.
#[test]
fn draws_are_bounded_by_beds_and_climates_too() {
    let bed = |i: u32| {
        json!({
            "ground": {"kind": "area", "area": "2 m2"}, "layers_per_cycle": 2, "cycles": 1, "start_on": "2026-09-14",
            "climate": {"unit": "C", "fixed": 15.0 + f64::from(i) / 100.0},
        })
    };
    let season = |draws: u32| {
        json!({
            "until": "2036-09-01", "simulation_runs": draws, "demands": [{"amount": "1 L"}],
            "feed_supply": {"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}},
            "worm_beds": (0..200).map(bed).collect::<Vec<_>>(),
        })
    };
    let refused = post("seasons", &season(2_000)).json();
    assert_eq!(refused["errors"][0]["pointer"], "/simulation_runs");
    let most = u32::try_from(refused["errors"][0]["max"].as_u64().unwrap()).unwrap();
    assert!((100..1_000).contains(&most), "{most}");
    assert_eq!(post("seasons", &season(0)).status, 200);
}

/// Likely 90 L: 40 L are needed in April, 60 L in October by who comes first. Sacks are early enough in October, where April gets all
/// that it needs before.
#[test]
fn sacks_that_come_late_say_who_gets_all_before() {
    let body = json!({"as_of": "2028-03-01", "sack": {"capacity": "10 L"},
        "stock": [{"amount": {"value": 90, "low": 60, "high": 110, "unit": "L"}}],
        "demands": [{"name": "spring", "amount": "40 L", "on": "2028-04-01", "priority": 2},
                    {"name": "autumn", "amount": "60 L", "on": "2028-10-01"}]});
    let answer = ok("seasons", &body);
    assert_eq!(answer["demands"][0]["allocated"], json!({"value": 30, "unit": "L"}));
    let [sacks] = list(&answer["shortfall_options"], "/reach_90_percent") else { panic!("{answer}") };
    assert_eq!(sacks["text"], "Buy 3 sacks of 10 L. Then give spring all it needs from 1 Apr 2028 on.");
    assert_eq!(sacks["act_by"], "2028-10-01");
    let stock = json!([body["stock"][0], {"amount": "30 L", "ready_on": sacks["act_by"]}]);
    let bought = with(&body, "/stock", stock);
    assert_eq!(ok("seasons", &bought)["chance_enough"], sacks["chance_enough"]);
}

/// The chance is about days that are still to come, and where none is, that is said.
#[test]
fn days_that_have_passed_are_left_out_of_the_chance() {
    let headline = |today: &str| {
        let body = json!({"as_of": today,
            "stock": [{"amount": {"value": 90, "low": 60, "high": 120, "unit": "L"}}, {"amount": "30 L", "ready_on": "2028-05-01"}],
            "demands": [{"name": "spring", "amount": "90 L", "on": "2028-04-01"}, {"name": "autumn", "amount": "30 L", "on": "2028-10-01"}]});
        ok("seasons", &body)["headline"].as_str().unwrap().to_owned()
    };
    let before = headline("2028-04-01");
    assert!(
        before.ends_with(" The chance that every demand is met in time is 50 %, if the ranges shown are right."),
        "{before}"
    );
    let between = headline("2028-04-02");
    let said = " The chance that every demand whose day is still to come is met in time is 95 % or more, if the ranges shown are right.";
    assert!(between.ends_with(said), "{between}");
    let after = headline("2028-10-02");
    assert!(after.ends_with(" All dates are past.") && !after.contains("chance"), "{after}");
}
