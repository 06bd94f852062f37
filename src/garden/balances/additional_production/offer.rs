//! The means of additional production, and what they yield for all that is short.

use super::late::Bounds;
use super::shortfalls::{Shortfall, check_span, first_day, last_day, on_the_first_day, within};
use super::{Means, ProductionPlan, Recipe, bed_overrides, produce};
use crate::garden::assumptions::{Assumed, Assumption, Castings, Known, Overrides};
use crate::garden::beds::sizing::MAX_CHOICES;
use crate::garden::beds::{Climate, Clocks};
use crate::garden::figures::Off;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::OfMassPerArea;
use crate::garden::units::{Area, Estimate, Mass};
use crate::garden::work::MAX_DATES_KEPT;
use chrono::NaiveDate;

/// What the size and the dates of a bed depend on, besides its feed.
const OF_BED: [Assumption; 14] = [
    Assumption::StoppedBelow,
    Assumption::ComfortLow,
    Assumption::ComfortHigh,
    Assumption::StoppedAbove,
    Assumption::CarryingCapacity,
    Assumption::DoublingTime,
    Assumption::FeedRate,
    Assumption::Finishing,
    Assumption::Drying,
    Assumption::OrganicMatterLoss,
    Assumption::SieveYield,
    Assumption::FirstLayer,
    Assumption::LaterLayer,
    Assumption::MaxDepth,
];

/// So many days of a clock are as much work as to look for a start once. Source: how this service works.
const DAYS_PER_LOOK: usize = 8;

/// What there is to produce with.
#[derive(Debug, Clone)]
pub struct Offer {
    /// The feed.
    pub recipe: Recipe,
    /// The ground of the bed; `None`: as much as it takes.
    pub area: Option<Area>,
    /// Live worms in stock; `None`: area x worms.stocking_density.
    pub worms: Option<Mass>,
    /// How many layers; `None`: as many as are still in time.
    pub layers: Option<u32>,
    /// The first day on which the materials are there.
    pub materials_from: Option<NaiveDate>,
    /// The first day on which the bed is free.
    pub bed_from: Option<NaiveDate>,
}

/// Where, when and how often it is looked for.
#[derive(Debug, Clone, Copy)]
pub struct Setting<'a> {
    /// The temperatures of the bed, if they are said.
    pub climate: Option<&'a Climate>,
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
    /// What is known.
    pub known: Known<'a>,
    /// How many runs, and from which seed; no runs: only the likely values.
    pub runs: (u32, u64),
    /// How many steps the runs may take.
    pub most_steps: u64,
}

/// What is to be produced.
#[derive(Debug, Clone)]
pub struct ProductionPlans {
    /// One for each date on which something is short.
    pub plans: Vec<ProductionPlan>,
    /// What holds of the bed besides what the request knows.
    pub bed: Overrides,
    /// True if more worms are put in than the ground carries for good.
    pub crowded: bool,
    /// The steps that the runs took.
    pub steps: u64,
    /// The first day on which a production can begin.
    pub first_start: Option<NaiveDate>,
}

impl Offer {
    /// Answers "what is to be produced with this for all that is short?"
    ///
    /// # Errors
    /// `missing_field` at `climate` where it is not said how warm the bed is, or not on the day of a shortfall; `too_large` at `simulation_runs`;
    /// `out_of_range` at `as_of` or `additional_production` where the days lie more than ten years apart; what [`Clocks::new`] and [`produce`] refuse.
    pub fn produce(&self, shortfalls: &[Shortfall], setting: Setting<'_>) -> Result<ProductionPlans, Refusal> {
        if self.area.is_none() && self.worms.is_none() {
            return self.each(shortfalls, setting);
        }
        let apart = self.what_is_late(shortfalls, setting).map(|apart| self.each(&apart, setting));
        apart.and_then(Result::ok).map_or_else(|| self.each(&on_the_first_day(shortfalls), setting), Ok)
    }

    /// One bed, or one lot of worms, can only be promised once. All that is short is produced for the first day, or for the first for which
    /// that is in time: then this is what was needed before, for which it is too late, and the rest. `None` where all is for the first day.
    fn what_is_late(&self, shortfalls: &[Shortfall], setting: Setting<'_>) -> Option<Vec<Shortfall>> {
        let likely = Setting { runs: (0, setting.runs.1), ..setting };
        let is_late = |first: &usize| {
            let found = self.each(&on_the_first_day(shortfalls.get(*first..)?), likely).ok()?;
            Some(!found.plans.iter().all(|plan| plan.likely.is_in_time()))
        };
        let places: Vec<usize> = (0..shortfalls.len()).collect();
        // A day that cannot be looked at is no day to plan for.
        let first = places.partition_point(|place| is_late(place).unwrap_or(*place > 0));
        let (late, rest) =
            shortfalls.split_at_checked(first).filter(|(late, rest)| !late.is_empty() && !rest.is_empty())?;
        Some([on_the_first_day(late), on_the_first_day(rest)].concat())
    }

