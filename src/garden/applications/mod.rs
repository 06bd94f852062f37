//! Area times rate: castings, and the nutrients and organic matter they carry.

mod dry_matter;
mod noted;
mod nutrients;
mod places;
mod rates;
pub mod repeats;
mod salt;
pub mod typical;

pub use nutrients::{Nutrients, per_area};
pub use places::{Dressing, Yearly, in_a_year};
pub use rates::{Nutrient, Portion, Rate, RateKind, fitting, over_ground};
pub use salt::{SALT_LIMIT, Salt};

use crate::garden::areas::{Extent, Surface, checked_volume};
use crate::garden::assumptions::{Assumed, Assumption, Castings, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::{Recorder, Source};
use crate::garden::formulas::{
    AlongRows, AvailableInMass, AvailableInVolume, Depth, DepthThatBrings, ForEach, Layer, MassByNitrogen, MassOfTimes,
    MassOfVolume, MassPerArea as MassOverGround, MassPerPlant, NitrogenByAvailable, NutrientByAvailable,
    NutrientInMass, NutrientInVolume, OrganicByAvailable, OrganicInMass, OrganicInVolume, SettledDepth, SettledLayer,
    ShareInMix, ShareOfMix, VolumeByNitrogen, VolumeOfMass, VolumeOfTimes, VolumePerArea, VolumePerLength,
    VolumePerPlant,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfLength, OfMass, OfMassPerArea, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Estimate, MassPerArea, ROUNDING_TOLERANCE};

/// Manure nitrogen on land in a nitrate vulnerable zone: 170 kg/ha a year. Source: Council Directive 91/676/EEC.
pub const NITRATE_LIMIT: MassPerArea = MassPerArea::from_kilograms_per_square_metre(0.017);

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

impl Carried {
    /// The same so many times.
    #[must_use]
    pub fn times(&self, t: Estimate<OfRatio>, recorder: impl Recorder) -> Self {
        Self {
            volume: recorder.figure(VolumeOfTimes { t, v: self.volume }),
            mass: recorder.figure(MassOfTimes { t, u: self.mass }),
            nutrients: self.nutrients.times(t, recorder),
        }
    }
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
    /// The rates that a stated amount of castings makes, one of each kind that fits the place; none where a rate is stated.
    pub rates: Vec<Rate>,
    /// The depth that brings as much P as a year's crop carries away, on open ground: `removal / (rho_d p)`.
    pub phosphorus_limited_depth: Option<Estimate<OfLength>>,
    /// The depth that brings 170 kg of total N to the hectare (91/676/EEC), on open ground: a yardstick to compare with.
    pub nitrate_limit_depth: Option<Estimate<OfLength>>,
    /// What the castings do to the salts of a mix, where they go into one.
    pub salt: Option<Salt>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
    /// What of it the volume and the cautions depend on, whatever the castings carry.
    pub assumed_for_volume: Vec<Assumed>,
    /// What of it the weight of a volume depends on.
    pub assumed_for_weight: Vec<Assumed>,
}

/// Which place, how much, and how much the layer settles.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Where.
    pub surface: Surface,
    /// How much.
    pub rate: Rate,
    /// The share of its depth that the layer loses by settling (0 unless stated).
    pub settling: Estimate<OfShare>,
    /// True if the ground is declared a nitrate vulnerable zone.
    pub nitrate_zone: bool,
}

/// Answers "how much castings does this place take, and what do they carry?"
///
/// Formulas, with `A` area, `rho` bulk density, `rho_d` dry bulk density, `n` total N per dry matter, `a` its available
/// share, `s` settling: depth `V = A d / (1-s)`; mass per area `V = A r / rho`; volume per area `V = A r`; available
/// nitrogen `V = A r / (rho_d n a)`; phosphorus or potassium, a share `p` of the dry matter, `V = A r / (rho_d p)`; dry mass per
/// area `V = A r / rho_d`; per row length, plant and pot `V = count x r`; share `V = mix x r`. Mass `V rho`,
/// nutrients `V rho_d n`, organic matter `V rho_d (1 - ash)`.
///
/// # Errors
/// `rate_does_not_fit`; `impossible_value` where castings that tie up nitrogen should supply it, or where more castings than the mix
/// holds should go into it; `too_large`; and what
/// [`Surface::extent`] and [`Castings::known`] refuse.
pub fn apply(order: &Order, known: Known<'_>, recorder: impl Recorder) -> Result<Application, Refusal> {
    let extent = order.surface.extent(recorder)?;
    let castings = Castings::known(known, recorder).map_err(|e| e.at("assumptions"))?;
    let on = Applied { order, extent: &extent, castings: &castings, recorder };
    let carried = on.carried()?;
    checked_volume(carried.volume.high()).map_err(|e| e.at(order.rate.field()))?;
    let takes = carried.volume.likely().litres();
    if extent.mix.is_some_and(|mix| takes > mix.likely().litres() * (1.0 + ROUNDING_TOLERANCE)) {
        let detail = "this is more than the pots or the fill hold; give a smaller amount";
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at(order.rate.field()));
    }
    let depth = extent.area.map(|area| on.depth(carried.volume, area));
    let rates = if matches!(order.rate, Rate::Total(_)) { on.made((depth, carried.volume))? } else { Vec::new() };
    let (removal, assumed_removal) = known.figure(Assumption::PhosphorusRemoval, recorder);
    let phosphorus_limited_depth = extent.area.map(|_| on.depth_that_brings(removal, castings.phosphorus));
    let nitrate_limit = nitrate_limit(recorder);
    let nitrate_limit_depth = extent.area.map(|_| on.depth_that_brings(nitrate_limit, castings.nitrogen));
    let all_rates = || rates.iter().copied().chain([order.rate]);
    let salt = extent.mix.map(|mix| Salt::of_mix((mix, carried.volume), all_rates(), known, recorder));
    let cautions = noted::cautions(order, &extent, &castings, (depth, &carried, salt));
    let (mut assumed_for_volume, assumed_for_weight) = noted::assumed_for((order, &extent), (&castings, &cautions));
    let of_salt = salt.and_then(|salt| salt.castings);
    assumed_for_volume.extend(of_salt);
    let mut assumed = castings.assumed;
    assumed.extend(assumed_removal.filter(|_| extent.area.is_some()));
    assumed.extend(of_salt);
    Ok(Application {
        extent,
        depth,
        carried,
        rates,
        phosphorus_limited_depth,
        nitrate_limit_depth,
        salt,
        cautions,
        assumed,
        assumed_for_volume,
        assumed_for_weight,
    })
}

