//! From body to answer: reads, asks, and writes in the form that `Accept` picks.

use super::body::Body;
use super::negotiate::{Media, choose};
use super::problem::Problem;
use super::rooms::{Question, ask};
use super::wire;
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev::Payload};
use std::future::{Ready, ready};

/// The request's `Accept` header; none counts as anything.
#[derive(Debug, Clone)]
pub struct Accepted(Option<String>);

impl FromRequest for Accepted {
    type Error = actix_web::Error;
    type Future = Ready<Result<Self, Self::Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let lines: Vec<&str> = request.headers().get_all(header::ACCEPT).filter_map(|v| v.to_str().ok()).collect();
        ready(Ok(Self((!lines.is_empty()).then(|| lines.join(",")))))
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

/// Answers a question.
///
/// # Errors
/// Every problem of the request.
pub fn respond<Q: Question>(accepted: Accepted, body: &Body) -> Result<HttpResponse, Problem> {
    let media = accepted.choose(media::<Q>())?;
    let tree = wire::parse(body.bytes()).map_err(Problem::syntax)?;
    let answer = ask::<Q>(&tree)?;
    Ok(match media {
        Media::Csv => text(Media::Csv, csv(&Q::table(&answer).unwrap_or_default())),
        _ => match serde_json::to_vec(&answer) {
            Ok(bytes) => uncached().content_type(Media::Json.header()).body(bytes),
            Err(_) => return Err(Problem::broken()),
        },
    })
}

/// The media in which a question is answered.
fn media<Q: Question>() -> &'static [Media] {
    if Q::NAME == "brews" { &[Media::Json] } else { &[Media::Json, Media::Csv] }
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
pub fn csv(rows: &[Vec<String>]) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        let guarded = row.iter().map(|cell| {
            let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err();
            if formula { format!("'{cell}") } else { cell.clone() }
        });
        if writer.write_record(guarded).is_err() {
            break;
        }
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}
