//! Which mix: the goals in their order, the nearest where one is out of reach, and what would mend it.

use super::materials::{self, Family, Feedstock};
use super::mix::{Blend, Choice, Interval, Within, widened};
use super::reach::{Goal, OutOfReach, Remedy};
use super::{Goals, Size};
use crate::garden::assumptions::LEAST_AIR;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Estimate;

/// How near to a goal counts as met, as a share of it. Source: tolerance of computing.
const MET: f64 = 1e-9;
/// How many materials are named that would mend a mix. Source: how this service works.
const NAMED: usize = 3;
/// Of a goal out of reach, so much more distance is taken where it saves more than this share of the material. Source: how this
/// service works.
const NOT_WORTH: f64 = 0.01;
/// So many times the fixed mass of a material is enough to see whether it would mend a mix. Source: how this service works.
const MUCH: f64 = 10.0;

/// What was chosen.
pub struct Found {
    /// The mix.
    pub choice: Choice,
    /// The mix that goes as near to the goals as can be, whatever that takes; the same where all are met.
    pub nearest: Choice,
    /// What that one misses.
    pub missed_by_nearest: Vec<OutOfReach>,
    /// Goals out of reach.
    pub out_of_reach: Vec<OutOfReach>,
    /// The mix that meets the moisture alone.
    pub instead: Option<Choice>,
}

/// Chooses the mix: ratio first, moisture next, then the air, least mass last. Where a goal is out of reach, a mix that is 1 % farther
/// from it is taken if it saves more than 1 % of the material.
pub fn choose(blend: &Blend, goals: &Goals) -> Result<Found, Refusal> {
    let exact = Attempt::of(blend, goals, 0.0)?;
    let (nearest, missed_by_nearest) = (exact.choice.clone(), exact.missed.clone());
    let mass = |of: &Attempt<'_>| blend.content(&of.choice.taken).mass();
    let worth = |other: &Attempt<'_>| {
        other.missed.len() <= exact.missed.len() && mass(other) * (1.0 + NOT_WORTH) < mass(&exact)
    };
    let less = if exact.missed.is_empty() { None } else { Attempt::of(blend, goals, NOT_WORTH).ok().filter(worth) };
    let chosen = less.map_or(exact, Attempt::measured);
    let Attempt { choice, missed, instead, .. } = chosen;
    Ok(Found { choice, nearest, missed_by_nearest, out_of_reach: missed, instead })
}

fn unsolved() -> Refusal {
    let detail = "no mix was found, because the amounts differ too much in size; check the amounts and their units";
    Refusal::new(Reason::ImpossibleValue, detail).at("materials")
}

/// A mix on its way: what it keeps to so far, and what it misses.
struct Attempt<'a> {
    blend: &'a Blend,
    within: Within,
    missed: Vec<OutOfReach>,
    choice: Choice,
    instead: Option<Choice>,
    /// How much farther than the nearest it may lie from a goal out of reach, as a share of the distance.
    slack: f64,
}

impl<'a> Attempt<'a> {
    fn of(blend: &'a Blend, goals: &Goals, slack: f64) -> Result<Self, Refusal> {
        let choice = Choice { taken: vec![0.0; blend.free.len()], water: 0.0 };
        let mut attempt = Self { blend, within: Within::default(), missed: Vec::new(), choice, instead: None, slack };
        if let Some((low, high)) = goals.carbon_to_nitrogen {
            attempt.ratio((low.number(), high.number()))?;
        }
        attempt.moisture(goals.moisture.map(Estimate::fraction))?;
        attempt.air(goals.air_space.map_or(LEAST_AIR, Estimate::fraction), goals);
        Ok(attempt)
    }

    /// The part of the wanted interval that is within reach, or the nearest ratio that is.
    fn ratio(&mut self, wanted: Interval) -> Result<(), Refusal> {
        let (low, high) = self.blend.ratios().ok_or_else(unsolved)?;
        let (nearest, by, remedy) = if wanted.1 < low {
            (low, low - wanted.1, Remedy::NitrogenRich)
        } else if wanted.0 > high {
            (high, wanted.0 - high, Remedy::CarbonRich)
        } else {
            self.within.ratio = Some(wanted);
            return Ok(());
        };
        if by > MET * nearest {
            let (goal, would_do) = (Goal::CarbonToNitrogen, would_shift(remedy, wanted));
            self.missed.push(OutOfReach { goal, wanted, nearest, by, alone: false, remedy, would_do });
        }
        let slack = self.slack * by;
        let reached = if remedy == Remedy::NitrogenRich { (low, low + slack) } else { (high - slack, high) };
        self.within.ratio = Some(widened(reached));
        Ok(())
    }

