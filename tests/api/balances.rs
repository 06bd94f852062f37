//! `POST /v1/balances`.

use crate::support::{demo, errors, flat, form, get, keys, ok, post, q, reported, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

fn two_lots() -> Value {
    ok("balances", &demo("balances/two-lots.json"))
}

/// One lot of 90 L and one demand.
fn demand(demand: &Value) -> Value {
    json!({"stock": [{"amount": "90 L"}], "demands": [demand]})
}

/// Whole thousandths in a decimal number, read off its digits.
pub fn thousandths(quantity: &Value) -> i64 {
    let text = quantity["value"].to_string();
    let (whole, part) = text.split_once('.').unwrap_or((&text, ""));
    assert!(part.len() <= 3, "{text} has more than millilitres");
    whole.parse::<i64>().unwrap() * 1000 + format!("{part:0<3}").parse::<i64>().unwrap()
}

#[test]
fn the_totals_are_the_worked_ones() {
    let total = &two_lots()["total"];
    for (name, litres) in [
        ("needed", json!(171.6)),
        ("supply", json!(150)),
        ("allocated", json!(116)),
        ("shortfall", json!(55.6)),
        ("remaining", json!(34)),
        ("expired", json!(0)),
    ] {
        assert_eq!(total[name], q(litres, "L"), "{name}");
    }
}

#[test]
fn carrots_and_salad_share_alike_and_the_rest_gets_all() {
    let answer = two_lots();
    let given: Vec<&Value> =
        answer["demands"].as_array().unwrap().iter().map(|demand| &demand["allocated"]["value"]).collect();
    assert_eq!(given, [&json!(40), &json!(22.727), &json!(27.273), &json!(6), &json!(20)]);
    let carrots = &answer["demands"][1];
    assert_eq!(carrots["shortfall"], q(json!(25.273), "L"));
    assert_eq!(carrots["share_allocated"], q(json!(47.3479167), "%"));
    assert_eq!(carrots["rate_allocated"], json!({"kind": "depth", "amount": q(json!(4.73479167), "mm")}));
    let stock = json!({"index": 0, "name": "cured bin"});
    assert_eq!(carrots["allocations"], json!([{"lot": stock, "on": "2027-04-05", "amount": q(json!(22.727), "L")}]));
}

#[test]
fn the_running_balance_and_the_gap_are_the_worked_ones() {
    let answer = two_lots();
    let left: Vec<(&str, f64)> = answer["by_date"]
        .as_array()
        .unwrap()
        .iter()
        .map(|day| (day["date"].as_str().unwrap(), day["closing_stock"]["value"].as_f64().unwrap()))
        .collect();
    let wanted = [
        ("2027-03-01", 90.0),
        ("2027-03-20", 50.0),
        ("2027-04-05", 0.0),
        ("2027-05-10", 60.0),
        ("2027-05-15", 54.0),
        ("2027-06-10", 34.0),
    ];
    assert_eq!(left, wanted);
    assert_eq!(answer["pro_rata_share"], q(json!(61.8131868), "%"));
    assert_eq!(answer["first_shortfall_on"], "2027-04-05");
    let gap = &answer["shortfall_options"];
    assert_eq!(gap["pro_rata_share"], answer["pro_rata_share"]);
    let sack = json!({"by": "2027-04-05", "count": 2, "capacity": q(json!(40), "L"), "cost": 19.8, "currency": "EUR"});
    assert_eq!(gap["sacks"], json!([sack]));
    assert_eq!(keys(&gap["sacks"][0]), ["by", "count", "capacity", "cost", "currency"]);
}

#[test]
fn keys_stand_in_the_documented_order() {
    let answer = two_lots();
    let shown = [
        "computed_with",
        "units",
        "total",
        "pro_rata_share",
        "first_shortfall_on",
        "demands",
        "stock",
        "by_date",
        "shortfall_options",
        "assumptions",
        "cautions",
    ];
    let mut found = keys(&answer);
    found.retain(|key| shown.contains(key));
    assert_eq!(found, shown);
    assert_eq!(
        keys(&answer["total"]),
        ["needed", "supply", "stock_to_come", "allocated", "shortfall", "remaining", "expired"]
    );
    let shown = ["name", "needed", "allocated", "shortfall", "share_allocated", "rate_allocated", "allocations"];
    let mut found = keys(&answer["demands"][1]);
    found.retain(|key| shown.contains(key));
    assert_eq!(found, shown);
    assert_eq!(keys(&answer["by_date"][0]), ["date", "received", "allocated", "expired", "closing_stock"]);
}

fn assert_adds_up(answer: &Value) {
    let demands = answer["demands"].as_array().unwrap();
    let stock = answer["stock"].as_array().unwrap();
    for demand in demands.iter().chain([&answer["total"]]) {
        assert_eq!(
            thousandths(&demand["allocated"]) + thousandths(&demand["shortfall"]),
            thousandths(&demand["needed"]),
            "{demand}"
        );
    }
    for lot in stock {
        let parts = ["allocated", "remaining", "expired"].map(|name| thousandths(&lot[name]));
        assert_eq!(parts.iter().sum::<i64>(), thousandths(&lot["amount"]), "{lot}");
    }
    for demand in demands {
        let drawn: i64 =
            demand["allocations"].as_array().unwrap().iter().map(|draw| thousandths(&draw["amount"])).sum();
        assert_eq!(drawn, thousandths(&demand["allocated"]), "{demand}");
    }
    let mut left = thousandths(&answer["opening_stock"]);
    for day in answer["by_date"].as_array().unwrap() {
        left += thousandths(&day["received"]) - thousandths(&day["allocated"]) - thousandths(&day["expired"]);
        assert_eq!(left, thousandths(&day["closing_stock"]), "{day}");
    }
}

#[test]
fn given_and_short_make_wanted_digit_for_digit() {
    assert_adds_up(&two_lots());
    assert_adds_up(&ok("balances", &demo("balances/kitchen-garden.json")));
    let thirds = json!({"stock": [{"amount": "1 L"}, {"amount": "0.1 ft3", "use_by": "2027-04-01"}],
        "demands": [{"amount": "1.1 L"}, {"amount": "1/3 L"}, {"amount": "7 US gal", "on": "2027-05-01"}]});
    assert_adds_up(&ok("balances", &thirds));
}

#[test]
fn a_thousand_demands_and_fifty_lots_are_balanced() {
    let day = |n: usize| format!("2027-{:02}-{:02}", 3 + n % 5, 1 + n % 28);
    let stock: Vec<Value> = (0..50)
        .map(|n| json!({"amount": format!("{} L", 5 + 7 * n % 40), "ready_on": day(n), "use_by": day(n + 28 * 5 - n % 5 + 4)}))
        .filter(|lot| lot["use_by"].as_str() > lot["ready_on"].as_str())
        .collect();
    let demands: Vec<Value> = (0..1_000)
        .map(|n| json!({"amount": format!("0.{} L", 101 + n * 17 % 800), "on": day(n), "priority": 1 + n % 4}))
        .collect();
    let body = json!({"stock": stock, "demands": demands});
    let answer = ok("balances", &body);
    assert_eq!(answer["demands"].as_array().unwrap().len(), 1_000);
    assert!(thousandths(&answer["total"]["allocated"]) > 0);
    assert_adds_up(&answer);
    for (asked, got) in demands.iter().zip(answer["demands"].as_array().unwrap()) {
        assert_eq!(asked["on"], got["earliest"]);
        assert!(got["allocations"].as_array().unwrap().iter().all(|draw| draw["on"] == asked["on"]));
    }
}

#[test]
fn a_demand_is_one_of_amount_application_and_brew() {
    let application =
        json!({"surface": {"kind": "plants", "count": 2}, "rate": {"kind": "per_plant", "amount": "1 L"}});
    let brew = json!({"water": "20 L", "brewer": {"capacity": "10 L"}});
    for one in [json!({"amount": "2 L"}), json!({"application": application}), json!({"brew": brew})] {
        assert_eq!(ok("balances", &demand(&one))["demands"][0]["needed"]["value"], 2);
    }
    for other in [
        json!({}),
        json!({"amount": "2 L", "brew": brew}),
        json!({"application": application, "brew": brew}),
        json!({"amount": "2 L", "application": application, "brew": brew}),
        json!({"amount": null}),
    ] {
        assert_eq!(reported("balances", &demand(&other)), ["/demands/0 exactly_one_of"], "{other}");
    }
}

#[test]
fn only_pieces_can_be_served_whole() {
    let pots = json!({"surface": {"kind": "pots", "count": 100, "volume": "1 L"}, "rate": {"kind": "per_plant", "amount": "1 L"}});
    let answer = ok(
        "balances",
        &with(&demand(&json!({"application": pots, "whole_portions": true})), "/stock/0/amount", json!("7.5 L")),
    );
    assert_eq!(answer["demands"][0]["whole_portions"], json!({"needed": 100, "allocated": 7}));
    assert_eq!(answer["demands"][0]["allocated"], q(json!(7), "L"));
    let amount = demand(&json!({"amount": "1 L", "whole_portions": true}));
    assert_eq!(reported("balances", &amount), ["/demands/0/whole_portions not_allowed_here"]);
}

#[test]
fn dates_that_contradict_each_other_are_refused() {
    let brew = json!({"water": "20 L", "use_at": "2027-06-10T18:00:00+02:00"});
    for (one, error) in [
        (json!({"amount": "1 L", "on": "2027-03-20", "earliest": "2027-03-01"}), "on exactly_one_of"),
        (json!({"amount": "1 L", "on": "2027-03-20", "latest": "2027-04-01"}), "on exactly_one_of"),
        (json!({"amount": "1 L", "earliest": "2027-03-20", "latest": "2027-03-19"}), "latest dates_out_of_order"),
        (json!({"brew": brew, "on": "2027-06-10"}), "on not_allowed_here"),
        (json!({"brew": brew, "latest": "2027-06-10"}), "latest not_allowed_here"),
        (json!({"amount": "1 L", "on": "2027-02-29"}), "on bad_date"),
        (json!({"amount": "1 L", "on": "20.3.2027"}), "on bad_date"),
        (json!({"amount": "1 L", "on": "2027-3-20"}), "on bad_date"),
        (json!({"amount": "1 L", "on": "1899-12-31"}), "on out_of_range"),
        (json!({"amount": "1 L", "on": "2200-01-01"}), "on out_of_range"),
        (json!({"amount": "1 L", "on": 20270320}), "on wrong_type"),
    ] {
        assert_eq!(reported("balances", &demand(&one)), [format!("/demands/0/{error}")], "{one}");
    }
    let same_day = demand(&json!({"amount": "1 L", "earliest": "2027-03-20", "latest": "2027-03-20"}));
    assert_eq!(ok("balances", &same_day)["demands"][0]["allocated"]["value"], 1);
}

#[test]
fn lots_are_checked_as_well() {
    let one = demand(&json!({"amount": "1 L"}));
    let heap = json!({"kind": "cone", "diameter": "1 m", "height": "1 m"});
    for (lot, error) in [
        (json!({}), "/stock/0 exactly_one_of"),
        (json!({"amount": "1 L", "heap": heap}), "/stock/0 exactly_one_of"),
        (
            json!({"amount": "1 L", "ready_on": "2027-05-02", "use_by": "2027-05-01"}),
            "/stock/0/use_by dates_out_of_order",
        ),
        (json!({"amount": "1 m2"}), "/stock/0/amount unit_does_not_fit"),
        (json!({"heap": with(&heap, "/height", json!(1))}), "/stock/0/heap/height unit_missing"),
    ] {
        assert_eq!(reported("balances", &with(&one, "/stock/0", lot)), [error]);
    }
    // By mass, the bulk density makes it a volume, and is reported as used.
    let by_mass = ok("balances", &with(&one, "/stock/0", json!({"amount": "6 kg"})));
    assert_eq!(by_mass["total"]["supply"]["value"], 10);
    assert_eq!(by_mass["assumptions"][0]["id"], "castings.bulk_density");
    let eleven_years =
        with(&with(&one, "/stock/0/ready_on", json!("2016-01-01")), "/demands/0/on", json!("2027-01-01"));
    assert_eq!(reported("balances", &eleven_years), [" out_of_range"]);
    let nothing = with(&one, "/stock", json!([]));
    assert_eq!(ok("balances", &nothing)["total"]["shortfall"]["value"], 1);
}

#[test]
fn without_a_today_nothing_is_called_past() {
    let one = demand(&json!({"amount": "1 L", "on": "2027-03-20"}));
    assert!(ok("balances", &one)["demands"][0].get("past").is_none());
    let later = ok("balances", &with(&one, "/as_of", json!("2027-03-21")));
    assert_eq!(later["demands"][0]["past"], true);
    let today = ok("balances", &with(&one, "/as_of", json!("2027-03-20")));
    assert!(today["demands"][0].get("past").is_none());
}

/// Castings cannot be used in the past: a demand that lies ahead is served from today on, and a lot whose use-by has passed serves it no more.
/// What had its last day before today may have got its castings in time.
#[test]
fn a_lot_past_its_use_by_serves_no_demand_that_lies_ahead() {
    let body = json!({"stock": [{"amount": "10 L", "use_by": "2027-04-10"}], "demands": [{"amount": "5 L", "latest": "2027-05-01"}]});
    let said = "The use-by of 1 lot has passed, so what is left of it does not count (lot 1).";
    let sums = |answer: &Value| {
        let litres = |of: &Value, names: [&str; 3]| names.map(|name| of[name]["value"].as_f64().unwrap());
        let demand = litres(&answer["demands"][0], ["needed", "allocated", "shortfall"]);
        let lot = litres(&answer["stock"][0], ["allocated", "remaining", "expired"]);
        assert_eq!(litres(&answer["total"], ["allocated", "remaining", "expired"]), lot);
        [demand, lot]
    };
    let undated = ok("balances", &body);
    assert_eq!(sums(&undated), [[5.0, 5.0, 0.0], [5.0, 0.0, 5.0]]);
    assert!(!undated["headline"].as_str().unwrap().contains("use-by"));
    let today = with(&body, "/as_of", json!("2027-04-20"));
    let season = with(&with(&today, "/until", json!("2027-06-01")), "/simulation_runs", json!(200));
    for (question, body) in [("balances", &today), ("seasons", &season)] {
        let answer = ok(question, body);
        assert_eq!(sums(&answer), [[5.0, 0.0, 5.0], [0.0, 0.0, 10.0]], "{question}");
        let headline = answer["headline"].as_str().unwrap();
        assert!(headline.starts_with("Not enough. ") && headline.contains(said), "{headline}");
        for accept in ["text/plain", "text/html"] {
            assert!(flat(form(question, accept, body).text()).contains(said), "{question} {accept}");
        }
    }
    assert_eq!(ok("seasons", &season)["demands"][0]["chance_full"]["value"], 5);
    // On the last day it still serves, and a demand of the past is served as it may have been.
    let last_day = with(&body, "/as_of", json!("2027-04-10"));
    assert_eq!(sums(&ok("balances", &last_day)), [[5.0, 5.0, 0.0], [5.0, 0.0, 5.0]]);
    let past = ok("balances", &with(&today, "/demands/0/latest", json!("2027-04-15")));
    assert_eq!(sums(&past), [[5.0, 5.0, 0.0], [5.0, 0.0, 5.0]]);
    assert!(past["headline"].as_str().unwrap().contains(said), "{}", past["headline"]);
    // Another lot serves it, from today on.
    let lots = json!([{"amount": "10 L", "use_by": "2027-04-10"}, {"amount": "5 L"}]);
    let two = with(&with(&today, "/stock", lots), "/demands/0/earliest", json!("2027-04-01"));
    let answer = ok("balances", &two);
    let demand = &answer["demands"][0];
    let lot = json!({"index": 1});
    assert_eq!(demand["allocations"], json!([{"lot": lot, "on": "2027-04-20", "amount": q(json!(5), "L")}]));
    assert_eq!((&demand["earliest"], &answer["total"]["expired"]["value"]), (&json!("2027-04-20"), &json!(10)));
}

/// The same of raw castings whose interval ended before today: 120 days before 10 August are the 12th of April.
#[test]
fn raw_castings_serve_no_demand_from_today_on_after_their_last_day() {
    let crop = json!({"first_crop_harvest": "2027-08-10", "edible_part": "touches_soil", "incorporated": true});
    let body = json!({"stock": [{"amount": "10 L", "manure": {"kind": "untreated"}}], "enforce_application_to_harvest_interval": true,
        "demands": [{"amount": "5 L", "latest": "2027-05-01", "crop": crop}]});
    let allocated = |body: &Value| ok("balances", body)["demands"][0]["allocated"]["value"].clone();
    assert_eq!(allocated(&body), 5);
    assert_eq!(allocated(&with(&body, "/as_of", json!("2027-04-12"))), 5);
    assert_eq!(allocated(&with(&body, "/as_of", json!("2027-04-13"))), 0);
    // Not enforced, the interval counts from today.
    let open = with(
        &with(&body, "/enforce_application_to_harvest_interval", json!(false)),
        "/demands/0/earliest",
        json!("2027-03-01"),
    );
    let harvest = |body: &Value| ok("balances", body)["demands"][0]["allocations"][0]["earliest_crop_harvest"].clone();
    assert_eq!(harvest(&open), "2027-06-29");
    assert_eq!(harvest(&with(&open, "/as_of", json!("2027-04-20"))), "2027-08-18");
}

/// Nobody waits for castings of a day that has passed: of the two lots the first has expired, and the second is there today.
#[test]
fn who_waits_is_served_from_today_on() {
    let body = json!({
        "stock": [{"amount": "5 L", "ready_on": "2027-04-05", "use_by": "2027-04-10"}, {"amount": "3 L", "ready_on": "2027-04-07"}],
        "demands": [{"amount": "5 L", "on": "2027-04-01"}]
    });
    let waits = |body: &Value| {
        let all = ok("balances", body)["shortfall_options"]["later_supply"].clone();
        all.as_array()
            .unwrap()
            .iter()
            .map(|of| (of["until"].clone(), of["amount"]["value"].clone()))
            .collect::<Vec<_>>()
    };
    assert_eq!(waits(&body), [(json!("2027-04-05"), json!(5))]);
    assert_eq!(waits(&with(&body, "/as_of", json!("2027-04-20"))), [(json!("2027-04-20"), json!(3))]);
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    let body = demo("balances/kitchen-garden.json");
    assert_eq!(post("balances", &body).bytes, post("balances", &body).bytes);
}

#[test]
fn a_purchase_that_comes_too_late_is_called_past_only_with_as_of() {
    let body = json!({
        "stock": [], "demands": [{"amount": "10 L", "on": "2027-03-20"}], "sack": {"capacity": "6 kg", "price": 4.5}
    });
    let sacks = |body: &Value| ok("balances", body)["shortfall_options"]["sacks"][0].clone();
    // 6 kg at 600 kg/m3 are 10 L.
    assert_eq!(sacks(&body)["capacity"]["value"], 10);
    assert_eq!(sacks(&body)["cost"], 4.5);
    assert!(sacks(&body).get("past").is_none());
    assert_eq!(sacks(&with(&body, "/as_of", json!("2027-04-01")))["past"], true);
    assert!(sacks(&with(&body, "/as_of", json!("2027-03-20"))).get("past").is_none());
}

/// Each day on which batches start counts as a demand of its own, evened out with the others of that day.
#[test]
fn a_tea_in_rounds_shares_each_day_by_itself() {
    let tea = json!({
        "water": "100 L", "castings_to_water": "1:10", "brewer": {"capacity": "50 L", "turnaround": "24 h"},
        "brewing_time": "24 h", "use_at": "2027-06-09T08:00:00Z"
    });
    let body = json!({
        "stock": [{"amount": "5 L", "ready_on": "2027-06-01", "use_by": "2027-06-08"}, {"amount": "100 L", "ready_on": "2027-06-10"}],
        "demands": [{"brew": tea}, {"amount": "5 L", "on": "2027-06-08"}]
    });
    let answer = ok("balances", &body);
    assert_eq!(answer["demands"][0]["allocated"]["value"], 7.5);
    assert_eq!(answer["demands"][1]["allocated"]["value"], 2.5);
    assert_eq!(answer["demands"][0]["allocations"].as_array().unwrap().len(), 2);
}

#[test]
fn measures_of_mass_count_what_is_given_by_its_weight() {
    let body = json!({
        "containers": [{"name": "bag", "capacity": "20 kg"}],
        "stock": [{"amount": "3 bags"}], "demands": [{"amount": "50 L"}]
    });
    let answer = ok("balances", &body);
    assert_eq!(answer["total"]["supply"]["value"], 100);
    assert_eq!(
        answer["demands"][0]["in_containers"][0],
        json!({"value": 1.5, "low": 1.125, "high": 2.25, "unit": "bag"})
    );
}

// ---------------------------------------------------------------------------
// The least that is of use
// ---------------------------------------------------------------------------

/// 72 L in March: 12 for the pots, 2 for the currants, that can wait for more, and 58 for the rest: 29 L each for onions and
/// carrots at first. The salad, last in the queue, has nothing and is dropped, then the onions; the salad comes back.
#[test]
fn demands_below_their_minimum_are_dropped_and_reported() {
    let answer = ok("balances", &demo("balances/not-worth-less.json"));
    assert_adds_up(&answer);
    let given: Vec<&Value> =
        answer["demands"].as_array().unwrap().iter().map(|one| &one["allocated"]["value"]).collect();
    assert_eq!(given, [&json!(12), &json!(0), &json!(48), &json!(12), &json!(10)]);
    let onions = &answer["demands"][1];
    assert_eq!(
        onions["dropped"],
        json!({"minimum": q(json!(36), "L"), "would_have_been_allocated": q(json!(30), "L")})
    );
    assert_eq!(onions["shortfall"], q(json!(48), "L"));
    assert!(onions.get("rate_allocated").is_none());
    assert_eq!(onions["allocations"], json!([]));
    for other in [0, 2, 3, 4] {
        assert!(answer["demands"][other].get("dropped").is_none());
    }
    let gap = &answer["shortfall_options"];
    assert_eq!(
        keys(gap),
        ["options", "pro_rata_share", "sacks", "served_later", "later_supply", "additional_production"]
    );
    // 18 + 18 + 10 L are missing when nobody is dropped, and two sacks hold 80 L; they serve everybody up to the last day.
    let sacks: Vec<&Value> = gap["sacks"].as_array().unwrap().iter().map(|sack| &sack["count"]).collect();
    assert_eq!(sacks, [&json!(2)]);
    let moved = json!({"demand": {"index": 3, "name": "new currant bushes"}, "first_possible_on": "2027-03-15",
        "allocated_on": "2027-05-05", "amount": q(json!(10), "L")});
    assert_eq!(gap["served_later"], json!([moved]));
    assert_eq!(keys(&gap["served_later"][0]), ["demand", "first_possible_on", "allocated_on", "amount"]);
    let wait = json!({"demand": {"index": 1, "name": "onion bed"}, "latest": "2027-03-25", "until": "2027-05-05",
        "amount": q(json!(48), "L")});
    assert_eq!(gap["later_supply"], json!([wait]));
    assert_eq!(keys(&gap["later_supply"][0]), ["demand", "latest", "until", "amount"]);
}

/// The north bed is ready on 10 May, and 34 L of it are left: all that the carrots lack, and a part for the salad.
#[test]
fn who_is_short_is_told_until_when_to_wait() {
    let wait = |index: u64, name: &str, litres: f64| json!({"demand": {"index": index, "name": name}, "latest": "2027-04-05", "until": "2027-05-10", "amount": q(json!(litres), "L")});
    let answer = two_lots();
    let reported = json!([wait(1, "carrot rows", 25.273), wait(2, "salad bed", 8.727)]);
    assert_eq!(answer["shortfall_options"]["later_supply"], reported);
    assert_eq!(answer["shortfall_options"]["served_later"], json!([]));
    // Asked again with both dates as reported, and the salad with no more than that, nobody is short.
    let mut body = demo("balances/two-lots.json");
    for (index, until) in [(1, "2027-05-10"), (2, "2027-05-10")] {
        let demand = body["demands"][index].as_object_mut().unwrap();
        demand.remove("on");
        demand.insert("earliest".to_owned(), json!("2027-04-05"));
        demand.insert("latest".to_owned(), json!(until));
    }
    let again = ok("balances", &body);
    assert_eq!(thousandths(&again["total"]["allocated"]), thousandths(&answer["total"]["allocated"]) + 34_000);
}

#[test]
fn a_minimum_is_a_volume_a_mass_or_a_share() {
    let rows = json!({"surface": {"kind": "rows", "count": 4, "length": "6 m", "band_width": "20 cm"},
        "rate": {"kind": "depth", "amount": "1 cm"}});
    // 48 L, 28.8 kg at 600 kg/m3.
    let asked = |least: Value, more: Value| {
        let mut one = json!({"application": rows, "minimum": least});
        one["application"]["assumptions"] = more;
        let body = with(&demand(&one), "/stock/0/amount", json!("23.9 L"));
        ok("balances", &body)["demands"][0]["dropped"]["minimum"].clone()
    };
    for least in [json!("24 L"), json!("14.4 kg"), json!("50 %"), json!({"value": 24, "unit": "L"})] {
        assert_eq!(asked(least.clone(), json!({})), q(json!(24), "L"), "{least}");
    }
    // A mass by what these castings weigh: 48 L at 800 kg/m3 are 38.4 kg, half of it 19.2 kg.
    assert_eq!(asked(json!("19.2 kg"), json!({"castings.bulk_density": "800 kg/m3"})), q(json!(24), "L"));
    let amount = json!({"stock": [{"amount": "9 L"}], "assumptions": {"castings.bulk_density": "800 kg/m3"},
        "demands": [{"amount": "20 L", "minimum": "8 kg"}]});
    let answer = ok("balances", &amount);
    assert_eq!(answer["demands"][0]["dropped"]["minimum"], q(json!(10), "L"));
    assert_eq!(answer["assumptions"][0]["set_by"], "request");
    let tea = json!({"water": "20 L", "castings_to_water": "1:10", "brewer": {"capacity": "10 L"}});
    let body = json!({"stock": [{"amount": "1 L"}], "demands": [{"brew": tea, "minimum": "60 %"}]});
    assert_eq!(ok("balances", &body)["demands"][0]["dropped"]["minimum"], q(json!(1.2), "L"));
    let measure = json!({"containers": [{"name": "bucket", "capacity": "12 L"}], "stock": [{"amount": "9 L"}],
        "demands": [{"amount": "2 buckets", "minimum": "1 bucket"}]});
    assert_eq!(ok("balances", &measure)["demands"][0]["dropped"]["minimum"], q(json!(12), "L"));
}

#[test]
fn a_minimum_that_cannot_be_is_refused() {
    for (least, code) in [
        (json!("40.001 L"), "out_of_range"),
        (json!("24.1 kg"), "out_of_range"),
        (json!("101 %"), "out_of_range"),
        (json!("0 %"), "out_of_range"),
        (json!("0 L"), "out_of_range"),
        (json!("5 mm"), "unit_does_not_fit"),
        (json!("0.5"), "share_without_percent"),
        (json!(0.5), "share_without_percent"),
        (json!(12), "unit_missing"),
        (json!(true), "wrong_type"),
        (json!("half"), "bad_number"),
    ] {
        let body = demand(&json!({"amount": "40 L", "minimum": least}));
        assert_eq!(reported("balances", &body), [format!("/demands/0/minimum {code}")], "{least}");
    }
    let above = &errors("balances", &demand(&json!({"amount": "40 L", "minimum": "45 L"})))[0];
    assert_eq!((&above["min"], &above["max"]), (&json!(0.001), &json!(40)));
    for all in ["40 L", "24 kg", "100 %"] {
        ok("balances", &demand(&json!({"amount": "40 L", "minimum": all})));
    }
    // Every error at once, in the order of the request.
    let several = json!({"stock": [{"amount": "9 L"}], "demands": [
        {"amount": "40 m", "minimum": "5 mm"}, {"amount": "4 L", "minimum": "5 L", "on": "2027-02-29"}]});
    let wanted = [
        "/demands/0/amount unit_does_not_fit",
        "/demands/0/minimum unit_does_not_fit",
        "/demands/1/minimum out_of_range",
        "/demands/1/on bad_date",
    ];
    assert_eq!(reported("balances", &several), wanted);
}

#[test]
fn a_hundred_demands_may_have_a_minimum() {
    let limit = usize::try_from(get("/v1/limits").json()["minimums"].as_u64().unwrap()).unwrap();
    let document = get("/openapi.json").json();
    let text = document["components"]["schemas"]["DemandRequest"]["properties"]["minimum"].to_string();
    assert!(text.contains(&format!("At most {limit} demands")), "{text}");
    let body = |count: usize| {
        let mut demands = vec![json!({"amount": "1 L", "minimum": "60 %"}); count];
        demands.push(json!({"amount": "1 L"}));
        json!({"stock": [{"amount": "50 L"}], "demands": demands})
    };
    let answer = ok("balances", &body(limit));
    assert_adds_up(&answer);
    assert!(answer["demands"][limit].get("dropped").is_none());
    assert_eq!(reported("balances", &body(limit + 1)), ["/demands too_large"]);
}

#[test]
fn the_table_says_what_a_dropped_demand_would_have_got() {
    let headers = [("content-type", "application/json"), ("accept", "text/csv")];
    let body = serde_json::to_vec(&demo("balances/not-worth-less.json")).unwrap();
    let table = send(&service(), (Method::POST, "/v1/balances"), &headers, body);
    let rows: Vec<Vec<&str>> = table.text().lines().map(|line| line.split(',').collect()).collect();
    let place = rows[0].iter().position(|name| *name == "would_have_been_allocated_L").unwrap();
    let onions = rows.iter().find(|row| row[2] == "onion bed").unwrap();
    let carrots = rows.iter().find(|row| row[2] == "carrot rows").unwrap();
    assert_eq!((onions[place], carrots[place]), ("30", ""));
}

/// What is there, what is listed for later and what beds are expected to give are shown separately, and add up to the supply.
#[test]
fn the_supply_tells_what_is_there_from_what_is_to_come() {
    let body = json!({"stock": [{"amount": "5 L"}, {"amount": "7 L", "ready_on": "2027-03-01"}, {"amount": "11 L", "ready_on": "2027-06-01"}],
        "demands": [{"amount": "1 L"}]});
    let parts = |answer: &Value| {
        ["supply", "on_hand", "stock_to_come", "expected_harvest"].map(|part| answer["total"][part]["value"].clone())
    };
    assert_eq!(parts(&ok("balances", &body)), [json!(23), json!(5), json!(18), Value::Null]);
    let today = with(&body, "/as_of", json!("2027-03-01"));
    assert_eq!(parts(&ok("balances", &today)), [json!(23), json!(12), json!(11), Value::Null]);
    let season = ok("seasons", &demo("seasons/kitchen-garden.json"));
    let total = &season["total"];
    let harvests = season["worm_beds"].as_array().unwrap().iter().flat_map(|bed| bed["lots"].as_array().unwrap());
    assert_eq!(thousandths(&total["expected_harvest"]), harvests.map(|lot| thousandths(&lot["amount"])).sum::<i64>());
    let sum = thousandths(&total["on_hand"]) + thousandths(&total["expected_harvest"]);
    assert_eq!(sum, thousandths(&total["supply"]));
}

/// 30 pots of 3 L at 20 % take 18 L, and 15 L are enough for 25 of them.
fn pots() -> Value {
    let application = json!({"surface": {"kind": "pots", "count": 30, "volume": "3 L"}, "rate": {"kind": "share_of_mix", "amount": "20 %"}});
    json!({"stock": [{"name": "bin", "amount": "15 L"}],
           "demands": [{"name": "pots", "application": application, "on": "2027-06-10", "whole_portions": true}]})
}

/// Each pot that gets castings gets the rate that was asked; how many do is said in every form.
#[test]
fn whole_portions_keep_their_rate() {
    let demand = ok("balances", &pots())["demands"][0].clone();
    assert_eq!(demand["whole_portions"], json!({"needed": 30, "allocated": 25}));
    assert_eq!(demand["rate_allocated"], json!({"kind": "share_of_mix", "amount": q(json!(20), "%")}));
    for question in ["balances", "seasons"] {
        for accept in ["text/plain", "text/html"] {
            let text = flat(form(question, accept, &pots()).text());
            assert!(text.contains("25 of 30 pots at 20 %") && !text.contains("16.7"), "{question} {accept} {text}");
        }
    }
    let season = ok("seasons", &pots());
    let said = "for 25 of 30 pots at 20 %; of the 18 L of castings needed, 3 L are missing";
    assert_eq!(season["work"][0]["note"], said);
    for accept in ["text/plain", "text/html", "text/calendar"] {
        let text = form("seasons", accept, &pots()).text().replace("\r\n ", "").replace(['\\'], "");
        assert!(flat(&text).contains("or 25 of 30 pots at 20 %; of the 18 L"), "{accept} {text}");
    }
    // Where all get theirs it is the rate alone.
    let all = flat(form("balances", "text/plain", &with(&pots(), "/stock/0/amount", json!("18 L"))).text());
    assert!(all.contains("20 %") && !all.contains("of 30 pots"), "{all}");
}

/// By mass each of them makes what its lot weighs: 12 L of 0.5 kg/L are enough for seven of ten plants, each 1 kg by 0.6 kg/L.
#[test]
fn whole_portions_by_mass_make_what_their_lots_weigh() {
    let application =
        json!({"surface": {"kind": "plants", "count": 10}, "rate": {"kind": "per_plant", "amount": "1 kg"}});
    let own = json!({"castings.bulk_density": "500 kg/m3", "castings.dry_bulk_density": "200 kg/m3"});
    let body = json!({"stock": [{"amount": "12 L", "assumptions": own}], "explain": true,
        "assumptions": {"castings.bulk_density": "600 kg/m3", "castings.dry_bulk_density": "240 kg/m3"},
        "demands": [{"application": application, "whole_portions": true}]});
    let answer = ok("balances", &body);
    let demand = &answer["demands"][0];
    assert_eq!(demand["whole_portions"], json!({"needed": 10, "allocated": 7}));
    let each = demand["rate_allocated"]["amount"]["value"].as_f64().unwrap();
    assert!((each - 0.5 / 0.6).abs() < 1e-4, "{demand}");
    let explained = answer["explanations"].as_array().unwrap();
    assert!(explained.iter().any(|one| one["figure"] == "/demands/0/rate_allocated/amount"), "{explained:?}");
}

/// The table of demands and lots has what that of the demands has.
#[test]
fn the_joint_table_has_portions_and_rates() {
    let cells = |question: &str| {
        let answer = form(question, "text/csv", &pots());
        let mut reader = csv::Reader::from_reader(answer.bytes.as_slice());
        let header = reader.headers().unwrap().clone();
        let first = reader.records().next().unwrap().unwrap();
        let wanted = ["whole_portions_needed", "whole_portions_allocated", "rate_kind", "rate_allocated", "rate_unit"];
        wanted.map(|name| first[header.iter().position(|other| other == name).unwrap()].to_owned())
    };
    assert_eq!(cells("balances"), ["30", "25", "share_of_mix", "20", "%"]);
    assert_eq!(cells("balances"), cells("balances?table=demands"));
}
