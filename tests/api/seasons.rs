//! `POST /v1/seasons`, and the same by `GET`.

mod forms;
mod gap;
mod load;
mod observed;
mod work;

use crate::balances::thousandths;
use crate::support::{demo, flat, form, keys, ok, post, post_bytes, reported, send, with};
use barrowful::http::server::Running;
use barrowful::http::settings::Settings;
use reqwest::Method;
use serde_json::{Value, json};

pub fn kitchen_garden() -> Value {
    demo("seasons/kitchen-garden.json")
}

/// A bed, a lot and a demand, at 20 C.
pub fn small() -> Value {
    json!({"climate": {"unit": "C", "fixed": 20},
           "feed_supply": {"moisture": "75 %", "ash": "15 %", "nitrogen": "1.8 %", "supply": {"kind": "as_needed"}},
           "worm_beds": [{"name": "wall", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2027-03-01", "layers_per_cycle": 2}],
           "stock": [{"name": "shed", "amount": "30 L"}],
           "demands": [{"name": "salad", "amount": "60 L", "on": "2027-09-10"}]})
}

fn list<'a>(value: &'a Value, pointer: &str) -> &'a [Value] {
    value.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}")).as_array().unwrap()
}

/// The places that a caution names; none if it is not reported.
fn places(answer: &Value, rule: &str) -> Vec<String> {
    let found = list(answer, "/cautions").iter().find(|caution| caution["rule"] == rule);
    found.map_or_else(Vec::new, |c| {
        c["at"].as_array().into_iter().flatten().map(|p| p.as_str().unwrap().to_owned()).collect()
    })
}

fn assert_adds_up(answer: &Value) {
    for demand in list(answer, "/demands").iter().chain([&answer["total"]]) {
        let sum = thousandths(&demand["allocated"]) + thousandths(&demand["shortfall"]);
        assert_eq!(sum, thousandths(&demand["needed"]), "{demand}");
    }
    let lots: Vec<&Value> = list(answer, "/worm_beds").iter().flat_map(|bed| list(bed, "/lots")).collect();
    for lot in &lots {
        assert_eq!(
            thousandths(&lot["allocated"]) + thousandths(&lot["remaining"]),
            thousandths(&lot["amount"]),
            "{lot}"
        );
    }
    let all: i64 =
        list(answer, "/stock").iter().chain(lots.iter().copied()).map(|lot| thousandths(&lot["amount"])).sum();
    assert_eq!(thousandths(&answer["total"]["supply"]), all);
    let mut left = thousandths(&answer["opening_stock"]);
    for day in list(answer, "/by_date") {
        left += thousandths(&day["received"]) - thousandths(&day["allocated"]) - thousandths(&day["expired"]);
        assert_eq!(left, thousandths(&day["closing_stock"]), "{day}");
    }
    for demand in list(answer, "/demands") {
        let drawn: i64 = list(demand, "/allocations").iter().map(|draw| thousandths(&draw["amount"])).sum();
        assert_eq!(drawn, thousandths(&demand["allocated"]), "{demand}");
    }
}

#[test]
fn the_kitchen_garden_is_answered_and_adds_up() {
    let answer = ok("seasons", &kitchen_garden());
    assert_adds_up(&answer);
    assert_eq!((&answer["as_of"], &answer["until"]), (&json!("2026-09-14"), &json!("2027-07-31")));
    assert_eq!(list(&answer, "/worm_beds").len(), 2);
    let days: Vec<&str> = list(&answer, "/work").iter().map(|task| task["on"].as_str().unwrap()).collect();
    assert!(days.is_sorted() && days.len() > 20, "{days:?}");
    let percent = |chance: &Value| chance["value"].as_i64().unwrap();
    let enough = percent(&answer["chance_enough"]);
    let by_date: Vec<i64> = list(&answer, "/chances/by_date").iter().map(|by| percent(&by["chance"])).collect();
    assert!(by_date.is_sorted_by(|a, b| a >= b) && by_date.last() == Some(&enough), "{by_date:?} {enough}");
    for demand in list(&answer, "/demands") {
        let (full, allocated) = (percent(&demand["chance_full"]), percent(&demand["chance_allocated"]));
        assert!(enough <= full && full <= allocated, "{demand}");
        assert!(
            [enough, full, allocated].iter().all(|chance| (5..=95).contains(chance) && chance % 5 == 0),
            "{demand}"
        );
    }
    let us = ok("seasons", &with(&kitchen_garden(), "/units", json!("us")));
    assert_eq!(us["total"]["shortfall"]["unit"], "ft3");
    assert_eq!(places(&us, "field_not_used"), Vec::<String>::new());
}

