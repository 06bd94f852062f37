//! Quantities: exact factors, bounds, reading "20 cm" and "3 buckets", rounding with a named direction.

pub mod dimension;
pub mod estimate;
mod feet;
pub mod measures;
mod number;
pub mod quantity;
pub mod relations;
pub mod round;
pub mod table;
pub mod text;
mod wording;

pub use estimate::{End, Estimate};
pub use measures::{Holds, Measure, Measures};
pub use quantity::{
    Area, Density, Dimension, Duration, FeedRate, Length, Mass, MassPerArea, Measured, Millilitres, Quantified,
    Quantity, Ratio, Share, Temperature, TemperatureDifference, Volume, VolumePerArea, VolumePerLength, whole,
};
pub use round::HAIR;
pub use text::Reader;
