//! The glossary: one term for one thing. docs/glossary.md is made from its table.

use barrowful::garden::glossary::{TERMS, Term};
use std::collections::BTreeSet;

/// How the page is written anew.
const MEND: &str = "UPDATE_SNAPSHOTS=1 cargo test --test garden glossary";

/// The most terms that somebody may be asked to learn.
const MAX_TERMS: usize = 80;

/// What is written as a source where no publication is named.
const WITHOUT: [&str; 2] = ["plain English", "common practice, no source"];

fn row(term: &Term) -> String {
    let cells = [term.term, term.meaning, term.unit, term.others, term.source];
    assert!(cells.iter().all(|cell| !cell.contains(['|', '\n']) && !cell.contains("  ")), "{cells:?}");
    format!("| {} |\n", cells.join(" | "))
}

fn page() -> String {
    let mut page = String::from(
        "# Glossary\n\n\
         One term for one thing, in requests, answers, texts and code. In names of the API, words are joined by `_`: shortfall options \
         are `shortfall_options`. \"Source\" is a publication that uses the term, or says that the term is plain English or common \
         practice; [sources.md](sources.md) and [claims.md](claims.md) say how far each publication was checked.\n\n\
         Made from the table of the program (`src/garden/glossary.rs`): `UPDATE_SNAPSHOTS=1 cargo test --test garden glossary` \
         writes this page.\n\n\
         | term | meaning | unit | other common names | source |\n|---|---|---|---|---|\n",
    );
    for term in TERMS {
        page += &row(term);
    }
    page
}

#[test]
fn the_page_is_the_glossary_of_the_program() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/glossary.md");
    if std::env::var("UPDATE_SNAPSHOTS").is_ok_and(|value| value == "1") {
        std::fs::write(path, page()).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    for (was, is) in kept.lines().zip(page().lines()) {
        assert_eq!(was, is, "docs/glossary.md is not the table of the program; mend it with\n    {MEND}");
    }
    assert!(kept == page(), "docs/glossary.md lacks rows; mend it with\n    {MEND}");
}

#[test]
fn each_term_has_one_meaning_and_no_other_name_is_a_term() {
    assert!(TERMS.len() <= MAX_TERMS, "{} terms", TERMS.len());
    let names: Vec<String> = TERMS.iter().map(|term| term.term.to_lowercase()).collect();
    assert!(names.is_sorted_by(|one, next| one < next), "not in alphabetical order, or repeated: {names:?}");
    let mut others = BTreeSet::new();
    for term in TERMS {
        assert!(!term.meaning.is_empty() && !term.meaning.ends_with('.'), "{}: {}", term.term, term.meaning);
        for other in term.others.split(", ").filter(|other| !other.is_empty()) {
            assert!(!names.contains(&other.to_lowercase()), "{other} is another name of {} and a term", term.term);
            others.insert(other);
        }
    }
    assert!(!others.is_empty());
}

#[test]
fn every_source_of_a_term_is_named_among_the_sources() {
    let read = |page: &str| std::fs::read_to_string(format!("{}/docs/{page}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let known = read("sources.md") + &read("claims.md");
    let mut published = 0;
    for term in TERMS.iter().filter(|term| !WITHOUT.contains(&term.source)) {
        assert!(known.contains(term.source), "{}: {} is named in neither page", term.term, term.source);
        published += 1;
    }
    assert!(published > TERMS.len() / 3, "{published} terms have a publication");
}
