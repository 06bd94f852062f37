//! Who may ask: tokens, and the paths that need none.

use actix_web::dev::ServiceRequest;
use actix_web::http::{Method, header};

/// The paths that need no token: what is said about the service, not what it is asked.
const OPEN: &[&str] = &[
    "/v1/materials",
    "/v1/rates",
    "/v1/units",
    "/v1/assumptions",
    "/v1/cautions",
    "/v1/formulas",
    "/v1/sources",
    "/v1/limits",
];

/// Whether a request carries the token, or needs none.
pub fn authorised(request: &ServiceRequest, token: Option<&str>) -> bool {
    let Some(token) = token else { return true };
    // The path as the routes see it: with `%76` as `v`.
    let path = request.match_info().as_str();
    if !path.starts_with("/v1/") || OPEN.contains(&path) || request.method() == Method::OPTIONS {
        return true;
    }
    let sent = request.headers().get(header::AUTHORIZATION).and_then(|v| v.to_str().ok()).unwrap_or_default();
    sent.get(..7).is_some_and(|scheme| scheme.eq_ignore_ascii_case("bearer "))
        && sent.get(7..).is_some_and(|given| same(given.trim().as_bytes(), token.as_bytes()))
}

/// Compares without telling by its time how much of the token was right.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0_u8, |differs, (x, y)| differs | (x ^ y)) == 0
}
