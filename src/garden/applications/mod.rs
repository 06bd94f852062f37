//! Area times rate: castings, and the nutrients they carry.

mod places;

pub use places::{Dressing, Yearly, in_a_year};

use crate::garden::areas::{Extent, Surface, checked_volume};
use crate::garden::assumptions::{Assumed, Assumption};
use crate::garden::assumptions::{Castings, Known};
use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfLength, OfMass, OfMassPerArea, OfShare, OfVolume};
use crate::garden::units::{
    Area, Estimate, HAIR, Length, Mass, MassPerArea, Share, Volume, VolumePerArea, VolumePerLength,
};

/// Phosphate (P2O5) in phosphorus, by mass: 141.9445 / (2 x 30.973762). Source: standard atomic weights, from memory.
pub const PHOSPHATE: f64 = 2.2914;
/// Potash (K2O) in potassium, by mass: 94.196 / (2 x 39.0983). Source: standard atomic weights, from memory.
pub const POTASH: f64 = 1.2046;
/// An inch, the layer of a year above which there is a caution. Source: University of Minnesota Extension ("about an inch or
/// less"); 25.4 mm exact by definition.
const INCH: Length = Length::from_metres(0.0254);
/// The share of castings above which a potting mix gets a caution. Source: Atiyeh et al. 2000, Bioresource Technology 75:175-180.
const STRONG: Share = Share::from_fraction(0.20);
/// Manure nitrogen on land in a nitrate vulnerable zone: 170 kg/ha a year. Source: Council Directive 91/676/EEC.
pub const NITRATE_LIMIT: MassPerArea = MassPerArea::from_kilograms_per_square_metre(0.017);

/// An amount for each plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Portion {
    /// By volume.
    Volume(Volume),
    /// By mass.
    Mass(Mass),
}

/// How much to apply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rate {
    /// A layer of this depth, once it has settled.
    Depth(Length),
    /// Castings by mass over the ground.
    MassPerArea(MassPerArea),
    /// Castings by volume over the ground.
    VolumePerArea(VolumePerArea),
    /// Nitrogen available in the first season, over the ground.
    AvailableNitrogen(MassPerArea),
    /// Castings along the row.
    VolumePerLength(VolumePerLength),
    /// Castings for each plant or pot.
    PerPlant(Portion),
    /// Castings as a share of the mix by volume.
    Share(Share),
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
            Self::Share(_) => "share",
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
        kinds.push("share");
    }
    kinds
}

/// What fixes an application: the other figures follow by way of the assumptions, each counted once.
enum Dose {
    Volume(Volume),
    Mass(Mass),
    AvailableNitrogen(Mass),
}

/// N, P and K in what is applied.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nutrients {
    /// Total N.
    pub nitrogen: Estimate<OfMass>,
    /// N available in the first season.
    pub available_nitrogen: Estimate<OfMass>,
    /// P.
    pub phosphorus: Estimate<OfMass>,
    /// K.
    pub potassium: Estimate<OfMass>,
}

impl Nutrients {
    /// Phosphate, P2O5.
    #[must_use]
    pub fn phosphate(&self) -> Estimate<OfMass> {
        self.phosphorus.times(PHOSPHATE)
    }

    /// Potash, K2O.
    #[must_use]
    pub fn potash(&self) -> Estimate<OfMass> {
        self.potassium.times(POTASH)
    }

    /// The sum, bound by bound.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            nitrogen: self.nitrogen.plus(other.nitrogen),
            available_nitrogen: self.available_nitrogen.plus(other.available_nitrogen),
            phosphorus: self.phosphorus.plus(other.phosphorus),
            potassium: self.potassium.plus(other.potassium),
        }
    }
}

/// Castings by volume and mass, and what they carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// The volume as stored.
    pub volume: Estimate<OfVolume>,
    /// The mass as stored, moist.
    pub mass: Estimate<OfMass>,
    /// What it carries.
    pub nutrients: Nutrients,
}

