//! The tag of an answer, by which a caller asks whether the one it has still holds (RFC 9110, section 8.8.3).

use actix_web::http::header::{CACHE_CONTROL, ETAG, EntityTag, Header, HeaderValue, IF_NONE_MATCH, IfNoneMatch};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse};

/// Answers with what does not change while the program runs: with its tag, and 304 to who has it already.
pub fn cacheable(request: &HttpRequest, media: &str, bytes: Bytes) -> HttpResponse {
    let tag = of(&bytes);
    let is_unchanged = is_known(request, &tag);
    let mut builder = if is_unchanged { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    builder.insert_header((CACHE_CONTROL, "public, max-age=3600")).insert_header((ETAG, tag.to_string()));
    if is_unchanged { builder.finish() } else { builder.content_type(media).body(bytes) }
}

/// Answers a request in its address. The same address, of the same version, question and form, has the same answer, so its tag is known before
/// the answer is. 304 to who has it already.
pub async fn answer_to_address<E>(
    request: &HttpRequest,
    [version, question, form]: [&str; 3],
    answer: impl Future<Output = Result<HttpResponse, E>>,
) -> Result<HttpResponse, E> {
    let tag = of(format!("{version} {question} {form} {}", request.query_string()).as_bytes());
    let mut answer = if is_listed(request, &tag) { HttpResponse::NotModified().finish() } else { answer.await? };
    let headers = answer.headers_mut();
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
    if let Ok(tag) = HeaderValue::try_from(tag.to_string()) {
        headers.insert(ETAG, tag);
    }
    Ok(answer)
}

/// The tag of an answer with these bytes, or of these bytes in place of them. It is weak: plain and compressed bytes have the same tag.
fn of(bytes: &[u8]) -> EntityTag {
    // FNV-1a: the tag only has to change when the bytes do.
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3));
    EntityTag::new_weak(format!("{hash:016x}"))
}

/// Whether the caller has the answer with this tag already, or any (`*`).
fn is_known(request: &HttpRequest, tag: &EntityTag) -> bool {
    request.headers().get(IF_NONE_MATCH).is_some_and(|value| value == "*") || is_listed(request, tag)
}

/// Whether the caller names this tag as that of the answer it has.
fn is_listed(request: &HttpRequest, tag: &EntityTag) -> bool {
    matches!(IfNoneMatch::parse(request), Ok(IfNoneMatch::Items(tags)) if tags.iter().any(|one| one.weak_eq(tag)))
}
