//! What a place gets in a year, all dressings together, against two yardsticks.

use super::{INCH, NITRATE_LIMIT, Nutrients};
use crate::garden::cautions::Rule;
use crate::garden::units::quantity::{OfLength, OfMass, OfMassPerArea, OfRatio, OfVolume};
use crate::garden::units::{Area, Estimate, HAIR, Mass, Ratio, Share};

/// One dressing of a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Dressing {
    /// The ground it goes on; `None` where it goes to plants or pots.
    pub area: Option<Area>,
    /// How much castings.
    pub volume: Estimate<OfVolume>,
    /// What it carries.
    pub nutrients: Nutrients,
    /// True if the ground is declared a nitrate vulnerable zone.
    pub nitrate_zone: bool,
}

/// What a place gets in a year.
#[derive(Debug, Clone, PartialEq)]
pub struct Yearly {
    /// Its ground: the largest of those of its dressings; rows within a bed lie on the bed's ground. `None` if none has any.
    pub area: Option<Area>,
    /// What all dressings carry together, bound by bound.
    pub nutrients: Nutrients,
    /// All castings over the ground: how deep they would lie together.
    pub depth: Option<Estimate<OfLength>>,
    /// Nitrogen over ground, over 170 kg/ha, where there is ground.
    pub of_nitrate_limit: Option<Estimate<OfRatio>>,
    /// Phosphorus over ground, over what a year's crop carries away: so many years' worth.
    pub of_phosphorus_removal: Option<Estimate<OfRatio>>,
    /// What all of it together gives reason to say.
    pub cautions: Vec<Rule>,
}

/// Answers "what does this place get in a year, and when is more too much?"
///
/// Sums over the dressings; `N / area / 170 kg/ha` (91/676/EEC, a yardstick unless the land is declared vulnerable) and
/// `P / area / removal` (assumption `soil.phosphorus_removal`; above 1 phosphorus builds up). `None` without dressings.
///
/// ```
/// use barrowful::garden::applications::{Dressing, Nutrients, in_a_year};
/// use barrowful::garden::units::{Area, Estimate, Mass, MassPerArea, Volume};
/// let kg = |x| Estimate::exactly(Mass::from_kilograms(x));
/// let nutrients = Nutrients { nitrogen: kg(0.17), available_nitrogen: kg(0.017), phosphorus: kg(0.033), potassium: kg(0.1) };
/// let (area, volume) = (Some(Area::from_square_metres(10.0)), Estimate::exactly(Volume::from_litres(150.0)));
/// let one = Dressing { area, volume, nutrients, nitrate_zone: false };
/// let removal = Estimate::exactly(MassPerArea::from_kilograms_per_square_metre(0.0033));
/// let twice = in_a_year(&[one.clone(), one], removal).unwrap();
/// assert!((twice.of_nitrate_limit.unwrap().likely().number() - 2.0).abs() < 1e-12);
/// assert!((twice.of_phosphorus_removal.unwrap().likely().number() - 2.0).abs() < 1e-12);
/// // 300 L on 10 m2 are 30 mm: more than an inch in a year.
/// assert_eq!(twice.cautions, [barrowful::garden::cautions::Rule::ThickLayer]);
/// ```
#[must_use]
pub fn in_a_year(dressings: &[Dressing], removal: Estimate<OfMassPerArea>) -> Option<Yearly> {
    let (first, rest) = dressings.split_first()?;
    let nutrients = rest.iter().fold(first.nutrients, |sum, dressing| sum.plus(dressing.nutrients));
    let area = dressings
        .iter()
        .filter_map(|d| d.area)
        .fold(None, |most: Option<Area>, area| Some(most.filter(|most| *most >= area).unwrap_or(area)));
    let over = |mass: Estimate<OfMass>, limit: Estimate<OfMassPerArea>| {
        area.and_then(|area| {
            let allowed: Estimate<OfMass> = limit * Estimate::exactly(area);
            let times = |mass: Mass, allowed: Mass| Ratio::from_number(mass.kilograms() / allowed.kilograms());
            let likely = times(mass.likely(), allowed.likely());
            Estimate::between(times(mass.low(), allowed.high()), likely, times(mass.high(), allowed.low()))
        })
    };
    let of_nitrate_limit: Option<Estimate<OfRatio>> = over(nutrients.nitrogen, Estimate::exactly(NITRATE_LIMIT));
    let volume = rest.iter().fold(first.volume, |sum, dressing| sum.plus(dressing.volume));
    let depth: Option<Estimate<OfLength>> = area.map(|area| volume / Estimate::exactly(area));
    let mut cautions = Vec::new();
    if depth.is_some_and(|depth| depth.likely().metres() > INCH.metres() * (1.0 + HAIR)) {
        cautions.push(Rule::ThickLayer);
    }
    let above = of_nitrate_limit.is_some_and(|times| times.high().number() > 1.0 + HAIR);
    if above && dressings.iter().any(|dressing| dressing.nitrate_zone) {
        cautions.push(Rule::NitrateLimit);
    }
    Some(Yearly {
        area,
        depth,
        of_nitrate_limit,
        of_phosphorus_removal: over(nutrients.phosphorus, removal),
        nutrients,
        cautions,
    })
}

impl Nutrients {
    /// This share of all of them: what a place that goes short gets.
    #[must_use]
    pub fn scaled(self, share: Share) -> Self {
        let of = |mass: Estimate<crate::garden::units::quantity::OfMass>| mass.times(share.fraction());
        Self {
            nitrogen: of(self.nitrogen),
            available_nitrogen: of(self.available_nitrogen),
            phosphorus: of(self.phosphorus),
            potassium: of(self.potassium),
        }
    }
}
