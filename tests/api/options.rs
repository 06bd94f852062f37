//! The options where something is short, over HTTP.

mod chances;
mod headline;

use crate::support::{demo, flat, form, ok, q, reported, with};
use serde_json::{Value, json};

fn options(question: &str, body: &Value) -> Vec<Value> {
    ok(question, body)["shortfall_options"]["options"].as_array().unwrap().clone()
}

fn kinds(options: &[Value]) -> Vec<&str> {
    options.iter().map(|option| option["kind"].as_str().unwrap()).collect()
}

fn priced() -> Value {
    json!({
        "climate": {"unit": "C", "fixed": 20}, "as_of": "2026-06-01",
        "demands": [{"amount": "40 L", "on": "2027-09-10"}],
        "sack": {"capacity": "40 L", "price": 30, "currency": "EUR"},
        "additional_production": {
            "worms_price": {"price": 25, "per": "1 kg", "currency": "EUR"},
            "materials": [
                {"material": "leaves_loose", "amount": "100 kg", "soak": true},
                {"material": "broiler_litter_dry", "amount": "60 kg", "rehydrate": {}, "price": {"price": 2, "per": "10 kg"}}
            ]
        }
    })
}

/// Grass and scraps alone cannot be as dry as 60 %. With leaves they can be as moist as worms need it, and the options say nothing of it.
#[test]
fn a_production_out_of_its_goal_says_so_in_its_option() {
    let wet =
        json!([{"material": "grass_clippings", "amount": "10 kg"}, {"material": "kitchen_scraps", "amount": "10 kg"}]);
    let with_leaves = json!([{"material": "grass_clippings", "amount": "10 kg"}, {"material": "leaves_loose"}]);
    let body = |materials: Value, goals: Value| {
        json!({"as_of": "2026-09-01", "stock": [{"amount": "20 L"}],
            "demands": [{"name": "carrots", "amount": "100 L", "on": "2027-06-05"}],
            "additional_production": {"climate": "18 C", "materials": materials, "goals": goals}})
    };
    let texts = |body: &Value| -> Vec<String> {
        let options =
            options("balances", body).into_iter().filter(|of| of["kind"].as_str().unwrap().starts_with("additional"));
        options.map(|of| of["text"].as_str().unwrap().to_owned()).collect()
    };
    let missed = body(wet.clone(), json!({"moisture": "60 %"}));
    let said = texts(&missed);
    assert_eq!(said.len(), 2);
    assert!(said.iter().all(|text| text.contains("; its mix has a moisture of 77 % in place of 60 %")), "{said:?}");
    for (accept, question) in [("text/plain", "balances?width=400"), ("text/html", "balances")] {
        let text = form(question, accept, &missed).text().to_owned();
        assert!(text.contains("in place of 60 %"), "{text}");
    }
    assert!(texts(&body(with_leaves, json!({"moisture": "75 %"}))).iter().all(|text| !text.contains("its mix")));
    // Without a goal, worms say how moist it has to be.
    let dry = json!([{"material": "leaves_loose", "amount": "10 kg"}]);
    let said = texts(&body(dry, json!({})));
    assert!(said.iter().all(|text| text.contains(" % its mix is outside the moisture that worms need")), "{said:?}");
}

/// The two lots of the interface: 55.6 L are short by 5 April; 34 L are left over from 10 May on. 61.8 % for each would leave more short, so it is
/// not offered.
#[test]
fn two_lots_have_two_options() {
    let mut body = demo("balances/two-lots.json");
    body["sack"] = json!({"capacity": "40 L", "price": 9.9, "currency": "EUR"});
    let expected = json!([
        {"kind": "later_supply", "text": "Let carrot rows wait for 25.3 L and salad bed wait for 8.73 L until 10 May 2027",
         "act_by": "2027-04-05", "shortfall": q(json!(21.6), "L"), "cost": 0, "currency": "EUR"},
        {"kind": "sacks", "text": "Buy 2 sacks of 40 L",
         "act_by": "2027-04-05", "shortfall": q(json!(0), "L"), "cost": 19.8, "currency": "EUR"},
    ]);
    assert_eq!(json!(options("balances", &body)), expected);
    // Without a price it comes last, and says none.
    body["sack"].as_object_mut().unwrap().remove("price");
    let unpriced = options("balances", &body);
    assert_eq!(kinds(&unpriced), ["later_supply", "sacks"]);
    assert!(unpriced[1].get("cost").is_none() && unpriced[1].get("currency").is_none());
    // After that day no sack comes in time, and it is said that the day to decide has passed.
    let late = options("balances", &with(&body, "/as_of", json!("2027-04-06")));
    assert_eq!(kinds(&late), ["later_supply"]);
    assert!(late.iter().all(|option| option["past"] == true));
}

