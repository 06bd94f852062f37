//! Compost tea: castings for water, batches and their times.

mod day;
mod schedule;

pub use day::DayOfBrew;
pub use schedule::{Batch, Times};
use schedule::{Schedule, split};

use crate::garden::areas::{Extent, checked_volume};
use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{
    BrewWater, CastingsForTea, DilutionWater, MassOfVolume, OneRound, Row, Stronger as StrongerTea, Tea, ThenAdd,
    VolumePerArea, VolumePerLength, VolumePerPlant,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{
    OfDensity, OfDuration, OfMass, OfRatio, OfShare, OfVolume, OfVolumePerArea, OfVolumePerLength,
};
use crate::garden::units::{Duration, End, Estimate, ROUNDING_TOLERANCE};
use chrono::{DateTime, FixedOffset};

/// Most batches that one brew is split into. Source: limit of this service.
pub const MAX_BATCHES: u64 = 1_000;
/// The strongest brew that is offered: one part to five of water. Source: Edwards et al. 2010, Crop Protection 29.
const STRONGEST: f64 = 0.20;
/// Aerated tea without additives was clear of E. coli O157:H7 after this time. Source: Ingram & Millner 2007, J. Food Prot.
/// 70:828-834.
const CLEARED_AFTER: Duration = Duration::from_hours(36.0);
/// Tea without air was clear of it after this time: 8.5 days. Source: Ingram & Millner 2007, J. Food Prot. 70:828-834.
const CLEARED_STILL: Duration = Duration::from_hours(204.0);
/// Tea that is kept longer gets a caution: the upper end of tea.use_within. Source: common practice, no source.
const KEPT: Duration = Duration::from_hours(6.0);

/// How much tea a place gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Coverage {
    /// Over ground.
    PerArea(Estimate<OfVolumePerArea>),
    /// Along rows.
    PerLength(Estimate<OfVolumePerLength>),
    /// For each plant or pot.
    PerPlant(Estimate<OfVolume>),
}

/// How much is to be brewed.
#[expect(clippy::large_enum_variant, reason = "there is one for each brew, and it is copied")]
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// So much water.
    Water(Estimate<OfVolume>),
    /// As much tea, after dilution, as this place takes.
    Place(Coverage, Extent),
}

/// The vessels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brewer {
    /// Water in one.
    pub holds: Estimate<OfVolume>,
    /// How many.
    pub count: Estimate<OfRatio>,
    /// From one batch's end to the next one's start.
    pub turnaround: Duration,
}

/// Where the water is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaterSource {
    /// Treated drinking water.
    Mains,
    /// Rain from a roof.
    Rain,
    /// A well or spring.
    GroundWater,
    /// A pond, river or ditch, untreated.
    SurfaceWater,
}

/// A brew to be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// How much.
    pub amount: Amount,
    /// Water added to one part of tea before use.
    pub dilution: Estimate<OfRatio>,
    /// The vessels; without one, all is brewed at once.
    pub brewer: Option<Brewer>,
    /// When the first batches are to be ready.
    pub use_at: Option<DateTime<FixedOffset>>,
    /// True if anything but castings and water goes in.
    pub additives: bool,
    /// Where the water is from.
    pub water_source: Option<WaterSource>,
    /// True if air is blown in all the time.
    pub aerated: bool,
}

/// The same castings brewed stronger in one round, then diluted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stronger {
    /// Castings over water.
    pub castings_to_water: Estimate<OfShare>,
    /// Water to brew with.
    pub water: Estimate<OfVolume>,
    /// Water to add when it is ready.
    pub then_add: Estimate<OfVolume>,
}

