//! Numbers, units and words of others in sentences.

use super::quantity::Dimension;

pub(super) fn shown(number: f64) -> String {
    if number == 0.0 || (1e-6..1e15).contains(&number.abs()) { format!("{number}") } else { format!("{number:e}") }
}

pub(super) fn shown_percent(fraction: f64) -> String {
    shown((fraction * 100.0 * 1e9).round() / 1e9)
}

pub(super) fn words(wanted: &[Dimension]) -> String {
    wanted.iter().map(|d| d.words()).collect::<Vec<_>>().join(" or ")
}

pub(super) fn fitting(wanted: &[Dimension]) -> Vec<&'static str> {
    wanted.iter().flat_map(|d| d.examples()).copied().collect()
}

/// At most 60 characters of what was sent, so that an answer stays short.
#[must_use]
pub fn clip(text: &str) -> String {
    let cleaned: String = text.chars().take(61).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if cleaned.chars().count() > 60 { format!("{}…", cleaned.chars().take(60).collect::<String>()) } else { cleaned }
}
