//! The kinds of problem: slug, title, page and status of each.

use actix_web::http::StatusCode;

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
