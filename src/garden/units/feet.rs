//! Feet and inches as the trade writes them: "8 ft 6 in", `6' 4"`, `6'-4 1/2"`.

use super::number::{begins_number, digits, not_a_number, plain_or_fraction};
use super::table;
use super::wording::{clip, shown};
use crate::garden::refusal::{Reason, Refusal};

/// Inches in a foot. Source: exact by definition.
const INCHES_IN_FOOT: f64 = 12.0;

/// Digits after a foot mark that are a group of thousands instead: `1'000`. Source: identity.
const GROUP: usize = 3;

/// The inches of whole feet and inches written together; `None` if the text is written in another way.
///
/// # Errors
/// `bad_number` if there are 12 in or more after the feet, or the second number has no unit.
pub(super) fn feet_and_inches(text: &str) -> Result<Option<f64>, Refusal> {
    let Some((feet, inches, unit)) = split(text) else { return Ok(None) };
    if !unit.is_empty() && !means(unit, "in") {
        return Ok(None);
    }
    if !inches.is_finite() {
        return Err(not_a_number(text));
    }
    if inches >= INCHES_IN_FOOT {
        return Err(too_many(text, feet, inches));
    }
    if unit.is_empty() {
        return Err(no_unit(text, feet, inches));
    }
    Ok(Some(feet * INCHES_IN_FOOT + inches))
}

/// Whole feet, the number after them, and what follows that.
fn split(text: &str) -> Option<(f64, f64, &str)> {
    let (feet, rest) = digits(text)?;
    let rest = rest.trim_start();
    let (between, after) = rest.split_at_checked(rest.find(begins_number)?)?;
    // A hyphen may join the two, as in 6'-4".
    let unit = between.trim_end_matches(|c: char| c == '-' || c.is_whitespace());
    // The 2 of "5 ft2" and the 3 of "5 ft3/100 in" belong to the unit.
    let glued = between.ends_with(char::is_alphabetic);
    let (inches, rest) = if glued { digits(after)? } else { plain_or_fraction(after)? };
    let rest = rest.trim();
    let squared = glued && rest.is_empty();
    let grouped = after.bytes().take_while(u8::is_ascii_digit).count() >= GROUP;
    (means(unit, "ft") && !squared && !grouped).then_some((feet, inches, rest))
}

/// Whether this is the unit of this symbol or a spelling of it.
fn means(unit: &str, symbol: &str) -> bool {
    table::find(unit).is_some_and(|found| found.symbol == symbol)
}

fn no_unit(text: &str, feet: f64, inches: f64) -> Refusal {
    let (feet, inches) = (shown(feet), shown(inches));
    let detail = format!("the second number of \"{}\" has no unit: write \"{feet} ft {inches} in\"", clip(text));
    Refusal::new(Reason::BadNumber, detail)
}

fn too_many(text: &str, feet: f64, inches: f64) -> Refusal {
    let (more, rest) = ((inches / INCHES_IN_FOOT).floor(), inches % INCHES_IN_FOOT);
    let (feet, rest) = (shown(feet + more), shown(rest));
    let detail = format!("\"{}\" has 12 in or more after the feet: write \"{feet} ft {rest} in\"", clip(text));
    Refusal::new(Reason::BadNumber, detail)
}
