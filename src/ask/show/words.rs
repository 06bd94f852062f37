//! From JSON to words: names without terminal escapes, quantities rounded for reading.

use serde_json::Value;

static NOTHING: Value = Value::Null;

/// The value at this pointer, or null.
pub(super) fn at<'a>(value: &'a Value, pointer: &str) -> &'a Value {
    value.pointer(pointer).unwrap_or(&NOTHING)
}

/// The items of a list; none if it is no list.
pub(super) fn items<'a>(value: &'a Value, pointer: &str) -> &'a [Value] {
    at(value, pointer).as_array().map(Vec::as_slice).unwrap_or_default()
}

/// Text that is safe on a terminal: white space is folded, and characters that steer the terminal or turn the direction of
/// writing become the replacement character.
pub(in crate::ask) fn clean(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for (index, word) in text.split_whitespace().enumerate() {
        if index > 0 {
            safe.push(' ');
        }
        safe.extend(word.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }));
    }
    safe
}

/// Control characters, and the format characters that reorder or hide what stands around them.
/// Joiners stay: names in many scripts need them.
fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// A text, a number, or a list of them, as words.
pub(in crate::ask) fn list(value: &Value) -> String {
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

/// The item's name, or what it is and its number in the list: "area 3".
pub(super) fn label(item: &Value, noun: &str, index: usize) -> String {
    let name = list(at(item, "/name"));
    if name.is_empty() { format!("{noun} {}", index.saturating_add(1)) } else { name }
}

/// The parts that are not empty.
pub(super) fn joined(parts: &[String], between: &str) -> String {
    let written: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    written.join(between)
}

/// A quantity ready for a cell. All parts are empty when the answer has none.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Shown {
    /// "28.8"
    pub digits: String,
    /// "(21.6–43.2)"
    pub range: String,
    /// "kg"
    pub unit: String,
}

impl Shown {
    /// "28.8 (21.6–43.2) kg" without the parts that are empty.
    pub(super) fn sentence(&self) -> String {
        let parts = [&self.digits, &self.range, &self.unit];
        let written: Vec<&str> = parts.into_iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
        written.join(" ")
    }
}

/// The likely value, to four significant digits.
pub(super) fn value(quantity: &Value) -> Shown {
    shown(quantity, rounded)
}

/// The likely value and the bounds, to four significant digits.
pub(super) fn range(quantity: &Value) -> Shown {
    let bound = |field| quantity.get(field).and_then(Value::as_f64).map(rounded);
    let range = match (bound("low"), bound("high")) {
        (Some(low), Some(high)) if low != high => format!("({low}–{high})"),
        _ => String::new(),
    };
    Shown { range, ..shown(quantity, rounded) }
}

/// The likely value with the decimals that sums need: three for litres (whole millilitres), six for other units.
pub(super) fn exact(quantity: &Value) -> Shown {
    let decimals = if at(quantity, "/unit") == "L" { 3 } else { 6 };
    shown(
        quantity,
        |number| if number.abs() < 1e9 { trimmed(&format!("{number:.decimals$}")) } else { rounded(number) },
    )
}

fn shown(quantity: &Value, digits: impl Fn(f64) -> String) -> Shown {
    let number = quantity.get("value").unwrap_or(quantity);
    let digits = match number.as_f64() {
        Some(number) => digits(number),
        None => list(number),
    };
    // A unit longer than any the service has would only push the table out of shape.
    let unit = clean(at(quantity, "/unit").as_str().unwrap_or_default()).chars().take(16).collect();
    if digits.is_empty() { Shown::default() } else { Shown { digits, range: String::new(), unit } }
}

/// Four significant digits, as plain decimals as long as those are short.
fn rounded(number: f64) -> String {
    let short = format!("{number:.3e}");
    let (mantissa, exponent) = short.split_once('e').unwrap_or((&short, "0"));
    match (short.parse::<f64>(), exponent.parse::<i32>()) {
        (Ok(number), Ok(-4..=6)) => trimmed(&format!("{number:.8}")),
        _ => format!("{}e{exponent}", trimmed(mantissa)),
    }
}

