//! One error of a request, as it is written.

use super::Number;
use super::enums::words;
use crate::http::wire::{ErrorCode, RequestError, Where};
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

/// One error of a request.
#[skip_serializing_none]
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = RequestError)]
pub struct ErrorOut {
    /// `body`, `query` or `csv`.
    #[schema(schema_with = fault_places)]
    pub at: &'static str,
    /// In the body: the place as a JSON pointer (RFC 6901); for a missing field the place where it belongs.
    pub pointer: Option<String>,
    /// In the query: the parameter.
    pub parameter: Option<String>,
    /// The line from 1: where reading stopped, or the row of a table.
    pub line: Option<usize>,
    /// The column from 1: the character of the line where reading stopped, or the column of a table.
    pub column: Option<usize>,
    /// The kind of error; the list is in the description of the document.
    #[schema(schema_with = error_codes)]
    pub code: String,
    /// Which item of a list it is about, by position and name; what is wrong; and what to write instead.
    pub detail: String,
    /// The accepted word nearest to the one given.
    pub nearest: Option<String>,
    /// The accepted words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub allowed: Vec<String>,
    /// The smallest value accepted, in the unit that the detail names.
    #[schema(value_type = Option<f64>)]
    pub min: Option<Number>,
    /// The largest value accepted, in the unit that the detail names.
    #[schema(value_type = Option<f64>)]
    pub max: Option<Number>,
}

impl From<RequestError> for ErrorOut {
    fn from(error: RequestError) -> Self {
        let (mut pointer, mut parameter, mut place) = (None, None, (None, None));
        let at = match error.at {
            Where::Body { pointer: of } => {
                pointer = Some(of);
                "body"
            }
            Where::Query { parameter: of } => {
                parameter = Some(of);
                "query"
            }
            Where::Csv { line, column } => {
                place = (Some(line), column);
                "csv"
            }
        };
        Self {
            at,
            pointer,
            parameter,
            line: place.0,
            column: place.1,
            code: error.code.to_string(),
            detail: error.detail,
            nearest: error.nearest,
            allowed: error.allowed,
            min: error.min.map(bound),
            max: error.max.map(bound),
        }
    }
}

/// A bound as it is reported: whole numbers, as those of counts and seeds, to the last digit.
fn bound(value: f64) -> Number {
    let whole = value.fract() == 0.0 && value.abs() < 1e16;
    if whole { Number::exactly(value) } else { Number::rounded(value) }
}

/// The codes of errors.
fn error_codes() -> RefOr<Schema> {
    words("The kind of error.", ErrorCode::words())
}

/// Where an error is.
fn fault_places() -> RefOr<Schema> {
    words("Where the error is.", ["body", "query", "csv"])
}
