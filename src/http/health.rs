//! Whether the service runs, the pages of the problems, and the document.

use super::etag::cacheable;
use super::in_flight::InFlight;
use super::monitor::{Monitor, Read};
use super::negotiate::Media;
use super::problem::{Kind, MetricsProblems, Problem, ReadyProblems, ReferenceProblems};
use super::resources::respond::Accepted;
use super::settings::MetricsAt;
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Serialize;
use std::sync::LazyLock;
use utoipa::ToSchema;

/// The document as it is committed. A test compares it with the one that the code generates, so that a start does not have
/// to generate it again.
const COMMITTED: &str = include_str!("../../openapi/openapi.json");

/// The document as it is served: the committed one without the white space between its parts.
static SERVED: LazyLock<web::Bytes> = LazyLock::new(|| {
    let document: serde_json::Value = serde_json::from_str(COMMITTED).unwrap_or_default();
    document.to_string().into()
});

/// The service runs.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// Always `ok`, while the service runs.
    pub status: &'static str,
    /// The program and its version.
    pub version: &'static str,
}

fn ok(accepted: &Accepted) -> Result<HttpResponse, Problem> {
    accepted.choose(&[Media::Json])?;
    let body = Health { status: "ok", version: super::output::COMPUTED_WITH };
    Ok(HttpResponse::Ok().insert_header(("cache-control", "no-store")).json(body))
}

/// The process is alive
///
/// Answers as long as the process runs.
#[utoipa::path(tag = "health", operation_id = "health_live", security(()), responses((status = 200, description = "It is alive", body = Health), ReferenceProblems))]
#[get("/health/live")]
pub async fn health_live(accepted: Accepted) -> Result<HttpResponse, Problem> {
    ok(&accepted)
}

/// The service answers questions
///
/// The service holds no state and waits for nothing, so it is ready as soon as it listens, and until it is about to stop.
#[utoipa::path(tag = "health", operation_id = "health_ready", security(()), responses((status = 200, description = "It is ready", body = Health), ReadyProblems))]
#[get("/health/ready")]
pub async fn health_ready(accepted: Accepted, monitor: web::Data<Monitor>) -> Result<HttpResponse, Problem> {
    if monitor.is_stopping() { Err(Problem::stopping()) } else { ok(&accepted) }
}

/// Figures for monitoring
///
/// Durations, sizes and refusals of requests, in the text format of Prometheus. Where the service is run with another address for them, or
/// without them, they are not here.
#[utoipa::path(
    tag = "health", operation_id = "metrics", security(()),
    responses((status = 200, description = "The figures", body = String, content_type = "text/plain"), MetricsProblems)
)]
#[get("/metrics")]
pub async fn metrics(
    accepted: Accepted,
    (monitor, in_flight): (web::Data<Monitor>, InFlight),
    at: web::Data<MetricsAt>,
) -> Result<HttpResponse, Problem> {
    if **at != MetricsAt::Service {
        return Err(Problem::new(Kind::NotFound, "The metrics are not served here."));
    }
    accepted.choose(&[Media::Text])?;
    let ((running, waiting), ready) = (in_flight.long(), !monitor.is_stopping());
    let text = monitor.metrics.text(Read { running, waiting, ready }).map_err(|_| Problem::broken())?;
    let mut answer = HttpResponse::Ok();
    answer.insert_header(("cache-control", "no-store")).content_type("text/plain; version=0.0.4; charset=utf-8");
    Ok(answer.body(text))
}

/// What a problem means
///
/// The page to which the `type` of a problem document leads: what it means and what to do.
#[utoipa::path(
    tag = "reference", operation_id = "explain_problem", security(()),
    params(("slug" = String, Path, description = "The last part of the type", example = "invalid-request")),
    responses(
        (status = 200, description = "The page", body = String, content_type = "text/plain"),
        (status = 404, description = "There is no such problem", body = Problem, content_type = "application/problem+json"),
    )
)]
#[get("/problems/{slug}")]
pub async fn explain_problem(request: HttpRequest, slug: web::Path<String>) -> Result<HttpResponse, Problem> {
    let kind = Kind::find(&slug).ok_or_else(|| {
        let slugs = Kind::ALL.iter().map(|kind| format!("/problems/{}", kind.as_str()));
        Problem::new(Kind::NotFound, "There is no problem with this name.").available(slugs)
    })?;
    let text = format!("{} ({})\n\n{}\n", kind.title(), kind.status().as_u16(), kind.page());
    Ok(cacheable(&request, "text/plain; charset=utf-8", text.into()))
}

/// The document
///
/// This document, as JSON. The page for people is /docs.
#[utoipa::path(tag = "reference", operation_id = "openapi_document", security(()), responses((status = 200, description = "The OpenAPI document", body = serde_json::Value, content_type = "application/json"), ReferenceProblems))]
#[get("/openapi.json")]
pub async fn openapi_document(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    accepted.choose(&[Media::Json])?;
    Ok(cacheable(&request, "application/json", SERVED.clone()))
}
