//! A planned feed on the ground of its bed: how many layers fit before a harvest, and on which dates they are laid.

use super::assemble::forecast_on;
use super::climate::Climate;
use super::clocks::Clocks;
use super::forecast::Forecast;
use super::single_cycle::first_cycle;
use super::{Bed, Feed, Supply};
use crate::garden::assumptions::{Assumption, Known, MAX_LAYERS_PER_CYCLE, Overrides, Span};
use crate::garden::cautions::Rule;
use crate::garden::feeds::{FeedPlan, Recipe, StepKind};
use crate::garden::figures::Off;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass};
use chrono::{Days, NaiveDate};

/// How far ahead layers and first castings are looked for, in days. Source: limit of this service.
pub(super) const HORIZON: u64 = 730;

/// A bed that gets all of a planned feed, in as many layers as its depth allows.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedBed {
    bed: Bed,
    /// What a volume of this feed holds, in place of the usual.
    overrides: Overrides,
}

impl PlannedBed {
    /// The bed of a plan on this ground. It starts on the day on which the worms are put in; a plan without dates starts on no day that
    /// counts.
    ///
    /// # Errors
    /// `out_of_range` if a volume of this feed holds more than feed can.
    pub fn of(plan: &FeedPlan, (area, worms): (Estimate<OfArea>, Option<Estimate<OfMass>>)) -> Result<Self, Refusal> {
        let recipe = Recipe::of(plan);
        let mut overrides = Overrides::default();
        overrides.set(Assumption::FeedDryDensity, Span::exactly(recipe.dry_density.base()))?;
        let worms_in = plan.steps.iter().find(|step| step.kind == StepKind::IntroduceWorms);
        let feed = Feed {
            moisture: recipe.moisture.into(),
            ash: recipe.ash.into(),
            nitrogen: Some(recipe.nitrogen.into()),
            supply: Supply::AllAtOnce(recipe.dry.into()),
            cautions: plan.heats.then_some(Rule::FeedHeat).into_iter().collect(),
            assumed: Vec::new(),
        };
        let start_on = worms_in.and_then(|step| step.from).unwrap_or_default();
        let layers_per_cycle = Some(MAX_LAYERS_PER_CYCLE);
        let bed = Bed { area, worms, running: None, start_on, feed, layers_per_cycle, cycles: None };
        Ok(Self { bed, overrides })
    }

    /// How many layers are laid before the bed must be harvested, by `bed.max_depth` and at most [`MAX_LAYERS_PER_CYCLE`], and whether that is all of the feed.
    ///
    /// # Errors
    /// What [`forecast_on`] refuses of layers.
    pub fn before_harvest(&self, request: &Overrides) -> Result<(u32, bool), Refusal> {
        first_cycle(&self.bed, Known { request, item: &self.overrides })
    }

    /// The bed day by day in this climate, as seasons forecast it with these layers, for two years.
    ///
    /// # Errors
    /// What [`Clocks::new`] and [`forecast_on`] refuse.
    pub fn forecast(&self, climate: &Climate, request: &Overrides) -> Result<Forecast, Refusal> {
        let known = Known { request, item: &self.overrides };
        let first = self.bed.start_on;
        let last = first.checked_add_days(Days::new(HORIZON)).unwrap_or(NaiveDate::MAX);
        let late = |refusal: Refusal| match refusal.reason {
            Reason::DatesOutOfOrder => refusal.at("start_on"),
            _ => refusal,
        };
        let clocks = Clocks::new(climate, (first, last), known).map_err(late)?;
        forecast_on(&self.bed, &clocks, known, Off)
    }
}
