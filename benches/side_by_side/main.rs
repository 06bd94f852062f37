//! Speed, side by side in one run on one machine: `cargo bench --bench side_by_side`. Ratios matter; times depend on the machine.
//!
//! Every service is a process of its own with one worker, and the same clients ask them in turn.
//!
//! 1. `POST /v1/applications` with four areas, against a bare handler that parses the same body into typed structs and
//!    serialises the same typed answer.
//! 2. The same with 10,000 areas.
//! 3. Balances of more and more demands, over HTTP and in the core: the exponent with which the time grows.
//! 4. Start to first answer, and resident memory at rest and after load.
//! 5. What log and metrics cost, and the 99th percentile of a small question beside ten long ones.
//! 6. Where the time of a small request goes, inside the process; alone with `--inside`.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

mod bare;
mod bodies;
mod clients;
mod processes;

use barrowful::garden::balances::allocation::allocate;
use barrowful::http::resources::applications::Applications;
use barrowful::http::resources::ask::ask;
use barrowful::http::wire::parse;
use clients::{Client, load};
use processes::Process;
use std::hint::black_box;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

const ROUNDS: usize = 7;
const ROUND: Duration = Duration::from_millis(1_000);
/// Lots of every balance here.
const LOTS: usize = 100;
/// Long questions at the same time beside a small one.
const LONG: usize = 10;
/// Small questions of which the 99th percentile is taken.
const SMALL_ONES: usize = 2_000;
/// Requests with 10,000 areas at the same time, before memory is read.
const HEAVY: usize = 8;

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap()
}

/// The median of some runs, in seconds.
fn seconds(runs: usize, mut work: impl FnMut()) -> f64 {
    let timed = (0..runs).map(|_| {
        let start = Instant::now();
        work();
        start.elapsed().as_secs_f64()
    });
    median(timed.collect())
}

fn micros(rounds: u32, mut work: impl FnMut()) -> f64 {
    seconds(ROUNDS, || (0..rounds).for_each(|_| work())) * 1e6 / f64::from(rounds)
}

/// The slope of the times over the sizes, both as logarithms, by least squares.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let logs: Vec<(f64, f64)> = points.iter().map(|(size, time)| (size.ln(), time.ln())).collect();
    let count = f64::from(u32::try_from(logs.len()).unwrap());
    let (x, y) = logs.iter().fold((0.0, 0.0), |(x, y), point| (x + point.0 / count, y + point.1 / count));
    let (above, below) = logs.iter().fold((0.0, 0.0), |(above, below), point| {
        (above + (point.0 - x) * (point.1 - y), below + (point.0 - x) * (point.0 - x))
    });
    above / below
}

/// Requests a second, in turn, as a share of those of the bare handler.
fn small(ours: &Process, bare: &Process) {
    let body = bodies::SMALL.as_bytes();
    let (mut answered, mut rivals) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        rivals.push(load(bare.address, ("/small", body), ROUND));
        answered.push(load(ours.address, ("/v1/applications", body), ROUND));
    }
    let ratios = answered.iter().zip(&rivals).map(|(one, other)| one / other).collect();
    println!("4 areas, bare handler          {:>9.0} requests/s", median(rivals));
    println!(
        "4 areas                        {:>9.0} requests/s, {:.2} of the bare handler",
        median(answered),
        median(ratios)
    );
}

/// Requests a second, in turn, as a share of those without log and metrics.
fn observed(ours: &Process, quiet: &Process) {
    let ask = |process: &Process| load(process.address, ("/v1/applications", bodies::SMALL.as_bytes()), ROUND);
    let ratios = (0..ROUNDS).map(|_| ask(ours) / ask(quiet)).collect();
    println!("with log and metrics           {:>9.3} of the requests/s without", median(ratios));
}

/// The 99th percentile of a small question, in milliseconds, of a caller who waits for each answer.
fn slowest(ours: &Process) -> f64 {
    let mut client = Client::to(ours.address);
    let one = |_| {
        let start = Instant::now();
        client.ask("/v1/applications", bodies::SMALL.as_bytes());
        start.elapsed().as_secs_f64() * 1e3
    };
    let mut times: Vec<f64> = (0..SMALL_ONES).map(one).collect();
    times.sort_by(f64::total_cmp);
    times.get(SMALL_ONES * 99 / 100).copied().unwrap()
}

