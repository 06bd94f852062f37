//! The decimal mark of the flat form: a point, or a comma where the address says `decimal=comma`. Digits are never grouped.

use crate::garden::units::text::clip;
use crate::http::wire::between_digits;

/// The fields that are whole numbers: digits only, whatever the decimal mark.
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

/// What is wrong with a count; `None` if it is digits only, or a number that is not whole, which is refused as such.
#[must_use]
pub fn not_a_count(text: &str) -> Option<String> {
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let is_whole =
        |text: &str| text.parse::<f64>().ok().filter(|number| number.is_finite()).map(|number| number.fract() == 0.0);
    if is_digits(text.strip_prefix('-').unwrap_or(text)) || is_whole(text) == Some(false) {
        return None;
    }
    let mend = "Write a whole number in digits only, such as 4.";
    let parts = text.split_once(['.', ',']).filter(|(before, after)| is_digits(before) && is_digits(after));
    Some(match parts {
        Some((before, after)) => {
            let [shown, first, second] = [text, before, &format!("{before}{after}")].map(clip);
            let first = if after.bytes().all(|byte| byte == b'0') { first } else { format!("{first}.{after}") };
            format!("\"{shown}\" can be read in two ways: {first} or {second}. {mend}")
        }
        None => mend.to_owned(),
    })
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
    fn a_count_is_digits_only() {
        for text in ["4", "-3", "4.5", "99999999999999999999"] {
            assert_eq!(not_a_count(text), None, "{text}");
        }
        for text in ["1.000", "1,000", "4.0", "4,5", "1e3", "four", "", "-", "1 000", "inf"] {
            assert!(not_a_count(text).is_some_and(|found| found.contains("digits only")), "{text}");
        }
        assert!(not_a_count("1,000").unwrap().starts_with("\"1,000\" can be read in two ways: 1 or 1000."));
        assert!(not_a_count("4,5").unwrap().starts_with("\"4,5\" can be read in two ways: 4.5 or 45."));
    }
}
