//! How much to apply: the kinds of rates, and which fit where.

use crate::garden::areas::Extent;
use crate::garden::assumptions::CountedBy;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{
    OfLength, OfMass, OfMassPerArea, OfShare, OfVolume, OfVolumePerArea, OfVolumePerLength,
};

/// An amount for each plant or in all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Portion {
    /// By volume.
    Volume(Estimate<OfVolume>),
    /// By mass, moist.
    Mass(Estimate<OfMass>),
    /// By the mass of the dry matter.
    DryMass(Estimate<OfMass>),
}

impl Portion {
    /// This share of it.
    fn scaled(&self, share: f64) -> Self {
        match self {
            Self::Volume(x) => Self::Volume(x.times(share)),
            Self::Mass(x) => Self::Mass(x.times(share)),
            Self::DryMass(x) => Self::DryMass(x.times(share)),
        }
    }
}

/// A nutrient that a rate may name besides nitrogen, as the element or as its oxide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nutrient {
    /// P.
    Phosphorus,
    /// P2O5.
    Phosphate,
    /// K.
    Potassium,
    /// K2O.
    Potash,
}

impl Nutrient {
    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Phosphorus => "phosphorus",
            Self::Phosphate => "phosphate",
            Self::Potassium => "potassium",
            Self::Potash => "potash",
        }
    }

    /// Whether it counts phosphorus; potassium else.
    #[must_use]
    pub const fn is_phosphorus(self) -> bool {
        matches!(self, Self::Phosphorus | Self::Phosphate)
    }
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
    /// So much phosphorus or potassium over the ground.
    Nutrient(Nutrient, Estimate<OfMassPerArea>),
    /// Castings by the mass of their dry matter over the ground.
    DryMassPerArea(Estimate<OfMassPerArea>),
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
            Self::Nutrient(nutrient, _) => nutrient.as_str(),
            Self::DryMassPerArea(_) => "dry_mass_per_area",
            Self::VolumePerLength(_) => "volume_per_length",
            Self::PerPlant(_) => "per_plant",
            Self::Share(_) => "share_of_mix",
            Self::Total(_) => "castings",
        }
    }

    /// What it counts castings by; `None` where that is their volume.
    #[must_use]
    pub const fn counted_by(&self) -> Option<CountedBy> {
        match self {
            Self::MassPerArea(_) | Self::PerPlant(Portion::Mass(_)) | Self::Total(Portion::Mass(_)) => {
                Some(CountedBy::Mass)
            }
            Self::DryMassPerArea(_) | Self::PerPlant(Portion::DryMass(_)) | Self::Total(Portion::DryMass(_)) => {
                Some(CountedBy::DryMass)
            }
            Self::AvailableNitrogen(_) => Some(CountedBy::AvailableNitrogen),
            Self::Nutrient(nutrient, _) if nutrient.is_phosphorus() => Some(CountedBy::Phosphorus),
            Self::Nutrient(..) => Some(CountedBy::Potassium),
            _ => None,
        }
    }

    /// The field of a request that says it.
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::Total(Portion::DryMass(_)) => "dry_mass",
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
            Self::Nutrient(nutrient, x) => Self::Nutrient(*nutrient, x.times(share)),
            Self::DryMassPerArea(x) => Self::DryMassPerArea(x.times(share)),
            Self::PerPlant(portion) => Self::PerPlant(portion.scaled(share)),
            Self::Share(x) => Self::Share(x.times(share)),
            Self::Total(portion) => Self::Total(portion.scaled(share)),
        }
    }
}

/// The kinds of rate that fit open ground.
const ON_GROUND: [&str; 9] = [
    "depth",
    "mass_per_area",
    "dry_mass_per_area",
    "volume_per_area",
    "available_nitrogen",
    "phosphorus",
    "phosphate",
    "potassium",
    "potash",
];

/// The kinds of rate that fit an extent.
#[must_use]
pub fn fitting(extent: &Extent) -> Vec<&'static str> {
    let mut kinds = Vec::new();
    if extent.area.is_some() {
        kinds.extend(ON_GROUND);
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
