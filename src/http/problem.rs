//! Problem documents (RFC 9457): every refusal in one form, whatever `Accept` says.

mod kind;
mod responses;

pub use kind::Kind;
pub use responses::{
    AskProblems, BatchProblems, CellProblems, LinkProblems, ListProblems, MetricsProblems, ReadyProblems,
    ReferenceProblems, TableProblems,
};

use super::limits::MAX_FAULTS;
use super::negotiate::Media;
use super::output::error::ErrorOut;
use super::wire::csv::CsvErrors;
use super::wire::{ErrorCode, Node, RequestError, RequestErrors, SyntaxFault, Where, capital, with_items};
use crate::garden::units::text::clip;
use actix_web::http::{StatusCode, header};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::fmt;
use utoipa::ToSchema;

/// A problem document.
#[must_use]
#[skip_serializing_none]
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct Problem {
    /// Which kind of problem: the address of a page of this service that explains it.
    #[serde(rename = "type")]
    #[schema(schema_with = kind::problem_types)]
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
    /// Every error, in the order of the request; at most 100.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 100)]
    errors: Vec<ErrorOut>,
    /// How many errors there are in all.
    errors_total: Option<usize>,
    /// The id of the request, as in the header `X-Request-Id`; tell it to the operator of the service.
    request_id: Option<String>,
    /// The kind, as it is noted.
    #[serde(skip)]
    reason: &'static str,
}

