//! The tag of an answer, by which a caller asks whether the one it has still holds (RFC 9110, section 8.8.3).

use actix_web::HttpRequest;
use actix_web::http::header::{EntityTag, Header, IF_NONE_MATCH, IfNoneMatch};

/// The tag of an answer with these bytes, or of these bytes that stand for it. It is weak: the same tag stands for the plain and the compressed bytes.
#[must_use]
pub fn of(bytes: &[u8]) -> EntityTag {
    // FNV-1a: the tag only has to change when the bytes do.
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3));
    EntityTag::new_weak(format!("{hash:016x}"))
}

/// Whether the caller has the answer with this tag already, or any (`*`).
#[must_use]
pub fn is_known(request: &HttpRequest, tag: &EntityTag) -> bool {
    request.headers().get(IF_NONE_MATCH).is_some_and(|value| value == "*") || is_listed(request, tag)
}

/// Whether the caller names this tag as that of the answer it has.
#[must_use]
pub fn is_listed(request: &HttpRequest, tag: &EntityTag) -> bool {
    matches!(IfNoneMatch::parse(request), Ok(IfNoneMatch::Items(tags)) if tags.iter().any(|one| one.weak_eq(tag)))
}
