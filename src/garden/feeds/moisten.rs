//! Water that brings a mix to a moisture.

use super::Order;
use super::line::Prepared;
use super::notes::of_water;
use super::sum::Mix;
use crate::garden::assumptions::{Assumption, Known, MIN_AIR, WATER_DENSITY, air_space};
use crate::garden::figures::Recorder;
use crate::garden::formulas::ExtraWater;
use crate::garden::units::quantity::{OfShare, OfVolume};
use crate::garden::units::{Density, End, Estimate, Mass, Measured};

/// Water that brings materials to a moisture, besides that which was added to each.
pub(super) fn moistened(g: Estimate<OfShare>, parts: &[Prepared], recorder: impl Recorder) -> Estimate<OfVolume> {
    recorder.figure(ExtraWater {
        D: likely(parts, |p| p.dry),
        g,
        m: likely(parts, |p| p.mass),
        w: likely(parts, |p| p.material.moisture()),
        W: likely(parts, |p| p.added_water),
        rho_w: of_water(recorder),
    })
}

/// Water that would bring a mix that is drier than usual to the usual moisture, where no moisture is asked for and its pores hold that much
/// beside air.
pub(super) fn to_usual(
    order: &Order,
    (parts, mix): (&[Prepared], &Mix),
    known: Known<'_>,
    recorder: impl Recorder,
) -> Option<Estimate<OfVolume>> {
    let (usual, _): (Estimate<OfShare>, _) = known.figure(Assumption::BedMoisture, recorder);
    let is_dry = order.goals.moisture.is_none() && mix.moisture.likely().base() < usual.low().base();
    let water = is_dry.then(|| moistened(usual.only(End::Likely), parts, recorder))?;
    // The water fills pores, so the volume stays.
    let volume = mix.volume.likely();
    let added: Mass = water.likely() * Density::from_kilograms_per_cubic_metre(WATER_DENSITY);
    let dry = mix.mass.likely().times(1.0 - mix.moisture.likely().fraction()) / volume;
    let wet = (mix.mass.likely() + added) / volume;
    (air_space(wet, dry) >= MIN_AIR).then_some(water)
}

/// The likely value of a figure of each material.
fn likely<D: Measured>(parts: &[Prepared], of: fn(&Prepared) -> Estimate<D>) -> Vec<Estimate<D>> {
    parts.iter().map(|part| of(part).only(End::Likely)).collect()
}
