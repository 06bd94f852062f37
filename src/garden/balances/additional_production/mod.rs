//! What to produce so that a shortfall is met: how much feed, on which ground, with how many worms, and by when to begin.
//!
//! ```text
//! recipe (a feed as planned) + shortfall -> size (dry feed) -> layers, ground, worms -> latest start; late? what is the limiting factor
//! ```

mod can_wait;
mod late;
mod offer;
mod planner;
mod sampled;
mod shortfalls;
mod size;

pub use crate::garden::feeds::Recipe;
pub use can_wait::{CanWait, can_wait, waits_for_sacks};
pub use late::{Late, LimitingFactor};
pub use offer::{Offer, ProductionPlans, Setting};
pub use shortfalls::{
    LOOK_AHEAD_DAYS, LOOK_BACK_DAYS, MAX_DATES, Shortfall, by_date, first_day, last_day, met_by_untreated, shortfalls,
};

use crate::garden::assumptions::{Assumption, Known, Overrides, Span};
use crate::garden::beds::{Bed, ClockDrawn, Clocks, Feed, MAX_LAYERS, SingleCycle, Supply};
use crate::garden::draws::{Run, Variables};
use crate::garden::feeds::depth_on_worms;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Area, Mass, Millilitres};
use chrono::NaiveDate;
use late::Bounds;
use planner::BatchPlanner;
use sampled::Sampled;
use size::Sizer;

/// Days by which a start may slip, as reported. Source: how this service works.
pub const SLIPS: [u32; 2] = [7, 21];
/// Castings to spare, of the shortfall, so that numbers written with nine digits still close it. Source: tolerance of computing.
const SPARE: f64 = 1e-8;

/// What there is to produce with, and on which days.
#[derive(Debug, Clone)]
pub struct Means<'a> {
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
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
    /// The clocks of the place, from [`first_day`] to [`last_day`].
    pub clocks: &'a Clocks,
    /// What is known.
    pub known: Known<'a>,
    /// How many runs, and from which seed; no runs: only the likely values.
    pub runs: (u32, u64),
}

/// A bed to start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Batch {
    /// Castings that it gives at the likely values.
    pub castings: Millilitres,
    /// Dry feed.
    pub feed: Mass,
    /// Its ground.
    pub area: Area,
    /// Live worms.
    pub worms: Mass,
    /// Layers.
    pub layers: u32,
    /// False if the ground that was given does not hold so much feed in one go; the ground that would is then [`Batch::area_needed`].
    pub fits: bool,
    /// The ground that holds the feed in one go.
    pub area_needed: Area,
    /// The last day to begin the production (the first step of the recipe).
    pub start_on: Option<NaiveDate>,
    /// The day on which the worms go in.
    pub worms_in_on: Option<NaiveDate>,
    /// The day on which the castings are ready, for a start on that day; `None` also where it is too late for that.
    pub ready_on: Option<NaiveDate>,
    /// Set where that start is before the first possible one.
    pub late: Option<Late>,
}

impl Batch {
    /// Whether it can start early enough.
    #[must_use]
    pub fn is_in_time(&self) -> bool {
        self.late.is_none() && self.start_on.is_some()
    }

    /// Whether it would have to begin before the first possible day, whatever else prevents it.
    #[must_use]
    pub fn begins_before(&self, late: Late) -> bool {
        late.first_start_on.zip(self.start_on).is_some_and(|(first, start)| start < first)
    }
}

/// What becomes of a start that slips.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slip {
    /// How many days later.
    pub days: u32,
    /// The production then begins.
    pub start_on: NaiveDate,
    /// The castings are then ready; `None`: not within the next year, or a deadly day ends the bed before.
    pub ready_on: Option<NaiveDate>,
}

/// A number of layers that would do: more layers need less ground and fewer worms, but an earlier start. All of it is of one size: with runs
/// that for 90 %, else the likely one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Layers.
    pub layers: u32,
    /// Ground.
    pub area: Area,
    /// Worms.
    pub worms: Mass,
    /// The last day to begin at the likely values.
    pub start_on: Option<NaiveDate>,
    /// The last day to begin for a chance of 90 %.
    pub latest_start_at_90_percent: Option<NaiveDate>,
    /// The last day to begin for an even chance.
    pub latest_start_at_50_percent: Option<NaiveDate>,
    /// True if the likely start is out of the question.
    pub late: bool,
}

/// What to produce for one shortfall.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductionPlan {
    /// The shortfall.
    pub shortfall: Shortfall,
    /// At the likely values.
    pub likely: Batch,
    /// So large that 95 of 100 runs give enough, started so early that 90 of 100 give enough in time. `None` without runs.
    pub at_90_percent: Option<Batch>,
    /// As large as that, the last day to begin for an even chance.
    pub latest_start_at_50_percent: Option<NaiveDate>,
    /// The likely one, started later.
    pub if_started_later: Vec<Slip>,
    /// Other numbers of layers; empty where ground or layers were given.
    pub choices: Vec<Choice>,
}

