//! A value with its bounds. Every formula of the core that meets an assumption is a product of powers of separate
//! assumptions, so its bounds are the formula at the ends of the ranges, each assumption counted once.

use super::quantity::{Measured, Quantity};
use super::relations::{Over, Times};
use std::ops::{Div, Mul};

/// A likely value between a low and a high bound. Guarantee: low <= likely <= high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<D: Measured> {
    low: Quantity<D>,
    likely: Quantity<D>,
    high: Quantity<D>,
}

impl<D: Measured> Estimate<D> {
    /// A value known without a range.
    #[must_use]
    pub const fn exactly(value: Quantity<D>) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// A value with bounds; `None` if they are not in order.
    #[must_use]
    pub fn between(low: Quantity<D>, likely: Quantity<D>, high: Quantity<D>) -> Option<Self> {
        (low <= likely && likely <= high).then_some(Self { low, likely, high })
    }

    /// The lower bound.
    #[must_use]
    pub const fn low(self) -> Quantity<D> {
        self.low
    }

    /// The likely value.
    #[must_use]
    pub const fn likely(self) -> Quantity<D> {
        self.likely
    }

    /// The upper bound.
    #[must_use]
    pub const fn high(self) -> Quantity<D> {
        self.high
    }

    /// True if the bounds and the value are one.
    #[must_use]
    pub fn is_exact(self) -> bool {
        self.low == self.high
    }

    /// This many times as much; `factor` is not negative.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { low: self.low.times(factor), likely: self.likely.times(factor), high: self.high.times(factor) }
    }

    /// The sum, bound by bound: right where both hang on the same assumptions or on none.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { low: self.low + other.low, likely: self.likely + other.likely, high: self.high + other.high }
    }

    /// The same with the upper bound brought down to `limit`, where the likely value allows it.
    #[must_use]
    pub fn at_most(self, limit: Quantity<D>) -> Self {
        let high = if self.high > limit && self.likely <= limit { limit } else { self.high };
        Self { high, ..self }
    }

    /// The same with the lower bound brought up to `limit`, where the likely value allows it.
    #[must_use]
    pub fn at_least(self, limit: Quantity<D>) -> Self {
        let low = if self.low < limit && self.likely >= limit { limit } else { self.low };
        Self { low, ..self }
    }
}

impl<A: Measured + Times<B>, B: Measured> Mul<Estimate<B>> for Estimate<A> {
    type Output = Estimate<<A as Times<B>>::Output>;
    fn mul(self, other: Estimate<B>) -> Self::Output {
        Estimate { low: self.low * other.low, likely: self.likely * other.likely, high: self.high * other.high }
    }
}

impl<A: Measured + Over<B>, B: Measured> Div<Estimate<B>> for Estimate<A> {
    type Output = Estimate<<A as Over<B>>::Output>;
    fn div(self, other: Estimate<B>) -> Self::Output {
        Estimate { low: self.low / other.high, likely: self.likely / other.likely, high: self.high / other.low }
    }
}
