//! Errors of a request in the words of its address: parameters in place of fields of a JSON request.

use super::params::{Bed, Brew, Common, Field, Rate, Repeat, Surface, SurfaceKind};
use crate::http::wire::{ErrorCode, RequestError};

/// The advice of a request on containers; what follows is an example in JSON.
const ON_CONTAINERS: &str = "define it under containers, as in {";

/// The error with what to do in an address.
pub fn in_address(mut error: RequestError, parameter: &str) -> RequestError {
    error.detail = match error.code {
        ErrorCode::MissingField if error.detail.starts_with("The field ") => missing(parameter),
        ErrorCode::UnknownField => format!("What the other parameters describe has no {parameter}. Take it out."),
        _ => with_container(&error.detail),
    };
    error
}

fn missing(parameter: &str) -> String {
    let all =
        [Surface::FIELDS, SurfaceKind::FIELDS, Rate::FIELDS, Repeat::FIELDS, Bed::FIELDS, Brew::FIELDS, Common::FIELDS];
    let field: Option<&Field> = all.into_iter().flatten().find(|(name, ..)| *name == parameter);
    let example = field.map(|(name, example, _)| format!(", as in {name}={example}")).unwrap_or_default();
    format!("This parameter is missing. Give it{example}.")
}

/// The text with a container named in the address, where it is to be defined in JSON.
#[must_use]
pub fn with_container(detail: &str) -> String {
    let parts = detail.split_once(ON_CONTAINERS).and_then(|(before, json)| Some((before, json.split_once('}')?.1)));
    match parts {
        Some((before, after)) => {
            format!("{before}name the container in the address, as in container=bucket:12 L{after}")
        }
        None => detail.to_owned(),
    }
}
