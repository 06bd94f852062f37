//! `POST /v1/batch`: one question on each line, answered in order while more lines come.

use crate::demo_data::QUESTIONS;
use crate::refusals::assert_problem;
use crate::support::{Answer, demo_files, post, post_bytes, send, service};
use barrowful::http::connections::TimeLimits;
use barrowful::http::server::Running;
use barrowful::http::settings::Settings;
use reqwest::Method;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

const LINES: (&str, &str) = ("content-type", "application/x-ndjson");

fn batch(body: impl Into<Vec<u8>>) -> Answer {
    send(&service(), (Method::POST, "/v1/batch"), &[LINES], body.into())
}

/// The lines of an answer, of which the last must be its end.
fn lines(answer: &Answer) -> Vec<Value> {
    assert_eq!((answer.status, answer.header("content-type")), (200, "application/x-ndjson"), "{}", answer.text());
    let mut lines: Vec<Value> = answer.text().lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let refused = lines.iter().filter(|line| line.get("problem").is_some()).count();
    assert_eq!(lines.pop().unwrap(), json!({"end": true, "lines": lines.len(), "refused": refused}));
    lines
}

fn bed(area: &str) -> Value {
    json!({"areas": [{"surface": {"kind": "area", "area": area}, "rate": {"kind": "depth", "amount": "1 cm"}}]})
}

/// The bytes of a file on one line: no text of it has a line break.
fn on_one_line(path: &std::path::Path) -> String {
    std::fs::read_to_string(path).unwrap().replace(['\n', '\r'], " ")
}

#[test]
fn each_line_is_answered_to_the_byte_as_its_question_is_by_itself() {
    let files = QUESTIONS.map(|question| (question, on_one_line(demo_files(question).first().unwrap())));
    let asked: String =
        files.iter().map(|(question, body)| format!("{{\"ask\": \"{question}\", \"body\": {body}}}\n")).collect();
    let answer = batch(asked);
    assert_eq!(lines(&answer).len(), QUESTIONS.len());
    for (number, ((question, body), line)) in files.iter().zip(answer.text().lines()).enumerate() {
        let alone = post_bytes(question, body.as_str());
        assert_eq!(line, format!("{{\"line\":{},\"status\":200,\"body\":{}}}", number + 1, alone.text()), "{question}");
    }
}

#[test]
fn a_line_that_is_refused_stops_none_after_it_and_says_what_it_would_by_itself() {
    let wrong =
        json!({"areas": [{"surface": {"kind": "area", "area": "2"}, "rate": {"kind": "dept", "amount": "1 cm"}}]});
    let asked = [
        json!({"id": "roses", "ask": "applications", "body": wrong}).to_string(),
        String::new(),
        "{\"ask\": \"applications\", ".to_owned(),
        "  \r".to_owned(),
        json!({"ask": "application", "body": {}, "extra": 1}).to_string(),
        json!({"ask": "brews"}).to_string(),
        json!({"id": 7, "ask": "brews", "body": []}).to_string(),
        json!([]).to_string(),
        json!({"id": "last", "ask": "applications", "body": bed("1 m2")}).to_string(),
    ];
    let answer = lines(&batch(asked.join("\n")));
    let shown = |line: &Value| {
        let errors = line["problem"]["errors"].as_array().into_iter().flatten();
        let errors: Vec<String> = errors
            .map(|error| {
                format!("{} {}", error["pointer"].as_str().unwrap_or_default(), error["code"].as_str().unwrap())
            })
            .collect();
        format!("{} {} {} {}", line["line"], line["id"], line["status"], errors.join(", "))
    };
    assert_eq!(
        answer.iter().map(shown).collect::<Vec<_>>(),
        [
            r#"1 "roses" 422 /body/areas/0/surface/area unit_missing, /body/areas/0/rate/kind unknown_kind"#,
            "3 null 400  not_json",
            "5 null 422 /ask unknown_value, /extra unknown_field",
            "6 null 422 /body missing_field",
            "7 null 422 /id wrong_type, /body wrong_type",
            "8 null 422  wrong_type",
            r#"9 "last" 200 "#,
        ]
    );
    let syntax = &answer[1]["problem"]["errors"][0];
    assert_eq!(syntax["line"], 3);
    assert!(syntax["detail"].as_str().unwrap().starts_with("Line 3, column 23:"), "{syntax}");
    let mut alone = post("applications", &wrong).json();
    for error in alone["errors"].as_array_mut().unwrap() {
        error["pointer"] = format!("/body{}", error["pointer"].as_str().unwrap()).into();
    }
    assert_eq!(answer[0]["problem"], alone);
}

