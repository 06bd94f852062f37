//! Which materials of the table bring a goal within reach.

use super::Size;
use super::materials::{self, Family, Feedstock};
use super::mix::{Blend, Interval, Within};
use super::reach::Remedy;
use super::ways::Ways;

/// How many materials are named that would mend a mix. Source: how this service works.
const NAMED: usize = 3;
/// So many times the fixed mass of a material is enough to see whether it would mend a mix. Source: how this service works.
const MUCH: f64 = 10.0;

/// Materials of the kind that the goal asks for, with which a mix keeps to this.
pub fn would_do((blend, within): (&Blend, Within), remedy: Remedy, wanted: Interval) -> Vec<&'static Feedstock> {
    let mends = |row: &&'static Feedstock| Ways::of(&with_much(blend, row)).allow(within);
    let is_of_kind = |row: &&'static Feedstock| is_of_kind(row, remedy, wanted);
    materials::ALL.iter().filter(is_of_kind).filter(mends).take(NAMED).collect()
}

/// Materials on the other side of a ratio; dry ones; coarse dry ones.
fn is_of_kind(row: &Feedstock, remedy: Remedy, (low, high): Interval) -> bool {
    let ratio = row.carbon_to_nitrogen();
    match remedy {
        Remedy::CarbonRich => ratio > low && row.family.is_brown(),
        Remedy::NitrogenRich => ratio < high && !row.family.is_brown(),
        Remedy::Dry => row.moisture.share() < low && row.family != Family::Wood && !row.family.is_manure(),
        Remedy::Coarse => row.size == Size::Coarse && row.family.is_brown() && row.family != Family::Wood,
    }
}

/// The mix with as much of a material as there is of the rest ten times over.
fn with_much(blend: &Blend, row: &Feedstock) -> Blend {
    let mut more = blend.clone();
    more.free.push((row.content(), MUCH * blend.base.mass()));
    more.pieces.free.push(row.size);
    more
}
