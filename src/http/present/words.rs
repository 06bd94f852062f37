//! How numbers, days and names are written for readers, in every form alike.

use super::units::{self, three_digits};
use crate::garden::draws::{HIGHEST_CHANCE, LOWEST_CHANCE};
use crate::http::output::{Number, QuantityOut};
use chrono::{Datelike, NaiveDate};

/// A quantity for reading, in its unit for people: `57.6 L`, and with a range `about 300 L (220 to 380)`.
#[must_use]
pub fn shown(quantity: &QuantityOut) -> String {
    shown_beside(quantity, quantity)
}

/// A quantity for reading, in the unit that another has, to be compared with it.
#[must_use]
pub fn shown_beside(quantity: &QuantityOut, other: &QuantityOut) -> String {
    in_its_unit(&units::beside(quantity, other))
}

/// The amounts of one sentence, in one unit.
#[must_use]
pub fn alike<const N: usize>(amounts: [&QuantityOut; N]) -> [String; N] {
    amounts.map(in_one_unit(&amounts))
}

/// Writes amounts in the unit that several of them have together.
pub fn in_one_unit<'a>(amounts: &[&'a QuantityOut]) -> impl Fn(&QuantityOut) -> String + use<'a> {
    let unit = units::of_all(amounts);
    move |amount| shown_beside(amount, unit.unwrap_or(amount))
}

/// Where most of several values lie: `297 L (216–381)`.
#[must_use]
pub fn spread(middle: &QuantityOut, low: &QuantityOut, high: &QuantityOut) -> String {
    cell(&units::for_people(&QuantityOut { low: Some(low.value), high: Some(high.value), ..middle.clone() }))
}

/// The least and the most of several values: `216–381 L`.
#[must_use]
pub fn from_to(least: &QuantityOut, most: &QuantityOut) -> String {
    let [least, most] = [least, most].map(|of| units::beside(of, most));
    format!("{}–{} {}", number(&least), number(&most), most.unit)
}

/// A quantity for reading, in the unit that it has.
fn in_its_unit(quantity: &QuantityOut) -> String {
    let write = |value: Number| in_unit(value.get(), &quantity.unit);
    let amount = format!("{} {}", write(quantity.value), quantity.unit);
    match (quantity.low, quantity.high) {
        // A range within what is too little to be measured is none.
        (Some(low), Some(high)) if write(low) != write(high) => {
            let about = if amount.starts_with("under") { "" } else { "about " };
            format!("{about}{} ({} to {})", amount.trim_end(), write(low), write(high))
        }
        _ => amount.trim_end().to_owned(),
    }
}

/// A quantity in a cell, in the unit that it has: `28.8 kg (21.6–43.2)`.
#[must_use]
pub fn cell(quantity: &QuantityOut) -> String {
    let amount = format!("{} {}", number(quantity), quantity.unit);
    format!("{}{}", amount.trim_end(), range(quantity))
}

/// The number of a quantity for a cell: `28.8`.
#[must_use]
pub fn number(quantity: &QuantityOut) -> String {
    in_unit(quantity.value.get(), &quantity.unit)
}

/// ` (21.6–43.2)` behind a number in a cell, or nothing where there is no range.
#[must_use]
pub fn range(quantity: &QuantityOut) -> String {
    let write = |bound: Option<Number>| Some(in_unit(bound?.get(), &quantity.unit));
    let bounds = write(quantity.low).zip(write(quantity.high)).filter(|(low, high)| low != high);
    bounds.map_or_else(String::new, |(low, high)| format!(" ({low}–{high})"))
}

/// A sum of money, with its currency where it has one: `19.80 EUR`.
#[must_use]
pub fn sum_of_money(amount: &Number, currency: Option<&str>) -> String {
    let amount = format!("{:.2}", amount.get());
    currency.map_or_else(|| amount.clone(), |currency| format!("{amount} {currency}"))
}

/// A number of this unit: whole millimetres from 1 mm up, inches as on a ruler, else three significant digits.
fn in_unit(value: f64, unit: &str) -> String {
    match unit {
        "mm" if value.abs() >= 1.0 => digits(value.round()),
        "in" if value > 0.0 => inches(value),
        _ => digits(value),
    }
}

/// Inches to a quarter, below one inch to an eighth: `4¾`, `⅜`, `under ⅛`.
fn inches(value: f64) -> String {
    const PARTS: [(f64, &str); 7] =
        [(0.125, "⅛"), (0.25, "¼"), (0.375, "⅜"), (0.5, "½"), (0.625, "⅝"), (0.75, "¾"), (0.875, "⅞")];
    if three_digits(value) < 0.125 {
        return "under ⅛".to_owned();
    }
    let parts = if value < 1.0 { 8.0 } else { 4.0 };
    let rounded = (value * parts).round() / parts;
    let part = PARTS.iter().find(|(part, _)| *part == rounded.fract()).map_or("", |(_, written)| written);
    let whole = if rounded < 1.0 { String::new() } else { digits(rounded.trunc()) };
    whole + part
}

