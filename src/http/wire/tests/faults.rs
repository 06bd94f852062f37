//! Errors of a body: each is reported once, in order, with its particulars.

use super::*;

#[test]
fn many_faults_in_the_order_of_the_document() {
    let body = r#"{"seed": 1.5, "beds": [{"rows": 300, "widht": 1}, 7, {"width": "2",
        "rows": 4.0, "crop": {"offset": -40000}}], "draft": "no", "nam": "x", "seed": 2,
        "note": 5, "mood": "half-shade"}"#;
    let wanted = "/seed not_an_integer; /seed repeated_field; /beds/0/rows out_of_range; \
        /beds/0/widht unknown_field; /beds/0/width missing_field; /beds/1 wrong_type; \
        /beds/2/width wrong_type; /beds/2/crop/offset out_of_range; \
        /beds/2/crop/name missing_field; /draft wrong_type; /nam unknown_field; \
        /note wrong_type; /mood unknown_value; /name missing_field; /area missing_field";
    assert_eq!(reported::<Plan>(body), wanted);
}

#[test]
fn particulars_of_faults() {
    let error = one::<Bed>(r#"{"widht": 1, "width": 2, "rows": 1}"#);
    assert_eq!(error.nearest.as_deref(), Some("width"));
    assert_eq!(error.allowed, ["width", "rows", "crop"]);
    let wanted = "The field \"widht\" is not known here. Did you mean \"width\"? \
        Remove it, or use one of width, rows, crop.";
    assert_eq!(error.detail, wanted);
    let error = one::<Bed>(r#"{"width": 2, "rows": 256}"#);
    assert_eq!((error.min, error.max), (Some(0.0), Some(255.0)));
    assert_eq!(error.detail, "The number must lie from 0 to 255.");
    let error = one::<Option<Mood>>("\"Suny\"");
    assert_eq!(error.nearest.as_deref(), Some("sunny"));
    assert_eq!(error.allowed, ["sunny", "half_shade"]);
    assert_eq!(one::<String>("7").detail, "A text in quotes was expected, a number was found.");
    let detail = one::<f64>("\"7\"").detail;
    assert_eq!(detail, "A plain number without quotes was expected, a text was found.");
    let detail = one::<Bed>("{\"width\": 1}").detail;
    assert_eq!(detail, "The field \"rows\" is missing. Give it a whole number without quotes.");
    let detail = one::<Vec<u8>>("[1, null]").detail;
    assert!(detail.starts_with("This entry of the list is null"), "{detail}");
}

#[test]
fn wrong_types_everywhere() {
    let error = one::<Bed>("[1, 2, null]");
    assert_eq!((pointer(&error), error.code), ("", ErrorCode::WrongType));
    let wanted = "An object with the fields width, rows, crop was expected, a list was found.";
    assert_eq!(error.detail, wanted);
    for text in ["1", "\"x\"", "true", "[]"] {
        assert_eq!(reported::<Plan>(text), " wrong_type");
        assert_eq!(reported::<BTreeMap<String, u8>>(text), " wrong_type");
    }
    for text in ["1", "\"x\"", "true", "{}"] {
        assert_eq!(reported::<Vec<Plan>>(text), " wrong_type");
    }
    assert_eq!(reported::<(u8, u8)>("[1, 2]"), " wrong_type");
    assert_eq!(reported::<[u8; 2]>("[1, 2]"), " wrong_type");
    assert_eq!(reported::<bool>("1"), " wrong_type");
    assert_eq!(reported::<Mood>("1"), " wrong_type");
    assert_eq!(reported::<Mood>("{}"), " wrong_type");
    assert_eq!(reported::<char>("5"), " wrong_type");
    assert_eq!(reported::<()>("5"), " wrong_type");
    assert_eq!(reported::<i128>("5"), " wrong_type");
}

#[test]
fn null_counts_as_absent() {
    assert_eq!(reported::<Bed>(r#"{"width": null, "rows": 1, "crop": null}"#), "/width missing_field");
    assert_eq!(reported::<Vec<u8>>("[1, null]"), "/1 missing_field");
    assert_eq!(reported::<Vec<Option<u8>>>("[1, null]"), "");
    assert_eq!(reported::<BTreeMap<String, u8>>(r#"{"a": null}"#), "/a missing_field");
    assert_eq!(reported::<Plan>("null"), " missing_field");
    assert_eq!(reported::<Option<Plan>>("null"), "");
    assert_eq!(reported::<Vec<QuantityInput>>("[null]"), "/0 missing_field");
    assert_eq!(reported::<Vec<Shape>>("[null]"), "/0 missing_field");
    assert_eq!(reported::<Shape>(r#"{"kind": null, "radius": 1}"#), "/kind missing_field");
}

#[test]
fn repeated_members() {
    let body = r#"{"width": 1, "rows": 2, "width": "x", "rows": 2, "rows": 2}"#;
    assert_eq!(reported::<Bed>(body), "/width repeated_field; /rows repeated_field");
    let body = r#"{"a/b": 1, "c": 2, "a/b": 3}"#;
    assert_eq!(reported::<BTreeMap<String, u8>>(body), "/a~1b repeated_field");
    let many: Vec<String> = (0..30).map(|n| format!("\"k{}\": 1", n % 29)).collect();
    let body = format!("{{{}}}", many.join(","));
    assert_eq!(reported::<BTreeMap<String, u8>>(&body), "/k0 repeated_field");
}

#[test]
fn whole_numbers() {
    assert_eq!(reported::<u32>("4.0"), "");
    assert_eq!(reported::<u32>("4e2"), "");
    assert_eq!(reported::<i8>("-0.0"), "");
    assert_eq!(reported::<u32>("4.5"), " not_an_integer");
    assert_eq!(reported::<u64>("18446744073709551615"), "");
    assert_eq!(reported::<u64>("18446744073709551616"), " out_of_range");
    assert_eq!(reported::<u64>("1e300"), " out_of_range");
    assert_eq!(reported::<i64>("9223372036854775808"), " out_of_range");
    assert_eq!(reported::<u16>("-1"), " out_of_range");
    assert_eq!(reported::<f64>("1e39"), "");
    assert_eq!(reported::<f64>("12"), "");
}

#[test]
fn many_refusals_are_bounded() {
    let fields: Vec<String> = (0..50_000).map(|n| format!("\"f{n}\":1")).collect();
    assert_eq!(errors_of::<Bed>(&format!("{{{}}}", fields.join(","))).len(), 1_000);
    let long = "k".repeat(400_000);
    let items = vec!["1"; 50_000].join(",");
    let body = format!("{{\"{long}\": [{items}]}}");
    assert!(!errors_of::<BTreeMap<String, Vec<String>>>(&body).is_empty());
}
