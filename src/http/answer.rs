//! From body to answer: reads, asks, and writes in the form that `Accept` picks.

use super::body::Body;
use super::negotiate::{Media, choose};
use super::problem::Problem;
use super::rooms::{Question, ask};
use super::wire;
use actix_web::http::header::{self, Accept, Header, QualityItem};
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev::Payload, web};
use std::future::{Ready, ready};
use tokio::sync::Semaphore;

/// What the request's `Accept` header takes; none, or one that cannot be read, counts as anything.
#[derive(Debug, Clone)]
pub struct Accepted(Option<Vec<QualityItem<mime::Mime>>>);

impl FromRequest for Accepted {
    type Error = actix_web::Error;
    type Future = Ready<Result<Self, Self::Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let stands = request.headers().contains_key(header::ACCEPT);
        let ranges = Accept::parse(request).ok().map(|accept| accept.0).filter(|ranges| stands && !ranges.is_empty());
        ready(Ok(Self(ranges)))
    }
}

impl Accepted {
    /// The medium to answer in.
    ///
    /// # Errors
    /// 406 with what is available.
    pub fn choose(&self, available: &[Media]) -> Result<Media, Problem> {
        choose(self.0.as_deref(), available).ok_or_else(|| Problem::not_acceptable(available))
    }
}

/// Large questions computed at the same time, whatever the number of cores: each may take tens of megabytes.
const LARGE_AT_ONCE: usize = 4;
/// Large questions that wait for their turn; more are told to come again.
const LARGE_WAITING: usize = 16;
static LARGE_SLOTS: Semaphore = Semaphore::const_new(LARGE_AT_ONCE);
static LARGE_QUEUE: Semaphore = Semaphore::const_new(LARGE_AT_ONCE + LARGE_WAITING);

/// Bodies above this size are answered off the async workers, so that small questions stay quick meanwhile.
const LARGE: usize = 32 * 1024;

/// How a question is to be answered.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// In which medium.
    pub media: Media,
    /// Which of its tables, where it has several.
    pub table: Option<&'static str>,
}

/// Answers a question.
///
/// # Errors
/// Every problem of the request.
pub async fn respond<Q: Question + 'static>(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    let media = accepted.choose(Q::MEDIA)?;
    let table = body.table(Q::TABLES)?;
    respond_to::<Q>(Form { media, table }, body.into_bytes()).await
}

/// Answers a question whose request is at hand, in one form.
///
/// # Errors
/// Every problem of the request.
pub async fn respond_to<Q: Question + 'static>(form: Form, body: web::Bytes) -> Result<HttpResponse, Problem> {
    let bytes = if is_heavy::<Q>(&body) {
        let _place = LARGE_QUEUE.try_acquire().map_err(|_| Problem::busy())?;
        let _slot = LARGE_SLOTS.acquire().await.map_err(|_| Problem::busy())?;
        web::block(move || written::<Q>(form, &body)).await.map_err(|_| Problem::broken())??
    } else {
        written::<Q>(form, &body)?
    };
    let mut answer = uncached();
    if matches!(form.media, Media::Html | Media::Svg) {
        // It brings its own style and nothing else: no scripts, no pictures, nothing from elsewhere.
        answer.insert_header((header::CONTENT_SECURITY_POLICY, "default-src 'none'; style-src 'unsafe-inline'"));
    }
    Ok(answer.content_type(form.media.header()).body(bytes))
}

/// True if a question is answered off the async workers.
fn is_heavy<Q: Question>(body: &[u8]) -> bool {
    let has = |field| wire::parse(body).is_ok_and(|tree| tree.get(field).is_some());
    Q::HEAVY || body.len() > LARGE || Q::HEAVY_WITH.is_some_and(has)
}

/// Reads, asks and writes.
fn written<Q: Question>(form: Form, body: &[u8]) -> Result<Vec<u8>, Problem> {
    let tree = wire::parse(body).map_err(Problem::syntax)?;
    let answer = ask::<Q>(&tree)?;
    match form.media {
        Media::Csv => Q::table(&answer, form.table).and_then(|rows| csv(&rows)).ok_or_else(Problem::broken),
        Media::Html => Q::page(&answer).map(String::into_bytes).ok_or_else(Problem::broken),
        Media::Svg => Q::chart(&answer).map(String::into_bytes).ok_or_else(Problem::broken),
        Media::Calendar => Q::calendar(&answer).map(String::into_bytes),
        Media::Json | Media::Text => {
            // Room for the usual answer, which is some ten times as long as its request.
            let mut bytes = Vec::with_capacity(4_096 + 12 * body.len());
            serde_json::to_writer(&mut bytes, &answer).map_err(|_| Problem::broken())?;
            Ok(bytes)
        }
    }
}

fn uncached() -> actix_web::HttpResponseBuilder {
    let mut builder = HttpResponse::Ok();
    builder.insert_header((header::CACHE_CONTROL, "no-store"));
    builder
}

/// A text answer that is not kept.
#[must_use]
pub fn text(media: Media, body: String) -> HttpResponse {
    uncached().content_type(media.header()).body(body)
}

/// Rows as CSV (RFC 4180). A text cell that a spreadsheet would take for a formula gets a leading apostrophe.
#[must_use]
pub fn csv(rows: &[Vec<String>]) -> Option<Vec<u8>> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        let guarded = row.iter().map(|cell| {
            let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err();
            if formula { format!("'{cell}") } else { cell.clone() }
        });
        writer.write_record(guarded).ok()?;
    }
    writer.into_inner().ok()
}
