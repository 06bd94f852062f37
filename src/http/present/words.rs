//! How numbers, days and names are written for readers, in every form alike.

use crate::http::output::QuantityOut;
use chrono::{DateTime, Datelike, FixedOffset, NaiveDate};

/// A quantity for reading: four significant digits, and its range where there is one.
#[must_use]
pub fn shown(quantity: &QuantityOut) -> String {
    format!("{}{} {}", digits(quantity.value.get()), range(quantity), quantity.unit).trim_end().to_owned()
}

/// ` (21.6–43.2)`, or nothing where there is no range.
#[must_use]
pub fn range(quantity: &QuantityOut) -> String {
    match (quantity.low, quantity.high) {
        (Some(low), Some(high)) => format!(" ({}–{})", digits(low.get()), digits(high.get())),
        _ => String::new(),
    }
}

/// Four significant digits, without trailing zeros.
#[must_use]
pub fn digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.3e}").parse().unwrap_or(value);
    format!("{rounded}")
}

/// Amounts one after the other.
#[must_use]
pub fn containers(list: &[QuantityOut]) -> String {
    list.iter().map(shown).collect::<Vec<_>>().join(", ")
}

/// A day: `5 Apr 2027`.
#[must_use]
pub fn day(date: NaiveDate) -> String {
    date.format("%-d %b %Y").to_string()
}

/// A day, or a dash where there is none.
#[must_use]
pub fn day_or_dash(date: Option<NaiveDate>) -> String {
    date.map_or_else(|| "–".to_owned(), day)
}

/// Days from one to another, without saying twice what they share: `14–26 Sep 2026`.
#[must_use]
pub fn days(first: NaiveDate, last: NaiveDate) -> String {
    let form = match (first == last, first.year() == last.year(), first.month() == last.month()) {
        (true, ..) => return day(last),
        (_, true, true) => "%-d",
        (_, true, false) => "%-d %b",
        (_, false, _) => "%-d %b %Y",
    };
    format!("{}–{}", first.format(form), day(last))
}

/// A moment without its offset: `10 Jun 2027 18:00`.
#[must_use]
pub fn moment(moment: DateTime<FixedOffset>) -> String {
    use chrono::Timelike;
    let form = if moment.second() == 0 { "%-d %b %Y %H:%M" } else { "%-d %b %Y %H:%M:%S" };
    moment.format(form).to_string()
}

/// Its name, else its id, else what it is and its place counted from 1.
#[must_use]
pub fn name_of(name: Option<&str>, id: Option<&str>, what: &str, index: usize) -> String {
    name.or(id).map_or_else(|| format!("{what} {}", index + 1), str::to_owned)
}

/// A chance: those at either end stand for all beyond.
#[must_use]
pub fn chance(chance: &QuantityOut) -> String {
    let value = chance.value.get();
    let beyond = if value >= 95.0 {
        " or more"
    } else if value <= 5.0 {
        " or less"
    } else {
        ""
    };
    format!("{}{beyond}", shown(chance))
}

/// Text that is safe on a terminal: white space is folded, and characters that steer the terminal or turn the direction of
/// writing become the replacement character.
#[must_use]
pub fn clean(text: &str) -> String {
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

#[cfg(test)]
mod tests {
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
            (-2.5, "-2.5"),
        ] {
            assert_eq!(digits(number), text);
        }
    }

    #[test]
    fn moments_are_shortened_only_where_nothing_is_lost() {
        for (wire, text) in
            [("2027-06-10T08:00:00+02:00", "10 Jun 2027 08:00"), ("2027-06-10T08:00:30-05:00", "10 Jun 2027 08:00:30")]
        {
            assert_eq!(moment(DateTime::parse_from_rfc3339(wire).unwrap()), text);
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
