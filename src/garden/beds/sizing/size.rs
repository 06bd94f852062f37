//! Ground, worms and bins as figures, each by its formula.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::super::Clocks;
use super::super::clock::whole_days;
use super::super::inputs::Inputs;
use super::super::loss::Keeps;
use super::super::yields::{SievedParts, Store, Yield};
use super::weeks::{WEEK, Week};
use super::{BedToSize, Bins};
use crate::garden::assumptions::Assumption;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{
    BinsForGround, DryCastings, FeedADay, FeedAWeek, FeedAYear, GroundByThumb, GroundForWorms, GroundOfBin,
    GroundOfBins, HeldBack, MassPerArea, MoistOfDry, Row, SievedOfFeed, TotalMass, WarmDaysUntilEnough, WormsByThumb,
    WormsToBuy, WormsToEat,
};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfArea, OfDuration, OfFeedRate, OfMass, OfMassPerArea, OfRatio, OfShare};
use crate::garden::units::{Duration, End, Estimate, Mass, ROUNDING_TOLERANCE, Ratio};
use chrono::NaiveDate;

/// Ground, worms, bins, feed and castings of a bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Warm days over all days of the plan.
    pub warm_share: Estimate<OfShare>,
    /// Feed a day, dry matter.
    pub feed_a_day: Estimate<OfMass>,
    /// Feed a week, as moist as it is fed.
    pub feed_a_week: Estimate<OfMass>,
    /// Worms that eat it as it comes; for castings, those that the ground is stocked with.
    pub worms_needed: Estimate<OfMass>,
    /// The least ground that carries them; `None` for castings.
    pub ground_at_least: Option<Estimate<OfArea>>,
    /// Ground on which they have room to grow.
    pub ground_with_room: Estimate<OfArea>,
    /// The ground of the bed.
    pub ground: Estimate<OfArea>,
    /// Worms that it starts with.
    pub worms: Estimate<OfMass>,
    /// Worms to buy for that.
    pub to_buy: Estimate<OfMass>,
    /// Worms to buy besides, so that it eats all feed from the first day.
    pub to_buy_for_all: Estimate<OfMass>,
    /// When it has enough by itself; `None` if never, since the ground does not carry so many.
    pub enough: Option<Enough>,
    /// How many bins it takes.
    pub bins: Option<BinsNeeded>,
    /// Castings of a year's feed, once it is all eaten, where it comes each week.
    pub castings_a_year: Option<Yield>,
    /// Castings of all feed that comes on dates, once it is all eaten.
    pub castings_of_all: Option<Yield>,
    /// What rules of thumb say.
    pub thumb: Thumb,
}

/// When a bed has enough worms by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Enough {
    /// Warm days with feed until then.
    pub warm_days: Estimate<OfDuration>,
    /// The first day of the week from which it has them; `None` if not within the plan.
    pub on: Option<NaiveDate>,
}

impl Enough {
    /// No earlier than the day on which the worms are put in.
    pub(super) fn from(self, day: NaiveDate) -> Self {
        Self { on: self.on.map(|on| on.max(day)), ..self }
    }
}

/// How many bins a bed takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BinsNeeded {
    /// How many.
    pub count: Estimate<OfRatio>,
    /// The ground of one.
    pub ground: Estimate<OfArea>,
}

/// What rules of thumb say: worms eat half their weight a day, and a pound of them takes a square foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thumb {
    /// The feed of a week that they go by, as moist as it is fed.
    pub feed_a_week: Estimate<OfMass>,
    /// Worms.
    pub worms: Estimate<OfMass>,
    /// Ground.
    pub ground: Estimate<OfArea>,
}

/// What sizes are made with: what is known, and the temperatures.
#[derive(Debug)]
pub(super) struct Sizer<'k, R> {
    pub asked: &'k BedToSize,
    pub clocks: &'k Clocks,
    pub inputs: Inputs<'k, R>,
    carrying: Estimate<OfMassPerArea>,
    stocking: Estimate<OfMassPerArea>,
    feed_rate: Estimate<OfFeedRate>,
    doubling: Estimate<OfDuration>,
    pub warm_share: Estimate<OfShare>,
}

impl<'k, R: Recorder> Sizer<'k, R> {
    /// Gathers what is known.
    ///
    /// # Errors
    /// `impossible_value` without any warm day.
    pub fn new(asked: &'k BedToSize, clocks: &'k Clocks, mut inputs: Inputs<'k, R>) -> Result<Self, Refusal> {
        let carrying = inputs.take(Assumption::CarryingCapacity);
        let stocking = inputs.take(Assumption::StockingDensity);
        let (feed_rate, doubling) = (inputs.take(Assumption::FeedRate), inputs.take(Assumption::DoublingTime));
        let warm_share = warm_share(asked, clocks, inputs.recorder)?;
        Ok(Self { asked, clocks, inputs, carrying, stocking, feed_rate, doubling, warm_share })
    }

