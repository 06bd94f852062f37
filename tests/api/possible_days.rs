//! No answer advises a day that has passed, or one on which the materials are not there yet.

use crate::support::{day, flat, form, ok};
use chrono::{Days, NaiveDate};
use proptest::prelude::*;
use serde_json::{Value, json};

fn after(days: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap() + Days::new(days)
}

/// A demand with its day, or its first and last; its amount in litres, and its priority.
fn demand() -> impl Strategy<Value = Value> {
    (200_u64..600, 0_u64..200, 10_u32..120, 1_u32..3).prop_map(|(last, room, litres, priority)| {
        let (earliest, latest) = (after(last.saturating_sub(room)), after(last));
        let days = if room % 2 == 0 { json!({"on": latest}) } else { json!({"earliest": earliest, "latest": latest}) };
        let mut demand = json!({"amount": format!("{litres} L"), "priority": priority});
        demand.as_object_mut().unwrap().extend(days.as_object().unwrap().clone());
        demand
    })
}

/// A question that is short of castings, with its day, the first on which there are materials and the first on which the bed is free.
fn request() -> impl Strategy<Value = Value> {
    let days = (0_u64..500, prop::option::of(0_u64..600), prop::option::of(0_u64..600));
    let lots = prop::collection::vec((5_u32..40, 200_u64..600), 0..3);
    let wide = (any::<bool>(), prop::option::of(1_u32..4), prop::option::of(1_u32..30), 0_u32..25);
    (days, prop::collection::vec(demand(), 1..4), lots, wide).prop_map(
        |((as_of, materials, bed), demands, lots, (is_mixed, layers, ground, celsius))| {
            let stock: Vec<Value> = lots
                .into_iter()
                .map(|(litres, day)| json!({"amount": format!("{litres} L"), "ready_on": after(day)}))
                .collect();
            let leaves = json!({"material": "leaves_loose", "amount": "100 kg"});
            let grass = json!({"material": "grass_clippings", "amount": "50 kg"});
            let mut production = json!({"materials": if is_mixed { vec![leaves, grass] } else { vec![leaves] }});
            for (field, day) in [("materials_from", materials), ("bed_from", bed)] {
                if let Some(day) = day {
                    production[field] = json!(after(day));
                }
            }
            if let Some(layers) = layers {
                production["layers"] = json!(layers);
            }
            if let Some(area) = ground {
                production["ground"] = json!({"kind": "area", "area": format!("{area} m2")});
            }
            // Winters that kill worms, where the number is even.
            production["climate"] = if celsius % 2 == 0 {
                let mean = |month: u32| match month {
                    0 => -9,
                    4..10 => i64::from(celsius),
                    _ => 2,
                };
                json!({"unit": "C", "monthly_means": (0..12).map(mean).collect::<Vec<_>>()})
            } else {
                json!(format!("{celsius} C"))
            };
            json!({"as_of": after(as_of), "simulation_runs": 100, "stock": stock,
                "demands": demands, "sack": {"capacity": "40 L"}, "additional_production": production})
        },
    )
}

/// The days on which something is to begin, wherever they are, with their field.
fn starts(value: &Value, found: &mut Vec<(String, NaiveDate)>) {
    const FIELDS: [&str; 5] =
        ["start_on", "worms_in_on", "first_start_on", "latest_start_at_90_percent", "latest_start_at_50_percent"];
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, value)| {
            if FIELDS.contains(&name.as_str()) {
                found.push((name.clone(), day(value)));
            }
            starts(value, found);
        }),
        Value::Array(items) => items.iter().for_each(|item| starts(item, found)),
        _ => {}
    }
}

/// The days, as in `5 Apr 2027`, that follow these words in a text.
fn days_after(words: &str, text: &str) -> Vec<NaiveDate> {
    let read = |(at, _): (usize, &str)| {
        let date: Vec<&str> = text[at + words.len()..].split([' ', ':', ',', '.', ';', '<']).take(3).collect();
        NaiveDate::parse_from_str(&date.join(" "), "%d %b %Y").ok()
    };
    text.match_indices(words).filter_map(read).collect()
}

