//! A refusal (`application/problem+json`) in plain lines.

use std::fmt::Write;

use serde_json::Value;

use super::place::Places;
use super::question::Request;
use crate::http::present::words::clean;

/// The status of a request without a token of the service. Source: RFC 9110, section 15.5.2.
const NO_TOKEN: u16 = 401;

/// The title, what goes for the whole request, then each error: what is wrong, the place, what was perhaps meant and what is
/// allowed.
pub(super) fn readable(status: u16, body: &[u8], request: Option<&Request>) -> String {
    let problem = serde_json::from_slice::<Value>(body).unwrap_or(Value::Null);
    let text = |field: &str| problem.get(field).and_then(Value::as_str).map(clean).unwrap_or_default();
    let title = text("title");
    let mut page = if title.is_empty() { "The request was refused".to_owned() } else { title.clone() };
    // Writing to a string cannot fail.
    let _ = writeln!(page, " ({status})");
    let detail = text("detail");
    let errors = problem.get("errors").and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    let file = request.map(|request| &request.file);
    let is_the_only_error = matches!(errors, [error] if list(error.get("detail").unwrap_or(&Value::Null)) == detail);
    if !detail.is_empty() && detail != title && !is_the_only_error {
        let _ = writeln!(page, "{detail}");
    }
    if status == NO_TOKEN {
        let _ = writeln!(page, "The token is given with --token or --token-file, or by BARROWFUL_TOKEN.");
    }
    let places = request.filter(|request| request.is_json).map(|request| Places::of(&request.bytes));
    for error in errors {
        page.push_str(&lines(error, (places.as_ref(), file)));
    }
    let shown = u64::try_from(errors.len()).unwrap_or(u64::MAX);
    let more = problem.get("errors_total").and_then(Value::as_u64).unwrap_or(0).saturating_sub(shown);
    if more > 0 {
        let _ = writeln!(page, "and {more} more");
    }
    page
}

fn lines(error: &Value, file: InFile<'_>) -> String {
    let text = |field: &str| list(error.get(field).unwrap_or(&Value::Null));
    let (code, detail) = (text("code"), text("detail"));
    let what = if detail.is_empty() { code } else { detail };
    let mut lines = format!("{what}\n   at {}\n", place(error, file));
    for field in ["nearest", "allowed"] {
        let value = text(field);
        if !value.is_empty() {
            let _ = writeln!(lines, "   {field}: {value}");
        }
    }
    lines
}

/// A text, a number, or a list of them, as words.
fn list(value: &Value) -> String {
    match value {
        Value::String(text) => clean(text),
        Value::Number(number) => number.to_string(),
        Value::Bool(flag) => flag.to_string(),
        Value::Array(values) => {
            let words: Vec<String> = values.iter().map(list).filter(|word| !word.is_empty()).collect();
            words.join(", ")
        }
        Value::Null | Value::Object(_) => String::new(),
    }
}

/// The places in the caller's file, and its name, where there is one.
type InFile<'a> = (Option<&'a Places<'a>>, Option<&'a String>);

/// A pointer into the body with its line and column in the caller's file, a query parameter, or a line and column of a table.
fn place(error: &Value, (places, file): InFile<'_>) -> String {
    let text = |field: &str| list(error.get(field).unwrap_or(&Value::Null));
    let (line, column) = (text("line"), text("column"));
    if let (Some(file), "body", false, false) = (file, text("at").as_str(), line.is_empty(), column.is_empty()) {
        return format!("{file}:{line}:{column}");
    }
    if let Some(pointer) = error.get("pointer").and_then(Value::as_str) {
        let shown = if pointer.is_empty() { "the top".to_owned() } else { clean(pointer) };
        let found = places.and_then(|places| places.find(pointer));
        return match (found, file) {
            (Some((line, column)), Some(file)) => format!("{file}:{line}:{column} ({shown})"),
            _ => shown,
        };
    }
    let (parameter, line, column) = (text("parameter"), text("line"), text("column"));
    match (parameter.is_empty(), line.is_empty(), column.is_empty()) {
        (false, _, _) => format!("parameter {parameter}"),
        (_, false, true) => format!("line {line}"),
        (_, false, false) => format!("line {line}, column {column}"),
        _ => "the request".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn printed(problem: &Value) -> String {
        readable(422, problem.to_string().as_bytes(), None)
    }

    #[test]
    fn every_error_has_its_place_what_was_meant_and_what_is_allowed() {
        let page = printed(&json!({
            "type": "/problems/invalid-request", "title": "The request has errors", "status": 422,
            "detail": "There are 103 errors.", "errors_total": 103,
            "errors": [
                {"at": "body", "pointer": "/areas/0/rate/kind", "code": "unknown_kind", "detail": "Area 1 ('roses'): No rate is called \"dept\".",
                 "nearest": "depth", "allowed": ["depth", "per_plant"]},
                {"at": "body", "pointer": "", "code": "missing"},
                {"at": "query", "parameter": "unit", "code": "unknown", "detail": "No such unit."},
                {"at": "csv", "line": 3, "column": "rate", "code": "x", "detail": "No rate."}
            ]
        }));
        assert_eq!(
            page,
            "The request has errors (422)\n\
             There are 103 errors.\n\
             Area 1 ('roses'): No rate is called \"dept\".\n   at /areas/0/rate/kind\n   nearest: depth\n   allowed: depth, per_plant\n\
             missing\n   at the top\n\
             No such unit.\n   at parameter unit\n\
             No rate.\n   at line 3, column rate\n\
             and 99 more\n"
        );
    }

    #[test]
    fn a_problem_of_any_shape_is_printed() {
        assert_eq!(readable(503, b"\xff", None), "The request was refused (503)\n");
        assert_eq!(printed(&json!({"title": "Full", "detail": "Full"})), "Full (422)\n");
        for errors in [json!([1, null, {"nearest": {"a": 1}}]), json!("x"), json!({})] {
            printed(&json!({"errors": errors}));
        }
    }

    #[test]
    fn terminal_escapes_do_not_get_through() {
        let evil = "a\u{1b}]0;owned\u{7}\u{9b}31m\r\nb";
        let page = printed(&json!({"title": evil, "detail": evil,
            "errors": [{"pointer": evil, "detail": evil, "nearest": evil, "allowed": [evil]}, {"parameter": evil}]}));
        assert!(page.chars().all(|c| c == '\n' || !c.is_control()), "{page:?}");
        assert_eq!(page.lines().count(), 7, "{page}");
    }
}
