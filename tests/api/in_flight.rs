//! Limits on what is in flight: a deadline, bytes that are held, and connections that are too slow. Each attack shows what it costs.

use crate::process::Process;
use crate::refusals::assert_problem;
use crate::support::{Answer, bed, demo, send, with};
use barrowful::http::connections::TimeLimits;
use barrowful::http::server::Running;
use barrowful::http::settings::Settings;
use reqwest::Method;
use serde_json::{Value, json};
use socket2::{Domain, Socket, Type};
use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

const JSON: (&str, &str) = ("content-type", "application/json");

fn posted(service: &Running, question: &str, accept: &str, body: &Value) -> Answer {
    let body = serde_json::to_vec(body).unwrap();
    send(&service.url(), (Method::POST, &format!("/v1/{question}")), &[JSON, ("accept", accept)], body)
}

/// A brew of a thousand batches.
fn batches() -> Value {
    json!({"water": "1000 L", "castings_to_water": "1:10", "brewer": {"capacity": "1 L"}, "use_at": "2027-06-12T19:00:00+02:00"})
}

/// Requests that are accepted and take long, one for each long loop: runs of a season, sharing, dates to begin, layers of beds,
/// mixes, and what is written of many batches.
fn long() -> Vec<(&'static str, &'static str, Value)> {
    let stock: Vec<Value> =
        (0..10).map(|i| json!({"amount": "20 L", "ready_on": format!("2027-05-{:02}", i + 1)})).collect();
    let least = |i: usize| json!({"amount": format!("{} L", 5 + i % 7), "minimum": format!("{} L", 3 + i % 3)});
    let brews = vec![json!({"brew": batches()}); 6];
    let demands: Vec<Value> = brews.into_iter().chain((0..20).map(least)).collect();
    let bed = json!({"ground": {"kind": "area", "area": "4 m2"}, "layers_per_cycle": 1, "start_on": "2027-01-01"});
    let feed = json!({"moisture": "75 %", "ash": "15 %", "supply": {"kind": "as_needed"}});
    let layers = json!({"climate": {"unit": "C", "fixed": 20}, "feed_supply": feed, "assumptions": {"bed.layer": "2.2 mm"},
                        "until": "2036-12-31", "simulation_runs": 0, "worm_beds": vec![bed; 10], "demands": [{"amount": "9 L"}]});
    let to_produce = with(&demo("seasons/one-demand.json"), "/simulation_runs", json!(20_000));
    vec![
        ("seasons", "application/json", with(&demo("seasons/kitchen-garden.json"), "/simulation_runs", json!(20_000))),
        ("balances", "application/json", json!({"stock": stock, "demands": demands})),
        ("seasons", "application/json", to_produce),
        ("seasons", "application/json", layers),
        ("brews", "text/calendar", json!({"brews": vec![batches(); 20]})),
        ("brews", "text/html", json!({"brews": vec![batches(); 20]})),
        ("brews", "text/plain", json!({"brews": vec![batches(); 20]})),
    ]
}

#[test]
fn what_is_not_ready_by_the_deadline_is_refused_and_stopped() {
    let settings = Settings { deadline: Duration::from_millis(5), ..Settings::local() };
    let service = Running::start(settings).unwrap();
    for (question, accept, body) in long() {
        let started = Instant::now();
        // More than are computed at once: each has to leave its place to the next.
        for _ in 0..5 {
            let answer = posted(&service, question, accept, &body);
            assert_eq!(answer.status, 503, "{question} as {accept}: {:.300}", answer.text());
            assert_problem(&answer);
            assert_eq!(answer.json()["type"], "/problems/deadline-passed", "{question} as {accept}");
            assert!(answer.json()["detail"].as_str().unwrap().contains("fewer simulation runs"));
            assert!(!answer.header("retry-after").is_empty());
        }
        assert!(started.elapsed() < Duration::from_secs(3), "{question} as {accept}: {:?}", started.elapsed());
        assert_eq!(send(&service.url(), (Method::GET, "/health/live"), &[], Vec::new()).status, 200);
    }
}

