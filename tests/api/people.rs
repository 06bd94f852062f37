//! Small amounts for people are given in units in which they can be measured out; data stay in the unit of their role.

use crate::support::{self, flat, ok};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The words of a form. Lines of a calendar are folded (RFC 5545, section 3.1).
fn form(address: &str, accept: &str, body: &Value) -> String {
    flat(&support::form(address, accept, body).text().replace("\r\n ", ""))
}

/// Cubic feet in a unit. NIST Handbook 44, Appendix C: a cubic foot is 1728 in3, a US gallon 231 in3.
fn cubic_feet(unit: &str) -> f64 {
    match unit {
        "ft3" => 1.0,
        "US gal" => 231.0 / 1728.0,
        "US qt" => 231.0 / 1728.0 / 4.0,
        "US fl oz" => 231.0 / 1728.0 / 128.0,
        other => panic!("{other}"),
    }
}

const VOLUMES: [&str; 4] = ["ft3", "US gal", "US qt", "US fl oz"];

/// `about 2 US qt (1 to 4)`, or `5 US gal`, at the end of a text, in cubic feet: likely, low, high.
fn read(text: &str) -> [f64; 3] {
    let (amount, range) = text.strip_suffix(')').map_or((text, None), |text| {
        let (amount, range) = text.rsplit_once(" (").unwrap();
        (amount, range.split_once(" to "))
    });
    let (number, unit) = VOLUMES.iter().find_map(|unit| Some((amount.strip_suffix(unit)?.trim_end(), *unit))).unwrap();
    let number = number.rsplit_once([' ', ':', '>']).map_or(number, |(_, number)| number);
    let value = |number: &str| number.parse::<f64>().unwrap_or_else(|_| panic!("{text}")) * cubic_feet(unit);
    let (low, high) = range.unwrap_or((number, number));
    [value(number), value(low), value(high)]
}

/// The same of a quantity of JSON.
fn exact(quantity: &Value) -> [f64; 3] {
    let unit = cubic_feet(quantity["unit"].as_str().unwrap());
    ["value", "low", "high"].map(|part| {
        let part = quantity.get(part).unwrap_or(&quantity["value"]);
        part.as_f64().unwrap() * unit
    })
}

/// Three significant digits: half of the last is 0.5 % at most.
fn assert_same(people: [f64; 3], data: [f64; 3], text: &str) {
    for (people, data) in people.into_iter().zip(data) {
        assert!((people / data - 1.0).abs() <= 0.005 + 1e-8, "{people} is not {data}: {text}");
    }
}

#[test]
fn half_a_gallon_of_castings_is_two_quarts_in_every_form_and_cubic_feet_in_data() {
    let body = json!({"units": "us", "brews": [{"water": "5 gal"}]});
    let volume = &ok("brews", &body)["brews"][0]["castings"]["volume"];
    // Half of 231 in3 of 1728 in3.
    assert_eq!(*volume, json!({"value": 0.0668402778, "low": 0.0334201389, "high": 0.133680556, "unit": "ft3"}));
    let text = form("brews", "text/plain", &body);
    assert!(text.contains("about 2 US qt (1 to 4) of castings in 5 US gal of water"), "{text}");
    assert!(!text.contains("ft3"), "{text}");
    let page = form("brews", "text/html", &body);
    assert!(
        page.contains("about 2 US qt (1 to 4) of castings in 5 US gal of water") && !page.contains("ft3"),
        "{page}"
    );
    let csv = form("brews", "text/csv", &body);
    assert!(csv.contains(",castings_ft3,castings_ft3_low,") && csv.contains("0.0668402778,0.0334201389,"), "{csv}");
}

#[test]
fn cups_for_a_dozen_plants_are_a_gallon_and_a_half() {
    let plants = json!({"kind": "plants", "count": 12});
    let body =
        json!({"units": "us", "areas": [{"surface": plants, "rate": {"kind": "per_plant", "amount": "2 cups"}}]});
    let text = form("applications", "text/plain", &body);
    // 12 x 2 cups are 24 cups, and 16 cups a gallon.
    assert!(text.contains("1.5 US gal of castings in all") && !text.contains("ft3"), "{text}");
    // 24 cups of 14.4375 in3 are 346.5 in3.
    assert_eq!(ok("applications", &body)["total"]["castings"]["volume"]["unit"], "ft3");
    assert_eq!(ok("applications", &body)["total"]["castings"]["volume"]["value"], 0.200520833);
}