/// What one place takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Application {
    /// What the surface came to.
    pub extent: Extent,
    /// The depth of the layer once settled, on open ground.
    pub depth: Option<Estimate<OfLength>>,
    /// Castings and nutrients.
    pub carried: Carried,
    /// The depth that brings as much P as a year's crop carries away, on open ground: `removal / (rho_d p)`.
    pub phosphorus_limited_depth: Option<Estimate<OfLength>>,
    /// The depth that brings 170 kg of total N to the hectare (91/676/EEC), on open ground: a yardstick to compare with.
    pub nitrate_limit_depth: Option<Estimate<OfLength>>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Which place, how much, and how much the layer settles.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Where.
    pub surface: Surface,
    /// How much.
    pub rate: Rate,
    /// The share of its depth that the layer loses by settling (0 unless stated).
    pub settling: Share,
    /// True if the ground is declared a nitrate vulnerable zone.
    pub nitrate_zone: bool,
}

/// Answers "how much castings does this place take, and what do they carry?"
///
/// Formulas, with `A` area, `rho` bulk density, `rho_d` dry bulk density, `n` total N per dry matter, `a` its available
/// share, `s` settling: depth `V = A d / (1-s)`; mass per area `V = A r / rho`; volume per area `V = A r`; available
/// nitrogen `V = A r / (rho_d n a)`; per row length, plant and pot `V = count x r`; share `V = mix x r`. Mass `V rho`,
/// nutrients `V rho_d n`.
///
/// # Errors
/// `rate_does_not_fit`; `impossible_value` where castings that tie up nitrogen should supply it; `too_large`; and what
/// [`Surface::extent`] and [`Castings::known`] refuse.
pub fn apply(order: &Order, known: Known<'_>) -> Result<Application, Refusal> {
    let extent = order.surface.extent()?;
    let castings = Castings::known(known).map_err(|e| e.at("assumptions"))?;
    let dose = dose(order, &extent)?;
    let carried = carry(&dose, &castings).map_err(|e| e.at("rate"))?;
    checked_volume(carried.volume.high()).map_err(|e| e.at("rate"))?;
    let settled = Estimate::exactly(Share::from_fraction(1.0 - order.settling.fraction()));
    let depth = extent.area.map(|area| {
        let volume: Estimate<OfVolume> = carried.volume * settled;
        volume / Estimate::exactly(area)
    });
    let (removal, assumed_removal): (Estimate<OfMassPerArea>, _) = known.estimate(Assumption::PhosphorusRemoval);
    let phosphorus_limited_depth = extent.area.map(|_| depth_that_brings(removal, castings.phosphorus, &castings));
    let nitrate_limit = Estimate::exactly(NITRATE_LIMIT);
    let nitrate_limit_depth = extent.area.map(|_| depth_that_brings(nitrate_limit, castings.nitrogen, &castings));
    let cautions = cautions(order, &extent, &castings, (depth, &carried));
    let mut assumed = castings.assumed;
    assumed.extend(assumed_removal.filter(|_| extent.area.is_some()));
    Ok(Application { extent, depth, carried, phosphorus_limited_depth, nitrate_limit_depth, cautions, assumed })
}

/// The depth of castings that brings so much of a nutrient: `wanted / (rho_d share)`.
fn depth_that_brings(
    wanted: Estimate<OfMassPerArea>,
    share: Estimate<OfShare>,
    castings: &Castings,
) -> Estimate<OfLength> {
    let one = Estimate::exactly(Area::from_square_metres(1.0));
    let dry: Estimate<OfMass> = (wanted * one) / share;
    let volume: Estimate<OfVolume> = dry / castings.dry_bulk_density;
    volume / one
}

