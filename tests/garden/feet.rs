//! Feet and inches: as the trade writes them, and what is refused.

use crate::support::{assert_near, base, laws, refusal};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::Dimension::{Area, Length, Volume};
use proptest::prelude::*;

/// One inch is 25.4 mm (NIST Handbook 44, Appendix C): 8 ft 6 in is 102 in or 2590.8 mm.
#[test]
fn feet_and_inches_are_read_as_the_trade_writes_them() {
    for (text, millimetres) in [
        ("8 ft 6 in", 2590.8),
        ("8ft6in", 2590.8),
        ("8 feet 6 inches", 2590.8),
        ("8 FT 6 IN", 2590.8),
        ("8\u{a0}ft\u{a0}6\u{a0}in", 2590.8),
        ("6' 4\"", 1930.4),
        ("6'4\"", 1930.4),
        ("6'-4\"", 1930.4),
        ("6 ft-4 in", 1930.4),
        ("6' - 4\"", 1930.4),
        ("6′ 4″", 1930.4),
        ("6’ 4”", 1930.4),
        ("6' 4''", 1930.4),
        ("6' 4 1/2\"", 1943.1),
        ("6' 4½\"", 1943.1),
        ("6' ½\"", 1841.5),
        ("6' 1/2\"", 1841.5),
        ("6 ft 4.5 in", 1943.1),
        ("0' 3\"", 76.2),
        ("5'", 1524.0),
        ("5 '", 1524.0),
        ("2 1/2'", 762.0),
        ("3\"", 76.2),
        ("1/2\"", 12.7),
        ("6' 0\"", 1828.8),
    ] {
        assert_near(base(text, Length), millimetres / 1000.0, 1e-14);
    }
}

#[test]
fn what_is_no_feet_and_inches_is_refused_with_what_to_write() {
    for (text, reason, hint) in [
        ("6' 14\"", Reason::BadNumber, "write \"7 ft 2 in\""),
        ("6 ft 12 in", Reason::BadNumber, "write \"7 ft 0 in\""),
        ("6' 4", Reason::BadNumber, "write \"6 ft 4 in\""),
        ("6 ft 4", Reason::BadNumber, "write \"6 ft 4 in\""),
        ("6 ft 1/0 in", Reason::BadNumber, "ordinary number"),
        ("6 ft 0/0 in", Reason::BadNumber, "ordinary number"),
        ("1'000", Reason::BadNumber, "two ways"),
        ("1'000\"", Reason::BadNumber, "two ways"),
        ("-6' 4\"", Reason::BadNumber, "sign"),
        ("6.5 ft 3 in", Reason::UnknownUnit, "4 ft 6 in"),
        ("5 lb 3 oz", Reason::UnknownUnit, "one value with one unit"),
        ("6' x 4'", Reason::UnknownUnit, "6 ft 4 in"),
        ("6' 4\" 2", Reason::BadNumber, "mark"),
        ("5 ft3/100 in", Reason::UnitDoesNotFit, "a volume per length"),
    ] {
        let refusal = refusal(text, Length);
        assert_eq!(refusal.reason, reason, "{text}: {}", refusal.detail);
        assert!(refusal.detail.contains(hint), "{text}: {}", refusal.detail);
    }
    assert_eq!(refusal("6' 4\"", Volume).reason, Reason::UnitDoesNotFit);
    assert_eq!(base("5 ft2", Area), base("5 sq ft", Area));
    assert_eq!(base("5 ft3", Volume), base("5 cu ft", Volume));
}

proptest! {
    #![proptest_config(laws(300))]

    /// Feet and inches together are the sum of both, however they are written.
    #[test]
    fn feet_and_inches_are_the_sum_of_both(
        (feet, sixteenths) in (1_u32..500, 1_u32..192),
        foot in prop::sample::select(vec!["ft", "'", " feet", "\u{2032}", "FOOT"]),
        gap in prop::sample::select(vec!["", " ", "\u{a0}", "-", " - "]),
        inch in prop::sample::select(vec![" in", "\"", "inches", "\u{2033}", "''"]),
    ) {
        let (whole, part) = (sixteenths / 16, sixteenths % 16);
        // "1 ft1/16 in" is a foot over sixteen inches.
        let gap = if part > 0 && gap.is_empty() { " " } else { gap };
        let inches = match (whole, part) {
            (whole, 0) => format!("{whole}"),
            (0, part) => format!("{part}/16"),
            (whole, part) => format!("{whole} {part}/16"),
        };
        let together = base(&format!("{feet}{foot}{gap}{inches}{inch}"), Length);
        let sum = base(&format!("{feet} ft"), Length) + base(&format!("{} in", f64::from(sixteenths) / 16.0), Length);
        prop_assert!((together - sum).abs() <= 1e-14 * sum, "{together} is not {sum}");
    }
}
