//! The service under test, and how it is asked.

use barrowful::http::server::Running;
use barrowful::http::settings::Settings;
use chrono::NaiveDate;
use reqwest::Method;
use reqwest::blocking::Client;
use reqwest::header::HeaderMap;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The service that all tests share.
pub fn service() -> String {
    static SERVICE: OnceLock<Running> = OnceLock::new();
    // Built for tests it is many times slower, beside other tests slower still.
    let deadline = std::time::Duration::from_secs(300);
    SERVICE.get_or_init(|| Running::start(Settings { deadline, ..Settings::local() }).unwrap()).url()
}

/// A client that uses no proxy and follows no redirection.
pub fn client() -> &'static Client {
    static CLIENT: OnceLock<Client> = OnceLock::new();
    CLIENT.get_or_init(|| {
        let _ = rustls::crypto::ring::default_provider().install_default();
        let builder = Client::builder().no_proxy().redirect(reqwest::redirect::Policy::none());
        builder.timeout(std::time::Duration::from_secs(300)).build().unwrap()
    })
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: HeaderMap,
    pub bytes: Vec<u8>,
    read: OnceLock<String>,
}

impl Answer {
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// The body; with plain spaces, where a page has such as end no line.
    pub fn text(&self) -> &str {
        let read = || std::str::from_utf8(&self.bytes).unwrap().replace('\u{a0}', " ");
        self.read.get_or_init(read)
    }

    /// The body. Of a problem without the id of its request, which is another each time, after it was compared with the header.
    pub fn json(&self) -> Value {
        let mut value: Value =
            serde_json::from_slice(&self.bytes).unwrap_or_else(|error| panic!("{error}: {}", self.text()));
        let id = value.as_object_mut().and_then(|members| members.shift_remove("request_id"));
        assert_eq!(id.is_some(), self.header("content-type") == "application/problem+json");
        assert!(id.is_none_or(|id| id == self.header("x-request-id")));
        value
    }
}

/// Sends a request to any service.
pub fn send(base: &str, (method, path): (Method, &str), headers: &[(&str, &str)], body: Vec<u8>) -> Answer {
    let mut request = client().request(method, format!("{base}{path}")).body(body);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let response = request.send().unwrap();
    let (status, headers) = (response.status().as_u16(), response.headers().clone());
    Answer { status, headers, bytes: response.bytes().unwrap().to_vec(), read: OnceLock::new() }
}

/// Gets a path of the shared service.
pub fn get(path: &str) -> Answer {
    send(&service(), (Method::GET, path), &[], Vec::new())
}

/// Posts bytes as JSON to a resource of the shared service.
pub fn post_bytes(resource: &str, body: impl Into<Vec<u8>>) -> Answer {
    let headers = [("content-type", "application/json")];
    send(&service(), (Method::POST, &format!("/v1/{resource}")), &headers, body.into())
}

/// Posts a question.
pub fn post(resource: &str, body: &Value) -> Answer {
    post_bytes(resource, serde_json::to_vec(body).unwrap())
}

/// Posts a question that must be answered in this form.
pub fn form(question: &str, accept: &str, body: &Value) -> Answer {
    let headers = [("content-type", "application/json"), ("accept", accept)];
    let body = serde_json::to_vec(body).unwrap();
    let answer = send(&service(), (Method::POST, &format!("/v1/{question}")), &headers, body);
    assert_eq!(answer.status, 200, "{question} as {accept}: {}", answer.text());
    assert_eq!(answer.header("cache-control"), "no-store");
    answer
}

/// A row of a table, by the names of its columns.
pub type Row = BTreeMap<String, String>;

/// The rows of a table, as the `csv` crate reads them.
pub fn rows(csv: impl AsRef<[u8]>, delimiter: u8) -> Vec<Row> {
    let csv = csv.as_ref();
    let csv = csv.strip_prefix("\u{feff}".as_bytes()).unwrap_or(csv);
    let mut reader = csv::ReaderBuilder::new().delimiter(delimiter).from_reader(csv);
    let names = reader.headers().unwrap().clone();
    let named = |row: csv::StringRecord| names.iter().map(str::to_owned).zip(row.iter().map(str::to_owned)).collect();
    reader.records().map(|record| named(record.unwrap())).collect()
}

/// Posts a question that must be answered. Every answer is checked for what holds of all of them.
pub fn ok(resource: &str, body: &Value) -> Value {
    let answer = post(resource, body);
    assert_eq!(answer.status, 200, "{body}\n{}", answer.text());
    assert_eq!(answer.header("content-type"), "application/json");
    assert_eq!(answer.header("cache-control"), "no-store");
    let value = answer.json();
    assert_tidy(&value);
    value
}

