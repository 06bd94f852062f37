//! Numbers, units and words of others in sentences.

use super::quantity::Dimension;
use super::round::to_nine_digits;
use super::table;
use crate::garden::refusal::{Reason, Refusal};

pub(super) fn shown(number: f64) -> String {
    if number == 0.0 || (1e-6..1e15).contains(&number.abs()) { format!("{number}") } else { format!("{number:e}") }
}

pub(super) fn shown_percent(fraction: f64) -> String {
    shown((fraction * 100.0 * 1e9).round() / 1e9)
}

pub(super) fn words(wanted: &[Dimension]) -> String {
    wanted.iter().map(|d| d.text()).collect::<Vec<_>>().join(" or ")
}

/// A value of each dimension, as people write it: `60 L or 36 kg`.
pub(super) fn samples(wanted: &[Dimension]) -> String {
    let mut samples: Vec<&str> = Vec::new();
    for sample in wanted.iter().map(|dimension| dimension.sample()).filter(|sample| !sample.is_empty()) {
        if !samples.contains(&sample) {
            samples.push(sample);
        }
    }
    samples.join(" or ")
}

/// A value of the first of these dimensions that has one.
#[must_use]
pub fn first_sample(wanted: &[Dimension]) -> Option<&'static str> {
    wanted.iter().map(|dimension| dimension.sample()).find(|sample| !sample.is_empty())
}

/// All units that fit, each once.
pub fn fitting(wanted: &[Dimension]) -> Vec<&'static str> {
    let mut units: Vec<&str> = Vec::new();
    for unit in wanted.iter().flat_map(|dimension| table::fitting(*dimension)) {
        if !units.contains(&unit) {
            units.push(unit);
        }
    }
    units
}

/// The refusal of a value outside its bounds: `the area must be from 1e-6 to 1e10 m2`.
#[must_use]
pub fn outside(what: &str, (min, max): (f64, f64), unit: &str) -> Refusal {
    let (min, max) = (to_nine_digits(min), to_nine_digits(max));
    let show = |x: f64| if x != 0.0 && !(1e-4..1e7).contains(&x.abs()) { format!("{x:e}") } else { format!("{x}") };
    let detail = format!("{what} must be from {} to {} {unit}", show(min), show(max));
    Refusal::new(Reason::OutOfRange, detail).between(min, max)
}

/// At most 60 characters of what was sent, so that an answer stays short.
#[must_use]
pub fn clip(text: &str) -> String {
    let cleaned: String = text.chars().take(61).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if cleaned.chars().count() > 60 { format!("{}…", cleaned.chars().take(60).collect::<String>()) } else { cleaned }
}