#[test]
fn the_smallest_season_is_one_demand_with_a_date() {
    let answer = ok("seasons", &json!({"demands": [{"amount": "40 L", "on": "2027-05-01"}]}));
    assert_eq!((&answer["total"]["shortfall"]["value"], &answer["until"]), (&json!(40), &json!("2027-05-01")));
    assert_eq!(answer["chances"]["by_date"][0]["chance"]["value"], 5);
    assert_eq!(reported("seasons", &json!({"demands": [{"amount": "40 L"}]})), ["/until missing_field"]);
}

#[test]
fn the_same_request_gives_the_same_bytes_whatever_the_workers() {
    let body = serde_json::to_vec(&kitchen_garden()).unwrap();
    let first = post_bytes("seasons", body.clone());
    assert_eq!(first.status, 200);
    assert_eq!(first.bytes, post_bytes("seasons", body.clone()).bytes);
    for workers in [1, 2] {
        let service = Running::start(Settings { workers: Some(workers), ..Settings::local() }).unwrap();
        let headers = [("content-type", "application/json")];
        let answer = send(&service.url(), (Method::POST, "/v1/seasons"), &headers, body.clone());
        assert!(answer.bytes == first.bytes, "{workers} workers");
    }
}

#[test]
fn another_seed_gives_other_percentiles_and_the_same_plan() {
    let answer = ok("seasons", &kitchen_garden());
    assert_eq!((&answer["chances"]["seed"], &answer["chances"]["simulation_runs"]), (&json!(1), &json!(2000)));
    let mut other = ok("seasons", &with(&kitchen_garden(), "/seed", json!(9_007_199_254_740_991_u64)));
    assert_eq!(other["chances"]["seed"], 9_007_199_254_740_991_u64);
    assert_ne!(other["worm_beds"][0]["lots"][0]["volume"], answer["worm_beds"][0]["lots"][0]["volume"]);
    for part in ["total", "stock", "by_date", "assumptions", "cautions", "pro_rata_share"] {
        assert_eq!(other[part], answer[part], "{part}");
    }
    let mut plain = answer;
    for answer in [&mut plain, &mut other] {
        for demand in answer["demands"].as_array_mut().unwrap() {
            for chance in ["chance_full", "chance_allocated"] {
                demand.as_object_mut().unwrap().remove(chance);
            }
        }
    }
    assert_eq!(plain["demands"], other["demands"]);
}

#[test]
fn no_draws_leave_the_chances_away_and_the_ranges_unused() {
    let answer = ok("seasons", &with(&kitchen_garden(), "/simulation_runs", json!(0)));
    assert!(!keys(&answer).contains(&"chances"));
    assert_eq!(answer["measure_first"], json!([]));
    assert!(!keys(&answer).contains(&"chance_enough"));
    assert!(!keys(&answer["demands"][0]).iter().any(|key| key.starts_with("chance")));
    assert!(!keys(&answer["worm_beds"][0]["lots"][0]).contains(&"volume"));
    assert!(!keys(&answer["shortfall_options"]["additional_production"][0]).contains(&"at_90_percent"));
    assert_eq!(places(&answer, "range_not_used"), ["/stock/0/amount"]);
    assert_eq!(places(&ok("seasons", &kitchen_garden()), "range_not_used"), Vec::<String>::new());
}

