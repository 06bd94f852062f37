//! The least that is of use.

use super::{assert_adds_up, demand, thousandths, two_lots};
use crate::support::{demo, errors, get, keys, ok, q, reported, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

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
fn until_when_to_wait_is_reported_for_who_is_short() {
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
