//! Which mix: the goals that can be met together, as near to the others as these allow, and what would mend it.

use super::Goals;
use super::goals_met::Wanted;
use super::mend::would_do;
use super::mix::{Blend, Choice, Interval, Within};
use super::reach::{Goal, OutOfReach, Remedy};
use super::ways::Ways;
use crate::garden::refusal::{Reason, Refusal};

/// How near to a goal counts as met, as a share of it, and how far past the edge of what is reachable the last programme may look.
/// Source: tolerance of computing.
const MET: f64 = 1e-9;
/// Of a goal out of reach, so much more distance is taken where it saves more than this share of the material. Source: how this
/// service works.
const NOT_WORTH: f64 = 0.01;

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
    /// The mix that meets the moisture but not the ratio.
    pub instead: Option<Choice>,
}

/// Chooses the mix: of the goals that are met together ([`Wanted::kept`]) as near as can be to the others, least mass last. Where a goal
/// is out of reach, a mix that is 1 % farther from it is taken if it saves more than 1 % of the material.
pub fn choose(blend: &Blend, goals: &Goals) -> Result<Found, Refusal> {
    let (wanted, ways) = (Wanted::of(goals), Ways::of(blend));
    let Some(kept) = wanted.kept(&ways) else { return full(wanted, &ways) };
    let to = |slack| Attempt::of((blend, &ways), (wanted, kept), slack);
    let exact = to(0.0)?;
    let mass = |of: &Attempt<'_>| blend.content(&of.choice.taken).mass();
    let worth = |other: &Attempt<'_>| {
        other.missed.len() <= exact.missed.len() && mass(other) * (1.0 + NOT_WORTH) < mass(&exact)
    };
    let less = if exact.missed.is_empty() { None } else { to(NOT_WORTH).ok().filter(worth) };
    let missed_by_nearest: Vec<OutOfReach> = exact.missed.iter().map(|missed| exact.out_of_reach(*missed)).collect();
    let nearest = exact.choice.clone();
    let (choice, out_of_reach) = match less.map(Attempt::measured) {
        None => (exact.choice, missed_by_nearest.clone()),
        Some(less) => {
            let out_of_reach = |missed: &Missed| {
                let nearest = missed_by_nearest.iter().find(|nearest| nearest.goal == missed.goal).cloned();
                let nearest = nearest.unwrap_or_else(|| less.out_of_reach(*missed));
                let is_nearest = missed.by <= nearest.by * (1.0 + MET);
                OutOfReach { nearest: missed.nearest, by: missed.by, is_nearest, ..nearest }
            };
            let missed = less.missed.iter().map(out_of_reach).collect();
            (less.choice, missed)
        }
    };
    let is_moist = |missed: &OutOfReach| missed.goal == Goal::Moisture && missed.alone;
    let instead = out_of_reach.iter().any(is_moist).then(|| without_ratio(wanted, &ways)).flatten();
    Ok(Found { choice, nearest, missed_by_nearest, out_of_reach, instead })
}

/// Where the pores of no mix hold its water, the airiest, which is refused when it is weighed.
fn full(wanted: Wanted, ways: &Ways) -> Result<Found, Refusal> {
    let moist = Within { moisture: wanted.moisture, ..Within::default() };
    let airiest = ways.airiest(moist).or_else(|| ways.airiest(Within::default())).ok_or_else(unsolved)?;
    let (choice, none) = (airiest.1, Vec::new);
    Ok(Found { nearest: choice.clone(), choice, missed_by_nearest: none(), out_of_reach: none(), instead: None })
}

/// The mix that meets the moisture, with the air where it can, and lets the ratio go.
fn without_ratio(wanted: Wanted, ways: &Ways) -> Option<Choice> {
    wanted.without_ratio().into_iter().find_map(|within| ways.least(within))
}

fn unsolved() -> Refusal {
    let detail = "no mix was found, because the amounts differ too much in size; check the amounts and their units";
    Refusal::new(Reason::ImpossibleValue, detail).at("materials")
}

/// A goal that is missed.
#[derive(Clone, Copy)]
struct Missed {
    goal: Goal,
    wanted: Interval,
    nearest: f64,
    by: f64,
    remedy: Remedy,
}

/// A mix on its way: what it keeps to so far, and what it misses.
struct Attempt<'a> {
    blend: &'a Blend,
    ways: &'a Ways,
    wanted: Wanted,
    /// The goals that are met.
    kept: Within,
    within: Within,
    missed: Vec<Missed>,
    choice: Choice,
    /// How much farther than the nearest it may lie from a goal out of reach, as a share of the distance.
    slack: f64,
}

