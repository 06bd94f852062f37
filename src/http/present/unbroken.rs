//! Numbers and what belongs to them, on one line: `35 %`, `62.3 L`, `19.80 EUR`, `5 Apr`.

use crate::garden::units::table::find;
use chrono::Month;

/// A space at which no line ends.
pub const NO_BREAK: char = '\u{a0}';

/// The text with [`NO_BREAK`] between each number and the unit, currency or month that follows it.
#[must_use]
pub fn unbroken(text: &str) -> String {
    let mut words = text.split(' ');
    let mut last = words.next().unwrap_or_default();
    let mut whole = last.to_owned();
    for word in words {
        whole.push(if are_one(last, word) { NO_BREAK } else { ' ' });
        whole.push_str(word);
        last = word;
    }
    whole
}

/// Whether the second word belongs to the number that the first one ends with, or to the name of a US unit.
fn are_one(first: &str, second: &str) -> bool {
    let unit = second.trim_end_matches([',', '.', ';', ':', ')', ']']);
    if first == "US" {
        return find(&format!("US {unit}")).is_some();
    }
    let alone = unit.split_once('/').map_or(unit, |(alone, _)| alone);
    let is_currency = unit.len() == 3 && unit.bytes().all(|letter| letter.is_ascii_uppercase());
    let is_unit = matches!(alone, "%" | "US") || is_currency || find(alone).is_some() || unit.parse::<Month>().is_ok();
    first.ends_with(char::is_numeric) && is_unit
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_with_its_unit_and_a_day_with_its_month() {
        for (text, whole) in [
            ("chance 35 %.", "chance 35~%."),
            ("2 sacks of 40 L, 19.80 EUR; by 5 Apr 2027", "2 sacks of 40~L, 19.80~EUR; by 5~Apr 2027"),
            ("9\u{bd} buckets (115 L)", "9\u{bd} buckets (115~L)"),
            ("6 kg/m2, 3 US gal, 20 C", "6~kg/m2, 3~US~gal, 20~C"),
            ("90 of 100 runs  from 2027 to 2028", "90 of 100 runs  from 2027 to 2028"),
            ("US and L", "US and L"),
            ("", ""),
        ] {
            assert_eq!(unbroken(text).replace(NO_BREAK, "~"), whole);
        }
    }
}
