//! Puts the plan for one shortfall together.

use super::late::Bounds;
use super::sampled::Sampled;
use super::size::Sizer;
use super::{Batch, Choice, Means, ProductionPlan, SLIPS, Shortfall, Slip};
use crate::garden::beds::{Needs, SingleCycle};
use crate::garden::draws::Run;
use crate::garden::refusal::Refusal;
use crate::garden::units::{Mass, Millilitres, Volume};
use chrono::{Days, NaiveDate};

/// Puts the plan for one shortfall together.
pub(super) struct BatchPlanner<'a, 'b> {
    pub means: &'a Means<'b>,
    pub sizer: &'a Sizer<'a>,
    pub once: &'a SingleCycle,
    pub bounds: &'a Bounds<'a>,
    pub shortfall: Shortfall,
    /// Castings from each kilogram of dry feed, likely, L.
    pub each: f64,
}

impl BatchPlanner<'_, '_> {
    pub fn plan(&self, feed: Mass, layers: &[u32], sampled: Option<&Sampled>) -> Result<ProductionPlan, Refusal> {
        let sure = |i: usize| sampled.and_then(|s| s.starts.get(i)).and_then(|starts| starts.at_90_percent);
        let possible = |start: Option<NaiveDate>| start.is_some_and(|start| !self.bounds.is_late(start));
        let start = |n: u32| self.sizer.batch(feed, n).map(|batch| self.start(&batch));
        let likely: Vec<Option<NaiveDate>> = layers.iter().map(|n| start(*n)).collect::<Result<_, _>>()?;
        let last = |ok: &dyn Fn(usize) -> bool| (0..layers.len()).rev().find(|i| ok(*i));
        let chosen = last(&|i| possible(self.day(sure(i))))
            .or_else(|| last(&|i| possible(likely.get(i).copied().flatten())))
            .unwrap_or(0);
        let n = layers.get(chosen).copied().unwrap_or(1);
        let batch = self.finish(self.sizer.batch(feed, n)?, None);
        let at_90_percent = match sampled {
            Some(s) => Some(self.finish(self.sizer.batch(s.feed, n)?, Some(self.day(sure(chosen))))),
            None => None,
        };
        let even = sampled.and_then(|s| s.starts.get(chosen)).and_then(|starts| starts.for_50);
        Ok(ProductionPlan {
            shortfall: self.shortfall,
            if_started_later: self.slips(&batch),
            likely: batch,
            at_90_percent,
            latest_start_at_50_percent: self.in_time(self.day(even)),
            choices: if layers.len() > 1 { self.choices(feed, layers, (&likely, sampled))? } else { Vec::new() },
        })
    }

    fn choices(
        &self,
        feed: Mass,
        layers: &[u32],
        (likely, sampled): (&[Option<NaiveDate>], Option<&Sampled>),
    ) -> Result<Vec<Choice>, Refusal> {
        let mut choices = Vec::with_capacity(layers.len());
        for (i, (n, start_on)) in layers.iter().zip(likely).enumerate() {
            let starts = sampled.and_then(|s| s.starts.get(i));
            // With runs all of it is of the size for 90 %.
            let batch = self.sizer.batch(sampled.map_or(feed, |s| s.feed), *n)?;
            let start_on = self.in_time(if sampled.is_some() { self.start(&batch) } else { *start_on });
            choices.push(Choice {
                layers: *n,
                area: batch.area,
                worms: batch.worms,
                start_on,
                latest_start_at_90_percent: self.in_time(self.day(starts.and_then(|starts| starts.at_90_percent))),
                latest_start_at_50_percent: self.in_time(self.day(starts.and_then(|starts| starts.for_50))),
                late: start_on.is_none(),
            });
        }
        Ok(choices)
    }

    /// The first day of the recipe, if the worms go in on this morning.
    fn day(&self, worms_in: Option<f64>) -> Option<NaiveDate> {
        let clocks = self.means.clocks;
        worms_in.and_then(|time| clocks.on_day(time).checked_sub_days(Days::new(u64::from(self.means.recipe.days))))
    }

    /// A start that is possible: neither past nor before materials and bed are there.
    fn in_time(&self, start: Option<NaiveDate>) -> Option<NaiveDate> {
        start.filter(|start| !self.bounds.is_late(*start))
    }

    /// The last day to begin at the likely values.
    fn start(&self, batch: &Batch) -> Option<NaiveDate> {
        self.day(self.bounds.latest(self.needs(batch), self.means.clocks.time(self.shortfall.by)))
    }

    /// When castings are ready at the likely values.
    fn ready(&self, batch: &Batch, start_on: NaiveDate) -> Option<NaiveDate> {
        self.bounds.ready(self.needs(batch), start_on)
    }

    fn needs(&self, batch: &Batch) -> Needs {
        self.once.needs((batch.area, batch.worms, batch.feed), &Run::LIKELY)
    }

    /// Adds dates and castings. `start` is set where it does not follow from the likely values.
    fn finish(&self, batch: Batch, start: Option<Option<NaiveDate>>) -> Batch {
        let start_on = start.unwrap_or_else(|| self.start(&batch));
        let worms_in_on = start_on.and_then(|day| day.checked_add_days(Days::new(u64::from(self.means.recipe.days))));
        let litres = batch.feed.kilograms() * self.each;
        let castings = Millilitres::nearest(Volume::from_litres(litres));
        let clocks = self.means.clocks;
        let warm = self.needs(&batch).latest(clocks.likely(), clocks.time(self.shortfall.by)).is_some();
        let late = self.bounds.late((start_on, self.shortfall.by, warm), &batch, |day| self.ready(&batch, day));
        // Of a start that is out of the question nothing is ready.
        let ready_on = start_on.filter(|_| late.is_none()).and_then(|day| self.ready(&batch, day));
        Batch { castings, start_on, worms_in_on, ready_on, late, ..batch }
    }

    fn slips(&self, batch: &Batch) -> Vec<Slip> {
        let Some(start) = batch.start_on.filter(|_| batch.late.is_none()) else { return Vec::new() };
        let later = |days: u32| start.checked_add_days(Days::new(u64::from(days))).map(|day| (days, day));
        SLIPS
            .into_iter()
            .filter_map(later)
            .map(|(days, start_on)| Slip { days, start_on, ready_on: self.ready(batch, start_on) })
            .collect()
    }
}
