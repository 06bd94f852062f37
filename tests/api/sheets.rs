//! The sheets to print of places, beds and heaps.

use crate::support::{Answer, demo, demo_files, ok, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

fn sheet(question: &str, body: &Value) -> Answer {
    let headers = [("content-type", "application/json"), ("accept", "text/html")];
    let answer = send(&service(), (Method::POST, &format!("/v1/{question}")), &headers, body.to_string().into_bytes());
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/html; charset=utf-8"), "{}", answer.text());
    assert_eq!(answer.header("content-security-policy"), "default-src 'none'; style-src 'unsafe-inline'");
    assert!(answer.text().starts_with("<!DOCTYPE html>"));
    answer
}

#[test]
fn every_demo_request_has_a_sheet_with_all_its_items() {
    for (question, lists) in [("applications", ["areas", "areas"]), ("harvests", ["worm_beds", "heaps"])] {
        for path in demo_files(question) {
            let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
            let (page, answer) = (sheet(question, &body), ok(question, &body));
            for item in lists.iter().flat_map(|list| answer[*list].as_array().unwrap()) {
                if let Some(name) = item["name"].as_str() {
                    assert!(page.text().contains(name), "{}: {name}", path.display());
                }
            }
            for caution in answer["cautions"].as_array().unwrap() {
                assert!(page.text().contains(caution["source"].as_str().unwrap()), "{}", path.display());
            }
        }
    }
}

#[test]
fn the_sheet_of_the_kitchen_garden_says_what_each_place_takes() {
    let page = sheet("applications", &demo("applications/kitchen-garden.json"));
    // 4 rows x 6 m x 20 cm x 1 cm = 48 L = 4 buckets of 12 L; 48 + 57.6 + 6 + 18 = 129.6 L.
    for part in ["<b>130 L</b>", "carrot rows", "48 L", "4 buckets", "30 pots, 90 L of mix"] {
        assert!(page.text().contains(part), "{part}");
    }
}

#[test]
fn the_sheet_of_a_forecast_says_what_to_lay_and_when_castings_are_ready() {
    let body = demo("harvests/forecast.json");
    let (page, answer) = (sheet("harvests", &body), ok("harvests", &body));
    let forecast = &answer["worm_beds"][0]["forecast"];
    // The bed is 4 m x 1 m.
    assert!(page.text().contains("by forecast, harvest 1, on 4 m2"));
    let days = [&forecast["lots"][0]["ready"]["likely"], &forecast["layers"][0]["on"], &forecast["layers"][1]["on"]];
    for day in days {
        let day: chrono::NaiveDate = day.as_str().unwrap().parse().unwrap();
        let shown = day.format("%-d %b %Y").to_string();
        assert!(page.text().contains(&shown), "{shown}");
    }
}

#[test]
fn names_are_text_in_sheets() {
    let hostile = "<script>alert(1)</script> & \"bed\"";
    for (question, place, file) in [
        ("applications", "/areas/0/name", "applications/kitchen-garden.json"),
        ("harvests", "/worm_beds/0/name", "harvests/forecast.json"),
    ] {
        let page = sheet(question, &with(&demo(file), place, json!(hostile)));
        assert!(
            page.text().contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; ") && !page.text().contains("<script")
        );
    }
}
