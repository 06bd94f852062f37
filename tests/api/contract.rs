//! The document: as committed, as served, and as the service behaves.

use crate::support::{Answer, get, in_repository, post, send, service};
use barrowful::http::document;
use reqwest::Method;
use serde_json::Value;

fn assert_committed(file: &str, generated: &str, command: &str) {
    let committed = std::fs::read_to_string(in_repository(file)).unwrap_or_default();
    if committed != generated {
        let line = committed.lines().zip(generated.lines()).position(|(one, other)| one != other).unwrap_or(0) + 1;
        panic!("{file} is not what the code generates (first difference in line {line}); mend it with\n    {command}");
    }
}

#[test]
fn the_committed_document_is_what_the_code_generates() {
    let generated = document::text(&barrowful::http::document());
    assert_committed("openapi/openapi.json", &generated, "just document");
}

#[test]
fn the_committed_list_of_operations_is_what_the_code_generates() {
    let generated = document::operations(&barrowful::http::document());
    let command = "just document";
    assert_committed("openapi/operations.txt", &generated, command);
}

/// JSON without the white space between its parts.
fn minified(json: &str) -> String {
    let (mut in_text, mut escaped) = (false, false);
    let kept = |c: &char| {
        let part_of_text = in_text;
        match c {
            '"' if !escaped => in_text = !in_text,
            _ => {}
        }
        escaped = part_of_text && *c == '\\' && !escaped;
        part_of_text || !c.is_ascii_whitespace()
    };
    json.chars().filter(kept).collect()
}

#[test]
fn the_served_document_is_the_committed_one_minified_and_small() {
    let committed = std::fs::read_to_string(in_repository("openapi/openapi.json")).unwrap();
    let answer = get("/openapi.json");
    let served = answer.text();
    assert!(served == minified(&committed), "GET /openapi.json is not openapi/openapi.json without its white space");
    // Eight questions with their examples, of some 30 kB each, and what they share.
    assert!(served.len() < 400_000, "{} bytes", served.len());
}

/// The examples under a content of an operation, by name.
fn examples<'d>(content: &'d Value, medium: &str) -> Vec<(&'d str, &'d Value)> {
    let examples = content["content"][medium]["examples"].as_object();
    examples.into_iter().flatten().map(|(name, example)| (name.as_str(), &example["value"])).collect()
}

#[test]
fn every_example_is_answered_as_documented() {
    let document = get("/openapi.json").json();
    let mut sent = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        // A batch has an example of its own kind.
        let Some(operation) = item.get("post").filter(|_| path != "/v1/batch") else { continue };
        let resource = path.trim_start_matches("/v1/");
        if resource.ends_with("/table") {
            continue;
        }
        let requests = examples(&operation["requestBody"], "application/json");
        let answers = examples(&operation["responses"]["200"], "application/json");
        assert_eq!((requests.len(), answers.len()), (1, 1), "{path} has one example of a request and its answer");
        for ((name, request), (answered, answer)) in requests.into_iter().zip(answers) {
            assert_eq!(name, answered);
            let found: Answer = post(resource, request);
            assert_eq!((found.status, &found.json()), (200, answer), "{path} {name}");
            sent += 1;
        }
    }
    assert_eq!(sent, 8, "questions with an example");
}

#[test]
fn every_refused_example_is_refused_as_documented() {
    let document = get("/openapi.json").json();
    let refused =
        examples(&document["paths"]["/v1/applications"]["post"]["responses"]["422"], "application/problem+json");
    let (_, problem) = refused.iter().find(|(name, _)| *name == "errors").unwrap();
    let body = crate::support::demo("refused/applications-three-faults.json");
    assert_eq!(post("applications", &body).json(), **problem);
}

#[test]
fn the_cells_answer_their_examples() {
    let document = get("/openapi.json").json();
    for (path, query) in [
        ("/v1/applications/volume", "length=6m&band_width=20cm&count=4&rate=1cm&unit=L"),
        ("/v1/applications/mass", "length=6m&band_width=20cm&count=4&rate=1cm"),
        ("/v1/applications/rate", "length=6m&width=1m&castings=60L"),
        ("/v1/harvests/volume", "length=3m&width=1m&material_depth=25cm&finished_share=80%&sieve_yield=70%"),
        ("/v1/brews/volume", "water=200%20L&castings_to_water=1:10"),
    ] {
        let example = &document["paths"][path]["get"]["responses"]["200"]["content"]["text/plain"]["example"];
        assert_eq!(get(&format!("{path}?{query}")).text(), example.as_str().unwrap(), "{path}");
    }
}

/// What is here, or what it refers to.
pub fn followed<'d>(document: &'d Value, here: &'d Value) -> &'d Value {
    let reference = here["$ref"].as_str().and_then(|reference| reference.strip_prefix('#'));
    reference.map_or(here, |pointer| document.pointer(pointer).unwrap())
}

