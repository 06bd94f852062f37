//! Beds sized by the castings needed.

use super::{value, worked};
use crate::support::{demo, errors, flat, form, ok, reported, with};
use serde_json::{Value, json};

/// The day at the slow end counts where that is asked for: the low end has the castings then, and the text says so.
#[test]
fn a_bed_can_be_sized_so_that_late_harvests_are_in_time() {
    let body = json!({"castings_needed": [{"amount": "200 L", "by": "2027-09-15"}], "start_on": "2026-12-01",
        "feed_supply": {"material": "leaves_loose"}, "climate": "18 C"});
    let late = with(&body, "/harvest_dates", json!("latest"));
    let (likely, latest) = (ok("worm-beds", &body), ok("worm-beds", &late));
    let low = |answer: &Value| answer["castings_needed"][0]["ready"]["low"].as_f64().unwrap();
    assert_eq!(low(&likely), 0.0);
    assert!(low(&latest) > 0.0);
    for lot in latest["lots"].as_array().unwrap() {
        assert!(lot["ready"]["latest"].as_str().unwrap() <= "2027-09-15", "{lot}");
    }
    assert_eq!((&likely["harvest_dates"], &latest["harvest_dates"]), (&json!("likely"), &json!("latest")));
    assert_eq!(ok("worm-beds", &with(&body, "/harvest_dates", json!("likely"))), likely);
    let text = flat(form("worm-beds", "text/plain", &late).text());
    assert!(
        text.contains("At the likely amounts it makes all castings needed, even if its harvests come late."),
        "{text}"
    );
    // Too early for the slow end, and not for the likely days.
    let spring = |body: &Value| with(body, "/castings_needed/0/by", json!("2027-03-01"));
    assert!(!ok("worm-beds", &spring(&body))["lots"].as_array().unwrap().is_empty());
    let refused = errors("worm-beds", &spring(&late));
    assert_eq!(reported("worm-beds", &spring(&late)), ["/castings_needed/0/by dates_out_of_order"]);
    let detail = refused[0]["detail"].as_str().unwrap();
    assert!(detail.contains("in this climate at the latest and are ready on"), "{detail}");
    assert!(detail.ends_with("or leave out \"harvest_dates\" for the likely days."), "{detail}");
    // In a cold place no harvest is surely ready: the likely day is named, and the way out.
    let cold = with(&with(&late, "/climate", json!("8 C")), "/castings_needed/0/by", json!("2027-12-15"));
    let detail = errors("worm-beds", &cold)[0]["detail"].as_str().unwrap().to_owned();
    assert!(
        detail.contains("at the likely ones on 2027-") && detail.contains("leave out \"harvest_dates\""),
        "{detail}"
    );
    let weekly = with(&worked(), "/harvest_dates", json!("latest"));
    assert_eq!(reported("worm-beds", &weekly), ["/harvest_dates not_allowed_here"]);
    assert_eq!(reported("worm-beds", &with(&body, "/harvest_dates", json!("late"))), ["/harvest_dates unknown_value"]);
}

#[test]
fn castings_needed_are_ready_and_their_feed_is_said() {
    let answer = ok("worm-beds", &demo("worm-beds/castings-by-spring.json"));
    let needed = answer["castings_needed"].as_array().unwrap();
    assert_eq!(needed.len(), 2);
    for of in needed {
        assert!(value(of, "/ready") >= value(of, "/needed") * (1.0 - 1e-8), "{of}");
    }
    // Laid in layers, each with its day; the worms that are there are not bought.
    assert!(answer["layers"].as_array().unwrap().len() >= 2);
    let (start, buy) = (value(&answer, "/worms/at_start"), value(&answer, "/worms/to_buy"));
    assert!((start - buy - 0.4).abs() < 1e-8, "{start} {buy}");
    let fed: f64 = answer["weeks"].as_array().unwrap().iter().map(|week| value(week, "/feed")).sum();
    let laid: f64 = answer["layers"].as_array().unwrap().iter().map(|layer| value(layer, "/mass")).sum();
    assert!((fed - laid).abs() < 1e-6 * laid, "{fed} {laid}");
}