#[test]
fn nothing_short_has_no_options() {
    let body = json!({"stock": [{"amount": "40 L"}], "demands": [{"amount": "40 L"}], "sack": {"capacity": "1 L"}});
    assert!(options("balances", &body).is_empty());
}

/// What is produced costs what its worms and its litter cost; leaves have no price, so they are not bought.
#[test]
fn production_costs_what_is_bought_for_it() {
    let answer = ok("seasons", &priced());
    let gap = &answer["shortfall_options"];
    let plan = &gap["additional_production"][0];
    let mut seen = 0;
    for (kind, batch) in [("additional_production", "likely"), ("additional_production_at_90_percent", "at_90_percent")]
    {
        let option = gap["options"].as_array().unwrap().iter().find(|option| option["kind"] == kind).unwrap();
        let number = |pointer: &str| plan[batch].pointer(pointer).unwrap().as_f64().unwrap();
        let expected = number("/worms/value") * 25.0 + number("/materials/1/mass/value") / 10.0 * 2.0;
        let cost = option["cost"].as_f64().unwrap();
        assert!((cost - expected).abs() < 1e-6 * expected, "{cost} {expected}");
        assert_eq!(option["act_by"], plan[batch]["start_on"]);
        assert_eq!((&option["shortfall"], &option["currency"]), (&q(json!(0), "L"), &json!("EUR")));
        seen += 1;
    }
    assert_eq!(seen, 2);
    let costs: Vec<f64> = gap["options"].as_array().unwrap().iter().map(|o| o["cost"].as_f64().unwrap()).collect();
    assert!(costs.windows(2).all(|pair| pair[0] <= pair[1]), "{costs:?}");
    // Worms in stock are not bought.
    let own = ok("seasons", &with(&priced(), "/additional_production/worms", json!("2 kg")));
    let option = |answer: &Value| {
        let all = answer["shortfall_options"]["options"].as_array().unwrap().clone();
        all.into_iter().find(|option| option["kind"] == "additional_production").unwrap()
    };
    assert!(option(&own)["cost"].as_f64().unwrap() < option(&answer)["cost"].as_f64().unwrap());
}

/// A latest start, a chance and a size that are given together are of one plan: a better chance never has the later start.
#[test]
fn latest_starts_of_one_size_are_in_order() {
    for body in [priced(), demo("seasons/kitchen-garden.json"), with(&priced(), "/as_of", json!("2027-05-01"))] {
        let answer = ok("seasons", &body);
        for plan in answer["shortfall_options"]["additional_production"].as_array().unwrap() {
            let sure = &plan["at_90_percent"];
            let starts = |of: &Value, sure: &str| {
                let day = |field: &str| of.get(field).map(|day| day.as_str().unwrap().to_owned());
                (day(sure), day("latest_start_at_50_percent"))
            };
            let (for_90, for_50) = starts(sure, "start_on");
            assert!(for_90.is_none() || for_90 <= for_50);
            for choice in plan["choices"].as_array().unwrap() {
                let (for_90, for_50) = starts(choice, "latest_start_at_90_percent");
                assert!(for_90.is_none() || for_90 <= for_50);
                if choice["layers"] == sure["layers"] {
                    assert_eq!((&choice["surface_area"], &choice["worms"]), (&sure["surface_area"], &sure["worms"]));
                    assert_eq!(choice.get("latest_start_at_90_percent"), sure.get("start_on"));
                }
            }
        }
    }
}

#[test]
fn prices_that_do_not_fit_are_refused() {
    let worms = "/additional_production/worms_price";
    let litter = "/additional_production/materials/1/price";
    for (change, expected) in [
        (with(&priced(), &format!("{worms}/per"), json!("1 L")), format!("{worms}/per unit_does_not_fit")),
        (with(&priced(), &format!("{worms}/price"), json!(-1)), format!("{worms}/price out_of_range")),
        (with(&priced(), &format!("{litter}/per"), json!("0 kg")), format!("{litter}/per out_of_range")),
        (
            with(&priced(), &format!("{worms}/currency"), json!("USD")),
            format!("{worms}/currency inconsistent_assumptions"),
        ),
        (with(&priced(), litter, json!({"price": 2})), format!("{litter}/per missing_field")),
    ] {
        assert_eq!(reported("seasons", &change), [expected]);
    }
}

