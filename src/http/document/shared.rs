//! Responses and parameters that several operations have, described once.

use super::shapes::{json, operations, operations_mut};
use actix_web::http::StatusCode;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::openapi::path::{Operation, Parameter};
use utoipa::openapi::{OpenApi, Ref, RefOr};

/// What an operation has: what it is called there, and what it says.
type NameAndContent = (String, String);

/// Puts responses and parameters that several operations have in one place; the operations then refer to it.
pub fn share(api: &mut OpenApi) {
    let all = || api.paths.paths.values().flat_map(operations);
    let responses = all().flat_map(|operation| &operation.responses.responses);
    let responses = names(responses.map(|(status, response)| (words(status), response)));
    let parameters = all().flat_map(|operation| operation.parameters.iter().flatten());
    let parameters = names(parameters.map(|parameter| (called(parameter), parameter)));
    let mut components = api.components.take().unwrap_or_default();
    for operation in api.paths.paths.values_mut().flat_map(operations_mut) {
        let Operation { responses: own, parameters: taken, .. } = operation;
        for (status, response) in &mut own.responses {
            refer((words(status), response), &responses, ("responses", &mut components.responses));
        }
        for parameter in taken.iter_mut().flatten() {
            refer((called(parameter), parameter), &parameters, ("parameters", &mut components.parameters));
        }
    }
    api.components = Some(components);
}

/// Puts a reference in place of what has a name of its own.
fn refer<T: Serialize>(
    (called, here): (String, &mut RefOr<T>),
    names: &BTreeMap<NameAndContent, String>,
    (kind, shared): (&str, &mut BTreeMap<String, RefOr<T>>),
) {
    if let Some(name) = names.get(&(called, json(here))) {
        let reference = RefOr::Ref(Ref::new(format!("#/components/{kind}/{name}")));
        shared.insert(name.clone(), std::mem::replace(here, reference));
    }
}

/// The names of what is there more than once: what it is called, with a number from the second on.
fn names<'a, T: Serialize + 'a>(all: impl Iterator<Item = (String, &'a T)>) -> BTreeMap<NameAndContent, String> {
    let mut times: BTreeMap<NameAndContent, usize> = BTreeMap::new();
    all.for_each(|(called, it)| *times.entry((called, json(it))).or_default() += 1);
    let mut alike: BTreeMap<String, usize> = BTreeMap::new();
    let several = times.into_iter().filter(|(_, times)| *times > 1);
    let named = several.map(|(key, _)| {
        let number = alike.entry(key.0.clone()).or_default();
        *number += 1;
        let name = if *number == 1 { key.0.clone() } else { format!("{}{number}", key.0) };
        (key, name)
    });
    named.collect()
}

/// The words of a status, in one: `NotAcceptable`.
fn words(status: &str) -> String {
    let code = status.parse().ok().and_then(|code| StatusCode::from_u16(code).ok());
    code.and_then(|code| code.canonical_reason()).unwrap_or("Response").replace(' ', "")
}

/// The name of a parameter.
fn called(parameter: &RefOr<Parameter>) -> String {
    match parameter {
        RefOr::T(parameter) => parameter.name.clone(),
        RefOr::Ref(reference) => reference.ref_location.clone(),
    }
}
