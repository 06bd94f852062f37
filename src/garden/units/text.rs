//! Reading "20 cm", "1 1/2 in", "6 ft 4 in", "14 buckets", "2 lb/100 ft2".

use super::containers::{Container, Containers};
use super::factor::to_base;
use super::feet::feet_and_inches;
use super::number::{number, sign_fits};
use super::quantity::Dimension;
use super::table::{self, Atom};
pub use super::wording::{clip, first_sample, fitting, outside};
use super::wording::{samples, shown, shown_percent, words};
use crate::garden::refusal::{Reason, Refusal};
use unicode_normalization::UnicodeNormalization;

/// What a text is read with.
#[derive(Debug, Clone, Default)]
pub struct Reader {
    /// The caller's containers.
    pub containers: Containers,
    /// True where the request is in US customary units: a gallon that may be of several kinds is then the US one.
    pub us_customary: bool,
}

/// A quantity as read: its value in base units, and what it measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Read {
    /// The value in the base unit of the dimension.
    pub base: f64,
    /// Which of the wanted dimensions it is.
    pub dimension: Dimension,
    /// True if a name in it is that of several units and was read as the US one.
    pub us_customary: bool,
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
    if let Some(inches) = feet_and_inches(text)? {
        return with_unit(inches, "in", wanted, reader);
    }
    let (number, rest) = number(text, wanted)?;
    let unit = rest.trim();
    if unit.is_empty() {
        return Err(unit_missing(number, wanted));
    }
    let read = with_unit(number, unit, wanted, reader).map_err(|refusal| with_sample(refusal, wanted))?;
    sign_fits(text, &[read.dimension])?;
    Ok(read)
}

/// Reads a value whose unit is given beside it.
///
/// # Errors
/// As [`read`].
pub fn with_unit(number: f64, unit: &str, wanted: &[Dimension], reader: &Reader) -> Result<Read, Refusal> {
    let found = resolve(unit, wanted, reader)?;
    let fits = wanted.iter().copied().find(|requirement| fits(found.dimension, *requirement));
    let Some(dimension) = fits else { return Err(does_not_fit(unit, found.dimension, wanted)) };
    let fahrenheit = dimension == Dimension::Temperature && found.factor < 1.0;
    let offset = if fahrenheit { -FREEZING } else { 0.0 };
    Ok(Read { base: to_base(number + offset, found.factor), dimension, us_customary: found.us_customary })
}

/// The refusal of a unit that does not fit, with what would.
fn with_sample(refusal: Refusal, wanted: &[Dimension]) -> Refusal {
    let such = samples(wanted);
    if refusal.reason != Reason::UnitDoesNotFit || such.is_empty() {
        return refusal;
    }
    Refusal { detail: format!("{}, as in {such}", refusal.detail), ..refusal }
}

/// The freezing point of water in degrees Fahrenheit: C = (F - 32) 5/9. Source: exact by definition.
const FREEZING: f64 = 32.0;

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
        let detail = format!("{shown} has no unit: did you mean {percent}? Write shares as percentages");
        return Refusal { nearest: Some(percent), ..Refusal::new(Reason::ShareWithoutPercent, detail) }.allowed(units);
    }
    let detail = format!("{shown} has no unit; write {}", with_its_unit(wanted));
    Refusal::new(Reason::UnitMissing, detail).allowed(units)
}

/// `a volume with its unit (mL, L, m3 and so on)`
fn with_its_unit(wanted: &[Dimension]) -> String {
    let units = fitting(wanted);
    let such = match *units {
        [one, other] => format!("{one} or {other}"),
        _ => units.iter().take(3).copied().collect::<Vec<_>>().join(", ") + " and so on",
    };
    format!("{} with its unit ({such})", words(wanted))
}

fn does_not_fit(unit: &str, found: Dimension, wanted: &[Dimension]) -> Refusal {
    let detail = format!("\"{}\" is {}, but this must be {}", clip(unit), found.text(), words(wanted));
    Refusal::new(Reason::UnitDoesNotFit, detail).allowed(fitting(wanted))
}

struct Found {
    dimension: Dimension,
    factor: f64,
    us_customary: bool,
}

/// A single unit or container.
struct Single {
    atom: Atom,
    factor: f64,
    us_customary: bool,
}

impl Single {
    const fn of(unit: &table::Unit) -> Self {
        Self { atom: unit.measures, factor: unit.factor, us_customary: false }
    }
}

