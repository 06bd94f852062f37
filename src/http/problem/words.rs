//! The closed lists of words in problem documents.

use super::Kind;
use crate::http::output::words::words;
use utoipa::openapi::{RefOr, Schema};

/// The types of problems.
pub fn problem_types() -> RefOr<Schema> {
    words(
        "Which kind of problem: the address of a page of this service that explains it.",
        Kind::ALL.iter().map(|kind| format!("/problems/{}", kind.slug())),
    )
}