/// With every range collapsed, what a season gives is a forecast and a balance one after the other.
#[test]
fn a_known_season_is_a_forecast_and_then_a_balance() {
    let mut known = serde_json::Map::new();
    for assumption in list(&crate::support::get("/v1/assumptions").json(), "/assumptions") {
        let Some(default) = assumption.get("default") else { continue };
        let (value, unit) = (default["value"].clone(), default["unit"].clone());
        known.insert(assumption["id"].as_str().unwrap().to_owned(), json!({"value": value, "unit": unit}));
    }
    let mut season = with(&small(), "/assumptions", Value::Object(known.clone()));
    season["until"] = json!("2027-12-31");
    season["demands"]
        .as_array_mut()
        .unwrap()
        .push(json!({"amount": "25.5 L", "earliest": "2027-06-01", "priority": 2}));
    let answer = ok("seasons", &season);
    let bed = &season["worm_beds"][0];
    let forecast = json!({"start_on": bed["start_on"], "until": season["until"], "layers_per_cycle": 2,
                          "feed": season["feed_supply"], "climate": season["climate"]});
    let harvest =
        ok("harvests", &json!({"assumptions": known, "worm_beds": [{"ground": bed["ground"], "forecast": forecast}]}));
    assert_eq!(harvest["worm_beds"][0]["forecast"], answer["worm_beds"][0]["forecast"]);
    let mut stock = season["stock"].as_array().unwrap().clone();
    for lot in list(&harvest, "/worm_beds/0/forecast/lots") {
        let litres = lot["castings"]["volume"]["value"].as_f64().unwrap();
        stock.push(json!({"amount": format!("{litres:.3} L"), "ready_on": lot["ready"]["likely"]}));
    }
    assert!(stock.len() > 2, "{stock:?}");
    let mut balance = ok("balances", &json!({"stock": stock, "demands": season["demands"]}));
    // Harvests expected of beds are stock to come where they are listed as lots.
    let total = balance["total"].as_object_mut().unwrap();
    let listed = total.remove("stock_to_come").unwrap();
    assert!(total.insert("expected_harvest".to_owned(), listed).is_none());
    for part in ["total", "pro_rata_share", "by_date", "opening_stock"] {
        assert_eq!(balance[part], answer[part], "{part}");
    }
    for (of_balance, of_season) in list(&balance, "/demands").iter().zip(list(&answer, "/demands")) {
        assert_eq!(
            (&of_balance["allocated"], &of_balance["shortfall"]),
            (&of_season["allocated"], &of_season["shortfall"])
        );
        // What is known comes out as planned in every run.
        assert_eq!(of_season["chance_full"]["value"], if thousandths(&of_season["shortfall"]) == 0 { 95 } else { 5 });
        assert_eq!(of_season["chance_allocated"]["value"], 95);
    }
    for lot in list(&answer, "/worm_beds/0/lots") {
        assert_eq!(lot["volume"]["p10"], lot["volume"]["p90"]);
        assert_eq!((&lot["ready"]["p10"], &lot["ready"]["p90"]), (&lot["ready_on"], &lot["ready_on"]));
    }
    assert_eq!(answer["measure_first"], json!([]));
}

#[test]
fn feed_for_all_beds_is_shared_by_ground() {
    let supplies = |whole: f64| {
        [
            json!({"kind": "amount", "amount": format!("{whole} kg")}),
            json!({"kind": "deliveries", "deliveries": [{"on": "2027-03-01", "amount": format!("{whole} kg")},
                                                     {"on": "2027-05-01", "amount": format!("{} kg", whole / 2.0)}]}),
        ]
    };
    for (shared, (one, other)) in supplies(160.0).into_iter().zip(supplies(40.0).into_iter().zip(supplies(120.0))) {
        let mut body = small();
        let mut larger = body["worm_beds"][0].clone();
        larger["ground"]["area"] = json!("6 m2");
        body["worm_beds"].as_array_mut().unwrap().push(larger);
        body["feed_supply"]["supply"] = shared;
        let together = ok("seasons", &body);
        for (i, supply) in [one, other].into_iter().enumerate() {
            let mut feed = body["feed_supply"].clone();
            feed["supply"] = supply;
            body["worm_beds"][i]["feed"] = feed;
        }
        body.as_object_mut().unwrap().remove("feed_supply");
        let apart = ok("seasons", &body);
        for part in ["worm_beds", "demands", "chances", "by_date"] {
            assert_eq!(together[part], apart[part], "{part}");
        }
    }
}

