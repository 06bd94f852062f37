//! The same over many runs: the feed that is enough in 95 of 100, and the starts that are in time in 90 and in 50.

use super::late::{Bounds, Stretch};
use super::size::{Sizer, for_castings};
use super::{Means, Shortfall};
use crate::garden::beds::{Clock, ClockDrawn, SingleCycle};
use crate::garden::draws::{Run, Variables, percentile};
use crate::garden::interrupt::check;
use crate::garden::units::{Area, Mass};

/// Of 100 runs, how many the size is enough for. Source: how this service works.
const SIZE_PERCENT: usize = 95;
/// Of 100 runs, how many are to be enough and in time. Source: how this service works.
const SURE_PERCENT: usize = 90;
/// Of 100 runs, how many for an even chance. Source: identity.
const EVEN_PERCENT: usize = 50;

/// What the runs tell of one shortfall.
#[derive(Debug)]
pub(super) struct Sampled {
    /// Dry feed.
    pub feed: Mass,
    /// For each number of layers.
    pub starts: Vec<Starts>,
}

/// The last mornings on which worms can go in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Starts {
    /// Enough and in time in 90 of 100 runs.
    pub at_90_percent: Option<f64>,
    /// In 50 of 100.
    pub for_50: Option<f64>,
}

/// One bed to try in every run.
struct Trial {
    bed: (Area, Mass, Mass),
    /// Which shortfall, and its date.
    shortfall: usize,
    by: f64,
    /// The stretches between deadly days, the last first, and for each of its mornings how many runs have their last start there.
    stretches: Vec<(Stretch, Vec<u32>)>,
}

impl Sampled {
    /// One for each shortfall; none without runs.
    pub fn new(
        (shortfalls, layers): (&[Shortfall], &[u32]),
        (sizer, once, bounds): (&Sizer<'_>, &SingleCycle, &Bounds<'_>),
        (variables, drawn): (&Variables, &ClockDrawn),
        means: &Means<'_>,
    ) -> Vec<Self> {
        let (runs, seed) = means.runs;
        if runs == 0 {
            return Vec::new();
        }
        let mut each = Vec::new();
        variables.each_run(seed, (0, runs), |_, run| each.push(once.castings_for_each(run)));
        let mut sorted = each.clone();
        sorted.sort_by(f64::total_cmp);
        // The feed that is enough in 95 of 100 runs is sized by what a kilogram gives in all but the 5 poorest.
        let poor = percentile(&sorted, 100 - SIZE_PERCENT).unwrap_or(f64::NAN);
        let feeds: Vec<Mass> = shortfalls.iter().map(|s| for_castings(s.amount, poor)).collect();
        let mut sampled: Vec<Self> = feeds.iter().map(|feed| Self { feed: *feed, starts: Vec::new() }).collect();
        let mut trials = Vec::with_capacity(shortfalls.len() * layers.len());
        for (i, (shortfall, feed)) in shortfalls.iter().zip(&feeds).enumerate() {
            let by = means.clocks.time(shortfall.by);
            // A bed that cannot be sized is reported by the likely values.
            let batches = layers.iter().filter_map(|n| sizer.batch(*feed, *n).ok());
            trials.extend(batches.map(|batch| Trial::new((batch.area, batch.worms, batch.feed), (i, by), bounds)));
        }
        variables.each_run(seed, (0, runs), |_, run| {
            if once.castings_for_each(run) < poor {
                return;
            }
            let own = drawn.clock(means.clocks, run);
            let clock = own.as_ref().unwrap_or(means.clocks.likely());
            trials.iter_mut().for_each(|trial| trial.take(once, (run, clock)));
        });
        for trial in trials {
            let starts =
                Starts { at_90_percent: trial.start(SURE_PERCENT, runs), for_50: trial.start(EVEN_PERCENT, runs) };
            sampled.get_mut(trial.shortfall).into_iter().for_each(|one| one.starts.push(starts));
        }
        sampled
    }
}

impl Trial {
    fn new(bed: (Area, Mass, Mass), (shortfall, by): (usize, f64), bounds: &Bounds<'_>) -> Self {
        let mornings = |s: Stretch| vec![0; index(s.end.min(by) - s.from) + 1];
        Self { bed, shortfall, by, stretches: bounds.stretches(by).map(|s| (s, mornings(s))).collect() }
    }

    /// Counts a run that gives enough.
    fn take(&mut self, once: &SingleCycle, (run, clock): (&Run<'_>, &Clock)) {
        let needs = once.needs(self.bed, run);
        for (stretch, counts) in &mut self.stretches {
            check();
            let latest = stretch.latest(needs, clock, self.by);
            if let Some(count) = latest.and_then(|start| counts.get_mut(index(start - stretch.from))) {
                *count += 1;
            }
        }
    }

    /// The last morning that is early enough in so many of 100 runs.
    fn start(&self, percent: usize, runs: u32) -> Option<f64> {
        let enough = u32::try_from((usize::try_from(runs).ok()? * percent).div_ceil(100)).ok()?;
        self.stretches.iter().find_map(|(stretch, counts)| {
            let mut in_time = 0;
            let places = counts.iter().enumerate().rev();
            let (place, _) = places.into_iter().find(|(_, count)| {
                in_time += **count;
                in_time >= enough
            })?;
            u32::try_from(place).ok().map(|days| stretch.from + f64::from(days))
        })
    }
}

/// A whole number of days as a place in a list.
fn index(days: f64) -> usize {
    #[expect(clippy::as_conversions, reason = "whole days; a float to integer cast saturates, below zero at 0")]
    {
        days as usize
    }
}
