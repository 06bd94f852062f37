//! The chart in README.md is the one that the service draws of the demo garden's season.

use crate::support::{demo, in_repository, send, service};
use reqwest::Method;

#[test]
fn the_chart_in_the_readme_is_that_of_the_demo_garden() {
    let body = demo("seasons/kitchen-garden.json").to_string().into_bytes();
    let headers = [("content-type", "application/json"), ("accept", "image/svg+xml")];
    let drawn = send(&service(), (Method::POST, "/v1/seasons"), &headers, body).text().to_owned();
    let path = in_repository("docs/season.svg");
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::write(&path, &drawn).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap();
    assert_eq!(kept, drawn, "write it anew with UPDATE_SNAPSHOTS=1 cargo test --test api season_chart");
    assert!(std::fs::read_to_string(in_repository("README.md")).unwrap().contains("(docs/season.svg)"));
}
