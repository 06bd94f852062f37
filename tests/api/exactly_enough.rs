//! What is exactly enough stays enough, however it is split and whatever it is measured in: castings are shared out in whole millilitres, and
//! one kilogram of castings of 600 kg/m3 is 1666.67 of them.

use crate::support::{Numbers, ok};
use serde_json::{Value, json};

/// The answers of a balance and of a season; both must say that all is met.
fn is_enough(stock: &Value, demands: &Value) -> [Value; 2] {
    let body = json!({"stock": stock, "demands": demands});
    let mut season = body.clone();
    season["until"] = json!("2027-10-31");
    let answers = [ok("balances", &body), ok("seasons", &season)];
    for answer in &answers {
        assert_eq!(answer["total"]["shortfall"]["value"], 0, "{stock} {demands}: {}", answer["headline"]);
        assert!(answer["headline"].as_str().unwrap().starts_with("Enough"), "{}", answer["headline"]);
        assert!(answer["demands"].as_array().unwrap().iter().all(|one| one["shortfall"]["value"] == 0));
    }
    answers
}

#[test]
fn a_mass_is_enough_for_its_parts() {
    let each = |count: usize, demand: Value| Value::from(vec![demand; count]);
    let pot = json!({"surface": {"kind": "plants", "count": 1}, "rate": {"kind": "per_plant", "amount": "1 kg"}});
    for (stock, demands) in [
        (json!([{"amount": "10 kg"}]), each(10, json!({"application": pot, "whole_portions": true}))),
        (json!([{"amount": "25 kg"}]), each(10, json!({"amount": "2.5 kg", "minimum": "100 %"}))),
        (each(20, json!({"amount": "500 g"})), json!([{"amount": "10 kg", "minimum": "100 %"}])),
        (each(5, json!({"amount": "20 kg"})), each(100, json!({"application": pot, "whole_portions": true}))),
        (json!([{"amount": "2 kg"}]), each(2, json!({"amount": "1 kg"}))),
        (json!([{"amount": "30 kg"}]), json!([{"amount": "28 kg"}, {"amount": "2 kg"}])),
        (
            json!([{"amount": "30 kg"}]),
            json!([{"amount": "10 kg", "on": "2027-05-01", "repeat": {"every": "14 d", "times": 3}}]),
        ),
    ] {
        let [_, season] = is_enough(&stock, &demands);
        assert_eq!(season["chance_enough"]["value"], 95, "{stock} {demands}");
    }
}

/// A cubic yard lies an inch deep on nine beds of nine by four feet: 27 cubic feet.
#[test]
fn a_cubic_yard_is_enough_for_nine_beds_an_inch_deep() {
    let bed = json!({"application": {"surface": {"kind": "rectangle", "length": "9 ft", "width": "4 ft"}, "rate": {"kind": "depth", "amount": "1 in"}}});
    is_enough(&json!([{"amount": "1 yd3"}]), &Value::from(vec![bed; 9]));
}

/// So many grams in parts, as random as can be.
fn parts(of: usize, numbers: &mut Numbers) -> Vec<usize> {
    let mut left = of;
    let mut found = Vec::new();
    while left > 0 {
        let part = (1 + numbers.below(of / 3)).min(left);
        found.push(part);
        left -= part;
    }
    found
}

#[test]
fn however_a_mass_is_split_among_lots_and_demands_it_is_enough() {
    let mut numbers = Numbers(27);
    for _ in 0..40 {
        let grams = 1_000 + numbers.below(50_000);
        let items = |parts: Vec<usize>| parts.into_iter().map(|part| json!({"amount": format!("{part} g")})).collect();
        let (stock, demands): (Value, Value) = (items(parts(grams, &mut numbers)), items(parts(grams, &mut numbers)));
        let [balance, _] = is_enough(&stock, &demands);
        let totals = &balance["total"];
        assert_eq!(totals["allocated"], totals["needed"]);
        // A millilitre for each item at the most is what whole millilitres cost.
        let items = stock.as_array().unwrap().len() + demands.as_array().unwrap().len();
        let exact = f64::from(u32::try_from(grams).unwrap()) / 600.0;
        let off = (totals["needed"]["value"].as_f64().unwrap() - exact).abs() * 1000.0;
        assert!(off <= f64::from(u32::try_from(items).unwrap()), "{off}");
    }
}

/// An amount below a millilitre is not nothing.
#[test]
fn the_smallest_demand_takes_a_millilitre() {
    let place = json!({"surface": {"kind": "area", "area": "0.0001 m2"}, "rate": {"kind": "depth", "amount": "1 mm"}});
    let answer = ok("balances", &json!({"stock": [{"amount": "1 L"}], "demands": [{"application": place}]}));
    assert_eq!(answer["demands"][0]["needed"]["value"], 0.001);
}
