//! What it costs to keep the interval, and that it is kept with many lots.

use crate::support::{ok, reported, with};
use chrono::{NaiveDate, TimeDelta};
use serde_json::{Value, json};

/// To keep waits takes eight times as much work: 20 lots and 10,000 demands are within the limit, 1,000 lots are not.
#[test]
fn waits_are_kept_up_to_a_limit() {
    let body = |lots: usize, demands: usize, minimums: usize| {
        let mut stock = vec![json!({"amount": "1 L"}); lots];
        stock[0]["manure"] = json!({"kind": "none"});
        let mut asking = vec![
            json!({"amount": "1 mL", "on": "2027-03-01", "crop": {"incorporated": true, "first_crop_harvest": "2027-05-01"}});
            demands
        ];
        asking.iter_mut().take(minimums).for_each(|demand| demand["minimum"] = json!("1 mL"));
        json!({"stock": stock, "demands": asking, "enforce_application_to_harvest_interval": true})
    };
    for (lots, more, demands, minimums) in [(20, 1_000, 10_000, 0), (100, 700, 1_000, 5)] {
        let _ = ok("balances", &body(lots, demands, minimums));
        let refused = reported("balances", &body(more, demands, minimums));
        // With a minimum there is more to ask for less of.
        assert_eq!(
            refused,
            [if minimums == 0 { "/enforce_application_to_harvest_interval too_large" } else { "/demands too_large" }]
        );
        // Only reported, there is no such limit.
        let _ = ok(
            "balances",
            &with(&body(more, demands, minimums), "/enforce_application_to_harvest_interval", json!(false)),
        );
    }
}

/// Lots in a row, every second one treated, and demands that each can use two of them, by turns up to their last day or up to the day
/// from which a wait would be too short. Only one way serves everybody, and it is found by exchanges as long as the row.
#[test]
fn long_exchanges_serve_everybody() {
    let day = |n: i64| (NaiveDate::from_ymd_opt(2027, 1, 1).unwrap() + TimeDelta::days(n)).to_string();
    for length in [1, 2, 5, 20] {
        let lot = |j: i64| {
            let mut lot = json!({"amount": "1 L", "ready_on": day(2 * j), "use_by": day(2 * j + 1)});
            if j % 2 == 0 {
                lot["manure"] = json!({"kind": "none"});
            }
            lot
        };
        let demand = |i: i64| {
            let odd = i % 2 == 1;
            let first = if i == 0 { 2 } else { 2 * i };
            let last = if odd { 2 * (i + 1) } else { 2 * (i + 1) + 1 };
            let untreated_until = if odd { 2 * i } else { 2 * (i + 1) + 1 };
            json!({"amount": "1 L", "earliest": day(first), "latest": day(last),
                   "crop": {"first_crop_harvest": day(untreated_until + 120), "incorporated": true}})
        };
        let stock: Vec<Value> = (1..=length + 1).map(lot).collect();
        let demands: Vec<Value> = (0..=length).map(demand).collect();
        let answer = ok(
            "balances",
            &json!({"stock": stock, "demands": demands, "enforce_application_to_harvest_interval": true}),
        );
        assert_eq!(answer["total"]["shortfall"]["value"], 0, "{length}");
        assert_eq!(answer["total"]["remaining"]["value"], 0, "{length}");
    }
}
