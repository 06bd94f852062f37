//! Unions, and what is read in place of a value that cannot be read.

use super::*;

#[test]
fn unions() {
    let body = r#"{"kind": "circle", "radius": 1, "widht": 2, "kind": "x"}"#;
    assert_eq!(reported::<Shape>(body), "/kind repeated_field; /widht unknown_field");
    let error = one::<Shape>(r#"{"width": "x", "kind": "rectangel", "more": 1}"#);
    assert_eq!((pointer(&error), error.code), ("/kind", ErrorCode::UnknownKind));
    assert_eq!(error.nearest.as_deref(), Some("rectangle"));
    assert_eq!(error.allowed, ["rectangle", "circle", "nothing"]);
    let wanted = "The kind \"rectangel\" is not known here. Did you mean \"rectangle\"? \
        Use \"rectangle\", \"circle\" or \"nothing\".";
    assert_eq!(error.detail, wanted);
    let error = one::<Shape>(r#"{"radius": 1}"#);
    assert_eq!((pointer(&error), error.code), ("/kind", ErrorCode::MissingField));
    assert_eq!(error.allowed.len(), 3);
    assert_eq!(reported::<Shape>(r#"{"kind": 1}"#), "/kind wrong_type");
    assert_eq!(reported::<Shape>("\"circle\""), " wrong_type");
    assert_eq!(reported::<Shape>("\"nothing\""), " wrong_type");
    assert_eq!(reported::<Shape>("\"nothin\""), " wrong_type");
    assert_eq!(reported::<Mood>(r#"{"kind": "sunny"}"#), " wrong_type");
    assert_eq!(reported::<Mood>(r#"{"kind": "suny"}"#), " wrong_type");
    assert_eq!(reported::<Shape>(r#"{"kind": "nothing", "x": 1}"#), "/x unknown_field");
    assert_eq!(reported::<Shape>("7"), " wrong_type");
    assert_eq!(reported::<Shape>(r#"{"kind": "circle", "radius": "x"}"#), "/radius wrong_type");
}

#[test]
fn texts_or_objects() {
    let body = r#"[{"value": "x"}, "2 m", 3, true, [1], {"unit": 1, "value": 1, "u": 0}]"#;
    let wanted = "/0/value wrong_type; /0/unit missing_field; /5/unit wrong_type; \
        /5/u unknown_field";
    assert_eq!(reported::<Vec<QuantityInput>>(body), wanted);
    assert_eq!(reported::<Vec<TextOrCrop>>(r#"["x", 3]"#), "/1 wrong_type");
    let detail = one::<TextOrCrop>("3").detail;
    assert_eq!(detail, "A text in quotes or an object was expected, a number was found.");
    let tree = parse(b"[true, [1], -7]").unwrap();
    let errors = RequestErrors::body();
    let read: Vec<QuantityInput> = read(&tree, JsonPath::root(), &errors).unwrap();
    assert_eq!(read, [None, None, Some(-7.0)].map(|number| QuantityInput::Other(Other(number))));
}

#[test]
fn faults_under_placeholders_are_suppressed() {
    #[derive(Deserialize)]
    #[expect(dead_code, reason = "only its reading is tested")]
    struct Both {
        shape: Shape,
        beds: Vec<Bed>,
        area: f64,
    }
    let tree = parse(br#"{"shape": {"kind": "square", "width": -1}, "beds": 1}"#).unwrap();
    let errors = RequestErrors::body();
    let root = JsonPath::root();
    let both: Both = read(&tree, root, &errors).unwrap();
    assert!(matches!(both.shape, Shape::Rectangle(_)));
    let code = ErrorCode::ImpossibleValue;
    errors.push(root.field("shape"), code, "no");
    errors.push(root.field("shape").field("width"), code, "no");
    errors.push(root.field("beds"), code, "no");
    errors.push(root.field("area"), code, "no");
    assert_eq!(errors.len(), 3);
    errors.push(root, code, "yes");
    assert_eq!(errors.into_sorted(&tree).len(), 4);
}

#[test]
fn a_placeholder_that_holds_itself_ends() {
    #[derive(Deserialize)]
    #[expect(dead_code, reason = "only its reading is tested")]
    enum Sum {
        #[serde(rename = "both")]
        Both(Both),
    }
    #[derive(Deserialize)]
    #[expect(dead_code, reason = "only its reading is tested")]
    struct Both {
        left: Box<Sum>,
        right: Box<Sum>,
    }
    assert_eq!(reported::<Sum>("1"), " wrong_type");
    assert_eq!(reported::<Vec<Sum>>("[1, 2]"), "/0 wrong_type");
}