    /// What is to be produced for each of these shortfalls by itself.
    fn each(&self, joined: &[Shortfall], setting: Setting<'_>) -> Result<ProductionPlans, Refusal> {
        let Setting { climate, as_of, known, runs, most_steps } = setting;
        let climate = climate.ok_or_else(Self::without_climate)?;
        let (Some(first), Some(last)) = (first_day(as_of, joined), last_day(as_of, joined)) else {
            let (plans, bed) = (Vec::new(), Overrides::default());
            return Ok(ProductionPlans { plans, bed, crowded: false, steps: 0, first_start: None });
        };
        let choices = if self.layers.is_some() || self.area.is_some() { 1 } else { MAX_CHOICES };
        let each = u64::from(choices);
        let days = joined.len();
        let of_all = |each: u64| u64::try_from(days).unwrap_or(u64::MAX).saturating_mul(each);
        check_runs(runs.0, (days, of_all(each)), MAX_DATES_KEPT)?;
        check_span((first, last), as_of)?;
        let clocks = Clocks::new(climate, within(climate, (first, last)), known)?;
        check_temperatures(joined, &clocks)?;
        let means = self.means(setting, &clocks);
        let bounds = Bounds::of(&means);
        let looks = u64::try_from(bounds.count()).unwrap_or(u64::MAX).max(1);
        // Each run has a clock of its own.
        let clock = u64::try_from(clocks.count() / DAYS_PER_LOOK).unwrap_or(u64::MAX);
        let each = of_all(each.saturating_mul(looks)).saturating_add(clock);
        check_runs(runs.0, (days, each), most_steps)?;
        let plans = produce(joined, &means)?;
        Ok(ProductionPlans {
            crowded: crowded(known, &plans),
            plans,
            bed: bed_overrides(&means),
            steps: each.saturating_mul(u64::from(runs.0)),
            first_start: bounds.first().map(|(day, _)| day),
        })
    }

    fn means<'a>(&self, Setting { as_of, known, runs, .. }: Setting<'a>, clocks: &'a Clocks) -> Means<'a> {
        let Self { area, worms, layers, materials_from, bed_from, .. } = *self;
        Means { recipe: self.recipe, area, worms, layers, materials_from, bed_from, as_of, clocks, known, runs }
    }

    /// The refusal of what is to be produced where nobody says how warm the bed is.
    #[must_use]
    pub fn without_climate() -> Refusal {
        let detail =
            "add the temperature of the bed, for example \"climate\": \"15 C\"; daily or monthly_means work too";
        Refusal::new(Reason::MissingField, detail).at("climate")
    }

    /// What the size and the dates of the bed depend on, besides its feed.
    ///
    /// # Errors
    /// What [`Castings::known`] refuses.
    pub fn assumed_of_bed(known: Known<'_>, (has_worms, heats): (bool, bool)) -> Result<Vec<Assumed>, Refusal> {
        let castings = Castings::known(known, Off).map_err(|e| e.at("assumptions"))?.assumed.into_iter();
        let mut used: Vec<Assumed> = OF_BED.iter().filter_map(|which| known.get(*which)).collect();
        used.extend(heats.then(|| known.get(Assumption::FreshLayer)).flatten());
        used.extend((!has_worms).then(|| known.get(Assumption::StockingDensity)).flatten());
        used.extend(castings.filter(|a| Assumption::OF_WEIGHT.contains(&a.assumption)));
        Ok(used)
    }
}

/// True if more worms go in than the ground carries for good.
fn crowded(known: Known<'_>, plans: &[ProductionPlan]) -> bool {
    let (carries, _): (Estimate<OfMassPerArea>, _) = known.estimate(Assumption::CarryingCapacity);
    plans.iter().any(|plan| plan.likely.worms > carries.likely() * plan.likely.area)
}

/// Refuses more runs than there may be, where each of them takes so many of what is limited.
fn check_runs(runs: u32, (days, each): (usize, u64), limit: u64) -> Result<(), Refusal> {
    let each = each.max(1);
    if u64::from(runs).saturating_mul(each) <= limit {
        return Ok(());
    }
    let most = limit / each;
    let detail = format!(
        "castings are short on {days} days; for this many days use at most {most} simulation runs, or give the layers of \
         additional_production"
    );
    let most = f64::from(u32::try_from(most).unwrap_or(u32::MAX));
    Err(Refusal::new(Reason::TooLarge, detail).between(0.0, most).at("simulation_runs"))
}

/// Refuses a shortfall on a day without temperature.
fn check_temperatures(shortfalls: &[Shortfall], clocks: &Clocks) -> Result<(), Refusal> {
    let Some(shortfall) = shortfalls.iter().find(|s| s.by > clocks.last() || s.by < clocks.first()) else {
        return Ok(());
    };
    let detail = format!(
        "castings are short on {}, and there is no temperature for that day; give one for each day up to it, or give \
         monthly_means",
        shortfall.by
    );
    Err(Refusal::new(Reason::MissingField, detail).at("climate"))
}