/// Three significant digits, without trailing zeros.
#[must_use]
pub fn digits(value: f64) -> String {
    three_digits(value).to_string()
}

/// A day: `5 Apr 2027`.
#[must_use]
pub fn day(date: NaiveDate) -> String {
    date.format("%-d %b %Y").to_string()
}

/// A day that is soon, without its year: `5 Apr`.
#[must_use]
pub fn soon(date: NaiveDate) -> String {
    date.format("%-d %b").to_string()
}

/// A day, or a dash where there is none.
#[must_use]
pub fn day_or_dash(date: Option<NaiveDate>) -> String {
    date.map_or_else(|| "–".to_owned(), day)
}

/// So many days from one to another of the next year, and a day of the same name is not far: their years must be said. Source: how this
/// service works.
const YEAR_IS_CLEAR: i64 = 300;

/// Days that are soon, without their year where that is clear: `14–26 Sep`, `20 Dec–3 Jan`, `1 Dec 2026–15 Feb 2028`.
#[must_use]
pub fn days_soon(first: NaiveDate, last: NaiveDate) -> String {
    let is_one_year = first.year() == last.year();
    if !is_one_year && (last - first).num_days() >= YEAR_IS_CLEAR {
        return days(first, last);
    }
    let form = match (first == last, is_one_year && first.month() == last.month()) {
        (true, _) => return soon(last),
        (_, true) => "%-d",
        (_, false) => "%-d %b",
    };
    format!("{}–{}", first.format(form), soon(last))
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

/// Which times of something that repeats, in rising order: `time 3`, `times 3 and 4`, `times 1, 3 to 9 and 12`.
#[must_use]
pub fn times(numbers: &[u32]) -> String {
    let runs = numbers.chunk_by(|one, next| one.checked_add(1) == Some(*next));
    let written = runs.flat_map(|run| match run {
        [first, _, .., last] => vec![format!("{first} to {last}")],
        few => few.iter().map(u32::to_string).collect(),
    });
    let written: Vec<String> = written.collect();
    let noun = if numbers.len() == 1 { "time" } else { "times" };
    if written.is_empty() { String::new() } else { format!("{noun} {}", all_of(&written)) }
}

/// How many of something: `1 sack`, `3 sacks`.
#[must_use]
pub fn number_of(count: u64, [one, several]: [&str; 2]) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// Several things in a sentence: `a, b and c`.
#[must_use]
pub fn all_of(things: &[String]) -> String {
    match things.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
        None => String::new(),
    }
}

/// Its name, else its id, else what it is and its place counted from 1.
#[must_use]
pub fn name_of(name: Option<&str>, id: Option<&str>, what: &str, index: usize) -> String {
    name.or(id).map_or_else(|| format!("{what} {}", index + 1), str::to_owned)
}

/// A chance: those at either end mean that or beyond.
#[must_use]
pub fn chance(chance: &QuantityOut) -> String {
    format!("{}{}", shown(chance), beyond(chance, [" or less", "", " or more"]))
}

/// A chance in a cell: `≥ 95 %`.
#[must_use]
pub fn chance_in_cell(chance: &QuantityOut) -> String {
    format!("{}{}", beyond(chance, ["≤ ", "", "≥ "]), shown(chance))
}

/// The word for the lowest chance, for one between, or for the highest.
fn beyond(chance: &QuantityOut, [lowest, between, highest]: [&'static str; 3]) -> &'static str {
    match chance.value.get() / 100.0 {
        share if share >= HIGHEST_CHANCE => highest,
        share if share <= LOWEST_CHANCE => lowest,
        _ => between,
    }
}

/// Text that is safe on a terminal: white space is folded, and the rest is [`legible`].
#[must_use]
pub fn clean(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for (index, word) in text.split_whitespace().enumerate() {
        if index > 0 {
            safe.push(' ');
        }
        safe.push_str(word);
    }
    legible(safe)
}

/// Text for readers: characters that steer a terminal, turn the direction of writing or are none become the replacement character.
#[must_use]
pub fn legible(text: String) -> String {
    if !text.contains(steers) {
        return text;
    }
    text.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }).collect()
}

