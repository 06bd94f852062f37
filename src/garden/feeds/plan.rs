//! The plan: amounts chosen, water, the mix, steps and castings.

use super::castings::Expected;
use super::choose::{self, Found};
use super::fixed::{is_outside, of_mix};
use super::free;
use super::hot::HotComposted;
use super::layers::Layers;
use super::line::{Line, Prepared};
use super::moisten::{moistened, to_usual};
use super::notes::Notes;
use super::reach::{Goal, Instead, OutOfReach};
use super::steps::{self, Step};
use super::sum::{Mix, sizes_differ};
use super::water::{Soak, Treatment};
use super::{Goals, Order};
use crate::garden::assumptions::{Assumed, Assumption, Known, WETTEST};
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::TotalVolume;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfShare, OfVolume};
use crate::garden::units::{Estimate, Volume};

/// Most materials in one mix. Source: limit of this service.
pub const MAX_INGREDIENTS: usize = 200;
/// The highest ratio of carbon to nitrogen asked for. Source: limit of this service.
pub const MAX_RATIO: f64 = 10_000.0;

/// The most air asked for: beyond it there is nothing but air. Source: limit of this service.
pub const MAX_AIR: f64 = 0.9;

/// Where there is no formula of the water to add.
const NO_MORE_WATER: &str =
    "no extra water where no moisture is asked for, where the mix is moist enough, or where the goal is out of reach";

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
    pub extra_water: Estimate<OfVolume>,
    /// Water that would bring it to the usual moisture, where no moisture is asked for, the mix is drier than usual, and its pores hold that
    /// much beside air.
    pub water_to_usual: Option<Estimate<OfVolume>>,
    /// The mix.
    pub mix: Mix,
    /// Goals that cannot be met; the mix is then the nearest that can.
    pub out_of_reach: Vec<OutOfReach>,
    /// Where the ratio keeps the moisture from its goal: the mix that meets the moisture alone.
    pub instead: Option<Instead>,
    /// What hot composting leaves of it.
    pub hot: Option<HotComposted>,
    /// Whether it heats up on the bed: something fresh is in it, and it is not composted hot before.
    pub heats: bool,
    /// Layers on the bed's ground.
    pub layers: Option<Layers>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// The castings to expect.
    pub castings: Expected,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "how much of each, how much water, when, and what castings to expect?"
