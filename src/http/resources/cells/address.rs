//! Errors of a request in the words of its address: parameters in place of fields of a JSON request.

use super::params::{Bed, Brew, Common, Field, Rate, Repeat, Surface, SurfaceKind};
use crate::http::wire::{ErrorCode, RequestError};

/// The advice of a request on containers; what follows is an example in JSON.
const ON_CONTAINERS: &str = "define it under containers, as in {";

/// The error with what to do in an address.
pub fn in_address(mut error: RequestError, parameter: &str) -> RequestError {
    error.detail = match error.code {
        ErrorCode::MissingField if error.detail.starts_with("The field ") => missing(parameter),
        ErrorCode::UnknownField => {
            format!("The other parameters describe something that has no {parameter}. Remove it.")
        }
        ErrorCode::RateDoesNotFit if parameter == "rate" => {
            rates(&error.allowed, |rate| format!("rate={}", rate.replace(' ', "")))
        }
        _ => with_pairs(&with_container(&error.detail), |name, value| format!("{name}={value}")),
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

/// An example of each kind of rate of which the unit tells the kind.
const RATES: [(&str, &str); 6] = [
    ("depth", "2 cm"),
    ("volume_per_area", "5 L/m2"),
    ("mass_per_area", "3 kg/m2"),
    ("volume_per_length", "0.5 L/m"),
    ("per_plant", "250 mL"),
    ("share_of_mix", "20 %"),
];

/// An example of a rate of this kind.
#[must_use]
pub fn rate_of(kind: &str) -> &'static str {
    RATES.iter().find(|(one, _)| *one == kind).map_or("", |(_, rate)| rate)
}

/// The sentence on a rate that does not fit its place, with rates of the kinds that do.
#[must_use]
pub fn rates(kinds: &[String], write: impl Fn(&str) -> String) -> String {
    let fitting = RATES.iter().filter(|(kind, _)| kinds.iter().any(|fits| fits == kind));
    let examples: Vec<String> = fitting.map(|(_, rate)| write(rate)).collect();
    format!("This place does not take such a rate. Write another, such as {}.", examples.join(" or "))
}

/// The text with each JSON pair of a name and a text in it written otherwise.
#[must_use]
pub fn with_pairs(detail: &str, write: impl Fn(&str, &str) -> String) -> String {
    let (mut text, mut rest) = (String::new(), detail);
    while let Some((before, after)) = rest.split_once("\": \"") {
        let (Some((before, name)), Some((value, after))) = (before.rsplit_once('"'), after.split_once('"')) else {
            break;
        };
        text.push_str(before);
        text.push_str(&write(name, value));
        rest = after;
    }
    text + rest
}