/// Without zeros at the end of the decimals, and without a minus sign in front of zero.
fn trimmed(decimal: &str) -> String {
    let short = if decimal.contains('.') { decimal.trim_end_matches('0').trim_end_matches('.') } else { decimal };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// "4 bucket, 0.5 barrow"
pub(super) fn measures(list: &Value) -> String {
    let Some(measures) = list.as_array() else { return String::new() };
    let words: Vec<String> = measures.iter().map(measure).filter(|words| !words.is_empty()).collect();
    words.join(", ")
}

fn measure(quantity: &Value) -> String {
    let digits = value(quantity).digits;
    let name = list(at(quantity, "/unit"));
    if digits.is_empty() { digits } else { format!("{digits} {name}") }
}

/// A moment as a person writes it: "2027-06-10 08:00" with the offset "+02:00" as its unit for
/// `2027-06-10T08:00:00+02:00`. Dates stay as they are.
pub(super) fn moment(value: &Value) -> Shown {
    let text = list(value);
    let Some((day, time)) = text.split_once('T') else { return Shown { digits: text, ..Shown::default() } };
    let (clock, zone) = match time.find(['+', '-', 'Z']) {
        Some(place) => time.split_at(place),
        None => (time, ""),
    };
    let clock = if clock.len() == 8 { clock.strip_suffix(":00").unwrap_or(clock) } else { clock };
    Shown { digits: format!("{day} {clock}"), range: String::new(), unit: zone.to_owned() }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn numbers_are_rounded_to_four_significant_digits() {
        for (number, text) in [
            (48.0, "48"),
            (61.813_186_8, "61.81"),
            (116.64, "116.6"),
            (0.000_1, "0.0001"),
            (0.012_345_6, "0.01235"),
            (77_763.0, "77760"),
            (999_990.0, "1000000"),
            (0.0, "0"),
            (-0.0, "0"),
            (-2.5, "-2.5"),
            (1e9, "1e9"),
            (1.234_56e300, "1.235e300"),
            (2e-9, "2e-9"),
            (9_999_600.0, "1e7"),
            (12_345_678.0, "1.235e7"),
        ] {
            assert_eq!(rounded(number), text);
        }
    }

    #[test]
    fn volumes_that_must_add_up_keep_their_millilitres() {
        let litres = |value: f64| exact(&json!({"value": value, "unit": "L"})).digits;
        assert_eq!(
            (litres(22.727), litres(25.273), litres(48.0), litres(-0.0)),
            ("22.727".into(), "25.273".into(), "48".into(), "0".into())
        );
        assert_eq!(litres(12345.678), "12345.678");
        assert_eq!(exact(&json!({"value": 0.802_597, "unit": "ft3"})).digits, "0.802597");
    }

    #[test]
    fn bounds_are_shown_when_they_differ() {
        let mass = json!({"value": 28.8, "low": 21.6, "high": 43.2, "unit": "kg"});
        assert_eq!(range(&mass).sentence(), "28.8 (21.6–43.2) kg");
        assert_eq!(value(&mass).sentence(), "28.8 kg");
        assert_eq!(range(&json!({"value": 1, "low": 1, "high": 1, "unit": "kg"})).sentence(), "1 kg");
    }

    #[test]
    fn what_is_not_there_is_empty() {
        for nothing in [json!(null), json!({}), json!([]), json!({"unit": "L"}), json!({"value": null, "unit": "L"})] {
            assert_eq!(range(&nothing), Shown::default(), "{nothing}");
            assert_eq!(measures(&nothing), "");
        }
        assert_eq!(value(&json!(7)).sentence(), "7");
        assert_eq!(
            measures(&json!([{"value": 4, "unit": "bucket"}, null, {"value": 0.5, "unit": "barrow"}])),
            "4 bucket, 0.5 barrow"
        );
    }

    #[test]
    fn moments_are_shortened_only_where_nothing_is_lost() {
        for (wire, text) in [
            ("2027-06-10T08:00:00+02:00", "2027-06-10 08:00 +02:00"),
            ("2027-06-10T08:00:30-05:00", "2027-06-10 08:00:30 -05:00"),
            ("2027-06-10T08:00:00Z", "2027-06-10 08:00 Z"),
            ("2027-06-10T08:00", "2027-06-10 08:00"),
            ("2027-06-10", "2027-06-10"),
        ] {
            assert_eq!(moment(&json!(wire)).sentence(), text);
        }
    }

    #[test]
    fn characters_that_steer_a_terminal_are_replaced() {
        assert_eq!(
            clean("a\u{1b}[31mb\u{7}\u{9b}c\u{202e}d\u{7f}"),
            "a\u{fffd}[31mb\u{fffd}\u{fffd}c\u{fffd}d\u{fffd}"
        );
        assert_eq!(clean(" two\r\n\tlines\u{2028}here\u{a0}"), "two lines here");
        assert_eq!(clean("قطعة ۱ 苗床 🪱"), "قطعة ۱ 苗床 🪱");
    }
}
