//! Valid requests with random damage: always an answer or a well-formed refusal, never a failure of the service.

use crate::demo_data::QUESTIONS;
use crate::refusals::assert_problem;
use crate::support::{Answer, Numbers, get, post_bytes, quick_demo_files};
use serde_json::{Value, json};

/// The bytes of every accepted demo file with their resource; seasons with few runs, so that each is answered at once.
fn originals() -> Vec<(&'static str, Vec<u8>)> {
    let of = |resource: &'static str| quick_demo_files(resource).into_iter().map(move |path| (resource, path));
    let bytes = |(resource, path)| {
        let text = std::fs::read_to_string(path).unwrap();
        let few = if resource == "seasons" { text.replacen('{', "{\n  \"simulation_runs\": 20,", 1) } else { text };
        (resource, few.into_bytes())
    };
    QUESTIONS.into_iter().flat_map(of).map(bytes).collect()
}

/// Values that have no place where they are put.
fn odd_values() -> Vec<Value> {
    let texts = [
        "",
        " ",
        "x",
        "1",
        "1 m",
        "-1 m",
        "0 L",
        "2 gal",
        "1,5 m",
        "1e308 L",
        "1e999 m",
        "NaN",
        "½ in",
        "20 %",
        "0.2",
        "1:10",
        "5 buckets",
        "2027-02-30",
        "2027-06-10",
        "9999-12-31",
        "\u{0}",
        "\u{1f955}",
        "rectangle",
        "depth",
        "1/0 m",
        "1 m/m",
        "1 L/0 m2",
        "2 kg/m3/m3",
        "//",
        "~1",
    ];
    let mut values: Vec<Value> = texts.map(Value::from).to_vec();
    values.extend([
        json!(null),
        json!(true),
        json!(0),
        json!(-1),
        json!(1),
        json!(4.5),
        json!(1e308),
        json!(-1e308),
        json!(u64::MAX),
        json!(i64::MIN),
        json!(5e-324),
        json!([]),
        json!({}),
        json!([[]]),
        json!({"kind": "rows"}),
        json!({"value": 1, "unit": "L"}),
        json!({"value": 1e300, "unit": "m", "low": 0, "high": 1e308}),
    ]);
    values.push("long ".repeat(50).into());
    values
}

/// Pointers to every value below a value.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut below = |name: &str, inner: &Value| {
        let pointer = format!("{at}/{}", name.replace('~', "~0").replace('/', "~1"));
        found.push(pointer.clone());
        pointers(inner, &pointer, found);
    };
    match value {
        Value::Array(items) => items.iter().enumerate().for_each(|(i, item)| below(&i.to_string(), item)),
        Value::Object(members) => members.iter().for_each(|(name, member)| below(name, member)),
        _ => {}
    }
}

/// Replaces, moves, renames, removes or adds one value.
fn damage(body: &mut Value, numbers: &mut Numbers, odd: &[Value]) {
    let mut all = Vec::new();
    pointers(body, "", &mut all);
    if all.is_empty() {
        return;
    }
    let pointer = numbers.pick(&all).clone();
    let other_pointer: &String = numbers.pick(&all);
    let other = body.pointer(other_pointer).cloned().unwrap();
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    match numbers.below(6) {
        0 => *body.pointer_mut(&pointer).unwrap() = other,
        1 => {
            let inner = body.pointer_mut(&pointer).unwrap();
            *inner = json!([inner.clone()]);
        }
        action @ 2..=4 => match body.pointer_mut(parent).unwrap() {
            Value::Object(members) if action == 2 => {
                members.shift_remove(name);
            }
            Value::Object(members) if action == 3 => {
                members.insert(format!("{name}s"), other);
            }
            Value::Array(items) if action == 2 => {
                items.pop();
            }
            Value::Array(items) => items.push(other),
            Value::Object(members) => {
                let value = members.shift_remove(name);
                members.insert(format!("{name}x"), value.unwrap_or_default());
            }
            _ => {}
        },
        _ => *body.pointer_mut(&pointer).unwrap() = numbers.pick(odd).clone(),
    }
}

/// The position of a place in the body; what is not there comes last.
fn position(body: &Value, pointer: &str) -> Vec<usize> {
    let mut at = Some(body);
    let step = |step: &str| {
        let name = step.replace("~1", "/").replace("~0", "~");
        let (number, next) = match at {
            Some(Value::Object(members)) => (members.keys().position(|key| *key == name), members.get(&name)),
            Some(Value::Array(items)) => {
                let number = name.parse::<usize>().ok().filter(|n| *n < items.len());
                (number, number.and_then(|n| items.get(n)))
            }
            _ => (None, None),
        };
        at = next;
        number.unwrap_or(usize::MAX)
    };
    pointer.split('/').skip(1).map(step).collect()
}

