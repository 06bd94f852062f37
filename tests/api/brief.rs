//! `"texts": "brief"`: the same answer without the texts of the lists of cautions and assumptions.

use crate::support::{demo, flat, form, get, ok, quick_demo_files, reported};
use serde_json::{Value, json};

/// A request with so much of the texts.
fn with_texts(mut body: Value, texts: &str) -> Value {
    body["texts"] = texts.into();
    body
}

/// Every request of the demo data with its question.
fn requests() -> Vec<(String, Value)> {
    let questions = ["applications", "harvests", "brews", "balances", "feeds", "worm-beds", "calibrations"];
    let of = |question: &str| {
        let files = quick_demo_files(question);
        let name = |path: &std::path::PathBuf| format!("{question}/{}", path.file_name().unwrap().to_str().unwrap());
        files.iter().map(|path| (question.to_owned(), demo(&name(path)))).collect::<Vec<_>>()
    };
    let mut all: Vec<(String, Value)> = questions.into_iter().flat_map(of).collect();
    all.push(("seasons".to_owned(), demo("seasons/shortest.json")));
    all
}

#[test]
fn a_brief_answer_leaves_out_texts_and_nothing_else() {
    for (question, body) in requests() {
        let full = ok(&question, &with_texts(body.clone(), "full"));
        let mut brief = ok(&question, &with_texts(body.clone(), "brief"));
        assert_eq!(brief["texts_at"], json!({"cautions": "cautions", "assumptions": "assumptions"}));
        assert!(full.get("texts_at").is_none());
        let mut wanted = full.clone();
        for caution in wanted["cautions"].as_array_mut().unwrap() {
            assert!(caution["heading"].as_str().is_some_and(|heading| !heading.is_empty()));
            let members = caution.as_object_mut().unwrap();
            assert!(members.remove("text").is_some() && members.remove("source").is_some());
        }
        for assumption in wanted["assumptions"].as_array_mut().unwrap() {
            let members = assumption.as_object_mut().unwrap();
            assert!(members.remove("source").is_some());
            members.remove("measure_it");
        }
        brief.as_object_mut().unwrap().remove("texts_at");
        assert_eq!(brief, wanted, "{question}");
        let usual = ok(&question, &with_texts(body, "full"));
        assert_eq!(usual, full);
    }
}

#[test]
fn what_a_brief_answer_leaves_out_is_in_the_lists_that_it_names() {
    let body = with_texts(demo("balances/kitchen-garden.json"), "full");
    let full = ok("balances", &body);
    let brief = ok("balances", &with_texts(body, "brief"));
    // Relative to /v1/balances.
    let list = |name: &str, id: &'static str| {
        let at = format!("/v1/{}", brief["texts_at"][name].as_str().unwrap());
        let answer = get(&at);
        assert!(!answer.header("etag").is_empty(), "{at}");
        let all = answer.json()[name].as_array().unwrap().clone();
        move |wanted: &Value| all.iter().find(|one| one[id] == *wanted).unwrap().clone()
    };
    let (cautions, assumptions) = (list("cautions", "rule"), list("assumptions", "id"));
    for caution in full["cautions"].as_array().unwrap() {
        let listed = cautions(&caution["rule"]);
        assert_eq!((&listed["text"], &listed["source"]), (&caution["text"], &caution["source"]));
    }
    for assumption in full["assumptions"].as_array().unwrap().iter().filter(|one| one["set_by"] == "default") {
        let listed = assumptions(&assumption["id"]);
        assert_eq!((&listed["source"], &listed["measure_it"]), (&assumption["source"], &assumption["measure_it"]));
    }
}

#[test]
fn every_form_of_a_brief_answer_has_the_headings() {
    let body = demo("applications/kitchen-garden.json");
    let full = ok("applications", &with_texts(body.clone(), "full"));
    let cautions = full["cautions"].as_array().unwrap().clone();
    for accept in ["text/html", "text/plain"] {
        let brief = form("applications", accept, &with_texts(body.clone(), "brief")).text().to_owned();
        let plain = |text: &str| flat(text).replace("&amp;", "&");
        for caution in &cautions {
            let (heading, text) = (caution["heading"].as_str().unwrap(), caution["text"].as_str().unwrap());
            assert!(plain(&brief).contains(heading), "{accept}: {heading}");
            assert!(!plain(&brief).contains(text), "{accept}: {text}");
        }
        let full = form("applications", accept, &with_texts(body.clone(), "full"));
        // A short text prints headings alone anyway.
        let texts = cautions.iter().filter(|caution| plain(full.text()).contains(caution["text"].as_str().unwrap()));
        assert_eq!(texts.count() == cautions.len(), accept == "text/html");
    }
    let csv = |texts| form("applications", "text/csv", &with_texts(body.clone(), texts)).text().to_owned();
    assert_eq!(csv("brief"), csv("full"));
}

#[test]
fn other_words_for_texts_are_refused() {
    let body = with_texts(demo("applications/one-bed.json"), "short");
    assert_eq!(reported("applications", &body), ["/texts unknown_value"]);
}