///
/// The free amounts come of the linear programme of [`super::mix`], all other figures of the table of formulas. A mass that was given or chosen is exact and the volume follows, or the other way round.
///
/// ```
/// use barrowful::garden::assumptions::{Known, Overrides};
/// use barrowful::garden::figures::Off;
/// use barrowful::garden::feeds::{Amount, Feedstock, Goals, Ingredient, Load, Order, Treatment, plan};
/// use barrowful::garden::units::{Mass, Share};
/// let kg = |kilograms| Load::Mass(Mass::from_kilograms(kilograms).into());
/// let ingredient = |id, amount| {
///     let row = Feedstock::find(id).unwrap();
///     let (material, family) = (row.material().unwrap(), row.family);
///     let (name, size) = (row.name.to_owned(), row.size);
///     Ingredient { name, asked: 0, material, family, size, amount, treatment: Treatment::AsItIs, shred: false }
/// };
/// let nothing = Overrides::default();
/// let known = Known { request: &nothing, item: &nothing };
/// let mut order = Order {
///     ingredients: vec![ingredient("grass_clippings", Amount::Fixed(kg(10.0))),
///         ingredient("leaves_loose", Amount::Between(kg(0.0), kg(50.0)))],
///     goals: Goals { moisture: Some(Share::from_fraction(0.6).into()), ..Goals::default() },
///     soak: None,
///     hot_composting: None,
///     ground: None,
///     start_on: None,
/// };
/// // 10 (82 - 60)/(60 - 38) = 10 kg of leaves.
/// let leaves = plan(&order, known, Off).unwrap().ingredients[1].mass.likely();
/// assert!((leaves.kilograms() - 10.0).abs() < 1e-9);
/// // Nothing fixes the size of this one.
/// order.ingredients.remove(0);
/// assert!(plan(&order, known, Off).is_err());
/// ```
///
/// # Errors
/// `missing_field` without materials; `too_large` above [`MAX_INGREDIENTS`] or past the largest volume; `out_of_range` at
/// `amount`, `goals`, `soak`, `hot_composting`; `impossible_value` if nothing fixes the size of the mix, if no amount of a free material is
/// enough, or the mix is denser than its pores allow; what ground and castings refuse.
pub fn plan(order: &Order, known: Known<'_>, recorder: impl Recorder) -> Result<FeedPlan, Refusal> {
    let mut notes = Notes { known, recorder, assumed: Vec::new(), cautions: Vec::new() };
    check(order)?;
    let soaks = order.ingredients.iter().any(|i| i.treatment == Treatment::Soaked);
    let soaked = if soaks { notes.take(Assumption::SoakMoisture) } else { known.estimate(Assumption::SoakMoisture).0 };
    let lines = order.ingredients.iter().map(|i| Line::new(i, soaked, &mut notes)).collect::<Result<Vec<_>, _>>()?;
    let (packed, _): (Estimate<OfShare>, _) = known.estimate(Assumption::Packing);
    let (blend, goals) = (free::blend(&lines, packed.fraction())?, free::goals(order, &mut notes));
    let found = choose::choose(&blend, &goals)?;
    free::check(order, &lines, (&blend, &found))?;
    let parts = prepared(&lines, &found.choice.taken, &goals, recorder);
    let water = Waters::of(order, &parts, &found, recorder);
    let packing = sizes_differ(&parts).then(|| notes.take(Assumption::Packing));
    let mix = Mix::of(&parts, water.extra, packing, recorder)?;
    let hot = order.hot_composting.map(|hot| HotComposted::of((&mix, &parts), hot, &mut notes));
    let laid = hot.map_or(mix.volume, |hot| hot.volume);
    let heats = hot.is_none() && has_fresh(order, &parts);
    let layers = order.ground.as_ref().map(|ground| Layers::of(ground, (laid, heats), &mut notes)).transpose()?;
    let castings = Expected::of((&mix, &parts), hot.as_ref(), &mut notes)?;
    let cautions = cautions(order, &mix, &mut notes);
    Ok(FeedPlan {
        soak_water: water.soak,
        starter: water.starter,
        rehydration_water: water.rehydration,
        extra_water: water.extra,
        water_to_usual: to_usual(order, (&parts, &mix), known, recorder),
        instead: found.instead.map(|choice| Instead::of(&lines.iter().map(Line::likely).collect::<Vec<_>>(), &choice)),
        out_of_reach: found.out_of_reach,
        steps: steps::of(order, &parts, hot.as_ref())?,
        ingredients: parts,
        hot,
        heats,
        layers,
        mix,
        castings,
        cautions,
        assumed: notes.listed(),
    })
}

/// Whether something is taken of a material that heats up.
fn has_fresh(order: &Order, parts: &[Prepared]) -> bool {
    let taken = order.ingredients.iter().zip(parts).filter(|(_, part)| part.mass.kilograms() > 0.0);
    taken.into_iter().any(|(ingredient, _)| ingredient.family.cautions().contains(&Rule::FeedHeat))
}

