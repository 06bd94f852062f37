//! Numbers of a tree as the numbers of a type.

use std::fmt::Display;

use super::fault::FaultCode;
use super::state::{Cursor, Source};
use super::tree::{Node, parse};

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

/// A whole number of at most 64 bits and a sign, to the nearest float.
pub(crate) fn to_float(whole: i128) -> f64 {
    if let Ok(small) = i32::try_from(whole) {
        return f64::from(small);
    }
    match (i64::try_from(whole >> 32), u32::try_from(whole & 0xFFFF_FFFF)) {
        (Ok(high), Ok(low)) => {
            // Both parts are exact, so that only the sum is rounded.
            let high =
                i32::try_from(high).map_or_else(|_| u32::try_from(high).map_or(f64::INFINITY, f64::from), f64::from);
            high * 4_294_967_296.0 + f64::from(low)
        }
        _ => f64::INFINITY,
    }
}

/// The float as a whole number, if it is one.
fn without_fraction(value: f64) -> Option<Result<i128, ()>> {
    if value.fract() != 0.0 {
        return None;
    }
    Some(format!("{value:.0}").parse().map_err(|_| ()))
}

impl Cursor<'_, '_> {
    /// The number found; in a query also one written as a text.
    fn number(&self) -> Option<Number> {
        match self.source {
            Source::Here(Node::Text(text)) if self.reader.faults.is_query() => {
                parse(text.as_bytes()).ok().and_then(|node| number_of(&node))
            }
            Source::Here(node) => number_of(node),
            _ => None,
        }
    }

    /// The words for a number that is expected, in a body or in a query.
    fn plainly(&self, body: &'static str, query: &'static str) -> &'static str {
        if self.reader.faults.is_query() { query } else { body }
    }

    /// Reads a finite number no larger than `most`, or notes a fault.
    pub(crate) fn float(&self, most: f64) -> f64 {
        let value = match self.number() {
            Some(Number::Float(value)) => value,
            Some(Number::Whole(value)) => to_float(value),
            None => {
                let expected = self.plainly("a plain number without quotes", "a number");
                self.refuse(expected);
                return 0.0;
            }
        };
        if value.is_finite() && value.abs() <= most {
            return value;
        }
        let detail = format!("The number is too large. Write one from {:e} to {most:e}.", -most);
        let mut pushed = self.cover_up(self.place, FaultCode::OutOfRange, detail);
        pushed.min(-most).max(most);
        0.0
    }

    /// Reads a whole number, or notes a fault.
    pub(crate) fn whole<T: WholeType>(&self) -> T {
        let value = match self.number() {
            Some(Number::Whole(value)) => Ok(value),
            Some(Number::Float(value)) => match without_fraction(value) {
                Some(value) => value,
                None => return self.fraction(),
            },
            None => {
                let expected = self.plainly("a whole number without quotes", "a whole number");
                self.refuse(expected);
                return T::default();
            }
        };
        match value {
            Ok(value) => T::try_from(value).unwrap_or_else(|_| self.beyond(value < 0)),
            Err(()) => self.beyond(matches!(self.number(), Some(Number::Float(value)) if value < 0.0)),
        }
    }

    fn fraction<T: WholeType>(&self) -> T {
        let detail = "A whole number was expected, one with a fraction was found. Round it.";
        self.cover_up(self.place, FaultCode::NotAnInteger, detail.to_owned());
        T::default()
    }

    /// The nearest number of the type. Its place is not hidden: where a rule has narrower bounds, its fault takes the place
    /// of this one, so that the bounds told are those of the rule.
    fn beyond<T: WholeType>(&self, below: bool) -> T {
        let detail = format!("The number must lie from {} to {}.", T::LOW, T::HIGH);
        let mut pushed = self.reader.faults.push(self.place, FaultCode::OutOfRange, detail);
        pushed.min(to_float(T::LOW.into())).max(to_float(T::HIGH.into()));
        if below { T::LOW } else { T::HIGH }
    }

    /// Reads true or false, or notes a fault.
    pub(crate) fn truth(&self) -> bool {
        match self.source {
            Source::Here(Node::Bool(value)) => *value,
            Source::Here(Node::Text(text)) if self.is_truth_of_query(text) => text == "true",
            _ => {
                self.refuse(self.plainly("true or false without quotes", "true or false"));
                false
            }
        }
    }

    fn is_truth_of_query(&self, text: &str) -> bool {
        self.reader.faults.is_query() && matches!(text, "true" | "false")
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

    #[test]
    fn floats_without_fraction() {
        assert_eq!(without_fraction(4.0), Some(Ok(4)));
        assert_eq!(without_fraction(-0.0), Some(Ok(0)));
        assert_eq!(without_fraction(4.5), None);
        assert_eq!(without_fraction(1e300), Some(Err(())));
        assert_eq!(without_fraction(1e20), Some(Ok(100_000_000_000_000_000_000)));
    }
}
