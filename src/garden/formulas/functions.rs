//! The functions of formulas.

use super::row::Values;
use crate::garden::units::ROUNDING_TOLERANCE;

pub fn sum(values: impl Values) -> f64 {
    values.all().sum()
}

pub fn largest(values: impl Values) -> f64 {
    values.all().fold(0.0, f64::max)
}

pub fn dot(one: impl Values, other: impl Values) -> f64 {
    one.all().zip(other.all()).map(|(a, b)| a * b).sum()
}

pub fn root(x: f64) -> f64 {
    x.max(0.0).sqrt()
}

pub fn square(x: f64) -> f64 {
    x * x
}

pub fn max(a: f64, b: f64) -> f64 {
    a.max(b)
}

pub fn min(a: f64, b: f64) -> f64 {
    a.min(b)
}

/// What of a way is gone, where the rest of it falls as `exp(-x)`: `1 - 1 / exp(x)`, exact also where little of it is gone.
pub fn gone(x: f64) -> f64 {
    -libm::expm1(-x)
}

/// `e^x`.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// The natural logarithm.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

pub fn abs(x: f64) -> f64 {
    x.abs()
}

/// Rounded up; a hair above a whole number is that number.
pub fn ceil(x: f64) -> f64 {
    (x - ROUNDING_TOLERANCE).ceil().max(1.0)
}

/// Rounded down; a hair below a whole number is that number.
pub fn floor(x: f64) -> f64 {
    (x + ROUNDING_TOLERANCE).floor()
}
