use std::cell::Cell;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::rc::Rc;
use std::sync::mpsc;
use std::thread::JoinHandle;

use super::*;

const ANSWER: &str = r#"{"areas": [{"name": "carrot rows", "castings": {"volume": {"value": 48, "unit": "L"}}}]}"#;
const TEXT: &str = "carrot rows  48 L\n";

/// A service that answers one request with canned bytes and hands over what it was sent.
struct Canned {
    url: String,
    heard: mpsc::Receiver<String>,
    thread: JoinHandle<()>,
}

impl Canned {
    fn new(status: &'static str, kind: &'static str, body: &'static str) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let url = format!("http://{}", listener.local_addr().unwrap());
        let (tell, heard) = mpsc::channel();
        let thread = std::thread::spawn(move || {
            let (mut stream, _) = listener.accept().unwrap();
            let _ = tell.send(request(&mut stream));
            let length = body.len();
            let head = format!(
                "HTTP/1.1 {status}\r\ncontent-type: {kind}\r\ncontent-length: {length}\r\nconnection: close\r\n\r\n"
            );
            stream.write_all(head.as_bytes()).unwrap();
            stream.write_all(body.as_bytes()).unwrap();
        });
        Self { url, heard, thread }
    }

    fn heard(self) -> String {
        self.thread.join().unwrap();
        self.heard.recv().unwrap()
    }
}

/// The head and the body of one request.
fn request(stream: &mut TcpStream) -> String {
    let mut text = String::new();
    let mut buffer = [0; 4096];
    loop {
        let read = stream.read(&mut buffer).unwrap();
        text.push_str(&String::from_utf8_lossy(&buffer[..read]));
        let Some((head, body)) = text.split_once("\r\n\r\n") else { continue };
        let lower = head.to_ascii_lowercase();
        let length =
            lower.split_once("content-length: ").map_or(0, |(_, rest)| rest.lines().next().unwrap().parse().unwrap());
        if read == 0 || body.len() >= length {
            return text;
        }
    }
}

struct Reported {
    code: i32,
    out: String,
    err: String,
}

fn none_to_start() -> Result<Box<dyn Running>, String> {
    panic!("a service was started although there is one")
}

fn reported(args: &AskArgs, start: impl FnOnce() -> Result<Box<dyn Running>, String>) -> Reported {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = run(args, start, &mut out, &mut err);
    Reported { code, out: String::from_utf8(out).unwrap(), err: String::from_utf8(err).unwrap() }
}

/// The folder of a test, which goes with its thread.
struct Scratch(PathBuf);

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

thread_local! {
    static SCRATCH: Scratch = Scratch(std::env::temp_dir().join(format!("barrowful-{}", uuid::Uuid::new_v4())));
}

/// A file of its own for each test.
pub(super) fn file(name: &str, content: &str) -> PathBuf {
    let path = SCRATCH.with(|scratch| scratch.0.join(format!("{name}.json")));
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(&path, content).unwrap();
    path
}

fn args(name: &str, content: &str, to: &str) -> AskArgs {
    AskArgs { files: vec![file(name, content)], to: Some(to.to_owned()), ..AskArgs::default() }
}

#[test]
fn a_request_goes_out_byte_for_byte_and_the_answer_comes_back_as_text() {
    let service = Canned::new("200 OK", "text/plain; charset=utf-8", TEXT);
    let body = "{ \"areas\" : [ ],\n\"units\":\"metric\" }";
    let reported = reported(&args("table", body, &service.url), none_to_start);
    assert_eq!((reported.code, reported.err.as_str(), reported.out.as_str()), (ANSWERED, "", TEXT));
    let heard = service.heard();
    let lower = heard.to_ascii_lowercase();
    assert!(heard.starts_with("POST /v1/applications?width=100&all=false HTTP/1.1\r\n"), "{heard}");
    assert!(lower.contains("content-type: application/json\r\n"), "{heard}");
    assert!(lower.contains("accept: text/plain\r\n"), "{heard}");
    assert!(heard.ends_with(body), "{heard}");
}

