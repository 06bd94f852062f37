//! Paths, methods, representations, compression.

use crate::refusals::assert_problem;
use crate::support::{Answer, bed, client, demo, get, send, service};
use reqwest::Method;
use serde_json::Value;
use std::io::{Read, Write};

fn asked(headers: &[(&str, &str)], body: Vec<u8>) -> Answer {
    send(&service(), (Method::POST, "/v1/applications"), headers, body)
}

fn refused(answer: &Answer, status: u16, slug: &str) {
    assert_eq!(answer.status, status, "{}", answer.text());
    assert_problem(answer);
    assert_eq!(answer.json()["type"], format!("/problems/{slug}"));
}

/// Every path of the document with its methods.
fn paths() -> Vec<(String, Vec<String>)> {
    let document = get("/openapi.json").json();
    let paths = document["paths"].as_object().unwrap();
    let methods = |item: &Value| item.as_object().unwrap().keys().map(|method| method.to_uppercase()).collect();
    paths.iter().map(|(path, item)| (path.replace("{slug}", "not-found"), methods(item))).collect()
}

#[test]
fn every_path_refuses_every_other_method_and_says_which_it_takes() {
    for (path, mut taken) in paths() {
        if taken.contains(&"GET".to_owned()) {
            taken.push("HEAD".to_owned());
        }
        for method in ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "TRACE", "BREW"] {
            if taken.iter().any(|one| one == method) {
                continue;
            }
            let answer = send(&service(), (method.parse().unwrap(), &path), &[], Vec::new());
            assert_eq!(answer.status, 405, "{method} {path}");
            let allow: Vec<&str> = answer.header("allow").split(", ").collect();
            assert!(
                taken.iter().all(|one| allow.contains(&one.as_str())) && allow.contains(&"OPTIONS"),
                "{path}: {allow:?}"
            );
            assert_eq!(allow.len(), taken.len() + 1, "{path}: {allow:?}");
            if method != "HEAD" {
                refused(&answer, 405, "method-not-allowed");
            }
        }
    }
}

#[test]
fn options_is_answered_with_204_on_every_path() {
    for (path, _) in paths() {
        let answer = send(&service(), (Method::OPTIONS, &path), &[], Vec::new());
        assert_eq!((answer.status, answer.bytes.len()), (204, 0), "{path}");
        assert!(answer.header("allow").contains("OPTIONS"), "{path}");
    }
}

#[test]
fn head_is_answered_as_get_without_a_body() {
    let mut all: Vec<String> =
        paths().into_iter().filter(|(_, m)| m.contains(&"GET".to_owned())).map(|(p, _)| p).collect();
    all.extend(["/v1/applications/volume?length=6m&band_width=20cm&rate=1cm".to_owned(), "/docs/".to_owned()]);
    for path in all {
        let (head, get) = (send(&service(), (Method::HEAD, &path), &[], Vec::new()), get(&path));
        assert_eq!(head.status, get.status, "{path}");
        assert!(head.bytes.is_empty(), "{path}");
        for name in ["content-type", "content-length", "etag", "cache-control", "vary", "x-content-type-options"] {
            // The figures change with every request.
            if (path.as_str(), name) != ("/metrics", "content-length") {
                assert_eq!(head.header(name), get.header(name), "{name} of {path}");
            }
        }
    }
}

/// Whoever sends one would take the whole list for a part of it.
#[test]
fn lists_take_no_parameters() {
    let lists = ["materials", "rates", "units", "assumptions", "cautions", "formulas", "sources", "limits"];
    for list in lists {
        let answer = get(&format!("/v1/{list}?family=leaves&limit=1"));
        refused(&answer, 422, "invalid-request");
        let problem = answer.json();
        let names: Vec<&Value> =
            problem["errors"].as_array().unwrap().iter().map(|error| &error["parameter"]).collect();
        assert_eq!(names, ["family", "limit"]);
        assert_eq!(get(&format!("/v1/{list}?key=hazel")).status, 200, "the key of an address asks for nothing");
    }
}

