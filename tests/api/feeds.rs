//! `POST /v1/feeds` and `GET /v1/materials`.

mod refusals;
mod steps;

use crate::support::{brief, demo, errors, flat, form, get, ok, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

fn near(found: &Value, expected: f64, within: f64) {
    let found = found["value"].as_f64().unwrap();
    assert!((found - expected).abs() <= within, "{found} is not {expected}");
}

/// Cornell Waste Management Institute 1996 (read in a stored copy): 10 kg of grass at 77 % and leaves at 35 %, goal 60 %:
/// 6.8 kg of leaves.
#[test]
fn ten_kilograms_of_grass_take_6_8_of_leaves_to_be_60_percent_moist() {
    let answer = ok("feeds", &demo("feeds/leaves-and-grass.json"));
    assert_eq!(answer["materials"][1]["mass"], json!({"value": 6.8, "unit": "kg"}));
    assert_eq!(answer["materials"][1]["chosen"], true);
    assert_eq!(answer["mix"]["moisture"]["value"], 60);
    assert_eq!(answer["water"]["extra"]["value"], 0);
    assert_eq!(answer["out_of_reach"], json!([]));
}

/// The same authors' example of the ratio (from memory): 3.5 kg of leaves for 30. Both goals cannot hold at once.
#[test]
fn both_goals_of_the_example_cannot_hold_at_once_and_the_answer_says_so() {
    let answer = ok("feeds", &demo("feeds/out-of-reach.json"));
    near(&answer["materials"][1]["mass"], 3.5, 0.05);
    near(&answer["mix"]["carbon_to_nitrogen"], 30.0, 1e-6);
    let missed = &answer["out_of_reach"][0];
    assert_eq!((&missed["goal"], &missed["without_the_other"]), (&json!("moisture"), &json!(true)));
    near(&missed["nearest"], 66.2, 0.05);
    assert_eq!(answer["instead"]["materials"][1]["value"], 6.8);
    near(&answer["instead"]["carbon_to_nitrogen"], 36.7, 0.05);
}

/// Ratios are weighed by what they hold, never averaged: New Mexico State University's column prints 32 for four parts of
/// dairy manure at 20 and one of leaves at 80; with equal carbon in each part it is 5/(4/20 + 1/80) = 23.5.
#[test]
fn ratios_are_not_averaged() {
    let part = |amount: &str, ratio: f64| {
        // Equal carbon: the nitrogen follows from the ratio.
        let nitrogen = format!("{} %", 40.0 / ratio);
        json!({"amount": amount, "moisture": "50 %", "carbon": "40 %", "nitrogen": nitrogen, "bulk_density": "300 kg/m3"})
    };
    let answer = ok("feeds", &json!({"materials": [part("4 kg", 20.0), part("1 kg", 80.0)]}));
    near(&answer["mix"]["carbon_to_nitrogen"], 23.529, 1e-3);
}

/// 75 kg of leaves at 38 % hold 46.5 kg of dry matter; at the likely 75 % that is 186 kg, so 111 kg of water. The answer says so in place of
/// "no water", and names the ranges.
#[test]
fn a_dry_mix_says_how_much_water_it_lacks() {
    let dry = json!({"materials": [{"name": "heap", "material": "leaves_loose", "amount": "1000 L"}],
        "ground": {"kind": "area", "area": "2 m2"}});
    near(&ok("feeds", &dry)["water"]["to_usual_moisture"], 75.0 * (0.62 / 0.25 - 1.0), 1e-6);
    let text = flat(form("feeds", "text/plain", &dry).text());
    for said in [
        "This mix is too dry (38 %): worms need 65 to 82 %. Add 111 L of water, which brings it to 75 %; the figures here are without it.",
        "20 to 40 is usual for carbon to nitrogen; this mix has 51.1: grass, kitchen scraps or manure lower it.",
        "On 2 m2: first 120 mm (240 L), and a last one of",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    assert!(!text.contains("none is added") && !text.contains("extra water"), "{text}");
    let page = form("feeds", "text/html", &dry).text().to_owned();
    assert!(page.contains("Add 111 L of water"), "{page}");
    // 10 kg of dry layer manure lie in some 20 L: 24 L of water do not go into its pores.
    let dense = json!({"materials": [{"material": "layer_manure_dry", "amount": "10 kg"}]});
    assert!(ok("feeds", &dense)["water"].get("to_usual_moisture").is_none());
    let text = flat(form("feeds", "text/plain", &dense).text());
    assert!(text.contains("too dry (15 %)") && text.contains("in parts, and mix in coarse material"), "{text}");
    // Where a moisture is asked for, or the mix is moist, the caller has what was asked for.
    let asked = ok("feeds", &with(&dry, "/goals", json!({"moisture": "60 %"})));
    assert!(asked["water"].get("to_usual_moisture").is_none() && asked["water"]["extra"]["value"].as_f64() > Some(0.0));
    let moist = ok("feeds", &with(&dry, "/materials/0/moisture", json!("70 %")));
    assert!(moist["water"].get("to_usual_moisture").is_none());
}

#[test]
fn the_same_feed_in_us_units_is_the_same_feed() {
    let body = demo("feeds/autumn-heap.json");
    let (metric, us) = (ok("feeds", &body), ok("feeds", &with(&body, "/units", json!("us"))));
    near(&us["mix"]["mass"], metric["mix"]["mass"]["value"].as_f64().unwrap() / 0.453_592_37, 1e-5);
    near(
        &us["castings"]["stored"]["volume"],
        metric["castings"]["stored"]["volume"]["value"].as_f64().unwrap() / 28.316_846_592,
        1e-6,
    );
}

#[test]
fn materials_are_with_range_basis_origin_and_how_far_that_was_checked() {
    let table = get("/v1/materials").json();
    let rows = table["materials"].as_array().unwrap();
    assert!(rows.len() >= 25);
    let origins: Vec<&Value> = table["origins"].as_array().unwrap().iter().map(|o| &o["key"]).collect();
    for row in rows {
        for name in ["moisture", "nitrogen", "carbon", "bulk_density"] {
            let value = &row[name];
            let number = |field: &str| value[field].as_f64().unwrap();
            assert!(number("low") <= number("value") && number("value") <= number("high"), "{row}");
            assert!(origins.contains(&&value["origin"]), "{row}");
        }
        assert!(row["carbon"]["value"].as_f64().unwrap() <= 58.0, "{row}");
        // Each row can be used as it is.
        ok("feeds", &json!({"materials": [{"material": row["id"], "amount": "1 kg"}]}));
    }
}

/// Fines fill voids only between larger pieces: 200 L of one size stay 200 L, and of two sizes 180 L are left.
#[test]
fn materials_of_different_size_pack_closer() {
    let own = json!({"amount": "100 L", "moisture": "50 %", "carbon": "45 %", "nitrogen": "1 %", "bulk_density": "200 kg/m3"});
    let body = |size: &str| json!({"materials": [own, with(&own, "/size", json!(size))]});
    let found = ["fine", "medium", "coarse"].map(|size| ok("feeds", &body(size))["mix"]["volume"]["value"].clone());
    assert_eq!(found, [180, 200, 180]);
    let sizes = |answer: &Value| -> Vec<Value> {
        answer["materials"].as_array().unwrap().iter().map(|one| one["size_mixed"].clone()).collect()
    };
    assert_eq!(sizes(&ok("feeds", &body("coarse"))), ["medium", "coarse"]);
    // Shredding makes them one size: coarse pieces medium.
    assert_eq!(sizes(&ok("feeds", &with(&body("coarse"), "/materials/1/shred", json!(true)))), ["medium", "medium"]);
    assert_eq!(brief(&errors("feeds", &body("huge"))), ["/materials/1/size unknown_value"]);
    // Loose leaves are usually shredded, sawdust is not.
    let usual = json!({"materials": [{"material": "leaves_loose", "amount": "9 kg"}, {"material": "sawdust", "amount": "9 kg"}]});
    assert_eq!(sizes(&ok("feeds", &usual)), ["medium", "fine"]);
    let table = get("/v1/materials").json();
    assert_eq!(table["sizes"].as_array().unwrap().len(), 3);
    assert!(table["sizes"][0]["source"].as_str().unwrap().contains("no source"));
}

/// Pulp of 900 kg/m3 at 75 % lies with 17.5 % of air. Straw of 100 kg/m3 at 10 %, as coarse as it is, packs it to nine tenths:
/// `9.17 + 0.7 x = 0.8 x 0.9 (11.1 + 10 x)` at 0.1795 kg.
#[test]
fn air_is_a_goal_after_ratio_and_moisture() {
    let pulp = json!({"name": "pulp", "amount": "10 kg", "moisture": "75 %", "nitrogen": "2 %", "carbon": "45 %", "bulk_density": "900 kg/m3"});
    let straw = json!({"name": "straw", "at_most": "5 kg", "moisture": "10 %", "nitrogen": "0.6 %", "carbon": "45 %",
        "bulk_density": "100 kg/m3", "size": "coarse"});
    let body = json!({"materials": [pulp, straw]});
    let found = ok("feeds", &body);
    near(&found["materials"][1]["mass"], (9.0 + 1.0 / 6.0 - 8.0) / 6.5, 1e-6);
    near(&found["mix"]["air_space"], 20.0, 1e-6);
    let more = ok("feeds", &with(&body, "/goals", json!({"air_space": "30 %"})));
    near(&more["mix"]["air_space"], 30.0, 1e-6);
    let little = with(&body, "/materials/1/at_most", json!("100 g"));
    let missed = &ok("feeds", &little)["out_of_reach"][0];
    assert_eq!((&missed["goal"], &missed["remedy"]), (&json!("air_space"), &json!("coarse")));
    near(&missed["nearest"], 17.5, 1e-6);
    assert!(!missed["would_do"].as_array().unwrap().is_empty());
    let headers = [("content-type", "application/json"), ("accept", "text/plain")];
    let text = send(&service(), (Method::POST, "/v1/feeds"), &headers, little.to_string().into_bytes());
    assert!(text.text().contains("Air space of 20.0 % is out of reach"), "{}", text.text());
    let asked = with(&body, "/goals", json!({"air_space": "95 %"}));
    assert_eq!(brief(&errors("feeds", &asked)), ["/goals/air_space out_of_range"]);
}

/// Each day hot composting loses 0.6 % of the organic matter that is left: 100 kg of manure at 75 % with 16 % ash in its dry matter hold
/// 21 kg of organic matter.
#[test]
fn hot_composting_depends_on_its_days_and_its_temperature() {
    let manure =
        json!({"amount": "100 kg", "moisture": "75 %", "ash": "16 %", "nitrogen": "2 %", "bulk_density": "600 kg/m3"});
    let body =
        json!({"materials": [manure], "hot_composting": {"days": 15}, "start_on": "2027-03-01", "explain": true});
    let lost = |answer: &Value| answer["hot_composting"]["dry_matter_lost"]["value"].as_f64().unwrap();
    let (short, long) = (ok("feeds", &body), ok("feeds", &with(&body, "/hot_composting/days", json!(90))));
    for (answer, days) in [(&short, 15.0), (&long, 90.0)] {
        assert!((lost(answer) - 21.0 * (1.0 - f64::exp(-0.006 * days))).abs() < 1e-6);
        let hot = &answer["hot_composting"];
        near(&hot["nitrogen_lost"], 500.0 * (1.0 - f64::exp(-0.002 * days)), 1e-5);
        near(&answer["castings"]["dry_matter_in"], 25.0 - lost(answer), 1e-6);
        // Four times as much water as dry matter evaporates; of that 0.55 comes of what is lost, and 3 of the water it had held.
        near(&hot["water_to_add"], 0.45 * lost(answer), 1e-6);
        near(&hot["moisture"], 75.0, 1e-6);
    }
    let cool = |answer: &Value| {
        answer["steps"].as_array().unwrap().iter().find(|s| s["kind"] == "cool").unwrap()["ends_on"].clone()
    };
    assert_eq!((cool(&short), cool(&long)), (json!("2027-03-23"), json!("2027-06-06")));
    assert!(lost(&ok("feeds", &with(&body, "/hot_composting/temperature", json!("45 C")))) < lost(&short));
    assert!(lost(&ok("feeds", &with(&body, "/hot_composting/temperature", json!("149 F")))) > lost(&short));
    let headers = [("content-type", "application/json"), ("accept", "text/plain")];
    let text = send(&service(), (Method::POST, "/v1/feeds"), &headers, body.to_string().into_bytes());
    assert!(text.text().contains("Hot composting") && text.text().contains("of dry matter"), "{}", text.text());
    let burning = with(&body, "/hot_composting/temperature", json!("90 C"));
    assert_eq!(brief(&errors("feeds", &burning)), ["/hot_composting/temperature out_of_range"]);
    // A count outside its bounds is one error, at the count.
    for (pointer, count) in
        [("/hot_composting/days", 0), ("/hot_composting/days", 400), ("/hot_composting/cooling_days", 400)]
    {
        let wrong = with(&body, pointer, json!(count));
        assert_eq!(brief(&errors("feeds", &wrong)), [format!("{pointer} out_of_range")]);
    }
    let soaked = with(&body, "/soak", json!({"days": 0}));
    assert_eq!(brief(&errors("feeds", &soaked)), ["/soak/days out_of_range"]);
    let goal = with(&body, "/goals", json!({"carbon_to_nitrogen": {"low": 25, "high": 20_000}}));
    assert_eq!(brief(&errors("feeds", &goal)), ["/goals/carbon_to_nitrogen/high out_of_range"]);
}

/// Ten kilograms of grass: how many leaves? As many as bring the mix to the ratio wanted.
#[test]
fn a_material_without_an_amount_is_chosen_freely() {
    let mut body =
        json!({"materials": [{"material": "grass_clippings", "amount": "10 kg"}, {"material": "leaves_shredded"}]});
    let chosen = |body: &Value| ok("feeds", body)["materials"][1]["mass"]["value"].as_f64().unwrap();
    let usual = ok("feeds", &body);
    assert_eq!(usual["mix"]["carbon_to_nitrogen"]["value"], 25);
    assert!(usual["assumptions"].as_array().unwrap().iter().any(|one| one["id"] == "mix.carbon_to_nitrogen"));
    body["goals"] = json!({"carbon_to_nitrogen": {"low": 30}});
    let thirty = chosen(&body);
    assert!(thirty > usual["materials"][1]["mass"]["value"].as_f64().unwrap());
    body["materials"][1]["at_most"] = json!("500 kg");
    assert!((chosen(&body) - thirty).abs() < 1e-6 * thirty);
    body["materials"][1] = json!({"material": "leaves_shredded", "at_least": "5 US bu"});
    assert!((ok("feeds", &body)["materials"][1]["volume"]["value"].as_f64().unwrap() - 176.195351).abs() < 1e-3);
    body["materials"][1] = json!({"material": "leaves_shredded"});
    body["explain"] = json!(true);
    assert_eq!(chosen(&body), thirty);
    body["goals"] = json!({"carbon_to_nitrogen": {"low": 300}});
    let found = errors("feeds", &body);
    assert_eq!(brief(&found), ["/materials impossible_value"]);
    assert!(found[0]["detail"].as_str().unwrap().contains("at_most"), "{}", found[0]["detail"]);
}

#[test]
fn the_sheet_is_one_page_without_scripts_and_shows_names_as_they_are() {
    let hostile = "<script>alert(1)</script> & \"leaves\"";
    let body = with(&demo("feeds/autumn-heap.json"), "/materials/0/name", json!(hostile));
    let headers = [("content-type", "application/json"), ("accept", "text/html")];
    let answer = send(&service(), (Method::POST, "/v1/feeds"), &headers, body.to_string().into_bytes());
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/html; charset=utf-8"));
    assert!(answer.header("content-security-policy").contains("default-src 'none'"));
    let text = answer.text();
    assert!(text.starts_with("<!DOCTYPE html>") && text.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; "));
    assert!(!text.contains("<script") && !text.contains("http://") && !text.contains(" src="));
    for part in
        ["What to take", "What to do", "6 Nov 2026", "Castings to expect", "7 CFR 205.203", "soak.<wbr>moisture"]
    {
        assert!(text.contains(part), "{part}");
    }
}

/// A goal that is hardly missed does not read as met.
#[test]
fn a_goal_that_is_hardly_missed_says_by_how_much() {
    for (moisture, goals, wanted) in [
        ("70.02 %", json!({"moisture": "70 %"}), "the driest mix has 70.02 %, 0.02 points more"),
        (
            "60 %",
            json!({"carbon_to_nitrogen": {"low": 20, "high": 22.47}, "moisture": "60 %"}),
            "mix has 22.5, off by 0.03",
        ),
    ] {
        let material = json!({"amount": "10 kg", "moisture": moisture, "nitrogen": "2 %", "carbon": "45 %", "bulk_density": "300 kg/m3"});
        let missed = ok("feeds", &json!({"materials": [material], "goals": goals}))["out_of_reach"].clone();
        let texts = missed.as_array().unwrap().iter().map(|one| one["text"].as_str().unwrap());
        assert!(texts.clone().any(|text| text.contains(wanted)), "{missed}");
    }
}

/// What is not taken into the mix does not hold its steps up: four hours fit into the day of mixing, three days do not.
#[test]
fn a_material_that_is_not_taken_sets_no_day() {
    let manure = |amount: Value, hours: &str| {
        let mut one = json!({"material": "horse_manure_dry", "rehydrate": {"soaking_time": hours}});
        for (name, value) in amount.as_object().unwrap() {
            one[name] = value.clone();
        }
        one
    };
    let body = json!({"materials": [manure(json!({"amount": "10 kg"}), "4 h"), manure(json!({"at_most": "1 kg"}), "72 h")],
                      "start_on": "2027-04-01"});
    let answer = ok("feeds", &body);
    assert_eq!(answer["materials"][1]["mass"]["value"], 0);
    let steps = answer["steps"].as_array().unwrap();
    let mix = steps.iter().find(|step| step["kind"] == "mix").unwrap();
    assert_eq!(mix["starts_on"], "2027-04-01");
}