/// A service whose connections have little time.
fn hurried() -> Running {
    let (short, second) = (Duration::from_millis(500), Duration::from_secs(1));
    let times = TimeLimits { idle: second, head: second, body: short, piece: short };
    Running::start(Settings { times, ..Settings::local() }).unwrap()
}

fn connect(url: &str) -> TcpStream {
    let stream = TcpStream::connect(url.trim_start_matches("http://")).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
    stream
}

/// Reads until the other side closes, and answers what came and how long it took.
fn closed(mut stream: &TcpStream) -> (Vec<u8>, Duration) {
    let started = Instant::now();
    let mut came = Vec::new();
    match stream.read_to_end(&mut came) {
        Ok(_) => {}
        Err(error) if error.kind() == ErrorKind::ConnectionReset => {}
        Err(error) => panic!("{error} after {:?}: it is still open", started.elapsed()),
    }
    (came, started.elapsed())
}

/// Reads the head and the body of an answer.
fn answered(stream: &TcpStream) -> String {
    let mut reader = BufReader::new(stream);
    let (mut head, mut length) = (String::new(), 0);
    while !head.ends_with("\r\n\r\n") {
        let from = head.len();
        assert!(reader.read_line(&mut head).unwrap() > 0, "{head}");
        if let Some(value) = head[from..].to_ascii_lowercase().strip_prefix("content-length: ") {
            length = value.trim().parse().unwrap();
        }
    }
    reader.read_exact(&mut vec![0; length]).unwrap();
    head
}

#[test]
fn half_a_request_is_cut_off_on_a_new_and_on_a_kept_connection() {
    let service = hurried();
    let half = b"POST /v1/brews HTTP/1.1\r\nhost: garden\r\ncontent-type: appl";
    let mut new = connect(&service.url());
    new.write_all(half).unwrap();
    let (came, after) = closed(&new);
    assert!(came.starts_with(b"HTTP/1.1 408 ") && after < Duration::from_secs(4), "{after:?}");

    let mut kept = connect(&service.url());
    for _ in 0..3 {
        kept.write_all(b"GET /health/live HTTP/1.1\r\nhost: garden\r\n\r\n").unwrap();
        let head = answered(&kept);
        assert!(head.starts_with("HTTP/1.1 200 "), "{head}");
        std::thread::sleep(Duration::from_millis(100));
    }
    kept.write_all(half).unwrap();
    let (came, after) = closed(&kept);
    assert!(came.is_empty() && after < Duration::from_secs(4), "{after:?}");
}