/// Every status that an operation of its kind can answer, in order.
fn statuses(document: &Value, method: &str, path: &str) -> &'static str {
    let answers = |of: &str| document["paths"][path][of]["responses"]["200"]["content"].as_object();
    let is_question = answers("post").is_some();
    match (method, path) {
        ("get", "/health/live") => "200 406",
        // It is not ready while it drains.
        ("get", "/health/ready") => "200 406 503",
        // They may be off, or elsewhere.
        ("get", "/metrics") => "200 404 406",
        ("get", "/openapi.json") => "200 304 406",
        ("get", "/problems/{slug}") => "200 304 404",
        // What is wrong with a line is in its answer.
        ("post", "/v1/batch") => "200 401 406 415 422",
        // The body is sent, may be late, may be in another form, and may take too long to answer.
        ("post", _) => "200 400 401 406 408 413 415 422 503",
        // The same in an address, with a tag.
        ("get", _) if is_question => "200 304 400 401 406 413 422 503",
        // A number for a cell.
        ("get", _) if answers("get").unwrap().keys().eq(["text/plain"]) => "200 401 406 422",
        // A list, which anybody may read.
        ("get", _) => "200 304 406 422",
        _ => panic!("{method} {path} is of no kind"),
    }
}

#[test]
fn every_status_that_is_answered_is_documented() {
    let document = get("/openapi.json").json();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let responses = operation["responses"].as_object().unwrap();
            let mut documented: Vec<&str> = responses.keys().map(String::as_str).collect();
            documented.sort_unstable();
            assert_eq!(documented.join(" "), statuses(&document, method, path), "{method} {path}");
            for (status, response) in responses.iter().filter(|(status, _)| status.starts_with(['4', '5'])) {
                let content = followed(&document, response)["content"].as_object().unwrap();
                let schema = &content["application/problem+json"]["schema"]["$ref"];
                assert_eq!(schema, "#/components/schemas/Problem", "{method} {path} {status}");
            }
        }
    }
}

/// The example of a parameter that must be given, where there is one, as a query.
fn query_of(document: &Value, operation: &Value) -> String {
    let parameters = operation["parameters"].as_array().into_iter().flatten();
    let required = parameters.map(|one| followed(document, one)).find(|one| one["required"] == true);
    required.map_or_else(String::new, |one| {
        let mut address = reqwest::Url::parse("http://localhost/").unwrap();
        address.query_pairs_mut().append_pair(one["name"].as_str().unwrap(), one["example"].as_str().unwrap());
        format!("?{}", address.query().unwrap())
    })
}

#[test]
fn what_is_documented_with_a_tag_is_not_sent_again_to_whoever_has_it() {
    let document = get("/openapi.json").json();
    let mut tagged = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        let Some(operation) = item.get("get").filter(|get| get["responses"]["200"]["headers"]["ETag"].is_object())
        else {
            continue;
        };
        assert!(operation["responses"]["304"].is_object(), "{path}");
        let query = query_of(&document, operation);
        let address = if path.contains('{') { path.replace("{slug}", "busy") } else { format!("{path}{query}") };
        let first = get(&address);
        let known = [("if-none-match", first.header("etag"))];
        let again = send(&service(), (Method::GET, &address), &known, Vec::new());
        assert_eq!((first.status, again.status, again.bytes.len()), (200, 304, 0), "{path}");
        assert_eq!(first.header("vary"), "Accept, Accept-Encoding, Origin", "{path}");
        tagged += 1;
    }
    assert!(tagged >= 17, "{tagged} addresses with a tag");
}

/// The header with these names of columns, where `±` means two more, the bounds, and the last is not described.
fn header(columns: &str) -> String {
    let names = columns.split(", ").flat_map(|name| match name.strip_suffix('±') {
        Some(main) => vec![main.to_owned(), format!("{main}_low"), format!("{main}_high")],
        None => vec![name.to_owned()],
    });
    names.chain(["cautions_of_request".to_owned()]).collect::<Vec<_>>().join(",")
}

#[test]
fn every_table_has_the_columns_that_are_documented() {
    let document = get("/openapi.json").json();
    let mut tables = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        let Some(table) = item["post"]["responses"]["200"]["content"]["text/csv"]["schema"].get("$ref") else {
            continue;
        };
        let reference = serde_json::json!({ "$ref": table });
        let schema = followed(&document, &reference);
        let request = &item["post"]["requestBody"]["content"]["application/json"]["examples"];
        let request = request.as_object().unwrap().values().next().unwrap()["value"].to_string();
        for reported in schema["description"].as_str().unwrap().lines().filter(|line| line.starts_with('`')) {
            let (name, columns) = reported.trim_start_matches('`').trim_end_matches('.').split_once("`: ").unwrap();
            let has_choice = item["post"]["parameters"].as_array().unwrap().iter();
            let has_choice = has_choice.map(|one| followed(&document, one)).any(|one| one["name"] == "table");
            let address = if has_choice { format!("{path}?table={name}") } else { path.clone() };
            let headers = [("content-type", "application/json"), ("accept", "text/csv")];
            let answer = send(&service(), (Method::POST, &address), &headers, request.clone().into_bytes());
            assert_eq!(answer.text().lines().next().unwrap(), header(columns), "{address}");
            tables += 1;
        }
    }
    assert!(tables >= 19, "{tables} tables");
}
