//! What keeps bytes from being a JSON document, in words.

use std::fmt;

use super::codes::ErrorCode;
use super::sentences::cut;

/// The most lists and objects that may be nested in one another.
pub const MAX_DEPTH: usize = 32;

/// The one error that keeps bytes from being a JSON document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyntaxFault {
    /// What kind of error it is: `not_json`, or that of a document that cannot be held.
    pub code: ErrorCode,
    /// The line and the column of the error, where it has them. Both count from 1; a column counts letters, not bytes.
    pub position: Option<(usize, usize)>,
    /// What is wrong and what to write instead.
    message: String,
}

impl SyntaxFault {
    /// An error of bytes that are no JSON document.
    fn not_json(position: Option<(usize, usize)>, message: impl Into<String>) -> Self {
        Self { code: ErrorCode::NotJson, position, message: message.into() }
    }
}

impl fmt::Display for SyntaxFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((line, column)) = self.position {
            write!(out, "Line {line}, column {column}: ")?;
        }
        out.write_str(&self.message)
    }
}

impl std::error::Error for SyntaxFault {}

/// The bytes as a text that is worth reading.
pub(crate) fn text_of(bytes: &[u8]) -> Result<&str, SyntaxFault> {
    if bytes.starts_with(b"\xEF\xBB\xBF") {
        let message = "The body starts with a byte-order mark, which JSON does not have. Save it as UTF-8 without a byte-order mark.";
        return Err(SyntaxFault::not_json(Some((1, 1)), message));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let offset = error.valid_up_to();
        let message = format!(
            "The body is not UTF-8 text from byte {offset} on (the first byte is 0). Save or send it as UTF-8."
        );
        SyntaxFault::not_json(None, message)
    })?;
    if text.bytes().all(|byte| matches!(byte, b' ' | b'\t' | b'\r' | b'\n')) {
        return Err(SyntaxFault::not_json(None, "The body is empty. Send a JSON document."));
    }
    Ok(text)
}

/// What the JSON reader found wrong, in words.
pub(crate) fn explain(text: &str, error: &serde_json::Error, too_deep: bool) -> SyntaxFault {
    if too_deep {
        let message = format!("Lists and objects are nested more than {MAX_DEPTH} deep. Nest them less.");
        return SyntaxFault { code: ErrorCode::TooDeep, position: Some(first_too_deep(text)), message };
    }
    let line = error.line().max(1);
    let line_text = text.split('\n').nth(line.saturating_sub(1)).unwrap_or_default();
    let (before, after) = split_at_byte(line_text, error.column().saturating_sub(1));
    let column = before.chars().count().saturating_add(1);
    let reported = error.to_string();
    let place = format!(" at line {} column {}", error.line(), error.column());
    let reported = reported.strip_suffix(place.as_str()).unwrap_or(&reported);
    let is_too_large = reported == "number out of range";
    let code = if is_too_large { ErrorCode::NumberOutOfRange } else { ErrorCode::NotJson };
    SyntaxFault { code, position: Some((line, column)), message: message(reported, before, after) }
}

/// Finds the bracket that opens one list or object too many. What is before
/// it has been read as JSON already.
fn first_too_deep(text: &str) -> (usize, usize) {
    let (mut line, mut column, mut depth) = (1_usize, 0_usize, 0_usize);
    let (mut in_text, mut escaped) = (false, false);
    for letter in text.chars() {
        column = column.saturating_add(1);
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = in_text,
            '"' => in_text = !in_text,
            '\n' => (line, column) = (line.saturating_add(1), 0),
            '[' | '{' if !in_text => depth = depth.saturating_add(1),
            ']' | '}' if !in_text => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth > MAX_DEPTH {
            break;
        }
    }
    (line, column)
}

/// The line in two, the second part starting with the byte of this number or
/// with the letter that the byte belongs to.
fn split_at_byte(line: &str, byte: usize) -> (&str, &str) {
    let at = line.floor_char_boundary(byte);
    line.split_at_checked(at).unwrap_or((line, ""))
}

/// The message for an error between two parts of a line.
fn message(reported: &str, before: &str, after: &str) -> String {
    let about_word = match reported {
        "expected value" | "expected ident" | "invalid number" | "key must be a string" => {
            word_message(before, after, reported == "key must be a string")
        }
        _ => None,
    };
    let message = about_word.or_else(|| known_message(reported));
    message.map_or_else(|| format!("This is not JSON: {}.", cut(reported, 200)), str::to_owned)
}

/// What to say of a number that is written otherwise.
const NOT_A_NUMBER: &str = "This is not a number as JSON writes it: digits, a decimal point with digits on both sides, no leading zeros and no plus sign.";

/// Whether digits follow a sign or a point.
fn is_number(text: &str) -> bool {
    text.trim_start_matches(['+', '.']).starts_with(|first: char| first.is_ascii_digit())
}

/// What to say about the word or sign at the error.
fn word_message(before: &str, after: &str, name: bool) -> Option<&'static str> {
    let in_word = |letter: &char| letter.is_alphanumeric() || *letter == '_';
    let start: Vec<char> = before.chars().rev().take(12).take_while(in_word).collect();
    let end = after.chars().take(12).take_while(in_word);
    let word: String = start.into_iter().rev().chain(end).collect();
    match (word.to_ascii_lowercase().as_str(), after.chars().next()) {
        ("nan" | "inf" | "infinity", _) => {
            Some("JSON has no NaN and no Infinity. Write a plain number, or leave the field out.")
        }
        ("none" | "undefined" | "nil", _) => Some("JSON writes nothing as null. Write null, or leave the field out."),
        ("true" | "false" | "null", _) => Some("Write true, false and null in small letters."),
        (_, Some('\'' | '‘' | '’' | '“' | '”' | '„')) => {
            Some("JSON puts texts and names into straight double quotes: \"like this\".")
        }
        (_, Some('/' | '#')) => Some("JSON has no comments. Take the comment out."),
        (_, Some('+' | '.')) if !name && is_number(after) => Some(NOT_A_NUMBER),
        (_, Some(',')) => Some("A value is missing before this comma, or the comma is one too many."),
        (_, Some('}' | ']')) if !name => Some("A value is missing before this bracket."),
        _ => None,
    }
}

