//! Bodies that are no JSON document, or one that cannot be held.

use crate::refusals::assert_problem;
use crate::support::{Answer, Numbers, bed, brief, post_bytes};

fn refused(body: impl Into<Vec<u8>>, status: u16, slug: &str) -> Answer {
    let answer = post_bytes("applications", body);
    assert_eq!(answer.status, status, "{}", answer.text());
    assert_problem(&answer);
    assert_eq!(answer.json()["type"], format!("/problems/{slug}"));
    answer
}

#[test]
fn what_is_no_json_is_refused_with_400_and_where_reading_stopped() {
    let valid = bed().to_string();
    let cut = &valid[..valid.len() - 2];
    for (text, line, part) in [
        (cut.to_owned(), 1, "ends inside"),
        (format!("{valid} x"), 1, "more text follows"),
        (format!("{valid}\n{valid}"), 2, "more text follows"),
        (valid.replace("\"1 cm\"", "NaN"), 1, "no NaN"),
        (valid.replace("\"1 cm\"", "-Infinity"), 1, "no Infinity"),
        (valid.replace("\"1 cm\"", "+1"), 1, "no plus sign"),
        (valid.replace("\"1 cm\"", "01"), 1, "leading zeros"),
        (valid.replace('"', "'"), 1, "double quotes"),
        (valid.replace("}]", "},]"), 1, "one too many"),
        (valid.replace("1 cm", "1\tcm"), 1, "control character"),
        (valid.replace("1 cm", "1 cm\\ud800"), 1, "escape"),
        (format!("// rows\n{valid}"), 1, "no comments"),
    ] {
        let problem = refused(text.clone(), 400, "not-json").json();
        let error = &problem["errors"][0];
        assert_eq!(error["line"], line, "{text}");
        assert!(error["column"].as_u64().unwrap() > 0, "{text}");
        assert!(error["detail"].as_str().unwrap().contains(part), "{text}: {}", error["detail"]);
    }
}

#[test]
fn empty_bodies_other_encodings_and_byte_order_marks_are_refused_with_400() {
    let valid = bed().to_string();
    let mark = [b"\xef\xbb\xbf", valid.as_bytes()].concat();
    let umlaut = valid.replace("depth", "d\u{e4}pth");
    let latin = umlaut.chars().map(|c| u8::try_from(u32::from(c)).unwrap());
    let utf16 = valid.encode_utf16().flat_map(u16::to_le_bytes);
    for (bytes, part) in [
        (Vec::new(), "empty"),
        (b" \r\n\t ".to_vec(), "empty"),
        (mark, "byte-order mark"),
        (latin.collect(), "not UTF-8"),
        (utf16.collect(), ""),
        (vec![0; 9], ""),
    ] {
        let problem = refused(bytes, 400, "not-json").json();
        assert!(problem["detail"].as_str().unwrap().contains(part), "{problem}");
    }
}

#[test]
fn numbers_beyond_all_numbers_are_refused_with_422() {
    for number in ["1e999", "-1e999", "1e309"] {
        let answer = refused(bed().to_string().replace("\"1 cm\"", number), 422, "invalid-request");
        assert_eq!(brief(answer.json()["errors"].as_array().unwrap()), [" number_out_of_range"]);
    }
    let answer = refused(bed().to_string().replace("\"1 cm\"", "1e308"), 422, "invalid-request");
    assert_eq!(brief(answer.json()["errors"].as_array().unwrap()), ["/areas/0/rate/amount unit_missing"]);
}

#[test]
fn nesting_is_read_to_32_levels() {
    let nested = |levels: usize| format!("{}{}", "[".repeat(levels), "]".repeat(levels));
    let code = |text: String| {
        let answer = refused(text, 422, "invalid-request");
        answer.json()["errors"][0]["code"].as_str().unwrap().to_owned()
    };
    assert_eq!(code(nested(32)), "wrong_type");
    assert_eq!(code(nested(33)), "too_deep");
    assert_eq!(code("[".repeat(100_000)), "too_deep");
    assert_eq!(code("{\"a\":".repeat(100_000)), "too_deep");
    let inside = bed().to_string().replace("\"1 cm\"", &nested(40));
    assert_eq!(code(inside), "too_deep");
}

#[test]
fn random_bytes_are_refused_with_400() {
    let mut numbers = Numbers(7);
    for _ in 0..300 {
        let length = 1 + numbers.below(200);
        let bytes: Vec<u8> = (0..length).map(|_| u8::try_from(numbers.below(256)).unwrap()).collect();
        if serde_json::from_slice::<serde_json::Value>(&bytes).is_err() {
            refused(bytes, 400, "not-json");
        }
    }
}