/// The dose that the rate asks for on this extent.
fn dose(order: &Order, extent: &Extent) -> Result<Dose, Refusal> {
    let unfit = || {
        let kinds = fitting(extent);
        let detail = format!("a rate by {} does not fit this surface; {} would", order.rate.kind(), kinds.join(", "));
        Refusal::new(Reason::RateDoesNotFit, detail).allowed(kinds).at("rate")
    };
    let area = || extent.area.ok_or_else(unfit);
    let plants = || extent.plant_count().ok_or_else(unfit);
    Ok(match order.rate {
        Rate::Depth(depth) => Dose::Volume((area()? * depth) / Share::from_fraction(1.0 - order.settling.fraction())),
        Rate::MassPerArea(rate) => Dose::Mass(rate * area()?),
        Rate::VolumePerArea(rate) => Dose::Volume(rate * area()?),
        Rate::AvailableNitrogen(rate) => Dose::AvailableNitrogen(rate * area()?),
        Rate::VolumePerLength(rate) => Dose::Volume(rate * extent.row_length.ok_or_else(unfit)?),
        Rate::PerPlant(Portion::Volume(each)) => Dose::Volume(each.times(plants()?)),
        Rate::PerPlant(Portion::Mass(each)) => Dose::Mass(each.times(plants()?)),
        Rate::Share(share) => Dose::Volume(extent.mix.ok_or_else(unfit)? * share),
    })
}

/// Everything that follows from a dose. Each branch is written so that no assumption is counted twice.
fn carry(dose: &Dose, castings: &Castings) -> Result<Carried, Refusal> {
    let c = castings;
    let (volume, mass, dry, nitrogen, available): (Estimate<OfVolume>, Estimate<OfMass>, Estimate<OfMass>, _, _) =
        match dose {
            Dose::Volume(volume) => {
                let volume = Estimate::exactly(*volume);
                let dry = volume * c.dry_bulk_density;
                (volume, volume * c.bulk_density, dry, dry * c.nitrogen, dry * c.nitrogen * c.available)
            }
            Dose::Mass(mass) => {
                let mass = Estimate::exactly(*mass);
                let dry = mass * c.solids;
                (mass / c.bulk_density, mass, dry, dry * c.nitrogen, dry * c.nitrogen * c.available)
            }
            Dose::AvailableNitrogen(wanted) => {
                if c.available.likely().fraction() <= 0.0 {
                    let detail = "these castings have a ratio of carbon to nitrogen above 25 and supply no nitrogen; choose another rate";
                    return Err(Refusal::new(Reason::ImpossibleValue, detail));
                }
                let wanted = Estimate::exactly(*wanted);
                let nitrogen: Estimate<OfMass> = wanted / c.available;
                let dry = nitrogen / c.nitrogen;
                let volume = dry / c.dry_bulk_density;
                (volume, dry / c.solids, dry, nitrogen, wanted)
            }
        };
    let nutrients = Nutrients {
        nitrogen,
        available_nitrogen: available,
        phosphorus: dry * c.phosphorus,
        potassium: dry * c.potassium,
    };
    Ok(Carried { volume, mass, nutrients })
}

type Came<'a> = (Option<Estimate<OfLength>>, &'a Carried);

fn cautions(order: &Order, extent: &Extent, castings: &Castings, (depth, carried): Came<'_>) -> Vec<Rule> {
    let mut cautions = castings.cautions.clone();
    if depth.is_some_and(|d| d.likely().metres() > INCH.metres() * (1.0 + HAIR)) {
        cautions.push(Rule::ThickLayer);
    }
    let share = extent.mix.map(|mix| carried.volume.likely() / mix);
    if share.is_some_and(|share| share.fraction() > STRONG.fraction() * (1.0 + HAIR)) {
        cautions.push(Rule::StrongMix);
    }
    let per_area = extent.area.map(|area| carried.nutrients.nitrogen.high() / area);
    let over = |n: MassPerArea| n.base() > NITRATE_LIMIT.base() * (1.0 + HAIR);
    if order.nitrate_zone && per_area.is_some_and(over) {
        cautions.push(Rule::NitrateLimit);
    }
    cautions.sort_unstable();
    cautions
}
