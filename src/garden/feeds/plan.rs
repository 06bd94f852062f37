//! The plan: amounts chosen, water, the mix, steps and castings.

use super::castings::Expected;
use super::layers::Layers;
use super::line::{Line, Prepared};
use super::mix::{Blend, Content};
use super::notes::Notes;
use super::reach::{self, Instead, OutOfReach};
use super::steps::{self, Step};
use super::sum::Mix;
use super::water::{Soak, Treatment};
use super::{Goals, Order, estimate};
use crate::garden::assumptions::{Assumed, Assumption, Known, LEAST_AIR, WETTEST};
use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfMass, OfShare, OfVolume};
use crate::garden::units::{Estimate, HAIR, Mass, Volume};

/// Most materials in one mix. Source: limit of this service.
pub const MOST_INGREDIENTS: usize = 200;
/// The highest ratio of carbon to nitrogen asked for. Source: limit of this service.
const MOST_RATIO: f64 = 10_000.0;

/// A planned feed.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedPlan {
    /// The materials, in the order given.
    pub ingredients: Vec<Prepared>,
    /// Water that soaked materials take up, without starter.
    pub soak_water: Estimate<OfVolume>,
    /// Liquid starter for the soak.
    pub starter: Estimate<OfVolume>,
    /// Water for rehydration.
    pub rehydration_water: Estimate<OfVolume>,
    /// Water to add when mixing.
    pub extra_water: Volume,
    /// The mix.
    pub mix: Mix,
    /// Goals that cannot be met; the mix is then the nearest that can.
    pub out_of_reach: Vec<OutOfReach>,
    /// Where the ratio stands in the way of the moisture: the mix that meets the moisture alone.
    pub instead: Option<Instead>,
    /// Layers on the bed's ground.
    pub layers: Option<Layers>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// What castings come of it.
    pub castings: Expected,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "how much of each, how much water, when, and what comes of it?"
///
/// Formulas: per material dry matter `D = m(1 - w)`, carbon `D c`, nitrogen `D n`, ash `D a`; a soak takes up
/// `D/(1 - s) - m`, rehydration adds its water; the free amounts by the linear programme of [`super::mix`]; extra water
/// `W = sum(m(g - w))/(1 - g)`; moisture `sum(water)/sum(mass)`; C:N `sum(D c)/sum(D n)`; volume `packing x sum(V)`.
/// Water is 1 kg/L. A mass that was given or chosen is exact and the volume follows, or the other way round.
///
/// ```
/// use barrowful::garden::assumptions::{Known, Overrides};
/// use barrowful::garden::feeds::{Amount, Feedstock, Goals, Ingredient, Load, Order, Treatment, plan};
/// use barrowful::garden::units::{Mass, Share};
/// let kg = |kilograms| Load::Mass(Mass::from_kilograms(kilograms));
/// let of = |id, amount| {
///     let row = Feedstock::find(id).unwrap();
///     let (material, family) = (row.material().unwrap(), row.family);
///     Ingredient { name: row.name.to_owned(), material, family, amount, treatment: Treatment::AsItIs, shred: false }
/// };
/// let nothing = Overrides::default();
/// let known = Known { request: &nothing, item: &nothing };
/// let mut order = Order {
///     ingredients: vec![of("grass_clippings", Amount::Fixed(kg(10.0))), of("leaves_loose", Amount::Between(kg(0.0), kg(50.0)))],
///     goals: Goals { carbon_to_nitrogen: None, moisture: Some(Share::from_fraction(0.6)) },
///     soak: None,
///     hot_stage: None,
///     ground: None,
///     start_on: None,
/// };
/// // 10 (82 - 60)/(60 - 38) = 10 kg of leaves.
/// let leaves = plan(&order, known).unwrap().ingredients[1].mass.likely();
/// assert!((leaves.kilograms() - 10.0).abs() < 1e-9);
/// // Nothing fixes the size of this one.
/// order.ingredients.remove(0);
/// assert!(plan(&order, known).is_err());
/// ```
///
/// # Errors
/// `missing_field` without materials; `too_large` above [`MOST_INGREDIENTS`] or past the largest volume; `out_of_range` at
/// `amount`, `goals`, `soak`, `hot_stage`; `impossible_value` if nothing fixes the size of the mix, or the mix is denser
/// than its pores allow; what ground and castings refuse.
pub fn plan(order: &Order, known: Known<'_>) -> Result<FeedPlan, Refusal> {
    let mut notes = Notes { known, assumed: Vec::new(), cautions: Vec::new() };
    check(order)?;
    let soaks = order.ingredients.iter().any(|i| i.treatment == Treatment::Soaked);
    let soaked = if soaks { notes.take(Assumption::SoakMoisture) } else { known.estimate(Assumption::SoakMoisture).0 };
    let lines = order.ingredients.iter().map(|i| Line::new(i, soaked, &mut notes)).collect::<Result<Vec<_>, _>>()?;
    let found = reach::choose(&blend(&lines)?, &order.goals)?;
    let mut taken = found.choice.taken.iter().copied();
    let parts: Vec<Prepared> = lines.iter().map(|line| line.prepare(&mut taken)).collect();
    let extra = Mass::from_kilograms(found.choice.water);
    let mix = Mix::of(&parts, extra, notes.take(Assumption::Packing))?;
    let of = |wanted: fn(&Treatment) -> bool| total(order, &parts, wanted);
    let soak = order.soak.unwrap_or(Soak::COMMON);
    let (water, starter) = soak.split(of(|t| *t == Treatment::Soaked));
    let layers = order.ground.as_ref().map(|ground| Layers::of(ground, mix.volume.likely(), &mut notes)).transpose()?;
    let castings = Expected::of(&mix, order.hot_stage.is_some(), &mut notes)?;
    let cautions = cautions(order, &mix, &mut notes);
    notes.assumed.sort_by_key(|a| a.assumption);
    notes.assumed.dedup();
    Ok(FeedPlan {
        soak_water: litres(water),
        starter: litres(starter),
        rehydration_water: litres(of(|t| matches!(t, Treatment::Rehydrated(_)))),
        extra_water: Volume::from_litres(found.choice.water),
        instead: found.instead.map(|choice| Instead::of(&lines.iter().map(Line::likely).collect::<Vec<_>>(), &choice)),
        out_of_reach: found.out_of_reach,
        steps: steps::of(order, &parts)?,
        ingredients: parts,
        layers,
        mix,
        castings,
        cautions,
        assumed: notes.assumed,
    })
}

