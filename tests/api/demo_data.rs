//! Every demo file is sent; answers and refusals are kept beside the tests.

use crate::refusals::assert_problem;
use crate::support::{demo_files, in_repository, post_bytes};
use std::collections::BTreeSet;
use std::path::Path;

/// The questions.
pub const QUESTIONS: [&str; 8] =
    ["applications", "harvests", "brews", "balances", "feeds", "seasons", "worm-beds", "calibrations"];

/// How the kept answers are written anew.
const MEND: &str = "UPDATE_SNAPSHOTS=1 cargo test --test api demo_data";

fn updates() -> bool {
    std::env::var("UPDATE_SNAPSHOTS").is_ok_and(|value| value == "1")
}

/// Compares with what is kept, or keeps it.
pub fn assert_kept(name: &str, found: &str) {
    let path = in_repository("tests/api/snapshots").join(name);
    if updates() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, found).unwrap();
    }
    let kept =
        std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("{name} is not kept yet; mend it with\n    {MEND}"));
    if kept != found {
        let line = kept.lines().zip(found.lines()).position(|(one, other)| one != other).unwrap_or(0);
        let (was, is) = (kept.lines().nth(line).unwrap_or_default(), found.lines().nth(line).unwrap_or_default());
        panic!(
            "{name}, line {}:\n    kept  {was}\n    found {is}\nIf that is meant, mend it with\n    {MEND}",
            line + 1
        );
    }
}

/// An answer as it is kept: indented, without the version of the program.
fn pretty(value: &serde_json::Value) -> String {
    let text = serde_json::to_string_pretty(value).unwrap() + "\n";
    text.replace(concat!("barrowful ", env!("CARGO_PKG_VERSION")), "barrowful VERSION")
}

/// The resource that the name of a refused file begins with.
fn resource_of(path: &Path) -> &'static str {
    let begins = |resource: &&str| stem(path).starts_with(&format!("{resource}-"));
    let found = QUESTIONS.into_iter().find(begins);
    found.unwrap_or_else(|| panic!("{} does not begin with its resource", path.display()))
}

fn stem(path: &Path) -> &str {
    path.file_stem().unwrap().to_str().unwrap()
}

#[test]
fn accepted_files_get_the_answers_that_are_kept() {
    for resource in QUESTIONS {
        let files = demo_files(resource);
        assert!(!files.is_empty(), "{resource} has no demo file");
        for path in files {
            let answer = post_bytes(resource, std::fs::read(&path).unwrap());
            assert_eq!(answer.status, 200, "{}: {}", path.display(), answer.text());
            assert_kept(&format!("{resource}/{}.json", stem(&path)), &pretty(&answer.json()));
        }
    }
}

#[test]
fn refused_files_get_the_faults_that_are_kept() {
    let files = demo_files("refused");
    assert!(files.len() >= 40, "{} refused files", files.len());
    for path in files {
        let resource = resource_of(&path);
        let answer = post_bytes(resource, std::fs::read(&path).unwrap());
        assert_eq!(answer.status, 422, "{}: {}", path.display(), answer.text());
        assert_problem(&answer);
        assert_kept(&format!("refused/{}.json", stem(&path)), &pretty(&answer.json()));
    }
}

#[test]
fn every_kept_answer_has_its_demo_file() {
    if updates() {
        return;
    }
    for folder in QUESTIONS.into_iter().chain(["refused"]) {
        let kept = std::fs::read_dir(in_repository("tests/api/snapshots").join(folder)).unwrap();
        let kept: BTreeSet<String> = kept.map(|entry| stem(&entry.unwrap().path()).to_owned()).collect();
        let files: BTreeSet<String> = demo_files(folder).iter().map(|path| stem(path).to_owned()).collect();
        assert_eq!(kept, files, "{folder}");
    }
}

#[test]
fn the_refused_files_show_the_usual_mistakes() {
    let files = demo_files("refused");
    let codes: BTreeSet<String> = files
        .iter()
        .flat_map(|path| {
            let resource = resource_of(path);
            let problem = post_bytes(resource, std::fs::read(path).unwrap()).json();
            problem["errors"]
                .as_array()
                .unwrap()
                .iter()
                .map(|f| f["code"].as_str().unwrap().to_owned())
                .collect::<Vec<_>>()
        })
        .collect();
    for code in [
        "missing_field",
        "unknown_field",
        "repeated_field",
        "wrong_type",
        "unknown_kind",
        "unknown_value",
        "not_an_integer",
        "out_of_range",
        "wrong_length",
        "bad_text",
        "unit_missing",
        "unknown_unit",
        "ambiguous_unit",
        "unit_does_not_fit",
        "bad_number",
        "share_without_percent",
        "bad_date",
        "dates_out_of_order",
        "rate_does_not_fit",
        "exactly_one_of",
        "unknown_assumption",
        "inconsistent_assumptions",
        "impossible_value",
        "clashing_name",
        "repeated_id",
        "self_crossing",
        "too_large",
        "not_allowed_here",
    ] {
        assert!(codes.contains(code), "no refused file shows {code}");
    }
}
