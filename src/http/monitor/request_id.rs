//! The id of a request, by which a caller and the log mean the same one.

use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use std::fmt;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};

/// The header that carries it.
pub const HEADER: HeaderName = HeaderName::from_static("x-request-id");
/// The longest that is taken from a caller: room for a UUID with a prefix.
const LONGEST: usize = 64;

/// The id of a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestId(HeaderValue);

/// What the ids made by this process begin with, so that two instances never make the same.
static PROCESS: LazyLock<String> = LazyLock::new(|| uuid::Uuid::new_v4().simple().to_string());
static MADE: AtomicU64 = AtomicU64::new(0);

impl RequestId {
    /// The one that the caller sends if it is short and plain, else a new one.
    #[must_use]
    pub fn of(headers: &HeaderMap) -> Self {
        let plain = |byte: &u8| byte.is_ascii_alphanumeric() || b"-._".contains(byte);
        let sent =
            headers.get(HEADER).filter(|id| (1..=LONGEST).contains(&id.len()) && id.as_bytes().iter().all(plain));
        Self(sent.cloned().unwrap_or_else(made))
    }

    /// As the value of a header.
    #[must_use]
    pub fn value(&self) -> HeaderValue {
        self.0.clone()
    }

    /// As text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        self.0.to_str().unwrap_or_default()
    }
}

fn made() -> HeaderValue {
    let id = format!("{}-{}", *PROCESS, MADE.fetch_add(1, Ordering::Relaxed));
    HeaderValue::from_str(&id).unwrap_or_else(|_| HeaderValue::from_static("none"))
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(sent: &str) -> String {
        let mut headers = HeaderMap::new();
        headers.insert(HEADER, HeaderValue::from_str(sent).unwrap());
        RequestId::of(&headers).to_string()
    }

    #[test]
    fn a_plain_id_is_kept_and_any_other_is_replaced() {
        for plain in ["a", "row-12", "0f8fad5b-d9cb-469f-a165-70867728950e", &"x".repeat(LONGEST)] {
            assert_eq!(of(plain), plain);
        }
        for other in ["", "two words", "a\"b", "a=b", "a;b", &"x".repeat(LONGEST + 1)] {
            assert!(of(other).starts_with(PROCESS.as_str()), "{other}");
        }
    }

    #[test]
    fn no_two_are_the_same() {
        let none = HeaderMap::new();
        assert_ne!(RequestId::of(&none), RequestId::of(&none));
    }
}
