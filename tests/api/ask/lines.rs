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
    // With its question, and the request alone, which is known by its fields; the last line has no break.
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
    let reported = text(&output.stderr);
    assert!(
        reported.contains("could not be read") && reported.contains("3 lines before that were answered"),
        "{reported}"
    );
}

/// Errors point into the line of the file, whether it says what it asks or not.
#[test]
fn pointers_lead_into_the_line_of_the_file() {
    let whole = json!({"ask": "applications", "body": bed("1")}).to_string();
    let lines = format!("{whole}\n\n{}\n{}\n", bed("2"), bed("3 m2"));
    let output = barrowful(&["ask", "--lines", "-", "--to", &service()], lines.as_bytes());
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let answers: Vec<Value> = text(&output.stdout).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let at = |index: usize| (&answers[index]["line"], &answers[index]["problem"]["errors"][0]["pointer"]);
    assert_eq!(at(0), (&json!(1), &json!("/body/areas/0/surface/area")));
    assert_eq!(at(1), (&json!(3), &json!("/areas/0/surface/area")));
    assert_eq!(answers[2]["status"], 200, "{answers:#?}");
}

#[test]
fn more_lines_than_the_kernel_holds_are_answered_while_they_are_sent() {
    const MANY: usize = 3_000;
    let folder = folder("many");
    let (file, into) = (folder.join("many.jsonl"), folder.join("answers.jsonl"));
    // Some 15 MB: JSON may hold as many blanks as it likes.
    let blanks = " ".repeat(5_000);
    let line = |number: usize| {
        format!(
            "{{\"id\": \"{number}\",{blanks}\"ask\": \"applications\", \"body\": {}}}\n",
            bed(&format!("{} m2", 1 + number % 7))
        )
    };
    std::fs::write(&file, (0..MANY).map(line).collect::<String>()).unwrap();
    let output =
        barrowful(&["ask", "--lines", file.to_str().unwrap(), "-o", into.to_str().unwrap(), "--to", &service()], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let alone: Vec<Value> =
        (1..8).map(|size| post_bytes("applications", bed(&format!("{size} m2")).to_string()).json()).collect();
    let answers = std::fs::read_to_string(into).unwrap();
    let mut answers = answers.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    for number in 0..MANY {
        let answer = answers.next().unwrap();
        assert_eq!((&answer["line"], &answer["id"]), (&json!(number + 1), &json!(number.to_string())));
        assert_eq!(answer["body"], alone[number % 7]);
    }
    assert_eq!(answers.next(), Some(json!({"end": true, "lines": MANY, "refused": 0})));
}

#[test]
fn questions_are_not_written_over() {
    let file = folder("over").join("lines.jsonl");
    std::fs::write(&file, bed("1 m2").to_string()).unwrap();
    let name = file.to_str().unwrap();
    let output = barrowful(&["ask", "--lines", name, "-o", name, "--to", &service()], b"");
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("another file"), "{}", text(&output.stderr));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), bed("1 m2").to_string());
}
