//! Compost tea: castings for water, batches and their times.

use crate::garden::areas::{Extent, checked_volume};
use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfDuration, OfMass, OfShare, OfVolume};
use crate::garden::units::{
    Duration, Estimate, HAIR, Millilitres, Share, Volume, VolumePerArea, VolumePerLength, whole,
};
use chrono::{DateTime, FixedOffset, TimeDelta};

/// Most batches that one brew is split into. Source: limit of this service.
pub const MOST_BATCHES: u64 = 1_000;
/// The strongest brew that is offered: one part to five of water. Source: Edwards et al. 2010, Crop Protection 29.
const STRONGEST: f64 = 0.20;
/// Aerated tea without additives was clear of E. coli O157:H7 after this time. Source: Ingram & Millner 2007, J. Food Prot.
/// 70:828-834.
const CLEARED_AFTER: Duration = Duration::from_hours(36.0);
/// Tea without air was clear of it after this time: 8.5 days. Source: Ingram & Millner 2007, J. Food Prot. 70:828-834.
const CLEARED_STILL: Duration = Duration::from_hours(204.0);
/// Tea that is kept longer gets a caution: the upper end of tea.use_within. Source: common practice, no source.
const KEPT: Duration = Duration::from_hours(6.0);
/// Seconds in an hour. Source: exact by definition.
const SECONDS: f64 = 3_600.0;

/// How much tea a place gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Coverage {
    /// Over ground.
    PerArea(VolumePerArea),
    /// Along rows.
    PerLength(VolumePerLength),
    /// For each plant or pot.
    PerPlant(Volume),
}

/// How much is to be brewed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// So much water.
    Water(Volume),
    /// As much tea, after dilution, as this place takes.
    Place(Coverage, Extent),
}

/// The vessels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brewer {
    /// Water in one.
    pub holds: Volume,
    /// How many.
    pub count: u32,
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
    Ground,
    /// A pond, river or ditch, untreated.
    Surface,
}

/// A brew to be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// How much.
    pub amount: Amount,
    /// Water added to one part of tea before use.
    pub dilution: f64,
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

/// One batch in one vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    /// Its water.
    pub water: Volume,
    /// Its castings.
    pub castings: Millilitres,
    /// Start, ready and use-by; `None` when no time was given.
    pub times: Option<Times>,
}

/// When a batch starts, is ready and must be used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// Castings into water.
    pub start: DateTime<FixedOffset>,
    /// Tea ready.
    pub ready: DateTime<FixedOffset>,
    /// Tea used up.
    pub use_by: DateTime<FixedOffset>,
}

/// The same castings brewed stronger in one round, then diluted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stronger {
    /// Castings over water.
    pub castings_per_water: Share,
    /// Water to brew with.
    pub water: Volume,
    /// Water to add when it is ready.
    pub then_add: Volume,
}

