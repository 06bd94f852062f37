//! Reading "20 cm", "1 1/2 in", "14 buckets", "2 lb/100 ft2".

use super::measures::Measures;
use super::quantity::Dimension;
use super::table::{self, Atom};
use crate::garden::refusal::{Reason, Refusal};
use unicode_normalization::UnicodeNormalization;

/// What a text is read with: the caller's measures.
#[derive(Debug, Clone, Default)]
pub struct Reader {
    /// The caller's measures.
    pub measures: Measures,
}

/// A quantity as read: its value in base units, and what it measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Read {
    /// The value in the base unit of the dimension.
    pub base: f64,
    /// Which of the wanted dimensions it is.
    pub dimension: Dimension,
}

/// Reads a number and its unit as one of the wanted dimensions. Bounds are not checked here.
///
/// ```
/// use barrowful::garden::units::{Dimension, text::{read, Reader}};
/// let read_length = |text| read(text, &[Dimension::Length], &Reader::default());
/// assert_eq!(read_length("20 cm").unwrap().base, 0.2);
/// assert!((read_length("1 1/2 in").unwrap().base - 0.0381).abs() < 1e-15);
/// assert!(read_length("1,5 m").is_err());
/// assert!(read_length("20 L").is_err());
/// ```
///
/// # Errors
/// `bad_number`, `unit_missing`, `unknown_unit`, `ambiguous_unit`, `unit_does_not_fit`, `share_without_percent`.
pub fn read(text: &str, wanted: &[Dimension], reader: &Reader) -> Result<Read, Refusal> {
    let text = text.trim();
    let (number, rest) = number(text, wanted)?;
    let unit = rest.trim();
    if unit.is_empty() {
        return Err(unit_missing(number, wanted));
    }
    with_unit(number, unit, wanted, reader)
}

/// Reads a value whose unit stands beside it.
///
/// # Errors
/// As [`read`].
pub fn with_unit(number: f64, unit: &str, wanted: &[Dimension], reader: &Reader) -> Result<Read, Refusal> {
    let found = resolve(unit, wanted, reader)?;
    let fits = wanted.iter().copied().find(|want| fits(found.dimension, *want));
    let Some(dimension) = fits else { return Err(does_not_fit(unit, found.dimension, wanted)) };
    let fahrenheit = dimension == Dimension::Temperature && found.factor < 1.0;
    let offset = if fahrenheit { -FREEZING } else { 0.0 };
    Ok(Read { base: scale(number + offset, found.factor), dimension })
}

/// The freezing point of water in degrees Fahrenheit: C = (F - 32) 5/9. Source: exact by definition.
const FREEZING: f64 = 32.0;

/// Multiplies so that exact decimals stay exact: 10 mm is 0.01 m, as 10/1000, not 10 x 0.001.
fn scale(number: f64, factor: f64) -> f64 {
    let inverse = (1.0 / factor).round();
    if factor < 1.0 && inverse <= 1000.0 && (inverse * factor - 1.0).abs() < f64::EPSILON {
        number / inverse
    } else {
        number * factor
    }
}

fn fits(found: Dimension, wanted: Dimension) -> bool {
    use Dimension::{Mass, MassPerPlant, Temperature, TemperatureDifference, Volume, VolumePerPlant};
    found == wanted
        || matches!(
            (found, wanted),
            (Temperature, TemperatureDifference) | (Volume, VolumePerPlant) | (Mass, MassPerPlant)
        )
}

/// The refusal for a number without a unit.
#[must_use]
pub fn unit_missing(number: f64, wanted: &[Dimension]) -> Refusal {
    let units = fitting(wanted);
    let shown = shown(number);
    if wanted.contains(&Dimension::Share) && (0.0..=1.0).contains(&number) {
        let percent = format!("{} %", shown_percent(number));
        let detail = format!("{shown} has no unit: did you mean {percent}? Shares are written as percentages");
        return Refusal { nearest: Some(percent), ..Refusal::new(Reason::ShareWithoutPercent, detail) }.allowed(units);
    }
    let such = units.iter().take(3).copied().collect::<Vec<_>>().join(", ");
    let detail = format!("{shown} has no unit; write {} with its unit ({such} and so on)", words(wanted));
    Refusal::new(Reason::UnitMissing, detail).allowed(units)
}

