//! The query as pairs: decoded, checked for names, and the way back from an error in the tree to its parameter.

use super::address::in_address;
use super::decimal::{hint, with_point};
use super::error;
use super::flat::{Fields, field_of};
use super::params::{Common, REPEATED, Surface, SurfaceKind, WORDS};
use crate::http::limits::MAX_QUERY;
use crate::http::problem::Problem;
use crate::http::query::{given, one_of, repeated, unknown};
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestError, RequestErrors, Where};

/// A query, decoded: `+` is a space, a lone `%` is itself, an empty parameter is one not given.
#[derive(Debug)]
pub struct Query {
    pairs: Vec<(String, String)>,
    allowed: Vec<&'static str>,
    too_long: bool,
    /// The parameters that have a point where the decimal mark is a comma, and what is wrong with each.
    pointed: Vec<(String, String)>,
}

impl Fields for Query {
    /// The value of a parameter, the first if it is repeated.
    fn get(&self, name: &str) -> Option<&str> {
        self.pairs.iter().find(|(n, _)| n == name).map(|(_, value)| value.trim())
    }
}

impl Query {
    /// Reads a query of a question that has a surface, these parameters of its own, and those of every cell.
    pub fn read(text: &str, own: &[&'static str]) -> Self {
        let too_long = text.len() > MAX_QUERY;
        let readable = if too_long { "" } else { text };
        let allowed = [SurfaceKind::NAMES, Surface::NAMES, own, Common::NAMES].concat();
        let (mut pairs, mut pointed): (Vec<(String, String)>, _) = (given(readable, &allowed).collect(), Vec::new());
        if pairs.iter().any(|(name, value)| name == "decimal" && value.trim() == "comma") {
            for (name, value) in &mut pairs {
                match with_point(name, value.trim()) {
                    Ok(text) => *value = text,
                    Err(wrong) => pointed.push((name.clone(), wrong)),
                }
            }
        }
        Self { pairs, allowed, too_long, pointed }
    }

    /// All values of a parameter.
    pub fn all<'q>(&'q self, name: &'q str) -> impl Iterator<Item = &'q str> {
        self.pairs.iter().filter(move |(n, _)| n == name).map(|(_, value)| value.trim())
    }

    /// True if the query is longer than what is read.
    pub const fn is_too_long(&self) -> bool {
        self.too_long
    }

    /// True if errors are to be answered inside the cell.
    pub fn errors_in_cell(&self) -> bool {
        self.get("errors") == Some("cell")
    }

    /// Tells unknown and repeated parameters, and words that are not accepted.
    pub fn check(&self, errors: &RequestErrors) {
        if self.too_long {
            error(errors, "", ErrorCode::TooLarge, format!("The query may have at most {MAX_QUERY} bytes."));
        }
        for (i, (name, _)) in self.pairs.iter().enumerate() {
            if !self.allowed.contains(&name.as_str()) {
                unknown(name, &self.allowed, errors);
            } else if !REPEATED.contains(&name.as_str()) && self.pairs.iter().take(i).any(|(n, _)| n == name) {
                repeated(name, errors);
            }
        }
        for (name, words) in WORDS.iter().filter(|(name, _)| self.allowed.contains(name)) {
            if let Some(value) = self.get(name) {
                one_of(name, value, words, errors);
            }
        }
        for (name, wrong) in &self.pointed {
            error(errors, name, ErrorCode::BadNumber, wrong.clone());
            errors.hide(JsonPath::root().field(name));
        }
    }

    /// All errors as those of parameters, in the order of the query.
    pub fn problem(&self, of_query: RequestErrors, of_tree: Option<RequestErrors>, tree: &Node<'_>) -> Problem {
        let mut errors = of_query.into_sorted(tree);
        if let Some(found) = of_tree {
            let mapped = found.into_sorted(tree).into_iter().map(|f| self.as_parameter(f));
            for error in mapped {
                let is_pointed = |at: &str| self.pointed.iter().any(|(name, _)| name == at);
                let reported = |other: &RequestError| {
                    let is_missing = [other.code, error.code].contains(&ErrorCode::MissingField);
                    other.at == error.at && (other.code == error.code || is_missing || is_pointed(error.at.as_str()))
                };
                if !errors.iter().any(reported) {
                    errors.push(error);
                }
            }
        }
        let position = |error: &RequestError| match &error.at {
            Where::Query { parameter } => self.pairs.iter().position(|(n, _)| n == parameter).unwrap_or(usize::MAX),
            Where::Body { .. } | Where::Csv { .. } => usize::MAX,
        };
        errors.sort_by_key(position);
        errors.iter_mut().for_each(|error| self.name_decimal_comma(error));
        Problem::listed(errors, 0)
    }

    /// Adds how a number with a decimal comma is read, where that may be what is wrong.
    fn name_decimal_comma(&self, error: &mut RequestError) {
        let Where::Query { parameter } = &error.at else { return };
        if error.code == ErrorCode::BadNumber && self.get("decimal") != Some("comma") {
            error.detail.extend(self.all(parameter).find_map(|value| hint(parameter, value)));
        }
    }

    /// An error in the tree as one of the parameter that the place was made from.
    fn as_parameter(&self, error: RequestError) -> RequestError {
        let Where::Body { pointer } = &error.at else { return error };
        let segments: Vec<&str> = pointer.split('/').collect();
        let has = |name: &str| segments.contains(&name);
        let parameter = if has("assumptions") {
            "assume"
        } else if has("containers") {
            "container"
        } else {
            field_of(pointer, &self.allowed)
        };
        let at = Where::Query { parameter: parameter.to_owned() };
        RequestError { at, ..in_address(error, parameter) }
    }
}
