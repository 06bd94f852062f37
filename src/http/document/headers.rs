//! The headers of answers, and the tag by which a caller asks whether the answer it has still holds.

use super::shapes::operations_mut;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::path::{Operation, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{Components, OpenApi, Ref, RefOr, Required, Response, ResponseBuilder, Schema};

/// A header: its name, the type of its value, and what it says.
struct DocumentedHeader {
    name: &'static str,
    kind: Type,
    about: &'static str,
}

const ETAG: DocumentedHeader = DocumentedHeader {
    name: "ETag",
    kind: Type::String,
    about: "The tag of this answer. Send it in `If-None-Match` to ask whether the answer is still valid.",
};
const VARY: DocumentedHeader = DocumentedHeader {
    name: "Vary",
    kind: Type::String,
    about: "`Accept, Accept-Encoding, Origin`: the headers of the request on which the answer depends, for caches.",
};
const RETRY_AFTER: DocumentedHeader =
    DocumentedHeader { name: "Retry-After", kind: Type::Integer, about: "In how many seconds to ask again." };
const WWW_AUTHENTICATE: DocumentedHeader = DocumentedHeader {
    name: "WWW-Authenticate",
    kind: Type::String,
    about: "`Bearer`: send a token in the header `Authorization`.",
};
const ALL: [DocumentedHeader; 4] = [ETAG, VARY, RETRY_AFTER, WWW_AUTHENTICATE];

/// Tells the headers of every answer. What has a tag answers 304 while it holds.
pub fn complete(api: &mut OpenApi) {
    let components = api.components.get_or_insert_with(Components::new);
    for DocumentedHeader { name, kind, about } in ALL {
        let schema = RefOr::T(Schema::Object(ObjectBuilder::new().schema_type(kind).build()));
        let header = HeaderBuilder::new().schema(Some(schema)).description(Some(about)).build();
        components.headers.insert(name.to_owned(), RefOr::T(header));
    }
    for item in api.paths.paths.values_mut() {
        if let Some(get) = item.get.as_mut().filter(|get| has_tag(get)) {
            tagged(get);
        }
        for (status, response) in operations_mut(item).flat_map(|operation| &mut operation.responses.responses) {
            let RefOr::T(response) = response else { continue };
            for name in headers_of(status) {
                add(response, name);
            }
        }
    }
}

/// The headers of every answer with a status.
fn headers_of(status: &str) -> &'static [&'static str] {
    match status {
        "200" => &[VARY.name],
        "401" => &[WWW_AUTHENTICATE.name],
        "503" => &[RETRY_AFTER.name],
        _ => &[],
    }
}

/// Whether an answer to a GET has a tag: it is the same until the program or the request is another.
fn has_tag(get: &Operation) -> bool {
    !get.tags.iter().flatten().any(|tag| tag == "cells" || tag == "health")
}

/// Adds the tag, the question whether it holds, and the answer that it does.
fn tagged(get: &mut Operation) {
    let about = "The tag of the answer that you have. If it is still valid, you get 304 and no body.";
    let parameter = ParameterBuilder::new()
        .name("If-None-Match")
        .parameter_in(ParameterIn::Header)
        .required(Required::False)
        .description(Some(about))
        .schema(Some(ObjectBuilder::new().schema_type(Type::String)))
        .build();
    get.parameters.get_or_insert_default().push(RefOr::T(parameter));
    let holds = || {
        let about = "The answer with the tag in `If-None-Match` is still valid; it is not sent again.";
        RefOr::T(ResponseBuilder::new().description(about).build())
    };
    let responses = &mut get.responses.responses;
    let _ = responses.entry("304".to_owned()).or_insert_with(holds);
    for status in ["200", "304"] {
        if let Some(RefOr::T(response)) = responses.get_mut(status) {
            add(response, ETAG.name);
        }
    }
}

/// Refers to a header.
fn add(response: &mut Response, name: &str) {
    let reference = RefOr::Ref(Ref::new(format!("#/components/headers/{name}")));
    response.headers.insert(name.to_owned(), reference);
}