fn shown(number: f64) -> String {
    if number == 0.0 || (1e-6..1e15).contains(&number.abs()) { format!("{number}") } else { format!("{number:e}") }
}

fn shown_percent(fraction: f64) -> String {
    shown((fraction * 100.0 * 1e9).round() / 1e9)
}

fn words(wanted: &[Dimension]) -> String {
    wanted.iter().map(|d| d.words()).collect::<Vec<_>>().join(" or ")
}

fn fitting(wanted: &[Dimension]) -> Vec<&'static str> {
    wanted.iter().flat_map(|d| d.examples()).copied().collect()
}

fn does_not_fit(unit: &str, found: Dimension, wanted: &[Dimension]) -> Refusal {
    let detail = format!("\"{}\" is {}; here {} is due", clip(unit), found.words(), words(wanted));
    Refusal::new(Reason::UnitDoesNotFit, detail).allowed(fitting(wanted))
}

struct Found {
    dimension: Dimension,
    factor: f64,
}

/// Resolves a unit text: a unit, a measure, or one of these over one or two others.
fn resolve(unit: &str, wanted: &[Dimension], reader: &Reader) -> Result<Found, Refusal> {
    if let Some(single) = single(unit, reader) {
        return match single.0 {
            Atom::Of(dimension) => Ok(Found { dimension, factor: single.1 }),
            Atom::Plant => Err(unknown(unit, unit, wanted, reader)),
        };
    }
    let joined = folded(unit).replace(" per ", "/");
    let mut parts = joined.split('/').map(str::trim);
    let top = parts.next().unwrap_or_default();
    let below: Vec<&str> = parts.collect();
    let (atom, mut factor) = single(top, reader).ok_or_else(|| unknown(unit, top, wanted, reader))?;
    let Atom::Of(numerator) = atom else { return Err(unknown(unit, top, wanted, reader)) };
    let mut denominators = Vec::new();
    for part in below {
        let (count, name) = leading_count(part);
        let (atom, size) = single(name, reader).ok_or_else(|| unknown(unit, name, wanted, reader))?;
        denominators.push(atom);
        factor /= size * count;
    }
    match table::compound(numerator, &denominators) {
        Some((dimension, scale)) => Ok(Found { dimension, factor: factor * scale }),
        None => {
            let detail = format!("\"{}\" is no unit that is used here; {} is due", clip(unit), words(wanted));
            Err(Refusal::new(Reason::UnitDoesNotFit, detail).allowed(fitting(wanted)))
        }
    }
}

/// The `100` of `100 ft2`; 1 if there is none.
fn leading_count(part: &str) -> (f64, &str) {
    let digits = part.len() - part.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (count, name) = part.split_at(digits);
    match count.parse::<f64>() {
        Ok(count) if count > 0.0 && digits <= 9 => (count, name.trim_start()),
        _ => (1.0, part),
    }
}

fn single(name: &str, reader: &Reader) -> Option<(Atom, f64)> {
    if let Some(unit) = table::find(name) {
        return Some((unit.measures, unit.factor));
    }
    if let Some(measure) = reader.measures.find(name) {
        return Some((Atom::Of(measure.dimension()), measure.factor()));
    }
    table::find(&folded(name)).map(|unit| (unit.measures, unit.factor))
}

