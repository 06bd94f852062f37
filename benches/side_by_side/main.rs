//! Speed, side by side in one run on one machine: `cargo bench`. Ratios matter; times depend on the machine.
//!
//! 1. `POST /v1/applications` with four areas, against a bare actix handler that parses the same body into typed structs and
//!    returns an equally long fixed answer. Both have one worker; the same clients ask both in turn.
//! 2. Reading, computing and writing inside the process.
//! 3. A balance of 1,000 demands over 50 lots.
//! 4. Start to first answer, and resident memory at rest.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use actix_web::{App, HttpResponse, HttpServer, web};
use barrowful::garden::balances::allocation::{Demand, Lot, Window, allocate};
use barrowful::garden::units::Millilitres;
use barrowful::http::resources::applications::Applications;
use barrowful::http::resources::ask::ask;
use barrowful::http::serve::Running;
use barrowful::http::settings::Settings;
use barrowful::http::wire::parse;
use serde::Deserialize;
use std::hint::black_box;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

const BODY: &str = include_str!("../demo-data/applications/kitchen-garden.json");
const CLIENTS: usize = 8;
const ROUNDS: usize = 7;
const ROUND: Duration = Duration::from_millis(1_500);

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct Bare {
    containers: Vec<BareMeasure>,
    areas: Vec<BareArea>,
}

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct BareMeasure {
    name: String,
    holds: String,
}

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct BareArea {
    name: String,
    surface: BareSurface,
    rate: BareRate,
}

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(dead_code, reason = "only its reading costs")]
enum BareSurface {
    Rows { count: u32, length: String, band: String },
    Rectangle { length: String, width: String },
    Plants { count: u32 },
    Pots { count: u32, volume: String },
}

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct BareRate {
    kind: String,
    amount: String,
}

async fn bare(answer: web::Data<Vec<u8>>, body: web::Json<Bare>) -> HttpResponse {
    black_box(&body.0);
    HttpResponse::Ok().content_type("application/json").body(answer.get_ref().clone())
}

fn start_bare(answer: Vec<u8>) -> SocketAddr {
    let (tell, reported) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async {
            let answer = web::Data::new(answer);
            let server = HttpServer::new(move || {
                App::new()
                    .app_data(answer.clone())
                    .service(web::resource("/v1/applications").route(web::post().to(bare)))
            })
            .workers(1)
            .bind(("127.0.0.1", 0))
            .unwrap();
            tell.send(server.addrs().first().copied().unwrap()).unwrap();
            server.run().await.unwrap();
        });
    });
    reported.recv().unwrap()
}

fn request() -> Vec<u8> {
    let head =
        "POST /v1/applications HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: ";
    format!("{head}{}\r\n\r\n{BODY}", BODY.len()).into_bytes()
}

/// Sends one request and reads one answer; returns the answer's length.
fn exchange(stream: &mut TcpStream, request: &[u8], buffer: &mut Vec<u8>) -> usize {
    stream.write_all(request).unwrap();
    buffer.clear();
    let mut chunk = [0_u8; 65_536];
    loop {
        let read = stream.read(&mut chunk).unwrap();
        buffer.extend_from_slice(chunk.get(..read).unwrap());
        if let Some(head) = buffer.windows(4).position(|w| w == b"\r\n\r\n") {
            let text = String::from_utf8_lossy(buffer.get(..head).unwrap()).to_ascii_lowercase();
            let length: usize =
                text.split("content-length: ").nth(1).unwrap().split("\r\n").next().unwrap().parse().unwrap();
            if buffer.len() >= head + 4 + length {
                assert!(text.starts_with("http/1.1 200"), "{text}");
                return length;
            }
        }
    }
}

