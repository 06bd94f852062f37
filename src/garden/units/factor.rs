//! Multiplying and dividing by the factor of a unit so that exact decimals stay exact.

/// A number in a unit of this factor, in base units: 10 mm is 0.01 m, as 10 / 1000, not 10 x 0.001.
///
/// ```
/// use barrowful::garden::units::factor::{from_base, to_base};
/// assert_eq!(to_base(3.0, 0.1), 0.3);
/// assert_eq!(from_base(0.3, 0.1), 3.0);
/// ```
#[must_use]
pub fn to_base(number: f64, factor: f64) -> f64 {
    parts_of_one(factor).map_or(number * factor, |parts| number / parts)
}

/// A value in base units, in a unit of this factor: 0.2 m is 200 mm, as 0.2 x 1000, not 0.2 / 0.001.
#[must_use]
pub fn from_base(base: f64, factor: f64) -> f64 {
    parts_of_one(factor).map_or(base / factor, |parts| base * parts)
}

/// How many of a factor make one, where that is a whole number up to a thousand.
fn parts_of_one(factor: f64) -> Option<f64> {
    let parts = (1.0 / factor).round();
    (factor < 1.0 && parts <= 1000.0 && (parts * factor - 1.0).abs() < f64::EPSILON).then_some(parts)
}