    /// Worms that eat so much dry feed a day as it comes.
    pub fn worms_for(&self, D: Estimate<OfMass>) -> Estimate<OfMass> {
        self.inputs.recorder.figure(WormsToEat { D, f: self.feed_rate, g: self.warm_share })
    }

    /// The least ground that carries worms, and ground with room to grow.
    pub fn ground_for(&self, B: Estimate<OfMass>) -> [Estimate<OfArea>; 2] {
        [self.carrying, self.stocking].map(|r| self.inputs.recorder.figure(GroundForWorms { B, r }))
    }

    /// The worms with which ground is stocked.
    pub fn stock(&self, A: Estimate<OfArea>) -> Estimate<OfMass> {
        self.inputs.recorder.figure(MassPerArea { A, r: self.stocking })
    }

    /// The most that worms can weigh on this ground.
    pub fn carries(&self, A: Estimate<OfArea>) -> Mass {
        self.carrying.likely() * A.likely()
    }

    /// The most dry feed that this ground can have eaten in so many warm days, kg.
    pub fn most_eaten(&self, A: Estimate<OfArea>, warm_days: f64) -> f64 {
        self.feed_rate.likely().per_day() * self.carries(A).kilograms() * warm_days
    }

    /// The bins for so much ground, and the ground of all of them.
    pub fn bins(&mut self, A: Estimate<OfArea>) -> Option<(BinsNeeded, Estimate<OfArea>)> {
        let Bins { capacity, ground } = self.asked.bins?;
        let a = ground.unwrap_or_else(|| {
            let d: Estimate<crate::garden::units::quantity::OfLength> = self.inputs.take(Assumption::MaxDepth);
            self.inputs.recorder.figure(GroundOfBin { V: capacity, d: d.only(End::Likely) })
        });
        let count = self.inputs.recorder.figure(BinsForGround { A: A.only(End::Likely), a });
        let all = self.inputs.recorder.figure(GroundOfBins { n: count, a });
        Some((BinsNeeded { count, ground: a }, all))
    }

    /// The worms that the bed starts with, and those to buy for that: what is there and what is bought, or else as many as are needed and
    /// as the ground carries.
    pub fn start(&self, B: Estimate<OfMass>, A: Estimate<OfArea>) -> (Estimate<OfMass>, Estimate<OfMass>) {
        let nothing: Estimate<OfMass> = Mass::from_kilograms(0.0).into();
        match (self.asked.worms, self.asked.to_buy) {
            (None, None) => {
                let most = self.carries(A);
                let B = B.only(End::Likely);
                if B.likely() <= most {
                    return (B, B);
                }
                let start = self.inputs.recorder.figure(MassPerArea { A, r: self.carrying.only(End::Likely) });
                (start, start)
            }
            (Some(there), None) => (there, nothing),
            (None, Some(bought)) => (bought, bought),
            (Some(there), Some(bought)) => (self.inputs.recorder.figure(TotalMass { u: vec![there, bought] }), bought),
        }
    }

    /// Worms that lack of those wanted.
    pub fn lacking(&self, B: Estimate<OfMass>, w: Estimate<OfMass>) -> Estimate<OfMass> {
        let (B, w) = (B.only(End::Likely), w.only(End::Likely));
        self.inputs.recorder.figure(WormsToBuy { B, w })
    }

    /// When worms `b` at the start have become `B` on this ground; `None` if never.
    pub fn enough(
        &self,
        (b, B): (Estimate<OfMass>, Estimate<OfMass>),
        A: Estimate<OfArea>,
        weeks: &[Week],
    ) -> Option<Enough> {
        let (enough, most) = (B.likely(), self.carries(A));
        if enough > most.times(1.0 + ROUNDING_TOLERANCE) {
            return None;
        }
        if b.likely() >= enough {
            return Some(Enough { warm_days: Duration::from_hours(0.0).into(), on: Some(self.asked.start_on) });
        }
        let row = |end: End| {
            let (k, T) = (self.carrying.only(end), self.doubling.only(end.other()));
            WarmDaysUntilEnough { T, k, A: A.only(End::Likely), b: b.only(End::Likely), B: B.only(End::Likely) }
        };
        let slow = if enough < self.carrying.low() * A.likely() { End::Low } else { End::Likely };
        let bounds = [row(End::High), row(End::Likely), row(slow)].map(|row| row.likely());
        if enough >= most {
            return None;
        }
        let bounds = Estimate::around(bounds.map(Duration::hours));
        let on = weeks.iter().find(|week| week.worms >= enough).and_then(|week| week.end_on.succ_opt());
        Some(Enough { warm_days: self.inputs.recorder.figure_within(row(End::Likely), bounds), on })
    }

