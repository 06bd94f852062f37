//! What whoever runs the service sees: the log, the metrics, the ids of requests.

use crate::process::{PATIENCE, Process};
use crate::refusals::assert_problem;
use crate::support::{Answer, bed, demo, send, with};
use barrowful::http::server::Running;
use barrowful::http::settings::{MetricsAt, Settings};
use reqwest::Method;
use serde_json::{Value, json};
use std::io::Write;
use std::net::{Shutdown, TcpStream};
use std::time::{Duration, Instant};

const JSON: (&str, &str) = ("content-type", "application/json");

fn get(base: &str, path: &str) -> Answer {
    send(base, (Method::GET, path), &[], Vec::new())
}

fn started() -> Running {
    Running::start(Settings::local()).unwrap()
}

/// The events of requests in a log of JSON.
fn requests(lines: &[String]) -> Vec<Value> {
    let events = lines.iter().map(|line| serde_json::from_str::<Value>(line).unwrap_or_else(|_| panic!("{line}")));
    events.filter(|event| event["message"] == "request").collect()
}

#[test]
fn each_request_makes_one_line_without_what_was_asked() {
    let mut process = Process::start(&["--log", "json"]);
    let base = process.url.clone();
    let body = with(&bed(), "/areas/0/name", "parsnips".into()).to_string();
    let headers = [JSON, ("x-request-id", "row-7")];
    let refused = send(&base, (Method::POST, "/v1/applications?width=wide"), &headers, body.clone().into_bytes());
    assert_eq!(refused.status, 422);
    let asked = send(&base, (Method::POST, "/v1/applications"), &[JSON], body.clone().into_bytes());
    assert_eq!(get(&base, "/v1/applications/volume?length=6m&band_width=23cm&rate=1cm").status, 200);
    assert_eq!(get(&base, "/hidden/corner?secret=rowan").status, 404);
    assert_eq!(get(&base, "/problems/hazel").status, 404);
    assert_eq!(send(&base, (Method::from_bytes(b"TOPDRESS").unwrap(), "/v1/units"), &[], Vec::new()).status, 405);
    process.terminate();
    assert_eq!(process.end(), 0);
    let events = requests(&process.read);
    let seen: Vec<_> =
        events.iter().map(|event| [&event["method"], &event["route"], &event["status"], &event["reason"]]).collect();
    let wanted = serde_json::json!([
        ["POST", "/v1/applications", 422, "invalid-request"],
        ["POST", "/v1/applications", 200, null],
        ["GET", "/v1/applications/volume", 200, null],
        ["GET", "unknown", 404, "not-found"],
        ["GET", "/problems/{slug}", 404, "not-found"],
        ["_OTHER", "/v1/units", 405, "method-not-allowed"]
    ]);
    assert_eq!(serde_json::to_value(seen).unwrap(), wanted);
    assert_eq!(events[0]["id"], "row-7");
    assert_eq!(events[1]["id"], asked.header("x-request-id"));
    assert_eq!(
        (events[1]["received"].as_u64(), events[1]["sent"].as_u64()),
        (u64::try_from(body.len()).ok(), u64::try_from(asked.bytes.len()).ok())
    );
    assert!(events.iter().all(|event| event["ms"].as_f64().is_some_and(|ms| ms > 0.0)), "{events:?}");
    let all = process.read.join("\n");
    for hidden in ["parsnips", "width", "wide", "23cm", "hidden", "corner", "secret", "rowan", "hazel", "TOPDRESS"] {
        assert!(!all.contains(hidden), "{hidden}: {all}");
    }
    let start: Value = serde_json::from_str(&process.read[0]).unwrap();
    assert_eq!(start["message"], "started");
    assert!(start["settings"].as_str().unwrap().contains("log=json; metrics=on"), "{start}");
    let last: Value = serde_json::from_str(process.read.last().unwrap()).unwrap();
    assert_eq!(last["message"], "stopped");
}