/// Control characters other than white space, the format characters that reorder or hide what is around them, and what
/// Unicode calls noncharacters, which no XML may hold. Joiners stay: names in many scripts need them.
fn steers(c: char) -> bool {
    (c.is_control() && !c.is_whitespace())
        || matches!(c, '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
        || matches!(c, '\u{fdd0}'..='\u{fdef}')
        || u32::from(c) & 0xfffe == 0xfffe
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::output::UnitName;

    #[test]
    fn numbers_are_rounded_to_three_significant_digits() {
        for (number, text) in [
            (48.0, "48"),
            (61.813_186_8, "61.8"),
            (116.64, "117"),
            (0.000_1, "0.0001"),
            (0.012_345_6, "0.0123"),
            (77_763.0, "77800"),
            (999_990.0, "1000000"),
            (0.0, "0"),
            (-2.5, "-2.5"),
        ] {
            assert_eq!(digits(number), text);
        }
    }

    fn quantity([low, value, high]: [f64; 3], unit: impl Into<UnitName>) -> QuantityOut {
        let bound = |bound| (low != high).then(|| Number::rounded(bound));
        QuantityOut { value: Number::rounded(value), low: bound(low), high: bound(high), unit: unit.into(), node: 0 }
    }

    #[test]
    fn quantities_are_shown_with_their_range_and_depths_as_they_are_measured() {
        for (quantity, text, cell) in [
            (quantity([4.7244; 3], "in"), "4¾ in", "4¾"),
            (quantity([0.97; 3], "in"), "1 in", "1"),
            (quantity([0.3937; 3], "in"), "⅜ in", "⅜"),
            (quantity([0.125; 3], "in"), "⅛ in", "⅛"),
            (quantity([0.0; 3], "in"), "0 in", "0"),
            (quantity([2.1, 3.2, 4.3], "in"), "about 3¼ in (2 to 4¼)", "3¼ (2–4¼)"),
            (quantity([0.02, 0.0262, 0.05], "in"), "under ⅛ in", "under ⅛"),
            (quantity([0.05, 0.1, 0.26], "in"), "under ⅛ in (under ⅛ to ¼)", "under ⅛ (under ⅛–¼)"),
            (quantity([30.291; 3], "L"), "30.3 L", "30.3"),
            (quantity([216.04, 296.7, 380.71], "L"), "about 297 L (216 to 381)", "297 (216–381)"),
            (quantity([6.31; 3], "mm"), "6 mm", "6"),
            (quantity([0.4; 3], "mm"), "0.4 mm", "0.4"),
            (quantity([2.5, 3.5, 4.5], ""), "about 3.5 (2.5 to 4.5)", "3.5 (2.5–4.5)"),
        ] {
            assert_eq!((shown(&quantity), number(&quantity) + &range(&quantity)), (text.to_owned(), cell.to_owned()));
        }
    }

    #[test]
    fn amounts_that_are_compared_are_in_one_unit() {
        let feet = |value| quantity([value; 3], "ft3");
        // 1728 in3 of 231 in3 to a gallon: 12 ft3 are 89.8 US gal.
        assert_eq!(alike([&feet(12.0), &feet(8.0)]), ["89.8 US gal", "59.8 US gal"]);
        assert_eq!(alike([&feet(12.0), &feet(0.0)]), ["12 ft3", "0 ft3"]);
        // A pint beside 12 ft3 is no reason to count these in quarts.
        assert_eq!(alike([&feet(12.0), &feet(0.0167)]), ["12 ft3", "0.0167 ft3"]);
        assert_eq!(
            [shown_beside(&feet(8.0), &feet(12.0)), shown_beside(&feet(12.0), &feet(8.0))],
            ["8 ft3", "89.8 US gal"]
        );
        assert_eq!(spread(&feet(9.0), &feet(5.0), &feet(12.0)), "67.3 US gal (37.4–89.8)");
        assert_eq!(from_to(&feet(5.0), &feet(12.0)), "5–12 ft3");
    }

    #[test]
    fn days_have_their_years_where_these_are_not_clear() {
        let on = |year, month, day| NaiveDate::from_ymd_opt(year, month, day).unwrap();
        for (first, last, text) in [
            (on(2026, 9, 14), on(2026, 9, 14), "14 Sep"),
            (on(2026, 9, 14), on(2026, 9, 26), "14–26 Sep"),
            (on(2026, 9, 14), on(2026, 10, 2), "14 Sep–2 Oct"),
            (on(2027, 1, 1), on(2027, 12, 31), "1 Jan–31 Dec"),
            (on(2026, 12, 20), on(2027, 1, 3), "20 Dec–3 Jan"),
            (on(2026, 12, 20), on(2027, 12, 3), "20 Dec 2026–3 Dec 2027"),
            (on(2026, 12, 1), on(2028, 2, 15), "1 Dec 2026–15 Feb 2028"),
            (on(2027, 3, 5), on(2028, 3, 20), "5 Mar 2027–20 Mar 2028"),
        ] {
            assert_eq!(days_soon(first, last), text);
        }
    }

    #[test]
    fn legible_text_keeps_its_lines_and_joiners() {
        assert_eq!(
            legible("one\n two\t\u{202e}three\u{200c}\u{200d}".to_owned()),
            "one\n two\t\u{fffd}three\u{200c}\u{200d}"
        );
    }

    #[test]
    fn characters_that_steer_a_terminal_are_replaced() {
        assert_eq!(
            clean("a\u{1b}[31mb\u{7}\u{9b}c\u{202e}d\u{7f}"),
            "a\u{fffd}[31mb\u{fffd}\u{fffd}c\u{fffd}d\u{fffd}"
        );
        assert_eq!(clean(" two\r\n\tlines\u{2028}here\u{a0}"), "two lines here");
        assert_eq!(clean("قطعة ۱ 苗床 🪱"), "قطعة ۱ 苗床 🪱");
        assert_eq!(clean("\u{2067}a\u{2069}\u{fffe}\u{1ffff}\u{fdd0}"), "\u{fffd}a\u{fffd}\u{fffd}\u{fffd}\u{fffd}");
    }
}
