//! Beds that can be laid for what is short.

use super::super::options::{Change, ChangedChance, Runs, chance_with};
use super::super::plan::{BedPlan, Season};
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::balances::additional_production::{Batch, ProductionPlan, Recipe};
use crate::garden::beds::{Climate, Clocks};
use crate::garden::cautions::waiting::Manure;
use chrono::{Days, NaiveDate};

/// Beds that can be laid for what is short.
#[derive(Debug, Clone, Copy)]
pub struct Production<'a> {
    /// Their feed.
    pub recipe: &'a Recipe,
    /// How they were planned.
    pub plans: &'a [ProductionPlan],
    /// Their temperatures.
    pub climate: &'a Climate,
    /// What is known better for them.
    pub overrides: &'a Overrides,
    /// What is known about manure in their feed.
    pub manure: Manure,
    /// The first day on which they can begin.
    pub first_start: Option<NaiveDate>,
}

impl Production<'_> {
    /// The season with these beds, in as many runs as `how` says. `None` where they cannot be laid, or it takes too much.
    #[must_use]
    pub fn chance(self, season: &Season<'_>, batches: &[Batch], how: Runs) -> Option<ChangedChance> {
        let known = Known { request: season.request, item: self.overrides };
        let beds: Vec<_> = batches.iter().map(|batch| batch.as_bed(self.recipe)).collect::<Option<_>>()?;
        let clocks = beds.iter().map(|bed| Clocks::new(self.climate, (bed.start_on, season.until), known).ok());
        let clocks: Vec<Clocks> = clocks.collect::<Option<_>>()?;
        let days: usize = clocks.iter().map(Clocks::count).sum();
        let how = Runs { climate_days: how.climate_days.saturating_add(days), ..how };
        let plan = |(bed, clocks)| BedPlan { bed, clocks, overrides: self.overrides, manure: self.manure };
        chance_with(season, Change::Beds(beds.into_iter().zip(&clocks).map(plan).collect()), how)
    }

    /// The batches of the size for 90 %, or the likely ones, that their ground holds.
    pub(super) fn batches(self) -> impl Iterator<Item = Batch> {
        let batch = |plan: &ProductionPlan| plan.at_90_percent.unwrap_or(plan.likely);
        self.plans.iter().map(batch).filter(|batch| batch.fits)
    }

    /// The same, started on the first possible day where their own start is too late; without those that cannot start.
    pub(super) fn possible(self) -> Vec<Batch> {
        let started = |batch: Batch| match batch.late {
            None => Some(batch),
            Some(late) => self.started_on(late.first_start_on?, batch),
        };
        self.batches().filter_map(started).collect()
    }

    /// How many whole weeks before its own start a batch can begin; any number where nothing prevents it.
    pub(super) fn weeks_before(self, batch: &Batch) -> u32 {
        let Some((start, first)) = batch.start_on.zip(self.first_start) else { return u32::MAX };
        u32::try_from(start.signed_duration_since(first).num_weeks()).unwrap_or(0)
    }

    /// A batch that starts on this day; `None` where its worms would go in beyond the calendar.
    pub(super) fn started_on(self, start: NaiveDate, batch: Batch) -> Option<Batch> {
        let worms_in = start.checked_add_days(Days::new(u64::from(self.recipe.days)))?;
        Some(Batch { start_on: Some(start), worms_in_on: Some(worms_in), ready_on: None, late: None, ..batch })
    }
}
