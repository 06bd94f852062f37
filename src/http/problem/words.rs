//! The closed lists of words in problem documents.

use super::Kind;
use crate::http::output::words::words;
use crate::http::wire::ErrorCode;
use utoipa::openapi::{RefOr, Schema};

/// The codes of errors.
pub fn error_codes() -> RefOr<Schema> {
    words("The kind of error.", ErrorCode::ALL.iter().map(|code| code.as_str()))
}

/// Where an error is.
pub fn fault_places() -> RefOr<Schema> {
    words("Where the error is.", ["body", "query", "csv"])
}

/// The types of problems.
pub fn problem_types() -> RefOr<Schema> {
    words(
        "Which kind of problem: the address of a page of this service that explains it.",
        Kind::ALL.iter().map(|kind| format!("/problems/{}", kind.slug())),
    )
}
