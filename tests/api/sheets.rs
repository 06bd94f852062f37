//! The sheets to print of places, beds and heaps.

use crate::support::{Answer, demo, demo_files, ok, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

fn sheet(question: &str, body: &Value) -> Answer {
    let headers = [("content-type", "application/json"), ("accept", "text/html")];
    let answer = send(&service(), (Method::POST, &format!("/v1/{question}")), &headers, body.to_string().into_bytes());
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/html; charset=utf-8"), "{}", answer.text());
    let policy =
        "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";
    assert_eq!(answer.header("content-security-policy"), policy);
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

#[test]
fn cells_name_their_columns_for_screens_without_room_for_a_table() {
    let page = sheet("balances", &demo("balances/two-lots.json"));
    // 40 L are needed for the onions, and they get them.
    for part in
        ["data-of=\"needed\"><span class=\"q\">40 L</span>", "data-of=\"allocated\"><span class=\"q\">40 L</span>"]
    {
        assert!(page.text().contains(part), "{part}\n{}", page.text());
    }
    assert!(
        page.text().contains("@media screen and (max-width:44em){.some,")
            && page.text().contains("(max-width:62em){.wide,")
    );
    assert!(!page.text().contains("<th></th>"), "an empty heading is no heading");
}

/// Every element of a class, up to its end.
fn of_class<'p>(page: &'p str, start: &str, end: &str) -> Vec<&'p str> {
    page.split(start).skip(1).map(|rest| rest.split(end).next().unwrap()).collect()
}

#[test]
fn labels_tell_of_each_lot_and_of_each_place_that_gets_castings() {
    let body = demo("seasons/kitchen-garden.json");
    let (page, answer) = (sheet("seasons", &body), ok("seasons", &body));
    let (_, after) = page.text().split_once("<h2>Labels to cut out</h2>").unwrap();
    let labels = of_class(after, "<div class=\"label\"><b>", "</div></div>");
    let lots = answer["stock"].as_array().unwrap().len()
        + answer["worm_beds"]
            .as_array()
            .unwrap()
            .iter()
            .map(|bed| bed["lots"].as_array().unwrap().len())
            .sum::<usize>();
    let served =
        answer["demands"].as_array().unwrap().iter().filter(|of| of["allocated"]["value"].as_f64() > Some(0.0));
    assert_eq!(labels.len(), lots + served.count());
    assert!(
        labels[0].starts_with(
            "barrow in the shed</b><div>65 L of castings</div><div>5½ buckets</div><div>use by 30 Jun 2027"
        ),
        "{}",
        labels[0]
    );
    // 120 pots of 0.5 L with a fifth of castings: 12 L, a bucket.
    let pots = labels.iter().find(|label| label.starts_with("seed pots")).unwrap();
    assert_eq!(*pots, "seed pots</b><div>12 L of castings</div><div>1 bucket</div><div>on 20 Feb 2027");
    // What gets nothing needs no label.
    let none = with(&demo("balances/two-lots.json"), "/stock", json!([]));
    assert!(!sheet("balances", &none).text().contains("<h2>Labels to cut out"));
}

#[test]
fn the_sheet_of_a_season_has_a_box_for_every_task_of_every_week() {
    let body = demo("seasons/kitchen-garden.json");
    let (page, answer) = (sheet("seasons", &body), ok("seasons", &body));
    let (before, after) = page.text().split_once("<div class=\"plan\">").unwrap();
    let plan = after.split("<h2>").next().unwrap();
    // The tasks of the next 30 days are those that the page begins with; all others are in the plan.
    let (next, rest): (Vec<&Value>, Vec<&Value>) =
        answer["work"].as_array().unwrap().iter().partition(|task| answer["next"].as_array().unwrap().contains(task));
    assert!(!next.is_empty() && before.ends_with("<h2>The rest of the plan week by week</h2>"));
    assert_eq!(before.matches("<span class=\"tick\">").count(), next.len());
    assert_eq!(plan.matches("<span class=\"tick\">").count(), rest.len());
    let weeks: std::collections::BTreeSet<_> = rest
        .iter()
        .map(|task| {
            use chrono::Datelike;
            task["on"].as_str().unwrap().parse::<chrono::NaiveDate>().unwrap().iso_week()
        })
        .collect();
    assert_eq!(plan.matches("<h3>Week ").count(), weeks.len());
    assert!(plan.contains("<h3>Week 43, 19–25 Oct 2026</h3>"));
}

