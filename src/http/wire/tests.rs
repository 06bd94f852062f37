//! Whole bodies, from bytes to errors.

use std::borrow::Cow;
use std::collections::BTreeMap;

use serde::Deserialize;

use super::*;

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Plan {
    name: String,
    beds: Vec<Bed>,
    area: f64,
    seed: u32,
    draft: bool,
    note: Option<String>,
    mood: Option<Mood>,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Bed {
    width: f64,
    rows: u8,
    crop: Option<Crop>,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Crop {
    name: String,
    offset: i16,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Mood {
    Sunny,
    HalfShade,
}

#[derive(Debug, PartialEq, Deserialize)]
enum Shape {
    #[serde(rename = "rectangle")]
    Rectangle(Rectangle),
    #[serde(rename = "circle")]
    Circle(Circle),
    #[serde(rename = "nothing")]
    Nothing {},
}

#[derive(Debug, PartialEq, Deserialize)]
struct Rectangle {
    width: f64,
    height: QuantityInput,
}

#[derive(Debug, PartialEq, Deserialize)]
struct Circle {
    radius: f64,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(rename = "TextOrQuantity")]
enum QuantityInput {
    #[serde(rename = "text")]
    Text(String),
    #[serde(rename = "object")]
    Object(Quantity),
    #[serde(rename = "other")]
    Other(Other),
}

#[derive(Debug, PartialEq, Deserialize)]
enum TextOrCrop {
    #[serde(rename = "text")]
    Text(String),
    #[serde(rename = "object")]
    Object(Crop),
}

#[derive(Debug, PartialEq, Deserialize)]
struct Quantity {
    value: f64,
    unit: String,
}

#[derive(Debug, PartialEq, Deserialize)]
struct Garden {
    title: String,
    shapes: Vec<Shape>,
    stock: BTreeMap<String, u32>,
    crop: Option<TextOrCrop>,
}

fn pointer(error: &RequestError) -> &str {
    error.at.as_str()
}

fn errors_of<T: for<'t> Deserialize<'t>>(text: &str) -> Vec<RequestError> {
    let tree = parse(text.as_bytes()).unwrap();
    let errors = RequestErrors::body();
    let value: Option<T> = read(&tree, JsonPath::root(), &errors);
    assert!(value.is_some() || !errors.is_empty());
    errors.into_sorted(&tree)
}

fn reported<T: for<'t> Deserialize<'t>>(text: &str) -> String {
    let lines: Vec<String> =
        errors_of::<T>(text).iter().map(|error| format!("{} {}", pointer(error), error.code)).collect();
    lines.join("; ")
}

fn one<T: for<'t> Deserialize<'t>>(text: &str) -> RequestError {
    let mut errors = errors_of::<T>(text);
    assert_eq!(errors.len(), 1, "{errors:?}");
    errors.pop().unwrap()
}

const PLAN: &str = r#"{"name": "North \"field\"", "beds": [{"width": 1.2, "rows": 4,
    "crop": {"name": "leek", "offset": -3}}, {"rows": 255, "width": 2}],
    "area": 40, "seed": 7, "draft": false, "note": "dry", "mood": "half_shade"}"#;

const GARDEN: &str = r#"{"title": "Old orchard", "shapes": [
    {"kind": "rectangle", "width": 2, "height": "3 m"}, {"radius": 4.5, "kind": "circle"},
    {"kind": "rectangle", "width": 1, "height": {"value": 2, "unit": "m"}},
    {"kind": "rectangle", "width": 1, "height": 2.5}, {"kind": "nothing"}],
    "stock": {"leek": 20, "chard": 5}, "crop": {"name": "kale", "offset": 1}}"#;

