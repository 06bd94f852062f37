//! Problem documents (RFC 9457): every refusal in one form, whatever `Accept` says.

use super::input::capital;
use super::limits::MAX_FAULTS;
use super::negotiate::Media;
use super::output::Number;
use super::wire::{Fault, Faults, Node, SyntaxFault, Where};
use actix_web::http::{StatusCode, header};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use std::fmt;
use utoipa::ToSchema;

/// The kinds of problem. The list is closed; each has a page at `/problems/<slug>`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// 400.
    NotJson,
    /// 401.
    NoToken,
    /// 403.
    OriginRefused,
    /// 404.
    NotFound,
    /// 405.
    MethodNotAllowed,
    /// 406.
    NotAcceptable,
    /// 408.
    TooSlow,
    /// 413.
    TooLarge,
    /// 415.
    UnsupportedMediaType,
    /// 422.
    InvalidRequest,
    /// 500.
    Broken,
    /// 503.
    Busy,
}

impl Kind {
    /// Every kind.
    pub const ALL: &'static [Self] = &[
        Self::NotJson,
        Self::NoToken,
        Self::OriginRefused,
        Self::NotFound,
        Self::MethodNotAllowed,
        Self::NotAcceptable,
        Self::TooSlow,
        Self::TooLarge,
        Self::UnsupportedMediaType,
        Self::InvalidRequest,
        Self::Broken,
        Self::Busy,
    ];

    /// The last part of the type.
    #[must_use]
    pub const fn slug(self) -> &'static str {
        self.text().0
    }

    /// The title.
    #[must_use]
    pub const fn title(self) -> &'static str {
        self.text().1
    }

    /// What it means and how to mend it, for its page.
    #[must_use]
    pub const fn page(self) -> &'static str {
        self.text().2
    }

    #[expect(clippy::too_many_lines, reason = "a list with an entry for each kind")]
    const fn text(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::NotJson => (
                "not-json",
                "The body is not one JSON document",
                "The body must be exactly one JSON document in UTF-8. The answer says at which line and column reading stopped. \
                 Common causes: an empty body, a missing comma or bracket, text after the end, NaN or Infinity, another encoding.",
            ),
            Self::NoToken => (
                "no-token",
                "A token is needed",
                "This service was started with a token. Send the header \"Authorization: Bearer\" followed by the token.",
            ),
            Self::OriginRefused => (
                "origin-refused",
                "Pages of this origin may not call the service",
                "A browser asked whether a page of another origin may call this service, and it may not, or not with this \
                 method or header. Whoever runs the service names the origins (BARROWFUL_ORIGINS).",
            ),
            Self::NotFound => (
                "not-found",
                "There is nothing at this address",
                "The path is none of those in the document (/openapi.json). The answer names the nearest one.",
            ),
            Self::MethodNotAllowed => (
                "method-not-allowed",
                "This address takes another method",
                "The Allow header lists the methods that this address takes. Questions are asked with POST.",
            ),
            Self::NotAcceptable => (
                "not-acceptable",
                "This answer is not available in the form asked for",
                "The Accept header excludes every form in which this answer is available; the answer lists them.",
            ),
            Self::TooSlow => (
                "too-slow",
                "The body came too slowly",
                "The connection was idle too long before the body was complete. Send it again.",
            ),
            Self::TooLarge => (
                "too-large",
                "The body is too large",
                "The body may have 4 MiB, after decompression too. Split the request, or see GET /v1/limits.",
            ),
            Self::UnsupportedMediaType => (
                "unsupported-media-type",
                "The body is not declared as JSON",
                "Send the header \"Content-Type: application/json\". The only charset is UTF-8; content encodings are gzip, \
                 deflate and br.",
            ),
            Self::InvalidRequest => (
                "invalid-request",
                "The request cannot be computed as it stands",
                "Every fault is listed under errors, in the order of the request: where it is (a JSON pointer into the body, or \
                 a parameter of the query), what it is, and how to mend it. Nothing was dropped, guessed or rounded.",
            ),
            Self::Broken => (
                "broken",
                "The service failed",
                "This is a fault of the service, not of the request. Please report it with the request that caused it.",
            ),
            Self::Busy => (
                "busy",
                "The service is busy",
                "Send the request again after the seconds in the Retry-After header; nothing was changed.",
            ),
        }
    }

    /// The status.
    #[must_use]
    pub const fn status(self) -> StatusCode {
        match self {
            Self::NotJson => StatusCode::BAD_REQUEST,
            Self::NoToken => StatusCode::UNAUTHORIZED,
            Self::OriginRefused => StatusCode::FORBIDDEN,
            Self::NotFound => StatusCode::NOT_FOUND,
            Self::MethodNotAllowed => StatusCode::METHOD_NOT_ALLOWED,
            Self::NotAcceptable => StatusCode::NOT_ACCEPTABLE,
            Self::TooSlow => StatusCode::REQUEST_TIMEOUT,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::UnsupportedMediaType => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::InvalidRequest => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Broken => StatusCode::INTERNAL_SERVER_ERROR,
            Self::Busy => StatusCode::SERVICE_UNAVAILABLE,
        }
    }
}

