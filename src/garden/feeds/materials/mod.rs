//! The table of materials: what they are made of, where each number is from, and how far it was checked.
//!
//! Moisture is wet basis; nitrogen, carbon and ash are shares of the dry matter; the bulk density is as it lies at the row's
//! moisture. The ratio of carbon to nitrogen is derived, never entered.

mod origins;
mod size;
mod table;

pub use origins::Origin;
pub use size::{SIZES_SOURCE, Size};
pub use table::ALL;

use super::mix::Content;
use super::{Carbon, Material};
use crate::garden::cautions::Rule;
use crate::garden::closed_list::closed_list;
use crate::garden::figures::Off;
use crate::garden::refusal::Refusal;
use crate::garden::units::Estimate;
use crate::garden::units::Measured;
use crate::garden::units::quantity::{OfDensity, OfShare};

/// What the moisture is a share of.
pub const MOISTURE_BASIS: &str = "of the whole as it is (wet basis)";
/// What nitrogen, carbon and ash are shares of.
pub const DRY_BASIS: &str = "of the dry matter";
/// How the bulk density is meant.
pub const DENSITY_BASIS: &str = "as it lies, at the moisture of the row";

closed_list! {
    /// What sort of material it is.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Family {
        /// Tree leaves.
        Leaves = "leaves",
        /// Grass and other fresh green.
        Green = "green",
        /// Kitchen and garden scraps.
        Scraps = "scraps",
        /// Straw and hay.
        Straw = "straw",
        /// Sawdust, chips, trimmings.
        Wood = "wood",
        /// Paper and cardboard.
        Paper = "paper",
        /// Manure of hens, broilers, turkeys.
        PoultryManure = "poultry_manure",
        /// Manure of cattle, horses, sheep, rabbits.
        Manure = "manure",
        /// Anything else.
        Other = "other",
    }
}

impl Family {
    /// True for dry, carbon-rich material.
    #[must_use]
    pub const fn is_brown(self) -> bool {
        matches!(self, Self::Leaves | Self::Straw | Self::Wood | Self::Paper)
    }

    /// True for manure of any animal.
    #[must_use]
    pub const fn is_manure(self) -> bool {
        matches!(self, Self::PoultryManure | Self::Manure)
    }

    /// What to mind with it.
    #[must_use]
    pub const fn cautions(self) -> &'static [Rule] {
        use Rule::{Ammonia, FeedHeat, Handling, KitchenScraps, LeaveOut, PersistentHerbicides, RawManure};
        match self {
            Self::Leaves | Self::Wood => &[LeaveOut],
            Self::Green => &[PersistentHerbicides, FeedHeat],
            Self::Scraps => &[FeedHeat, KitchenScraps],
            Self::Straw => &[PersistentHerbicides],
            Self::PoultryManure => &[RawManure, Handling, Ammonia, FeedHeat],
            Self::Manure => &[RawManure, Handling, PersistentHerbicides, FeedHeat],
            Self::Paper | Self::Other => &[],
        }
    }
}

/// A value of the table, in percent or kg/m3.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// Low, likely, high.
    pub range: [f64; 3],
    /// Where the likely value is from.
    pub origin: Origin,
    /// True if low and high are of the same origin; false if they are ours.
    pub range_printed: bool,
}

/// Low, likely and high as printed (the likely one the printed value, or the middle).
const fn printed(range: [f64; 3], origin: Origin) -> Value {
    Value { range, origin, range_printed: true }
}

/// The likely value as printed, low and high ours.
const fn assumed(range: [f64; 3], origin: Origin) -> Value {
    Value { range, origin, range_printed: false }
}

impl Value {
    /// The likely value of a percentage, as a share.
    #[must_use]
    pub fn share(&self) -> f64 {
        let [_, likely, _] = self.range;
        likely / 100.0
    }

    fn estimate<D: Measured>(&self, scale: f64) -> Estimate<D> {
        let [low, likely, high] = self.range;
        Estimate::around([low / scale, likely / scale, high / scale])
    }
}

/// A material of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feedstock {
    /// Its id.
    pub id: &'static str,
    /// Its name.
    pub name: &'static str,
    /// What sort it is.
    pub family: Family,
    /// How large its pieces are.
    pub size: Size,
    /// Water over the whole, percent.
    pub moisture: Value,
    /// Nitrogen over dry matter, percent.
    pub nitrogen: Value,
    /// Carbon over dry matter, percent.
    pub carbon: Value,
    /// Ash over dry matter, percent.
    pub ash: Value,
    /// Mass over volume as it lies at this moisture, kg/m3.
    pub bulk_density: Value,
    /// What else is to be said; empty if nothing.
    pub note: &'static str,
}

impl Feedstock {
    /// Finds a material by its id.
    #[must_use]
    pub fn find(id: &str) -> Option<&'static Self> {
        ALL.iter().find(|f| f.id == id)
    }

    /// Its name within a sentence: `leaves (shredded)`.
    #[must_use]
    pub fn in_words(&self) -> String {
        self.name.split_once(", ").map_or_else(|| self.name.to_owned(), |(what, how)| format!("{what} ({how})"))
    }

    /// Its moisture.
    #[must_use]
    pub fn moisture(&self) -> Estimate<OfShare> {
        self.moisture.estimate(100.0)
    }

    /// Its nitrogen.
    #[must_use]
    pub fn nitrogen(&self) -> Estimate<OfShare> {
        self.nitrogen.estimate(100.0)
    }

    /// Its carbon.
    #[must_use]
    pub fn carbon(&self) -> Estimate<OfShare> {
        self.carbon.estimate(100.0)
    }

    /// Its ash.
    #[must_use]
    pub fn ash(&self) -> Estimate<OfShare> {
        self.ash.estimate(100.0)
    }

    /// Its bulk density.
    #[must_use]
    pub fn bulk_density(&self) -> Estimate<OfDensity> {
        self.bulk_density.estimate(1.0)
    }

    /// The material with the table's values.
    ///
    /// # Errors
    /// None for the rows of the table: a test says so.
    pub fn material(&self) -> Result<Material, Refusal> {
        let carbon = Carbon::Both(self.carbon(), self.ash());
        Material::new((self.moisture(), self.nitrogen()), carbon, Some(self.bulk_density()), Off)
    }

    /// Carbon over nitrogen at the likely values.
    #[must_use]
    pub fn carbon_to_nitrogen(&self) -> f64 {
        self.carbon.share() / self.nitrogen.share()
    }

    /// What a kilogram brings into a mix.
    #[must_use]
    pub fn content(&self) -> Content {
        let water = self.moisture.share();
        let dry = 1.0 - water;
        let [_, density, _] = self.bulk_density.range;
        let (carbon, nitrogen) = (dry * self.carbon.share(), dry * self.nitrogen.share());
        Content { dry, carbon, nitrogen, water, volume: 1.0 / density }
    }
}
