//! Air and water between the pieces.

use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Density;

/// Particle density of the dry matter, kg/m3: air space = 1 - rho_d/1500 - (rho - rho_d)/1000. Source: assumption: no published
/// figure found for castings.
pub const PARTICLE_DENSITY: f64 = 1_500.0;
/// Density of water, kg/m3. Source: 998.2 kg/m3 at 20 C (Tanaka et al., Metrologia 38, 2001), rounded; from memory.
pub const WATER_DENSITY: f64 = 1_000.0;
/// Below this share of air castings and feed are too wet to breathe. Source: common practice, no source.
pub const MIN_AIR: f64 = 0.20;

/// Refuses more water than the pores hold, and warns of too little air.
pub(super) fn wetness(bulk: Density, dry: Density) -> Result<Vec<Rule>, Refusal> {
    let air = air_space(bulk, dry);
    if air < 0.0 {
        return Err(more_water_than_pores(bulk, dry));
    }
    Ok(if air < MIN_AIR { vec![Rule::TooWet] } else { Vec::new() })
}

fn more_water_than_pores(bulk: Density, dry: Density) -> Refusal {
    let detail = format!(
        "castings of {} kg/m3 with {} kg/m3 of dry matter would hold more water than their pores can; weigh a bucket \
         again, or also give castings.dry_bulk_density or castings.moisture",
        bulk.base(),
        dry.base()
    );
    Refusal::new(Reason::ImpossibleValue, detail)
}

/// The share of air: `1 - rho_d/1500 - (rho - rho_d)/1000`.
#[must_use]
pub fn air_space(bulk: Density, dry: Density) -> f64 {
    1.0 - dry.base() / PARTICLE_DENSITY - (bulk.base() - dry.base()) / WATER_DENSITY
}

/// The bulk density at which the pores are full: the air space is 0 at `1000 + rho_d (1 - 1000/1500)`.
#[must_use]
pub fn fullest(dry: Density) -> Density {
    Density::from_kilograms_per_cubic_metre(WATER_DENSITY + dry.base() * (1.0 - WATER_DENSITY / PARTICLE_DENSITY))
}
