//! The mix: everything summed. Ratios are quotients of sums, never means of ratios.

use super::bounds::{Weighed, greatest_mean, least_mean};
use super::line::Prepared;
use super::notes::{of_particles, of_water};
use crate::garden::assumptions::fullest;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    AirSpace, MixDensity, MixMass, MixNitrogen, MixRatio, MixVolume, Moisture, PartOfMix, TotalMass, TotalVolume,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Dimension, End, Estimate, Mass, Measured};

/// Pores with less air than this, as a share of the volume, are full. Source: tolerance of computing.
pub const FULL: f64 = 1e-6;

/// A mix, as it leaves the barrow. Dry matter, carbon, nitrogen and ash are those of the materials; the rest of the mass is water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// All of it, with the water of soak, rehydration and mixing.
    pub mass: Estimate<OfMass>,
    /// Dry matter.
    pub dry: Estimate<OfMass>,
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
    /// Less than the summed volumes where pieces of different size are mixed: fines fill voids.
    pub volume: Estimate<OfVolume>,
    /// Mass over volume.
    pub bulk_density: Estimate<OfDensity>,
    /// Dry matter over volume.
    pub dry_bulk_density: Estimate<OfDensity>,
    /// Air over volume, at the likely values.
    pub air_space: Estimate<OfShare>,
}

impl Mix {
    /// Sums the materials and the extra water, packed as [`sizes_differ`] says. Bounds are outer bounds: each range counted once for each material.
    ///
    /// # Errors
    /// `impossible_value` if the mix is denser than its pores allow; `too_large`.
    pub fn of(
        parts: &[Prepared],
        extra: Estimate<OfVolume>,
        packing: Option<Estimate<OfShare>>,
        recorder: impl Recorder,
    ) -> Result<Self, Refusal> {
        let added: Vec<_> = each(parts, |p| p.added_water);
        let rho_w = of_water(recorder);
        let mass = recorder.figure(MixMass { m: each(parts, |p| p.mass), W: added, E: extra, rho_w });
        let v = each(parts, |p| p.volume_mixed);
        let volume = match packing {
            Some(f) => recorder.figure(MixVolume { v, f }),
            None => recorder.figure(TotalVolume { v }),
        };
        check_size(mass, volume)?;
        let dry = recorder.figure(TotalMass { u: each(parts, |p| p.dry) });
        let bulk_density = recorder.figure(MixDensity { M: mass, V: volume });
        let dry_bulk_density = recorder.figure(MixDensity { M: dry, V: volume });
        let part = |of: fn(&Prepared) -> Estimate<OfShare>| {
            recorder.figure(PartOfMix { D: each(parts, |p| p.dry), y: each(parts, of) })
        };
        let air_space = air_space((dry, mass, volume), rho_w, recorder);
        if air_space.fraction() <= FULL {
            return Err(too_dense(bulk_density.likely().base(), dry_bulk_density.likely().base()));
        }
        Ok(Self {
            mass,
            dry,
            carbon: part(|p| p.material.carbon()),
            nitrogen: part(|p| p.material.nitrogen()),
            ash: part(|p| p.material.ash()),
            moisture: moisture(parts, extra, (dry, mass), recorder),
            nitrogen_share: share_of_dry(parts, |p| p.material.nitrogen(), recorder),
            carbon_to_nitrogen: ratio(parts, recorder),
            volume,
            bulk_density: bulk_density.at_most(fullest(dry_bulk_density.high())),
            dry_bulk_density,
            air_space,
        })
    }
}

/// Whether materials of different size are mixed, so that fines fill voids; what is not taken counts for nothing.
pub fn sizes_differ(parts: &[Prepared]) -> bool {
    let mut sizes = parts.iter().filter(|part| part.mass.kilograms() > 0.0).map(|part| part.size);
    let first = sizes.next();
    sizes.any(|size| Some(size) != first)
}

/// Refuses a mix beyond what quantities may be.
fn check_size(mass: Estimate<OfMass>, volume: Estimate<OfVolume>) -> Result<(), Refusal> {
    let (most_mass, most_volume) = (Dimension::Mass.bounds().1, Dimension::Volume.bounds().1);
    if mass.high().kilograms() <= most_mass && volume.high().litres() <= most_volume {
        return Ok(());
    }
    Err(Refusal::new(Reason::TooLarge, "this mix is too large to calculate; check the amounts and their units"))
}

/// A figure of each material.
pub fn each<D: Measured>(parts: &[Prepared], of: fn(&Prepared) -> Estimate<D>) -> Vec<Estimate<D>> {
    parts.iter().map(of).collect()
}

/// One end of a figure of each material.
fn ends<D: Measured>(parts: &[Prepared], of: fn(&Prepared) -> Estimate<D>, end: End) -> Vec<Estimate<D>> {
    parts.iter().map(|p| of(p).only(end)).collect()
}

