//! `POST /v1/batch`: many questions in one stream, one on each line.

mod bodies;
mod document;
mod line;
mod stream;

use crate::http::body::declared_as_lines;
use crate::http::in_flight::InFlight;
use crate::http::monitor::Monitor;
use crate::http::negotiate::Media;
use crate::http::present::options::refuse_all;
use crate::http::problem::{BatchProblems, Problem};
use crate::http::resources::respond::{Accepted, uncached};
use actix_web::{HttpRequest, HttpResponse, post, web};

/// Answers many questions in one stream
///
/// One question on each line: `{"id": "bed 7", "ask": "applications", "body": {...}}`. One answer on each line, in the same order:
/// `{"line": 1, "id": "bed 7", "status": 200, "body": {...}}`, or with `problem` in place of `body`. A line that is refused does not stop
/// those after it. Empty lines are skipped. The last line is `{"end": true, "lines": 2, "refused": 0}`; without it the stream was cut. Then,
/// and after `"end": false`, send the lines that have no answer again. Each line has the limits of a request. Answers come while lines are
/// sent, so read while you send.
#[utoipa::path(
    tag = "batch",
    operation_id = "answer_batch",
    request_body(
        content = inline(document::Questions), content_type = "application/x-ndjson",
        description = "Lines of JSON in UTF-8. There is no limit on their total length.",
        example = "{\"id\":\"bed 7\",\"ask\":\"applications\",\"body\":{\"areas\":[{\"surface\":{\"kind\":\"area\",\"area\":\"2 m2\"},\"rate\":{\"kind\":\"depth\",\"amount\":\"1 cm\"}}]}}\n",
    ),
    responses(
        (status = 200, description = "An answer to each line that was sent, then the line that ends them",
         content((inline(document::Answers) = "application/x-ndjson"))),
        BatchProblems,
    )
)]
#[post("/v1/batch")]
pub async fn answer_batch(
    accepted: Accepted,
    request: HttpRequest,
    payload: web::Payload,
    (in_flight, monitor): (InFlight, web::Data<Monitor>),
) -> Result<HttpResponse, Problem> {
    let media = accepted.choose(&[Media::Lines])?;
    declared_as_lines(&request)?;
    refuse_all(request.query_string())?;
    Ok(uncached().content_type(media.header()).streaming(stream::answers(payload, &in_flight, monitor)))
}