/// Resolves a unit text: a unit, a container, or one of these over one or two others.
fn resolve(unit: &str, wanted: &[Dimension], reader: &Reader) -> Result<Found, Refusal> {
    if let Some(single) = single(unit, reader) {
        match single.atom {
            Atom::Of(dimension) => {
                return Ok(Found { dimension, factor: single.factor, us_customary: single.us_customary });
            }
            Atom::Plant => return Err(unknown(unit, unit, wanted, reader)),
            // Refused below, with what it would be over a length.
            Atom::Conductance => {}
        }
    }
    let joined = folded(unit).replace(" per ", "/");
    let mut parts = joined.split('/').map(str::trim);
    let top = parts.next().unwrap_or_default();
    let below: Vec<&str> = parts.collect();
    let Single { atom, mut factor, mut us_customary } =
        single(top, reader).ok_or_else(|| unknown(unit, top, wanted, reader))?;
    if atom == Atom::Plant {
        return Err(unknown(unit, top, wanted, reader));
    }
    let mut denominators = Vec::new();
    for part in below {
        let (count, name) = leading_count(part);
        let one = single(name, reader).ok_or_else(|| unknown(unit, name, wanted, reader))?;
        denominators.push(one.atom);
        factor /= one.factor * count;
        us_customary |= one.us_customary;
    }
    match table::compound(atom, &denominators) {
        Some((dimension, scale)) => Ok(Found { dimension, factor: factor * scale, us_customary }),
        None => {
            let detail = format!("\"{}\" is not a unit for this; this must be {}", clip(unit), words(wanted));
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

fn single(name: &str, reader: &Reader) -> Option<Single> {
    if let Some(unit) = table::find(name) {
        return Some(Single::of(unit));
    }
    if let Some(container) = reader.containers.find(name).filter(|container| !container.is_refused()) {
        let atom = Atom::Of(container.dimension());
        return Some(Single { atom, factor: container.factor(), us_customary: false });
    }
    let folded = folded(name);
    if let Some(unit) = table::find(&folded) {
        return Some(Single::of(unit));
    }
    let unit = reader.us_customary.then(|| table::us_customary(&folded)).flatten()?;
    Some(Single { us_customary: true, ..Single::of(unit) })
}

/// NFKC and white-space folding.
fn folded(name: &str) -> String {
    name.nfkc().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unknown(whole: &str, part: &str, wanted: &[Dimension], reader: &Reader) -> Refusal {
    if reader.containers.find(part).is_some_and(Container::is_refused) {
        let detail = format!("\"{}\" is a container that was refused", clip(part));
        return Refusal { follows: true, ..Refusal::new(Reason::UnknownUnit, detail) };
    }
    let (shown, all) = (clip(part), clip(whole));
    let named = if shown == all { format!("\"{shown}\"") } else { format!("\"{shown}\" in \"{all}\"") };
    if let Some(entry @ table::Ambiguous { meant, .. }) = table::ambiguous(part) {
        let written = meant.join(" or ");
        let detail = if entry.is_kitchen_measure() {
            format!("{named} differs between countries; write it in {written}")
        } else {
            format!("{named} can mean {written}; write which one")
        };
        return Refusal::new(Reason::AmbiguousUnit, detail).allowed(meant.iter().copied());
    }
    let own = reader.containers.iter().filter(|container| !container.is_refused());
    let own: Vec<&str> = own.map(|container| container.name.one.as_str()).collect();
    // A share takes containers on both sides of its bar, which is not what somebody means who has no unit for it.
    let takes_container = |of: &Dimension| of.takes_container() && *of != Dimension::Share;
    let or_container = if !wanted.iter().any(takes_container) {
        String::new()
    } else if own.is_empty() {
        ", or define it under containers, as in {\"name\": \"bucket\", \"capacity\": \"12 L\"}".to_owned()
    } else {
        format!(" or one of your containers ({})", own.join(", "))
    };
    let detail = match how_else(part) {
        Some(hint) => format!("{named} is not a unit; {hint}"),
        None => {
            format!("{named} is not a known unit; write {}{or_container}", with_its_unit(wanted))
        }
    };
    Refusal::new(Reason::UnknownUnit, detail).allowed(fitting(wanted))
}

/// What is meant by common ways of writing that are not read.
fn how_else(unit: &str) -> Option<&'static str> {
    if unit.contains(['\'', '"', '\u{2032}', '\u{2033}', '\u{2019}', '\u{201d}']) {
        return Some("write feet and inches as in 6 ft 4 in or 6' 4\"");
    }
    if unit.contains(['-', '\u{2013}']) && unit.contains(|c: char| c.is_ascii_digit()) {
        return Some("for a range write {\"value\": .., \"low\": .., \"high\": .., \"unit\": ..}");
    }
    let digits = unit.trim_start_matches(|c: char| !c.is_ascii_digit());
    (unit.contains(' ') && digits.len() > 1 && digits.contains(' '))
        .then_some("write one value with one unit, as in 4.5 kg; only feet and inches go together, as in 4 ft 6 in")
}