/// A planned brew.
#[derive(Debug, Clone, PartialEq)]
pub struct Brew {
    /// Water to brew with.
    pub water: Volume,
    /// Tea after dilution (the water that castings hold back is not taken off).
    pub tea: Volume,
    /// Water added to the tea before use.
    pub dilution_water: Volume,
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
    /// The batches in order of their start.
    pub batches: Vec<Batch>,
    /// How many times the brewers are filled one after another.
    pub rounds: u64,
    /// An offer, when there is more than one round.
    pub stronger: Option<Stronger>,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "how much castings does this tea take, in which batches, and when do they start?"
///
/// Formulas: `water = litres wanted / (1 + dilution)`, `castings = water x castings_per_water` (by volume, over the
/// water), batches `ceil(water / holds)` of equal size, `start = ready - brewing time`, the batches of one brewer one
/// after another.
///
/// # Errors
/// `rate_does_not_fit` if the coverage does not fit the surface; `too_large` above [`MOST_BATCHES`];
/// `bad_date` if a batch would start before 1900 or end after 2199.
pub fn plan(order: &Order, known: Known<'_>) -> Result<Brew, Refusal> {
    let (tea, water) = tea_and_water(order)?;
    let (strength, strength_used): (Estimate<OfShare>, _) = known.estimate(Assumption::TeaStrength);
    let (brewing, brewing_used): (Estimate<OfDuration>, _) = known.estimate(Assumption::BrewingTime);
    let (keeps, keeps_used): (Estimate<OfDuration>, _) = known.estimate(Assumption::UseWithin);
    let (density, density_used): (Estimate<OfDensity>, _) = known.estimate(Assumption::BulkDensity);
    let castings: Estimate<OfVolume> = Estimate::exactly(water) * strength;
    let (count, rounds) = batch_count(water, order.brewer)?;
    let schedule = Schedule { brewing: brewing.likely(), keeps: keeps.likely(), order };
    let batches = schedule.batches(count, water, Millilitres::nearest(castings.likely()))?;
    let stronger = stronger(order, water, castings.likely(), rounds);
    let assumed = [strength_used, brewing_used, keeps_used, density_used].into_iter().flatten().collect();
    Ok(Brew {
        water,
        tea,
        dilution_water: water.times(order.dilution),
        strength,
        castings,
        mass: castings * density,
        brewing_time: brewing.likely(),
        use_within: keeps.likely(),
        batches,
        rounds,
        stronger,
        cautions: cautions(order, (brewing.likely(), keeps.likely()), rounds),
        assumed,
    })
}

/// Answers "how many batches does this make?" without planning them.
///
/// # Errors
/// What [`plan`] refuses of amounts and vessels.
pub fn batches(order: &Order) -> Result<u64, Refusal> {
    let (_, water) = tea_and_water(order)?;
    batch_count(water, order.brewer).map(|(batches, _)| batches)
}

fn tea_and_water(order: &Order) -> Result<(Volume, Volume), Refusal> {
    let tea_wanted = match order.amount {
        Amount::Water(water) => water.times(1.0 + order.dilution),
        Amount::Place(coverage, extent) => covered(coverage, &extent)?,
    };
    let tea = checked_volume(tea_wanted)?;
    let water = match order.amount {
        Amount::Water(water) => water,
        Amount::Place(..) => tea.times(1.0 / (1.0 + order.dilution)),
    };
    Ok((tea, water))
}

fn covered(coverage: Coverage, extent: &Extent) -> Result<Volume, Refusal> {
    let found = match coverage {
        Coverage::PerArea(rate) => extent.area.map(|area| rate * area),
        Coverage::PerLength(rate) => extent.row_length.map(|length| rate * length),
        Coverage::PerPlant(each) => extent.plant_count().map(|count| each.times(count)),
    };
    found.ok_or_else(|| {
        let mut units = Vec::new();
        units.extend(extent.area.map(|_| "L/m2"));
        units.extend(extent.row_length.map(|_| "L/m"));
        units.extend(extent.plants.map(|_| "L/plant"));
        let detail = format!("this coverage does not fit the surface; give it in {}", units.join(" or "));
        Refusal::new(Reason::RateDoesNotFit, detail).allowed(units).at("coverage")
    })
}

/// How many equal batches, and how many rounds of all brewers.
fn batch_count(water: Volume, brewer: Option<Brewer>) -> Result<(u64, u64), Refusal> {
    let Some(brewer) = brewer else { return Ok((1, 1)) };
    let batches = (water.litres() / brewer.holds.litres() - HAIR).ceil().max(1.0);
    if batches > whole(MOST_BATCHES) {
        let detail = format!("this makes more than {MOST_BATCHES} batches; take a larger brewer or less water");
        return Err(Refusal::new(Reason::TooLarge, detail).at("brewer"));
    }
    #[expect(clippy::as_conversions, reason = "between 1 and MOST_BATCHES")]
    let batches = batches as u64;
    Ok((batches, batches.div_ceil(u64::from(brewer.count).max(1))))
}

struct Schedule<'a> {
    brewing: Duration,
    keeps: Duration,
    order: &'a Order,
}

impl Schedule<'_> {
    /// Equal batches; the castings are split in whole millilitres, the first batches taking one more where it does not
    /// come out even.
    fn batches(&self, count: u64, water: Volume, castings: Millilitres) -> Result<Vec<Batch>, Refusal> {
        let (each, rest) = (castings.get() / count, castings.get() % count);
        let brewers = self.order.brewer.map_or(1, |b| u64::from(b.count).max(1));
        (0..count)
            .map(|i| {
                Ok(Batch {
                    water: water.times(1.0 / whole(count)),
                    castings: Millilitres::new(each + u64::from(i < rest)),
                    times: self.times(i / brewers)?,
                })
            })
            .collect()
    }

    fn times(&self, round: u64) -> Result<Option<Times>, Refusal> {
        let Some(use_at) = self.order.use_at else { return Ok(None) };
        let turnaround = self.order.brewer.map_or(0.0, |b| b.turnaround.hours());
        let later = whole(round) * (self.brewing.hours() + turnaround);
        let at = |hours: f64| -> Result<DateTime<FixedOffset>, Refusal> {
            #[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and the date is checked")]
            let seconds = (hours * SECONDS).round() as i64;
            let range = crate::garden::dates::MIN_YEAR..=crate::garden::dates::MAX_YEAR;
            TimeDelta::try_seconds(seconds)
                .and_then(|delta| use_at.checked_add_signed(delta))
                .filter(|moment| range.contains(&chrono::Datelike::year(moment)))
                .ok_or_else(|| {
                    Refusal::new(Reason::BadDate, "a batch would start before 1900 or end after 2199").at("use_at")
                })
        };
        Ok(Some(Times {
            start: at(later - self.brewing.hours())?,
            ready: at(later)?,
            use_by: at(later + self.keeps.hours())?,
        }))
    }
}