#[test]
fn a_good_body_is_read_as_it_stands() {
    let strict: Plan = serde_json::from_str(PLAN).unwrap();
    let tree = parse(PLAN.as_bytes()).unwrap();
    let errors = RequestErrors::body();
    assert_eq!(read::<Plan>(&tree, JsonPath::root(), &errors), Some(strict));
    assert!(errors.is_empty());

    let tree = parse(GARDEN.as_bytes()).unwrap();
    let garden: Garden = read(&tree, JsonPath::root(), &errors).unwrap();
    assert!(errors.is_empty());
    assert_eq!(garden.title, "Old orchard");
    assert_eq!(garden.shapes.len(), 5);
    assert_eq!(garden.shapes[1], Shape::Circle(Circle { radius: 4.5 }));
    let height = QuantityInput::Other(Other(Some(2.5)));
    assert_eq!(garden.shapes[3], Shape::Rectangle(Rectangle { width: 1.0, height }));
    assert_eq!(garden.shapes[4], Shape::Nothing {});
    assert_eq!(garden.stock.get("chard"), Some(&5));
}

#[test]
fn texts_can_be_borrowed() {
    #[derive(Deserialize)]
    struct Borrowing<'a> {
        #[serde(borrow)]
        title: Cow<'a, str>,
        note: &'a str,
        more: Option<&'a str>,
    }
    let tree = parse(br#"{"title": "a", "note": "b\n"}"#).unwrap();
    let errors = RequestErrors::body();
    let read: Borrowing = read(&tree, JsonPath::root(), &errors).unwrap();
    assert!(matches!(read.title, Cow::Borrowed("a")));
    assert_eq!((read.note, read.more), ("b\n", None));
}

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
        Take it out, or use one of width, rows, crop.";
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

#[test]
fn many_refusals_are_bounded() {
    let fields: Vec<String> = (0..50_000).map(|n| format!("\"f{n}\":1")).collect();
    assert_eq!(errors_of::<Bed>(&format!("{{{}}}", fields.join(","))).len(), 1_000);
    let long = "k".repeat(400_000);
    let items = vec!["1"; 50_000].join(",");
    let body = format!("{{\"{long}\": [{items}]}}");
    assert!(!errors_of::<BTreeMap<String, Vec<String>>>(&body).is_empty());
}

/// A small generator of numbers that look random.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

fn count(node: &Node) -> usize {
    1 + match node {
        Node::List(items) => items.iter().map(count).sum(),
        Node::Object(members) => members.iter().map(|(_, value)| count(value)).sum(),
        _ => 0,
    }
}

fn other_value(dice: &mut Dice, nulls: bool) -> Node<'static> {
    match dice.roll(if nulls { 10 } else { 9 }) {
        0 => Node::Bool(true),
        1 => Node::Int(-3),
        2 => Node::Int(100_000),
        3 => Node::Float(4.5),
        4 => Node::Text("x".into()),
        5 => Node::Text("sunny".into()),
        6 => Node::List(vec![]),
        7 => Node::object_from([("x", Node::Int(1))]),
        8 => Node::object_from([("kind", "circle")]),
        _ => Node::Null,
    }
}

/// Changes the node with this number and gives how many are left to pass.
fn change<'a>(node: &mut Node<'a>, at: &mut usize, dice: &mut Dice, nulls: bool) {
    if *at == 0 {
        let new = other_value(dice, nulls);
        match (dice.roll(4), &mut *node) {
            (0, Node::List(items)) if !items.is_empty() => {
                items.remove(dice.roll(items.len()));
            }
            (0, Node::Object(members)) if !members.is_empty() => {
                members.remove(dice.roll(members.len()));
            }
            (1, Node::List(items)) if !items.is_empty() => {
                items.push(items[dice.roll(items.len())].clone());
            }
            (1, Node::Object(members)) if !members.is_empty() => {
                let member = members[dice.roll(members.len())].clone();
                members.insert(dice.roll(members.len()), member);
            }
            (2, Node::Object(members)) => members.push(("extra".into(), new)),
            _ => *node = new,
        }
        *at = usize::MAX;
        return;
    }
    *at -= 1;
    let inner: Vec<&mut Node<'a>> = match node {
        Node::List(items) => items.iter_mut().collect(),
        Node::Object(members) => members.iter_mut().map(|(_, value)| value).collect(),
        _ => Vec::new(),
    };
    for node in inner {
        if *at == usize::MAX {
            return;
        }
        change(node, at, dice, nulls);
    }
}