#[test]
fn a_request_that_trickles_on_a_kept_connection_is_cut_off() {
    let service = hurried();
    let mut kept = connect(&service.url());
    kept.write_all(b"GET /health/live HTTP/1.1\r\nhost: garden\r\n\r\n").unwrap();
    let head = answered(&kept);
    assert!(head.starts_with("HTTP/1.1 200 "), "{head}");
    let started = Instant::now();
    kept.write_all(b"GET /health/live HTTP/1.1\r\n").unwrap();
    while kept.write_all(b"x: y\r\n").is_ok() {
        assert!(started.elapsed() < Duration::from_secs(4), "it is still open");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_body_that_trickles_is_refused_in_time() {
    let service = hurried();
    let mut stream = connect(&service.url());
    let head =
        "POST /v1/brews HTTP/1.1\r\nhost: garden\r\ncontent-type: application/json\r\ncontent-length: 4000\r\n\r\n{";
    stream.write_all(head.as_bytes()).unwrap();
    let started = Instant::now();
    let (came, _) = closed(&stream);
    assert!(came.starts_with(b"HTTP/1.1 408 "), "{}", String::from_utf8_lossy(&came));
    assert!(started.elapsed() < Duration::from_secs(3));
}

#[test]
fn a_connection_that_is_used_is_kept_longer_than_one_that_idles() {
    let service = hurried();
    let mut used = connect(&service.url());
    for _ in 0..30 {
        used.write_all(b"GET /health/live HTTP/1.1\r\nhost: garden\r\n\r\n").unwrap();
        assert!(answered(&used).starts_with("HTTP/1.1 200 "));
        std::thread::sleep(Duration::from_millis(80));
    }
    let (came, after) = closed(&used);
    assert!(came.is_empty() && after < Duration::from_secs(4), "{after:?}");
}

/// Asks for an answer of 3 MB, and does not read it.
fn ask(url: &str) -> TcpStream {
    let socket = Socket::new(Domain::IPV4, Type::STREAM, None).unwrap();
    // Else the kernel would take most of it.
    socket.set_recv_buffer_size(4_096).unwrap();
    let address: SocketAddr = url.trim_start_matches("http://").parse().unwrap();
    socket.connect(&address.into()).unwrap();
    let mut stream = TcpStream::from(socket);
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    let body = json!({"brews": vec![batches(); 5]}).to_string();
    let head = format!(
        "POST /v1/brews HTTP/1.1\r\nhost: garden\r\ncontent-type: application/json\r\naccept: text/calendar\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(body.as_bytes()).unwrap();
    stream
}

/// Waits for an answer, and tells its status.
fn status(mut stream: &TcpStream) -> String {
    let mut first = [0; 12];
    stream.read_exact(&mut first).unwrap();
    String::from_utf8(first[9..].to_vec()).unwrap()
}

#[test]
fn a_caller_that_does_not_read_is_cut_off() {
    let service = hurried();
    let caller = ask(&service.url());
    assert_eq!(status(&caller), "200");
    std::thread::sleep(Duration::from_secs(2));
    let (came, _) = closed(&caller);
    assert!(came.len() < 2_000_000, "{} bytes came", came.len());
    // Whoever runs the service sees it, and an answer that is sent whole is none of them.
    assert_eq!(posted(&service, "brews", "text/plain", &json!({"brews": [batches()]})).status, 200);
    let metrics = send(&service.url(), (Method::GET, "/metrics"), &[], Vec::new());
    let refusals: Vec<&str> =
        metrics.text().lines().filter(|line| line.starts_with("barrowful_refusals_total")).collect();
    assert_eq!(refusals, ["barrowful_refusals_total{reason=\"cut-off\"} 1"]);
}

#[test]
fn callers_that_do_not_read_hold_no_more_than_they_may_and_give_it_back() {
    let process = Process::start(&["--in-flight", "16", "--read-within", "12", "--deadline", "60"]);
    let idle = process.memory("VmRSS");
    let callers: Vec<TcpStream> = (0..12).map(|_| ask(&process.url)).collect();
    let refused = callers.iter().filter(|caller| status(caller) == "503").count();
    assert!((1..12).contains(&refused), "{refused} of 12 are refused, the others hold what there is");
    // Small questions are answered meanwhile.
    let answer = send(&process.url, (Method::POST, "/v1/applications"), &[JSON], bed().to_string().into_bytes());
    assert_eq!(answer.status, 200, "{}", answer.text());
    // 16 MiB of answers, and what those take that are computed at once. Before, each of 20 callers held 40 MB.
    let held = process.memory("VmHWM").saturating_sub(idle);
    assert!(held < 250_000, "{held} kB");
    drop(callers);
    let again = ask(&process.url);
    assert_eq!(status(&again), "200");
}

#[test]
fn a_caller_that_reads_slowly_but_steadily_gets_all() {
    let service = hurried();
    let mut stream = connect(&service.url());
    let body = json!({"brews": vec![batches(); 2]}).to_string();
    let head = format!(
        "POST /v1/brews HTTP/1.1\r\nhost: garden\r\nconnection: close\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(body.as_bytes()).unwrap();
    let mut came = Vec::new();
    let mut piece = [0; 20_000];
    loop {
        let count = stream.read(&mut piece).unwrap();
        if count == 0 {
            break;
        }
        came.extend_from_slice(&piece[..count]);
        std::thread::sleep(Duration::from_millis(10));
    }
    let text = String::from_utf8(came).unwrap();
    let (head, body) = text.split_once("\r\n\r\n").unwrap();
    let length =
        head.to_ascii_lowercase().split("content-length: ").nth(1).unwrap().split("\r\n").next().unwrap().to_owned();
    assert_eq!(body.len().to_string(), length);
    let answer: Value = serde_json::from_str(body).unwrap();
    assert_eq!(answer["brews"].as_array().unwrap().len(), 2);
}
