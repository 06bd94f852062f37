//! The headers that every answer has.

use crate::http::monitor::{REQUEST_ID, RequestId};
use actix_cors::Cors;
use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};

/// What an answer may load where it says nothing of its own: nothing.
const NOTHING: &str = "default-src 'none'";
/// What the pages for people load: their own scripts, styles and pictures, and they ask this service. The full reference sets styles on
/// elements and has pictures within its style sheet.
const PAGES: &str =
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'";
/// What holds of all: no frame around it, no other base for links, no form sent from it.
const ALWAYS: &str = "frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

/// Adds the headers that every answer has, also one without a body. The policy goes by the template of the path.
pub fn complete(headers: &mut HeaderMap, route: &str, id: &RequestId) {
    let own = headers.get(header::CONTENT_SECURITY_POLICY).and_then(|policy| policy.to_str().ok());
    let loads = own.unwrap_or(if route == "/docs" { PAGES } else { NOTHING });
    if let Ok(policy) = HeaderValue::try_from(format!("{loads}; {ALWAYS}")) {
        headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    }
    headers.insert(header::VARY, HeaderValue::from_static("Accept, Accept-Encoding, Origin"));
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    headers.insert(REQUEST_ID, id.value());
}

/// The headers of an answer that a page of another origin may read, besides those that it always may.
const EXPOSED: [HeaderName; 5] =
    [header::ETAG, header::RETRY_AFTER, header::ALLOW, header::WWW_AUTHENTICATE, REQUEST_ID];

/// The methods and the headers that a page of another origin may send.
const METHODS: [&str; 3] = ["GET", "HEAD", "POST"];
const TAKEN: [HeaderName; 6] = [
    header::CONTENT_TYPE,
    header::ACCEPT,
    header::AUTHORIZATION,
    header::CONTENT_ENCODING,
    header::IF_NONE_MATCH,
    REQUEST_ID,
];

/// What a preflight is refused with.
pub fn refused_preflight() -> String {
    let headers = TAKEN.map(|header| header.to_string()).join(", ");
    let methods = METHODS.join(", ");
    format!(
        "This origin, method or header is not among those that pages may use: the methods {methods}, the headers {headers}, and the \
         origins that are set where the service is run."
    )
}

/// Which origins may call.
pub fn cors(origins: &[String]) -> Cors {
    let cors = Cors::default().allowed_methods(METHODS).max_age(3600).expose_headers(EXPOSED).allowed_headers(TAKEN);
    if origins.iter().any(|origin| origin == "*") {
        return cors.allow_any_origin().send_wildcard();
    }
    origins.iter().fold(cors, |cors, origin| cors.allowed_origin(origin))
}