/// A problem document.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct Problem {
    /// Which kind of problem: the address of a page of this service that explains it.
    #[serde(rename = "type")]
    #[schema(schema_with = crate::http::output::words::problem_types)]
    kind: String,
    /// The kind in words.
    title: &'static str,
    /// The status of the answer.
    #[schema(minimum = 400, maximum = 599)]
    status: u16,
    /// This case in words.
    detail: String,
    /// What would be accepted: methods, media types, paths.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    available: Vec<String>,
    /// Every fault, in the order of the request; at most 100.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    errors: Vec<ErrorOut>,
    /// How many faults there are in all.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    errors_total: Option<usize>,
    #[serde(skip)]
    code: u16,
}

/// One fault.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Fault)]
pub struct ErrorOut {
    /// `body`, `query` or `csv`.
    #[schema(schema_with = crate::http::output::words::fault_places)]
    at: &'static str,
    /// In the body: the place as a JSON pointer (RFC 6901); for a missing field the place where it belongs.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pointer: Option<String>,
    /// In the query: the parameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    parameter: Option<String>,
    /// Where reading stopped: the line, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    line: Option<usize>,
    /// Where reading stopped: the column, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    column: Option<usize>,
    /// The kind of fault; the list is in the description of the document.
    #[schema(schema_with = crate::http::output::words::fault_codes)]
    code: String,
    /// What is wrong and how to mend it.
    detail: String,
    /// The accepted word nearest to the one given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    nearest: Option<String>,
    /// The accepted words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    allowed: Vec<String>,
    /// The smallest value accepted, in the unit that the detail names.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<f64>, nullable = false)]
    min: Option<Number>,
    /// The largest value accepted, in the unit that the detail names.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<f64>, nullable = false)]
    max: Option<Number>,
}

impl From<Fault> for ErrorOut {
    fn from(fault: Fault) -> Self {
        let (at, pointer, parameter) = match fault.at {
            Where::Body { pointer } => ("body", Some(pointer), None),
            Where::Query { parameter } => ("query", None, Some(parameter)),
        };
        Self {
            at,
            pointer,
            parameter,
            line: None,
            column: None,
            code: fault.code.as_str().to_owned(),
            detail: fault.detail,
            nearest: fault.nearest,
            allowed: fault.allowed,
            min: fault.min.map(Number::rounded),
            max: fault.max.map(Number::rounded),
        }
    }
}