#[test]
fn what_people_read_is_what_data_hold_within_three_digits() {
    for water in
        ["1 fl oz", "3 fl oz", "1 qt", "3.99 gal", "5 gal", "9.99 gal", "10 gal", "74.8 gal", "100 gal", "20000 gal"]
    {
        let body = json!({"units": "us", "brews": [{"water": water, "use_at": "2027-06-10T08:00:00Z"}]});
        let answer = ok("brews", &body);
        let brew = &answer["brews"][0];
        for accept in ["text/plain", "text/html", "text/calendar"] {
            let text = form("brews", accept, &body).replace("\\,", ",");
            let mut found = 0;
            for (before, after) in text.match_indices(" of castings in ").map(|(at, _)| text.split_at(at)) {
                let mut castings = exact(&brew["castings"]["volume"]);
                // Tasks of a calendar have the likely amount; its headline has the range too.
                if accept == "text/calendar" && !before.ends_with(')') {
                    castings = [castings[0]; 3];
                }
                assert_same(read(before), castings, &text);
                let water = after.trim_start_matches(" of castings in ").split(" of water").next().unwrap();
                assert_same(read(water), exact(&brew["water"]), &text);
                found += 1;
            }
            assert!(found > 0, "{text}");
        }
    }
}

/// The areas of a request, by the amount of each.
fn places(amounts: &[&str]) -> Value {
    let place = |amount: &&str| json!({"surface": {"kind": "plants", "count": 1}, "castings": amount});
    json!({"units": "us", "areas": amounts.iter().map(place).collect::<Vec<_>>()})
}

#[test]
fn an_amount_reads_the_same_in_headline_and_table() {
    for amounts in
        [["1 qt", "3 gal"], ["9.9 ft3", "12 ft3"], ["3 ft3", "2 qt"], ["1 cup", "2 cups"], ["1 tbsp", "20 gal"]]
    {
        let body = places(&amounts);
        let answer = ok("applications", &body);
        let texts = ["text/plain", "text/html"].map(|accept| form("applications?all=true&width=400", accept, &body));
        for area in answer["areas"].as_array().unwrap() {
            let [likely, ..] = exact(&area["castings"]["volume"]);
            let shown =
                |unit| format!("{} {unit}", format!("{:.2e}", likely / cubic_feet(unit)).parse::<f64>().unwrap());
            // 10 ft3, a gallon, a pint, each to three digits.
            let unit = match likely * 1.001 {
                size if size >= 10.0 => "ft3",
                size if size >= cubic_feet("US gal") => "US gal",
                size if size >= 0.5 * cubic_feet("US qt") => "US qt",
                _ => "US fl oz",
            };
            for text in &texts {
                assert!(text.contains(&shown(unit)), "{amounts:?}: no {} in {text}", shown(unit));
                let others = VOLUMES.into_iter().filter(|other| *other != unit).map(shown);
                others
                    .for_each(|other| assert!(!text.contains(&format!(" {other}")), "{amounts:?}: {other} in {text}"));
            }
        }
    }
}

/// A text or a page without its chart, and without the chart in words.
fn without_chart(text: &str) -> String {
    let between = |text: &str, start: &str, ends: &[&str]| {
        let Some((before, rest)) = text.split_once(start) else { return text.to_owned() };
        let after = ends.iter().filter_map(|end| Some(rest.find(end)? + end.len())).max().unwrap_or(rest.len());
        format!("{before}{}", &rest[after..])
    };
    let page = between(text, "<svg", &["</svg>"]);
    between(&page, "Castings summed up to each day", &["(hatched).", "above the supply.", "(grey band)."])
}

/// What is allocated reads the same with its demand, its lot, its day, and in the work of a season.
#[test]
fn a_season_has_each_amount_in_one_unit() {
    let stock = json!([{"name": "shed", "amount": "15 ft3"}]);
    let demands = json!([{"name": "beds", "amount": "12 ft3", "on": "2027-04-05"}, {"name": "pots", "amount": "3 qt", "on": "2027-04-06"},
        {"name": "lawn", "amount": "5 ft3", "on": "2027-05-05", "priority": 2}]);
    let body = json!({"units": "us", "as_of": "2027-03-01", "until": "2027-06-30", "climate": "60 F", "stock": stock, "demands": demands});
    for (question, body) in [("seasons", body.clone()), ("balances", body)] {
        let mut body = body;
        if question == "balances" {
            body.as_object_mut().unwrap().retain(|field, _| !["until", "climate"].contains(&field.as_str()));
        }
        for accept in ["text/plain", "text/html"] {
            // The chart has the unit of its axis.
            let text = without_chart(&form(&format!("{question}?all=true&width=400"), accept, &body));
            // 3 qt are 0.1 ft3 and 0.75 gallons; 2.9 ft3 (15 - 12 - 0.1) 21.7 gallons; 2.1 ft3 15.7.
            for wrong in ["0.1 ft3", "0.75 US gal", "2.9 ft3", "2.1 ft3", "89.8 US gal,"] {
                assert!(!text.contains(&format!(" {wrong}")), "{question} as {accept}: {wrong} in {text}");
            }
            if accept == "text/plain" {
                let whole = ["15.7 US gal of the 128 US gal needed are missing", "21.7 US gal", "3 US qt", "12 ft3"];
                whole.into_iter().for_each(|part| assert!(text.contains(part), "{question}: {part} in {text}"));
            }
        }
    }
}