/// NFKC and white-space folding.
fn folded(name: &str) -> String {
    name.nfkc().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unknown(whole: &str, part: &str, wanted: &[Dimension], reader: &Reader) -> Refusal {
    let (shown, all) = (clip(part), clip(whole));
    let named = if shown == all { format!("\"{shown}\"") } else { format!("\"{shown}\" in \"{all}\"") };
    if let Some(meant) = table::ambiguous(part) {
        let detail = format!("{named} may be {}: write which", meant.join(" or "));
        return Refusal::new(Reason::AmbiguousUnit, detail).allowed(meant.iter().copied());
    }
    let own: Vec<&str> = reader.measures.iter().map(|m| m.name.as_str()).collect();
    let known = if own.is_empty() {
        ", or explain it under measures, as in {\"name\": \"bucket\", \"holds\": \"12 L\"}".to_owned()
    } else {
        format!(" or one of your measures ({})", own.join(", "))
    };
    let detail = match how_else(part) {
        Some(hint) => format!("{named} is no unit: {hint}"),
        None => format!("{named} is no unit known here; {} is due, in one of the units listed{known}", words(wanted)),
    };
    Refusal::new(Reason::UnknownUnit, detail).allowed(fitting(wanted))
}

/// What is meant by common ways of writing that are not read.
fn how_else(unit: &str) -> Option<&'static str> {
    if unit.contains(['\'', '"', '\u{2032}', '\u{2033}', '\u{2019}', '\u{201d}']) {
        return Some("write ft or in");
    }
    if unit.contains(['-', '\u{2013}']) && unit.contains(|c: char| c.is_ascii_digit()) {
        return Some("one value is due; for a range write {\"value\": .., \"low\": .., \"high\": .., \"unit\": ..}");
    }
    let digits = unit.trim_start_matches(|c: char| !c.is_ascii_digit());
    (unit.contains(' ') && digits.len() > 1 && digits.contains(' '))
        .then_some("write one value with one unit, as in 4.5 ft for 4 ft 6 in")
}

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

/// Splits the leading number off a text: digits with `.`, an optional exponent, or a fraction.
fn number<'t>(text: &'t str, wanted: &[Dimension]) -> Result<(f64, &'t str), Refusal> {
    let (sign, unsigned) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').map_or(text, str::trim_start)),
    };
    let temperature = wanted.iter().any(|d| matches!(d, Dimension::Temperature | Dimension::TemperatureDifference));
    if unsigned.len() != text.len() && !temperature {
        let detail = format!("\"{}\" has a sign; only temperatures have one", clip(text));
        return Err(Refusal::new(Reason::BadNumber, detail));
    }
    let (value, rest) = plain_or_fraction(unsigned).ok_or_else(|| no_number(text, wanted))?;
    if !value.is_finite() {
        let detail = format!("\"{}\" is no number that can be computed with", clip(text));
        return Err(Refusal::new(Reason::BadNumber, detail));
    }
    comma_or_group(text, rest)?;
    Ok((sign * value, rest))
}

fn plain_or_fraction(text: &str) -> Option<(f64, &str)> {
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

fn vulgar(text: &str) -> Option<(f64, &str)> {
    let first = text.chars().next()?;
    let (_, above, below) = VULGAR.iter().find(|(sign, _, _)| *sign == first)?;
    Some((above / below, text.get(first.len_utf8()..)?))
}

fn digits(text: &str) -> Option<(f64, &str)> {
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
            let detail = format!("\"{}\" {found}; the decimal mark is a point and digits are not grouped", clip(text));
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
    let example = fitting(wanted).first().map_or("2", |u| *u).to_owned();
    let detail = if text.is_empty() {
        format!("the text is empty; write a number and its unit, for instance \"2 {example}\"")
    } else {
        format!("\"{}\" does not begin with a number; write a number and its unit, as in \"2 {example}\"", clip(text))
    };
    Refusal::new(Reason::BadNumber, detail)
}

/// At most 60 characters of what was sent, so that an answer stays short.
#[must_use]
pub fn clip(text: &str) -> String {
    let cleaned: String = text.chars().take(61).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if cleaned.chars().count() > 60 { format!("{}…", cleaned.chars().take(60).collect::<String>()) } else { cleaned }
}
