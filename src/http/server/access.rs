//! Who may ask: tokens, the key in an address, and the paths that need neither.

use crate::http::settings::{Secret, Settings};
use actix_web::dev::ServiceRequest;
use actix_web::http::header::{self, HeaderMap};
use actix_web::http::{Method, Uri, uri::PathAndQuery};

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

/// Nothing was sent.
const NO_TOKEN: &str = "Send the header \"Authorization: Bearer\" followed by the token.";
/// A token was sent, and is none of ours.
const OTHER_TOKEN: &str = "The token that was sent is not one of this service. Send the header \"Authorization: Bearer\" followed by the whole token; it may have been changed.";
/// A key was sent, and is not ours.
const OTHER_KEY: &str = "The key in this address is not that of this service; it may have been changed. Ask the operator of the service for it.";

/// Whom the service answers.
#[derive(Debug, Clone)]
pub struct Access {
    tokens: Vec<Secret>,
    key: Option<Secret>,
}

impl Access {
    /// As the settings say.
    pub fn new(settings: &Settings) -> Self {
        Self { tokens: settings.tokens.clone(), key: settings.address_key.clone() }
    }

    /// Whether a request carries a token or the key, or needs none. The key is taken out of the address, so that nothing behind this
    /// sees it.
    ///
    /// # Errors
    /// What to do about the token or the key.
    pub fn admits(&self, request: &mut ServiceRequest) -> Result<(), &'static str> {
        // The path as the routes see it: with `%76` as `v`.
        let path = request.match_info().as_str();
        if !needs_token(path, request.method()) {
            return Ok(());
        }
        let key = if request.method() == Method::GET { take_key(request) } else { None };
        if self.tokens.is_empty() || self.bears_token(request.headers()) || self.has_key(key.as_deref()) {
            return Ok(());
        }
        match (request.headers().contains_key(header::AUTHORIZATION), key) {
            (true, _) => Err(OTHER_TOKEN),
            (false, Some(_)) => Err(OTHER_KEY),
            (false, None) => Err(NO_TOKEN),
        }
    }

    fn bears_token(&self, headers: &HeaderMap) -> bool {
        let sent = headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok()).unwrap_or_default();
        let Some((scheme, given)) = sent.split_at_checked(7) else { return false };
        let given = given.trim().as_bytes();
        // All are compared, so that the time does not tell which was nearly right.
        let found = self.tokens.iter().fold(false, |found, token| found | same(given, token.0.as_bytes()));
        scheme.eq_ignore_ascii_case("bearer ") && found
    }

    fn has_key(&self, given: Option<&str>) -> bool {
        self.key.as_ref().zip(given).is_some_and(|(key, given)| same(given.as_bytes(), key.0.as_bytes()))
    }
}

/// Whether a path needs a token where the service has one.
fn needs_token(path: &str, method: &Method) -> bool {
    path.starts_with("/v1/") && !OPEN.contains(&path) && method != Method::OPTIONS
}

/// Takes `key=` out of the query.
fn take_key(request: &mut ServiceRequest) -> Option<String> {
    let query = request.query_string();
    let key = query.split('&').find_map(|pair| pair.strip_prefix("key="))?.to_owned();
    let other_pairs: Vec<&str> = query.split('&').filter(|pair| !pair.starts_with("key=")).collect();
    let shorter = match other_pairs.is_empty() {
        true => request.path().to_owned(),
        false => format!("{}?{}", request.path(), other_pairs.join("&")),
    };
    let mut parts = request.uri().clone().into_parts();
    parts.path_and_query = Some(PathAndQuery::try_from(shorter).ok()?);
    request.head_mut().uri = Uri::from_parts(parts).ok()?;
    Some(key)
}

/// Compares without telling by its time how much was right.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0_u8, |differs, (x, y)| differs | (x ^ y)) == 0
}