#[test]
fn an_unknown_path_is_refused_with_the_nearest() {
    for (path, nearest) in
        [("/v1/aplications", "/v1/applications"), ("/v1/unit", "/v1/units"), ("/openapi.jsn", "/openapi.json")]
    {
        let answer = get(path);
        refused(&answer, 404, "not-found");
        assert!(answer.json()["detail"].as_str().unwrap().contains(nearest), "{}", answer.text());
    }
    for path in
        ["/page/", "/v1", "/v1/", "/v1/applications/", "//v1/units", "/v2/applications", "/problems/", "/problems/none"]
    {
        refused(&get(path), 404, "not-found");
    }
}

#[test]
fn accept_picks_the_form_by_its_weights() {
    let json = ("content-type", "application/json");
    let body = demo("applications/kitchen-garden.json").to_string().into_bytes();
    for (accept, form) in [
        ("*/*", "application/json"),
        ("text/csv", "text/csv"),
        ("application/*", "application/json"),
        ("text/*;q=0.5, application/json;q=0.4", "text/csv"),
        ("application/json, text/csv", "application/json"),
        ("application/json;q=0, */*", "text/csv"),
        ("text/html, */*;q=0.1", "text/html"),
        ("image/svg+xml, */*;q=0.1", "application/json"),
        ("text/csv;header=present", "text/csv"),
        // What can be read counts, beside what cannot; an empty header takes anything.
        ("*, */*; q=0.2", "application/json"),
        ("text/html;q=2, text/csv", "text/csv"),
        ("", "application/json"),
    ] {
        let answer = asked(&[json, ("accept", accept)], body.clone());
        assert_eq!(answer.status, 200, "{accept}");
        assert!(answer.header("content-type").starts_with(form), "{accept}: {}", answer.header("content-type"));
        assert_eq!(answer.header("vary"), "Accept, Accept-Encoding, Origin");
    }
    for accept in [
        "image/png",
        "application/json;q=0, text/csv;q=0",
        "application/problem+json",
        "text/calendar",
        "nonsense",
        "text/html;q=2",
    ] {
        let answer = asked(&[json, ("accept", accept)], body.clone());
        refused(&answer, 406, "not-acceptable");
        assert_eq!(
            answer.json()["available"],
            serde_json::json!(["application/json", "text/csv", "text/html", "text/plain"])
        );
    }
}

#[test]
fn a_table_of_the_kitchen_garden_comes_as_csv() {
    let headers = [("content-type", "application/json"), ("accept", "text/csv")];
    let answer = asked(&headers, demo("applications/kitchen-garden.json").to_string().into_bytes());
    let rows: Vec<&str> = answer.text().split("\r\n").collect();
    assert!(rows[0].starts_with("id,name,surface_area_m2,depth_mm,depth_mm_low,depth_mm_high,volume_per_length_L_m,"));
    assert!(rows[0].contains(",castings_bucket,"), "{}", rows[0]);
    assert!(
        rows[1].starts_with(",carrot rows,4.8,10,10,10,,,,,,,,,,48,48,48,28.8,21.6,43.2,4,4,12,12,12,216,"),
        "{}",
        rows[1]
    );
    assert_eq!(rows.len(), 6);
    let named = crate::support::with(&bed(), "/areas/0/name", "=HYPERLINK(\"x\")".into());
    let answer = asked(&headers, named.to_string().into_bytes());
    assert!(answer.text().contains("'=HYPERLINK"), "{}", answer.text());
}

