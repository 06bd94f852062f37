//! `POST /v1/balances`.

mod minimums;
mod portions;
mod refusals;
mod today;

use crate::support::{demo, keys, ok, post, q, with};
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
fn keys_are_in_the_documented_order() {
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
fn the_same_request_gives_the_same_bytes() {
    let body = demo("balances/kitchen-garden.json");
    assert_eq!(post("balances", &body).bytes, post("balances", &body).bytes);
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
