//! What is given, short, left and brought by lots is explained, in a balance and in a season.

use super::check;
use crate::support::{demo, demo_files, ok, with};
use serde_json::{Value, json};

/// What beds give, sums and shares; dates, chances and who gets how much have no formula of one line.
#[test]
fn castings_of_beds_sums_and_shares_of_a_season_are_explained() {
    let mut body = demo("seasons/kitchen-garden.json");
    body["simulation_runs"] = json!(500);
    let left = check("seasons", &body, true);
    let answer = ok("seasons", &with(&body, "/explain", json!(true)));
    let of: Vec<&str> =
        answer["explanations"].as_array().unwrap().iter().map(|one| one["figure"].as_str().unwrap()).collect();
    for wanted in [
        "/total/supply",
        "/demands/1/shortfall",
        "/stock/0/remaining",
        "/worm_beds/0/lots/0/remaining",
        "/worm_beds/1/forecast/lots/1/castings/volume",
        "/worm_beds/0/forecast/layers/0/dry_matter",
        "/worm_beds/0/forecast/layers/0/mass",
        "/worm_beds/0/forecast/water/1/with_feed",
        "/worm_beds/0/forecast/worms/1/mass",
        "/worm_beds/0/surface_area",
        "/worm_beds/0/forecast/end/depth",
        "/measure_first/0/range_if_known",
    ] {
        assert!(of.contains(&wanted) && !left.contains(wanted), "{wanted}");
    }
}

#[test]
fn what_is_given_short_and_left_in_a_balance_is_explained() {
    for path in demo_files("balances") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let mut left = check("balances", &body, false);
        let reckoned = |of: &str| {
            // What is asked as an amount is taken as it is; a place, a tea or a heap is reckoned.
            let item = of.strip_suffix("/needed").or_else(|| of.strip_suffix("/amount"));
            item.and_then(|item| body.pointer(item)).is_some_and(|item| item.get("amount").is_none())
        };
        left.retain(|of| {
            let ends = ["/shortfall", "/share_allocated", "/remaining"].iter().any(|end| of.ends_with(end));
            of.starts_with("/total/") || (ends && !of.starts_with("/shortfall_options/")) || reckoned(of)
        });
        assert!(left.is_empty(), "{}: {left:#?}", path.display());
    }
}

/// What each allocation brings by its lot, all of them together, and the rate that makes: for every kind of rate that counts what castings hold.
#[test]
fn what_lots_bring_and_the_rate_that_makes_are_explained() {
    let ground = json!({"kind": "rows", "count": 3, "length": "5 m", "band_width": "30 cm"});
    let of =
        |rate: Value, surface: &Value| json!({"application": {"surface": surface, "rate": rate}, "on": "2027-05-01"});
    let pots = json!({"kind": "pots", "count": 12, "volume": "3 L"});
    let mut demands: Vec<Value> = [
        ("mass_per_area", "2 kg/m2"),
        ("dry_mass_per_area", "1 kg/m2"),
        ("available_nitrogen", "2 g/m2"),
        ("phosphorus", "3 g/m2"),
        ("phosphate", "5 g/m2"),
        ("potassium", "4 g/m2"),
        ("potash", "5 g/m2"),
    ]
    .map(|(kind, amount)| of(json!({"kind": kind, "amount": amount}), &ground))
    .to_vec();
    demands.push(of(json!({"kind": "per_plant", "amount": "200 g"}), &pots));
    demands.push(json!({"amount": "9 kg"}));
    demands.push(json!({"dry_mass": "4 kg"}));
    demands[2]["repeat"] = json!({"every": "1 week", "times": 3});
    let own = json!({
        "castings.bulk_density": {"value": 700, "low": 650, "high": 720, "unit": "kg/m3"},
        "castings.dry_bulk_density": {"value": 320, "low": 300, "high": 350, "unit": "kg/m3"},
        "castings.nitrogen": "2 %", "castings.phosphorus": "0.8 %", "castings.potassium": "1.1 %",
    });
    let stock = json!([{"amount": "5 L"}, {"amount": "200 L", "assumptions": own}, {"heap": {"kind": "counted", "count": 20, "capacity": "20 L", "assumptions": own}}]);
    let body = json!({"stock": stock, "demands": demands});
    let left = check("balances", &body, true);
    let answer = ok("balances", &with(&body, "/explain", json!(true)));
    let explained: Vec<&str> =
        answer["explanations"].as_array().unwrap().iter().map(|one| one["figure"].as_str().unwrap()).collect();
    for demand in 0..demands.len() {
        let has = |figure: &str| explained.contains(&format!("/demands/{demand}/{figure}").as_str());
        assert!(
            has("content/supplied") && has("content/share_supplied") && has("allocations/0/supplied"),
            "{demand}: {left:#?}"
        );
        let rate = if demand == 2 { "occasions/0/rate_allocated/amount" } else { "rate_allocated/amount" };
        // What is given as an amount is taken as it is, and has no rate.
        assert_eq!((has("content/needed"), has(rate)), (demand < 8, demand < 8), "{demand}: {left:#?}");
    }
    // In a season each harvest brings what follows from its feed.
    let mut season = demo("seasons/kitchen-garden.json");
    season["simulation_runs"] = json!(0);
    season["demands"] = json!([of(json!({"kind": "available_nitrogen", "amount": "2 g/m2"}), &ground)]);
    season["demands"][0]["on"] = json!("2027-07-31");
    season["stock"] = json!([]);
    check("seasons", &season, true);
    let answer = ok("seasons", &with(&season, "/explain", json!(true)));
    let all = answer["explanations"].as_array().unwrap();
    let of_harvest = all.iter().find(|one| one["figure"] == "/demands/0/allocations/0/supplied").unwrap();
    let nitrogen = of_harvest["inputs"].as_array().unwrap().iter().find(|one| one["symbol"] == "n").unwrap();
    let from = nitrogen["taken_from"].as_str().unwrap();
    assert!(from.starts_with("answer:/worm_beds/") && from.ends_with("/nitrogen"), "{from}");
}
