//! Goals: what is within reach, what is not, by how much, and what would mend it.

use super::Goals;
use super::materials::{self, Family, Feedstock};
use super::mix::{Blend, Choice, Content, Interval, widened};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Estimate, Mass, Ratio, Share, Volume};

/// How near to a goal counts as met, as a share of it. Source: tolerance of computing.
const MET: f64 = 1e-9;
/// How many materials are named that would mend a mix. Source: how this service works.
const NAMED: usize = 3;

/// What was wanted of the mix.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    /// Carbon over nitrogen.
    CarbonToNitrogen,
    /// Water over the whole.
    Moisture,
}

impl Goal {
    /// Every goal.
    pub const ALL: &'static [Self] = &[Self::CarbonToNitrogen, Self::Moisture];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::CarbonToNitrogen => "carbon_to_nitrogen",
            Self::Moisture => "moisture",
        }
    }
}

/// What would bring a goal within reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remedy {
    /// More carbon for each nitrogen.
    CarbonRich,
    /// More nitrogen for each carbon.
    NitrogenRich,
    /// Less water, at the same ratio.
    Dry,
}

impl Remedy {
    /// Every remedy.
    pub const ALL: &'static [Self] = &[Self::CarbonRich, Self::NitrogenRich, Self::Dry];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::CarbonRich => "carbon_rich",
            Self::NitrogenRich => "nitrogen_rich",
            Self::Dry => "dry",
        }
    }

    /// In a sentence.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::CarbonRich => {
                "add a material rich in carbon, such as dry leaves, straw or cardboard, or less of what is rich in nitrogen"
            }
            Self::NitrogenRich => {
                "add a material rich in nitrogen, such as grass, scraps, coffee grounds or manure, or less of what is rich in carbon"
            }
            Self::Dry => {
                "too wet: add dry material, such as dry leaves with hay, soak less, or let wet material dry first"
            }
        }
    }
}

/// A goal that no mix of these materials meets.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfReach {
    /// Which.
    pub goal: Goal,
    /// Lowest and highest that was wanted: a ratio, or a share (0.6 is 60 %).
    pub wanted: Interval,
    /// The nearest that can be had; the plan's mix has it.
    pub nearest: f64,
    /// How far that is from what was wanted.
    pub by: f64,
    /// True if it could be met without the other goal: both cannot hold at once.
    pub alone: bool,
    /// What kind of material would bring it within reach.
    pub remedy: Remedy,
    /// Materials of the table that would, at their likely values.
    pub would_do: Vec<&'static Feedstock>,
}

impl OutOfReach {
    /// In a sentence: what was wanted, the nearest, by how much it is missed, and what would mend it.
    #[must_use]
    pub fn text(&self) -> String {
        let (low, high) = self.wanted;
        let percent = |share: f64| format!("{:.1} %", share * 100.0);
        let reported = match self.goal {
            Goal::CarbonToNitrogen if low == high => {
                format!(
                    "carbon to nitrogen of {low} is out of reach: the nearest is {:.1}, off by {:.1}",
                    self.nearest, self.by
                )
            }
            Goal::CarbonToNitrogen => format!(
                "carbon to nitrogen of {low} to {high} is out of reach: the nearest is {:.1}, off by {:.1}",
                self.nearest, self.by
            ),
            Goal::Moisture => format!(
                "moisture of {} is out of reach: the driest mix has {}, {:.1} points more",
                percent(low),
                percent(self.nearest),
                self.by * 100.0
            ),
        };
        let other = if self.alone { "; these amounts cannot meet both goals" } else { "" };
        let named = match (self.would_do.iter().map(|f| f.name).collect::<Vec<_>>().join("; "), self.goal) {
            (names, _) if !names.is_empty() => format!(" (from the table, for example: {names})"),
            (_, Goal::CarbonToNitrogen) => " (no material of the table is enough)".to_owned(),
            _ => String::new(),
        };
        format!("{reported}{other}; {}{named}", self.remedy.text())
    }
}

/// The mix that meets the moisture and lets the ratio go.
#[derive(Debug, Clone, PartialEq)]
pub struct Instead {
    /// Mass of each material, in the order given.
    pub masses: Vec<Mass>,
    /// Extra water.
    pub extra_water: Volume,
    /// Its ratio.
    pub carbon_to_nitrogen: Ratio,
    /// Its moisture.
    pub moisture: Share,
}

