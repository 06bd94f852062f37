//! Rounding: nine significant digits once, halves to even, no negative zero; whole millilitres.

use crate::support::laws;
use barrowful::garden::units::round::to_nine_digits;
use barrowful::garden::units::{Millilitres, Volume};
use proptest::prelude::*;

/// The definition: the decimal expansion rounded half to even by the standard library.
fn by_text(x: f64) -> f64 {
    format!("{x:.8e}").parse::<f64>().unwrap_or(f64::NAN) + 0.0
}

#[test]
fn powers_of_ten_and_their_neighbours_round_as_written_out() {
    let mut seen = 0;
    for exponent in -300..=300 {
        for digits in ["1", "9.999999994999999", "9.999999995", "9.999999995000001", "1.000000005", "4.000000015", "5"]
        {
            let x: f64 = format!("{digits}e{exponent}").parse().unwrap_or(f64::NAN);
            for x in [x, x.next_up(), x.next_down(), -x] {
                assert_eq!(to_nine_digits(x), by_text(x), "{x:e}");
                seen += 1;
            }
        }
    }
    assert_eq!(seen, 601 * 7 * 4);
}

#[test]
fn halves_that_a_double_holds_go_to_even() {
    for (x, rounded) in [
        (2_000_000_005.0, 2_000_000_000.0),
        (100_000_000.5, 100_000_000.0),
        (100_000_001.5, 100_000_002.0),
        (12_345_678.25, 12_345_678.2),
        (12_345_678.75, 12_345_678.8),
        (1_000_000_005.0, 1_000_000_000.0),
        (1_000_000_015.0, 1_000_000_020.0),
    ] {
        assert_eq!(to_nine_digits(x), rounded, "{x}");
    }
}

#[test]
fn what_is_no_number_stays_and_zero_has_no_sign() {
    assert!(to_nine_digits(f64::NAN).is_nan());
    assert_eq!(to_nine_digits(f64::INFINITY), f64::INFINITY);
    assert_eq!(to_nine_digits(f64::NEG_INFINITY), f64::NEG_INFINITY);
    assert!(to_nine_digits(-0.0).is_sign_positive());
    assert_eq!(to_nine_digits(f64::MIN_POSITIVE / 4.0), by_text(f64::MIN_POSITIVE / 4.0));
    assert_eq!(to_nine_digits(5e-324), 5e-324);
    assert_eq!(to_nine_digits(f64::MAX), by_text(f64::MAX));
}

#[test]
fn millilitres_are_the_nearest_whole_ones() {
    for (litres, millilitres) in [
        (0.0, 0),
        (0.0005, 0),
        (0.0015, 2),
        (0.0025, 2),
        (22.7274, 22_727),
        (-1.0, 0),
        (f64::NAN, 0),
        (1e12, 1_000_000_000_000_000),
        (f64::INFINITY, 1_000_000_000_000_000),
    ] {
        assert_eq!(Millilitres::nearest(Volume::from_litres(litres)), Millilitres::new(millilitres), "{litres}");
    }
}

proptest! {
    #![proptest_config(laws(3000))]

    #[test]
    fn rounding_is_writing_with_eight_decimals_of_an_exponent(bits in any::<u64>()) {
        let x = f64::from_bits(bits);
        prop_assume!(x.is_finite());
        prop_assert_eq!(to_nine_digits(x), by_text(x));
    }

    #[test]
    fn rounding_again_changes_nothing(mantissa in -10.0_f64..10.0, exponent in -40_i32..40) {
        let x = mantissa * 10f64.powi(exponent);
        let once = to_nine_digits(x);
        prop_assert_eq!(to_nine_digits(once).to_bits(), once.to_bits());
        prop_assert!((once - x).abs() <= 5.000_001e-9 * x.abs());
        prop_assert_eq!(to_nine_digits(-x), -once);
        prop_assert!(once != 0.0 || once.is_sign_positive());
    }

    /// Nine digits decide: decimals of up to nine digits stay as they are.
    #[test]
    fn decimals_of_nine_digits_stay(digits in 0_u32..1_000_000_000, exponent in -15_i32..15) {
        let x: f64 = format!("{digits}e{exponent}").parse().unwrap();
        prop_assert_eq!(to_nine_digits(x), x);
    }

    /// A whole number of millilitres survives being a volume.
    #[test]
    fn a_millilitre_comes_back_from_its_volume(millilitres in 0_u64..=1_000_000_000_000_000) {
        let exact = Millilitres::new(millilitres);
        prop_assert_eq!(Millilitres::nearest(exact.volume()), exact);
    }
}
