//! The kinds of problem: slug, title, page and status of each.

use crate::garden::closed_list::closed_list;
use crate::http::output::enums::words;
use actix_web::http::StatusCode;
use utoipa::openapi::{RefOr, Schema};

macro_rules! kinds {
    ($($name:ident $status:ident $slug:literal $title:literal $page:literal;)*) => {
        closed_list! {
            /// The kinds of problem. The list is closed; the word of each is the last part of its type, which leads to its page.
            #[derive(Debug, Clone, Copy, PartialEq, Eq)]
            pub enum Kind {
                $(#[doc = $title] $name = $slug,)*
            }
        }

        impl Kind {
            /// The title.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)* }
            }

            /// What it means and how to mend it, for its page.
            #[must_use]
            pub const fn page(self) -> &'static str {
                match self { $(Self::$name => $page,)* }
            }

            /// The status.
            #[must_use]
            pub const fn status(self) -> StatusCode {
                match self { $(Self::$name => StatusCode::$status,)* }
            }
        }
    };
}

kinds! {
    NotJson BAD_REQUEST "not-json" "The body is not one JSON document"
        "The body must be exactly one JSON document in UTF-8. The answer says at which line and column reading stopped. \
         Common causes: an empty body, a missing comma or bracket, text after the end, NaN or Infinity, another encoding.";
    NotCsv BAD_REQUEST "not-csv" "The body is not a table as CSV"
        "The body must be a table as CSV (RFC 4180) in UTF-8, or in windows-1252 if the header Content-Type declares it: names of columns in the first \
         line, as many cells in every line, and quotes in pairs around a cell that holds a quote, a line break or what separates the cells. \
         The answer says which lines are wrong.";
    NoToken UNAUTHORIZED "no-token" "A token is needed"
        "This service was started with a token. Send the header \"Authorization: Bearer\" followed by the token.";
    OriginRefused FORBIDDEN "origin-refused" "Pages of this origin may not call the service"
        "A browser asked whether a page of another origin may call this service, and it may not, or not with this \
         method or header. The operator of the service lists the origins (BARROWFUL_ORIGINS).";
    NotFound NOT_FOUND "not-found" "There is nothing at this address"
        "The path is none of those in the document (/openapi.json). The answer names the nearest one.";
    MethodNotAllowed METHOD_NOT_ALLOWED "method-not-allowed" "This address accepts other methods"
        "The Allow header lists the methods that this address accepts. Questions are asked with POST, or with GET and the request in \
         the address (?request=).";
    NotAcceptable NOT_ACCEPTABLE "not-acceptable" "This answer is not available in the format asked for"
        "The Accept header excludes every format in which this answer is available; the answer lists them.";
    TooSlow REQUEST_TIMEOUT "too-slow" "The body came too slowly"
        "The connection was idle too long before the body was complete. Send it again.";
    TooLarge PAYLOAD_TOO_LARGE "too-large" "The body is too large"
        "The body may have at most 4 MiB, also after decompression. Split the request, or see GET /v1/limits.";
    UnsupportedMediaType UNSUPPORTED_MEDIA_TYPE "unsupported-media-type" "The body is not declared as a type that is read here"
        "Send the header \"Content-Type: application/json\", \"application/x-ndjson\" for a batch, or \"text/csv\" to an address that ends in \
         /table. The charset is UTF-8, of a table also windows-1252; content encodings are gzip, deflate and br, and none for a batch.";
    InvalidRequest UNPROCESSABLE_ENTITY "invalid-request" "The request has errors"
        "Every error is listed under errors, in the order of the request: where it is (the item by position and name, and a JSON pointer into the body, or \
         a parameter of the query), what it is, and how to correct it. Nothing was dropped, guessed or rounded.";
    Broken INTERNAL_SERVER_ERROR "broken" "The service failed"
        "This is an error of the service, not of the request. Please report it with the request that caused it.";
    Busy SERVICE_UNAVAILABLE "busy" "The service is busy"
        "Send the request again after the seconds in the Retry-After header; nothing was changed.";
    DeadlinePassed SERVICE_UNAVAILABLE "deadline-passed" "The answer took too long"
        "The service computes for a limited number of seconds for each request. Ask for less at once: fewer simulation runs, fewer variants, fewer \
         demands with a minimum, or split the request. A request that is usually quick may be sent again as it is, after the seconds in the \
         Retry-After header; nothing was changed.";
    Stopping SERVICE_UNAVAILABLE "stopping" "The service is about to stop"
        "This instance answers the requests that it has accepted and accepts few new ones. Send requests to another instance, or to this address once the \
         service runs again.";
}

/// The types of problems.
pub fn problem_types() -> RefOr<Schema> {
    words(
        "Which kind of problem: the address of a page of this service that explains it.",
        Kind::ALL.iter().map(|kind| format!("/problems/{}", kind.as_str())),
    )
}