#[test]
fn a_bed_may_have_a_climate_of_its_own() {
    let cold = with(&small(), "/climate/fixed", json!(8));
    let leaves = with(&small(), "/feed_supply", json!({"material": "leaves_shredded"}));
    let analysis = json!({"moisture": "38 %", "ash": "13.6 %", "nitrogen": "0.94 %", "supply": {"kind": "as_needed"}});
    let (mut named, analysed) = (ok("seasons", &leaves), ok("seasons", &with(&small(), "/feed_supply", analysis)));
    // The ratio of carbon to nitrogen is judged where the material is known.
    named["assumptions"].as_array_mut().unwrap().retain(|one| one["id"] != "mix.carbon_to_nitrogen");
    for part in ["demands", "chances", "assumptions", "by_date"] {
        assert_eq!(named[part], analysed[part], "{part}");
    }
    assert_eq!(places(&named, "leave_out"), ["/worm_beds/0"]);
    let own = with(&cold, "/worm_beds/0/climate", json!({"unit": "F", "fixed": 68}));
    assert_eq!(ok("seasons", &with(&cold, "/worm_beds/0/climate", json!("68 F"))), ok("seasons", &own));
    assert_eq!(ok("seasons", &with(&cold, "/climate", json!("8 C"))), ok("seasons", &cold));
    let (shared, own) = (ok("seasons", &small()), ok("seasons", &own));
    assert_eq!(shared["worm_beds"], own["worm_beds"]);
    assert_ne!(ok("seasons", &cold)["worm_beds"], own["worm_beds"]);
    assert_eq!(places(&own, "field_not_used"), ["/climate"]);
}

#[test]
fn a_bed_that_dies_says_so_and_leaves_its_demands_short() {
    let winter = json!({"unit": "C", "monthly_means": [-4, -3, 1, 7, 13, 16, 18, 18, 13, 8, 2, -2], "offset": 1});
    for (climate, why, rule) in
        [(winter, "frost", "bed_frost"), (json!({"unit": "C", "fixed": 35}), "heat", "bed_heat")]
    {
        let body = with(&with(&small(), "/climate", climate), "/worm_beds/0/start_on", json!("2026-12-20"));
        let answer = ok("seasons", &body);
        let bed = &answer["worm_beds"][0];
        assert_eq!((&bed["forecast"]["stopped"]["why"], &bed["lots"]), (&json!(why), &json!([])));
        assert_eq!(bed["cautions"], json!([rule]));
        assert_eq!(places(&answer, rule), ["/worm_beds/0"]);
        // No later last day helps, a warmer or cooler bed does.
        let text = flat(form("seasons", "text/plain", &body).text());
        assert!(text.contains("no harvest is ready by ") && !text.contains("later last day"), "{text}");
        let keep = if why == "frost" { "Keep the bed above freezing" } else { "Keep the bed below 35 C" };
        assert!(text.contains(&format!("of {why}; the plan ends there. {keep}")), "{text}");
        assert_eq!(
            (&answer["total"]["shortfall"]["value"], &answer["demands"][0]["chance_full"]["value"]),
            (&json!(30), &json!(5))
        );
    }
}

#[test]
fn what_lies_before_today_is_marked() {
    let mut body = with(&small(), "/as_of", json!("2027-06-01"));
    body["demands"].as_array_mut().unwrap().push(json!({"amount": "5 L", "on": "2027-05-31"}));
    body["demands"].as_array_mut().unwrap().push(json!({"amount": "5 L", "latest": "2027-06-01"}));
    let answer = ok("seasons", &body);
    let past: Vec<bool> = list(&answer, "/demands").iter().map(|demand| demand["past"] == true).collect();
    assert_eq!(past, [false, true, false]);
    for task in list(&answer, "/work") {
        let last = task.get("until").unwrap_or(&task["on"]).as_str().unwrap();
        assert_eq!(task["overdue"] == true, last < "2027-06-01", "{task}");
    }
}

/// 50 L in stock; 50 L wanted in April (priority 2) and 40 L in June (priority 1); 40 L more, perhaps 20 or 60, come in May. The
/// plan serves both in full only if June waits for May, whose 40 L come in half of all runs (the likely value is the median). An
/// allocation made anew in each run would know May beforehand and call June safe.
#[test]
fn a_chance_is_that_of_the_plan_and_foresees_nothing() {
    let body = json!({
        "stock": [{"amount": "50 L"}, {"amount": {"value": 40, "low": 20, "high": 60, "unit": "L"}, "ready_on": "2027-05-15"}],
        "demands": [{"name": "April", "amount": "50 L", "on": "2027-04-10", "priority": 2},
                    {"name": "June", "amount": "40 L", "on": "2027-06-10", "priority": 1}]});
    let answer = ok("seasons", &body);
    assert_eq!(answer["total"]["shortfall"]["value"], 0);
    let chances: Vec<i64> =
        list(&answer, "/demands").iter().map(|d| d["chance_full"]["value"].as_i64().unwrap()).collect();
    assert_eq!(chances[0], 95);
    assert!((45..=55).contains(&chances[1]), "{chances:?}");
    let by_date: Vec<i64> =
        list(&answer, "/chances/by_date").iter().map(|d| d["chance"]["value"].as_i64().unwrap()).collect();
    assert_eq!((by_date[0], by_date[1]), (95, chances[1]));
    assert_eq!(answer["chance_enough"]["value"], chances[1]);
}