/// Of 60 L, priorities 1 and 2 need 40 L each: 75 % for each leaves no more short than 40 and 20 L. Where 40 of the 60 L come too late for the
/// first, both can only get 50 % alike, and that would leave more short than 20 and 40 L.
#[test]
fn the_same_share_is_offered_where_it_leaves_no_more_short() {
    let body = |second: &str| {
        let lots = json!([{"amount": "20 L"}, {"amount": "40 L", "ready_on": second}]);
        let demand = |priority: u8, on: &str| json!({"amount": "40 L", "on": on, "priority": priority});
        json!({"stock": lots, "demands": [demand(1, "2027-04-05"), demand(2, "2027-05-05")]})
    };
    let all = options("balances", &body("2027-04-01"));
    assert_eq!((kinds(&all), &all[0]["shortfall"]), (vec!["pro_rata_share"], &q(json!(20), "L")));
    assert_eq!(all[0]["text"], "Give every demand 75 % of what it needs");
    assert!(!kinds(&options("balances", &body("2027-04-06"))).contains(&"pro_rata_share"));
}

/// Half for each is of no use to who needs 80 %, or only whole portions; where it is, it is offered.
#[test]
fn the_same_share_is_offered_only_where_it_is_of_use_to_everybody() {
    let offers = |body: &Value| kinds(&options("balances", body)).contains(&"pro_rata_share");
    let demand = |minimum: &str, priority: u8| json!({"amount": "60 L", "minimum": minimum, "priority": priority});
    let body =
        |minimum: &str| json!({"stock": [{"amount": "60 L"}], "demands": [demand(minimum, 1), demand(minimum, 2)]});
    assert_eq!([offers(&body("80 %")), offers(&body("50 %")), offers(&body("50.1 %"))], [false, true, false]);
    // One batch of tea, and 1 of its 2 L.
    let tea = json!({"stock": [{"amount": "1 L"}], "demands": [{"brew": {"water": "20 L", "castings_to_water": "1:10"}, "whole_portions": true}]});
    assert!(options("balances", &tea).is_empty());
    let pots = |count: u32, priority: u8| {
        let application =
            json!({"surface": {"kind": "plants", "count": count}, "rate": {"kind": "per_plant", "amount": "2 L"}});
        json!({"application": application, "whole_portions": true, "priority": priority})
    };
    let body = |count: u32| json!({"stock": [{"amount": format!("{} L", 2 * count)}], "demands": [pots(count, 1), pots(count, 2)]});
    assert_eq!([offers(&body(2)), offers(&body(3))], [true, false]);
}

/// 48 L are the least that is of use, and all 60 L are given: no other day helps. Where a lot keeps 48 L it does, and where it keeps less it does not.
#[test]
fn another_day_is_advised_only_where_a_lot_keeps_something() {
    let demand = |name: &str, on: &str, priority: u8| json!({"name": name, "amount": "60 L", "minimum": "80 %", "on": on, "priority": priority});
    let body =
        json!({"stock": [{"amount": "60 L"}], "demands": [demand("x", "2027-04-01", 1), demand("y", "2027-04-02", 2)]});
    let text = |body: &Value| flat(form("balances?width=300", "text/plain", body).text());
    let advice = "y gets nothing in this plan, since nothing is left for it on its days.";
    assert!(text(&body).contains(advice) && !text(&body).contains("hoose another day"), "{}", text(&body));
    let later =
        |amount: &str| with(&body, "/stock", json!([{"amount": "60 L"}, {"amount": amount, "ready_on": "2027-05-01"}]));
    assert!(text(&later("48 L")).contains(&format!("{advice} Choose another day.")));
    assert!(!text(&later("47.9 L")).contains("hoose another day"));
    // It would get some: to ask for less helps, another day does not.
    let some = with(&body, "/stock/0/amount", json!("70 L"));
    assert!(text(&some).contains("since it would get less than its minimum. Ask for less."), "{}", text(&some));
    let again = with(&body, "/demands/1/repeat", json!({"every": "7 d", "times": 2}));
    assert!(text(&again).contains("y gets nothing at times 1 and 2 in this plan. Ask for less."), "{}", text(&again));
}

