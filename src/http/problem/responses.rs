//! The problems that operations can answer with, for the document.

use super::Problem;

/// The problems of every question that is asked with a body.
#[derive(utoipa::IntoResponses)]
pub enum AskProblems {
    /// The body is not one JSON document in UTF-8.
    #[response(status = 400, content_type = "application/problem+json")]
    NotJson(Problem),
    /// The service was started with a token, and none or another one was sent.
    #[response(status = 401, content_type = "application/problem+json")]
    NoToken(Problem),
    /// None of the available formats is accepted.
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
    /// The request has errors; every one is listed.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
    /// Too many large questions at once, or one that takes too long (`deadline-passed`: ask for less). Retry-After tells when to ask again.
    #[response(status = 503, content_type = "application/problem+json")]
    Busy(Problem),
}

/// The problems of a batch as a whole; those of a line are in its answer.
#[derive(utoipa::IntoResponses)]
pub enum BatchProblems {
    /// The service was started with a token, and none or another one was sent.
    #[response(status = 401, content_type = "application/problem+json")]
    NoToken(Problem),
    /// Lines of JSON are not accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The body is not declared as lines of JSON, or is compressed.
    #[response(status = 415, content_type = "application/problem+json")]
    UnsupportedMediaType(Problem),
    /// The address takes no parameters.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
}

/// The problems of a question that is asked with a table.
#[derive(utoipa::IntoResponses)]
pub enum TableProblems {
    /// The body is not a table as CSV.
    #[response(status = 400, content_type = "application/problem+json")]
    NotCsv(Problem),
    /// The service was started with a token, and none or another one was sent.
    #[response(status = 401, content_type = "application/problem+json")]
    NoToken(Problem),
    /// None of the available formats is accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The body did not arrive in time.
    #[response(status = 408, content_type = "application/problem+json")]
    TooSlow(Problem),
    /// The body is larger than 4 MiB.
    #[response(status = 413, content_type = "application/problem+json")]
    TooLarge(Problem),
    /// The body is not declared as CSV.
    #[response(status = 415, content_type = "application/problem+json")]
    UnsupportedMediaType(Problem),
    /// The table has errors; every one is listed with its line and column.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
    /// Too many large questions at once, or one that takes too long (`deadline-passed`: ask for less). Retry-After tells when to ask again.
    #[response(status = 503, content_type = "application/problem+json")]
    Busy(Problem),
}

/// The problems of a question whose request is in the address.
#[derive(utoipa::IntoResponses)]
pub enum LinkProblems {
    /// What the address holds is not one JSON document in UTF-8, or not a table as CSV.
    #[response(status = 400, content_type = "application/problem+json")]
    NotJson(Problem),
    /// The service was started with a token, and none or another one was sent.
    #[response(status = 401, content_type = "application/problem+json")]
    NoToken(Problem),
    /// None of the available formats is accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The request is larger than 4 MiB once it is decompressed.
    #[response(status = 413, content_type = "application/problem+json")]
    TooLarge(Problem),
    /// The address or the request in it has errors; every one is listed.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
    /// Too many large questions at once, or one that takes too long (`deadline-passed`: ask for less). Retry-After tells when to ask again.
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
    /// The query has errors; every one is listed.
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

/// The problems of a list.
#[derive(utoipa::IntoResponses)]
pub enum ListProblems {
    /// JSON is not accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The address takes no parameters.
    #[response(status = 422, content_type = "application/problem+json")]
    InvalidRequest(Problem),
}

/// The problems of readiness.
#[derive(utoipa::IntoResponses)]
pub enum ReadyProblems {
    /// JSON is not accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
    /// The service is about to stop.
    #[response(status = 503, content_type = "application/problem+json")]
    Stopping(Problem),
}

/// The problems of the metrics.
#[derive(utoipa::IntoResponses)]
pub enum MetricsProblems {
    /// The metrics are not served here.
    #[response(status = 404, content_type = "application/problem+json")]
    NotFound(Problem),
    /// Plain text is not accepted.
    #[response(status = 406, content_type = "application/problem+json")]
    NotAcceptable(Problem),
}
