//! Rates on the wire.

use super::RequestContext;
use super::enums::words;
use super::quantity::{
    Due, LengthInput, MassInput, MassPerAreaInput, PerPlantInput, ShareInput, VolumeOrMassInput, VolumePerAreaInput,
    VolumePerLengthInput,
};
use super::union::union;
use crate::garden::applications::typical::Purpose;
use crate::garden::applications::{Nutrient, Portion, Rate};
use crate::garden::assumptions::Span;
use crate::garden::units::{Dimension, Mass, Volume};
use crate::http::limits::MIN_SHARE;
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

macro_rules! rates {
    ($($(#[$doc:meta])* $name:ident($input:ty);)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
        pub struct $name {
            /// How much of what the kind names.
            pub amount: $input,
        }
    )*};
}

rates! {
    /// A layer of this depth once settled. Fits ground.
    DepthRate(LengthInput);
    /// Castings by mass over the ground. Fits ground.
    MassPerAreaRate(MassPerAreaInput);
    /// Castings by volume over the ground. Fits ground.
    VolumePerAreaRate(VolumePerAreaInput);
    /// Nitrogen available in the first season, by mass of N over the ground. Fits ground.
    AvailableNitrogenRate(MassPerAreaInput);
    /// Phosphorus (P, the element), by mass over the ground. Fits ground.
    PhosphorusRate(MassPerAreaInput);
    /// Phosphate (P2O5), as soil tests and fertilisers count phosphorus, by mass over the ground. Fits ground.
    PhosphateRate(MassPerAreaInput);
    /// Potassium (K, the element), by mass over the ground. Fits ground.
    PotassiumRate(MassPerAreaInput);
    /// Potash (K2O), as soil tests and fertilisers count potassium, by mass over the ground. Fits ground.
    PotashRate(MassPerAreaInput);
    /// Castings by the mass of their dry matter over the ground, as trials report them. Fits ground.
    DryMassPerAreaRate(MassPerAreaInput);
    /// Castings along the row. Fits rows and planted rows.
    VolumePerLengthRate(VolumePerLengthInput);
    /// Castings for each plant or pot. Fits plants, planted rows and pots.
    PerPlantRate(PerPlantInput);
    /// Castings as a share of the mix by volume. Fits pots and fills.
    ShareOfMixRate(ShareInput);
}

/// The rate that is usual for a use, from `GET /v1/rates`. Fits what that rate's kind fits.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct TypicalRate {
    /// What the castings are for: `seedling_mix`, `garden_bed` and so on.
    pub purpose: PurposeInput,
}

words! {
    /// What castings are used for.
    PurposeInput => Purpose {
        /// In a mix for seedlings.
        SeedlingMix,
        /// In a mix for pots and containers.
        PottingMix,
        /// In the hole of a transplant.
        Transplant,
        /// Around a growing plant.
        SideDressPlant,
        /// Along a growing row.
        SideDressRow,
        /// On a garden bed before planting.
        GardenBed,
        /// On a field of tomatoes or peppers.
        FieldVegetables,
        /// On a field of strawberries.
        FieldStrawberries,
        /// On a lawn.
        Lawn,
    }
}

union! {
    /// How much to apply.
    RateInput {
        "depth" => Depth(DepthRate),
        "mass_per_area" => MassPerArea(MassPerAreaRate),
        "volume_per_area" => VolumePerArea(VolumePerAreaRate),
        "available_nitrogen" => AvailableNitrogen(AvailableNitrogenRate),
        "phosphorus" => Phosphorus(PhosphorusRate),
        "phosphate" => Phosphate(PhosphateRate),
        "potassium" => Potassium(PotassiumRate),
        "potash" => Potash(PotashRate),
        "dry_mass_per_area" => DryMassPerArea(DryMassPerAreaRate),
        "volume_per_length" => VolumePerLength(VolumePerLengthRate),
        "per_plant" => PerPlant(PerPlantRate),
        "share_of_mix" => Share(ShareOfMixRate),
        "typical" => Typical(TypicalRate),
    }
}

impl RequestContext<'_> {
    /// Reads an amount of castings, by volume or by mass.
    pub fn portion(&self, input: &VolumeOrMassInput, place: JsonPath<'_>) -> Option<Portion> {
        let spanned = self.span(&input.0, Due::any(VolumeOrMassInput::DIMENSIONS), place)?;
        Some(self.portion_of(spanned, place))
    }

    fn portion_of(&self, (dimension, span): (Dimension, Span), place: JsonPath<'_>) -> Portion {
        self.note_range(span, place);
        match dimension {
            Dimension::Mass | Dimension::MassPerPlant => {
                Portion::Mass(self.asked(Role::Mass, Mass::from_base(span.likely), place))
            }
            _ => Portion::Volume(self.asked(Role::Bulk, Volume::from_base(span.likely), place)),
        }
    }

    /// Reads an amount of castings by the mass of their dry matter.
    pub fn dry_portion(&self, input: &MassInput, place: JsonPath<'_>) -> Option<Portion> {
        Some(Portion::DryMass(self.figure(Role::Mass, &input.0, place)?))
    }

    fn nutrient(&self, nutrient: Nutrient, amount: &MassPerAreaInput, place: JsonPath<'_>) -> Option<Rate> {
        Some(Rate::Nutrient(nutrient, self.figure(Role::NutrientPerArea, &amount.0, place)?))
    }

    /// Reads a rate.
    pub fn rate(&self, input: &RateInput, place: JsonPath<'_>) -> Option<Rate> {
        let (at, place) = (place, place.field("amount"));
        Some(match input {
            RateInput::Typical(_) if self.errors.touches(at) => return None,
            RateInput::Typical(it) => {
                let asked = self
                    .recording
                    .map_or(0, |recording| recording.number(Role::Share, at.field("purpose").to_pointer()));
                Purpose::from(it.purpose).typical().rate(asked, self.book())
            }
            RateInput::Depth(it) => Rate::Depth(self.figure(Role::Depth, &it.amount.0, place)?),
            RateInput::MassPerArea(it) => Rate::MassPerArea(self.figure(Role::MassPerArea, &it.amount.0, place)?),
            RateInput::VolumePerArea(it) => Rate::VolumePerArea(self.figure(Role::BulkPerArea, &it.amount.0, place)?),
            RateInput::AvailableNitrogen(it) => {
                Rate::AvailableNitrogen(self.figure(Role::NutrientPerArea, &it.amount.0, place)?)
            }
            RateInput::Phosphorus(it) => self.nutrient(Nutrient::Phosphorus, &it.amount, place)?,
            RateInput::Phosphate(it) => self.nutrient(Nutrient::Phosphate, &it.amount, place)?,
            RateInput::Potassium(it) => self.nutrient(Nutrient::Potassium, &it.amount, place)?,
            RateInput::Potash(it) => self.nutrient(Nutrient::Potash, &it.amount, place)?,
            RateInput::DryMassPerArea(it) => {
                Rate::DryMassPerArea(self.figure(Role::MassPerArea, &it.amount.0, place)?)
            }
            RateInput::VolumePerLength(it) => {
                Rate::VolumePerLength(self.figure(Role::BulkPerLength, &it.amount.0, place)?)
            }
            RateInput::PerPlant(it) => {
                let spanned = self.span(&it.amount.0, Due::any(PerPlantInput::DIMENSIONS), place)?;
                Rate::PerPlant(self.portion_of(spanned, place))
            }
            RateInput::Share(it) => {
                let share = self.exact_between(&it.amount.0, (MIN_SHARE, 1.0), place)?;
                Rate::Share(self.asked(Role::Share, share, place))
            }
        })
    }
}