fn check(order: &Order) -> Result<(), Refusal> {
    if order.ingredients.is_empty() {
        return Err(Refusal::new(Reason::MissingField, "a mix has at least one material").at("materials"));
    }
    if order.ingredients.len() > MOST_INGREDIENTS {
        let detail = format!("a mix has at most {MOST_INGREDIENTS} materials");
        return Err(Refusal::new(Reason::TooLarge, detail).at("materials"));
    }
    check_goals(&order.goals).map_err(|e| e.at("goals"))?;
    order.soak.map_or(Ok(()), |s| s.check().map_err(|e| e.at("soak")))?;
    order.hot_stage.map_or(Ok(()), |h| h.check().map_err(|e| e.at("hot_stage")))?;
    for ingredient in &order.ingredients {
        if let Treatment::Rehydrated(rehydration) = ingredient.treatment {
            rehydration.check().map_err(|e| e.at("materials"))?;
        }
    }
    Ok(())
}

fn check_goals(goals: &Goals) -> Result<(), Refusal> {
    if let Some((low, high)) = goals.carbon_to_nitrogen
        && !(1.0 <= low.number() && low <= high && high.number() <= MOST_RATIO)
    {
        let detail = "the goal for carbon to nitrogen lies between 1 and 10000, the lower end first; 25 to 30 is usual";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, MOST_RATIO));
    }
    if goals.moisture.is_some_and(|g| !(0.0..=WETTEST).contains(&g.fraction())) {
        let detail =
            "the goal for moisture (water over the whole) lies between 0 and 95 %; feed for worms has 65 to 82 %";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, WETTEST * 100.0));
    }
    Ok(())
}

/// What the solver works with.
fn blend(lines: &[Line]) -> Result<Blend, Refusal> {
    let mut base = Content::default();
    let mut free = Vec::new();
    for line in lines {
        let (content, least, beyond) = line.likely();
        base = base.plus(content, least);
        free.extend(beyond.map(|beyond| (content, beyond)));
    }
    if base.dry + base.water > 0.0 {
        return Ok(Blend { base, free });
    }
    let detail =
        "nothing fixes the size of the mix: fix the amount of one material, or give a range that begins above 0";
    Err(Refusal::new(Reason::ImpossibleValue, detail).at("materials"))
}

fn total(order: &Order, parts: &[Prepared], wanted: fn(&Treatment) -> bool) -> Estimate<OfMass> {
    let zero = Estimate::exactly(Mass::from_kilograms(0.0));
    let both = order.ingredients.iter().zip(parts).filter(|(i, _)| wanted(&i.treatment));
    both.map(|(_, part)| part.added_water).fold(zero, Estimate::plus)
}

/// 1 kg of water is 1 L.
fn litres(water: Estimate<OfMass>) -> Estimate<OfVolume> {
    estimate(water.low().base(), water.likely().base(), water.high().base())
}

fn cautions(order: &Order, mix: &Mix, notes: &mut Notes<'_>) -> Vec<Rule> {
    let usual_ratio: Estimate<crate::garden::units::quantity::OfRatio> = notes.take(Assumption::MixCarbonToNitrogen);
    let usual_moisture: Estimate<OfShare> = notes.take(Assumption::BedMoisture);
    let outside = |value: f64, low: f64, high: f64| value < low * (1.0 - HAIR) || value > high * (1.0 + HAIR);
    let mut cautions: Vec<Rule> = order.ingredients.iter().flat_map(|i| i.family.cautions()).copied().collect();
    cautions.append(&mut notes.cautions);
    let (ratio, wet) = (mix.carbon_to_nitrogen.likely().base(), mix.moisture.likely().base());
    let told = [
        (order.ingredients.iter().any(|i| i.shred), Rule::Shredding),
        (order.ingredients.iter().any(|i| i.treatment == Treatment::Soaked), Rule::SoakWater),
        (mix.air_space.fraction() < LEAST_AIR, Rule::FeedTooWet),
        (outside(ratio, usual_ratio.low().base(), usual_ratio.high().base()), Rule::MixRatio),
        (outside(wet, usual_moisture.low().base(), usual_moisture.high().base()), Rule::MixMoisture),
    ];
    cautions.extend(told.into_iter().filter(|(is, _)| *is).map(|(_, rule)| rule));
    cautions.sort_unstable();
    cautions.dedup();
    cautions
}
