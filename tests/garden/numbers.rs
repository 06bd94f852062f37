//! Numbers: the accepted notation, and what is refused with which words.

use crate::support::{assert_near, base, laws, near, refusal};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::Dimension::{self, Length, Share, Temperature, Volume};
use barrowful::garden::units::text::{Reader, clip, fitting, read, with_unit};
use barrowful::garden::units::{Capacity, Quantity};
use proptest::prelude::*;

/// The texts that a refusal puts in quotation marks after "write".
fn offered(detail: &str) -> Vec<String> {
    let after = detail.split_once("write ").map_or("", |(_, after)| after);
    after.split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

#[test]
fn decimals_exponents_and_fractions_are_read() {
    for (text, value) in [
        ("2 m", 2.0),
        ("02 m", 2.0),
        ("2.50 m", 2.5),
        (".5 m", 0.5),
        ("1e3 m", 1000.0),
        ("1E3m", 1000.0),
        ("1e+3 m", 1000.0),
        ("25e-2 m", 0.25),
        ("1.5e1 m", 15.0),
        ("1/4 m", 0.25),
        ("5/4m", 1.25),
        ("1 1/2 m", 1.5),
        ("1\u{a0}1/2\u{a0}m", 1.5),
        ("½ m", 0.5),
        ("½m", 0.5),
        ("1½ m", 1.5),
        ("1 ½ m", 1.5),
        ("12⅞ m", 12.875),
        ("⅓ m", 1.0 / 3.0),
    ] {
        assert_eq!(base(text, Length), value, "{text}");
    }
    assert_near(base("1 1/2 in", Length), 0.0381, 1e-15);
    assert_eq!(base("-1 1/2 C", Temperature), -1.5);
    assert_eq!(base("+3 C", Temperature), 3.0);
}

#[test]
fn other_notations_are_refused_as_bad_numbers() {
    for text in [
        "",
        " ",
        "m",
        "one m",
        "1,5 m",
        "1, 5 m",
        "1 000 m",
        "1\u{a0}000 m",
        "1\u{202f}000 m",
        "1'000 m",
        "1.2.3 m",
        "1.000.000 m",
        "1,000.5 m",
        "1 2 m",
        "1/2 1/2 m",
        "1/0 m",
        "0/0 m",
        "1 1/0 m",
        "1e400 m",
        "NaN m",
        "nan m",
        "inf m",
        "infinity m",
        "-1 m",
        "+1 m",
        "\u{2212}1 m",
        "--1 m",
        "/2 m",
        "e3 m",
        "١ m",
        "１ m",
        "0,5 m",
    ] {
        let refusal = refusal(text, Length);
        assert_eq!(refusal.reason, Reason::BadNumber, "{text:?}: {}", refusal.detail);
        assert!(refusal.field.is_none());
    }
    for text in ["--1 C", "-+1 C", "- -1 C", "- C", "-1,5 C"] {
        assert_eq!(refusal(text, Temperature).reason, Reason::BadNumber, "{text:?}");
    }
}

#[test]
fn numbers_that_end_in_a_stray_mark_are_refused_for_their_unit() {
    for text in ["1. m", "1e m", "0x10 m", "1_000 m", "1 /2 m", "½½ m", "1⁄2 m"] {
        assert_eq!(refusal(text, Length).reason, Reason::UnknownUnit, "{text:?}");
    }
}

#[test]
fn a_comma_is_refused_with_both_readings() {
    let refusal = refusal("1,5 m", Length);
    assert_eq!(offered(&refusal.detail), ["1.5 m", "15 m"], "{}", refusal.detail);
}

#[test]
fn a_share_without_percent_is_refused_with_the_percentage() {
    for (text, meant) in
        [("0.2", "20 %"), ("1/4", "25 %"), ("½", "50 %"), ("0.07", "7 %"), ("0", "0 %"), ("1", "100 %")]
    {
        let refusal = refusal(text, Share);
        assert_eq!(refusal.reason, Reason::ShareWithoutPercent, "{text}");
        assert_eq!(refusal.nearest.as_deref(), Some(meant));
        assert!(refusal.detail.contains(&format!("did you mean {meant}")), "{}", refusal.detail);
    }
    assert_eq!(refusal("20", Share).reason, Reason::UnitMissing);
    assert_eq!(base("20 %", Share), 0.2);
    assert_eq!(base("20%", Share), 0.2);
}

#[test]
fn a_number_without_a_unit_is_refused_with_the_units_that_fit() {
    for dimension in Dimension::ALL.iter().filter(|d| !matches!(d, Share | Dimension::Ratio)) {
        let refusal = refusal("20", *dimension);
        assert_eq!(refusal.reason, Reason::UnitMissing, "{dimension:?}");
        assert_eq!(refusal.allowed, fitting(&[*dimension]));
        assert!(refusal.detail.contains(dimension.text()), "{}", refusal.detail);
    }
}

#[test]
fn what_was_sent_is_shown_shortened_and_without_control_characters() {
    assert_eq!(clip("a\u{0}b\u{7f}c"), "a\u{fffd}b\u{fffd}c");
    assert_eq!(clip(&"é".repeat(60)), "é".repeat(60));
    assert_eq!(clip(&"é".repeat(61)), format!("{}…", "é".repeat(60)));
    let long = "x".repeat(100_000);
    let texts = [
        format!("2 {long}"),
        format!("2 kg/{long}"),
        format!("2 {long}/m2"),
        format!("1,5{long}"),
        format!("1,{} m", "5".repeat(100_000)),
        format!("1 {}", "5".repeat(100_000)),
        long.clone(),
        format!("-{long}"),
        format!("2 m{}", "/m".repeat(50_000)),
        "2 \u{0}\u{1b}[31m".to_owned(),
        "2 kg/\u{7}".to_owned(),
        "1,5 \u{0}".to_owned(),
        "5e-324".to_owned(),
    ];
    for text in texts {
        let detail = refusal(&text, Length).detail;
        assert!(detail.chars().count() < 700, "{} characters: {}", detail.chars().count(), clip(&detail));
        assert!(!detail.chars().any(char::is_control), "{detail:?}");
    }
}

/// Texts that look like quantities more often than not, and texts of any kind.
fn texts() -> impl Strategy<Value = String> {
    let parts = vec![
        "1",
        "2",
        "0",
        "1.5",
        ".",
        ",",
        "/",
        " ",
        "\u{a0}",
        "-",
        "+",
        "e",
        "E9",
        "½",
        "⅞",
        "%",
        "m",
        "m2",
        "kg",
        "L",
        "US gal",
        "gal",
        "lb",
        "100",
        "ft2",
        " per ",
        "plant",
        "d",
        "C",
        "F",
        "bucket",
        "BUCKETS",
        "'",
        "ß",
        "²",
        "Å",
        "\u{301}",
        "\u{0}",
        "999999999999999999999",
        "1e308",
        "1e-308",
        "NaN",
        "inf",
        "−",
        "٣",
        "🪱",
    ];
    prop_oneof![
        3 => prop::collection::vec(prop::sample::select(parts), 0..7).prop_map(|parts| parts.concat()),
        1 => "\\PC{0,20}",
        1 => any::<String>(),
    ]
}

proptest! {
    #![proptest_config(laws(2000))]

    /// Whatever is sent, reading comes to a number or to a refusal that is short and can be shown.
    #[test]
    fn no_text_stops_the_reader(text in texts(), bucket in any::<bool>()) {
        let mut reader = Reader::default();
        if bucket {
            reader.containers.add("bucket", None, Capacity::Volume(Quantity::from_litres(12.0))).unwrap();
        }
        for dimension in Dimension::ALL {
            match read(&text, &[*dimension], &reader) {
                Ok(found) => {
                    prop_assert_eq!(found.dimension, *dimension);
                    prop_assert!(!found.base.is_nan());
                    prop_assert!(found.base >= 0.0 || text.contains(['-', '−', 'F']), "{:?}", text);
                }
                Err(refusal) => {
                    prop_assert!(refusal.detail.chars().count() < 900, "{}", refusal.detail);
                    prop_assert!(!refusal.detail.chars().any(char::is_control), "{:?}", refusal.detail);
                }
            }
            prop_assert!(!with_unit(1.5, &text, &[*dimension], &reader).is_ok_and(|read| read.base.is_nan()));
        }
    }

    /// What a refusal of digits offers to write instead is itself accepted.
    #[test]
    fn every_reading_that_a_refusal_offers_is_accepted(
        (first, second, third) in ("[0-9]{1,3}", "[0-9]{1,3}", prop::option::of("[0-9]{1,3}")),
        marks in prop::sample::select(vec![(",", ","), (",", "."), (".", "."), (".", ","), ("'", "'"), ("'", "."), (" ", " ")]),
        unit in prop::sample::select(vec!["m", " m", "cm", "  US  gal", ""]),
    ) {
        let text = match &third {
            Some(third) => format!("{first}{}{second}{}{third}{unit}", marks.0, marks.1),
            None => format!("{first},{second}{unit}"),
        };
        let refusal = read(&text, &[Length, Volume], &Reader::default()).unwrap_err();
        prop_assert_eq!(refusal.reason, Reason::BadNumber, "{}", text);
        for offer in offered(&refusal.detail) {
            let accepted = read(&offer, &[Length, Volume], &Reader::default());
            let bare = unit.is_empty() && accepted.as_ref().is_err_and(|e| e.reason == Reason::UnitMissing);
            prop_assert!(accepted.is_ok() || bare, "{} offers {:?}: {:?}", text, offer, accepted);
        }
    }

    /// A number reads as the standard library reads it, in plain and in exponent notation.
    #[test]
    fn a_decimal_reads_to_the_nearest_double(mantissa in 0.0_f64..10.0, exponent in -12_i32..12) {
        let x = mantissa * 10f64.powi(exponent);
        prop_assert_eq!(base(&format!("{x} m"), Length), x);
        prop_assert_eq!(base(&format!("{x:e}m"), Length), x);
        prop_assert_eq!(base(&format!("{x:E} m"), Length), x);
    }

    /// A fraction is the quotient, a mixed number the sum.
    #[test]
    fn a_fraction_reads_as_the_quotient(whole in 0_u32..1000, above in 0_u32..1000, below in 1_u32..1000) {
        let part = f64::from(above) / f64::from(below);
        prop_assert_eq!(base(&format!("{above}/{below} m"), Length), part);
        prop_assert_eq!(base(&format!("{whole} {above}/{below}m"), Length), f64::from(whole) + part);
        let feet = base(&format!("{above}/{below} ft"), Length);
        prop_assert!(near(feet, part * 0.3048, 1e-15));
    }

    /// A plain number between 0 and 1 is no share, and the percentage offered is the same share.
    #[test]
    fn the_percentage_offered_is_the_same_share(thousandths in 0_u32..=1000) {
        let share = f64::from(thousandths) / 1000.0;
        let refusal = refusal(&share.to_string(), Share);
        prop_assert_eq!(refusal.reason, Reason::ShareWithoutPercent);
        prop_assert!(near(base(&refusal.nearest.unwrap(), Share), share, 1e-12));
    }
}