/// What is wrong around a request and in it is one problem, where it is known what is asked.
#[test]
fn an_error_around_a_body_does_not_hide_those_in_it() {
    let errors = |line: Value| {
        let answer = &lines(&batch(line.to_string()))[0];
        assert_eq!(answer["status"], 422);
        crate::support::brief(answer["problem"]["errors"].as_array().unwrap())
    };
    let wrong = bed("2");
    let of_body = "/body/areas/0/surface/area unit_missing";
    let line = json!({"id": 7, "ask": "applications", "body": wrong, "extra": 1});
    assert_eq!(errors(line), ["/id wrong_type", of_body, "/extra unknown_field"]);
    let line = json!({"ask": "applications", "extra": 1, "body": bed("2 m2")});
    assert_eq!(errors(line), ["/extra unknown_field"]);
    assert_eq!(errors(json!({"ask": "application", "body": wrong})), ["/ask unknown_value"]);
    assert_eq!(
        errors(json!({"ask": "applications", "extra": 1, "body": []})),
        ["/extra unknown_field", "/body wrong_type"]
    );
    // An item that is left out has no errors.
    let skipping = json!({"on_error": "skip", "areas": [bed("2 m2")["areas"][0], wrong["areas"][0]]});
    assert_eq!(errors(json!({"id": 7, "ask": "applications", "body": skipping})), ["/id wrong_type"]);
    let answer = &lines(&batch(json!({"id": "", "ask": "applications", "body": wrong}).to_string()))[0];
    let detail = answer["problem"]["errors"][1]["detail"].as_str().unwrap();
    assert!(detail.starts_with("Area 1: "), "{detail}");
}

#[test]
fn the_example_of_the_document_is_answered() {
    let document = crate::support::get("/openapi.json").json();
    let content = &document["paths"]["/v1/batch"]["post"]["requestBody"]["content"];
    let example = content["application/x-ndjson"]["example"].as_str().unwrap();
    let answer = lines(&batch(example));
    assert_eq!((answer.len(), &answer[0]["id"], &answer[0]["status"]), (1, &json!("bed 7"), &json!(200)));
    assert_eq!(answer[0]["body"]["total"]["castings"]["volume"], json!({"value": 20, "unit": "L"}));
}

/// Whether a line has all that its schema requires and nothing that it does not tell.
fn fits(schema: &Value, line: &Value) -> bool {
    let (line, reported) = (line.as_object().unwrap(), schema["properties"].as_object().unwrap());
    let required = schema["required"].as_array().unwrap();
    required.iter().all(|name| line.contains_key(name.as_str().unwrap()))
        && line.keys().all(|name| reported.contains_key(name))
}

#[test]
fn the_document_has_the_schema_of_each_line() {
    let document = crate::support::get("/openapi.json").json();
    let operation = &document["paths"]["/v1/batch"]["post"];
    let of_line = |body: &Value| {
        let text = body["content"]["application/x-ndjson"]["schema"].clone();
        assert_eq!((&text["type"], &text["contentMediaType"]), (&json!("string"), &json!("application/x-ndjson")));
        text["contentSchema"].clone()
    };
    let question = crate::contract::followed(&document, &of_line(&operation["requestBody"])).clone();
    assert_eq!((&question["required"], &question["additionalProperties"]), (&json!(["ask", "body"]), &json!(false)));
    let line = of_line(&operation["responses"]["200"]);
    let lines_told: Vec<&Value> =
        line["oneOf"].as_array().unwrap().iter().map(|one| crate::contract::followed(&document, one)).collect();
    let [answer, end] = lines_told.try_into().unwrap();
    let words = question["properties"]["ask"]["enum"].as_array().unwrap();
    assert_eq!(words.len(), QUESTIONS.len());
    for (place, word) in words.iter().enumerate() {
        let path = format!("/v1/{}", word.as_str().unwrap());
        let alone = &document["paths"][&path]["post"];
        let [asked, answered] = [&alone["requestBody"], &alone["responses"]["200"]]
            .map(|body| &body["content"]["application/json"]["schema"]["$ref"]);
        assert_eq!(&question["properties"]["body"]["anyOf"][place]["$ref"], asked, "{path}");
        assert_eq!(&answer["properties"]["body"]["anyOf"][place]["$ref"], answered, "{path}");
    }
    let asked = [
        json!({"id": "one", "ask": "applications", "body": bed("1 m2")}),
        json!({"ask": "applications", "body": {"areas": []}}),
    ];
    assert!(asked.iter().all(|line| fits(&question, line)));
    let answered = batch(asked.map(|line| line.to_string()).join("\n"));
    let lines: Vec<Value> = answered.text().lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let [good, refused, last] = lines.try_into().unwrap();
    assert!(good.get("body").is_some() && refused.get("problem").is_some(), "{good} {refused}");
    assert!(fits(answer, &good) && fits(answer, &refused) && fits(end, &last), "{good} {refused} {last}");
}

