//! Quantities: exact factors, bounds, reading "20 cm" and "3 buckets", rounding with a named direction.

pub mod containers;
pub mod dimension;
pub mod estimate;
pub mod factor;
mod feet;
mod number;
pub mod quantity;
pub mod relations;
pub mod round;
pub mod table;
pub mod text;
mod wording;

pub use containers::{Capacity, Container, ContainerName, Containers};
pub use estimate::{End, Estimate};
pub use quantity::{
    Area, Conductivity, Density, Dimension, Duration, FeedRate, Length, Mass, MassPerArea, Measured, Millilitres,
    Quantified, Quantity, Ratio, Share, Temperature, TemperatureDifference, Volume, VolumePerArea, VolumePerLength,
    whole,
};
pub use round::ROUNDING_TOLERANCE;
pub use text::Reader;