/// A planned brew.
#[derive(Debug, Clone, PartialEq)]
pub struct Brew {
    /// Water to brew with.
    pub water: Estimate<OfVolume>,
    /// Tea after dilution (the water that castings hold back is not taken off).
    pub tea: Estimate<OfVolume>,
    /// Water added to the tea before use.
    pub dilution_water: Estimate<OfVolume>,
    /// Castings over water.
    pub strength: Estimate<OfShare>,
    /// Castings by volume.
    pub castings: Estimate<OfVolume>,
    /// Castings by mass.
    pub mass: Estimate<OfMass>,
    /// How long it brews.
    pub brewing_time: Duration,
    /// How soon it is used.
    pub use_within: Duration,
    /// From the end of a batch to the start of the next one in the same vessel.
    pub turnaround: Duration,
    /// The batches in order of their start.
    pub batches: Vec<Batch>,
    /// How many times the brewers are filled one after another.
    pub rounds: Estimate<OfRatio>,
    /// An offer, when there is more than one round.
    pub stronger: Option<Stronger>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "how much castings does this tea take, in which batches, and when do they start?"
///
/// Formulas: `water = litres wanted / (1 + dilution)`, `castings = water x castings_to_water` (by volume, over the
/// water), batches `ceil(water / capacity)` of equal size, `start = ready - brewing time`, the batches of one brewer one
/// after another.
///
/// # Errors
/// `rate_does_not_fit` if the coverage does not fit the surface; `too_large` above [`MAX_BATCHES`];
/// `bad_date` if a batch would start before 1900 or end after 2199.
pub fn plan(order: &Order, known: Known<'_>, recorder: impl Recorder) -> Result<Brew, Refusal> {
    let (tea, water) = tea_and_water(order, recorder)?;
    let [strength, density] = [Assumption::TeaStrength, Assumption::BulkDensity];
    let (strength, strength_used): (Estimate<OfShare>, _) = known.figure(strength, recorder);
    let (brewing, brewing_used): (Estimate<OfDuration>, _) = known.estimate(Assumption::BrewingTime);
    let (keeps, keeps_used): (Estimate<OfDuration>, _) = known.estimate(Assumption::UseWithin);
    let (density, density_used): (Estimate<OfDensity>, _) = known.figure(density, recorder);
    let dilution_water = recorder.figure(DilutionWater { W: water, k: order.dilution });
    let castings = recorder.figure(CastingsForTea { W: water, s: strength });
    let mass = recorder.figure(MassOfVolume { V: castings, rho: density });
    let split = split(water, order.brewer, recorder)?;
    let schedule = Schedule { brewing: brewing.likely(), keeps: keeps.likely(), order };
    let batches = schedule.batches(&split, castings.likely(), recorder)?;
    let is_repeated = split.rounds.likely().number() > 1.0;
    let vessels = order.brewer.filter(|_| is_repeated);
    let stronger = vessels.and_then(|vessels| stronger(vessels, castings, tea, recorder));
    let assumed = [strength_used, brewing_used, keeps_used, density_used].into_iter().flatten().collect();
    Ok(Brew {
        water,
        tea,
        dilution_water,
        strength,
        castings,
        mass,
        brewing_time: brewing.likely(),
        use_within: keeps.likely(),
        turnaround: order.brewer.map_or(Duration::from_hours(0.0), |brewer| brewer.turnaround),
        batches,
        rounds: split.rounds,
        stronger,
        cautions: cautions(order, (brewing.likely(), keeps.likely()), is_repeated),
        assumed,
    })
}

/// Answers "how many batches does this make?" without planning them.
///
/// # Errors
/// What [`plan`] refuses of amounts and vessels.
pub fn batches(order: &Order) -> Result<u64, Refusal> {
    let (_, water) = tea_and_water(order, Off)?;
    split(water, order.brewer, Off).map(|split| split.count)
}

#[expect(non_snake_case, reason = "the symbols of the formulas")]
fn tea_and_water(order: &Order, recorder: impl Recorder) -> Result<(Estimate<OfVolume>, Estimate<OfVolume>), Refusal> {
    let k = order.dilution;
    let tea = match order.amount {
        Amount::Water(W) => recorder.figure(Tea { W, k }),
        Amount::Place(coverage, extent) => covered(coverage, &extent, recorder)?,
    };
    checked_volume(tea.likely())?;
    let water = match order.amount {
        Amount::Water(water) => water,
        Amount::Place(..) => recorder.figure(BrewWater { T: tea, k }),
    };
    Ok((tea, water))
}

#[expect(non_snake_case, reason = "the symbols of the formulas")]
fn covered(coverage: Coverage, extent: &Extent, recorder: impl Recorder) -> Result<Estimate<OfVolume>, Refusal> {
    let found = match coverage {
        Coverage::PerArea(r) => extent.area.map(|A| recorder.figure(VolumePerArea { A, r })),
        Coverage::PerLength(r) => extent.row_length.map(|R| recorder.figure(VolumePerLength { R, r })),
        Coverage::PerPlant(v) => extent.plants.map(|k| recorder.figure(VolumePerPlant { k, v })),
    };
    found.ok_or_else(|| {
        let mut units = Vec::new();
        units.extend(extent.area.map(|_| "L/m2"));
        units.extend(extent.row_length.map(|_| "L/m"));
        units.extend(extent.plants.map(|_| "L/plant"));
        let detail = format!("this coverage does not fit the surface; give it as {}", units.join(" or "));
        Refusal::new(Reason::RateDoesNotFit, detail).allowed(units).at("coverage")
    })
}

fn stronger(
    vessels: Brewer,
    castings: Estimate<OfVolume>,
    tea: Estimate<OfVolume>,
    recorder: impl Recorder,
) -> Option<Stronger> {
    let round = OneRound { H: vessels.holds, k: vessels.count };
    let share = StrongerTea { C: castings.only(End::Likely), B: round.likely().into() }.likely();
    if share.fraction() > STRONGEST * (1.0 + ROUNDING_TOLERANCE) {
        return None;
    }
    let water = recorder.figure(round);
    let castings_to_water = recorder.figure(StrongerTea { C: castings.only(End::Likely), B: water });
    Some(Stronger { castings_to_water, water, then_add: recorder.figure(ThenAdd { T: tea, B: water }) })
}

/// What to mind with a brew, which brews so long and keeps so long: times that are assumed count as those that are given.
fn cautions(order: &Order, (brewing, keeps): (Duration, Duration), is_repeated: bool) -> Vec<Rule> {
    let mut cautions = Vec::new();
    if order.additives {
        cautions.push(Rule::TeaAdditives);
    }
    if order.water_source != Some(WaterSource::Mains) {
        cautions.push(Rule::TeaWater);
    }
    cautions.push(Rule::TeaSafety);
    let cleared = if order.aerated { CLEARED_AFTER } else { CLEARED_STILL };
    if brewing < cleared {
        cautions.push(Rule::TeaShortBrew);
    }
    if keeps > KEPT {
        cautions.push(Rule::TeaKept);
    }
    if is_repeated {
        cautions.push(Rule::TeaRounds);
    }
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::assumptions::Overrides;
    use crate::garden::units::{Ratio, Volume};

    fn ratio(number: f64) -> Estimate<OfRatio> {
        Ratio::from_number(number).into()
    }

    fn order(litres: f64) -> Order {
        let holds = Volume::from_litres(60.0).into();
        let brewer = Brewer { holds, count: ratio(1.0), turnaround: Duration::from_hours(0.0) };
        Order {
            amount: Amount::Water(Volume::from_litres(litres).into()),
            dilution: ratio(0.0),
            brewer: Some(brewer),
            use_at: Some(DateTime::parse_from_rfc3339("2027-06-10T18:00:00+02:00").unwrap()),
            additives: false,
            water_source: None,
            aerated: true,
        }
    }

    fn planned(order: &Order) -> Brew {
        let none = Overrides::default();
        plan(order, Known { request: &none, item: &none }, Off).unwrap()
    }

    #[test]
    fn two_hundred_litres_at_one_to_ten_in_a_60_litre_brewer_are_four_batches_of_50() {
        let brew = planned(&order(200.0));
        assert_eq!(brew.castings.likely().litres(), 20.0);
        assert_eq!(brew.batches.iter().map(|b| b.water.likely().litres()).collect::<Vec<_>>(), [50.0; 4]);
        assert_eq!(brew.batches.iter().map(|b| b.castings.get()).sum::<u64>(), 20_000);
        let starts: Vec<_> = brew.batches.iter().map(|b| b.times.unwrap().start.to_rfc3339()).collect();
        assert_eq!(starts[0], "2027-06-09T18:00:00+02:00");
        assert_eq!(starts[3], "2027-06-12T18:00:00+02:00");
        assert!(brew.cautions.contains(&Rule::TeaRounds));
        assert!(brew.stronger.is_none(), "20 L in 60 L would be stronger than one to five");
        assert_eq!(planned(&order(180.0)).batches.len(), 3);
        assert_eq!(planned(&order(60.0)).rounds, ratio(1.0));
    }

    #[test]
    fn a_stronger_brew_is_offered_up_to_one_to_five() {
        let offer = planned(&order(120.0)).stronger.unwrap();
        assert_eq!(offer.castings_to_water.likely().fraction(), 0.2);
        assert_eq!((offer.water.likely().litres(), offer.then_add.likely().litres()), (60.0, 60.0));
        assert!(planned(&order(121.0)).stronger.is_none());
    }

    /// Edwards et al. 2010 (Crop Protection 29): 1:5 is "20 %", castings over water: 2 L for 10 L of water.
    #[test]
    fn one_to_five_is_two_litres_in_ten() {
        let mut request = Overrides::default();
        request.set(Assumption::TeaStrength, crate::garden::assumptions::Span::exactly(0.2)).unwrap();
        let brew = plan(&order(10.0), Known { request: &request, item: &Overrides::default() }, Off).unwrap();
        assert_eq!(brew.castings.likely().litres(), 2.0);
        // Diluted to 10 % one litre of water is added to each litre, to 5 % three.
        let mut to_five = order(10.0);
        to_five.dilution = ratio(3.0);
        assert_eq!(planned(&to_five).dilution_water.likely().litres(), 30.0);
    }
}
