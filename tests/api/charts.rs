//! Charts: what they say in place, and the bars of harvests.

use crate::support::{demo, ok, quick_demo_files, send, service, with};
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
    for part in [
        "Castings summed up to each day, in L",
        "supply",
        "demand",
        "in stock",
        "shortfall 62.3 L",
        "first on 5 Apr 2027",
    ] {
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

/// 6 of 30 L expire in May, and 40 L come in June: of 70 L that came, 64 L are supply when the demands of summer are due.
#[test]
fn what_expired_is_no_supply_any_more() {
    let svg = chart("balances", &demo("balances/side-dressing-all-summer.json"));
    assert!(svg.contains("Supply (solid line): 30 L at first, 64 L in the end, after 6 L expired."), "{svg}");
    let path = |mark: &str| {
        svg.split(mark).nth(1).unwrap().split(" d=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
    };
    let heights = |path: &str| -> Vec<f64> {
        path.split('V').skip(1).map(|rest| rest.split(['H', 'Z']).next().unwrap().parse().unwrap()).collect()
    };
    let supply = heights(&path("<path class=\"supply\""));
    assert!(supply.windows(2).any(|pair| pair[1] > pair[0]), "it goes down where some expires: {supply:?}");
    // What is hatched reaches down to the line of the supply.
    let hatched = heights(&path("<path fill=\"url(#too-few)\""));
    assert!(!hatched.is_empty() && hatched.iter().all(|low| supply.contains(low)), "{hatched:?} {supply:?}");
}

#[test]
fn a_chart_names_the_shortfall_of_the_headline_and_its_first_day() {
    let mut short = 0;
    let files = |question| quick_demo_files(question).into_iter().map(move |path| (question, path));
    for (question, path) in ["balances", "seasons"].into_iter().flat_map(files) {
        let body: Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
        let answer = ok(question, &body);
        let headline = answer["headline"].as_str().unwrap();
        let Some((amount, first)) = headline.split("Not enough. ").nth(1).and_then(|of| of.split_once(" of the "))
        else {
            continue;
        };
        let first = first.split(", first").nth(1).unwrap().split(" on ").nth(1).unwrap();
        let first: String = first.split_inclusive(' ').take(3).collect();
        let first = first.trim().trim_end_matches(['.', ',']);
        let svg = chart(question, &body);
        assert!(svg.contains(&format!(" The shortfall is {amount} in all, first on {first}.")), "{headline}\n{svg}");
        assert!(drawn(&svg).contains(&format!("first on {first}")), "{headline}: {:?}", drawn(&svg));
        short += 1;
    }
    assert!(short > 5, "{short}");
}

/// 400 L are 14.1 ft3, 300 L 10.6 ft3 and 100 L 3.53 ft3 (26.4 US gal): curves are compared, so that each has the unit of the axis.
#[test]
fn amounts_in_a_chart_over_time_have_the_unit_of_its_axis() {
    let body = json!({
        "units": "us", "stock": [{"amount": "400 L"}], "demands": [{"amount": "300 L", "on": "2027-04-05"}],
    });
    let texts = drawn(&chart("balances", &body));
    for part in ["Castings summed up to each day, in ft3", "14.1 ft3", "10.6 ft3", "3.53 ft3"] {
        assert!(texts.iter().any(|text| text == part), "{part}: {texts:?}");
    }
    // Without a day it is one sentence; 2 gallons are 0.267 ft3.
    let body = json!({"units": "us", "stock": [{"amount": "400 L"}], "demands": [{"amount": "2 gal"}]});
    let svg = chart("balances", &body);
    assert!(svg.contains("Supply 14.1 ft3, demand 0.267 ft3, shortfall 0 ft3."), "{svg}");
    let season = json!({"units": "us", "until": "2027-06-30", "climate": "64 F", "stock": [{"amount": "1/2 yd3"}],
        "demands": [{"name": "tomatoes", "amount": "20 gal", "on": "2027-04-05"}]});
    assert!(!chart("seasons", &season).split("cautions").next().unwrap().contains("US gal"));
}

#[test]
fn a_chart_of_its_own_has_a_size_and_one_in_a_page_has_the_width_of_its_place() {
    let body = demo("calibrations/mill-garden.json");
    let svg = chart("calibrations", &body);
    let size = svg.split("viewBox=\"0 0 ").nth(1).unwrap().split('"').next().unwrap();
    let (width, height) = size.split_once(' ').unwrap();
    assert!(svg.contains(&format!(" width=\"{width}\" height=\"{height}\"")), "{size}");
    let headers = [("content-type", "application/json"), ("accept", "text/html")];
    let page = send(&service(), (Method::POST, "/v1/calibrations"), &headers, serde_json::to_vec(&body).unwrap());
    let opened: Vec<String> =
        page.text().split("<svg").skip(1).map(|of| of.split('>').next().unwrap().to_owned()).collect();
    assert!(opened.iter().all(|of| of.contains(" width=\"100%\"") && !of.contains(" height=")), "{opened:?}");
    // Each thing is on paper of its own, so that a printed page can end between them; the first has the words of all.
    let things = drawn(&svg).iter().filter(|text| text.starts_with("before: ")).count();
    assert_eq!((opened.len(), opened.iter().filter(|of| of.contains("role=\"img\"")).count()), (things, 1));
}

#[test]
fn figures_in_a_chart_are_never_cut_off() {
    let svg = chart("calibrations", &demo("calibrations/mill-garden.json"));
    assert!(
        !svg.contains('\u{2026}'),
        "{:?}",
        drawn(&svg).iter().filter(|text| text.ends_with('\u{2026}')).collect::<Vec<_>>()
    );
    // The drawing is 446 wide, and letters of 15 are on average half as wide as they are high; what may be wider than it has a length.
    for text in svg.split("<text").skip(1).filter(|text| text.contains("before: ")) {
        let (attributes, words) = text.split_once('>').unwrap();
        let words = words.split('<').next().unwrap();
        let length = attributes.split("textLength=\"").nth(1).map(|of| of.split('"').next().unwrap());
        assert!(length.is_none_or(|length| length.parse::<f64>().unwrap() <= 446.0), "{words}: {attributes}");
        assert!(length.is_some() || words.chars().count() * 15 / 2 < 446, "{words}");
    }
    // Long amounts beside a chart are drawn narrower, by an attribute: pages take no styles of elements.
    let svg = chart(
        "balances",
        &json!({"units": "us", "stock": [{"amount": "400 L"}], "demands": [{"amount": "1 mL", "on": "2027-04-05"}]}),
    );
    assert!(svg.contains("textLength=\"84\" lengthAdjust=\"spacingAndGlyphs\">0.0000353 ft3<"), "{svg}");
    assert!(!svg.contains("style="));
}