fn write(node: &Node) -> String {
    let text = |text: &str| serde_json::to_string(text).unwrap();
    match node {
        Node::Null => "null".to_owned(),
        Node::Bool(value) => value.to_string(),
        Node::Int(value) => value.to_string(),
        Node::UInt(value) => value.to_string(),
        Node::Float(value) => format!("{value:?}"),
        Node::Text(value) => text(value),
        Node::List(items) => {
            let items: Vec<String> = items.iter().map(write).collect();
            format!("[{}]", items.join(","))
        }
        Node::Object(members) => {
            let member = |(name, value): &tree::Member| format!("{}:{}", text(name), write(value));
            let members: Vec<String> = members.iter().map(member).collect();
            format!("{{{}}}", members.join(","))
        }
    }
}

#[test]
fn changed_bodies_are_judged_as_strictly_as_by_plain_reading() {
    let mut dice = Dice(20_240_501);
    let (mut accepted, mut refused) = (0, 0);
    for _ in 0..20_000 {
        let mut tree = parse(PLAN.as_bytes()).unwrap();
        for _ in 0..=dice.roll(3) {
            let mut at = dice.roll(count(&tree));
            change(&mut tree, &mut at, &mut dice, false);
        }
        let text = write(&tree);
        let strict: Option<Plan> = serde_json::from_str(&text).ok();
        let again = parse(text.as_bytes()).unwrap();
        assert_eq!(again, tree);
        let errors = RequestErrors::body();
        let ours = read::<Plan>(&again, JsonPath::root(), &errors);
        assert_eq!(strict.is_some(), errors.is_empty(), "{text}");
        if strict.is_some() {
            accepted += 1;
            assert_eq!(ours, strict, "{text}");
        } else {
            refused += 1;
            assert!(ours.is_some(), "{text}");
            let sorted = errors.into_sorted(&again);
            assert!(!sorted.is_empty());
            let mut pointers: Vec<_> = sorted.iter().map(|f| (pointer(f), f.code)).collect();
            pointers.sort_unstable();
            pointers.dedup();
            assert_eq!(pointers.len(), sorted.len(), "{text}");
        }
    }
    assert!(accepted > 500 && refused > 5_000, "{accepted} {refused}");
}

#[test]
fn changed_bodies_with_unions_never_panic() {
    let mut dice = Dice(7);
    for _ in 0..20_000 {
        let mut tree = parse(GARDEN.as_bytes()).unwrap();
        for _ in 0..=dice.roll(6) {
            let mut at = dice.roll(count(&tree));
            change(&mut tree, &mut at, &mut dice, true);
        }
        let text = write(&tree);
        let again = parse(text.as_bytes()).unwrap();
        let sort = || {
            let errors = RequestErrors::body();
            let garden = read::<Garden>(&again, JsonPath::root(), &errors);
            assert!(garden.is_some() || !errors.is_empty(), "{text}");
            (garden.is_some(), errors.into_sorted(&again))
        };
        assert_eq!(sort(), sort(), "{text}");
    }
}

#[test]
fn any_bytes_never_panic() {
    let mut dice = Dice(99);
    for _ in 0..20_000 {
        let mut bytes = GARDEN.as_bytes().to_vec();
        for _ in 0..=dice.roll(3) {
            let at = dice.roll(bytes.len());
            match dice.roll(3) {
                0 => bytes[at] = u8::try_from(dice.roll(256)).unwrap(),
                1 => bytes.truncate(at + 1),
                _ => bytes.insert(at, b"\"{}[],:-e0\\n "[dice.roll(13)]),
            }
        }
        match parse(&bytes) {
            Ok(tree) => {
                let errors = RequestErrors::body();
                let garden = read::<Garden>(&tree, JsonPath::root(), &errors);
                assert!(garden.is_some() || !errors.is_empty());
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
}
