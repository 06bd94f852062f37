//! What is noted when a value is not what was expected, and what follows.

use super::error::{ErrorCode, Pushed};
use super::examples::{as_in_item, as_in_or, is_day};
use super::path::JsonPath;
use super::sentences::clipped;
use super::state::{Cursor, Source};
use super::tree::Node;

impl<'p> Cursor<'_, 'p> {
    /// Notes that what was expected is not here, and hides the place. Nothing
    /// is noted while a placeholder is made.
    #[cold]
    pub(crate) fn refuse(&self, expected: &str) -> Option<Pushed<'p>> {
        let (code, detail) = match self.source {
            Source::Made(_) => return None,
            _ if self.errors.is_full_by_one_more() => return None,
            Source::Absent | Source::Here(Node::Null) => (ErrorCode::MissingField, self.missing(expected, None)),
            _ => (ErrorCode::WrongType, self.other_type(expected)),
        };
        Some(self.cover_up(self.place, code, detail))
    }

    /// The cursor where there is a value. Else notes that a text like this one is missing, and gives a cursor for a placeholder.
    pub(crate) fn or_made_like(self, example: &str) -> Self {
        if !matches!(self.source, Source::Absent | Source::Here(Node::Null)) {
            return self;
        }
        if !self.errors.is_full_by_one_more() {
            self.cover_up(self.place, ErrorCode::MissingField, self.missing("a text in quotes", Some(example)));
        }
        Self { source: Source::Made(0), ..self }
    }

    /// Notes an error at `at` and hides the place of the cursor.
    pub(crate) fn cover_up(&self, at: JsonPath, code: ErrorCode, detail: String) -> Pushed<'p> {
        let pushed = self.errors.push(at, code, detail);
        self.errors.hide(self.place);
        pushed
    }

    fn other_type(&self, expected: &str) -> String {
        let found = self.found();
        let mut letters = expected.chars();
        let first = letters.next().map(|letter| letter.to_ascii_uppercase());
        let start: String = first.into_iter().chain(letters).collect();
        let example = match (self.place.name(), self.place.list()) {
            (Some(name), _) => as_in_or((self.place.holder(), name), expected, None),
            (None, Some(list)) => as_in_item((self.place.holder(), list), expected),
            (None, None) => String::new(),
        };
        let example = example.strip_prefix(", ").map(|example| format!(" Write it {example}.")).unwrap_or_default();
        format!("{start} was expected, {found} was found.{example}")
    }

    fn missing(&self, expected: &str, like: Option<&str>) -> String {
        let is = if matches!(self.source, Source::Absent) { "missing" } else { "null, which counts as missing" };
        if let Some(name) = self.place.name() {
            let example = as_in_or((self.place.holder(), name), expected, like);
            let expected = if is_day(name) { "a day in quotes" } else { expected };
            let name = clipped(name);
            format!("The field \"{name}\" is {is}. Give it {expected}{example}.")
        } else if self.place.number().is_some() {
            format!("This entry of the list is {is}. Make it {expected}, or remove it.")
        } else {
            format!("The value is {is}. Give {expected}.")
        }
    }
}