/// The same alone, and beside callers who ask long questions one after the other.
fn beside(ours: &Process) {
    let alone = slowest(ours);
    let (is_over, body) = (AtomicBool::new(false), bodies::longest());
    let beside = std::thread::scope(|scope| {
        let long = || {
            let mut client = Client::patient(ours.address);
            while !is_over.load(Ordering::Relaxed) {
                client.ask("/v1/seasons", &body);
            }
        };
        (0..LONG).for_each(|_| drop(scope.spawn(long)));
        std::thread::sleep(ROUND);
        let slowest = slowest(ours);
        is_over.store(true, Ordering::Relaxed);
        slowest
    });
    println!(
        "99th percentile alone          {alone:>9.3} ms, beside {LONG} long questions {beside:.3} ms, {:.1} times",
        beside / alone
    );
}

/// The time of one request with 10,000 areas, in turn, as a multiple of that of the bare handler.
fn large(ours: &Process, bare: &Process) {
    let body = bodies::areas(10_000);
    let (mut own, mut other) = (Client::to(ours.address), Client::to(bare.address));
    let one_each = |_| {
        let start = Instant::now();
        let rival = other.ask("/large", &body);
        let then = Instant::now();
        assert_eq!(own.ask("/v1/applications", &body), rival, "both write the same answer");
        then.elapsed().as_secs_f64() / (then - start).as_secs_f64()
    };
    let ratios = (0..ROUNDS).map(one_each).collect();
    println!("10,000 areas                   {:>9.2} times the bare handler", median(ratios));
}

fn growth(ours: &Process) {
    let mut client = Client::to(ours.address);
    let points = [1_250, 2_500, 5_000, 10_000].map(|demands| {
        let body = bodies::balance(LOTS, demands);
        let time = seconds(ROUNDS, || assert!(client.ask("/v1/balances", &body) > 0));
        println!("balance over HTTP, {demands:>6} demands {:>8.2} ms", time * 1e3);
        (f64::from(u32::try_from(demands).unwrap()), time)
    });
    println!("  grows with exponent          {:>9.2}", exponent(&points));
    let points = [12_500, 25_000, 50_000, 100_000].map(|demands| {
        let (lots, asked) = bodies::shares(LOTS, demands);
        let time = seconds(3, || drop(black_box(allocate(&lots, &asked))));
        println!("balance in the core, {demands:>6} demands {:>6.2} ms", time * 1e3);
        (f64::from(u32::try_from(demands).unwrap()), time)
    });
    println!("  grows with exponent          {:>9.2}", exponent(&points));
}

/// Of a service that was just started, after its first answer, and after load.
fn memory(ours: &Process) {
    let (at_rest, address) = (ours.megabytes(), ours.address);
    println!("resident memory at rest        {at_rest:>9.1} MB");
    Client::to(address).ask("/v1/applications", bodies::SMALL.as_bytes());
    println!("  after the first answer       {:>9.1} MB", ours.megabytes());
    let heavy: Vec<_> = (0..HEAVY)
        .map(|_| {
            std::thread::spawn(move || {
                let body = bodies::areas(10_000);
                (0..3).for_each(|_| assert!(Client::to(address).ask("/v1/applications", &body) > 0));
            })
        })
        .collect();
    heavy.into_iter().for_each(|client| client.join().unwrap());
    std::thread::sleep(Duration::from_secs(3));
    println!("  after load                   {:>9.1} MB, {:+.1} MB", ours.megabytes(), ours.megabytes() - at_rest);
}

/// Reading, computing and writing inside the process.
fn inside(rounds: u32) {
    let bytes = bodies::SMALL.as_bytes();
    let of = |what: &str, work: &mut dyn FnMut()| println!("{what:<30} {:>9.2} us", micros(rounds, work));
    of("bare read", &mut || drop(black_box(serde_json::from_slice::<bare::Request>(bytes))));
    of("parse to tree", &mut || drop(black_box(parse(bytes))));
    let tree = parse(bytes).unwrap();
    of("read and compute", &mut || drop(black_box(ask::<Applications>(&tree))));
    let answer = ask::<Applications>(&tree).unwrap();
    of("write JSON", &mut || drop(black_box(serde_json::to_vec(&answer))));
}

fn main() {
    let has = |name: &str| std::env::args().any(|argument| argument == name);
    if let Some(port) = processes::port_of_bare() {
        return bare::serve(port);
    }
    if has("--inside") {
        return inside(2_000);
    }
    let start = Instant::now();
    let ours = Process::ours();
    Client::to(ours.address).ask("/v1/applications", bodies::SMALL.as_bytes());
    println!("start to first answer          {:>9.1} ms", start.elapsed().as_secs_f64() * 1e3);
    let bare = Process::bare();
    small(&ours, &bare);
    inside(5_000);
    large(&ours, &bare);
    growth(&ours);
    observed(&ours, &Process::quiet());
    beside(&ours);
    memory(&Process::ours());
}
