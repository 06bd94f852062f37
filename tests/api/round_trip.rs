//! Every quantity of an answer may be sent back as it is.

use crate::support::{bed, demo, ok, quick_demo_files, with};
use serde_json::{Value, json};

/// Every quantity of an answer.
fn quantities(value: &Value, found: &mut Vec<Value>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| quantities(item, found)),
        // A value with its source belongs into assumptions: calibrations::the_block_is_taken_as_the_assumptions_of_a_season.
        Value::Object(members) if members.contains_key("source") && value["value"].is_number() => {}
        Value::Object(members) if members.contains_key("unit") && members.contains_key("value") => {
            found.push(value.clone());
        }
        // What lots supply may be more than what is needed: no share that is asked for is above all of something.
        Value::Object(members) => {
            let asked = members.iter().filter(|(name, _)| *name != "share_supplied");
            asked.for_each(|(_, member)| quantities(member, found));
        }
        _ => {}
    }
}

/// A request in which the quantity is input.
fn asked_with(quantity: &Value, containers: &Value) -> (&'static str, Value) {
    let stock = || json!({"containers": containers, "stock": [{"amount": quantity}], "demands": [{"amount": "1 L"}]});
    let rate = |kind: &str| with(&bed(), "/areas/0/rate", json!({"kind": kind, "amount": quantity}));
    let known = |id: &str| with(&bed(), "/assumptions", json!({id: quantity}));
    let nothing = quantity["value"] == 0;
    match quantity["unit"].as_str().unwrap() {
        "C" | "F" => ("applications", known("worms.comfort_low")),
        "d" => ("applications", known("worms.doubling_time")),
        "dS/m" => ("applications", known("castings.conductivity")),
        "kg/kg/d" | "lb/lb/d" => ("applications", known("worms.feed_rate")),
        "lb/ft2" => ("applications", known("worms.carrying_capacity")),
        "US gal/100 ft2" => ("applications", known("bed.evaporation")),
        // A container holds something; an amount in stock may be nothing at its low end.
        "kg" | "lb" | "g" | "oz" if !nothing && quantity["low"] != 0 => {
            ("applications", with(&bed(), "/containers", json!([{"name": "tub", "capacity": quantity}])))
        }
        "m2" | "ft2" => ("applications", with(&bed(), "/areas/0/surface", json!({"kind": "area", "area": quantity}))),
        "m" | "ft" | "mm" | "in" => ("applications", with(&bed(), "/areas/0/surface/length", quantity.clone())),
        "kg/m3" | "lb/yd3" if quantity["value"].as_f64().unwrap() < 130.0 => {
            ("applications", known("feed.dry_bulk_density"))
        }
        "g/m2" | "lb/1000 ft2" => ("applications", rate("available_nitrogen")),
        "kg/m2" | "lb/100 ft2" => ("applications", rate("mass_per_area")),
        "L/m" | "ft3/ft" => {
            let rows = json!({"kind": "rows", "count": 2, "length": "5 m", "band_width": "20 cm"});
            let rate = json!({"kind": "volume_per_length", "amount": quantity});
            ("applications", json!({"areas": [{"surface": rows, "rate": rate}]}))
        }
        "L/m2" | "yd3/1000 ft2" => ("applications", rate("volume_per_area")),
        "kg/m3" | "lb/yd3" => {
            let known = json!({"castings.bulk_density": quantity, "castings.dry_bulk_density": "20 kg/m3"});
            ("applications", with(&bed(), "/assumptions", known))
        }
        "%" if quantity["low"] == 0 => {
            ("feeds", with(&demo("feeds/leaves-and-grass.json"), "/goals/moisture", quantity.clone()))
        }
        "%" if nothing => ("applications", with(&bed(), "/areas/0/settling", quantity.clone())),
        "%" => ("harvests", with(&demo("harvests/one-bed.json"), "/worm_beds/0/finished_share", quantity.clone())),
        "h" => ("brews", with(&demo("brews/one-brew.json"), "/brews/0/brewing_time", quantity.clone())),
        "" => ("applications", known("castings.carbon_to_nitrogen")),
        _ => ("balances", stock()),
    }
}

