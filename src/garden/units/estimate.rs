//! A value with its bounds, and the number under which is recorded how it came.

use super::quantity::{Measured, OfArea, OfLength, OfMass, OfRatio, OfShare, OfVolume, Quantity, Ratio};
use super::relations::{Over, Times};
use std::ops::{Div, Mul};

/// How far one number lies from another that was computed in another order, as a share of it. Source: tolerance of computing.
const ROUNDING: f64 = 1e-13;

/// The lower bound, the likely value, or the upper bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The lower bound.
    Low,
    /// The likely value.
    Likely,
    /// The upper bound.
    High,
}

impl End {
    /// The other bound; the likely value has none.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Low => Self::High,
            Self::Likely => Self::Likely,
            Self::High => Self::Low,
        }
    }
}

/// A likely value between a low and a high bound. Guarantee: low <= likely <= high. Two are equal if their values are, however
/// they came.
#[derive(Debug, Clone, Copy)]
pub struct Estimate<D: Measured> {
    low: Quantity<D>,
    likely: Quantity<D>,
    high: Quantity<D>,
    /// 0 where it is not recorded.
    node: u32,
}

impl<D: Measured> PartialEq for Estimate<D> {
    fn eq(&self, other: &Self) -> bool {
        self.values() == other.values()
    }
}

impl<D: Measured> From<Quantity<D>> for Estimate<D> {
    fn from(value: Quantity<D>) -> Self {
        Self::exactly(value)
    }
}

impl<D: Measured> Estimate<D> {
    /// A value known without a range.
    #[must_use]
    pub const fn exactly(value: Quantity<D>) -> Self {
        Self { low: value, likely: value, high: value, node: 0 }
    }

    /// A value with bounds; `None` if they are not in order.
    #[must_use]
    pub fn between(low: Quantity<D>, likely: Quantity<D>, high: Quantity<D>) -> Option<Self> {
        (low <= likely && likely <= high).then_some(Self { low, likely, high, node: 0 })
    }

    /// Low, likely and high in base units; bounds that cross the likely value by rounding are drawn back to it.
    #[must_use]
    pub fn around([low, likely, high]: [f64; 3]) -> Self {
        let quantity = Quantity::from_base;
        Self::between(quantity(low.min(likely)), quantity(likely), quantity(high.max(likely)))
            .unwrap_or_else(|| Self::exactly(quantity(likely)))
    }

    /// The likely value alone, where the bounds differ from it by rounding only.
    #[must_use]
    pub fn unless_rounding(self) -> Self {
        let width = self.high.base() - self.low.base();
        if width <= ROUNDING * self.likely.base().abs() { self.only(End::Likely) } else { self }
    }

    /// The same under the number of what was recorded of it.
    #[must_use]
    pub const fn recorded(self, node: u32) -> Self {
        Self { node, ..self }
    }

    /// The number of what was recorded of it; 0 if nothing was.
    #[must_use]
    pub const fn node(self) -> u32 {
        self.node
    }

    /// Low, likely and high, in base units.
    #[must_use]
    pub const fn values(self) -> [f64; 3] {
        [self.low.base(), self.likely.base(), self.high.base()]
    }

    /// The value at one end.
    #[must_use]
    pub const fn end(self, end: End) -> Quantity<D> {
        match end {
            End::Low => self.low,
            End::Likely => self.likely,
            End::High => self.high,
        }
    }

    /// One end alone, still known by where it is from.
    #[must_use]
    pub const fn only(self, end: End) -> Self {
        let value = self.end(end);
        Self { low: value, likely: value, high: value, ..self }
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
        Self { low: self.low.times(factor), likely: self.likely.times(factor), high: self.high.times(factor), node: 0 }
    }

    /// The sum, bound by bound: right where both depend on the same assumptions or on none.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { low: self.low + other.low, likely: self.likely + other.likely, high: self.high + other.high, node: 0 }
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

impl From<u32> for Estimate<OfRatio> {
    /// A count.
    fn from(count: u32) -> Self {
        Self::exactly(Ratio::from_number(f64::from(count)))
    }
}

macro_rules! likely_in {
    ($($marker:ident: $unit:ident;)*) => {$(
        impl Estimate<$marker> {
            #[doc = concat!("The likely value as a number of ", stringify!($unit), ".")]
            #[must_use]
            pub const fn $unit(self) -> f64 {
                self.likely.base()
            }
        }
    )*};
}

likely_in! {
    OfLength: metres;
    OfArea: square_metres;
    OfVolume: litres;
    OfMass: kilograms;
    OfShare: fraction;
    OfRatio: number;
}

impl<A: Measured + Times<B>, B: Measured> Mul<Estimate<B>> for Estimate<A> {
    type Output = Estimate<<A as Times<B>>::Output>;
    fn mul(self, other: Estimate<B>) -> Self::Output {
        Estimate {
            low: self.low * other.low,
            likely: self.likely * other.likely,
            high: self.high * other.high,
            node: 0,
        }
    }
}

impl<A: Measured + Over<B>, B: Measured> Div<Estimate<B>> for Estimate<A> {
    type Output = Estimate<<A as Over<B>>::Output>;
    fn div(self, other: Estimate<B>) -> Self::Output {
        Estimate {
            low: self.low / other.high,
            likely: self.likely / other.likely,
            high: self.high / other.low,
            node: 0,
        }
    }
}
