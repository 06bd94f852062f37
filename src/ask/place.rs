//! Where in a caller's file a JSON pointer leads.

use crate::http::wire::path::unescape;
use jsonc_parser::ast::Value;
use jsonc_parser::common::Ranged;
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};

/// The file, with the place of everything in it.
pub(super) struct Places<'a> {
    text: &'a str,
    root: Option<Value<'a>>,
}

impl<'a> Places<'a> {
    /// Reads a file that is known to be JSON.
    pub(super) fn of(bytes: &'a [u8]) -> Self {
        let text = std::str::from_utf8(bytes).unwrap_or_default();
        let parsed = parse_to_ast(text, &CollectOptions::default(), &ParseOptions::default());
        Self { text, root: parsed.ok().and_then(|parsed| parsed.value) }
    }

    /// Line and column, from 1, of the value at a pointer, or of the nearest one around it where there is none.
    pub(super) fn find(&self, pointer: &str) -> Option<(usize, usize)> {
        let mut here = self.root.as_ref()?;
        for step in pointer.split('/').skip(1) {
            let next = match here {
                Value::Object(object) => {
                    let name = unescape(step);
                    let mut members = object.properties.iter();
                    members.find(|member| member.name.as_str() == name).map(|member| &member.value)
                }
                Value::Array(array) => step.parse::<usize>().ok().and_then(|index| array.elements.get(index)),
                _ => None,
            };
            let Some(next) = next else { break };
            here = next;
        }
        let before = self.text.get(..here.start())?;
        let line = before.bytes().filter(|byte| *byte == b'\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
        Some((line, column))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pointer_leads_to_its_value_and_a_missing_one_to_what_is_around_it() {
        let text = "{\n  \"areas\": [\n    {\"name\": \"rösti\", \"a/b\": 1},\n    {\"rate\": {}}\n  ]\n}";
        let places = Places::of(text.as_bytes());
        for (pointer, wanted) in [
            ("", (1, 1)),
            ("/areas", (2, 12)),
            ("/areas/0/name", (3, 14)),
            ("/areas/0/a~1b", (3, 30)),
            ("/areas/1/rate/kind", (4, 14)),
            ("/areas/7", (2, 12)),
            ("/stock", (1, 1)),
        ] {
            assert_eq!(places.find(pointer), Some(wanted), "{pointer}");
        }
    }

    #[test]
    fn what_is_no_json_has_no_places() {
        for bytes in [&b"{"[..], b"\xff", b""] {
            assert_eq!(Places::of(bytes).find(""), None);
        }
    }
}
