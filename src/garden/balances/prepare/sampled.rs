//! The same over many runs: the feed that is enough in 95 of 100, and the starts that are in time in 90 and in 50.

use super::size::{Sizer, for_castings};
use super::{Means, Shortage};
use crate::garden::beds::{BandDrawn, Clock, Clocks, Once};
use crate::garden::draws::{Run, Variables, percentile};
use crate::garden::units::{Area, Mass};

/// Of 100 runs, how many the size is enough for. Source: how this service works.
const SIZE_PERCENT: usize = 95;
/// No start is early enough. Source: how this service works.
const NEVER: f64 = -1.0;

/// What the runs tell of one shortage.
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
    pub for_90: Option<f64>,
    /// In 50 of 100.
    pub for_50: Option<f64>,
}

/// One bed to try in every run.
struct Trial {
    bed: (Area, Mass, Mass),
    /// Which shortage, and its date.
    shortage: usize,
    by: f64,
    /// Worms cannot go in before; the day after the last deadly one.
    from: f64,
    latest: Vec<f64>,
}

impl Sampled {
    /// One for each shortage; none without runs.
    pub fn new(
        (shortages, layers): (&[Shortage], &[u32]),
        (sizer, once): (&Sizer<'_>, &Once),
        (variables, band): (&Variables, &BandDrawn),
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
        let feeds: Vec<Mass> = shortages.iter().map(|s| for_castings(s.amount, poor)).collect();
        let mut trials = trials((shortages, &feeds), sizer, layers, means.clocks);
        variables.each_run(seed, (0, runs), |_, run| {
            let own = band.clock(means.clocks, run);
            let clock = own.as_ref().unwrap_or(means.clocks.likely());
            let enough = once.castings_for_each(run) >= poor;
            for trial in &mut trials {
                trial.latest.push(if enough { trial.latest(once, (run, clock)) } else { NEVER });
            }
        });
        let mut sampled: Vec<Self> = feeds.iter().map(|feed| Self { feed: *feed, starts: Vec::new() }).collect();
        for trial in trials {
            let shortage = trial.shortage;
            if let Some(one) = sampled.get_mut(shortage) {
                one.starts.push(trial.starts());
            }
        }
        sampled
    }
}

fn trials(
    (shortages, feeds): (&[Shortage], &[Mass]),
    sizer: &Sizer<'_>,
    layers: &[u32],
    clocks: &Clocks,
) -> Vec<Trial> {
    let mut trials = Vec::with_capacity(shortages.len() * layers.len());
    for (i, (shortage, feed)) in shortages.iter().zip(feeds).enumerate() {
        for n in layers {
            // A bed that cannot be sized is told by the likely values.
            let Ok(batch) = sizer.batch(*feed, *n) else { continue };
            trials.push(Trial {
                bed: (batch.area, batch.worms, batch.feed),
                shortage: i,
                by: clocks.time(shortage.by),
                from: clocks.deadly_before(shortage.by).map_or(0.0, |(day, _)| clocks.time(day) + 1.0),
                latest: Vec::new(),
            });
        }
    }
    trials
}

impl Trial {
    fn latest(&self, once: &Once, (run, clock): (&Run<'_>, &Clock)) -> f64 {
        let latest = once.needs(self.bed, run).latest(clock, self.by);
        latest.filter(|start| *start >= self.from).unwrap_or(NEVER)
    }

    /// The day that so many of 100 runs reach or pass.
    fn starts(mut self) -> Starts {
        self.latest.sort_by(|a, b| b.total_cmp(a));
        let at = |percent| percentile(&self.latest, percent).filter(|start| *start > NEVER);
        Starts { for_90: at(90), for_50: at(50) }
    }
}
