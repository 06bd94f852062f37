//! `"explain": true`: every explanation, read as it is and computed with the numbers it shows, gives the figure it is of.

mod applications;
mod balances;
mod beds;
mod brews;
mod feeds;

use crate::plain::{Named, evaluate};
use crate::support::{demo, get, in_repository, ok, post, reported, service};
use barrowful::garden::formulas::Formula;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Units of answers in coherent ones: exact by definition (NIST Handbook 44, Appendix C).
fn coherent(unit: &str) -> f64 {
    const FT: f64 = 0.3048;
    const LB: f64 = 0.453_592_37;
    match unit {
        "" | "m" | "m2" | "kg" | "kg/m2" | "kg/m3" | "h" | "kg/kg/d" | "lb/lb/d" => 1.0,
        "d" => 24.0,
        "L" | "L/m2" | "L/m" | "g" | "g/m2" | "mm" => 0.001,
        "%" => 0.01,
        "ft" => FT,
        "ft2" => FT * FT,
        "ft3" => FT * FT * FT,
        "ft3/ft" => FT * FT,
        "in" => FT / 12.0,
        "lb" => LB,
        "oz" => LB / 16.0,
        "US gal" => 231.0 * (FT / 12.0) * (FT / 12.0) * (FT / 12.0),
        "lb/ft2" => LB / (FT * FT),
        "lb/100 ft2" => LB / (100.0 * FT * FT),
        "lb/1000 ft2" => LB / (1000.0 * FT * FT),
        "lb/yd3" => LB / (27.0 * FT * FT * FT),
        "yd3/1000 ft2" => 27.0 * FT / 1000.0,
        // A measure of the caller's counts as one.
        _ => 1.0,
    }
}

/// A figure in coherent units: the likely value, or a bound.
fn figure(quantity: &Value, which: &str) -> f64 {
    if let Some(number) = quantity.as_f64() {
        return number;
    }
    let number = quantity.get(which).or_else(|| quantity.get("value")).unwrap().as_f64().unwrap();
    number * coherent(quantity["unit"].as_str().unwrap())
}

/// Half a unit in the ninth digit, the last that is shown of a number, as a share of it at most.
const ROUNDED: f64 = 5e-9;

/// The lists of a formula, with nothing in them.
fn lists_of(name: &Value) -> Named {
    let formula = Formula::ALL.iter().map(|formula| formula.definition()).find(|one| *name == one.id).unwrap();
    formula.terms.iter().filter(|symbol| symbol.many).map(|symbol| (symbol.name.to_owned(), Vec::new())).collect()
}

/// Computes an explanation with one of value, low and high for each of its terms; also how far the result may be off, since nine
/// digits are shown of each of these numbers: a difference of two that are nearly alike leaves few digits.
fn computed(explanation: &Value, which: &dyn Fn(usize) -> &'static str) -> (f64, f64) {
    let terms = explanation["inputs"].as_array().unwrap();
    let text = explanation["formula"].as_str().unwrap();
    let put_in: Vec<f64> = terms.iter().enumerate().map(|(i, term)| figure(&term["value"], which(i))).collect();
    let result = |off: Option<usize>| {
        let mut named = lists_of(&explanation["name"]);
        for (i, (term, value)) in terms.iter().zip(&put_in).enumerate() {
            let value = if off == Some(i) { value * (1.0 + ROUNDED) } else { *value };
            named.entry(term["symbol"].as_str().unwrap().to_owned()).or_default().push(value);
        }
        evaluate(text, &named).unwrap_or_else(|why| panic!("{text}: {why}\n{explanation}"))
    };
    let found = result(None);
    let apart = (0..terms.len()).map(|i| (result(Some(i)) - found).abs()).sum();
    (found, apart)
}

/// The figure itself is shown with nine digits too; what is wanted and in stock is rounded to whole millilitres.
fn assert_close((found, apart): (f64, f64), wanted: f64, explanation: &Value) {
    let of = explanation["figure"].as_str().unwrap();
    let whole = of.ends_with("/needed") || of.starts_with("/stock/") && of.ends_with("/amount");
    let rounded = if whole { 1e-6 } else { 1e-12 };
    let most = 1.1 * apart + 2.0 * ROUNDED * wanted.abs() + rounded;
    assert!((found - wanted).abs() <= most, "{found} is not {wanted}: {explanation:#}");
}

