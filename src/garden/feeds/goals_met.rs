//! Which goals a mix meets where not all can be met together.
//!
//! As few as possible are missed; in a tie the ratio is kept before the moisture, and the moisture before the air. The pores hold
//! the water in any case: a moisture may be missed because all is too wet, never because a ratio leaves no room for the water. What is
//! missed is approached among the mixes that meet the rest ([`super::choose`]).

use super::Goals;
use super::mix::{Interval, Within};
use super::sum::FULL;
use super::ways::Ways;
use crate::garden::assumptions::MIN_AIR;
use crate::garden::units::Estimate;

/// The least air of any mix: twice what counts as none, so that rounding does not fill the pores. Source: tolerance of computing.
const OPEN: f64 = 2.0 * FULL;
/// How near to a moisture the driest mix may be and count as too wet. Source: tolerance of computing.
const EDGE: f64 = 1e-9;
/// Ratio, moisture, air: which are met, the best first. Source: how this service works.
const BEST_FIRST: [[bool; 3]; 8] = [
    [true, true, true],
    [true, true, false],
    [true, false, true],
    [false, true, true],
    [true, false, false],
    [false, true, false],
    [false, false, true],
    [false, false, false],
];

/// The goals as numbers.
#[derive(Clone, Copy)]
pub struct Wanted {
    /// Carbon over nitrogen.
    pub ratio: Option<Interval>,
    /// Water over mass.
    pub moisture: Option<f64>,
    /// Air over volume.
    pub air: f64,
}

impl Wanted {
    /// The likely values of the goals.
    pub fn of(goals: &Goals) -> Self {
        Self {
            ratio: goals.carbon_to_nitrogen.map(|(low, high)| (low.number(), high.number())),
            moisture: goals.moisture.map(Estimate::fraction),
            air: goals.air_space.map_or(MIN_AIR, Estimate::fraction).max(OPEN),
        }
    }

    /// The ratio alone, in any mix whose pores hold its water.
    pub fn ratio_alone(self) -> Within {
        Within { ratio: self.ratio, ..open() }
    }

    /// The moisture alone, or the moisture and the air.
    pub fn without_ratio(self) -> [Within; 2] {
        let moist = Within { moisture: self.moisture, ..open() };
        [Within { air: Some(self.air), ..moist }, moist]
    }

    /// The air alone.
    pub fn air_alone(self) -> Within {
        Within { air: Some(self.air), ..open() }
    }

    /// What a mix keeps to: the best of the goals that can be met together; `None` if the pores of no mix hold its water.
    pub fn kept(self, ways: &Ways) -> Option<Within> {
        BEST_FIRST.iter().filter_map(|met| self.these(*met)).find(|within| {
            let is_too_wet =
                |wanted: f64| ways.driest(*within).is_some_and(|(driest, _)| driest > wanted * (1.0 - EDGE));
            ways.allow(*within) && (within.moisture.is_some() || self.moisture.is_none_or(is_too_wet))
        })
    }

    /// These of the goals; `None` where one of them is not there.
    fn these(self, [ratio, moisture, air]: [bool; 3]) -> Option<Within> {
        let is_there = (!ratio || self.ratio.is_some()) && (!moisture || self.moisture.is_some());
        is_there.then_some(Within {
            ratio: self.ratio.filter(|_| ratio),
            moisture: self.moisture.filter(|_| moisture),
            air: Some(if air { self.air } else { OPEN }),
        })
    }
}

/// Any mix whose pores hold its water.
fn open() -> Within {
    Within { air: Some(OPEN), ..Within::default() }
}
