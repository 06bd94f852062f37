//! Sealed quantity types: a number that knows its dimension, held in one base unit.

use std::cmp::Ordering;
use std::fmt;
use std::marker::PhantomData;

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Base unit m.
    Length,
    /// Base unit m2.
    Area,
    /// Base unit L.
    Volume,
    /// Base unit kg.
    Mass,
    /// Base unit h.
    Duration,
    /// Base unit C.
    Temperature,
    /// Base unit C.
    TemperatureDifference,
    /// Base unit 1 (`20 %` is 0.2).
    Share,
    /// Base unit kg/m2.
    MassPerArea,
    /// Base unit L/m2.
    VolumePerArea,
    /// Base unit L/m.
    VolumePerLength,
    /// Base unit L for each plant.
    VolumePerPlant,
    /// Base unit kg for each plant.
    MassPerPlant,
    /// Base unit kg/m3.
    Density,
    /// Base unit 1/d: kg of feed for each kg of worms and day.
    FeedRate,
    /// A pure number: a ratio of carbon to nitrogen.
    Ratio,
}

impl Dimension {
    /// The dimension in words, for messages: "a length".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::Duration => "a duration",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Share => "a share",
            Self::MassPerArea => "a mass per area",
            Self::VolumePerArea => "a volume per area",
            Self::VolumePerLength => "a volume per length",
            Self::VolumePerPlant => "a volume per plant",
            Self::MassPerPlant => "a mass per plant",
            Self::Density => "a bulk density",
            Self::FeedRate => "a feed rate",
            Self::Ratio => "a ratio",
        }
    }

    /// The dimension as a word for lists: `mass_per_area`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Area => "area",
            Self::Volume => "volume",
            Self::Mass => "mass",
            Self::Duration => "duration",
            Self::Temperature => "temperature",
            Self::TemperatureDifference => "temperature_difference",
            Self::Share => "share",
            Self::MassPerArea => "mass_per_area",
            Self::VolumePerArea => "volume_per_area",
            Self::VolumePerLength => "volume_per_length",
            Self::VolumePerPlant => "volume_per_plant",
            Self::MassPerPlant => "mass_per_plant",
            Self::Density => "bulk_density",
            Self::FeedRate => "feed_rate",
            Self::Ratio => "ratio",
        }
    }

    /// The unit in which this dimension is held, as written on the wire.
    #[must_use]
    pub const fn base_unit(self) -> &'static str {
        match self {
            Self::Length => "m",
            Self::Area => "m2",
            Self::Volume | Self::VolumePerPlant => "L",
            Self::Mass | Self::MassPerPlant => "kg",
            Self::Duration => "h",
            Self::Temperature | Self::TemperatureDifference => "C",
            Self::Share => "%",
            Self::MassPerArea => "kg/m2",
            Self::VolumePerArea => "L/m2",
            Self::VolumePerLength => "L/m",
            Self::Density => "kg/m3",
            Self::FeedRate => "kg/kg/d",
            Self::Ratio => "",
        }
    }

    /// Units that fit this dimension, for messages and the document.
    #[must_use]
    pub const fn examples(self) -> &'static [&'static str] {
        match self {
            Self::Length => &["mm", "cm", "m", "in", "ft", "yd"],
            Self::Area => &["m2", "ha", "ft2", "yd2", "acre"],
            Self::Volume | Self::VolumePerPlant => &["mL", "L", "m3", "ft3", "yd3", "US gal", "imp gal", "US bu"],
            Self::Mass | Self::MassPerPlant => &["g", "kg", "t", "oz", "lb", "short ton"],
            Self::Duration => &["h", "d", "week"],
            Self::Temperature | Self::TemperatureDifference => &["C", "F"],
            Self::Share => &["%", "mL/L"],
            Self::MassPerArea => &["kg/m2", "g/m2", "t/ha", "kg/ha", "lb/100 ft2", "lb/1000 ft2", "lb/acre"],
            Self::VolumePerArea => &["L/m2", "yd3/1000 ft2", "ft3/ft2"],
            Self::VolumePerLength => &["L/m", "mL/m", "ft3/ft"],
            Self::Density => &["kg/m3", "kg/L", "lb/yd3", "lb/ft3"],
            Self::FeedRate => &["kg/kg/d", "lb/lb/d"],
            Self::Ratio => &[],
        }
    }

    /// The least and greatest value computed with, in the base unit. Each end is chosen so that no garden or farm
    /// comes near it and no product of three quantities leaves the exact range of whole millilitres:
    /// a volume of 10^12 L is 10^15 mL, below 2^53.
    #[must_use]
    pub const fn bounds(self) -> (f64, f64) {
        match self {
            Self::Length => (1e-6, 1e5),
            Self::Area => (1e-6, 1e10),
            Self::Volume | Self::VolumePerPlant => (1e-3, 1e12),
            Self::Mass | Self::MassPerPlant => (1e-6, 1e12),
            Self::Duration => (1e-3, 87_660.0),
            Self::Temperature => (-60.0, 100.0),
            Self::TemperatureDifference => (-60.0, 60.0),
            Self::Share => (0.0, 1.0),
            Self::MassPerArea => (1e-9, 1e5),
            Self::VolumePerArea => (1e-6, 1e6),
            Self::VolumePerLength => (1e-6, 1e6),
            Self::Density => (1.0, 3_000.0),
            Self::FeedRate => (1e-4, 10.0),
            Self::Ratio => (1.0, 10_000.0),
        }
    }
}

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

    /// As a volume.
    #[must_use]
    pub fn volume(self) -> Volume {
        Volume::from_litres(whole(self.0) / 1000.0)
    }
}

/// A count as a floating-point number: exact up to 2^53.
#[must_use]
pub fn whole(count: u64) -> f64 {
    #[expect(clippy::as_conversions, reason = "counts and millilitres stay below 2^53")]
    {
        count as f64
    }
}
