//! The mix: everything summed. Ratios are quotients of sums, never means of ratios.

use super::bounds::{Weighed, greatest_mean, least_mean};
use super::estimate;
use super::line::Prepared;
use crate::garden::assumptions::{air_space, fullest};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Dimension, Estimate, Mass, Share, Volume};

/// A mix, as it leaves the barrow. mass = dry + water; dry matter, carbon, nitrogen and ash are those of the materials.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// All of it.
    pub mass: Estimate<OfMass>,
    /// Dry matter.
    pub dry: Estimate<OfMass>,
    /// Water: that of the materials, soak, rehydration and extra.
    pub water: Estimate<OfMass>,
    /// Carbon.
    pub carbon: Estimate<OfMass>,
    /// Nitrogen.
    pub nitrogen: Estimate<OfMass>,
    /// Ash.
    pub ash: Estimate<OfMass>,
    /// Water over mass.
    pub moisture: Estimate<OfShare>,
    /// Nitrogen over dry matter.
    pub nitrogen_share: Estimate<OfShare>,
    /// Carbon over nitrogen.
    pub carbon_to_nitrogen: Estimate<OfRatio>,
    /// `packing x` the summed volumes.
    pub volume: Estimate<OfVolume>,
    /// Mass over volume.
    pub bulk_density: Estimate<OfDensity>,
    /// Dry matter over volume.
    pub dry_bulk_density: Estimate<OfDensity>,
    /// Air over volume, at the likely values: `1 - rho_d/1500 - (rho - rho_d)/1000`.
    pub air_space: Share,
}

impl Mix {
    /// Sums the materials and the extra water. Bounds are outer bounds: each range counted once for each material.
    ///
    /// # Errors
    /// `impossible_value` if the mix is denser than its pores allow; `too_large`.
    pub fn of(parts: &[Prepared], extra: Mass, packing: Estimate<OfShare>) -> Result<Self, Refusal> {
        let exactly = Estimate::exactly(extra);
        let zero = Estimate::exactly(Mass::from_kilograms(0.0));
        let sum = |of: fn(&Prepared) -> Estimate<OfMass>| parts.iter().map(of).fold(zero, Estimate::plus);
        let mass = sum(|p| p.mass_mixed).plus(exactly);
        let (dry, water) = (sum(|p| p.dry), sum(|p| p.water).plus(exactly));
        let nothing = Estimate::exactly(Volume::from_litres(0.0));
        let volume: Estimate<OfVolume> = parts.iter().map(|p| p.volume).fold(nothing, Estimate::plus) * packing;
        let (most_mass, most_volume) = (Dimension::Mass.bounds().1, Dimension::Volume.bounds().1);
        if !(mass.high().kilograms() <= most_mass && volume.high().litres() <= most_volume) {
            return Err(Refusal::new(Reason::TooLarge, "this mix is larger than the service computes with"));
        }
        let (bulk_density, dry_bulk_density): (Estimate<OfDensity>, Estimate<OfDensity>) =
            (mass / volume, dry / volume);
        let bulk_density = bulk_density.at_most(fullest(dry_bulk_density.high()));
        let air = air_space(bulk_density.likely(), dry_bulk_density.likely());
        if air < 0.0 {
            return Err(too_dense(bulk_density.likely().base(), dry_bulk_density.likely().base()));
        }
        Ok(Self {
            mass,
            dry,
            water,
            carbon: sum(|p| p.carbon),
            nitrogen: sum(|p| p.nitrogen),
            ash: sum(|p| p.ash),
            moisture: moisture(parts, extra, (mass.likely(), water.likely())),
            nitrogen_share: nitrogen_share(parts),
            carbon_to_nitrogen: ratio(parts),
            volume,
            bulk_density,
            dry_bulk_density,
            air_space: Share::from_fraction(air),
        })
    }
}

fn too_dense(bulk: f64, dry: f64) -> Refusal {
    let detail = format!(
        "this mix would weigh {bulk:.0} kg/m3 with {dry:.0} kg/m3 of dry matter, more than its pores allow: some of the water would \
         run off. Ask for less moisture, rehydrate with less water, or add coarse dry material"
    );
    Refusal::new(Reason::ImpossibleValue, detail)
}

fn ends(estimate: Estimate<OfMass>) -> (f64, f64) {
    (estimate.low().base(), estimate.high().base())
}

fn moisture(parts: &[Prepared], extra: Mass, (mass, water): (Mass, Mass)) -> Estimate<OfShare> {
    let extra = (1.0, (extra.base(), extra.base()));
    let of = |value: fn(&Prepared) -> f64| -> Vec<Weighed> {
        parts.iter().map(|p| (value(p), ends(p.mass_mixed))).chain([extra]).collect()
    };
    let low = least_mean(&of(|p| p.moisture_mixed.low().base()));
    let high = greatest_mean(&of(|p| p.moisture_mixed.high().base()));
    estimate(low, water.base() / mass.base(), high)
}

fn nitrogen_share(parts: &[Prepared]) -> Estimate<OfShare> {
    let of = |value: fn(&Prepared) -> f64| -> Vec<Weighed> { parts.iter().map(|p| (value(p), ends(p.dry))).collect() };
    let likely = likely_sum(parts, |p| p.nitrogen) / likely_sum(parts, |p| p.dry);
    let low = least_mean(&of(|p| p.material.nitrogen().low().base()));
    estimate(low, likely, greatest_mean(&of(|p| p.material.nitrogen().high().base())))
}

/// Carbon over nitrogen: the least with all carbon at its low and all nitrogen at its high end, and the dry matter of each
/// material wherever that lowers it most.
fn ratio(parts: &[Prepared]) -> Estimate<OfRatio> {
    let of = |carbon: fn(&Prepared) -> f64, nitrogen: fn(&Prepared) -> f64| -> Vec<Weighed> {
        parts
            .iter()
            .map(|p| {
                let (n, (low, high)) = (nitrogen(p), ends(p.dry));
                (carbon(p) / n, (low * n, high * n))
            })
            .collect()
    };
    let low = least_mean(&of(|p| p.material.carbon().low().base(), |p| p.material.nitrogen().high().base()));
    let high = greatest_mean(&of(|p| p.material.carbon().high().base(), |p| p.material.nitrogen().low().base()));
    estimate(low, likely_sum(parts, |p| p.carbon) / likely_sum(parts, |p| p.nitrogen), high)
}

fn likely_sum(parts: &[Prepared], of: fn(&Prepared) -> Estimate<OfMass>) -> f64 {
    parts.iter().map(|p| of(p).likely().base()).sum()
}