#[test]
fn the_sheet_of_a_brew_has_a_box_and_containers_for_each_batch() {
    let body = json!({
        "containers": [{"name": "can", "capacity": "10 L"}],
        "brews": [{"name": "June tea", "water": "120 L", "castings_to_water": "1:10", "brewer": {"capacity": "60 L"},
            "brewing_time": "36 h", "use_at": "2027-06-10T18:00:00+02:00"}],
    });
    let answer = ok("brews", &body);
    let batch = &answer["brews"][0]["batches"][1];
    // Two batches of 60 L with 6 L of castings: six cans, and more than half a can, so that the litres are given alone.
    assert_eq!(batch["water_in_containers"], json!([{"value": 6, "unit": "can"}]));
    assert_eq!(batch["castings_in_containers"], json!([{"value": 0.6, "unit": "can"}]));
    let page = sheet("brews", &body);
    let table = page.text().split("<table").nth(1).unwrap().split("</table>").next().unwrap();
    assert_eq!(table.matches("<span class=\"tick\">").count(), 2);
    for part in ["June tea, batch 1 of 2", "6 cans", "6 L", "10 Jun 2027 18:00"] {
        assert!(table.contains(part), "{part}\n{table}");
    }
    assert!(!table.contains("½ can"), "{table}");
}

#[test]
fn the_sheet_of_a_season_has_room_to_write_in_what_was_done_and_harvested() {
    let body = demo("seasons/kitchen-garden.json");
    let (page, answer) = (sheet("seasons", &body), ok("seasons", &body));
    let (_, after) = page.text().split_once("<h2>Record what you do and harvest</h2>").unwrap();
    let records = after.split("<h2>").next().unwrap();
    // Each part is a table: its headings come again on a new page of print.
    let parts = of_class(records, "<table class=\"fill\">", "</table>");
    assert!(parts.iter().all(|part| part.starts_with("<thead>") && part.matches("<thead>").count() == 1));
    let tables: Vec<&str> = records.split("<h3>").skip(1).collect();
    let beds = answer["worm_beds"].as_array().unwrap();
    assert_eq!(tables.len(), beds.len());
    for (table, bed) in tables.iter().zip(beds) {
        let [layers, harvests] = [&bed["forecast"]["layers"], &bed["lots"]].map(|list| list.as_array().unwrap().len());
        assert_eq!((table.matches("<td>layer ").count(), table.matches("<td>harvest ").count()), (layers, harvests));
        // On which day, how much, eaten or ready on, with one more layer; the castings and a container of them; a look that finds a
        // layer not yet eaten; for two weighings, and where they are put in, the day and the mass of the worms.
        let starts = bed.get("observed_on").is_none();
        let of_worms = if starts { 3 } else { 2 };
        assert_eq!(table.contains("<th scope=\"col\">put in on</th>"), starts);
        assert_eq!(
            table.matches("<td class=\"blank\">").count(),
            3 * (layers + 1 + harvests) + 3 + 3 + 2 + 2 * of_worms
        );
        for heading in [
            "laid on",
            "amount",
            "eaten on",
            "looked on",
            "harvested on",
            "ready on",
            "through the sieve",
            "ash",
            "full",
            "empty",
            "holds",
            "weighed on",
            "worms",
        ] {
            assert!(table.contains(&format!("<th scope=\"col\">{heading}</th>")), "{heading}");
        }
    }
    assert!(records.contains("<h3>bed along the mill wall</h3>"));
    assert!(tables[0].contains("<td>layer 1</td><td>26 Sep 2026: 240 L, 3½ barrows</td>"), "{}", tables[0]);
    // A balance lays and harvests nothing.
    assert!(!sheet("balances", &demo("balances/two-lots.json")).text().contains("<h2>Record what"));
}