/// Requests a second that the clients get answered.
fn load(address: SocketAddr) -> f64 {
    let clients: Vec<_> = (0..CLIENTS)
        .map(|_| {
            std::thread::spawn(move || {
                let (request, mut buffer) = (request(), Vec::new());
                let mut stream = TcpStream::connect(address).unwrap();
                stream.set_nodelay(true).unwrap();
                let (start, mut count) = (Instant::now(), 0_u32);
                while start.elapsed() < ROUND {
                    exchange(&mut stream, &request, &mut buffer);
                    count += 1;
                }
                f64::from(count) / start.elapsed().as_secs_f64()
            })
        })
        .collect();
    clients.into_iter().map(|c| c.join().unwrap()).sum()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap()
}

fn micros(rounds: u32, mut work: impl FnMut()) -> f64 {
    let runs = (0..ROUNDS).map(|_| {
        let start = Instant::now();
        (0..rounds).for_each(|_| work());
        start.elapsed().as_secs_f64() * 1e6 / f64::from(rounds)
    });
    median(runs.collect())
}

fn balance() -> (Vec<Lot>, Vec<Demand>) {
    let mut state = 7_u64;
    let mut next = |below: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % below
    };
    let start = chrono::NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
    let day = |n: u64| start + chrono::Days::new(n);
    let lots = (0..50).map(|_| {
        let first = next(250);
        let last = (next(2) == 0).then(|| day(first + 10 + next(60)));
        Lot {
            amount: Millilitres::new(20_000 + next(200_000)),
            window: Window { first: Some(day(first)), last },
            ..Lot::default()
        }
    });
    let lots: Vec<_> = lots.collect();
    let demands = (0..1_000).map(|_| {
        let first = next(300);
        let window = Window { first: Some(day(first)), last: Some(day(first + next(30))) };
        let priority = u8::try_from(1 + next(3)).unwrap();
        Demand {
            amount: Millilitres::new(500 + next(12_000)),
            window,
            priority,
            portions: None,
            eligibility: Default::default(),
        }
    });
    (lots, demands.collect())
}

fn resident_megabytes() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmRSS")).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|kb| kb.parse::<f64>().ok()).unwrap_or(f64::NAN) / 1024.0
}

/// Reading, computing and writing inside the process.
fn inside(rounds: u32) {
    let bytes = BODY.as_bytes();
    println!(
        "bare read                      {:>9.2} us",
        micros(rounds, || drop(black_box(serde_json::from_slice::<Bare>(bytes))))
    );
    println!("parse to tree                  {:>9.2} us", micros(rounds, || drop(black_box(parse(bytes)))));
    let tree = parse(bytes).unwrap();
    println!(
        "read, compute, present         {:>9.2} us",
        micros(rounds, || drop(black_box(ask::<Applications>(&tree))))
    );
    let answer = ask::<Applications>(&tree).unwrap();
    println!(
        "write JSON                     {:>9.2} us",
        micros(rounds, || drop(black_box(serde_json::to_vec(&answer))))
    );
}

fn main() {
    if std::env::args().any(|argument| argument == "--inside") {
        return inside(2_000);
    }
    let start = Instant::now();
    let service = Running::start(Settings::local()).unwrap();
    let address: SocketAddr = service.url().trim_start_matches("http://").parse().unwrap();
    let mut stream = TcpStream::connect(address).unwrap();
    let length = exchange(&mut stream, &request(), &mut Vec::new());
    println!("start to first answer          {:>9.1} ms", start.elapsed().as_secs_f64() * 1e3);
    println!("resident memory at rest        {:>9.1} MB (one worker)", resident_megabytes());
    println!("answer                         {length:>9} bytes");

    let bare = start_bare(vec![b' '; length]);
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        theirs.push(load(bare));
        ours.push(load(address));
    }
    let (ours, theirs) = (median(ours), median(theirs));
    println!("bare handler                   {theirs:>9.0} requests/s");
    println!("POST /v1/applications, 4 areas {ours:>9.0} requests/s, {:.2} of the bare handler", ours / theirs);

    inside(20_000);
    let (lots, demands) = balance();
    let took = micros(20, || drop(black_box(allocate(&lots, &demands)))) / 1e3;
    println!("balance, 1,000 demands, 50 lots{took:>9.2} ms");
}