#[test]
fn nothing_at_all_has_an_end_too() {
    for nothing in ["", "\n", "\n\r\n  \n"] {
        assert_eq!(lines(&batch(nothing)), Vec::<Value>::new(), "{nothing:?}");
    }
}

#[test]
fn a_batch_is_declared_as_lines_and_takes_nothing_in_its_address() {
    let refused = |headers: &[(&str, &str)], path: &str, status: u16| {
        let answer = send(&service(), (Method::POST, path), headers, b"{}\n".to_vec());
        assert_eq!(answer.status, status, "{headers:?} {path}: {}", answer.text());
        assert_problem(&answer);
        answer.json()
    };
    let problem = refused(&[("content-type", "application/json")], "/v1/batch", 415);
    assert_eq!(problem["available"], json!(["application/x-ndjson"]));
    refused(&[("content-type", "application/x-ndjson; charset=latin1")], "/v1/batch", 415);
    refused(&[LINES, ("content-encoding", "gzip")], "/v1/batch", 415);
    refused(&[LINES, ("accept", "application/json")], "/v1/batch", 406);
    let problem = refused(&[LINES], "/v1/batch?width=80", 422);
    assert_eq!(
        (&problem["errors"][0]["parameter"], &problem["errors"][0]["code"]),
        (&json!("width"), &json!("unknown_parameter"))
    );
    refused(&[], "/v1/batch", 415);
}

#[test]
fn a_line_longer_than_a_request_may_be_is_refused_and_the_next_is_answered() {
    let long = format!("{{\"ask\": \"applications\", \"body\": {{\"name\": \"{}\"}}}}", "x".repeat(5 << 20));
    let good = json!({"ask": "applications", "body": bed("1 m2")}).to_string();
    let answer = lines(&batch(format!("{good}\n{long}\n{good}\n{long}")));
    let shown: Vec<_> = answer.iter().map(|line| (line["line"].as_u64(), line["status"].as_u64())).collect();
    assert_eq!(shown, [(Some(1), Some(200)), (Some(2), Some(413)), (Some(3), Some(200)), (Some(4), Some(413))]);
    assert_eq!(answer[1]["problem"]["type"], "/problems/too-large");
}

/// Sends the head of a batch.
fn begin(url: &str) -> (TcpStream, BufReader<TcpStream>) {
    let mut stream = TcpStream::connect(url.trim_start_matches("http://")).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    let head = "POST /v1/batch HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-ndjson\r\ntransfer-encoding: chunked\r\n\r\n";
    stream.write_all(head.as_bytes()).unwrap();
    let reader = BufReader::new(stream.try_clone().unwrap());
    (stream, reader)
}

fn send_chunk(stream: &mut TcpStream, text: &str) {
    write!(stream, "{:x}\r\n{text}\r\n", text.len()).unwrap();
}

/// The next line of JSON, past heads and lengths of chunks.
fn next_line(reader: &mut BufReader<TcpStream>) -> Value {
    loop {
        let mut line = String::new();
        assert!(reader.read_line(&mut line).unwrap() > 0, "the answer ended");
        if line.starts_with('{') {
            return serde_json::from_str(&line).unwrap();
        }
    }
}

#[test]
fn a_line_is_answered_before_the_next_is_sent() {
    let (mut stream, mut reader) = begin(&service());
    for number in 1..=3 {
        let line =
            json!({"id": format!("{number}"), "ask": "applications", "body": bed(&format!("{number} m2"))}).to_string();
        let (first, rest) = line.split_at(line.len() / 2);
        send_chunk(&mut stream, first);
        send_chunk(&mut stream, &format!("{rest}\n"));
        let answer = next_line(&mut reader);
        assert_eq!((&answer["line"], &answer["id"]), (&json!(number), &json!(format!("{number}"))));
        assert_eq!(answer["body"]["total"]["castings"]["volume"]["value"], 10 * number);
    }
    stream.write_all(b"0\r\n\r\n").unwrap();
    assert_eq!(next_line(&mut reader), json!({"end": true, "lines": 3, "refused": 0}));
}

/// A service whose callers have this long to send a line, and as long to take a piece.
fn hurried(short: Duration) -> Running {
    let second = Duration::from_secs(1);
    let times = TimeLimits { idle: second, head: second, body: short, piece: short };
    Running::start(Settings { times, deadline: Duration::from_secs(300), ..Settings::local() }).unwrap()
}