/// Each material with the amount that was given or chosen.
fn prepared(lines: &[Line<'_>], taken: &[f64], goals: &Goals, recorder: impl Recorder) -> Vec<Prepared> {
    let ratio = goals.carbon_to_nitrogen.into_iter().flat_map(|(low, high)| [low.node(), high.node()]);
    let nodes: Vec<u32> =
        ratio.chain(goals.moisture.map(Estimate::node)).chain(goals.air_space.map(Estimate::node)).collect();
    let mut taken = taken.iter().copied();
    let mut beyond = |line: &Line<'_>| if line.is_free() { taken.next().unwrap_or(0.0) } else { 0.0 };
    lines.iter().map(|line| line.prepare(beyond(line), &nodes, recorder)).collect()
}

/// Water of a mix.
struct Waters {
    soak: Estimate<OfVolume>,
    starter: Estimate<OfVolume>,
    rehydration: Estimate<OfVolume>,
    extra: Estimate<OfVolume>,
}

impl Waters {
    fn of(order: &Order, parts: &[Prepared], found: &Found, recorder: impl Recorder) -> Self {
        let added = |wanted: fn(&Treatment) -> bool| -> Vec<Estimate<OfVolume>> {
            let both = order.ingredients.iter().zip(parts).filter(|(i, _)| wanted(&i.treatment));
            both.map(|(_, part)| part.added_water).collect()
        };
        let rehydrated = added(|t| matches!(t, Treatment::Rehydrated(_)));
        let (soak, starter) = order.soak.unwrap_or(Soak::COMMON).split(added(|t| *t == Treatment::Soaked), recorder);
        let rehydration = match rehydrated.is_empty() {
            true => Volume::from_litres(0.0).into(),
            false => recorder.figure(TotalVolume { v: rehydrated }),
        };
        Self { soak, starter, rehydration, extra: extra(order, parts, found, recorder) }
    }
}

/// Water to add when mixing: what brings the mix to the moisture wanted, where that is within reach.
fn extra(order: &Order, parts: &[Prepared], found: &Found, recorder: impl Recorder) -> Estimate<OfVolume> {
    let is_missed = found.out_of_reach.iter().any(|missed| missed.goal == Goal::Moisture);
    match order.goals.moisture {
        Some(g) if found.choice.water > 0.0 && !is_missed => moistened(g, parts, recorder),
        goal => {
            let nodes: Vec<u32> = goal.iter().map(|goal| goal.node()).collect();
            recorder.by_rule(NO_MORE_WATER, &nodes, Volume::from_litres(found.choice.water).into())
        }
    }
}

fn check(order: &Order) -> Result<(), Refusal> {
    if order.ingredients.is_empty() {
        return Err(Refusal::new(
            Reason::MissingField,
            "add at least one material, for example {\"material\": \"leaves_shredded\", \"amount\": \"10 kg\"}",
        )
        .at("materials"));
    }
    if order.ingredients.len() > MAX_INGREDIENTS {
        let detail = format!("a mix has at most {MAX_INGREDIENTS} materials");
        return Err(Refusal::new(Reason::TooLarge, detail).at("materials"));
    }
    check_goals(&order.goals).map_err(|e| e.at("goals"))?;
    order.soak.map_or(Ok(()), |s| s.check().map_err(|e| e.at("soak")))?;
    order.hot_composting.map_or(Ok(()), |h| h.check().map_err(|e| e.at("hot_composting")))?;
    for ingredient in &order.ingredients {
        if let Treatment::Rehydrated(rehydration) = ingredient.treatment {
            rehydration.check().map_err(|e| e.at("materials"))?;
        }
    }
    Ok(())
}

fn check_goals(goals: &Goals) -> Result<(), Refusal> {
    if let Some((low, high)) = goals.carbon_to_nitrogen
        && !(1.0 <= low.number() && low.number() <= high.number() && high.number() <= MAX_RATIO)
    {
        let detail = "the goal for carbon to nitrogen must be from 1 to 10000, with the lower end first; 25 to 30 is \
                      usual";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, MAX_RATIO));
    }
    if goals.moisture.is_some_and(|g| !(0.0..=WETTEST).contains(&g.fraction())) {
        let detail = "the goal for moisture (water as a share of the whole) must be from 0 to 95 %; feed for worms has 65 to \
             82 %";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, WETTEST * 100.0));
    }
    if goals.air_space.is_some_and(|a| !(0.0..=MAX_AIR).contains(&a.fraction())) {
        let detail =
            "the goal for air_space (air as a share of the volume) must be from 0 to 90 %; at least 20 % is usual";
        return Err(Refusal::new(Reason::OutOfRange, detail).between(0.0, MAX_AIR * 100.0));
    }
    Ok(())
}

fn cautions<R: Recorder>(order: &Order, mix: &Mix, notes: &mut Notes<'_, R>) -> Vec<Rule> {
    let of_mix = of_mix(mix, notes);
    let usual_moisture: Estimate<OfShare> = notes.take(Assumption::BedMoisture);
    let mut cautions: Vec<Rule> = order.ingredients.iter().flat_map(|i| i.family.cautions()).copied().collect();
    cautions.append(&mut notes.cautions);
    let reported = [
        (order.ingredients.iter().any(|i| i.shred), Rule::Shredding),
        (order.ingredients.iter().any(|i| i.treatment == Treatment::Soaked), Rule::SoakWater),
        (is_outside(mix.moisture, usual_moisture), Rule::MixMoisture),
    ];
    cautions.extend(reported.into_iter().filter(|(is, _)| *is).map(|(_, rule)| rule).chain(of_mix));
    cautions.sort_unstable();
    cautions.dedup();
    cautions
}