/// No null, no `48.0`, no `-0`.
pub fn assert_tidy(value: &Value) {
    match value {
        Value::Null => panic!("an answer holds null"),
        Value::Number(number) => {
            let text = number.to_string();
            assert!(!text.ends_with(".0") && text != "-0", "an answer holds {text}");
        }
        Value::Array(items) => items.iter().for_each(assert_tidy),
        Value::Object(members) => members.values().for_each(assert_tidy),
        _ => {}
    }
}

/// Posts a question that must be refused with 422, and returns its errors.
pub fn errors(resource: &str, body: &Value) -> Vec<Value> {
    let answer = post(resource, body);
    assert_eq!(answer.status, 422, "{body}\n{}", answer.text());
    crate::refusals::assert_problem(&answer);
    answer.json()["errors"].as_array().unwrap().clone()
}

/// The errors as `pointer code`, in order.
pub fn brief(errors: &[Value]) -> Vec<String> {
    let text = |error: &Value, name: &str| error[name].as_str().unwrap_or_default().to_owned();
    let place = |error: &Value| if error["at"] == "query" { text(error, "parameter") } else { text(error, "pointer") };
    errors.iter().map(|error| format!("{} {}", place(error), text(error, "code"))).collect()
}

/// Posts a question and returns `pointer code` of its errors.
pub fn reported(resource: &str, body: &Value) -> Vec<String> {
    brief(&errors(resource, body))
}

/// One place with one rate.
pub fn area(surface: &Value, rate: &Value) -> Value {
    json!({"areas": [{"surface": surface, "rate": rate}]})
}

/// A bed of 2 m2 with a centimetre of castings.
pub fn bed() -> Value {
    area(&json!({"kind": "rectangle", "length": "2 m", "width": "1 m"}), &json!({"kind": "depth", "amount": "1 cm"}))
}

/// The body with the value at a pointer replaced, or added to the object or list there.
pub fn with(body: &Value, pointer: &str, value: Value) -> Value {
    let mut changed = body.clone();
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    match changed.pointer_mut(parent).unwrap() {
        Value::Array(items) => items[name.parse::<usize>().unwrap()] = value,
        Value::Object(members) => {
            members.insert(name.to_owned(), value);
        }
        other => panic!("{other} has no members"),
    }
    changed
}

/// A quantity.
pub fn q(value: Value, unit: &str) -> Value {
    Value::Object(Map::from_iter([("value".to_owned(), value), ("unit".to_owned(), unit.into())]))
}

/// The names of the members of an object, in order.
pub fn keys(value: &Value) -> Vec<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

/// The words of a text with one blank between them.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words of an answer in this form, whatever its lines.
pub fn words(question: &str, accept: &str, body: &Value) -> String {
    flat(&form(question, accept, body).text().replace("\r\n ", "").replace("\\n", " ").replace('\\', ""))
}

/// What is between two marks, each time.
pub fn between<'t>(text: &'t str, begin: &str, end: &str) -> Vec<&'t str> {
    text.split(begin).skip(1).map(|rest| rest.split(end).next().unwrap()).collect()
}

/// The text of HTML.
pub fn unescaped(html: &str) -> String {
    html.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// A day of an answer.
pub fn day(value: &Value) -> NaiveDate {
    value.as_str().unwrap().parse().unwrap()
}

/// A place in the repository.
pub fn in_repository(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// A demo file as JSON.
pub fn demo(path: &str) -> Value {
    let path = in_repository("demo-data").join(path);
    serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap()
}

/// All demo files of a folder, sorted.
pub fn demo_files(folder: &str) -> Vec<PathBuf> {
    let folder = in_repository("demo-data").join(folder);
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|ext| ext == "json"));
    files.sort();
    files
}

/// Those of them that a service built for tests answers at once.
pub fn quick_demo_files(folder: &str) -> Vec<PathBuf> {
    let mut files = demo_files(folder);
    files.retain(|path| !path.ends_with("calibrations/mill-garden.json"));
    files
}

/// A small seeded source of numbers (splitmix64).
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    pub fn below(&mut self, limit: usize) -> usize {
        let limit = u64::try_from(limit).unwrap().max(1);
        usize::try_from(self.next() % limit).unwrap()
    }

    pub fn pick<'t, T>(&mut self, items: &'t [T]) -> &'t T {
        &items[self.below(items.len())]
    }
}
