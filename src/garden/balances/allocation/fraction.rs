//! Exact fractions.

use std::cmp::Ordering;

/// An exact fraction, not negative, in lowest terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fraction {
    numerator: u128,
    denominator: u128,
}

impl Fraction {
    /// Nothing: 0/1.
    pub const ZERO: Self = Self { numerator: 0, denominator: 1 };

    /// The whole: 1/1.
    pub const ONE: Self = Self { numerator: 1, denominator: 1 };

    /// The fraction numerator / denominator in lowest terms; `None` when the
    /// denominator is zero.
    #[must_use]
    pub fn new(numerator: u128, denominator: u128) -> Option<Self> {
        let common = greatest_common_divisor(numerator, denominator);
        if denominator == 0 {
            return None;
        }
        Some(Self { numerator: numerator.checked_div(common)?, denominator: denominator.checked_div(common)? })
    }

    /// The nearest float; shares are rounded when they are written.
    #[must_use]
    pub fn to_float(self) -> f64 {
        #[expect(clippy::as_conversions, reason = "the nearest doubles of two whole numbers")]
        {
            self.numerator as f64 / self.denominator as f64
        }
    }

    /// The number above the line.
    #[must_use]
    pub const fn numerator(self) -> u128 {
        self.numerator
    }

    /// The number below the line; never zero.
    #[must_use]
    pub const fn denominator(self) -> u128 {
        self.denominator
    }

    /// This and another; `None` where the sum in lowest terms would be out of range.
    #[must_use]
    pub fn plus(self, other: Self) -> Option<Self> {
        let common = greatest_common_divisor(self.denominator, other.denominator);
        let (of_this, of_other) = (other.denominator.checked_div(common)?, self.denominator.checked_div(common)?);
        let sum = self.numerator.checked_mul(of_this)?.checked_add(other.numerator.checked_mul(of_other)?)?;
        Self::new(sum, self.denominator.checked_mul(of_this)?)
    }

    /// This part of something that is itself a part; `None` where the product is out of range.
    #[must_use]
    pub fn of(self, part: Self) -> Option<Self> {
        let (one, two) = (Self::new(self.numerator, part.denominator)?, Self::new(part.numerator, self.denominator)?);
        Self::new(one.numerator.checked_mul(two.numerator)?, one.denominator.checked_mul(two.denominator)?)
    }

    /// Times a whole number: the whole part, and the fraction that remains
    /// (at least 0, less than 1).
    ///
    /// Shares are at most 1 with denominators that are sums of amounts, far
    /// below the range of `u128`; the product stops at its end all the same.
    pub(super) fn times(self, factor: u64) -> (u128, Self) {
        let product = self.numerator.saturating_mul(u128::from(factor));
        let whole = product.checked_div(self.denominator).unwrap_or(0);
        let rest = product.checked_rem(self.denominator).unwrap_or(0);
        let remainder = Self::new(rest, self.denominator).unwrap_or(Self::ZERO);
        (whole, remainder)
    }
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Fraction {
    /// Exact for all values: compares whole parts, then the reciprocals of what
    /// remains the other way round, so that no product can overflow.
    fn cmp(&self, other: &Self) -> Ordering {
        let (mut a, mut b) = (self.numerator, self.denominator);
        let (mut c, mut d) = (other.numerator, other.denominator);
        loop {
            let (Some(one), Some(two)) = (a.checked_div(b), c.checked_div(d)) else {
                // A zero denominator means an endless reciprocal.
                return (b == 0).cmp(&(d == 0));
            };
            if one != two {
                return one.cmp(&two);
            }
            let rest_one = a.checked_rem(b).unwrap_or(0);
            let rest_two = c.checked_rem(d).unwrap_or(0);
            // rest_one / b < rest_two / d exactly when d / rest_two < b / rest_one.
            (a, b, c, d) = (d, rest_two, b, rest_one);
        }
    }
}

fn greatest_common_divisor(mut one: u128, mut two: u128) -> u128 {
    while let Some(rest) = one.checked_rem(two) {
        (one, two) = (two, rest);
    }
    one
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lowest_terms() {
        let half = Fraction::new(21, 42).unwrap();
        assert_eq!((half.numerator(), half.denominator()), (1, 2));
        assert_eq!(Fraction::new(0, 7), Some(Fraction::ZERO));
        assert_eq!(Fraction::new(7, 7), Some(Fraction::ONE));
        assert_eq!(Fraction::new(7, 0), None);
        assert_eq!(half.times(7), (3, half));
    }

    #[test]
    fn sums_and_products_are_exact() {
        let part = |a, b| Fraction::new(a, b).unwrap();
        assert_eq!(part(1, 6).plus(part(1, 3)), Some(part(1, 2)));
        assert_eq!(part(31, 60).plus(Fraction::ZERO), Some(part(31, 60)));
        assert_eq!(part(2, 3).of(part(3, 4)), Some(part(1, 2)));
        assert_eq!(part(1, u128::MAX).plus(part(1, u128::MAX - 1)), None);
        assert_eq!(part(1, u128::MAX).of(part(1, 2)), None);
    }

    #[test]
    fn order_agrees_with_cross_products() {
        for (a, c) in (0..12u128).flat_map(|a| (0..12u128).map(move |c| (a, c))) {
            for (b, d) in (1..12u128).flat_map(|b| (1..12u128).map(move |d| (b, d))) {
                let (one, two) = (Fraction::new(a, b).unwrap(), Fraction::new(c, d).unwrap());
                assert_eq!(one.cmp(&two), (a * d).cmp(&(c * b)), "{a}/{b} {c}/{d}");
            }
        }
    }

    #[test]
    fn order_near_the_end_of_the_range() {
        let one = Fraction::new(u128::MAX - 1, u128::MAX).unwrap();
        let two = Fraction::new(u128::MAX - 2, u128::MAX - 1).unwrap();
        assert_eq!(two.cmp(&one), Ordering::Less);
        assert_eq!(one.cmp(&two), Ordering::Greater);
        assert_eq!(one.cmp(&Fraction::ONE), Ordering::Less);
    }
}
