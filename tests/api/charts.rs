//! Charts: what they say in place, and the bars of harvests.

use crate::support::{demo, ok, send, service, with};
use reqwest::Method;
use serde_json::{Value, json};

fn chart(question: &str, body: &Value) -> String {
    let headers = [("content-type", "application/json"), ("accept", "image/svg+xml")];
    let body = serde_json::to_vec(body).unwrap();
    let answer = send(&service(), (Method::POST, &format!("/v1/{question}")), &headers, body);
    assert_eq!((answer.status, answer.header("content-type")), (200, "image/svg+xml"), "{}", answer.text());
    answer.text().to_owned()
}

/// The texts that are drawn, one after another.
fn drawn(svg: &str) -> Vec<String> {
    let texts = svg.split("<text").skip(1);
    texts.map(|text| text.split('>').nth(1).unwrap().split('<').next().unwrap().to_owned()).collect()
}

#[test]
fn a_chart_over_time_names_its_lines_and_says_that_they_are_sums() {
    let texts = drawn(&chart("seasons", &demo("seasons/kitchen-garden.json")));
    for part in
        ["Castings summed up to each day, in L", "supply", "demand", "in stock", "shortage 62.3 L", "on 5 Apr 2027"]
    {
        assert!(texts.iter().any(|text| text == part), "{part}: {texts:?}");
    }
}

/// What an attribute of a kind of element says, each time.
fn numbers(svg: &str, element: &str, attribute: &str) -> Vec<f64> {
    let of = svg.split(element).skip(1).map(|rest| rest.split('>').next().unwrap());
    of.map(|of| of.split(&format!("{attribute}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap())
        .collect()
}

#[test]
fn bars_of_a_harvest_are_as_long_as_their_castings() {
    let body = demo("harvests/beds-and-heaps.json");
    let (answer, svg) = (ok("harvests", &body), chart("harvests", &body));
    let beds = answer["worm_beds"].as_array().unwrap().iter().map(|bed| &bed["stored"]["volume"]);
    let heaps = answer["heaps"].as_array().unwrap().iter().map(|heap| &heap["castings"]);
    let amounts: Vec<f64> = beds.chain(heaps).map(|amount| amount["value"].as_f64().unwrap()).collect();
    let widths = numbers(&svg, "<rect class=\"bar\"", "width");
    assert_eq!(widths.len(), amounts.len());
    for (width, amount) in widths.iter().zip(&amounts) {
        // Places are written to a tenth.
        let scale = widths[0] / amounts[0];
        assert!((width - amount * scale).abs() < 0.3, "{width} for {amount}");
    }
    // Each bar that has a range shows it, and says it in numbers.
    assert!(drawn(&svg).contains(&"308 L (168 to 546)".to_owned()), "{:?}", drawn(&svg));
}

#[test]
fn harvests_to_come_say_when_they_may_be_ready() {
    let body = demo("harvests/forecast.json");
    let texts = drawn(&chart("harvests", &body));
    let lots: usize = ok("harvests", &body)["worm_beds"]
        .as_array()
        .unwrap()
        .iter()
        .map(|bed| bed["forecast"]["lots"].as_array().unwrap().len())
        .sum();
    assert!(lots > 1);
    assert_eq!(texts.iter().filter(|text| text.starts_with("ready ") && text.contains(" (")).count(), lots);
    // A bed that yields nothing in time says so.
    let early = with(&body, "/worm_beds/0/forecast/until", json!(body["worm_beds"][0]["forecast"]["start_on"]));
    let early = json!({"worm_beds": [early["worm_beds"][0]]});
    assert!(chart("harvests", &early).contains("No castings are ready by the last day"));
}

#[test]
fn the_chart_of_a_harvest_is_xml_whatever_its_names_hold() {
    // XML 1.0, section 2.2: U+FFFE and U+FFFF are no characters of XML.
    let mut body = with(&demo("harvests/beds-and-heaps.json"), "/name", json!("all\u{fffe}"));
    body["worm_beds"][0]["name"] = json!("a\u{ffff} <bed> & \"more\"");
    body["heaps"][0]["name"] = json!("b\u{fffe}");
    let svg = chart("harvests", &body);
    assert!(!svg.contains(['\u{fffe}', '\u{ffff}']));
    assert!(drawn(&svg).contains(&"a\u{fffd} &lt;bed&gt; &amp; &quot;more&quot;".to_owned()), "{:?}", drawn(&svg));
}

#[test]
fn cautions_in_a_chart_name_their_items() {
    for question in ["seasons", "balances"] {
        let svg = chart(question, &demo(&format!("{question}/kitchen-garden.json")));
        let line = svg.lines().find(|line| line.starts_with("warning: Use tea on soil, and brew it safely.")).unwrap();
        assert!(line.ends_with("[tea for the roses]"), "{line}");
    }
}

#[test]
fn a_long_list_of_bars_is_cut_and_says_how_many_are_left_out() {
    let heap = json!({"kind": "cone", "diameter": "2 m", "height": "1 m", "name": "</svg>"});
    let svg = chart("harvests", &json!({"heaps": vec![heap; 75]}));
    assert_eq!(numbers(&svg, "<rect class=\"bar\"", "width").len(), 60);
    assert!(svg.contains("and 15 more, which the table lists") && svg.matches("</svg>").count() == 1);
}