fn assert_resolves(taken_from: &str, value: &Value, (request, answer): (&Value, &Value)) {
    let (kind, place) = taken_from.split_once(':').unwrap();
    match kind {
        "request" => assert!(request.pointer(place).is_some(), "{place} is not in the request"),
        "answer" => {
            let there = answer.pointer(place).unwrap_or_else(|| panic!("{place} is not in the answer"));
            assert_eq!(figure(there, "value"), figure(value, "value"), "{place}");
        }
        "assumption" => {
            let used = answer["assumptions"].as_array().unwrap();
            assert!(used.iter().any(|one| one["id"] == place), "{place} is not an assumption of the answer");
        }
        "material" => {
            let table = get("/v1/materials").json();
            assert!(table["materials"].as_array().unwrap().iter().any(|row| row["id"] == place), "{place}");
        }
        "rate" => {
            let table = get("/v1/rates").json();
            assert!(table["rates"].as_array().unwrap().iter().any(|row| row["purpose"] == place), "{place}");
        }
        "constant" => {
            let page = std::fs::read_to_string(in_repository("docs/sources.md")).unwrap();
            assert!(page.contains(&format!("| `{place}` |")), "{place} is no constant of docs/sources.md");
        }
        _ => panic!("{taken_from}"),
    }
}

/// The bounds are the formula at the ends of what is put in. Lists longer than this would have too many corners.
const MAX_RANGES: usize = 8;

fn assert_bounds(explanation: &Value, there: &Value) {
    let terms = explanation["inputs"].as_array().unwrap();
    let ranged: Vec<usize> = (0..terms.len()).filter(|i| terms[*i]["value"].get("low").is_some()).collect();
    if ranged.len() > MAX_RANGES {
        return;
    }
    let (mut least, mut most) = ((f64::INFINITY, 0.0), (f64::NEG_INFINITY, 0.0));
    for corner in 0..1_u32 << ranged.len() {
        let which = |i: usize| match ranged.iter().position(|at| *at == i) {
            Some(bit) if corner >> bit & 1 == 1 => "high",
            Some(_) => "low",
            None => "value",
        };
        let found = computed(explanation, &which);
        least = if found.0 < least.0 { found } else { least };
        most = if found.0 > most.0 { found } else { most };
    }
    assert_close(least, figure(there, "low"), explanation);
    assert_close(most, figure(there, "high"), explanation);
}

/// Every quantity and count below a place of the answer, as pointers.
fn figures(value: &Value, at: &str, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) if members.contains_key("unit") && members.contains_key("value") => {
            found.insert(at.to_owned());
        }
        Value::Object(members) => members.iter().for_each(|(name, one)| figures(one, &format!("{at}/{name}"), found)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, one)| figures(one, &format!("{at}/{i}"), found)),
        _ => {}
    }
}