    /// Feed of a week, moist.
    pub fn a_week(&self, D: Estimate<OfMass>) -> Estimate<OfMass> {
        let recorder = self.inputs.recorder;
        let n = recorder.by_rule("the days of a week", &[D.node()], Ratio::from_number(f64::from(WEEK)).into());
        let D = recorder.figure(FeedAWeek { D, n });
        recorder.figure(MoistOfDry { D, w: self.asked.feed.moisture })
    }

    /// Castings of a year's feed.
    ///
    /// # Errors
    /// What [`crate::garden::assumptions::Castings::known`] refuses.
    pub fn castings_a_year(&mut self, D: Estimate<OfMass>) -> Result<Yield, Refusal> {
        let D = self.inputs.recorder.figure(FeedAYear { D });
        self.castings_of(D)
    }

    /// Castings of so much feed: `D (ash + (1 - ash)(1 - lambda)) x sieve yield / rho_d`.
    ///
    /// # Errors
    /// What [`crate::garden::assumptions::Castings::known`] refuses.
    pub fn castings_of(&mut self, D: Estimate<OfMass>) -> Result<Yield, Refusal> {
        let keeps = Keeps::known(self.asked.feed.ash, &mut self.inputs);
        let store = Store::known(&mut self.inputs)?;
        let recorder = self.inputs.recorder;
        let (x, lambda, p) = (keeps.ash, keeps.loss, store.sieve);
        let dry_matter = recorder.figure(DryCastings { D, x, lambda });
        let passes = recorder.figure(SievedOfFeed { D, x, lambda, p });
        let held_back = recorder.figure(HeldBack { C: dry_matter, p, rho_d: store.castings.dry_bulk_density });
        Ok(store.takes(SievedParts { dry_matter, passes, held_back }, recorder))
    }

    /// What rules of thumb say of so much dry feed a day.
    pub fn thumb(&self, D: Estimate<OfMass>) -> Thumb {
        let recorder = self.inputs.recorder;
        let m = recorder.figure(MoistOfDry { D, w: self.asked.feed.moisture });
        let B = recorder.figure(WormsByThumb { m });
        Thumb { feed_a_week: self.a_week(D), worms: B, ground: recorder.figure(GroundByThumb { B }) }
    }

    /// What they say of feed that is not given all the time: of all of it over the days of the weeks in which the bed takes feed.
    pub fn thumb_while_fed(&self, F: Estimate<OfMass>, weeks: &[Week]) -> Thumb {
        let fed = weeks.iter().filter(|week| week.takes_feed());
        let days: i64 = fed.map(|week| (week.end_on - week.start_on).num_days().saturating_add(1)).sum();
        // A bed that never takes any has all days of the plan.
        let days = usize::try_from(days).ok().filter(|days| *days > 0).unwrap_or_else(|| self.clocks.count());
        let rule = "the days of the weeks in which the bed takes feed";
        let recorder = self.inputs.recorder;
        let n = recorder.by_rule(rule, &[F.node()], Ratio::from_number(whole_days(days)).into());
        self.thumb(recorder.figure(FeedADay { F, n }))
    }
}

/// Warm days over all days of the plan, at the slow end, the likely values and the quick end.
fn warm_share(asked: &BedToSize, clocks: &Clocks, recorder: impl Recorder) -> Result<Estimate<OfShare>, Refusal> {
    let end = clocks
        .deadly_from(clocks.first())
        .map_or(clocks.count(), |(on, _)| usize::try_from((on - clocks.first()).num_days()).unwrap_or(0));
    let days = whole_days(end);
    let shares = clocks.three().map(|clock| if days > 0.0 { clock.at(days) / days } else { 0.0 });
    let [slow, likely, quick] = shares;
    if likely <= 0.0 {
        return Err(Refusal::new(Reason::ImpossibleValue, no_warm_day(clocks)).at("climate"));
    }
    // A slow end without any warmth would need worms without end.
    let share = Estimate::around([if slow > 0.0 { slow } else { likely }, likely, quick.max(likely)]);
    Ok(recorder.by_rule("followed on the clock of warm days", &[asked.climate], share))
}

/// Why no worms eat, and what to give instead.
fn no_warm_day(clocks: &Clocks) -> String {
    match clocks.deadly_from(clocks.first()) {
        Some((on, why)) => format!(
            "{} kills the worms on {}, and they eat nothing before that day: {}, and give climate the temperature in the bed, as fixed or \
             with an offset to the air",
            why.as_str(),
            on.format("%-d %b %Y"),
            why.remedy()
        ),
        None => format!(
            "there is no warm day from {} to {}, so no worms eat: give the temperature in the bed, or a later until",
            clocks.first(),
            clocks.last()
        ),
    }
}