#[test]
fn all_of_the_text_is_asked_for() {
    let service = Canned::new("200 OK", "text/plain", TEXT);
    let reported = reported(&AskArgs { all: true, ..args("all", r#"{"areas": []}"#, &service.url) }, none_to_start);
    assert_eq!(reported.code, ANSWERED);
    assert!(service.heard().starts_with("POST /v1/applications?width=100&all=true "));
}

#[test]
fn json_is_printed_as_it_came() {
    let service = Canned::new("200 OK", "application/json", ANSWER);
    let reported = reported(&AskArgs { json: true, ..args("json", r#"{"areas": []}"#, &service.url) }, none_to_start);
    assert_eq!((reported.code, reported.out.as_str()), (ANSWERED, ANSWER));
}

#[test]
fn csv_is_asked_for_and_printed_as_it_came() {
    let service = Canned::new("200 OK", "text/csv; charset=utf-8; header=present", "name,castings_L\r\nx,48\r\n");
    let reported = reported(&AskArgs { csv: true, ..args("csv", r#"{"heaps": []}"#, &service.url) }, none_to_start);
    assert_eq!((reported.code, reported.out.as_str()), (ANSWERED, "name,castings_L\r\nx,48\r\n"));
    let heard = service.heard();
    assert!(heard.starts_with("POST /v1/harvests "), "{heard}");
    assert!(heard.to_ascii_lowercase().contains("accept: text/csv\r\n"), "{heard}");
}

#[test]
fn a_refusal_goes_to_standard_error_whatever_was_asked_for() {
    for (json, csv) in [(false, false), (true, false), (false, true)] {
        let problem = r#"{"title": "Refused", "errors": [{"pointer": "/areas/0/rate", "detail": "No rate.", "nearest": "rate"}]}"#;
        let service = Canned::new("422 Unprocessable Content", "application/problem+json", problem);
        let args = AskArgs { json, csv, ..args("refused", r#"{"areas": [{}]}"#, &service.url) };
        let reported = reported(&args, none_to_start);
        assert_eq!((reported.code, reported.out.as_str()), (REFUSED, ""));
        if json {
            assert_eq!(reported.err.trim_end(), problem);
            continue;
        }
        let file = args.files[0].display();
        let wanted = format!("Refused (422)\nNo rate.\n   at {file}:1:12 (/areas/0/rate)\n   nearest: rate\n");
        assert_eq!(reported.err, wanted);
    }
}

#[test]
fn something_else_behind_the_address_is_noticed() {
    for (status, kind, part) in [
        ("200 OK", "text/html", "answered with text/html"),
        ("200 OK", "application/json", "answered with application/json where text/plain"),
        ("502 Bad Gateway", "text/html", "answered 502"),
        ("301 Moved\r\nlocation: https://garden.example/", "text/html", "points to https://garden.example/"),
    ] {
        let service = Canned::new(status, kind, "<p>hello");
        let reported = reported(&args("strange", r#"{"areas": []}"#, &service.url), none_to_start);
        assert_eq!((reported.code, reported.out.as_str()), (NO_ANSWER, ""));
        assert!(reported.err.contains(part), "{}", reported.err);
    }
}

#[test]
fn a_service_that_is_not_there_is_a_sentence() {
    let free = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let reported = reported(&args("nobody", r#"{"areas": []}"#, &format!("http://{free}")), none_to_start);
    assert_eq!((reported.code, reported.out.as_str()), (NO_ANSWER, ""));
    assert!(reported.err.contains("could not be reached") && reported.err.contains("refused"), "{}", reported.err);
}

#[test]
fn without_an_address_a_service_is_started_and_stopped() {
    struct Own(String, Rc<Cell<bool>>);
    impl Running for Own {
        fn url(&self) -> String {
            self.0.clone()
        }
    }
    impl Drop for Own {
        fn drop(&mut self) {
            self.1.set(true);
        }
    }
    let service = Canned::new("200 OK", "text/plain", TEXT);
    let (url, stopped) = (service.url.clone(), Rc::new(Cell::new(false)));
    let mine = Rc::clone(&stopped);
    let args = AskArgs { to: None, ..args("own", r#"{"areas": []}"#, "") };
    let reported = reported(&args, move || Ok(Box::new(Own(url, mine))));
    assert_eq!(reported.code, ANSWERED, "{}", reported.err);
    assert!(stopped.get());
}

#[test]
fn nothing_is_started_for_a_request_that_cannot_be_read() {
    let missing = AskArgs { files: vec![PathBuf::from("/nowhere/at/all.json")], ..AskArgs::default() };
    let broken = AskArgs { to: None, ..args("broken", "{", "") };
    let unknown = AskArgs { to: None, ..args("unknown", r#"{"beds": []}"#, "") };
    for (args, part) in [(missing, "could not be read"), (broken, "is not JSON"), (unknown, "worm_beds or heaps")] {
        let reported = reported(&args, none_to_start);
        assert_eq!((reported.code, reported.out.as_str()), (NO_ANSWER, ""));
        assert!(reported.err.contains(part), "{}", reported.err);
    }
}

/// A file that is not JSON is refused in the words of the service, with its line.
#[test]
fn what_is_not_json_says_how_to_mend_it() {
    for (content, wanted, at) in [
        ("{\"areas\": [],}", "Remove it", "Line 1, column 14"),
        ("{\"areas\": [NaN]}", "JSON has no NaN", "Line 1, column"),
        ("", "The body is empty", ""),
    ] {
        let reported = reported(&AskArgs { to: None, ..args("not-json", content, "") }, none_to_start);
        assert_eq!(reported.code, NO_ANSWER);
        assert!(reported.err.contains(wanted) && reported.err.contains(at), "{content}: {}", reported.err);
    }
}

#[test]
fn a_named_resource_is_sent_without_judging_the_file() {
    let service = Canned::new("400 Bad Request", "application/problem+json", r#"{"title": "Not JSON"}"#);
    let args = AskArgs { resource: Some(Resource::Brews), ..args("named", "{", &service.url) };
    assert_eq!(reported(&args, none_to_start).code, REFUSED);
    let heard = service.heard();
    assert!(heard.starts_with("POST /v1/brews?width=100&all=false ") && heard.ends_with("\r\n\r\n{"), "{heard}");
}

#[test]
fn a_service_that_does_not_start_is_a_sentence() {
    let reported =
        reported(&AskArgs { to: None, ..args("start", r#"{"areas": []}"#, "") }, || Err("no free port".to_owned()));
    assert_eq!((reported.code, reported.err.as_str()), (NO_ANSWER, "The service could not be started: no free port\n"));
}

#[test]
fn a_health_check_tells_ready_from_not_ready() {
    let ready = Canned::new("200 OK", "text/plain", "ready");
    assert_eq!(healthcheck(&ready.url), Ok(()));
    assert!(ready.heard().starts_with("GET /health/ready HTTP/1.1\r\n"));
    let busy = Canned::new("503 Service Unavailable", "text/plain", "");
    assert!(healthcheck(&busy.url).unwrap_err().contains("not ready: it answered 503"));
    assert!(healthcheck("https://127.0.0.1:1").unwrap_err().contains("could not be reached"));
}

#[test]
fn a_silent_service_does_not_hold_up_a_health_check() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let message = healthcheck(&format!("http://{}", listener.local_addr().unwrap())).unwrap_err();
    assert!(message.contains("did not answer within 3 seconds"), "{message}");
}

#[test]
fn the_command_line_reads_as_described() {
    use clap::{CommandFactory, FromArgMatches, Parser};
    #[derive(Parser)]
    struct Line {
        #[command(flatten)]
        ask: AskArgs,
    }
    Line::command().debug_assert();
    let read = |line: &[&str]| {
        Line::command().try_get_matches_from(line).map(|found| Line::from_arg_matches(&found).unwrap().ask)
    };
    let ask = read(&["ask", "-", "--to", "http://h:1", "--csv", "--resource", "balances"]).unwrap();
    assert_eq!((ask.files[0].as_os_str() == "-", ask.to.as_deref()), (true, Some("http://h:1")));
    assert_eq!((ask.csv, ask.json, ask.resource), (true, false, Some(Resource::Balances)));
    assert!(read(&["ask", "x.json", "--csv", "--json"]).is_err());
    assert!(read(&["ask"]).is_err());
    let ask = read(&["ask", "a.json", "b.json", "--as", "calendar", "-o", "out"]).unwrap();
    assert_eq!((ask.files.len(), ask.form(), ask.output), (2, Media::Calendar, Some(PathBuf::from("out"))));
    for (line, form) in [
        (&["ask", "x", "--table", "work"][..], Media::Csv),
        (&["ask", "x", "--open"], Media::Html),
        (&["ask", "x", "--link", "--to", "http://h:1"], Media::Calendar),
        (&["ask", "x", "--json"], Media::Json),
        (&["ask", "x"], Media::Text),
    ] {
        assert_eq!(read(line).unwrap().form(), form, "{line:?}");
    }
    for wrong in [&["ask", "x", "--link"][..], &["ask", "x", "--as", "lines"], &["ask", "x", "--lines", "--json"]] {
        assert!(read(wrong).is_err(), "{wrong:?}");
    }
}