#[test]
fn secrets_are_never_logged() {
    let flags = ["--token", "hazel rowan", "--address-key", "willow", "--log", "text"];
    let mut process = Process::start(&flags);
    let base = process.url.clone();
    let cell = "/v1/applications/volume?length=6m&band_width=20cm&rate=1cm&key=";
    assert_eq!(get(&base, &format!("{cell}willow")).status, 200);
    assert_eq!(get(&base, &format!("{cell}alder")).status, 401);
    assert_eq!(send(&base, (Method::GET, cell), &[("authorization", "Bearer rowan")], Vec::new()).status, 200);
    process.terminate();
    assert_eq!(process.end(), 0);
    let all = process.read.join("\n");
    assert!(
        all.contains("token=2 tokens; ") && all.contains("address-key=set") && all.contains("reason=\"no-token\""),
        "{all}"
    );
    assert!(["hazel", "rowan", "willow", "alder"].iter().all(|secret| !all.contains(secret)), "{all}");
}

#[test]
fn a_log_that_is_off_says_only_where_the_service_listens() {
    let mut process = Process::start(&["--log", "off"]);
    assert_eq!(get(&process.url, "/nowhere").status, 404);
    process.terminate();
    assert_eq!(process.end(), 0);
    assert_eq!(process.read, [format!("barrowful listens on {}", process.url)]);
}

/// The value of a figure.
fn figure(text: &str, name: &str) -> Option<f64> {
    text.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(' ')?.parse().ok())
}

#[test]
fn metrics_count_by_the_template_of_the_path() {
    let running = started();
    let base = running.url();
    for _ in 0..3 {
        assert_eq!(
            send(&base, (Method::POST, "/v1/applications"), &[JSON], bed().to_string().into_bytes()).status,
            200
        );
    }
    for number in 0..50 {
        assert_eq!(get(&base, &format!("/nowhere/{number}")).status, 404);
        let method = Method::from_bytes(format!("WORD{number}").as_bytes()).unwrap();
        assert_eq!(send(&base, (method, "/docs/"), &[], Vec::new()).status, 404);
    }
    assert_eq!(send(&base, (Method::POST, "/v1/brews"), &[], Vec::new()).status, 415);
    let lines = b"{\"ask\": \"brews\", \"body\": {}}\nnone\n{\"ask\": \"tides\", \"body\": {}}\n".to_vec();
    let batch = send(&base, (Method::POST, "/v1/batch"), &[("content-type", "application/x-ndjson")], lines);
    assert!(batch.text().ends_with("{\"end\":true,\"lines\":3,\"refused\":3}\n"), "{}", batch.text());
    let answer = get(&base, "/metrics");
    assert_eq!(answer.header("content-type"), "text/plain; version=0.0.4; charset=utf-8");
    assert_eq!(answer.header("cache-control"), "no-store");
    let text = answer.text();
    let count = |labels: &str| figure(text, &format!("barrowful_requests_total{{{labels}}}"));
    let labels = |method: &str, route: &str, status: u16| {
        format!("http_request_method=\"{method}\",http_response_status_code=\"{status}\",http_route=\"{route}\"")
    };
    assert_eq!(count(&labels("POST", "/v1/applications", 200)), Some(3.0), "{text}");
    assert_eq!(count(&labels("GET", "unknown", 404)), Some(50.0), "{text}");
    assert_eq!(count(&labels("_OTHER", "/docs", 404)), Some(50.0), "{text}");
    let took = |part: &str| figure(text, &format!("http_server_request_duration_seconds_{part}\"/v1/applications\"}}"));
    assert_eq!(took("count{http_route="), Some(3.0), "{text}");
    assert!(took("sum{http_route=").is_some_and(|seconds| seconds > 0.0), "{text}");
    assert_eq!(figure(text, "barrowful_refusals_total{reason=\"unsupported-media-type\"}"), Some(1.0));
    assert_eq!(figure(text, "barrowful_refusals_total{reason=\"not-found\"}"), Some(100.0));
    // Lines of a batch.
    assert_eq!(figure(text, "barrowful_refusals_total{reason=\"invalid-request\"}"), Some(2.0));
    assert_eq!(figure(text, "barrowful_refusals_total{reason=\"not-json\"}"), Some(1.0));
    assert_eq!(figure(text, "http_server_active_requests"), Some(1.0), "the one that asks");
    assert_eq!(figure(text, "barrowful_ready"), Some(1.0));
    assert_eq!(figure(text, "barrowful_long_questions{state=\"waiting\"}"), Some(0.0));
    assert!(figure(text, "barrowful_panics_total").is_some());
    let sent = 3.0 * f64::from(u32::try_from(bed().to_string().len()).unwrap());
    assert_eq!(figure(text, "http_server_request_body_size_bytes_sum{http_route=\"/v1/applications\"}"), Some(sent));
    assert!(figure(text, "http_server_response_body_size_bytes_sum{http_route=\"/v1/applications\"}").unwrap() > sent);
    assert!(!text.contains("WORD") && !text.contains("nowhere"), "{text}");
}

