//! What a place gets in a year, all dressings together, against two yardsticks.

use super::noted::INCH;
use super::{Nutrients, nitrate_limit};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{DepthTogether, LargestGround, TimesLimit};
use crate::garden::units::quantity::{OfArea, OfLength, OfMassPerArea, OfRatio, OfVolume};
use crate::garden::units::{Estimate, ROUNDING_TOLERANCE};

/// One dressing of a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Dressing {
    /// The ground it goes on; `None` where it goes to plants or pots.
    pub area: Option<Estimate<OfArea>>,
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
    pub area: Option<Estimate<OfArea>>,
    /// What all dressings carry together, bound by bound.
    pub nutrients: Nutrients,
    /// All castings over the ground: how deep they would lie together.
    pub depth: Option<Estimate<OfLength>>,
    /// Nitrogen over ground, over 170 kg/ha, where there is ground.
    pub share_of_nitrate_limit: Option<Estimate<OfRatio>>,
    /// Phosphorus over ground, over what a year's crop carries away: so many years' worth.
    pub share_of_phosphorus_removal: Option<Estimate<OfRatio>>,
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
/// use barrowful::garden::figures::Off;
/// use barrowful::garden::units::{Area, Estimate, Mass, MassPerArea, Volume};
/// let kg = |x| Estimate::exactly(Mass::from_kilograms(x));
/// let nutrients = Nutrients::of([kg(0.17), kg(0.017), kg(0.033), kg(0.1), kg(5.0)], Off);
/// let (area, volume) = (Some(Area::from_square_metres(10.0).into()), Estimate::exactly(Volume::from_litres(150.0)));
/// let one = Dressing { area, volume, nutrients, nitrate_zone: false };
/// let removal = Estimate::exactly(MassPerArea::from_kilograms_per_square_metre(0.0033));
/// let twice = in_a_year(&[one.clone(), one], removal, Off).unwrap();
/// assert!((twice.share_of_nitrate_limit.unwrap().likely().number() - 2.0).abs() < 1e-12);
/// assert!((twice.share_of_phosphorus_removal.unwrap().likely().number() - 2.0).abs() < 1e-12);
/// // 300 L on 10 m2 are 30 mm: more than an inch in a year.
/// assert_eq!(twice.cautions, [barrowful::garden::cautions::Rule::ThickLayer]);
/// ```
#[must_use]
#[expect(non_snake_case, reason = "the symbols of the formulas")]
pub fn in_a_year(dressings: &[Dressing], removal: Estimate<OfMassPerArea>, recorder: impl Recorder) -> Option<Yearly> {
    dressings.first()?;
    let each: Vec<Nutrients> = dressings.iter().map(|dressing| dressing.nutrients).collect();
    let nutrients = Nutrients::total(&each, recorder);
    let grounds: Vec<_> = dressings.iter().filter_map(|dressing| dressing.area).collect();
    let area = (!grounds.is_empty()).then(|| recorder.figure(LargestGround { a: grounds }));
    let times = |N, r| area.map(|A| recorder.figure(TimesLimit { N, A, r }));
    let share_of_nitrate_limit = times(nutrients.nitrogen, nitrate_limit(recorder));
    let volumes = dressings.iter().map(|dressing| dressing.volume);
    let depth = area.map(|A| recorder.figure(DepthTogether { v: volumes.collect(), A }));
    let mut cautions = Vec::new();
    if depth.is_some_and(|depth| depth.likely().metres() > INCH.metres() * (1.0 + ROUNDING_TOLERANCE)) {
        cautions.push(Rule::ThickLayer);
    }
    let above = share_of_nitrate_limit.is_some_and(|times| times.high().number() > 1.0 + ROUNDING_TOLERANCE);
    if above && dressings.iter().any(|dressing| dressing.nitrate_zone) {
        cautions.push(Rule::NitrateLimit);
    }
    let share_of_phosphorus_removal = times(nutrients.phosphorus, removal);
    Some(Yearly { area, nutrients, depth, share_of_nitrate_limit, share_of_phosphorus_removal, cautions })
}
