//! What is noted when a value is not what was expected, and what follows.

use super::fault::{FaultCode, Pushed};
use super::place::Place;
use super::state::{Cover, Cursor, Id, Source, Stop};
use super::tree::{JsonKind, Node};
use super::words::{clipped, cut};

impl<'p> Cursor<'_, 'p> {
    /// Notes that what was expected is not here, and hides the place. Nothing
    /// is noted while a placeholder is made.
    #[cold]
    pub(crate) fn refuse(&self, expected: &str) -> Option<Pushed<'p>> {
        let (code, detail) = match self.source {
            Source::Made(_) => return None,
            _ if self.reader.faults.is_full_by_one_more() => return None,
            Source::Absent => (FaultCode::MissingField, self.missing(expected, false)),
            Source::Here(Node::Null) => (FaultCode::MissingField, self.missing(expected, true)),
            _ => (FaultCode::WrongType, self.other_type(expected)),
        };
        Some(self.cover_up(self.place, code, detail))
    }

    /// Notes a fault at `at` and hides the place of the cursor.
    pub(crate) fn cover_up(&self, at: Place, code: FaultCode, detail: String) -> Pushed<'p> {
        let pushed = self.reader.faults.push(at, code, detail);
        self.reader.faults.hide(self.place);
        pushed
    }

    fn other_type(&self, expected: &str) -> String {
        let found = self.found().map_or("nothing", JsonKind::as_str);
        let mut letters = expected.chars();
        let first = letters.next().map(|letter| letter.to_ascii_uppercase());
        let start: String = first.into_iter().chain(letters).collect();
        format!("{start} was expected, {found} was found.")
    }

    fn missing(&self, expected: &str, null: bool) -> String {
        let is = if null { "null, which counts as missing" } else { "missing" };
        let word = self.word();
        if let Some(name) = self.place.name() {
            let name = clipped(name);
            format!("The {word} \"{name}\" is {is}. Give it {expected}.")
        } else if let Some(number) = self.place.number() {
            format!("Entry {number} of the list (the first is 0) is {is}. Make it {expected}, or take it out.")
        } else {
            format!("The value is {is}. Give {expected}.")
        }
    }

    /// What a member of the outermost object is called.
    pub(crate) fn word(&self) -> &'static str {
        if self.reader.faults.is_query() { "parameter" } else { "field" }
    }

    /// Takes a refusal by a type where it can be told by its place. A part of a
    /// placeholder has no id.
    pub(crate) fn settle<V>(&self, id: Option<Id>, result: Result<V, Stop>) -> Result<V, Stop> {
        result.map_err(|stop| self.after_refusal(id, stop))
    }

    #[cold]
    fn after_refusal(&self, id: Option<Id>, stop: Stop) -> Stop {
        let words = match (stop, self.source) {
            (Stop::Noted, _) => return Stop::Noted,
            (_, Source::Made(_)) => return self.escalate(id),
            (Stop::Said(words), _) => Some(words),
            (Stop::Hopeless, _) => None,
        };
        if let Some(words) = words {
            self.note_refusal(&words);
        }
        self.reader.faults.hide(self.place);
        let Some(id) = id else {
            return Stop::Hopeless;
        };
        self.reader.set_cover(id, Cover::Placeholder);
        Stop::Noted
    }

    /// A placeholder was refused.
    fn escalate(&self, id: Option<Id>) -> Stop {
        match id {
            Some(id) if self.reader.cover(id) == Some(Cover::Placeholder) => {
                self.reader.set_cover(id, Cover::LeaveOut);
                Stop::Noted
            }
            _ => Stop::Hopeless,
        }
    }

    /// Notes what a type said of a value it refused.
    pub(crate) fn note_refusal(&self, words: &str) {
        let code = match self.found() {
            None => FaultCode::MissingField,
            Some(JsonKind::Text) => FaultCode::BadText,
            Some(_) => FaultCode::WrongType,
        };
        let words = cut(words, 300);
        let detail = format!("The value cannot be understood: {words}.");
        self.reader.faults.push(self.place, code, detail);
    }
}
