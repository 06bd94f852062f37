//! How sure a season is with what can be done about its shortfall: the same draws, another plan.

use super::plan::{Amount, BedPlan, Season, plan};
use super::simulation::runs_with_enough;
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::shift::LaterSupply;
use crate::garden::balances::{Part, Requirement};
use crate::garden::figures::Off;
use crate::garden::units::Millilitres;
use crate::garden::work::Work;
use chrono::NaiveDate;

/// What is changed.
#[derive(Debug, Clone)]
pub enum Change<'a> {
    /// Castings are bought.
    Bought(Lot),
    /// Short demands wait.
    Waiting(&'a [LaterSupply]),
    /// More beds are laid.
    Beds(Vec<BedPlan<'a>>),
}

/// How often a change is played.
#[derive(Debug, Clone, Copy)]
pub struct Runs {
    /// How many runs, from which seed.
    pub runs: (u32, u64),
    /// How many steps they may take.
    pub most_steps: u64,
    /// What the answer shares out already; with this change it has to stay within what one answer may share out.
    pub beside: Work,
    /// The days of all climates of the beds together.
    pub climate_days: usize,
    /// In how many runs everybody is to get all: no more runs are played once that is out of reach. 0: all runs are played.
    pub goal: u32,
}

/// How sure the changed season is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChangedChance {
    /// Runs in which everybody gets all, of those that were played; `None` where the runs take more steps than there are.
    pub enough: Option<u32>,
    /// The steps that the runs took.
    pub steps: u64,
    /// What it took to share out the changed season.
    pub sharing: Work,
    /// What the changed plan leaves short, all demands together.
    pub shortfall: Millilitres,
}

/// Answers "in how many runs does everybody get all, with this change?" The season is planned anew with it, and each run has the same draws as
/// without it. `None` where the changed season cannot be planned, or takes more than one answer may.
#[must_use]
pub fn chance_with<'a>(season: &Season<'a>, change: Change<'a>, how: Runs) -> Option<ChangedChance> {
    let mut changed = Season { beside: how.beside, ..season.clone() };
    match change {
        Change::Bought(lot) => changed.stock.push((lot, Amount::default())),
        Change::Waiting(waits) => waits.iter().for_each(|wait| {
            let demand = changed.requirements.get_mut(wait.demand);
            demand.into_iter().for_each(|(requirement, _)| requirement.wait_until(wait, season.as_of));
        }),
        Change::Beds(beds) => changed.beds.extend(beds),
    }
    let planned = plan(&changed, Off).ok()?;
    let each = planned.work_of_a_run(&changed, how.climate_days);
    let (sharing, shortfall) = (planned.sharing, planned.balance.shortfall());
    if each.saturating_mul(u64::from(how.runs.0)) > how.most_steps {
        return Some(ChangedChance { enough: None, steps: 0, sharing, shortfall });
    }
    let (enough, played) = runs_with_enough(&changed, &planned, (how.runs, how.goal)).ok()?;
    Some(ChangedChance { enough: Some(enough), steps: each.saturating_mul(u64::from(played)), sharing, shortfall })
}

impl Season<'_> {
    /// So much that is bought by a day, as a lot of this season.
    #[must_use]
    pub fn bought(&self, amount: Millilitres, by: Option<NaiveDate>) -> Lot {
        let source = LotSource::Stock(self.stock.len());
        Lot { amount, window: Window { first: by, last: None }, untreated: false, source }
    }
}

impl Requirement {
    /// Moves the last day of the parts that wait to the day of a later supply; they are served from today on.
    fn wait_until(&mut self, wait: &LaterSupply, today: Option<NaiveDate>) {
        let waits = |part: &&mut Part| part.occasion == wait.occasion && part.window.last == Some(wait.latest);
        for part in self.parts.iter_mut().filter(waits) {
            part.window = Window { first: part.window.first.max(today), last: Some(wait.until) };
        }
    }
}
