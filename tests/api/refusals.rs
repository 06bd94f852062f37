//! What every refusal looks like.

mod examples;
mod hints;
mod several;
mod values;

use crate::support::{Answer, keys};
use barrowful::http::wire::ErrorCode;
use serde_json::Value;

/// Checks what holds of every problem document.
pub fn assert_problem(answer: &Answer) {
    assert_eq!(answer.header("content-type"), "application/problem+json", "{}", answer.text());
    assert_eq!(answer.header("cache-control"), "no-store");
    let problem = answer.json();
    crate::support::assert_tidy(&problem);
    assert_eq!(problem["status"], answer.status, "{problem}");
    assert!(problem["type"].as_str().unwrap().starts_with("/problems/"), "{problem}");
    assert!(!problem["title"].as_str().unwrap().is_empty(), "{problem}");
    assert!(!problem["detail"].as_str().unwrap().is_empty(), "{problem}");
    let Some(errors) = problem.get("errors") else {
        assert_ne!(answer.status, 422, "{problem}");
        return;
    };
    let errors = errors.as_array().unwrap();
    assert!(!errors.is_empty() && errors.len() <= 100, "{problem}");
    assert!(problem["errors_total"].as_u64().unwrap() >= u64::try_from(errors.len()).unwrap());
    for error in errors {
        let at = error["at"].as_str().unwrap();
        assert_eq!(error.get("pointer").is_some(), at == "body", "{error}");
        assert_eq!(error.get("parameter").is_some(), at == "query", "{error}");
        assert!(ErrorCode::find(error["code"].as_str().unwrap()).is_some(), "{error}");
        assert!(error["detail"].as_str().unwrap().ends_with(['.', '?']), "{error}");
        assert!(error["detail"].as_str().unwrap().chars().count() < 700, "{error}");
        assert_names_its_item(error);
        let known =
            ["at", "pointer", "parameter", "line", "column", "code", "detail", "nearest", "allowed", "min", "max"];
        assert!(keys(error).iter().all(|key| known.contains(key)), "{error}");
    }
}

/// An error in an item of a list says which item, by its position counted from 1.
fn assert_names_its_item(fault: &Value) {
    let mut steps = fault["pointer"].as_str().unwrap_or_default().split('/').skip(1);
    let (list, position) = (steps.next().unwrap_or_default(), steps.next().and_then(|step| step.parse::<usize>().ok()));
    let nouns = [
        ("areas", "Area"),
        ("worm_beds", "Bed"),
        ("heaps", "Heap"),
        ("brews", "Brew"),
        ("stock", "Lot"),
        ("demands", "Demand"),
        ("materials", "Material"),
        ("containers", "Container"),
    ];
    if let (Some((_, noun)), Some(position)) = (nouns.iter().find(|(name, _)| *name == list), position) {
        let detail = fault["detail"].as_str().unwrap();
        let rest = detail.strip_prefix(&format!("{noun} {}", position + 1)).unwrap_or_else(|| panic!("{fault}"));
        assert!(rest.starts_with([':', ',', ' ']), "{fault}");
    }
}
