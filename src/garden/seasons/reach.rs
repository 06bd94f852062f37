//! What would make a season 90 % sure where no option does: the smallest number of sacks, the least more ground or worms, the least earlier
//! start.

mod production;
mod search;
mod tried;

use super::chances::PlanChances;
use super::options::Runs;
use super::plan::Season;
use crate::garden::units::Millilitres;
use chrono::NaiveDate;
pub use production::Production;
use search::Search;
pub use tried::{Action, Laid, Reached, Tried, Way};

/// Of 100 runs, in how many everybody is to get all. Source: how this service works.
const GOAL_PERCENT: u64 = 90;
/// What there is to reach it with.
#[derive(Debug, Clone, Copy)]
pub struct Means<'a> {
    /// Beds that can be laid.
    pub production: Option<Production<'a>>,
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
    /// What the plan leaves short.
    pub short: Millilitres,
}

/// In how many of so many runs everybody gets all where the chance is 90 %.
#[must_use]
pub fn goal(runs: u32) -> u32 {
    u32::try_from((u64::from(runs) * GOAL_PERCENT).div_ceil(100)).unwrap_or(runs)
}

/// Answers "what would make it 90 % sure that everybody gets all?" for each way by itself, by the runs of the season. `chances` are those of
/// the plan. A step that is found reaches it, and the next smaller one that can be taken does not. A way is left out where the
/// steps of `how` do not suffice. The steps and the sharing that it took are taken off `how`.
#[must_use]
pub fn to_90_percent(season: &Season<'_>, chances: &PlanChances, means: Means<'_>, how: &mut Runs) -> Vec<Tried> {
    how.goal = goal(how.runs.0);
    let Some(short) = chances.by_date.iter().find(|by| by.enough < how.goal) else { return Vec::new() };
    let by = means.as_of.map_or(short.date, |today| today.max(short.date));
    let mut search = Search { season, how };
    let mut bought = search.sacks(by, means.short);
    let produced = means.production.into_iter().flat_map(|of| {
        let larger = search.more_ground(of);
        let alone = larger.as_ref().is_some_and(|tried| tried.reached.is_some());
        let ways = [larger, search.more_worms(of), search.earlier(of, !alone)];
        ways.into_iter().flatten().collect::<Vec<_>>()
    });
    let produced: Vec<Tried> = produced.collect();
    // Last, since that sacks may come later is of less use than another way.
    let later: Vec<NaiveDate> = chances.by_date.iter().map(|of| of.date).filter(|day| *day > by).collect();
    bought.iter_mut().for_each(|tried| search.latest(tried, &later));
    bought.into_iter().chain(produced).collect()
}
