//! Whole bodies, from bytes to errors.

mod changed;
mod faults;
mod unions;

use serde::Deserialize;
use std::borrow::Cow;
use std::collections::BTreeMap;

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
fn a_good_body_is_read_as_it_is() {
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
