//! How much to apply: the kinds of rates, and which fit where.

use crate::garden::areas::Extent;
use crate::garden::assumptions::CountedBy;
use crate::garden::closed_list::closed_list;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{
    OfArea, OfLength, OfMass, OfMassPerArea, OfShare, OfVolume, OfVolumePerArea, OfVolumePerLength,
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

closed_list! {
    /// A nutrient that a rate may name besides nitrogen, as the element or as its oxide.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Nutrient {
        /// P.
        Phosphorus = "phosphorus",
        /// P2O5.
        Phosphate = "phosphate",
        /// K.
        Potassium = "potassium",
        /// K2O.
        Potash = "potash",
    }
}

impl Nutrient {
    /// Whether it counts phosphorus; potassium else.
    #[must_use]
    pub const fn is_phosphorus(self) -> bool {
        matches!(self, Self::Phosphorus | Self::Phosphate)
    }
}

/// A kind of rate, by what it is an amount of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateKind {
    /// Of depth.
    Depth,
    /// Of mass over the ground.
    MassPerArea,
    /// Of dry mass over the ground.
    DryMassPerArea,
    /// Of volume over the ground.
    VolumePerArea,
    /// Of nitrogen available in the first season, over the ground.
    AvailableNitrogen,
    /// Of phosphorus or potassium over the ground.
    Nutrient(Nutrient),
    /// Of volume along the row.
    VolumePerLength,
    /// For each plant or pot.
    PerPlant,
    /// Of a mix.
    ShareOfMix,
}

impl RateKind {
    /// All of them.
    pub const ALL: [Self; 12] = [
        Self::Depth,
        Self::MassPerArea,
        Self::DryMassPerArea,
        Self::VolumePerArea,
        Self::AvailableNitrogen,
        Self::Nutrient(Nutrient::Phosphorus),
        Self::Nutrient(Nutrient::Phosphate),
        Self::Nutrient(Nutrient::Potassium),
        Self::Nutrient(Nutrient::Potash),
        Self::VolumePerLength,
        Self::PerPlant,
        Self::ShareOfMix,
    ];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Depth => "depth",
            Self::MassPerArea => "mass_per_area",
            Self::DryMassPerArea => "dry_mass_per_area",
            Self::VolumePerArea => "volume_per_area",
            Self::AvailableNitrogen => "available_nitrogen",
            Self::Nutrient(nutrient) => nutrient.as_str(),
            Self::VolumePerLength => "volume_per_length",
            Self::PerPlant => "per_plant",
            Self::ShareOfMix => "share_of_mix",
        }
    }

    const fn fits(self, extent: &Extent) -> bool {
        match self {
            Self::VolumePerLength => extent.row_length.is_some(),
            Self::PerPlant => extent.plants.is_some(),
            Self::ShareOfMix => extent.mix.is_some(),
            _ => extent.area.is_some(),
        }
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
        let kind = match self {
            Self::Depth(_) => RateKind::Depth,
            Self::MassPerArea(_) => RateKind::MassPerArea,
            Self::VolumePerArea(_) => RateKind::VolumePerArea,
            Self::AvailableNitrogen(_) => RateKind::AvailableNitrogen,
            Self::Nutrient(nutrient, _) => RateKind::Nutrient(*nutrient),
            Self::DryMassPerArea(_) => RateKind::DryMassPerArea,
            Self::VolumePerLength(_) => RateKind::VolumePerLength,
            Self::PerPlant(_) => RateKind::PerPlant,
            Self::Share(_) => RateKind::ShareOfMix,
            Self::Total(_) => return "castings",
        };
        kind.as_str()
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

/// The kinds of rate that fit an extent.
#[must_use]
pub fn fitting(extent: &Extent) -> Vec<&'static str> {
    RateKind::ALL.into_iter().filter(|kind| kind.fits(extent)).map(RateKind::as_str).collect()
}

/// The rates that castings of this volume and mass make over ground, whatever the depth that they settle to.
#[must_use]
pub fn over_ground((volume, mass): (Estimate<OfVolume>, Estimate<OfMass>), area: Estimate<OfArea>) -> [Rate; 2] {
    // An area has no range.
    let litres = volume.values().map(|litres| litres / area.likely().base());
    [Rate::VolumePerArea(Estimate::around(litres)), Rate::MassPerArea(mass / area)]
}
