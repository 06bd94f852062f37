//! The decimal mark of the flat form: a point, or a comma where the address says `decimal=comma`. Digits are never grouped.

use super::shared::plain;
use crate::garden::units::text::clip;
use crate::http::wire::{Node, between_digits};

/// The fields that are whole numbers: without groups, whatever the decimal mark.
const COUNTS: [&str; 4] = ["count", "repeat_times", "priority", "layer"];

/// Whether a comma and a point mean something else in this field than in a quantity.
fn is_count(field: &str) -> bool {
    COUNTS.contains(&field)
}

/// `6,5m` as `6.5m`: a comma between two digits is a point.
#[must_use]
pub fn comma_as_point(text: &str) -> String {
    let mut found = text.to_owned();
    for at in between_digits(text, ',') {
        found.replace_range(at..=at, ".");
    }
    found
}

/// The text of a field in which the decimal mark is a comma, with a point in its place; a count stays as it is.
///
/// # Errors
/// A point between digits: in words, since `1.000 L` may be 1 L or 1000 L.
pub fn with_point(field: &str, text: &str) -> Result<String, String> {
    if is_count(field) {
        return Ok(text.to_owned());
    }
    let points: Vec<usize> = between_digits(text, '.').collect();
    let Some(first) = points.first() else { return Ok(comma_as_point(text)) };
    let (mut decimal, mut grouped) = (text.to_owned(), text.to_owned());
    decimal.replace_range(*first..=*first, ",");
    points.iter().rev().for_each(|at| grouped.replace_range(*at..=*at, ""));
    let [shown, decimal, grouped] = [text, &decimal, &grouped].map(clip);
    let is_one_mark = points.len() == 1 && between_digits(text, ',').next().is_none();
    let found = if is_one_mark {
        format!("can be read in two ways: write \"{decimal}\" or \"{grouped}\"")
    } else {
        format!("has more than one mark between its digits: write \"{grouped}\"")
    };
    Err(format!("\"{shown}\" {found}; with decimal=comma the decimal mark is a comma, and digits are not grouped."))
}

/// A count as a number: digits only, or with zeros behind a decimal mark, which is either of the two. One that is not whole is refused as
/// such later.
///
/// # Errors
/// What is wrong with it, in words; three digits behind a mark may be a group.
pub fn count(text: &str) -> Result<Node<'_>, String> {
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let unsigned = |text: &'_ str| is_digits(text.strip_prefix('-').unwrap_or(text));
    let mend = "Write a whole number in digits only, such as 4.";
    let parts = text.split_once(['.', ',']).filter(|(before, after)| unsigned(before) && is_digits(after));
    let Some((before, after)) = parts else {
        let fraction = text.parse::<f64>().ok().filter(|number| number.is_finite() && number.fract() != 0.0);
        return if unsigned(text) {
            Ok(plain(without_zeros(text)))
        } else {
            fraction.map(Node::Float).ok_or_else(|| mend.to_owned())
        };
    };
    let is_zero = after.bytes().all(|byte| byte == b'0');
    let fraction = || format!("{before}.{after}");
    // A group of digits follows one to three of them.
    let may_be_group =
        matches!(before.trim_start_matches('-').len(), 1..=3) && !before.trim_start_matches('-').starts_with('0');
    if after.len() == 3 && may_be_group {
        let first = if is_zero { before.to_owned() } else { fraction() };
        let [shown, first, second] = [text, &first, &format!("{before}{after}")].map(clip);
        return Err(format!("\"{shown}\" can be read in two ways: {first} or {second}. {mend}"));
    }
    if is_zero {
        Ok(plain(without_zeros(before)))
    } else {
        fraction().parse().map(Node::Float).map_err(|_| mend.to_owned())
    }
}

/// Digits without zeros in front.
fn without_zeros(digits: &str) -> &str {
    let rest = digits.trim_start_matches('0');
    if rest.is_empty() && !digits.is_empty() { "0" } else { rest }
}

/// How a number with a comma is read as it was meant, where no decimal mark was asked for.
#[must_use]
pub fn hint(field: &str, text: &str) -> Option<String> {
    let point = comma_as_point(text);
    let is_meant = point != text && !is_count(field) && with_point(field, text).is_ok();
    is_meant.then(|| format!(" To read it as {}, add decimal=comma to the address.", clip(&point)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comma_between_digits_is_a_point() {
        for (text, wanted) in [("6,5m", "6.5m"), ("a,b", "a,b"), (",5", ",5"), ("1,5 ö 2,5", "1.5 ö 2.5"), ("5,", "5,")]
        {
            assert_eq!((comma_as_point(text).as_str(), with_point("rate", text).as_deref()), (wanted, Ok(wanted)));
        }
        assert_eq!(with_point("count", "1.000").as_deref(), Ok("1.000"));
    }

    #[test]
    fn a_point_between_digits_is_refused_with_what_to_write() {
        for (text, wanted) in [
            ("1.000 L", "\"1.000 L\" can be read in two ways: write \"1,000 L\" or \"1000 L\";"),
            ("1.500m", "write \"1,500m\" or \"1500m\";"),
            ("1.000,5 L", "has more than one mark between its digits: write \"1000,5 L\";"),
            ("1.000.000 L", "has more than one mark between its digits: write \"1000000 L\";"),
        ] {
            let found = with_point("rate", text).unwrap_err();
            assert!(found.contains(wanted), "{found}");
        }
    }

    #[test]
    fn a_count_is_digits_and_zeros_behind_a_mark() {
        for (text, number) in [
            ("4", 4),
            ("-3", -3),
            ("4.0", 4),
            ("4,0", 4),
            ("12.00", 12),
            ("0,0000", 0),
            ("-3.0", -3),
            ("04", 4),
            ("007.0", 7),
        ] {
            assert_eq!(count(text), Ok(Node::Int(number)), "{text}");
        }
        for (text, number) in [
            ("4.5", 4.5),
            ("4,5", 4.5),
            ("1.25", 1.25),
            ("15e-1", 1.5),
            ("4.0001", 4.0001),
            ("0.500", 0.5),
            ("1234,567", 1234.567),
        ] {
            assert_eq!(count(text), Ok(Node::Float(number)), "{text}");
        }
        for text in ["1.000", "1,000", "1.234", "1e3", "four", "", "-", "1 000", "inf", "4.", ".0", "1.000.000"] {
            assert!(count(text).is_err_and(|found| found.contains("digits only")), "{text}");
        }
        for (text, wanted) in [("1,000", "1 or 1000"), ("1.500", "1.500 or 1500"), ("-1.000", "-1 or -1000")] {
            let wanted = format!("\"{text}\" can be read in two ways: {wanted}.");
            assert!(count(text).unwrap_err().starts_with(&wanted), "{text}");
        }
    }
}
