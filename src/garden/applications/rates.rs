//! How much to apply: the kinds of rates, and which fit where.

use crate::garden::areas::Extent;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{
    OfLength, OfMass, OfMassPerArea, OfShare, OfVolume, OfVolumePerArea, OfVolumePerLength,
};

/// An amount for each plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Portion {
    /// By volume.
    Volume(Estimate<OfVolume>),
    /// By mass.
    Mass(Estimate<OfMass>),
}

/// How much to apply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rate {
    /// A layer of this depth, once it has settled.
    Depth(Estimate<OfLength>),
    /// Castings by mass over the ground.
    MassPerArea(Estimate<OfMassPerArea>),
    /// Castings by volume over the ground.
    VolumePerArea(Estimate<OfVolumePerArea>),
    /// Nitrogen available in the first season, over the ground.
    AvailableNitrogen(Estimate<OfMassPerArea>),
    /// Castings along the row.
    VolumePerLength(Estimate<OfVolumePerLength>),
    /// Castings for each plant or pot.
    PerPlant(Portion),
    /// Castings as a share of the mix by volume.
    Share(Estimate<OfShare>),
    /// So much castings for the whole place: the question is then which rate that makes.
    Total(Portion),
}

impl Rate {
    /// The kind as written on the wire.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Depth(_) => "depth",
            Self::MassPerArea(_) => "mass_per_area",
            Self::VolumePerArea(_) => "volume_per_area",
            Self::AvailableNitrogen(_) => "available_nitrogen",
            Self::VolumePerLength(_) => "volume_per_length",
            Self::PerPlant(_) => "per_plant",
            Self::Share(_) => "share_of_mix",
            Self::Total(_) => "castings",
        }
    }

    /// The field of a request that says it.
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::Total(_) => "castings",
            _ => "rate",
        }
    }

    /// This share of the rate: what a place that goes short gets.
    #[must_use]
    pub fn scaled(&self, share: f64) -> Self {
        match self {
            Self::Depth(x) => Self::Depth(x.times(share)),
            Self::MassPerArea(x) => Self::MassPerArea(x.times(share)),
            Self::VolumePerArea(x) => Self::VolumePerArea(x.times(share)),
            Self::AvailableNitrogen(x) => Self::AvailableNitrogen(x.times(share)),
            Self::VolumePerLength(x) => Self::VolumePerLength(x.times(share)),
            Self::PerPlant(Portion::Volume(x)) => Self::PerPlant(Portion::Volume(x.times(share))),
            Self::PerPlant(Portion::Mass(x)) => Self::PerPlant(Portion::Mass(x.times(share))),
            Self::Share(x) => Self::Share(x.times(share)),
            Self::Total(Portion::Volume(x)) => Self::Total(Portion::Volume(x.times(share))),
            Self::Total(Portion::Mass(x)) => Self::Total(Portion::Mass(x.times(share))),
        }
    }
}

/// The kinds of rate that fit an extent.
#[must_use]
pub fn fitting(extent: &Extent) -> Vec<&'static str> {
    let mut kinds = Vec::new();
    if extent.area.is_some() {
        kinds.extend(["depth", "mass_per_area", "volume_per_area", "available_nitrogen"]);
    }
    if extent.row_length.is_some() {
        kinds.push("volume_per_length");
    }
    if extent.plants.is_some() {
        kinds.push("per_plant");
    }
    if extent.mix.is_some() {
        kinds.push("share_of_mix");
    }
    kinds
}
