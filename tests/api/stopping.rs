//! Stopping: readiness first, then in order within a time, at once on a second signal.

use crate::process::Process;
use crate::support::{Answer, bed, demo, send, with};
use reqwest::Method;
use rustix::process::Signal;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

fn get(base: &str, path: &str) -> Answer {
    send(base, (Method::GET, path), &[], Vec::new())
}

/// Asks for a season of so many runs, in a thread of its own, and waits until it is computed.
fn long_question(base: &str, runs: u32) -> JoinHandle<Result<u16, String>> {
    let body = with(&demo("seasons/kitchen-garden.json"), "/simulation_runs", runs.into()).to_string();
    let url = format!("{base}/v1/seasons");
    let asked = std::thread::spawn(move || {
        let client = reqwest::blocking::Client::builder().no_proxy().timeout(None).build().unwrap();
        let sent = client.post(url).header("content-type", "application/json").body(body).send();
        let response = sent.map_err(|error| error.to_string())?;
        let status = response.status().as_u16();
        response.bytes().map(|_| status).map_err(|error| error.to_string())
    });
    let running = "barrowful_long_questions{state=\"running\"} 1";
    let until = Instant::now() + crate::process::PATIENCE;
    while !get(base, "/metrics").text().contains(running) {
        assert!(!asked.is_finished() && Instant::now() < until, "the question was answered too soon");
        std::thread::sleep(Duration::from_millis(5));
    }
    asked
}

/// A connection that is kept, on which requests are sent by hand.
struct Kept(BufReader<TcpStream>);

impl Kept {
    fn open(base: &str) -> Self {
        let stream = TcpStream::connect(base.trim_start_matches("http://")).unwrap();
        stream.set_read_timeout(Some(crate::process::PATIENCE)).unwrap();
        Self(BufReader::new(stream))
    }

    /// Sends a request and returns the head of the answer in small letters, after its body was read.
    fn ask(&mut self) -> String {
        let body = bed().to_string();
        let length = body.len();
        let head = format!(
            "POST /v1/applications HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: {length}\r\n\r\n"
        );
        self.0.get_mut().write_all(format!("{head}{body}").as_bytes()).unwrap();
        let mut head = String::new();
        while !head.ends_with("\r\n\r\n") {
            assert_ne!(self.0.read_line(&mut head).unwrap(), 0, "{head}");
        }
        let head = head.to_ascii_lowercase();
        let length = head.split("content-length: ").nth(1).unwrap().lines().next().unwrap().parse().unwrap();
        self.0.read_exact(&mut vec![0; length]).unwrap();
        head
    }

    fn is_closed(&mut self) -> bool {
        self.0.read(&mut [0]).unwrap() == 0
    }
}

#[test]
fn readiness_turns_first_and_requests_are_answered_meanwhile() {
    for signal in [Signal::TERM, Signal::INT] {
        let mut process = Process::start(&["--drain", "3", "--log", "text"]);
        let base = process.url.clone();
        let (mut kept, mut idle) = (Kept::open(&base), Kept::open(&base));
        assert!(!kept.ask().contains("connection: close") && !idle.ask().contains("connection: close"));
        assert_eq!(get(&base, "/health/ready").status, 200);
        process.signal(signal);
        process.line(|line| line.contains("stopping"));
        let ready = loop {
            let ready = get(&base, "/health/ready");
            if ready.status != 200 {
                break ready;
            }
        };
        assert_eq!(ready.status, 503);
        assert_eq!(ready.json()["type"], "/problems/stopping");
        assert!(!ready.header("retry-after").is_empty());
        assert_eq!(get(&base, "/health/live").status, 200);
        assert!(get(&base, "/metrics").text().contains("barrowful_ready 0"));
        let reported = kept.ask();
        assert!(reported.starts_with("http/1.1 200") && reported.contains("connection: close"), "{reported}");
        assert!(kept.is_closed());
        assert_eq!(process.end(), 0);
        assert!(idle.is_closed());
        assert!(process.read.iter().any(|line| line.contains("stopped")), "{:#?}", process.read);
    }
}

#[test]
fn a_request_that_was_taken_is_answered_before_the_end() {
    let mut process = Process::start(&["--deadline", "600", "--stop-within", "60"]);
    let asked = long_question(&process.url, 2_000);
    process.terminate();
    process.line(|line| line.contains("stopping"));
    assert_eq!(asked.join().unwrap(), Ok(200));
    assert_eq!(process.end(), 0);
    assert!(TcpStream::connect(process.url.trim_start_matches("http://")).is_err());
}

#[test]
fn a_second_signal_stops_at_once() {
    for flags in [&["--drain", "600"][..], &["--stop-within", "600"]] {
        let mut process = Process::start(&[flags, &["--deadline", "600"]].concat());
        let asked = long_question(&process.url, 100_000);
        process.terminate();
        process.line(|line| line.contains("stopping"));
        process.signal(Signal::INT);
        assert_eq!(process.end(), 1);
        assert!(process.read.iter().any(|line| line.contains("before every request was answered")));
        assert!(asked.join().unwrap().is_err());
    }
    let mut idle = Process::start(&["--drain", "600"]);
    idle.terminate();
    idle.line(|line| line.contains("stopping"));
    idle.terminate();
    assert_eq!(idle.end(), 0, "nothing was cut off");
}

#[test]
fn what_takes_longer_than_the_time_for_stopping_is_cut_off() {
    let mut process = Process::start(&["--deadline", "600", "--stop-within", "0.2"]);
    let asked = long_question(&process.url, 100_000);
    process.terminate();
    assert_eq!(process.end(), 1);
    assert!(asked.join().unwrap().is_err());
}