/// One draw for each run, shared by all teas: the strength is the only thing that is not known.
#[test]
fn the_strength_of_a_tea_is_drawn() {
    let tea = json!({"brew": {"water": "100 L"}, "earliest": "2027-06-01", "latest": "2027-06-10"});
    let body = json!({"stock": [{"amount": "10 L"}], "demands": [tea]});
    let answer = ok("seasons", &body);
    assert_eq!(answer["demands"][0]["needed"]["value"], 10);
    let chance = answer["demands"][0]["chance_full"]["value"].as_i64().unwrap();
    assert!((45..=55).contains(&chance), "{chance}");
    assert_eq!(answer["measure_first"][0]["assumption"], "tea.castings_to_water");
    let known = ok("seasons", &with(&body, "/demands/0/brew/castings_to_water", json!("1:10")));
    assert_eq!((&known["demands"][0]["chance_full"]["value"], &known["measure_first"]), (&json!(95), &json!([])));
}

#[test]
fn what_is_given_and_not_used_is_reported() {
    let range = |unit: &str| json!({"value": 4, "low": 3, "high": 5, "unit": unit});
    let amount = json!({"kind": "amount", "amount": range("kg")});
    let density = with(&small(), "/feed_supply/bulk_density", json!("400 kg/m3"));
    for (body, rule, expected) in [
        (with(&small(), "/worm_beds/0/worms", range("kg")), "range_not_used", "/worm_beds/0/worms"),
        (with(&small(), "/feed_supply/supply", amount), "range_not_used", "/feed_supply/supply/amount"),
        (
            with(&small(), "/worm_beds/0/running", json!({"castings": range("L")})),
            "range_not_used",
            "/worm_beds/0/running/castings",
        ),
        (with(&small(), "/demands/0/minimum", range("L")), "range_not_used", "/demands/0/minimum"),
        (with(&small(), "/sack", json!({"capacity": range("L")})), "range_not_used", "/sack/capacity"),
        (
            with(&small(), "/assumptions", json!({"tea.use_within": "4 h"})),
            "assumption_not_used",
            "/assumptions/tea.use_within",
        ),
        (
            with(&small(), "/worm_beds/0/assumptions", json!({"tea.use_within": "4 h"})),
            "assumption_not_used",
            "/worm_beds/0/assumptions/tea.use_within",
        ),
        (with(&with(&small(), "/simulation_runs", json!(0)), "/seed", json!(4)), "field_not_used", "/seed"),
        (with(&small(), "/worm_beds", json!([])), "field_not_used", "/climate"),
        (with(&small(), "/worm_beds/0/feed", small()["feed_supply"].clone()), "field_not_used", "/feed_supply"),
    ] {
        assert!(places(&ok("seasons", &body), rule).contains(&expected.to_owned()), "{expected}");
        assert_eq!(places(&ok("seasons", &small()), rule), Vec::<String>::new());
    }
    // How dense the feed lies counts for its layers.
    let by_volume = with(&density, "/feed_supply/supply", json!({"kind": "amount", "amount": "200 L"}));
    let running = with(&density, "/worm_beds/0/running", json!({"uneaten_feed": "20 L"}));
    for used in [density, by_volume, running] {
        assert_eq!(places(&ok("seasons", &used), "field_not_used"), Vec::<String>::new());
    }
    let stock = with(&small(), "/stock/0/amount", range("L"));
    let wanted = with(&small(), "/demands/0/amount", range("kg"));
    for drawn in [stock, wanted] {
        assert_eq!(places(&ok("seasons", &drawn), "range_not_used"), Vec::<String>::new());
    }
    let balance = json!({"stock": [], "demands": [{"amount": "9 L"}], "simulation_runs": 9, "seed": 9});
    assert_eq!(places(&ok("balances", &balance), "field_not_used"), ["/simulation_runs", "/seed"]);
}