impl<'a> Attempt<'a> {
    fn of((blend, ways): (&'a Blend, &'a Ways), (wanted, kept): (Wanted, Within), slack: f64) -> Result<Self, Refusal> {
        let choice = ways.least(kept).ok_or_else(unsolved)?;
        let mut attempt = Self { blend, ways, wanted, kept, within: kept, missed: Vec::new(), choice, slack };
        if let (Some(ratio), None) = (wanted.ratio, kept.ratio) {
            attempt.ratio(ratio)?;
        }
        if let (Some(moisture), None) = (wanted.moisture, kept.moisture) {
            attempt.moisture(moisture)?;
        }
        if kept.air < Some(wanted.air) {
            attempt.air(wanted.air)?;
        }
        Ok(attempt)
    }

    /// The nearest ratio, or the part of the wanted interval that is there after all, by rounding.
    fn ratio(&mut self, wanted: Interval) -> Result<(), Refusal> {
        let found = self.ways.nearest_ratio(self.within, wanted).ok_or_else(unsolved)?;
        let ((low, high), by, slack) = (found.within, found.by, self.slack * found.by);
        let (nearest, remedy, reached) = if wanted.1 < low {
            (low, Remedy::NitrogenRich, (low, low + slack))
        } else if wanted.0 > high {
            (high, Remedy::CarbonRich, (high - slack, high))
        } else {
            (low, Remedy::CarbonRich, (low.max(wanted.0), high.min(wanted.1)))
        };
        if by > MET * nearest {
            self.missed.push(Missed { goal: Goal::CarbonToNitrogen, wanted, nearest, by, remedy });
        }
        self.within.ratio = Some((reached.0 * (1.0 - MET), reached.1 * (1.0 + MET)));
        self.settle(found.choice);
        Ok(())
    }

    /// The driest mix.
    fn moisture(&mut self, wanted: f64) -> Result<(), Refusal> {
        let (driest, choice) = self.ways.driest(self.within).ok_or_else(unsolved)?;
        let by = driest - wanted;
        if by > MET * wanted {
            let (goal, remedy) = (Goal::Moisture, Remedy::Dry);
            self.missed.push(Missed { goal, wanted: (wanted, wanted), nearest: driest, by, remedy });
        }
        self.within.moisture = Some(driest * (1.0 + MET) + self.slack * by.max(0.0));
        self.settle(choice);
        Ok(())
    }

    /// The airiest mix.
    fn air(&mut self, wanted: f64) -> Result<(), Refusal> {
        let (airiest, choice) = self.ways.airiest(self.within).ok_or_else(unsolved)?;
        let by = wanted - airiest;
        if by > MET * wanted {
            let (goal, remedy) = (Goal::AirSpace, Remedy::Coarse);
            self.missed.push(Missed { goal, wanted: (wanted, wanted), nearest: airiest, by, remedy });
        }
        let reached = airiest.min(wanted) - MET - self.slack * by.max(0.0);
        self.within.air = self.kept.air.map(|open| reached.max(open));
        self.settle(choice);
        Ok(())
    }

    /// The least mass within what is kept to; the vertex that was found where rounding leaves nothing else.
    fn settle(&mut self, vertex: Choice) {
        let found = self.ways.least(self.within).unwrap_or(vertex);
        let is_too_wet = self.missed.iter().any(|missed| missed.goal == Goal::Moisture);
        self.choice = Choice { water: if is_too_wet { 0.0 } else { found.water }, ..found };
    }

    /// With the values and distances that the mix has.
    fn measured(mut self) -> Self {
        let all = self.blend.content(&self.choice.taken);
        let air = self.blend.air(&self.choice, self.blend.packing(&self.choice.taken));
        for missed in &mut self.missed {
            missed.nearest = match missed.goal {
                Goal::CarbonToNitrogen => all.carbon / all.nitrogen,
                Goal::Moisture => all.moisture(),
                Goal::AirSpace => air,
            };
            let (low, high) = missed.wanted;
            missed.by = (missed.nearest - high).max(low - missed.nearest);
        }
        self
    }

    /// With whether it could be met alone, and what would mend it while the rest is kept.
    fn out_of_reach(&self, Missed { goal, wanted, nearest, by, remedy }: Missed) -> OutOfReach {
        let (all, ways, kept) = (self.wanted, self.ways, self.kept);
        let has = (all.ratio.is_some(), all.moisture.is_some());
        let (alone, mended) = match goal {
            Goal::CarbonToNitrogen => (ways.allow(all.ratio_alone()), Within { ratio: all.ratio, ..kept }),
            Goal::Moisture => (has.0 && without_ratio(all, ways).is_some(), Within { moisture: all.moisture, ..kept }),
            Goal::AirSpace => ((has.0 || has.1) && ways.allow(all.air_alone()), Within { air: Some(all.air), ..kept }),
        };
        let would_do = would_do((self.blend, mended), remedy, wanted);
        OutOfReach { goal, wanted, nearest, by, is_nearest: true, alone, remedy, would_do }
    }
}
