//! Goals out of reach: which, by how much, what would mend it, and the mix that lets one go.

use super::materials::Feedstock;
use super::mix::{Choice, Content, Interval};
use crate::garden::closed_list::closed_list;
use crate::garden::units::{Mass, Ratio, Share, Volume};

closed_list! {
    /// What was wanted of the mix.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Goal {
        /// Carbon over nitrogen.
        CarbonToNitrogen = "carbon_to_nitrogen",
        /// Water over the whole.
        Moisture = "moisture",
        /// Air over the volume.
        AirSpace = "air_space",
    }
}

closed_list! {
    /// What would bring a goal within reach.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Remedy {
        /// More carbon for each nitrogen.
        CarbonRich = "carbon_rich",
        /// More nitrogen for each carbon.
        NitrogenRich = "nitrogen_rich",
        /// Less water, at the same ratio.
        Dry = "dry",
        /// More room between the pieces.
        Coarse = "coarse",
    }
}

impl Remedy {
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
            Self::Coarse => {
                "too dense to breathe: add coarse dry material, such as whole leaves or straw, shred or soak less, or ask for less moisture"
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
    /// What the plan's mix has: the nearest that can be had, or 1 % farther where that saves more than 1 % of the material.
    pub nearest: f64,
    /// How far that is from what was wanted.
    pub by: f64,
    /// Whether no mix is nearer; else one is by at most 1 %, and takes over 1 % more material.
    pub is_nearest: bool,
    /// True if it could be met without the other goals: all cannot hold at once.
    pub alone: bool,
    /// What kind of material would bring it within reach.
    pub remedy: Remedy,
    /// Materials of the table that would, at their likely values.
    pub would_do: Vec<&'static Feedstock>,
}

/// A share: `60.0 %`.
fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

/// Two values in so few digits after the point, one at the least, that they do not read alike.
fn apart(values: [f64; 2]) -> [String; 2] {
    let rounded =
        |digits: i32| values.map(|value| ((value * 10_f64.powi(digits)).round() / 10_f64.powi(digits)).to_string());
    (1..9).map(rounded).find(|[one, other]| one != other).unwrap_or_else(|| rounded(9))
}

impl OutOfReach {
    /// The goal: `moisture of 60.0 %`, `carbon to nitrogen of 25 to 30`.
    fn wanted(&self) -> String {
        let (low, high) = self.wanted;
        match self.goal {
            Goal::CarbonToNitrogen if low == high => format!("carbon to nitrogen of {low}"),
            Goal::CarbonToNitrogen => format!("carbon to nitrogen of {low} to {high}"),
            Goal::Moisture => format!("moisture of {}", percent(low)),
            Goal::AirSpace => format!("air space of {}", percent(low)),
        }
    }

    /// In a clause: `a moisture of 77 % in place of 60 %`.
    #[must_use]
    pub fn in_short(&self) -> String {
        let (low, high) = self.wanted;
        let (what, [has, low], unit) = match self.goal {
            Goal::CarbonToNitrogen if low < high => {
                return format!("carbon to nitrogen of {} in place of {low} to {high}", apart([self.nearest, low])[0]);
            }
            Goal::CarbonToNitrogen => ("carbon to nitrogen", apart([self.nearest, low]), ""),
            Goal::Moisture => ("a moisture", apart([self.nearest, low].map(|share| share * 100.0)), " %"),
            Goal::AirSpace => ("an air space", apart([self.nearest, low].map(|share| share * 100.0)), " %"),
        };
        format!("{what} of {has}{unit} in place of {low}{unit}")
    }

    /// The nearest and by how much it misses what was wanted, in so many digits that the one does not read as met, nor the other as nothing.
    fn figures(&self) -> [String; 2] {
        let (low, high) = self.wanted;
        let bound = if self.nearest > high { high } else { low };
        let scale = if self.goal == Goal::CarbonToNitrogen { 1.0 } else { 100.0 };
        [[self.nearest, bound], [self.by, 0.0]].map(|[value, other]| apart([value * scale, other * scale])[0].clone())
    }

    /// In a sentence: what was wanted, the nearest, by how much it is missed, and what would mend it.
    #[must_use]
    pub fn text(&self) -> String {
        let wanted = self.wanted();
        let [has, by] = self.figures();
        let (best, better, has, off) = match self.goal {
            Goal::CarbonToNitrogen => ("nearest", "nearer", has, format!("off by {by}")),
            Goal::Moisture => ("driest", "drier", has + " %", format!("{by} points more")),
            Goal::AirSpace => ("airiest", "airier", has + " %", format!("{by} points less")),
        };
        let reported = if self.is_nearest {
            format!("{wanted} is out of reach: the {best} mix has {has}, {off}")
        } else {
            format!(
                "{wanted} is out of reach: this mix has {has}, {off}; the {best} would be hardly {better} and take more material"
            )
        };
        let other = match (self.alone, self.goal) {
            (false, _) => "",
            (true, Goal::Moisture) => "; these amounts cannot meet both goals",
            (true, _) => "; these amounts cannot meet all goals",
        };
        let named = match (self.would_do.iter().map(|f| f.name).collect::<Vec<_>>().join("; "), self.goal) {
            (names, _) if !names.is_empty() => format!(" (from the table, for example: {names})"),
            (_, Goal::CarbonToNitrogen) => " (no material of the table is enough)".to_owned(),
            _ => String::new(),
        };
        format!("{reported}{other}; {}{named}", self.remedy.text())
    }
}

/// The mix that meets the moisture but not the ratio.
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