/// Whoever closes the connection before the answer, or only their half of it, waits no longer.
#[test]
fn work_for_callers_who_hang_up_ends_and_is_counted_as_such() {
    let running = started();
    let body = with(&demo("seasons/kitchen-garden.json"), "/simulation_runs", json!(100_000)).to_string();
    let head = "POST /v1/seasons HTTP/1.1\r\nhost: garden\r\ncontent-type: application/json";
    let request = format!("{head}\r\ncontent-length: {}\r\n\r\n{body}", body.len());
    let metrics = || get(&running.url(), "/metrics").text().to_owned();
    let until_computed = |count: f64| {
        let until = Instant::now() + PATIENCE;
        while figure(&metrics(), "barrowful_long_questions{state=\"running\"}") != Some(count) {
            assert!(Instant::now() < until, "{}", metrics());
            std::thread::sleep(Duration::from_millis(5));
        }
    };
    for (how, count) in [(Shutdown::Both, 1.0), (Shutdown::Write, 2.0)] {
        let mut caller = TcpStream::connect(running.url().trim_start_matches("http://")).unwrap();
        caller.write_all(request.as_bytes()).unwrap();
        until_computed(1.0);
        caller.shutdown(how).unwrap();
        until_computed(0.0);
        let labels = "http_request_method=\"POST\",http_response_status_code=\"none\",http_route=\"/v1/seasons\"";
        let hung_up = figure(&metrics(), &format!("barrowful_requests_total{{{labels}}}"));
        assert_eq!(hung_up, Some(count), "{how:?}: {}", metrics());
    }
}

#[test]
fn metrics_may_have_an_address_of_their_own_or_none() {
    let nowhere = Running::start(Settings { metrics: MetricsAt::Nowhere, ..Settings::local() }).unwrap();
    let refused = get(&nowhere.url(), "/metrics");
    assert_eq!(refused.status, 404);
    assert_problem(&refused);
    let mut process = Process::start(&["--metrics", "127.0.0.1:0", "--token", "hazel"]);
    assert_eq!(get(&process.url, "/metrics").status, 404);
    let line = process.line(|line| line.contains("shows its metrics on"));
    let own = format!("http://{}", line.rsplit("http://").next().unwrap().trim_end_matches("/metrics"));
    assert!(get(&own, "/metrics").text().contains("http_route=\"/metrics\""));
    assert_eq!(get(&own, "/v1/units").status, 404);
}

#[test]
fn an_id_that_a_caller_sends_comes_back_and_a_strange_one_does_not() {
    let running = started();
    let asked = |id: &str| send(&running.url(), (Method::GET, "/nowhere"), &[("x-request-id", id)], Vec::new());
    for id in ["row-7", "0f8fad5b-d9cb-469f-a165-70867728950e"] {
        let answer = asked(id);
        assert_eq!(answer.header("x-request-id"), id);
        assert!(answer.text().contains(&format!("\"request_id\":\"{id}\"")), "{}", answer.text());
    }
    for id in ["two words", "<b>", "", &"x".repeat(65)] {
        let answer = asked(id);
        assert!(answer.header("x-request-id").len() > 30 && answer.header("x-request-id") != id);
        assert!(!answer.text().contains("<b>"), "{}", answer.text());
    }
    assert_ne!(asked("").header("x-request-id"), asked("").header("x-request-id"));
}