fn air_space(
    (dry, mass, volume): (Estimate<OfMass>, Estimate<OfMass>, Estimate<OfVolume>),
    rho_w: Estimate<OfDensity>,
    recorder: impl Recorder,
) -> Estimate<OfShare> {
    let (likely, rho_p) = (End::Likely, of_particles(recorder));
    recorder.figure(AirSpace { D: dry.only(likely), V: volume.only(likely), M: mass.only(likely), rho_p, rho_w })
}

fn too_dense(bulk: f64, dry: f64) -> Refusal {
    let detail = format!(
        "this mix would weigh {bulk:.0} kg/m3 with {dry:.0} kg/m3 of dry matter: its pores cannot hold that much \
         water, and some would run off. Ask for less moisture, rehydrate with less water, or add coarse dry material"
    );
    Refusal::new(Reason::ImpossibleValue, detail)
}

/// The mass of a material when it is mixed: 1 L of water is 1 kg.
fn mixed(part: &Prepared, end: End) -> f64 {
    part.mass.end(end).base() + part.added_water.end(end).base()
}

/// What a row is put in at the least and at the greatest weighted mean: values at one end, each weight wherever that moves it most.
fn corners<R>(weighed: impl Fn(End) -> Vec<Weighed>, row: impl Fn(End, Vec<End>) -> R) -> [R; 2] {
    let (low, high) = (End::Low, End::High);
    [row(low, least_mean(&weighed(low))), row(high, greatest_mean(&weighed(high)))]
}

/// The bounds of a mass, which is a weight.
fn weight(dry: Estimate<OfMass>) -> (f64, f64) {
    (dry.low().base(), dry.high().base())
}

/// Dry matter of each material at these ends.
fn dry_at(parts: &[Prepared], weights: Vec<End>) -> Vec<Estimate<OfMass>> {
    parts.iter().zip(weights).map(|(p, weight)| p.dry.only(weight)).collect()
}

/// Water over mass. Dry matter and mass are tied: it is least with each material at its driest.
fn moisture(
    parts: &[Prepared],
    extra: Estimate<OfVolume>,
    (dry, mass): (Estimate<OfMass>, Estimate<OfMass>),
    recorder: impl Recorder,
) -> Estimate<OfShare> {
    let water = extra.litres();
    let weighed = |end: End| -> Vec<Weighed> {
        let value_and_weights =
            |p: &Prepared| (p.moisture_mixed.end(end).base(), (mixed(p, End::Low), mixed(p, End::High)));
        parts.iter().map(value_and_weights).chain([(1.0, (water, water))]).collect()
    };
    let [low, high] = corners(weighed, |end, weights| {
        let masses: Vec<f64> = parts.iter().zip(weights).map(|(p, weight)| mixed(p, weight)).collect();
        let solids = parts.iter().map(|p| 1.0 - p.moisture_mixed.end(end).base());
        let of_dry = masses.iter().zip(solids).map(|(mass, solids)| mass * solids).sum();
        let kilograms = |value| Estimate::from(Mass::from_kilograms(value));
        Moisture { D: kilograms(of_dry), m: kilograms(masses.iter().sum::<f64>() + water) }
    });
    recorder.figure_at([low, Moisture { D: dry, m: mass }, high])
}

/// A share of the dry matter, as that of nitrogen or ash: the least with all shares at their low ends.
pub(super) fn share_of_dry(
    parts: &[Prepared],
    of: fn(&Prepared) -> Estimate<OfShare>,
    recorder: impl Recorder,
) -> Estimate<OfShare> {
    let weighed = |end: End| parts.iter().map(|p| (of(p).end(end).base(), weight(p.dry))).collect();
    let at = |end, weights| MixNitrogen { D: dry_at(parts, weights), n: ends(parts, of, end) };
    let [low, high] = corners(weighed, at);
    recorder.figure_at([low, MixNitrogen { D: each(parts, |p| p.dry), n: each(parts, of) }, high])
}

/// Carbon over nitrogen: the least with all carbon at its low and all nitrogen at its high end.
fn ratio(parts: &[Prepared], recorder: impl Recorder) -> Estimate<OfRatio> {
    let (carbon, nitrogen) = (|p: &Prepared| p.material.carbon(), |p: &Prepared| p.material.nitrogen());
    let weighed = |end: End| {
        let value_and_weights = |p: &Prepared| {
            let (n, (low, high)) = (nitrogen(p).end(end.other()).base(), weight(p.dry));
            (carbon(p).end(end).base() / n, (low * n, high * n))
        };
        parts.iter().map(value_and_weights).collect()
    };
    let [low, high] = corners(weighed, |end, weights| MixRatio {
        D: dry_at(parts, weights),
        c: ends(parts, carbon, end),
        n: ends(parts, nitrogen, end.other()),
    });
    recorder.figure_at([
        low,
        MixRatio { D: each(parts, |p| p.dry), c: each(parts, carbon), n: each(parts, nitrogen) },
        high,
    ])
}
