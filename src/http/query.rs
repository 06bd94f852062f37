//! The query of an address, taken apart, and what can be wrong with its parameters.

use super::wire::{ErrorCode, JsonPath, RequestErrors, clipped, nearest, synonym};

/// The most parameters that the sentence on an unknown one names.
const MAX_NAMED: usize = 12;

/// The pairs of a query, decoded; `+` is a space.
pub fn pairs(query: &str) -> impl Iterator<Item = (String, String)> + '_ {
    let decoded = |text: &str| String::from_utf8_lossy(&decoded(text)).into_owned();
    query.split('&').filter(|pair| !pair.is_empty()).map(move |pair| {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        (decoded(name), decoded(value))
    })
}

/// The pairs without those of known names of which the value is empty: such a parameter is one not given.
pub fn given<'q>(query: &'q str, known: &[&str]) -> impl Iterator<Item = (String, String)> + use<'q> {
    let known: Vec<String> = known.iter().map(|name| (*name).to_owned()).collect();
    pairs(query).filter(move |(name, value)| !value.trim().is_empty() || !known.contains(name))
}

/// Notes a parameter that the address does not take, with the nearest one that it takes.
pub fn unknown(name: &str, known: &[&str], errors: &RequestErrors) {
    let near = synonym(name, known).or_else(|| nearest(name, known));
    let mending = match near {
        Some(near) => format!("Did you mean {near}?"),
        None if known.len() > MAX_NAMED => "Remove it.".to_owned(),
        None => format!("Remove it, or use one of {}.", known.join(", ")),
    };
    unknown_but(name, &mending, (known, near), errors);
}

/// The same with advice of its own.
pub fn unknown_but(name: &str, advice: &str, (known, near): (&[&str], Option<&str>), errors: &RequestErrors) {
    let detail = format!("There is no such parameter here. {advice}");
    let mut pushed = errors.push(JsonPath::root().field(name), ErrorCode::UnknownParameter, detail);
    pushed.nearest(near).allowed(known);
}

/// Notes a parameter that is given more than once.
pub fn repeated(name: &str, errors: &RequestErrors) {
    let detail = "This parameter is given twice; give it once.";
    errors.push(JsonPath::root().field(name), ErrorCode::RepeatedParameter, detail);
}

/// The word that a parameter is, or nothing after an error that says which words there are.
pub fn one_of<'w>(name: &str, value: &str, words: &[&'w str], errors: &RequestErrors) -> Option<&'w str> {
    let found = words.iter().copied().find(|word| *word == value);
    if found.is_none() {
        let detail = format!("\"{}\" is not known here. Write one of {}.", clipped(value), words.join(", "));
        let mut pushed = errors.push(JsonPath::root().field(name), ErrorCode::UnknownValue, detail);
        pushed.nearest(nearest(value, words)).allowed(words);
    }
    found
}

/// The bytes of a part of a query; `+` is a space.
#[must_use]
pub fn decoded(text: &str) -> Vec<u8> {
    percent_encoding::percent_decode_str(&text.replace('+', " ")).collect()
}