/// The last line of a batch that is not answered to its end.
fn assert_given_up(end: &Value, lines: u64) {
    assert_eq!(
        (&end["end"], &end["lines"], &end["problem"]["status"]),
        (&json!(false), &json!(lines), &json!(408)),
        "{end}"
    );
    assert!(end["problem"]["detail"].as_str().unwrap().starts_with("No whole line came within "), "{end}");
    assert_eq!(end.get("line"), None);
}

#[test]
fn a_caller_who_sends_no_more_gets_a_last_line() {
    let service = hurried(Duration::from_secs(3));
    let (mut stream, mut reader) = begin(&service.url());
    send_chunk(&mut stream, &format!("{}\n", json!({"ask": "applications", "body": bed("1 m2")})));
    assert_eq!(next_line(&mut reader)["status"], 200);
    assert_given_up(&next_line(&mut reader), 1);
    let mut rest = String::new();
    reader.read_to_string(&mut rest).unwrap();
    assert!(!rest.contains("{"), "{rest}");
}

#[test]
fn a_line_has_to_come_as_quickly_as_a_body() {
    let service = hurried(Duration::from_secs(1));
    let (mut stream, mut reader) = begin(&service.url());
    // A byte or an empty line now and then does not keep a stream open.
    let sender = std::thread::spawn(move || {
        (0..600).all(|turn| {
            std::thread::sleep(Duration::from_millis(100));
            write!(stream, "1\r\n{}\r\n", if turn % 3 == 0 { '\n' } else { ' ' }).is_ok()
        })
    });
    assert_given_up(&next_line(&mut reader), 0);
    assert!(!sender.join().unwrap(), "the service went on reading");
}

#[test]
fn lines_that_take_longer_than_a_piece_may_are_waited_for() {
    let piece = Duration::from_millis(500);
    let service = hurried(piece);
    let season = std::fs::read_to_string("demo-data/seasons/kitchen-garden.json").unwrap().replace('\n', " ");
    let line = format!("{{\"ask\": \"seasons\", \"body\": {season}}}\n");
    for count in [1, 4, 16, 64, 256] {
        let started = Instant::now();
        let answer = send(&service.url(), (Method::POST, "/v1/batch"), &[LINES], line.repeat(count).into_bytes());
        assert_eq!(lines(&answer).len(), count);
        if started.elapsed() > 2 * piece {
            return;
        }
    }
    panic!("256 seasons take less than a second");
}

#[test]
fn a_caller_who_does_not_read_is_cut_off() {
    let service = hurried(Duration::from_millis(500));
    let (mut stream, mut reader) = begin(&service.url());
    let lines = format!("{}\n", json!({"ask": "applications", "body": bed("1 m2")})).repeat(200);
    stream.set_write_timeout(Some(Duration::from_secs(30))).unwrap();
    // The answers are some ten times as long as what is sent; without a reader they soon fill what the kernel holds.
    let cut = (0..2_000).find_map(|_| write!(stream, "{:x}\r\n{lines}\r\n", lines.len()).err());
    let kind = cut.expect("the service went on with a caller who does not read").kind();
    // Not the time limit of this test.
    assert!(!matches!(kind, ErrorKind::WouldBlock | ErrorKind::TimedOut), "{kind}");
    let mut rest = Vec::new();
    let _ = reader.read_to_end(&mut rest);
    assert!(!String::from_utf8_lossy(&rest).contains("\"end\""));
}

#[test]
fn a_line_without_an_end_takes_nothing_from_others() {
    let settings = Settings { in_flight: 8 << 20, deadline: Duration::from_secs(300), ..Settings::local() };
    let service = Running::start(settings).unwrap();
    let (mut stream, mut reader) = begin(&service.url());
    // More than the service holds; nothing of it is kept.
    let part = "x".repeat(1 << 20);
    (0..20).for_each(|_| send_chunk(&mut stream, &part));
    assert_eq!(next_line(&mut reader)["status"], 413);
    let idle: Vec<_> = (0..40).map(|_| begin(&service.url())).collect();
    let large = json!({"areas": vec![bed("1 m2")["areas"][0].clone(); 2_000]});
    let body = serde_json::to_vec(&large).unwrap();
    let answer =
        send(&service.url(), (Method::POST, "/v1/applications"), &[("content-type", "application/json")], body);
    assert_eq!(answer.status, 200, "{:.300}", answer.text());
    send_chunk(&mut stream, &format!("\n{}\n", json!({"ask": "applications", "body": bed("1 m2")})));
    let next = next_line(&mut reader);
    assert_eq!((&next["line"], &next["status"]), (&json!(2), &json!(200)));
    drop(idle);
}