/// The yardstick of 170 kg/ha.
fn nitrate_limit(recorder: impl Recorder) -> Estimate<OfMassPerArea> {
    recorder.source(Source::Constant("NITRATE_LIMIT"), NITRATE_LIMIT.into())
}

/// An order, what its surface came to, and the castings it takes. Each formula starts from what fixes the figure, so that no
/// assumption is counted twice.
struct Applied<'a, R> {
    order: &'a Order,
    extent: &'a Extent,
    castings: &'a Castings,
    recorder: R,
}

#[expect(non_snake_case, reason = "the symbols of the formulas")]
impl<R: Recorder> Applied<'_, R> {
    /// Everything that follows from the rate.
    fn carried(&self) -> Result<Carried, Refusal> {
        let (recorder, rho) = (self.recorder, self.castings.bulk_density);
        match self.order.rate {
            Rate::AvailableNitrogen(rate) => self.by_nitrogen(self.area()?, rate),
            Rate::Nutrient(nutrient, rate) => Ok(self.by_nutrient(self.area()?, (nutrient, rate))),
            Rate::DryMassPerArea(r) => Ok(self.by_dry_mass(recorder.figure(MassOverGround { A: self.area()?, r }))),
            Rate::Total(Portion::DryMass(D)) => Ok(self.by_dry_mass(D)),
            Rate::MassPerArea(r) => Ok(self.by_mass(recorder.figure(MassOverGround { A: self.area()?, r }))),
            Rate::PerPlant(Portion::Mass(u)) => {
                Ok(self.by_mass(recorder.figure(MassPerPlant { k: self.plants()?, u })))
            }
            Rate::Total(Portion::Mass(m)) => Ok(self.by_mass(m)),
            rate => {
                let volume = self.volume(rate)?;
                Ok(self.by_volume(volume, recorder.figure(MassOfVolume { V: volume, rho })))
            }
        }
    }

    fn unfit(&self) -> Refusal {
        let (kind, kinds) = (self.order.rate.kind(), fitting(self.extent));
        let named = kinds.iter().map(|kind| format!("\"{kind}\"")).collect::<Vec<_>>().join(", ");
        let detail = format!("this surface does not take a rate of kind \"{kind}\"; use one of these kinds: {named}");
        Refusal::new(Reason::RateDoesNotFit, detail).allowed(kinds).at("rate")
    }

    fn area(&self) -> Result<Estimate<OfArea>, Refusal> {
        self.extent.area.ok_or_else(|| self.unfit())
    }

    fn plants(&self) -> Result<Estimate<OfRatio>, Refusal> {
        self.extent.plants.ok_or_else(|| self.unfit())
    }

    /// The volume that a rate by volume asks for.
    fn volume(&self, rate: Rate) -> Result<Estimate<OfVolume>, Refusal> {
        let recorder = self.recorder;
        Ok(match rate {
            Rate::Depth(d) if self.settles() => {
                recorder.figure(SettledLayer { A: self.area()?, d, s: self.order.settling })
            }
            Rate::Depth(d) => recorder.figure(Layer { A: self.area()?, d }),
            Rate::VolumePerArea(r) => recorder.figure(VolumePerArea { A: self.area()?, r }),
            Rate::VolumePerLength(r) => {
                let R = self.extent.row_length.ok_or_else(|| self.unfit())?;
                recorder.figure(VolumePerLength { R, r })
            }
            Rate::PerPlant(Portion::Volume(v)) => recorder.figure(VolumePerPlant { k: self.plants()?, v }),
            Rate::Share(p) => recorder.figure(ShareOfMix { M: self.extent.mix.ok_or_else(|| self.unfit())?, p }),
            Rate::Total(Portion::Volume(volume)) => volume,
            _ => return Err(self.unfit()),
        })
    }

    /// The rates that a volume of castings makes, once its depth is known.
    fn made(&self, (depth, V): (Option<Estimate<OfLength>>, Estimate<OfVolume>)) -> Result<Vec<Rate>, Refusal> {
        let (recorder, extent) = (self.recorder, self.extent);
        let depth = depth.map(Rate::Depth);
        let along = extent.row_length.map(|R| Rate::VolumePerLength(recorder.figure(AlongRows { V, R })));
        let each = extent.plants.map(|k| Rate::PerPlant(Portion::Volume(recorder.figure(ForEach { V, k }))));
        let share = extent.mix.map(|M| Rate::Share(recorder.figure(ShareInMix { V, M })));
        Ok([depth, along, each, share].into_iter().flatten().collect())
    }

    fn by_volume(&self, V: Estimate<OfVolume>, mass: Estimate<OfMass>) -> Carried {
        let (c, recorder) = (self.castings, self.recorder);
        let rho_d = c.dry_bulk_density;
        let content = |n| recorder.figure(NutrientInVolume { V, rho_d, n });
        let available = recorder.figure(AvailableInVolume { V, rho_d, n: c.nitrogen, a: c.available });
        let organic = recorder.figure(OrganicInVolume { V, rho_d, x: c.ash });
        let pure = [content(c.nitrogen), available, content(c.phosphorus), content(c.potassium), organic];
        Carried { volume: V, mass, nutrients: Nutrients::of(pure, recorder) }
    }

    fn by_mass(&self, m: Estimate<OfMass>) -> Carried {
        let (c, recorder) = (self.castings, self.recorder);
        let ends = c.ends();
        let content = |n: Estimate<OfShare>| {
            recorder.figure_at(ends.map(|(end, rho, rho_d)| NutrientInMass { m, rho_d, n: n.only(end), rho }))
        };
        let available = recorder.figure_at(ends.map(|(end, rho, rho_d)| {
            let (n, a) = (c.nitrogen.only(end), c.available.only(end));
            AvailableInMass { m, rho_d, n, a, rho }
        }));
        let organic = recorder.figure_at(ends.map(|(end, rho, rho_d)| {
            // Ash is low where organic matter is high.
            let x = c.ash.only(end.other());
            OrganicInMass { m, rho_d, x, rho }
        }));
        let pure = [content(c.nitrogen), available, content(c.phosphorus), content(c.potassium), organic];
        let volume = recorder.figure(VolumeOfMass { m, rho: c.bulk_density });
        Carried { volume, mass: m, nutrients: Nutrients::of(pure, recorder) }
    }

    fn by_nitrogen(&self, A: Estimate<OfArea>, r: Estimate<OfMassPerArea>) -> Result<Carried, Refusal> {
        let (c, recorder) = (self.castings, self.recorder);
        let (rho_d, n, a) = (c.dry_bulk_density, c.nitrogen, c.available);
        if a.likely().fraction() <= 0.0 {
            let detail = "these castings have a carbon to nitrogen ratio above 25 and supply no nitrogen; use another \
                          kind of rate, for example depth";
            return Err(Refusal::new(Reason::ImpossibleValue, detail).at("rate"));
        }
        let content = |p| recorder.figure(NutrientByAvailable { A, r, p, n, a });
        let nitrogen = recorder.figure(NitrogenByAvailable { A, r, a });
        let asked = recorder.figure(MassOverGround { A, r });
        let organic = recorder.figure(OrganicByAvailable { A, r, x: c.ash, n, a });
        let pure = [nitrogen, asked, content(c.phosphorus), content(c.potassium), organic];
        // The mass is low where the solids are high.
        let [low, likely, high] = c.ends();
        let mass = recorder.figure_at([high, likely, low].map(|(end, rho, rho_d)| {
            let (n, a) = (n.only(end), a.only(end));
            MassByNitrogen { A, r, rho, rho_d, n, a }
        }));
        let volume = recorder.figure(VolumeByNitrogen { A, r, rho_d, n, a });
        Ok(Carried { volume, mass, nutrients: Nutrients::of(pure, recorder) })
    }

    fn settles(&self) -> bool {
        self.order.settling.likely().fraction() > 0.0
    }

    fn depth(&self, V: Estimate<OfVolume>, A: Estimate<OfArea>) -> Estimate<OfLength> {
        if self.settles() {
            return self.recorder.figure(SettledDepth { V, A, s: self.order.settling });
        }
        self.recorder.figure(Depth { V, A })
    }

    /// The depth of castings that brings so much of a nutrient.
    fn depth_that_brings(&self, u: Estimate<OfMassPerArea>, n: Estimate<OfShare>) -> Estimate<OfLength> {
        self.recorder.figure(DepthThatBrings { u, rho_d: self.castings.dry_bulk_density, n })
    }
}