/// Whether it can be asked for: not what is reported below zero because it is lacking, nor a depth or a time of nothing.
fn can_be_asked(quantity: &Value) -> bool {
    let value = quantity["value"].as_f64().unwrap();
    value > 0.0 || (value == 0.0 && !matches!(quantity["unit"].as_str(), Some("mm" | "in" | "d")))
}

#[test]
fn what_comes_out_is_accepted_in_metric_and_us_units() {
    let containers = json!([{"name": "bucket", "capacity": "12 L"}, {"name": "barrow", "capacity": "65 L"}, {"name": "tub", "capacity": "5 US gal"}]);
    let mut tried = 0;
    for resource in ["applications", "harvests", "brews", "balances", "feeds", "seasons", "worm-beds", "calibrations"] {
        for (file, units) in quick_demo_files(resource).iter().flat_map(|file| [(file, "metric"), (file, "us")]) {
            let mut body: Value = serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap();
            body["units"] = json!(units);
            if resource == "seasons" {
                body["simulation_runs"] = json!(40);
            }
            let mut found = Vec::new();
            let mut answer = ok(resource, &body);
            // Nothing is asked in times of a yardstick.
            for place in answer.get_mut("places").and_then(Value::as_array_mut).into_iter().flatten() {
                place.as_object_mut().unwrap().retain(|name, _| !name.starts_with("share_of_"));
            }
            quantities(&answer, &mut found);
            found.sort_by_key(Value::to_string);
            found.dedup();
            for quantity in found.iter().filter(|quantity| can_be_asked(quantity)) {
                let (other, asked) = asked_with(quantity, &containers);
                ok(other, &asked);
                tried += 1;
            }
        }
    }
    assert!(tried > 1_000, "{tried} quantities");
}

/// Millilitres in a quantity.
fn millilitres(quantity: &Value) -> f64 {
    let litres = if quantity["unit"] == "ft3" { 28.316_846_592 } else { 1.0 };
    quantity["value"].as_f64().unwrap() * litres * 1000.0
}

#[test]
fn a_balance_in_cubic_feet_reads_back_to_the_same_millilitres() {
    let mut body = demo("balances/kitchen-garden.json");
    let metric = ok("balances", &body);
    body["units"] = json!("us");
    let us = ok("balances", &body);
    for (one, other) in metric["demands"].as_array().unwrap().iter().zip(us["demands"].as_array().unwrap()) {
        for name in ["needed", "allocated", "shortfall"] {
            assert!((millilitres(&one[name]) - millilitres(&other[name])).abs() < 0.5, "{}", other[name]);
        }
        let amount = &other["needed"];
        let again = ok("balances", &json!({"stock": [{"amount": amount}], "demands": [{"amount": amount}]}));
        assert_eq!(again["stock"][0]["amount"], one["needed"], "{amount}");
    }
}

#[test]
fn the_volume_of_an_area_serves_it_exactly_as_stock() {
    for units in ["metric", "us"] {
        let mut body = demo("applications/kitchen-garden.json");
        body["units"] = json!(units);
        for (asked, reported) in
            body["areas"].as_array().unwrap().iter().zip(ok("applications", &body)["areas"].as_array().unwrap())
        {
            let application = json!({"surface": asked["surface"], "rate": asked["rate"]});
            let stock = json!([{"amount": reported["castings"]["volume"]}]);
            let answer =
                ok("balances", &json!({"units": units, "stock": stock, "demands": [{"application": application}]}));
            assert_eq!(answer["demands"][0]["share_allocated"]["value"], 100, "{units} {asked}");
            assert_eq!(answer["total"]["remaining"]["value"], 0, "{units} {asked}");
        }
    }
}

#[test]
fn what_was_assumed_may_be_sent_back_and_gives_the_same_figures() {
    for (resource, file) in [("applications", "kitchen-garden"), ("balances", "two-lots")] {
        let mut body = demo(&format!("{resource}/{file}.json"));
        let first = ok(resource, &body);
        let used = first["assumptions"].as_array().unwrap().iter();
        body["assumptions"] = used.map(|one| (one["id"].as_str().unwrap().to_owned(), one["value"].clone())).collect();
        let second = ok(resource, &body);
        for part in ["total", "areas", "demands"] {
            assert_eq!(first.get(part), second.get(part), "{resource} {part}");
        }
        assert!(second["assumptions"].as_array().unwrap().iter().all(|one| one["set_by"] == "request"));
    }
}
