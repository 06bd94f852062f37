//! The bytes of a body, after its headers were checked.

use super::limits::MAX_BODY;
use super::problem::{Kind, Problem};
use super::wire::{FaultCode, Faults, Node, Place};
use actix_web::error::PayloadError;
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest, dev::Payload, web};
use std::future::Future;
use std::pin::Pin;
use std::time::Duration;
use tokio::time::timeout;

/// A body that was declared as JSON and is not too large.
#[derive(Debug)]
pub struct Body(web::Bytes);

impl Body {
    /// The bytes, decompressed.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }
}

impl FromRequest for Body {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        if let Err(problem) = without_query(request).and_then(|()| declared_as_json(request)) {
            return Box::pin(std::future::ready(Err(problem)));
        }
        let bytes = timeout(SLOWEST, web::Bytes::from_request(request, payload));
        Box::pin(async move {
            let arrived = bytes.await.map_err(|_| too_slow())?;
            arrived.map(Self).map_err(|error| refused(&error))
        })
    }
}

/// The longest that a body may take to arrive.
const SLOWEST: Duration = Duration::from_secs(30);

fn too_slow() -> Problem {
    Problem::new(Kind::TooSlow, "The body did not arrive within 30 seconds; send it again.")
}

/// A question that is asked with a body takes no parameters: one that is dropped silently would mislead.
fn without_query(request: &HttpRequest) -> Result<(), Problem> {
    if request.query_string().is_empty() {
        return Ok(());
    }
    let faults = Faults::query();
    for pair in request.query_string().split('&').filter(|pair| !pair.is_empty()) {
        let name = pair.split('=').next().unwrap_or_default();
        let detail = "A question that is asked with a body takes no parameters: put this into the body.";
        faults.push(Place::root().field(name), FaultCode::UnknownParameter, detail);
    }
    if faults.is_empty() { Ok(()) } else { Err(Problem::faults(faults, &Node::Null)) }
}

fn declared_as_json(request: &HttpRequest) -> Result<(), Problem> {
    let refuse = |detail: String| Err(Problem::new(Kind::UnsupportedMediaType, detail).available(["application/json"]));
    let Some(value) = request.headers().get(header::CONTENT_TYPE) else {
        return refuse("Add the header \"Content-Type: application/json\".".to_owned());
    };
    let Ok(mime) = value.to_str().unwrap_or_default().parse::<mime::Mime>() else {
        return refuse("The header Content-Type cannot be read; send \"Content-Type: application/json\".".to_owned());
    };
    if mime.essence_str() != "application/json" {
        return refuse(format!(
            "The body is declared as {}; send \"Content-Type: application/json\".",
            mime.essence_str()
        ));
    }
    match mime.get_param("charset") {
        Some(charset) if charset != "utf-8" => {
            refuse(format!("The body is declared in {charset}; JSON is read in UTF-8 only."))
        }
        _ => encoding(request),
    }
}

/// The content encodings that are undone before the body is read.
fn encoding(request: &HttpRequest) -> Result<(), Problem> {
    match request.headers().get(header::CONTENT_ENCODING).map(|v| v.to_str().unwrap_or("?").trim().to_ascii_lowercase())
    {
        None => Ok(()),
        Some(name) if ["identity", "gzip", "deflate", "br"].contains(&name.as_str()) => Ok(()),
        Some(_) => {
            let detail = "The content encoding is not known here; send the body plain, or as gzip, deflate or br.";
            Err(Problem::new(Kind::UnsupportedMediaType, detail).available(["identity", "gzip", "deflate", "br"]))
        }
    }
}

fn refused(error: &actix_web::Error) -> Problem {
    match error.as_error::<PayloadError>() {
        Some(PayloadError::Overflow | PayloadError::UnknownLength) => too_large(),
        _ if error.as_response_error().status_code() == actix_web::http::StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        _ => Problem::new(Kind::NotJson, "The body broke off or its encoding is damaged; send it again."),
    }
}

fn too_large() -> Problem {
    Problem::new(
        Kind::TooLarge,
        format!("The body may have {MAX_BODY} bytes, after decompression too; split the request."),
    )
}
