//! Numbers of a tree as the numbers of a type.

use std::fmt::Display;

use super::error::ErrorCode;
use super::state::{Cursor, Source};
use super::tree::Node;

/// A number of a tree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Number {
    /// A whole number.
    Whole(i128),
    /// A number written with a fraction or an exponent, or a very large one.
    Float(f64),
}

/// A type of whole numbers.
pub(crate) trait WholeType: TryFrom<i128> + Into<i128> + Default + Display {
    /// The smallest number.
    const LOW: Self;
    /// The largest number.
    const HIGH: Self;
}

macro_rules! whole_types {
    ($($name:ident)*) => {
        $(impl WholeType for $name {
            const LOW: Self = Self::MIN;
            const HIGH: Self = Self::MAX;
        })*
    };
}

whole_types! { u8 u16 u32 u64 i8 i16 i32 i64 }

/// The number a node is, if it is one.
pub(crate) fn number_of(node: &Node) -> Option<Number> {
    match node {
        Node::Int(value) => Some(Number::Whole(i128::from(*value))),
        Node::UInt(value) => Some(Number::Whole(i128::from(*value))),
        Node::Float(value) => Some(Number::Float(*value)),
        _ => None,
    }
}

/// A whole number, to the nearest float.
pub(crate) fn to_float(whole: i128) -> f64 {
    i32::try_from(whole).map_or_else(|_| whole.to_string().parse().unwrap_or(f64::INFINITY), f64::from)
}

impl Cursor<'_, '_> {
    /// The number found.
    fn number(&self) -> Option<Number> {
        if let Source::Here(node) = self.source { number_of(node) } else { None }
    }

    /// Reads a finite number no larger than `most`, or notes an error.
    pub(crate) fn float(&self, most: f64) -> f64 {
        let value = match self.number() {
            Some(Number::Float(value)) => value,
            Some(Number::Whole(value)) => to_float(value),
            None => {
                self.refuse("a plain number without quotes");
                return 0.0;
            }
        };
        if value.is_finite() && value.abs() <= most {
            return value;
        }
        let detail = format!("The number is too large. Write one from {:e} to {most:e}.", -most);
        let mut pushed = self.cover_up(self.place, ErrorCode::OutOfRange, detail);
        pushed.min(-most).max(most);
        0.0
    }

    /// Reads a whole number, or notes an error.
    pub(crate) fn whole<T: WholeType>(&self) -> T {
        let value = match self.number() {
            Some(Number::Whole(value)) => value,
            Some(Number::Float(value)) if value.fract() != 0.0 => return self.fraction(),
            #[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and it has no fraction")]
            Some(Number::Float(value)) => value as i128,
            None => {
                self.refuse("a whole number without quotes");
                return T::default();
            }
        };
        T::try_from(value).unwrap_or_else(|_| self.beyond(value < 0))
    }

    fn fraction<T: WholeType>(&self) -> T {
        let detail = "A whole number was expected, one with a fraction was found. Round it.";
        self.cover_up(self.place, ErrorCode::NotAnInteger, detail.to_owned());
        T::default()
    }

    /// The nearest number of the type. Its place is not hidden: where a rule has narrower bounds, its error takes the place
    /// of this one, so that the bounds reported are those of the rule.
    fn beyond<T: WholeType>(&self, below: bool) -> T {
        let detail = format!("The number must lie from {} to {}.", T::LOW, T::HIGH);
        let mut pushed = self.errors.push(self.place, ErrorCode::OutOfRange, detail);
        pushed.min(to_float(T::LOW.into())).max(to_float(T::HIGH.into()));
        if below { T::LOW } else { T::HIGH }
    }

    /// Reads true or false, or notes an error.
    pub(crate) fn truth(&self) -> bool {
        if let Source::Here(Node::Bool(value)) = self.source {
            return *value;
        }
        self.refuse("true or false without quotes");
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[expect(clippy::as_conversions, reason = "the cast is what is compared with")]
    fn whole_numbers_become_the_nearest_float() {
        let mut state = 1_u64;
        for _ in 0..20_000 {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let value = state >> (state % 60);
            assert_eq!(to_float(i128::from(value)).to_bits(), (value as f64).to_bits());
            let value = value.cast_signed();
            assert_eq!(to_float(i128::from(value)).to_bits(), (value as f64).to_bits());
        }
        for value in [i64::MIN, i64::MAX, 0, -1, i64::MIN + 1, 1 << 53, (1 << 53) + 1] {
            assert_eq!(to_float(i128::from(value)).to_bits(), (value as f64).to_bits());
        }
        assert_eq!(to_float(i128::from(u64::MAX)).to_bits(), (u64::MAX as f64).to_bits());
    }
}