fn stronger(order: &Order, water: Volume, castings: Volume, rounds: u64) -> Option<Stronger> {
    let brewer = order.brewer.filter(|_| rounds > 1)?;
    let one_round = brewer.holds.times(f64::from(brewer.count));
    let share = castings / one_round;
    let tea = water.times(1.0 + order.dilution);
    (share.fraction() <= STRONGEST * (1.0 + HAIR)).then_some(Stronger {
        castings_per_water: share,
        water: one_round,
        then_add: tea - one_round,
    })
}

fn cautions(order: &Order, (brewing, keeps): (Duration, Duration), rounds: u64) -> Vec<Rule> {
    let mut cautions = Vec::new();
    if order.additives {
        cautions.push(Rule::TeaAdditives);
    }
    if order.water_source != Some(WaterSource::Mains) {
        cautions.push(Rule::TeaWater);
    }
    cautions.push(Rule::TeaSafety);
    if brewing < if order.aerated { CLEARED_AFTER } else { CLEARED_STILL } {
        cautions.push(Rule::TeaShortBrew);
    }
    if keeps > KEPT {
        cautions.push(Rule::TeaKept);
    }
    if rounds > 1 {
        cautions.push(Rule::TeaRounds);
    }
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::assumptions::Overrides;

    fn order(litres: f64) -> Order {
        let brewer = Brewer { holds: Volume::from_litres(60.0), count: 1, turnaround: Duration::from_hours(0.0) };
        Order {
            amount: Amount::Water(Volume::from_litres(litres)),
            dilution: 0.0,
            brewer: Some(brewer),
            use_at: Some(DateTime::parse_from_rfc3339("2027-06-10T18:00:00+02:00").unwrap()),
            additives: false,
            water_source: None,
            aerated: true,
        }
    }

    fn planned(order: &Order) -> Brew {
        let none = Overrides::default();
        plan(order, Known { request: &none, item: &none }).unwrap()
    }

    #[test]
    fn two_hundred_litres_at_one_to_ten_in_a_60_litre_brewer_are_four_batches_of_50() {
        let brew = planned(&order(200.0));
        assert_eq!(brew.castings.likely().litres(), 20.0);
        assert_eq!(brew.batches.iter().map(|b| b.water.litres()).collect::<Vec<_>>(), [50.0; 4]);
        assert_eq!(brew.batches.iter().map(|b| b.castings.get()).sum::<u64>(), 20_000);
        let starts: Vec<_> = brew.batches.iter().map(|b| b.times.unwrap().start.to_rfc3339()).collect();
        assert_eq!(starts[0], "2027-06-09T18:00:00+02:00");
        assert_eq!(starts[3], "2027-06-12T18:00:00+02:00");
        assert!(brew.cautions.contains(&Rule::TeaRounds));
        assert!(brew.stronger.is_none(), "20 L in 60 L would be stronger than one to five");
        assert_eq!(planned(&order(180.0)).batches.len(), 3);
        assert_eq!(planned(&order(60.0)).rounds, 1);
    }

    #[test]
    fn a_stronger_brew_is_offered_up_to_one_to_five() {
        let offer = planned(&order(120.0)).stronger.unwrap();
        assert_eq!(offer.castings_per_water.fraction(), 0.2);
        assert_eq!((offer.water.litres(), offer.then_add.litres()), (60.0, 60.0));
        assert!(planned(&order(121.0)).stronger.is_none());
    }

    /// Edwards et al. 2010 (Crop Protection 29): 1:5 is "20 %", castings over water: 2 L for 10 L of water.
    #[test]
    fn one_to_five_is_two_litres_in_ten() {
        let mut request = Overrides::default();
        request.set(Assumption::TeaStrength, crate::garden::assumptions::Span::exactly(0.2)).unwrap();
        let brew = plan(&order(10.0), Known { request: &request, item: &Overrides::default() }).unwrap();
        assert_eq!(brew.castings.likely().litres(), 2.0);
        // Diluted to 10 % one litre of water is added to each litre, to 5 % three.
        let mut to_five = order(10.0);
        to_five.dilution = 3.0;
        assert_eq!(planned(&to_five).dilution_water.litres(), 30.0);
    }
}