/// Every error is at a place that is there, or where a missing field belongs; and they are in the order of the body.
fn assert_places(answer: &Answer, body: &Value) {
    let problem = answer.json();
    let errors = problem["errors"].as_array().unwrap();
    let places: Vec<Vec<usize>> =
        errors.iter().map(|error| position(body, error["pointer"].as_str().unwrap())).collect();
    assert!(places.is_sorted(), "{problem}\n{body}");
    for (error, place) in errors.iter().zip(&places) {
        let there = place.iter().filter(|step| **step == usize::MAX).count();
        assert!(there == 0 || (there == 1 && place.last() == Some(&usize::MAX)), "{error}\n{body}");
        assert!(there == 0 || error["code"] == "missing_field", "{error}\n{body}");
    }
}

#[test]
fn damaged_values_are_answered_or_refused() {
    let (originals, odd) = (originals(), odd_values());
    let mut numbers = Numbers(1);
    let (mut answered, mut refused) = (0, 0);
    for round in 0..2_400 {
        let (resource, bytes) = numbers.pick(&originals);
        let mut body: Value = serde_json::from_slice(bytes).unwrap();
        for _ in 0..=numbers.below(2) {
            damage(&mut body, &mut numbers, &odd);
        }
        let answer = post_bytes(resource, body.to_string());
        match answer.status {
            200 => answered += 1,
            422 => {
                refused += 1;
                assert_problem(&answer);
                assert_places(&answer, &body);
            }
            other => panic!("round {round}: {resource} answered {other} to {body}\n{}", answer.text()),
        }
    }
    assert!(answered > 100 && refused > 1_000, "{answered} answered, {refused} refused");
}

#[test]
fn damaged_texts_are_answered_or_refused() {
    let originals = originals();
    let mut numbers = Numbers(2);
    for round in 0..1_200 {
        let (resource, bytes) = numbers.pick(&originals);
        let mut text = bytes.clone();
        for _ in 0..=numbers.below(2) {
            let at = numbers.below(text.len());
            match numbers.below(5) {
                0 => text.truncate(at),
                1 => text[at] = u8::try_from(numbers.below(256)).unwrap(),
                2 => text.insert(at, *numbers.pick(b"{}[]\",:0-e.\\ \n\xff")),
                3 => text.splice(at..at, bytes.iter().copied()).for_each(drop),
                _ => text.drain(at..(at + numbers.below(40)).min(bytes.len()).clamp(at, text.len())).for_each(drop),
            }
            if text.is_empty() {
                break;
            }
        }
        let answer = post_bytes(resource, text.clone());
        assert!([200, 400, 422].contains(&answer.status), "round {round}: {}", answer.text());
        if answer.status != 200 {
            assert_problem(&answer);
        }
    }
}

#[test]
fn damaged_queries_are_answered_or_refused() {
    let paths = [
        "applications/volume?length=6m&band_width=20cm&count=4&rate=1cm&unit=L",
        "applications/mass?count=30&volume=3L&rate=20%25&assume=castings.bulk_density:620 kg/m3&bound=high",
        "harvests/volume?length=3m&width=1m&material_depth=25cm&finished_share=80%&sieve_yield=70%&of=stored",
        "brews/volume?coverage=2 L/m2&area=12 m2&castings_to_water=1:10&dilution=1:1&container=bucket:12 L&unit=bucket",
    ];
    let mut numbers = Numbers(3);
    for round in 0..800 {
        let (path, query) = numbers.pick(&paths).split_once('?').unwrap();
        let mut query: Vec<char> = query.chars().collect();
        for _ in 0..=numbers.below(3) {
            let at = numbers.below(query.len());
            match numbers.below(4) {
                0 => query.truncate(at),
                1 => query.insert(at, *numbers.pick(&['%', '&', '=', '-', '0', 'e', ':', '/', '\u{bd}', '.'])),
                2 => {
                    query.remove(at);
                }
                _ => query.swap(at, 0),
            }
            query.push('&');
        }
        let query: String = query.into_iter().collect::<String>().replace(' ', "%20");
        let answer = get(&format!("/v1/{path}?{query}"));
        match answer.status {
            200 => assert!(answer.text().parse::<f64>().is_ok_and(f64::is_finite), "{query}: {}", answer.text()),
            422 => assert_problem(&answer),
            other => panic!("round {round}: {other} to {query}"),
        }
    }
}