impl Problem {
    /// A problem of a kind.
    #[must_use]
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self {
            kind: format!("/problems/{}", kind.slug()),
            title: kind.title(),
            status: kind.status().as_u16(),
            detail: detail.into(),
            available: Vec::new(),
            errors: Vec::new(),
            errors_total: None,
            code: kind.status().as_u16(),
        }
    }

    /// Adds what would be accepted.
    #[must_use]
    pub fn available<I: IntoIterator<Item = S>, S: Into<String>>(mut self, words: I) -> Self {
        self.available = words.into_iter().map(Into::into).collect();
        self
    }

    /// 422 with all faults of a body.
    #[must_use]
    pub fn faults(faults: Faults, tree: &Node<'_>) -> Self {
        let left_out = faults.left_out();
        Self::listed(faults.into_sorted(tree), left_out)
    }

    /// 422 with faults that are in order already.
    #[must_use]
    pub fn listed(faults: Vec<Fault>, left_out: usize) -> Self {
        let total = faults.len() + left_out;
        let shown = if total > MAX_FAULTS { format!("; the first {MAX_FAULTS} are listed") } else { String::new() };
        let count = if total == 1 { "There is one fault".to_owned() } else { format!("There are {total} faults") };
        let mut problem = Self::new(Kind::InvalidRequest, format!("{count} in the request{shown}."));
        problem.errors = faults.into_iter().take(MAX_FAULTS).map(Into::into).collect();
        problem.errors_total = Some(total);
        problem
    }

    /// 400 for a body that is no JSON, or 422 for JSON that cannot be held.
    #[must_use]
    #[expect(clippy::needless_pass_by_value, reason = "taken from a map_err")]
    pub fn syntax(fault: SyntaxFault) -> Self {
        let (kind, code) = match fault.code() {
            Some(code) => (Kind::InvalidRequest, code.as_str()),
            None => (Kind::NotJson, "not_json"),
        };
        let detail = capital(&fault.to_string());
        let mut problem = Self::new(kind, detail.clone());
        let (line, column) = fault.position().unzip();
        problem.errors.push(ErrorOut {
            at: "body",
            pointer: Some(String::new()),
            parameter: None,
            line,
            column,
            code: code.to_owned(),
            detail,
            nearest: None,
            allowed: Vec::new(),
            min: None,
            max: None,
        });
        problem.errors_total = Some(1);
        problem
    }

    /// 406 with what is available.
    #[must_use]
    pub fn not_acceptable(available: &[Media]) -> Self {
        let names: Vec<_> = available.iter().map(|m| m.name()).collect();
        Self::new(Kind::NotAcceptable, format!("This answer is available as {}.", names.join(" and "))).available(names)
    }

    /// 503.
    #[must_use]
    pub fn busy() -> Self {
        Self::new(Kind::Busy, "Too many large questions are being answered; send this one again in a few seconds.")
    }

    /// 500. Says nothing of the inside.
    #[must_use]
    pub fn broken() -> Self {
        Self::new(Kind::Broken, "The service failed; the request is not at fault.")
    }

    /// The faults as lines of text, for a cell.
    #[must_use]
    pub fn as_line(&self) -> String {
        let told: Vec<&str> = self.errors.iter().map(|e| e.detail.as_str()).collect();
        let text = if told.is_empty() { self.detail.clone() } else { told.join(" ") };
        let line: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        format!("# {line}")
    }

    /// The answer.
    #[must_use]
    pub fn to_response(&self) -> HttpResponse {
        let status = StatusCode::from_u16(self.code).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut builder = HttpResponse::build(status);
        builder.insert_header((header::CACHE_CONTROL, "no-store"));
        builder.insert_header((header::CONTENT_TYPE, "application/problem+json"));
        match status {
            StatusCode::METHOD_NOT_ALLOWED => {
                builder.insert_header((header::ALLOW, self.available.join(", ")));
            }
            StatusCode::UNAUTHORIZED => {
                builder.insert_header((header::WWW_AUTHENTICATE, "Bearer"));
            }
            StatusCode::SERVICE_UNAVAILABLE => {
                builder.insert_header((header::RETRY_AFTER, "2"));
            }
            StatusCode::UNSUPPORTED_MEDIA_TYPE => {
                builder.insert_header((header::ACCEPT, "application/json"));
            }
            _ => {}
        }
        builder.body(serde_json::to_vec(self).unwrap_or_default())
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.title, self.detail)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.code).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        self.to_response()
    }
}

/// The problems of every question that is asked with a body.
#[derive(utoipa::IntoResponses)]
pub enum AskProblems {
    /// The body is not one JSON document in UTF-8.
    #[response(status = 400, content_type = "application/problem+json")]
    NotJson(Problem),
    /// The service was started with a token, and none or another one was sent.
    #[response(status = 401, content_type = "application/problem+json")]
    NoToken(Problem),
    /// None of the available forms is accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The body did not arrive in time.
    #[response(status = 408, content_type = "application/problem+json")]
    TooSlow(Problem),
    /// The body is larger than 4 MiB.
    #[response(status = 413, content_type = "application/problem+json")]
    TooLarge(Problem),
    /// The body is not declared as JSON.
    #[response(status = 415, content_type = "application/problem+json")]
    UnsupportedMediaType(Problem),
    /// The request cannot be computed as it stands; every fault is listed.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
    /// Too many large questions at once; Retry-After tells when to ask again.
    #[response(status = 503, content_type = "application/problem+json")]
    Busy(Problem),
}

/// The problems of a cell.
#[derive(utoipa::IntoResponses)]
pub enum CellProblems {
    /// The service was started with a token, and none or another one was sent.
    #[response(status = 401, content_type = "application/problem+json")]
    NoToken(Problem),
    /// Plain text is not accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The query cannot be computed as it stands; every fault is listed.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
}

/// The problems of what the service says about itself.
#[derive(utoipa::IntoResponses)]
pub enum ReferenceProblems {
    /// JSON is not accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
}