#[test]
fn other_media_types_charsets_and_encodings_are_refused_with_415() {
    let body = bed().to_string().into_bytes();
    for headers in [
        &[][..],
        &[("content-type", "text/plain")],
        &[("content-type", "application/x-www-form-urlencoded")],
        &[("content-type", "nonsense")],
        &[("content-type", "application/json; charset=latin1")],
        &[("content-type", "application/json; charset=utf-16")],
        &[("content-type", "application/json"), ("content-encoding", "zstd")],
        &[("content-type", "application/json"), ("content-encoding", "gzip, gzip")],
    ] {
        let answer = asked(headers, body.clone());
        refused(&answer, 415, "unsupported-media-type");
        assert_eq!(answer.header("accept"), "application/json");
    }
    for kind in ["application/json; charset=utf-8", "application/json;charset=\"UTF-8\"", "Application/JSON"] {
        assert_eq!(asked(&[("content-type", kind)], body.clone()).status, 200, "{kind}");
    }
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut writer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    writer.write_all(bytes).unwrap();
    writer.finish().unwrap()
}

fn brotli(bytes: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    brotli::CompressorWriter::new(&mut packed, 4096, 5, 22).write_all(bytes).unwrap();
    packed
}

#[test]
fn compressed_bodies_are_read() {
    let json = ("content-type", "application/json");
    let plain = bed().to_string().into_bytes();
    let wanted = asked(&[json], plain.clone()).bytes;
    for (name, bytes) in
        [("gzip", gzip(&plain)), ("GZIP", gzip(&plain)), ("br", brotli(&plain)), ("identity", plain.clone())]
    {
        let answer = asked(&[json, ("content-encoding", name)], bytes);
        assert_eq!(answer.status, 200, "{name}: {}", answer.text());
        assert_eq!(answer.bytes, wanted, "{name}");
    }
    refused(&asked(&[json, ("content-encoding", "gzip")], plain), 400, "not-json");
}

#[test]
fn bodies_above_four_mebibytes_are_refused_also_when_they_come_small() {
    let json = ("content-type", "application/json");
    let valid = bed().to_string();
    let padded = |size: usize| [valid.as_bytes(), &vec![b' '; size - valid.len()]].concat();
    assert_eq!(asked(&[json], padded(4 * 1024 * 1024)).status, 200);
    refused(&asked(&[json], padded(4 * 1024 * 1024 + 1)), 413, "too-large");
    refused(&asked(&[json], padded(5 * 1024 * 1024)), 413, "too-large");
    let bomb = gzip(&vec![b' '; 64 * 1024 * 1024]);
    assert!(bomb.len() < 100_000);
    refused(&asked(&[json, ("content-encoding", "gzip")], bomb), 413, "too-large");
}

#[test]
fn answers_are_compressed_for_who_asks() {
    let json = ("content-type", "application/json");
    let plain = bed().to_string().into_bytes();
    let wanted = asked(&[json], plain.clone());
    assert_eq!(wanted.header("content-encoding"), "");
    for name in ["gzip", "br"] {
        let answer = asked(&[json, ("accept-encoding", name)], plain.clone());
        assert_eq!(answer.header("content-encoding"), name);
        let mut bytes = Vec::new();
        match name {
            "gzip" => flate2::read::GzDecoder::new(&answer.bytes[..]).read_to_end(&mut bytes).unwrap(),
            _ => brotli::Decompressor::new(&answer.bytes[..], 4096).read_to_end(&mut bytes).unwrap(),
        };
        assert_eq!(bytes, wanted.bytes, "{name}");
        assert!(answer.bytes.len() < bytes.len());
    }
    let none = asked(&[json, ("accept-encoding", "identity")], plain.clone());
    assert_eq!(none.bytes, wanted.bytes);
    let nothing = asked(&[json, ("accept-encoding", "identity;q=0")], plain);
    refused(&nothing, 406, "not-acceptable");
    assert_eq!(nothing.json()["available"], serde_json::json!(["br", "gzip", "deflate", "identity"]));
}

#[test]
fn one_connection_carries_many_requests() {
    for _ in 0..20 {
        let response = client().get(format!("{}/health/live", service())).send().unwrap();
        assert_eq!(response.json_status(), "ok");
    }
}

trait Status {
    fn json_status(self) -> String;
}

impl Status for reqwest::blocking::Response {
    fn json_status(self) -> String {
        let value: Value = serde_json::from_str(&self.text().unwrap()).unwrap();
        value["status"].as_str().unwrap().to_owned()
    }
}