/// Half a cubic yard is 13.5 ft3, 101 US gal: less 20 of these, 81 remain.
#[test]
fn what_remains_has_the_unit_of_the_headline_in_the_heading_too() {
    let body =
        json!({"units": "us", "stock": [{"amount": "1/2 yd3"}], "demands": [{"amount": "20 gal", "on": "2027-04-05"}]});
    for accept in ["text/plain", "text/html"] {
        let text = form("balances", accept, &body);
        assert!(text.contains("20 US gal in all; 81 US gal remain."), "{text}");
        assert!(text.contains("of 101 US gal on hand, 81 US gal remain"), "{text}");
    }
}

/// A bed whose first layer is above ten cubic feet and whose second is below.
#[test]
fn the_layers_of_a_record_sheet_have_one_unit() {
    let bed = json!({"ground": {"kind": "rectangle", "length": "8 ft", "width": "42 in"}, "start_on": "2026-12-01",
        "feed": {"material": "leaves_shredded"}});
    let body = json!({"units": "us", "until": "2027-06-30", "climate": "64 F", "worm_beds": [bed],
        "demands": [{"amount": "20 gal", "on": "2027-04-05"}]});
    let page = form("seasons", "text/html", &body);
    let planned: Vec<&str> = page.split("<td>layer ").skip(1).map(|row| row.split("</tr>").next().unwrap()).collect();
    let units: std::collections::BTreeSet<bool> = planned.iter().map(|row| row.contains(" ft3")).collect();
    assert!(planned.len() > 1 && units.len() == 1, "{planned:?}");
}

#[test]
fn nutrients_of_a_large_place_are_kilograms_and_pounds() {
    for (units, [unit, small]) in [("metric", ["kg", "g"]), ("us", ["lb", "oz"])] {
        let place = |area: &str| json!({"surface": {"kind": "area", "area": area}, "rate": {"kind": "depth", "amount": "1 cm"}});
        let body = json!({"units": units, "areas": [place("500 m2")]});
        let nitrogen = &ok("applications", &body)["areas"][0]["nutrients"]["nitrogen"]["mass"];
        assert_eq!(nitrogen["unit"], small);
        let text = form("applications?all=true&width=400", "text/plain", &body);
        let exact = nitrogen["value"].as_f64().unwrap() / if units == "us" { 16.0 } else { 1000.0 };
        let shown = format!("{}", format!("{exact:.2e}").parse::<f64>().unwrap());
        assert!(text.contains(&shown) && text.contains(&format!("N {unit}")), "{shown} {unit}: {text}");
    }
}

#[test]
fn a_headline_has_one_unit_and_the_chart_that_of_its_largest_amount() {
    let body = json!({"units": "us", "stock": [{"amount": "3 gal", "ready_on": "2027-03-01"}],
        "demands": [{"name": "pots", "amount": "4 gal", "on": "2027-04-05"}]});
    let answer = ok("balances", &body);
    assert_eq!([&answer["total"]["needed"]["unit"], &answer["total"]["shortfall"]["unit"]], ["ft3", "ft3"]);
    let headline = answer["headline"].as_str().unwrap();
    assert!(headline.starts_with("Not enough. 1 US gal of the 4 US gal needed are missing"), "{headline}");
    assert!(form("balances", "text/plain", &body).contains(headline));
    let chart = form("balances", "image/svg+xml", &body);
    assert!(chart.contains("in US gal") && !chart.contains("ft3"), "{chart}");
    let little = json!({"units": "us", "stock": [{"amount": "3.75 gal"}], "demands": [{"amount": "4 gal"}]});
    let headline = ok("balances", &little)["headline"].clone();
    assert!(headline.as_str().unwrap().starts_with("Not enough. 1 US qt of the 16 US qt needed"), "{headline}");
}

#[test]
fn metric_amounts_too_small_for_litres_are_millilitres_for_people() {
    let body = json!({"areas": [{"surface": {"kind": "plants", "count": 3}, "rate": {"kind": "per_plant", "amount": "20 mL"}}]});
    let text = form("applications", "text/plain", &body);
    assert!(text.contains("60 mL of castings in all"), "{text}");
    let volume = &ok("applications", &body)["total"]["castings"]["volume"];
    assert_eq!((&volume["value"], &volume["unit"]), (&json!(0.06), &json!("L")));
    let known: BTreeMap<&str, &str> = [("100 mL", "0.1 L"), ("99 mL", "99 mL"), ("0.5 L", "0.5 L")].into();
    for (amount, shown) in known {
        let text = form(
            "applications",
            "text/plain",
            &places(&[amount]).as_object().map(|of| json!({"areas": of["areas"]})).unwrap(),
        );
        assert!(text.contains(&format!("{shown} of castings in all")), "{amount}: {text}");
    }
}
