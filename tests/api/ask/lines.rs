//! `barrowful ask --lines`.

use super::{barrowful, folder, text};
use crate::support::{post_bytes, service};
use serde_json::{Value, json};

fn bed(area: &str) -> Value {
    json!({"areas": [{"surface": {"kind": "area", "area": area}, "rate": {"kind": "depth", "amount": "1 cm"}}]})
}

#[test]
fn lines_of_files_are_answered_as_lines() {
    let folder = folder("lines");
    let (whole, alone) = (folder.join("whole.jsonl"), folder.join("alone.jsonl"));
    // With its question, and the request alone, which is told by its fields; the last line has no break.
    std::fs::write(&whole, format!("{}\n\n", json!({"id": "a", "ask": "applications", "body": bed("1 m2")}))).unwrap();
    std::fs::write(&alone, bed("2 m2").to_string()).unwrap();
    let (whole, alone) = (whole.to_str().unwrap(), alone.to_str().unwrap());
    let output = barrowful(&["ask", "--lines", whole, alone, "--to", &service()], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let answers = ["1 m2", "2 m2"].map(|area| post_bytes("applications", bed(area).to_string()).text().to_owned());
    let wanted = format!(
        "{{\"line\":1,\"id\":\"a\",\"status\":200,\"body\":{}}}\n{{\"line\":3,\"status\":200,\"body\":{}}}\n{{\"end\":true,\"lines\":2,\"refused\":0}}\n",
        answers[0], answers[1]
    );
    assert_eq!(text(&output.stdout), wanted);
    let into = folder.join("answers.jsonl");
    let output = barrowful(&["ask", "--lines", whole, alone, "-o", into.to_str().unwrap(), "--to", &service()], b"");
    assert_eq!((output.status.code(), output.stdout.len()), (Some(0), 0));
    assert_eq!(std::fs::read_to_string(into).unwrap(), wanted);
}

#[test]
fn a_refused_line_ends_with_1_and_a_missing_file_with_2() {
    let lines = format!("{}\n{{\"areas\": []}}\nnot JSON\n", bed("1 m2"));
    let output = barrowful(&["ask", "--lines", "-"], lines.as_bytes());
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let statuses: Vec<Value> = text(&output.stdout)
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["status"].clone())
        .collect();
    assert_eq!(statuses, [json!(200), json!(422), json!(400), Value::Null]);
    let output = barrowful(&["ask", "--lines", "-", "/nowhere/at/all.jsonl"], lines.as_bytes());
    assert_eq!(output.status.code(), Some(2));
    let told = text(&output.stderr);
    assert!(told.contains("could not be read") && told.contains("3 lines before that were answered"), "{told}");
}
