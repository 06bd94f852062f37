//! Numbers are rounded once, when they are written: to nine significant digits, halves to even.

/// The number of significant digits written. Source: how this service works.
pub const SIGNIFICANT: i32 = 9;
/// Numbers closer than this, as a share of them, count as one: what rounding leaves of sums that are equal on paper.
/// Source: tolerance of computing.
pub const ROUNDING_TOLERANCE: f64 = 1e-9;

/// The value nearest to `x` with nine significant digits, halves to even, as the double nearest to that decimal.
/// Never `-0`; what is not finite stays as it is.
///
/// ```
/// use barrowful::garden::units::round::to_nine_digits;
/// assert_eq!(to_nine_digits(0.1 + 0.2), 0.3);
/// assert_eq!(to_nine_digits(47.3479166666), 47.3479167);
/// ```
#[must_use]
pub fn to_nine_digits(x: f64) -> f64 {
    let size = x.abs();
    if !(1e-6..1e15).contains(&size) {
        return if size == 0.0 { 0.0 } else { by_text(x) };
    }
    // Whole numbers of up to nine digits stay as they are.
    if size < 1e9 && whole(size) == size {
        return x;
    }
    let exponent = decade(size);
    let shift = SIGNIFICANT - 1 - exponent;
    // Both powers are exact doubles (|shift| <= 22), so one multiplication or division rounds once; only a value that
    // lands within that rounding of a half needs the exact way.
    let scaled = if shift >= 0 { size * power(shift) } else { size / power(-shift) };
    let below = whole(scaled);
    let rest = scaled - below;
    if (rest - 0.5).abs() < 1e-6 {
        return by_text(x);
    }
    let digits = if rest < 0.5 { below } else { below + 1.0 };
    let rounded = if shift >= 0 { digits / power(shift) } else { digits * power(-shift) };
    rounded.copysign(x)
}

/// The values of one sentence with four significant digits, for what is wrong shows by far fewer than are computed with; with nine where
/// values that differ would read alike.
///
/// ```
/// use barrowful::garden::units::round::few_digits;
/// assert_eq!(few_digits([21.999999999999996, 32.27777777777778]), [22.0, 32.28]);
/// assert_eq!(few_digits([0.50001, 0.5]), [0.50001, 0.5]);
/// ```
#[must_use]
pub fn few_digits<const N: usize>(values: [f64; N]) -> [f64; N] {
    let few = values.map(|x| format!("{x:.3e}").parse().unwrap_or(x));
    let all = values.map(to_nine_digits);
    let distinct = |values: &[f64; N]| {
        let mut sorted = *values;
        sorted.sort_by(f64::total_cmp);
        sorted.windows(2).filter(|pair| pair.first() != pair.last()).count()
    };
    if distinct(&few) == distinct(&all) { few } else { all }
}

/// Powers of ten that doubles hold exactly. Source: identity.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

fn power(exponent: i32) -> f64 {
    usize::try_from(exponent).ok().and_then(|i| POWERS.get(i)).copied().unwrap_or(f64::NAN)
}

/// The whole number at or below a positive one: as `trunc`, which is a call of its own on machines of the oldest kind.
fn whole(positive: f64) -> f64 {
    #[expect(clippy::as_conversions, reason = "what is rounded here is below 1e15, which both types hold exactly")]
    let whole = positive as i64 as f64;
    whole
}

/// The exponent of the leading decimal digit, for 1e-6 <= size < 1e15.
fn decade(size: f64) -> i32 {
    if size < 1.0 {
        return (-6..0).rev().find(|exponent| size * power(-exponent) >= 1.0).unwrap_or(-6);
    }
    #[expect(
        clippy::as_conversions,
        reason = "a size is below 1e15 here; what is below 1 has no digit in front of the point"
    )]
    (size as u64).checked_ilog10().map_or(0, u32::cast_signed)
}

/// The exact way: the standard library writes the decimal expansion rounded half to even.
fn by_text(x: f64) -> f64 {
    format!("{x:.8e}").parse().unwrap_or(x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn noise_of_binary_arithmetic_disappears() {
        for (from, to) in [(0.1 + 0.2, 0.3), (48.00000000001, 48.0), (1.0 / 3.0, 0.333333333), (2.0 / 3.0, 0.666666667)]
        {
            assert_eq!(to_nine_digits(from), to);
        }
        assert!(to_nine_digits(-0.0).is_sign_positive());
    }

    #[test]
    fn halves_go_to_even() {
        assert_eq!(to_nine_digits(1.000000005), by_text(1.000000005));
        assert_eq!(to_nine_digits(1073741824.5), 1073741820.0);
        assert_eq!(to_nine_digits(100000000.5), 100000000.0);
        assert_eq!(to_nine_digits(100000001.5), 100000002.0);
    }

    proptest! {
        #[test]
        fn quick_way_and_exact_way_agree(mantissa in -1.0e0_f64..1.0, exponent in -30_i32..30) {
            let x = mantissa * 10f64.powi(exponent);
            prop_assert_eq!(to_nine_digits(x), by_text(x) + 0.0);
        }

        #[test]
        fn rounding_twice_is_rounding_once(x in -1e12_f64..1e12) {
            prop_assert_eq!(to_nine_digits(to_nine_digits(x)), to_nine_digits(x));
        }
    }
}