impl Instead {
    /// From each material (content, least, range beyond it) and what is taken.
    pub(super) fn of(lines: &[(Content, f64, Option<f64>)], choice: &Choice) -> Self {
        let mut taken = choice.taken.iter();
        let amount = |(_, least, beyond): &(Content, f64, Option<f64>)| {
            least + beyond.and_then(|_| taken.next().copied()).unwrap_or(0.0)
        };
        let masses: Vec<f64> = lines.iter().map(amount).collect();
        let all = lines.iter().zip(&masses).fold(Content::default(), |sum, ((c, _, _), m)| sum.plus(*c, *m));
        let water = all.water + choice.water;
        Self {
            masses: masses.into_iter().map(Mass::from_kilograms).collect(),
            extra_water: Volume::from_litres(choice.water),
            carbon_to_nitrogen: Ratio::from_number(all.carbon / all.nitrogen),
            moisture: Share::from_fraction(water / (all.dry + water)),
        }
    }
}

/// What was chosen.
pub struct Found {
    /// The mix.
    pub choice: Choice,
    /// Goals out of reach.
    pub out_of_reach: Vec<OutOfReach>,
    /// The mix that meets the moisture alone.
    pub instead: Option<Choice>,
}

/// Chooses the mix: ratio first, moisture next, least mass last.
pub fn choose(blend: &Blend, goals: &Goals) -> Result<Found, Refusal> {
    let mut out_of_reach = Vec::new();
    let wanted = goals.carbon_to_nitrogen.map(|(low, high)| (low.number(), high.number()));
    let ratio = match wanted {
        Some(wanted) => Some(nearest_ratio(blend, wanted, &mut out_of_reach)?),
        None => None,
    };
    let Some(goal) = goals.moisture.map(Estimate::fraction) else {
        let choice = match blend.least(ratio, None) {
            Some(choice) => choice,
            None => Choice { taken: blend.driest(ratio).ok_or_else(unsolved)?.1, water: 0.0 },
        };
        return Ok(Found { choice, out_of_reach, instead: None });
    };
    let (driest, taken) = blend.driest(ratio).ok_or_else(unsolved)?;
    let vertex = || Choice { taken, water: 0.0 };
    if driest <= goal * (1.0 + MET) {
        let choice = blend.least(ratio, Some(goal)).unwrap_or_else(vertex);
        return Ok(Found { choice, out_of_reach, instead: None });
    }
    let instead = ratio.and_then(|_| blend.least(None, Some(goal)));
    out_of_reach.push(OutOfReach {
        goal: Goal::Moisture,
        wanted: (goal, goal),
        nearest: driest,
        by: driest - goal,
        alone: instead.is_some(),
        remedy: Remedy::Dry,
        would_do: would_dry(blend, ratio, goal),
    });
    let choice = blend.least(ratio, Some(driest * (1.0 + MET))).unwrap_or_else(vertex);
    Ok(Found { choice, out_of_reach, instead })
}

fn unsolved() -> Refusal {
    let detail = "no mix was found, because the amounts differ too much in size; check the amounts and their units";
    Refusal::new(Reason::ImpossibleValue, detail).at("materials")
}

/// The part of the wanted interval that is within reach, or the nearest ratio that is.
fn nearest_ratio(blend: &Blend, wanted: Interval, out: &mut Vec<OutOfReach>) -> Result<Interval, Refusal> {
    let (low, high) = blend.ratios().ok_or_else(unsolved)?;
    let (nearest, by, remedy) = if wanted.1 < low {
        (low, low - wanted.1, Remedy::NitrogenRich)
    } else if wanted.0 > high {
        (high, wanted.0 - high, Remedy::CarbonRich)
    } else {
        return Ok(wanted);
    };
    if by > MET * nearest {
        let would_do = would_shift(remedy, wanted);
        out.push(OutOfReach { goal: Goal::CarbonToNitrogen, wanted, nearest, by, alone: false, remedy, would_do });
    }
    Ok(widened((nearest, nearest)))
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

/// Materials that, with as much of them as there is of the rest ten times over, make the goal reachable at the ratio.
fn would_dry(blend: &Blend, ratio: Option<Interval>, goal: f64) -> Vec<&'static Feedstock> {
    let most = 10.0 * (blend.base.dry + blend.base.water);
    let mends = |f: &&'static Feedstock| {
        let mut more = blend.clone();
        more.free.push((f.content(), most));
        more.driest(ratio).is_some_and(|(driest, _)| driest <= goal)
    };
    let dry = |f: &&'static Feedstock| f.moisture.share() < goal && f.family != Family::Wood && !f.family.is_manure();
    materials::ALL.iter().filter(dry).filter(mends).take(NAMED).collect()
}