/// Asks with and without; checks what holds of every explanation; returns the figures that have none.
fn check(resource: &str, body: &Value, with_bounds: bool) -> BTreeSet<String> {
    let mut asked = body.clone();
    asked["explain"] = json!(true);
    let answer = ok(resource, &asked);
    let explained = post(resource, &asked);
    asked.as_object_mut().unwrap().remove("explain");
    let plain = post(resource, &asked);
    // Nothing else changes: the same bytes, with the explanations behind them.
    let (before, _) = explained.text().split_once(",\"explanations\":[").unwrap();
    assert_eq!(format!("{before}}}"), plain.text());
    let (mut left, mut reported) = (BTreeSet::new(), BTreeSet::new());
    let mut rest = answer.clone();
    for apart in ["explanations", "assumptions", "cautions"] {
        rest.as_object_mut().unwrap().remove(apart);
    }
    figures(&rest, "", &mut left);
    for explanation in answer["explanations"].as_array().unwrap() {
        let of = explanation["figure"].as_str().unwrap();
        let there = answer.pointer(of).unwrap_or_else(|| panic!("{of} is not in the answer"));
        assert!(reported.insert(of.to_owned()), "{of} is explained twice");
        left.remove(of);
        for term in explanation["inputs"].as_array().unwrap() {
            assert_resolves(term["taken_from"].as_str().unwrap(), &term["value"], (&asked, &answer));
        }
        assert_close(computed(explanation, &|_| "value"), figure(there, "value"), explanation);
        // A moisture that is given ties the two densities: they move together.
        let symbols: Vec<_> = explanation["inputs"].as_array().unwrap().iter().map(|term| &term["symbol"]).collect();
        let used = answer["assumptions"].as_array().unwrap();
        let wet = used.iter().any(|one| one["id"].as_str().unwrap().starts_with("castings.moisture"));
        let tied = wet && symbols.contains(&&json!("rho")) && symbols.contains(&&json!("rho_d"));
        // The bounds of worms and of a lot also count that a bed at its bounds takes less or more feed, sooner or later.
        let simulated = ["/in_bed", "/castings_dry_matter", "/oversize"];
        let simulated =
            of.contains("/worms/") || of.contains("/lots/") && simulated.iter().any(|end| of.ends_with(end));
        if with_bounds && !tied && !simulated {
            assert_bounds(explanation, there);
        }
    }
    left
}

fn names(left: &BTreeSet<String>) -> Vec<&str> {
    left.iter().map(String::as_str).collect()
}

#[test]
fn explanations_are_for_few_items() {
    let area = json!({"surface": {"kind": "area", "area": "1 m2"}, "rate": {"kind": "depth", "amount": "1 cm"}});
    let body = |count: usize| json!({"explain": true, "areas": vec![area.clone(); count]});
    assert_eq!(reported("applications", &body(501)), ["/explain too_large"]);
    ok("applications", &body(500));
    assert!(ok("applications", &json!({"explain": false, "areas": [area]})).get("explanations").is_none());
}

/// One figure has one formula: in JSON, on the page, in the list of formulas and in docs/formulas.md.
#[test]
fn the_same_formula_is_reported_everywhere() {
    let mut body = demo("feeds/autumn-heap.json");
    body["explain"] = json!(true);
    let answer = ok("feeds", &body);
    let listed = get("/v1/formulas").json();
    let listed = listed["formulas"].as_array().unwrap();
    let docs = std::fs::read_to_string(in_repository("docs/formulas.md")).unwrap();
    let accept = [("content-type", "application/json"), ("accept", "text/html")];
    let bytes = serde_json::to_vec(&body).unwrap();
    let page = crate::support::send(&service(), (reqwest::Method::POST, "/v1/feeds"), &accept, bytes);
    let page = page.text();
    assert!(page.contains("How it is computed"));
    let explanations = answer["explanations"].as_array().unwrap();
    assert!(explanations.len() > 50, "{}", explanations.len());
    for one in explanations {
        let (name, formula) = (one["name"].as_str().unwrap(), one["formula"].as_str().unwrap());
        let row = listed.iter().find(|row| row["name"] == name).unwrap();
        assert_eq!((&row["formula"], &row["sources"]), (&one["formula"], &one["sources"]));
        let symbols: BTreeSet<&str> =
            row["symbols"].as_array().unwrap().iter().map(|s| s["symbol"].as_str().unwrap()).collect();
        let put_in: BTreeSet<&str> =
            one["inputs"].as_array().unwrap().iter().map(|s| s["symbol"].as_str().unwrap()).collect();
        assert_eq!(symbols, put_in, "{name}");
        assert!(page.contains(&format!(">{formula}</td>")), "{formula} is not on the page");
        let line = docs.lines().find(|line| line.starts_with(&format!("| `{name}` |"))).unwrap();
        assert!(line.contains(&format!("`{formula}`")), "{line}");
    }
    body["explain"] = json!(false);
    let bytes = serde_json::to_vec(&body).unwrap();
    let plain = crate::support::send(&service(), (reqwest::Method::POST, "/v1/feeds"), &accept, bytes);
    assert!(!plain.text().contains("How it is computed"));
}
