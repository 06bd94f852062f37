//! Figures for monitoring, in the text format of Prometheus. Names of HTTP figures are those of OpenTelemetry's conventions.

use super::panics;
use prometheus::core::Collector;
use prometheus::{
    HistogramOpts, HistogramVec, IntCounter, IntCounterVec, IntGauge, IntGaugeVec, Opts, Registry, TextEncoder,
};
use std::time::Duration;

/// Upper ends of the classes of durations, in seconds: from a tenth of what a small question takes to the longest deadline in use.
const SECONDS: &[f64] =
    &[0.000_25, 0.000_5, 0.001, 0.002_5, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0];
/// Upper ends of the classes of sizes, in bytes: powers of four from 256 bytes to 64 MiB.
const BYTES: &[f64] =
    &[256.0, 1_024.0, 4_096.0, 16_384.0, 65_536.0, 262_144.0, 1_048_576.0, 4_194_304.0, 16_777_216.0, 67_108_864.0];
/// The labels of a request.
const REQUEST: &[&str] = &["http_request_method", "http_route", "http_response_status_code"];

/// The figures of one service.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    durations: HistogramVec,
    received: HistogramVec,
    sent: HistogramVec,
    active: IntGauge,
    refusals: IntCounterVec,
    panics: IntCounter,
    long_questions: IntGaugeVec,
    ready: IntGauge,
}

/// What is read when the figures are asked for.
#[derive(Debug, Clone, Copy)]
pub struct Read {
    /// Long questions that are being computed.
    pub running: usize,
    /// Long questions that wait for their turn.
    pub waiting: usize,
    /// Whether the service is ready.
    pub ready: bool,
}

/// A request that is over.
#[derive(Debug, Clone, Copy)]
pub struct Ended<'e> {
    /// The method.
    pub method: &'e str,
    /// The template of the path.
    pub route: &'e str,
    /// The status, or `none` where the caller hung up before it.
    pub status: &'e str,
    /// The time from its headers to the end of the answer.
    pub took: Duration,
    /// The bytes of its body.
    pub received: u64,
    /// The bytes of the answer's body.
    pub sent: u64,
    /// Why it was refused.
    pub reason: Option<&'e str>,
}

/// Makes figures and enters them.
struct Maker(Registry);

impl Maker {
    fn entered<C: Collector + Clone + 'static>(&self, made: prometheus::Result<C>) -> prometheus::Result<C> {
        let made = made?;
        self.0.register(Box::new(made.clone()))?;
        Ok(made)
    }

    /// By the template of the path alone: classes times methods times statuses would be too many.
    fn histogram(&self, name: &str, help: &str, classes: &[f64]) -> prometheus::Result<HistogramVec> {
        self.entered(HistogramVec::new(HistogramOpts::new(name, help).buckets(classes.to_vec()), &["http_route"]))
    }

    fn gauge(&self, name: &str, help: &str) -> prometheus::Result<IntGauge> {
        self.entered(IntGauge::new(name, help))
    }
}

impl Metrics {
    /// The figures of a service that starts.
    ///
    /// # Errors
    /// When two figures have one name.
    pub fn new() -> prometheus::Result<Self> {
        let make = Maker(Registry::new());
        let version = Opts::new("barrowful_build_info", "Always 1; the version is the label.");
        make.entered(IntGauge::with_opts(version.const_label("version", env!("CARGO_PKG_VERSION"))))?.set(1);
        let took = "Time from the headers of a request to the end of its answer.";
        let refused = "Requests, and lines of batches, that were refused, by the last part of the type of the problem; hung-up before, or cut-off within the answer.";
        let long = "Long questions that are being computed (running), and that wait for their turn (waiting).";
        let answered = Opts::new(
            "barrowful_requests_total",
            "Requests that were answered, or none where the caller hung up before.",
        );
        Ok(Self {
            requests: make.entered(IntCounterVec::new(answered, REQUEST))?,
            durations: make.histogram("http_server_request_duration_seconds", took, SECONDS)?,
            received: make.histogram(
                "http_server_request_body_size_bytes",
                "Bytes of request bodies as received.",
                BYTES,
            )?,
            sent: make.histogram("http_server_response_body_size_bytes", "Bytes of answers as sent.", BYTES)?,
            active: make.gauge("http_server_active_requests", "Requests whose answer is not complete.")?,
            refusals: make.entered(IntCounterVec::new(Opts::new("barrowful_refusals_total", refused), &["reason"]))?,
            panics: make.entered(IntCounter::new("barrowful_panics_total", "Panics, in whatever thread."))?,
            long_questions: make.entered(IntGaugeVec::new(Opts::new("barrowful_long_questions", long), &["state"]))?,
            ready: make.gauge("barrowful_ready", "1 while the service is ready, 0 once it is about to stop.")?,
            registry: make.0,
        })
    }

    /// Notes that a request has started.
    pub fn begin(&self) {
        self.active.inc();
    }

    /// The requests whose answer is not complete.
    #[must_use]
    pub fn active(&self) -> i64 {
        self.active.get()
    }

    /// Notes a request that is over.
    pub fn end(&self, ended: &Ended<'_>) {
        self.active.dec();
        self.requests.with_label_values(&[ended.method, ended.route, ended.status]).inc();
        self.durations.with_label_values(&[ended.route]).observe(ended.took.as_secs_f64());
        self.received.with_label_values(&[ended.route]).observe(bytes(ended.received));
        self.sent.with_label_values(&[ended.route]).observe(bytes(ended.sent));
        if let Some(reason) = ended.reason {
            self.refused(reason);
        }
    }

    /// Notes that a request, or a line of a batch, is refused.
    pub fn refused(&self, reason: &str) {
        self.refusals.with_label_values(&[reason]).inc();
    }

    /// Every figure as text.
    ///
    /// # Errors
    /// When the text cannot be written.
    pub fn text(&self, read: Read) -> prometheus::Result<String> {
        self.panics.inc_by(panics::count().saturating_sub(self.panics.get()));
        for (state, count) in [("running", read.running), ("waiting", read.waiting)] {
            self.long_questions.with_label_values(&[state]).set(i64::try_from(count).unwrap_or(i64::MAX));
        }
        self.ready.set(i64::from(read.ready));
        let mut text = String::new();
        TextEncoder::new().encode_utf8(&self.registry.gather(), &mut text)?;
        Ok(text)
    }
}

/// As a figure; sizes up to the limits of bodies are exact.
fn bytes(count: u64) -> f64 {
    u32::try_from(count).map_or(f64::from(u32::MAX), f64::from)
}