/// Answers "what must be started, how much and by when, so that nobody goes short?" for each shortfall by itself.
///
/// Size: dry feed `D = V rho_d / (sieve yield x (ash + (1 - ash)(1 - lambda)))`; ground `D / (rho_d,feed x depth of the layers)`;
/// worms `ground x stocking`. Start: the last day `s` with `tau(by - drying) - tau(s) >= tau(D) + finishing`, less the days of the
/// recipe. A later start is never ready earlier, so between two deadly days all that begins up to such a day is in time;
/// castings that are finished before a deadly day outlast it, and of several such days the last one counts. For 90 %: the feed that is
/// enough in 95 of 100 runs, and the day on which 90 of 100 are enough and in time.
/// Layers, unless given: the most whose start for 90 % is still possible, else the most whose likely start is, else one.
///
/// # Errors
/// `out_of_range` for layers that one bed cannot take; what beds and castings refuse.
pub fn produce(shortfalls: &[Shortfall], means: &Means<'_>) -> Result<Vec<ProductionPlan>, Refusal> {
    let item = own(means)?;
    let known = Known { request: means.known.request, item: &item };
    let mut variables = Variables::correlated(known.request.copula());
    let once = SingleCycle::new(means.recipe.ash, known, &mut variables)?;
    let clock = ClockDrawn::new(means.clocks, known, &mut variables);
    let sizer = Sizer::new(means, known)?;
    let layers = sizer.layers()?;
    let bounds = Bounds::of(means);
    let sampled = Sampled::new((shortfalls, &layers), (&sizer, &once, &bounds), (&variables, &clock), means);
    let mut plans = Vec::with_capacity(shortfalls.len());
    for (i, shortfall) in shortfalls.iter().enumerate() {
        let each = once.castings_for_each(&Run::LIKELY);
        let feed = size::for_castings(shortfall.amount, each);
        plans.push(
            BatchPlanner { means, sizer: &sizer, once: &once, bounds: &bounds, shortfall: *shortfall, each }.plan(
                feed,
                &layers,
                sampled.get(i),
            )?,
        );
    }
    Ok(plans)
}

/// Refuses a number of layers.
fn check_layers(layers: u32, most: u32) -> Result<(), Refusal> {
    if layers >= 1 && layers <= most.min(MAX_LAYERS) {
        return Ok(());
    }
    let detail = format!(
        "a bed takes from 1 to {most} layers before it finishes, by bed.max_depth; for more feed give more ground"
    );
    Err(Refusal::new(Reason::OutOfRange, detail).between(1.0, f64::from(most)).at("layers"))
}

/// The batches that are still in time; of the size for 90 %, or the likely ones.
#[must_use]
pub fn in_time(plans: &[ProductionPlan], for_90_percent: bool) -> Vec<Batch> {
    let batch = |plan: &ProductionPlan| if for_90_percent { plan.at_90_percent } else { Some(plan.likely) };
    plans.iter().filter_map(batch).filter(|batch| batch.late.is_none() && batch.worms_in_on.is_some()).collect()
}

/// Whether the work follows the plans for a chance of 90 %, and not those at the likely values: only where they are in time for all that
/// those are in time for, so that the work follows one of the two as a whole.
#[must_use]
pub fn follows_90_percent(plans: &[ProductionPlan]) -> bool {
    let is_sure = |plan: &ProductionPlan| plan.at_90_percent.is_some_and(|batch| batch.is_in_time());
    plans.iter().any(is_sure) && plans.iter().all(|plan| is_sure(plan) || !plan.likely.is_in_time())
}

impl Batch {
    /// The bed, laid on the day on which its worms go in; `None` where there is no such day.
    #[must_use]
    pub fn as_bed(&self, recipe: &Recipe) -> Option<Bed> {
        Some(Bed {
            area: self.area.into(),
            worms: Some(self.worms.into()),
            running: None,
            start_on: self.worms_in_on?,
            feed: Feed {
                moisture: recipe.moisture.into(),
                ash: recipe.ash.into(),
                nitrogen: Some(recipe.nitrogen.into()),
                supply: Supply::AllAtOnce(self.feed.into()),
                assumed: Vec::new(),
                cautions: Vec::new(),
            },
            layers_per_cycle: Some(self.layers),
            cycles: Some(1),
        })
    }
}

/// What the means override of the item, for whoever sends such a bed back in.
#[must_use]
pub fn bed_overrides(means: &Means<'_>) -> Overrides {
    own(means).unwrap_or_else(|_| means.known.item.clone())
}

/// What is known of the bed: it is laid with this feed, so its layers are as dense as the mix, and on worms as thin as it asks for.
fn own(means: &Means<'_>) -> Result<Overrides, Refusal> {
    let (mut item, recipe) = (means.known.item.clone(), &means.recipe);
    item.set(Assumption::FeedDryDensity, Span::exactly(recipe.dry_density.base()))?;
    let on_worms = depth_on_worms(means.known, recipe.heats);
    let thin = means.known.get(on_worms).filter(|_| on_worms != Assumption::LaterLayer);
    thin.map_or(Ok(()), |thin| item.set(Assumption::LaterLayer, Span::exactly(thin.span.likely)))?;
    Ok(item)
}