/// What to say instead of the words of the JSON reader.
fn known_message(reported: &str) -> Option<&'static str> {
    Some(match reported {
        "EOF while parsing a list" => "The text ends inside a list. Close it with ].",
        "EOF while parsing an object" => "The text ends inside an object. Close it with }.",
        "EOF while parsing a string" => "The text ends inside a text in quotes. Close it with a double quote.",
        "EOF while parsing a value" => "The text ends where a value was expected.",
        "expected `:`" => "A colon was expected between a name and its value.",
        "expected `,` or `]`" => "A comma or the closing ] of the list was expected.",
        "expected `,` or `}`" => "A comma or the closing } of the object was expected.",
        "expected ident" | "expected value" => {
            "A value was expected: a text in double quotes, a number, true, false, null, a list or an object."
        }
        "expected `\"`" => "A double quote was expected.",
        "invalid escape" => {
            "A backslash in a text must start one of \\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u. Write \\\\ for a backslash."
        }
        "invalid number" => NOT_A_NUMBER,
        "control character (\\u0000-\\u001F) found while parsing a string" => {
            "A text must not hold a line break, tab or other control character. Write \\n for a line break and \\t for a tab."
        }
        "number out of range" => "The number that ends here is too large to be read. Write a smaller one.",
        "trailing characters" => {
            "The document ends before this, but more text follows. Send one JSON document and nothing after it."
        }
        "key must be a string" => "The name of a field was expected, in double quotes.",
        "trailing comma" => "The comma before the closing bracket is one too many. Remove it.",
        "invalid unicode code point" | "lone leading surrogate in hex escape" | "unexpected end of hex escape" => {
            "The \\u escape is not that of a letter. Write the letter itself."
        }
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::super::tree::parse;
    use super::*;

    fn error(text: &str) -> SyntaxFault {
        parse(text.as_bytes()).unwrap_err()
    }

    fn reported(text: &str) -> String {
        error(text).to_string()
    }

    #[test]
    fn nothing_and_not_utf8() {
        assert_eq!(reported(""), "The body is empty. Send a JSON document.");
        assert_eq!(error(" \r\n\t"), error(""));
        let bytes = parse(b"{\"a\": \"\xFF\"}").unwrap_err().to_string();
        assert!(bytes.starts_with("The body is not UTF-8 text from byte 7 on"), "{bytes}");
        assert!(parse(b"\xEF\xBB\xBF{}").unwrap_err().to_string().contains("byte-order mark"));
    }

    #[test]
    fn positions_count_letters() {
        let trailing = error("\n[\"Möh\"] x");
        assert_eq!((trailing.code, trailing.position), (ErrorCode::NotJson, Some((2, 9))));
        assert!(reported("{} {}").starts_with("Line 1, column 4: The document ends before this"));
        let range = error("{\"a\":\n 1e999}");
        assert_eq!(range.position.unwrap_or_default().0, 2, "{range:?}");
        assert_eq!(range.code, ErrorCode::NumberOutOfRange);
        assert_eq!(error("-1e999").code, ErrorCode::NumberOutOfRange);
    }

    #[test]
    fn messages_say_how_to_mend_it() {
        let cases = [
            ("{\"a\": NaN}", "no NaN"),
            ("[Infinity]", "no Infinity"),
            ("[-Infinity]", "no Infinity"),
            ("[nan]", "no NaN"),
            ("[None]", "null"),
            ("[True]", "small letters"),
            ("{'a': 1}", "double quotes"),
            ("['a']", "double quotes"),
            ("{\"a\": 1,}", "one too many"),
            ("[1,]", "one too many"),
            ("[1,,2]", "missing before this comma"),
            ("{\"a\": }", "missing before this bracket"),
            ("{a: 1}", "name of a field"),
            ("[1 // no\n]", "comma or the closing ]"),
            ("[// no\n1]", "no comments"),
            ("[1", "ends inside a list"),
            ("{\"a\"", "ends inside an object"),
            ("{\"a\": \"b", "ends inside a text"),
            ("{\"a\":", "ends where a value"),
            ("[01]", "leading zeros"),
            ("[+1]", "no plus sign"),
            ("{\"a\": .5}", "a decimal point with digits on both sides"),
            ("[+.5]", "no plus sign"),
            ("[+]", "A value was expected"),
            ("[...]", "A value was expected"),
            ("{+1: 2}", "name of a field"),
            ("[\"a\tb\"]", "\\t for a tab"),
            ("[\"\\x\"]", "backslash"),
            ("[\"\\ud800\"]", "escape"),
            ("[nule]", "A value was expected"),
            ("{\"a\" 1}", "colon"),
        ];
        for (text, part) in cases {
            let reported = reported(text);
            assert!(reported.contains(part), "{text}: {reported}");
            assert!(reported.starts_with("Line 1, column "), "{text}: {reported}");
        }
    }
}