#[test]
fn seasons_that_cannot_be_are_refused_at_their_field() {
    let wanted = |field: &str, day: &str| json!([{"amount": "1 L", field: day}]);
    let tea = json!([{"brew": {"water": "9 L", "use_at": "2027-12-03T09:00:00+01:00"}}]);
    for (pointer, value, expected) in [
        ("/until", json!("2027-02-30"), "/until bad_date"),
        ("/as_of", json!("today"), "/as_of bad_date"),
        ("/until", json!("2037-03-02"), "/until out_of_range"),
        ("/revision", json!(-1), "/revision out_of_range"),
        ("/revision", json!(2_147_483_648_u64), "/revision out_of_range"),
        ("/simulation_runs", json!(-1), "/simulation_runs out_of_range"),
        ("/simulation_runs", json!(100_001), "/simulation_runs out_of_range"),
        ("/simulation_runs", json!(4_000_000_000_u64), "/simulation_runs out_of_range"),
        ("/seed", json!(-1), "/seed out_of_range"),
        ("/seed", json!(9_007_199_254_740_992_u64), "/seed out_of_range"),
        ("/seed", json!(1.5), "/seed not_an_integer"),
        ("/worm_beds/0/cycles", json!(0), "/worm_beds/0/cycles out_of_range"),
        ("/worm_beds/0/start_on", json!("2027-09-11"), "/worm_beds/0/start_on dates_out_of_order"),
        ("/worm_beds/0/worms", json!("0 kg"), "/worm_beds/0/worms out_of_range"),
        ("/feed_supply/supply/amount", json!("9 kg"), "/feed_supply/supply/amount unknown_field"),
        ("/climate/daily", json!({"first_day": "2027-03-01", "values": [20]}), "/climate exactly_one_of"),
        ("/additional_production", json!({"materials": []}), "/additional_production/materials wrong_length"),
        ("/additional_production", json!({}), "/additional_production/materials missing_field"),
        ("/demands", json!([]), "/demands wrong_length"),
    ] {
        assert_eq!(reported("seasons", &with(&small(), pointer, value)), [expected]);
    }
    let short = with(&small(), "/until", json!("2027-11-30"));
    for (demands, expected) in [
        (wanted("on", "2027-12-01"), "/demands/0/on dates_out_of_order"),
        (wanted("earliest", "2027-12-01"), "/demands/0/earliest dates_out_of_order"),
        (tea, "/demands/0/brew/use_at dates_out_of_order"),
    ] {
        assert_eq!(reported("seasons", &with(&short, "/demands", demands)), [expected]);
    }
    ok("seasons", &with(&short, "/demands", wanted("latest", "2027-12-01")));
    let same = json!([{"id": "a", "amount": "1 L"}, {"id": "a", "amount": "1 L"}]);
    assert_eq!(reported("seasons", &with(&small(), "/stock", same)), ["/stock/1/id repeated_id"]);
    let twice = json!([small()["worm_beds"][0], small()["worm_beds"][0]]);
    let twice =
        with(&with(&with(&small(), "/worm_beds", twice), "/worm_beds/0/id", json!("x")), "/worm_beds/1/id", json!("x"));
    assert_eq!(reported("seasons", &twice), ["/worm_beds/1/id repeated_id"]);
}

/// A refused season is not played through: as many runs as fit a number would take hours.
#[test]
fn nothing_is_drawn_for_a_request_with_faults() {
    let started = std::time::Instant::now();
    for (resource, body) in [
        ("seasons", with(&kitchen_garden(), "/simulation_runs", json!(4_000_000_000_u64))),
        ("seasons", with(&with(&kitchen_garden(), "/simulation_runs", json!(100_000)), "/seed", json!(-1))),
    ] {
        assert_eq!(post(resource, &body).status, 422);
    }
    assert!(started.elapsed().as_secs() < 3, "{:?}", started.elapsed());
}

#[test]
fn work_beyond_the_limits_is_refused_with_the_draws_that_fit() {
    let demands: Vec<Value> = (0..500).map(|_| json!({"amount": "1 mL", "on": "2027-09-10"})).collect();
    let body = json!({"stock": [], "demands": demands, "simulation_runs": 100_000});
    ok("seasons", &body);
    let body = with(&body, "/stock", json!([{"amount": "1 L"}]));
    let error = crate::support::errors("seasons", &body)[0].clone();
    assert_eq!(
        (&error["pointer"], &error["code"], &error["max"]),
        (&json!("/simulation_runs"), &json!("too_large"), &json!(99_800))
    );
    ok("seasons", &with(&body, "/simulation_runs", json!(1_000)));
}