impl Problem {
    /// A problem of a kind.
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self {
            kind: format!("/problems/{}", kind.as_str()),
            title: kind.title(),
            status: kind.status().as_u16(),
            detail: detail.into(),
            available: Vec::new(),
            errors: Vec::new(),
            errors_total: None,
            request_id: None,
            reason: kind.as_str(),
        }
    }

    /// What is said where only the status is known.
    pub fn of_status(status: StatusCode) -> Self {
        let kind = Kind::ALL.iter().copied().find(|kind| kind.status() == status);
        let kind = kind.unwrap_or(if status.is_client_error() { Kind::NotFound } else { Kind::Broken });
        Self::new(kind, kind.title())
    }

    /// Adds the id of the request.
    pub fn with_request_id(mut self, id: &str) -> Self {
        self.request_id = Some(id.to_owned());
        self
    }

    /// Adds a sentence to this case in words.
    pub fn and(mut self, sentence: &str) -> Self {
        self.detail = format!("{} {sentence}", self.detail);
        self
    }

    /// The last part of the type, by which refusals are counted.
    #[must_use]
    pub const fn reason(&self) -> &'static str {
        self.reason
    }

    /// The status.
    #[must_use]
    pub const fn status(&self) -> u16 {
        self.status
    }

    /// The same of a body that is part of a larger one, at this place.
    pub fn below(mut self, place: &str) -> Self {
        for pointer in self.errors.iter_mut().filter_map(|error| error.pointer.as_mut()) {
            pointer.insert_str(0, place);
        }
        self
    }

    /// Adds what would be accepted.
    pub fn available<I: IntoIterator<Item = S>, S: Into<String>>(mut self, words: I) -> Self {
        self.available = words.into_iter().map(Into::into).collect();
        self
    }

    /// 422 with all errors of a body, each with the items of lists in front that it is about.
    pub fn errors(errors: RequestErrors, tree: &Node<'_>) -> Self {
        let left_out = errors.left_out();
        let mut sorted = errors.into_sorted(tree);
        for error in sorted.iter_mut().take(MAX_FAULTS) {
            if let Where::Body { pointer } = &error.at {
                error.detail = with_items(std::mem::take(&mut error.detail), pointer, tree);
            }
        }
        Self::listed(sorted, left_out)
    }

    /// 422 with errors that are in order already.
    pub fn listed(errors: Vec<RequestError>, left_out: usize) -> Self {
        let total = errors.len() + left_out;
        Self::of_errors(errors.into_iter().map(Into::into), total)
    }

    /// 422 with the first of so many errors.
    fn of_errors(errors: impl Iterator<Item = ErrorOut>, total: usize) -> Self {
        let shown = if total > MAX_FAULTS { format!("; the first {MAX_FAULTS} are listed") } else { String::new() };
        let count = if total == 1 { "There is one error".to_owned() } else { format!("There are {total} errors") };
        let mut problem = Self::new(Kind::InvalidRequest, format!("{count} in the request{shown}."));
        problem.errors = errors.take(MAX_FAULTS).collect();
        problem.errors_total = Some(total);
        problem
    }

    /// The same with the errors that another problem of this request lists, after its own.
    pub fn beside(self, other: Self) -> Self {
        let Some((own, more)) = self.errors_total.zip(other.errors_total) else { return self };
        let all = Self::of_errors(self.errors.into_iter().chain(other.errors), own + more);
        if other.reason == self.reason {
            return all;
        }
        // A body that cannot be read at all decides the kind.
        Self { errors: all.errors, errors_total: all.errors_total, ..other }
    }

    /// 400 for a body that is no JSON, or 422 for JSON that cannot be held.
    #[expect(clippy::needless_pass_by_value, reason = "taken from a map_err")]
    pub fn syntax(error: SyntaxFault) -> Self {
        let kind = if error.code == ErrorCode::NotJson { Kind::NotJson } else { Kind::InvalidRequest };
        let detail = capital(&error.to_string());
        let mut problem = Self::new(kind, detail.clone());
        let (line, column) = error.position.unzip();
        problem.errors.push(ErrorOut { line, column, ..RequestError::new(String::new(), error.code, detail).into() });
        problem.errors_total = Some(1);
        problem
    }

    /// 400 for a body that is no table as CSV, or 422 for one that is too large.
    pub fn table(errors: CsvErrors) -> Self {
        if !errors.is_not_csv {
            return Self::listed(errors.errors, 0);
        }
        let total = errors.errors.len();
        let detail = errors.errors.iter().take(1).map(|error| error.detail.as_str()).collect::<String>();
        let mut problem = Self::new(Kind::NotCsv, detail);
        problem.errors = errors.errors.into_iter().take(MAX_FAULTS).map(Into::into).collect();
        problem.errors_total = Some(total);
        problem
    }

    /// 406 with what is available.
    pub fn not_acceptable(available: &[Media]) -> Self {
        let names: Vec<_> = available.iter().map(|m| m.name()).collect();
        Self::new(Kind::NotAcceptable, format!("This answer is available as {}.", names.join(" and "))).available(names)
    }

    /// 503.
    pub fn busy() -> Self {
        Self::new(Kind::Busy, "Too many large questions are being answered; send this one again in a few seconds.")
    }

    /// 503: the request is not answered within its seconds.
    pub fn deadline_passed() -> Self {
        let detail = "The answer was not ready in time, so that computing was stopped; ask for fewer simulation runs or variants, or split the request.";
        Self::new(Kind::DeadlinePassed, detail)
    }

    /// Whether it is that the deadline has passed.
    #[must_use]
    pub fn is_late(&self) -> bool {
        self.reason == Kind::DeadlinePassed.as_str()
    }

    /// 503: the service holds as many bytes of requests and answers as it may.
    pub fn full() -> Self {
        Self::new(
            Kind::Busy,
            "Too many large requests and answers are under way; send this one again in a few seconds, or ask for less at once.",
        )
    }

    /// 503: a service that is about to stop.
    pub fn stopping() -> Self {
        Self::new(Kind::Stopping, "This instance is about to stop; send requests to another one.")
    }

    /// 500. Says nothing of the inside.
    pub fn broken() -> Self {
        Self::new(Kind::Broken, "The service failed; the request is not the cause.")
    }

    /// The errors as lines of text, for a cell; each with the parameter that it is about.
    #[must_use]
    pub fn as_line(&self) -> String {
        let named = |error: &ErrorOut| match error.parameter.as_deref().filter(|name| !name.is_empty()) {
            Some(name) => format!("{}: {}", clip(name), error.detail),
            None => error.detail.clone(),
        };
        let reported: Vec<String> = self.errors.iter().map(named).collect();
        let words = if reported.is_empty() { self.detail.clone() } else { reported.join(" ") };
        let line: String = words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        format!("# {line}")
    }

    /// The errors as sentences, one after another.
    #[must_use]
    pub fn in_words(&self) -> String {
        let reported: Vec<&str> = self.errors.iter().map(|e| e.detail.as_str()).collect();
        if reported.is_empty() { self.detail.clone() } else { reported.join(" ") }
    }

    /// The answer. It carries this problem among its extensions, so that the id of its request can be added and its kind be noted.
    #[must_use]
    pub fn to_response(&self) -> HttpResponse {
        let status = self.status_code();
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
                let media = self.available.iter().filter(|one| one.contains('/')).cloned().collect::<Vec<_>>();
                let media = if media.is_empty() { "application/json".to_owned() } else { media.join(", ") };
                builder.insert_header((header::ACCEPT, media));
            }
            _ => {}
        }
        let mut response = builder.body(serde_json::to_vec(self).unwrap_or_default());
        response.extensions_mut().insert(self.clone());
        response
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.title, self.detail)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        self.to_response()
    }
}
