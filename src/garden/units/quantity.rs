//! Sealed quantity types: a number that knows its dimension, held in one base unit.

pub use super::dimension::Dimension;
use std::cmp::Ordering;
use std::fmt;
use std::marker::PhantomData;

mod sealed {
    /// Keeps the list of dimensions closed.
    pub trait Sealed {}
}

/// Marks a type as the dimension of a quantity.
pub trait Measured: sealed::Sealed + Copy + fmt::Debug + PartialEq + 'static {
    /// Which dimension.
    const DIMENSION: Dimension;
}

/// A type of quantities: names its dimension.
pub trait Quantified {
    /// The dimension.
    type Of: Measured;
}

impl<D: Measured> Quantified for Quantity<D> {
    type Of = D;
}

/// A number that knows what it measures, held in the base unit of its dimension. Always finite when it was read from
/// a text; the field is private, so that a length can never be taken for a volume.
#[derive(Clone, Copy, PartialEq)]
pub struct Quantity<D: Measured> {
    base: f64,
    dimension: PhantomData<D>,
}

impl<D: Measured> Quantity<D> {
    /// A quantity of so many base units.
    #[must_use]
    pub const fn from_base(base: f64) -> Self {
        Self { base, dimension: PhantomData }
    }

    /// How many base units this is.
    #[must_use]
    pub const fn base(self) -> f64 {
        self.base
    }

    /// This many times as much.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self::from_base(self.base * factor)
    }

    /// True if the value lies within the bounds of its dimension ([`Dimension::bounds`]).
    #[must_use]
    pub fn within_bounds(self) -> bool {
        let (min, max) = D::DIMENSION.bounds();
        self.base >= min && self.base <= max
    }
}

impl<D: Measured> fmt::Debug for Quantity<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.base, D::DIMENSION.base_unit())
    }
}

impl<D: Measured> PartialOrd for Quantity<D> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        self.base.partial_cmp(&other.base)
    }
}

impl<D: Measured> std::ops::Add for Quantity<D> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::from_base(self.base + other.base)
    }
}

impl<D: Measured> std::ops::Sub for Quantity<D> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::from_base(self.base - other.base)
    }
}

impl<D: Measured> std::iter::Sum for Quantity<D> {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::from_base(0.0), |a, b| a + b)
    }
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $alias:ident = $marker:ident, $from:ident, $to:ident;)*) => {$(
        #[doc = concat!("Marks the dimension of [`", stringify!($alias), "`].")]
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct $marker;
        impl sealed::Sealed for $marker {}
        impl Measured for $marker {
            const DIMENSION: Dimension = Dimension::$alias;
        }
        $(#[$doc])*
        pub type $alias = Quantity<$marker>;
        impl Quantity<$marker> {
            #[doc = concat!("From a number of ", stringify!($to), ".")]
            #[must_use]
            pub const fn $from($to: f64) -> Self {
                Self::from_base($to)
            }
            #[doc = concat!("As a number of ", stringify!($to), ".")]
            #[must_use]
            pub const fn $to(self) -> f64 {
                self.base()
            }
        }
    )*};
}

quantities! {
    /// A length.
    Length = OfLength, from_metres, metres;
    /// An area.
    Area = OfArea, from_square_metres, square_metres;
    /// A volume.
    Volume = OfVolume, from_litres, litres;
    /// A mass.
    Mass = OfMass, from_kilograms, kilograms;
    /// A span of time.
    Duration = OfDuration, from_hours, hours;
    /// A share of a whole.
    Share = OfShare, from_fraction, fraction;
    /// A mass spread over an area.
    MassPerArea = OfMassPerArea, from_kilograms_per_square_metre, kilograms_per_square_metre;
    /// A volume spread over an area.
    VolumePerArea = OfVolumePerArea, from_litres_per_square_metre, litres_per_square_metre;
    /// A volume along a length.
    VolumePerLength = OfVolumePerLength, from_litres_per_metre, litres_per_metre;
    /// A mass in a volume as it lies.
    Density = OfDensity, from_kilograms_per_cubic_metre, kilograms_per_cubic_metre;
    /// A temperature.
    Temperature = OfTemperature, from_celsius, celsius;
    /// A difference of two temperatures.
    TemperatureDifference = OfTemperatureDifference, from_kelvins, kelvins;
    /// Dry feed for each mass of worms and day.
    FeedRate = OfFeedRate, from_per_day, per_day;
    /// How well an extract conducts: a measure of its salts.
    Conductivity = OfConductivity, from_decisiemens_per_metre, decisiemens_per_metre;
    /// A ratio of carbon to nitrogen.
    Ratio = OfRatio, from_number, number;
}

/// A volume in whole millilitres: the unit in which castings are shared out, so that what is given and what is short
/// add up to what was asked to the last digit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Millilitres(u64);

impl Millilitres {
    /// Nothing. Source: identity.
    pub const ZERO: Self = Self(0);

    /// So many millilitres.
    #[must_use]
    pub const fn new(millilitres: u64) -> Self {
        Self(millilitres)
    }

    /// The number of millilitres.
    #[must_use]
    pub const fn get(self) -> u64 {
        self.0
    }

    /// The nearest whole millilitre, halves to even; 0 for what is negative or no number, at most 10^15.
    ///
    /// ```
    /// use barrowful::garden::units::{Millilitres, Volume};
    /// assert_eq!(Millilitres::nearest(Volume::from_litres(22.7274)), Millilitres::new(22_727));
    /// ```
    #[must_use]
    pub fn nearest(volume: Volume) -> Self {
        let millilitres = (volume.litres() * 1000.0).round_ties_even().clamp(0.0, 1e15);
        #[expect(clippy::as_conversions, reason = "clamped to 0..=10^15, which u64 holds; NaN becomes 0")]
        Self(millilitres as u64)
    }

    /// Of what is needed: rounded down, but not to nothing. With [`Self::there`], what is exactly enough stays enough, however it is split.
    ///
    /// ```
    /// use barrowful::garden::units::{Millilitres, Volume};
    /// assert_eq!(Millilitres::needed(Volume::from_litres(5.0 / 3.0)), Millilitres::new(1_666));
    /// assert_eq!(Millilitres::needed(Volume::from_litres(0.0004)), Millilitres::new(1));
    /// ```
    #[must_use]
    pub fn needed(volume: Volume) -> Self {
        let down = Self::nearest(Volume::from_litres((volume.litres() * 1000.0 * (1.0 + NOISE)).floor() / 1000.0));
        down.max(Self(u64::from(volume.litres() > 0.0)))
    }

    /// Of what there is: rounded up.
    ///
    /// ```
    /// use barrowful::garden::units::{Millilitres, Volume};
    /// assert_eq!(Millilitres::there(Volume::from_litres(5.0 / 3.0)), Millilitres::new(1_667));
    /// ```
    #[must_use]
    pub fn there(volume: Volume) -> Self {
        Self::nearest(Volume::from_litres((volume.litres() * 1000.0 * (1.0 - NOISE)).ceil() / 1000.0))
    }

    /// As a volume.
    #[must_use]
    pub fn volume(self) -> Volume {
        Volume::from_litres(whole(self.0) / 1000.0)
    }
}

/// How far the last digits of a computed volume may be off, as a share: a whole millilitre stays one. Source: tolerance of computing.
const NOISE: f64 = 16.0 * f64::EPSILON;

/// A count as a floating-point number: exact up to 2^53.
#[must_use]
pub fn whole(count: u64) -> f64 {
    #[expect(clippy::as_conversions, reason = "counts and millilitres stay below 2^53")]
    {
        count as f64
    }
}