    /// The moisture, by materials and extra water, or the driest mix.
    fn moisture(&mut self, wanted: Option<f64>) -> Result<(), Refusal> {
        let ratio = self.within.ratio;
        let (driest, vertex) = self.blend.driest(ratio).ok_or_else(unsolved)?;
        self.within.moisture = wanted;
        let Some(goal) = wanted.filter(|goal| driest > goal * (1.0 + MET)) else {
            self.choice = self.blend.least(self.within).unwrap_or(vertex);
            return Ok(());
        };
        self.instead = ratio.and_then(|_| self.blend.least(Within { moisture: Some(goal), ..Within::default() }));
        self.missed.push(OutOfReach {
            goal: Goal::Moisture,
            wanted: (goal, goal),
            nearest: driest,
            by: driest - goal,
            alone: self.instead.is_some(),
            remedy: Remedy::Dry,
            would_do: would_dry(self.blend, ratio, goal),
        });
        self.within.moisture = Some(driest * (1.0 + MET) + self.slack * (driest - goal));
        let found = self.blend.least(self.within).unwrap_or(vertex);
        self.choice = Choice { water: 0.0, ..found };
        Ok(())
    }

    /// The air, at the ratio and moisture that were reached, or the airiest mix. A mix of one size keeps its volume, so that is tried too.
    fn air(&mut self, goal: f64, goals: &Goals) {
        let air = self.blend.air(&self.choice, self.blend.packing(&self.choice.taken));
        if air >= goal * (1.0 - MET) {
            return;
        }
        let ways: Vec<Blend> = [Some(self.blend.clone()), self.blend.of_one_size()].into_iter().flatten().collect();
        let mass = |choice: &Choice| self.blend.content(&choice.taken).mass();
        let least = |within| -> Option<Choice> {
            let found = ways.iter().filter_map(|way| way.least(within));
            found.min_by(|one, other| mass(one).total_cmp(&mass(other)))
        };
        let within = Within { air: Some(goal), ..self.within };
        if let Some(choice) = least(within) {
            self.choice = choice;
            return;
        }
        let found = ways.iter().filter_map(|way| way.airiest(self.within));
        let (nearest, vertex) =
            found.max_by(|(one, _), (other, _)| one.total_cmp(other)).unwrap_or((air, self.choice.clone()));
        let alone = least(Within { air: Some(goal), ..Within::default() });
        self.missed.push(OutOfReach {
            goal: Goal::AirSpace,
            wanted: (goal, goal),
            nearest,
            by: goal - nearest,
            alone: alone.is_some() && (goals.carbon_to_nitrogen.is_some() || goals.moisture.is_some()),
            remedy: Remedy::Coarse,
            would_do: would_loosen(self.blend, within),
        });
        let reached = nearest - MET - self.slack * (goal - nearest);
        let found = least(Within { air: Some(reached), ..self.within }).unwrap_or(vertex);
        let is_missed = self.missed.iter().any(|missed| missed.goal == Goal::Moisture);
        self.choice = Choice { water: if is_missed { 0.0 } else { found.water }, ..found };
    }

    /// With the values and distances that the mix has.
    fn measured(mut self) -> Self {
        let all = self.blend.content(&self.choice.taken);
        let air = self.blend.air(&self.choice, self.blend.packing(&self.choice.taken));
        for missed in &mut self.missed {
            missed.nearest = match missed.goal {
                Goal::CarbonToNitrogen => all.carbon / all.nitrogen,
                Goal::Moisture => all.water / all.mass(),
                Goal::AirSpace => air,
            };
            let (low, high) = missed.wanted;
            missed.by = (missed.nearest - high).max(low - missed.nearest);
        }
        self
    }
}

/// Materials on the other side of the goal: enough of one brings any mix to it.
fn would_shift(remedy: Remedy, (low, high): Interval) -> Vec<&'static Feedstock> {
    let fits = |f: &&'static Feedstock| {
        let ratio = f.carbon_to_nitrogen();
        if remedy == Remedy::CarbonRich {
            ratio > low && f.family.is_brown()
        } else {
            ratio < high && !f.family.is_brown()
        }
    };
    materials::ALL.iter().filter(fits).take(NAMED).collect()
}

/// The mix with as much of a material as there is of the rest ten times over.
fn with_much(blend: &Blend, row: &Feedstock) -> Blend {
    let mut more = blend.clone();
    more.free.push((row.content(), MUCH * blend.base.mass()));
    more.pieces.free.push(row.size);
    more
}

/// Dry materials that make the moisture reachable at the ratio.
fn would_dry(blend: &Blend, ratio: Option<Interval>, goal: f64) -> Vec<&'static Feedstock> {
    let mends = |f: &&'static Feedstock| with_much(blend, f).driest(ratio).is_some_and(|(driest, _)| driest <= goal);
    let dry = |f: &&'static Feedstock| f.moisture.share() < goal && f.family != Family::Wood && !f.family.is_manure();
    materials::ALL.iter().filter(dry).filter(mends).take(NAMED).collect()
}

/// Dry materials in coarse pieces that make the air reachable with all else that is kept to.
fn would_loosen(blend: &Blend, within: Within) -> Vec<&'static Feedstock> {
    let mends = |f: &&'static Feedstock| with_much(blend, f).least(within).is_some();
    let coarse = |f: &&'static Feedstock| f.size == Size::Coarse && f.family.is_brown() && f.family != Family::Wood;
    materials::ALL.iter().filter(coarse).filter(mends).take(NAMED).collect()
}
