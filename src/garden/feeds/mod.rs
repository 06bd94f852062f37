//! Feed for worms: what to shred, soak and mix, how much water, when, and what castings to expect.
//!
//! ```text
//! materials (table) -> given -> material -> mix (linear programme) -> ways (packing) -> kept, choose (goals) -> plan: water, mix, layers, steps, castings
//! ```

mod bounds;
mod castings;
mod choose;
mod fixed;
mod free;
mod given;
mod goals_met;
mod hot;
mod layers;
mod line;
mod material;
pub mod materials;
mod mend;
pub mod mix;
mod moisten;
mod notes;
mod plan;
mod programme;
mod reach;
mod recipe;
mod settling;
mod steps;
mod sum;
mod water;
mod ways;

pub use castings::Expected;
pub use fixed::FixedMix;
pub use given::KnownMaterial;
pub use hot::{HEAP, HotComposted, HotComposting, MAX_STAGE_DAYS};
pub use layers::{Layer, Layers, ThinLayer, depth_on_worms};
pub use line::Prepared;
pub use material::{Carbon, MAX_CARBON, MAX_NITROGEN, MIN_NITROGEN, Material};
pub use materials::{Family, Feedstock, Size};
pub use plan::{FeedPlan, MAX_AIR, MAX_INGREDIENTS, MAX_RATIO, plan};
pub use reach::{Goal, Instead, OutOfReach, Remedy};
pub use recipe::Recipe;
pub use steps::{
    ADD_WATER_SLOWLY, Step, StepKind, WAIT_FOR_HEAT_DAYS, before_worms, before_worms_go_back, layer_by_layer,
};
pub use sum::Mix;
pub use water::{MAX_SOAK_DAYS, MIN_SOAK_DAYS, Rehydration, Soak, Treatment};

use crate::garden::areas::Ground;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Estimate, Mass, Volume};
use chrono::NaiveDate;

/// An amount of material, as the caller measures it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// Weighed: the volume follows from the bulk density.
    Mass(Estimate<OfMass>),
    /// Measured as it lies: the mass follows from the bulk density.
    Volume(Estimate<OfVolume>),
}

impl Amount {
    /// The most of it, where there is one.
    #[must_use]
    pub const fn most(self) -> Option<Load> {
        match self {
            Self::Fixed(most) | Self::Between(_, most) => Some(most),
            Self::AtLeast(_) => None,
        }
    }

    /// Refuses a range whose least is above its most, both by mass or both by volume. Of two measures the mix tells, by the bulk density.
    ///
    /// # Errors
    /// `out_of_range` at `at_least`.
    pub fn check(self) -> Result<(), Refusal> {
        let is_turned = match self {
            Self::Between(Load::Mass(least), Load::Mass(most)) => least.likely() > most.likely(),
            Self::Between(Load::Volume(least), Load::Volume(most)) => least.likely() > most.likely(),
            _ => false,
        };
        if is_turned {
            let detail = "at_least is above at_most; give at_least the smaller of the two";
            return Err(Refusal::new(Reason::OutOfRange, detail).at("at_least"));
        }
        Ok(())
    }
}

impl Load {
    /// Nothing, in the same measure.
    #[must_use]
    pub fn nothing(self) -> Self {
        match self {
            Self::Mass(_) => Self::Mass(Mass::from_kilograms(0.0).into()),
            Self::Volume(_) => Self::Volume(Volume::from_litres(0.0).into()),
        }
    }

    /// The number of what was recorded of it.
    const fn node(self) -> u32 {
        match self {
            Self::Mass(mass) => mass.node(),
            Self::Volume(volume) => volume.node(),
        }
    }
}

/// How much of a material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// So much, neither more nor less.
    Fixed(Load),
    /// The service chooses between the first and the second.
    Between(Load, Load),
    /// The service chooses this or more, as much as the goals take.
    AtLeast(Load),
}

/// A material that goes into the mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// Its name, for messages.
    pub name: String,
    /// The place where it is asked for, by its number.
    pub asked: u32,
    /// What it is made of.
    pub material: Material,
    /// What sort of material it is, for cautions.
    pub family: Family,
    /// How large its pieces are, before any shredding.
    pub size: Size,
    /// How much, as given, before any water is added.
    pub amount: Amount,
    /// Soaking or rehydration before it is mixed.
    pub treatment: Treatment,
    /// True if it is shredded first, and again after a soak.
    pub shred: bool,
}

impl Ingredient {
    /// How large its pieces are when it is mixed: shredded once, or twice where it is soaked in between.
    #[must_use]
    pub fn size_mixed(&self) -> Size {
        match (self.shred, self.treatment) {
            (false, _) => self.size,
            (true, Treatment::Soaked) => self.size.shredded().shredded(),
            (true, _) => self.size.shredded(),
        }
    }
}

/// What the mix is to be like.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Goals {
    /// Lowest and highest ratio of carbon to nitrogen, by dry matter.
    pub carbon_to_nitrogen: Option<(Estimate<OfRatio>, Estimate<OfRatio>)>,
    /// Moisture, wet basis, by the choice of materials and by extra water.
    pub moisture: Option<Estimate<OfShare>>,
    /// The least air over volume; [`crate::garden::assumptions::MIN_AIR`] if not said.
    pub air_space: Option<Estimate<OfShare>>,
}

/// A feed to be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The materials, in the caller's order.
    pub ingredients: Vec<Ingredient>,
    /// What the mix is to be like.
    pub goals: Goals,
    /// How soaked materials are soaked; [`Soak::COMMON`] if not said.
    pub soak: Option<Soak>,
    /// Hot composting before the worms.
    pub hot_composting: Option<HotComposting>,
    /// The bed's ground, for layers.
    pub ground: Option<Ground>,
    /// The first day of work, for dates.
    pub start_on: Option<NaiveDate>,
}

/// A small count as a number.
fn number(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::MAX, f64::from)
}
