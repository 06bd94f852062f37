//! The number that a quantity begins with.

use super::quantity::Dimension;
use super::wording::{clip, first_sample};
use crate::garden::refusal::{Reason, Refusal};

/// Fractions of one sign, as numerator and denominator. Source: identity.
const VULGAR: &[(char, f64, f64)] = &[
    ('½', 1.0, 2.0),
    ('¼', 1.0, 4.0),
    ('¾', 3.0, 4.0),
    ('⅓', 1.0, 3.0),
    ('⅔', 2.0, 3.0),
    ('⅕', 1.0, 5.0),
    ('⅖', 2.0, 5.0),
    ('⅗', 3.0, 5.0),
    ('⅘', 4.0, 5.0),
    ('⅙', 1.0, 6.0),
    ('⅚', 5.0, 6.0),
    ('⅛', 1.0, 8.0),
    ('⅜', 3.0, 8.0),
    ('⅝', 5.0, 8.0),
    ('⅞', 7.0, 8.0),
];

/// Refuses a sign before anything but a temperature.
///
/// # Errors
/// `bad_number`.
pub(super) fn sign_fits(text: &str, wanted: &[Dimension]) -> Result<(), Refusal> {
    let temperature = wanted.iter().any(|d| matches!(d, Dimension::Temperature | Dimension::TemperatureDifference));
    if temperature || !text.starts_with(['+', '-', '\u{2212}']) {
        return Ok(());
    }
    let detail =
        format!("\"{}\" has a sign, and only a temperature may have one; write the number without it", clip(text));
    Err(Refusal::new(Reason::BadNumber, detail))
}

/// Refuses a number that is not finite.
pub(super) fn not_a_number(text: &str) -> Refusal {
    let detail = format!(
        "\"{}\" is not a number the service can calculate with; write an ordinary number, as in \"2.5\"",
        clip(text)
    );
    Refusal::new(Reason::BadNumber, detail)
}

/// Splits the leading number off a text: digits with `.`, an optional exponent, or a fraction.
pub(super) fn number<'t>(text: &'t str, wanted: &[Dimension]) -> Result<(f64, &'t str), Refusal> {
    let (sign, unsigned) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').map_or(text, str::trim_start)),
    };
    sign_fits(text, wanted)?;
    let (value, rest) = plain_or_fraction(unsigned).ok_or_else(|| no_number(text, wanted))?;
    if !value.is_finite() {
        return Err(not_a_number(text));
    }
    comma_or_group(text, rest)?;
    Ok((sign * value, rest))
}

pub(super) fn plain_or_fraction(text: &str) -> Option<(f64, &str)> {
    if let Some((value, rest)) = vulgar(text) {
        return Some((value, rest));
    }
    let (value, rest, is_whole) = decimal(text)?;
    if !is_whole {
        return Some((value, rest));
    }
    if let Some((below, rest)) = rest.strip_prefix('/').and_then(digits) {
        return Some((value / below, rest));
    }
    let after = rest.trim_start();
    if let Some((part, rest)) = vulgar(after) {
        return Some((value + part, rest));
    }
    let mixed = digits(after).filter(|_| after.len() != rest.len());
    if let Some((above, rest)) = mixed
        && let Some((below, rest)) = rest.strip_prefix('/').and_then(digits)
    {
        return Some((value + above / below, rest));
    }
    Some((value, rest))
}

/// Whether a number may begin with this sign.
pub(super) fn begins_number(c: char) -> bool {
    c.is_ascii_digit() || c == '.' || VULGAR.iter().any(|(sign, _, _)| *sign == c)
}

fn vulgar(text: &str) -> Option<(f64, &str)> {
    let first = text.chars().next()?;
    let (_, above, below) = VULGAR.iter().find(|(sign, _, _)| *sign == first)?;
    Some((above / below, text.get(first.len_utf8()..)?))
}

pub(super) fn digits(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let value = text.get(..end)?.parse::<f64>().ok().filter(|value| value.is_finite())?;
    Some((value, text.get(end..)?))
}

/// A decimal number; the flag says that it has neither point nor exponent, so that a fraction may follow.
fn decimal(text: &str) -> Option<(f64, &str, bool)> {
    let count = |from: usize| text.get(from..).map_or(0, |t| t.bytes().take_while(u8::is_ascii_digit).count());
    let byte = |at: usize| text.as_bytes().get(at).copied();
    let mut end = count(0);
    let mut is_whole = end > 0;
    if byte(end) == Some(b'.') && count(end + 1) > 0 {
        end += 1 + count(end + 1);
        is_whole = false;
    }
    if end == 0 {
        return None;
    }
    if matches!(byte(end), Some(b'e' | b'E')) {
        let signed = usize::from(matches!(byte(end + 1), Some(b'+' | b'-')));
        let exponent = count(end + 1 + signed);
        if exponent > 0 {
            end += 1 + signed + exponent;
            is_whole = false;
        }
    }
    let value = text.get(..end)?.parse::<f64>().ok()?;
    Some((value, text.get(end..)?, is_whole))
}

/// Refuses "1,5 m" and "1,000 L", showing both readings, and "1 000 L" and "1.000.000 L".
fn comma_or_group(text: &str, rest: &str) -> Result<(), Refusal> {
    let head = text.strip_suffix(rest).unwrap_or(text);
    let mark = rest.trim_start().chars().next();
    let after = rest.trim_start().trim_start_matches([',', '.', '\'', ' ', '\u{a0}', '\u{202f}']);
    let run = after.bytes().take_while(u8::is_ascii_digit).count();
    let (digits, unit) = after.split_at_checked(run).unwrap_or((after, ""));
    match mark {
        Some(',' | '.' | '\'') if run > 0 => {
            let sign = |c: char| matches!(c, '+' | '-' | '\u{2212}') || c.is_whitespace();
            let only_digits = head.trim_start_matches(sign).bytes().all(|b| b.is_ascii_digit());
            let unit = unit.trim();
            let more_digits = unit.starts_with(|c: char| matches!(c, ',' | '.' | '\'') || c.is_ascii_digit());
            let found = if only_digits && !more_digits {
                let readings = [format!("{head}.{digits} {unit}"), format!("{head}{digits} {unit}")];
                let [point, group] = readings.map(|reading| clip(reading.trim_end()));
                format!("can be read in two ways: write \"{point}\" or \"{group}\"")
            } else {
                "has more than one mark between its digits".to_owned()
            };
            let detail = format!("\"{}\" {found}; use a point as the decimal mark and do not group digits", clip(text));
            Err(Refusal::new(Reason::BadNumber, detail))
        }
        Some(c) if c.is_ascii_digit() => {
            let detail = format!("\"{}\" has two numbers; write digits without gaps", clip(text));
            Err(Refusal::new(Reason::BadNumber, detail))
        }
        _ => Ok(()),
    }
}

fn no_number(text: &str, wanted: &[Dimension]) -> Refusal {
    let example = first_sample(wanted).unwrap_or("2");
    let detail = if text.is_empty() {
        format!("the text is empty; write a number and its unit, as in \"{example}\"")
    } else {
        format!("\"{}\" does not start with a number; write a number and its unit, as in \"{example}\"", clip(text))
    };
    Refusal::new(Reason::BadNumber, detail)
}