fn check(question: &str, body: &Value) -> Result<(), TestCaseError> {
    let today = day(&body["as_of"]);
    let production = &body["additional_production"];
    let first = production.get("materials_from").map_or(today, |from| day(from).max(today));
    let answer = ok(question, body);
    let gap = &answer["shortfall_options"];
    let mut found = Vec::new();
    starts(gap, &mut found);
    let bed = production.get("bed_from").map_or(first, |from| day(from).max(first));
    for (field, start) in found {
        let first = if field == "worms_in_on" { bed } else { first };
        prop_assert!(start >= first, "{question}: {field} {start} before {first}: {gap}");
    }
    let ways = |list: &str| gap.get(list).and_then(Value::as_array).cloned().unwrap_or_default();
    for way in ways("options").iter().chain(&ways("reach_90_percent")) {
        let kind = way["kind"].as_str().unwrap();
        let Some(by) = way.get("act_by").map(day) else { continue };
        // What costs nothing can be done late, and says so.
        let is_free = ["pro_rata_share", "later_supply"].contains(&kind);
        let least = if is_free || kind == "sacks" { today } else { first };
        prop_assert!(by >= least || (is_free && way["past"] == true), "{question}: {way}");
    }
    let text = flat(form(&format!("{question}?all=true"), "text/plain", body).text());
    for words in
        ["- By ", "For 90 %, by ", "wait until ", "start by ", "started on ", "first possible start is ", "one is "]
    {
        for on in days_after(words, &text) {
            prop_assert!(on >= today, "{question}: {words}{on} before {today}: {text}");
            let is_start = ["start by ", "started on ", "first possible start is ", "one is "].contains(&words);
            prop_assert!(!is_start || on >= first, "{question}: {words}{on} before {first}: {text}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn no_day_that_has_passed_is_advised(body in request()) {
        check("balances", &body)?;
        let mut season = body;
        season["until"] = json!(after(700));
        season["climate"] = season["additional_production"]["climate"].clone();
        check("seasons", &season)?;
    }
}

/// A day before the demand, and materials from the day after: too late for the demand, and the first possible day is said.
#[test]
fn the_first_possible_day_is_said_in_place_of_one_that_has_passed() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-06-30", "climate": "15 C",
        "demands": [{"name": "veg", "amount": "200 L", "on": "2027-04-15"}],
        "additional_production": {"materials": [{"material": "leaves_loose", "amount": "100 kg"}], "materials_from": "2027-02-20"}});
    let answer = ok("seasons", &body);
    let plan = &answer["shortfall_options"]["additional_production"][0];
    for batch in ["likely", "at_90_percent"] {
        let batch = &plan[batch];
        assert_eq!(batch["too_late"]["first_start_on"], "2027-02-20");
        assert!(["start_on", "worms_in_on", "worm_bed"].iter().all(|field| batch.get(field).is_none()), "{batch}");
    }
    assert!(
        plan["choices"]
            .as_array()
            .unwrap()
            .iter()
            .all(|choice| choice["too_late"] == true && choice.get("start_on").is_none())
    );
    let text = flat(form("seasons?all=true", "text/plain", &body).text());
    for part in [
        "the first possible start is 20 Feb 2027 (when the materials are there)",
        "an earlier start: the first possible one is 20 Feb 2027 (when the materials are there)",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    // Who has to wait for a harvest that is there can take it today.
    let stock = json!([{"amount": "40 L", "ready_on": "2027-05-01"}]);
    let late = json!({"as_of": "2027-06-01", "stock": stock, "demands": [{"name": "leeks", "amount": "30 L", "on": "2027-04-01"}]});
    let text = ok("balances", &late)["shortfall_options"]["options"][0].clone();
    assert_eq!((&text["text"], &text["past"]), (&json!("Let leeks wait for 30 L until 1 Jun 2027"), &json!(true)));
    let text = flat(form("balances", "text/plain", &late).text());
    assert!(
        text.contains("- At once, since 1 Apr 2027 has passed: let leeks wait for 30 L until 1 Jun 2027."),
        "{text}"
    );
}

/// Ground that is too small says so, and no day that has passed.
#[test]
fn ground_that_is_too_small_has_no_start_that_has_passed() {
    let question = |on: &str| {
        json!({"as_of": "2027-03-01", "until": "2028-12-31", "climate": "20 C", "stock": [{"name": "heap", "amount": "20 L"}],
            "demands": [{"name": "beds", "amount": "200 L", "on": on}],
            "additional_production": {"materials": [{"material": "leaves_loose", "amount": "100 kg"}], "layers": 1,
                "ground": {"kind": "area", "area": "7 m2"}}})
    };
    let of = |on: &str| ok("seasons", &question(on))["shortfall_options"]["additional_production"][0]["likely"].clone();
    let text = |on: &str| flat(form("seasons?all=true", "text/plain", &question(on)).text());
    let past = of("2027-04-05");
    assert_eq!(past["too_late"]["limiting_factor"], "ground", "{past}");
    assert!(past.get("start_on").is_none() && past.get("worms_in_on").is_none(), "{past}");
    assert!(
        text("2027-04-05").contains("latest start too late too late introduce worms – –"),
        "{}",
        text("2027-04-05")
    );
    let later = of("2028-04-05");
    assert_eq!(later["too_late"]["limiting_factor"], "ground", "{later}");
    let start = NaiveDate::parse_from_str(later["start_on"].as_str().unwrap(), "%Y-%m-%d").unwrap();
    let shown = format!("latest start {}", start.format("%-d %b %Y"));
    assert!(text("2028-04-05").contains(&shown), "{shown}: {}", text("2028-04-05"));
}

/// Where frost bars the winter, one day is called the first possible one.
#[test]
fn one_answer_has_one_first_possible_start() {
    let cold = [-8, -8, 2, 8, 13, 17, 19, 18, 14, 9, -8, -8];
    let body = json!({"as_of": "2026-11-01", "until": "2027-10-31", "climate": {"unit": "C", "monthly_means": cold},
        "demands": [{"name": "beds", "amount": "100 L", "on": "2026-12-01"}],
        "additional_production": {"materials": [{"material": "leaves_loose", "amount": "100 kg"}]}});
    let text = flat(form("seasons?all=true", "text/plain", &body).text());
    let first = days_after("first possible start is ", &text);
    assert!(!first.is_empty(), "{text}");
    assert!(days_after("first possible one is ", &text).iter().all(|day| first.contains(day)), "{text}");
}