/// 120 L by 20 April for 180 L of two demands of one priority: 60 L wait, each for what it lacks.
#[test]
fn who_waits_is_reported_with_how_much() {
    let body = json!({
        "stock": [{"amount": "120 L"}, {"amount": "150 L", "ready_on": "2027-05-10"}],
        "demands": [{"name": "carrots", "amount": "100 L", "on": "2027-04-05"}, {"name": "beans", "amount": "80 L", "on": "2027-04-20"},
                    {"name": "tomatoes", "amount": "60 L", "earliest": "2027-05-15", "latest": "2027-06-10"}],
    });
    let all = options("balances", &body);
    let wait = all.iter().find(|option| option["kind"] == "later_supply").unwrap();
    assert_eq!(wait["text"], "Let carrots wait for 33.3 L and beans wait for 26.7 L until 10 May 2027");
}

/// A demand that is over and was dropped, since it could not get its minimum, stays without castings whatever is bought today: it takes nothing of
/// what sacks are counted for, and is short as a whole. 40 L are needed, and what is not in stock of them is bought.
#[test]
fn what_is_over_and_was_dropped_is_not_bought_for() {
    let body = |stock: &str| {
        json!({
            "as_of": "2027-03-21", "stock": [{"amount": stock}], "sack": {"capacity": "20 L"},
            "demands": [{"name": "A", "amount": "100 L", "on": "2027-03-04", "minimum": "70 %"},
                        {"name": "B", "amount": "40 L", "on": "2027-03-25"}],
        })
    };
    for (stock, text) in [("50 L", None), ("30 L", Some("Buy 1 sack of 20 L")), ("10 L", Some("Buy 2 sacks of 20 L"))] {
        let answer = ok("balances", &body(stock));
        let options = answer["shortfall_options"]["options"].as_array().unwrap().clone();
        let sacks: Vec<&Value> = options.iter().filter(|option| option["kind"] == "sacks").collect();
        assert_eq!(
            sacks.iter().map(|of| of["text"].as_str().unwrap()).collect::<Vec<_>>(),
            Vec::from_iter(text),
            "{stock}"
        );
        for of in sacks {
            assert_eq!((&of["shortfall"]["value"], &of["act_by"]), (&json!(100), &json!("2027-03-25")), "{stock}");
        }
    }
}

/// One bed is promised once: for the first day, or for the first for which its castings come in time. What was needed before stays late.
#[test]
fn what_is_too_late_does_not_hide_what_is_in_time() {
    let season = |beans: &str| {
        json!({
            "as_of": "2027-01-10", "until": "2027-10-31", "climate": "19 C", "simulation_runs": 100, "stock": [{"amount": "50 L"}],
            "demands": [{"name": "beans", "amount": "100 L", "on": beans}, {"name": "kale", "amount": "120 L", "on": "2027-09-20"}],
            "additional_production": {
                "materials": [{"material": "leaves_shredded", "amount": "2 m3"}],
                "ground": {"kind": "area", "area": "4 m2"}, "worms": "6 kg",
            },
        })
    };
    let plans = |beans: &str| {
        ok("seasons", &season(beans))["shortfall_options"]["additional_production"].as_array().unwrap().clone()
    };
    let amounts = |plans: &[Value]| -> Vec<f64> {
        plans.iter().map(|plan| plan["shortfall"]["value"].as_f64().unwrap()).collect()
    };
    let late = plans("2027-02-10");
    assert_eq!((late[0]["by"].as_str(), late[1]["by"].as_str()), (Some("2027-02-10"), Some("2027-09-20")));
    // The beans may have the 50 L on hand, if the kale has castings of the new bed.
    assert_eq!(amounts(&late), [50.0, 120.0]);
    assert_eq!(late[0]["likely"]["too_late"]["limiting_factor"], "today");
    assert!(late[1]["likely"]["start_on"].as_str() > Some("2027-01-10"), "{}", late[1]["likely"]);
    assert_eq!(late[1]["likely"].get("too_late"), None);
    let in_time = plans("2027-08-10");
    assert_eq!((in_time[0]["by"].as_str(), amounts(&in_time)), (Some("2027-08-10"), vec![170.0]));
    // Where nothing is in time, all is planned for the first day.
    let never = with(&season("2027-02-10"), "/demands/1/on", json!("2027-02-20"));
    let never = ok("seasons", &never)["shortfall_options"]["additional_production"].as_array().unwrap().clone();
    assert_eq!((never[0]["by"].as_str(), amounts(&never)), (Some("2027-02-10"), vec![170.0]));
}
