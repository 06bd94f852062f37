//! The search for the smallest action.

use super::super::options::{Change, ChangedChance, Runs, chance_with};
use super::super::plan::Season;
use super::production::Production;
use super::tried::{Action, Laid, Reached, Tried, Way};
use crate::garden::assumptions::{Assumption, Known};
use crate::garden::balances::additional_production::Batch;
use crate::garden::units::quantity::OfMassPerArea;
use crate::garden::units::{Estimate, Millilitres};
use chrono::{Days, NaiveDate};

/// So many times the ground, or the worms, are tried. Source: how this service works.
const TIMES: [f64; 8] = [1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0];
/// Where an earlier start alone does not do, it is tried with so many times the ground. Source: how this service works.
const TIMES_EARLIER: [f64; 2] = [1.0, 2.0];
/// A start is tried up to so many weeks earlier: half a year. Source: how this service works.
const MAX_WEEKS: u32 = 26;
/// Sacks are tried up to so many times all that is needed. Source: how this service works.
const TIMES_THE_NEED: u64 = 2;

/// Looks for the smallest action that reaches the goal.
pub(super) struct Search<'a, 'b> {
    pub season: &'a Season<'b>,
    pub how: &'a mut Runs,
}

/// How an action turned out: it reaches the goal, or not; an error where the work does not suffice to say.
type Outcome = Result<Option<Reached>, TooMuch>;

/// The work that is left does not suffice.
struct TooMuch;

impl Search<'_, '_> {
    /// Whole sacks on a day.
    pub fn sacks(&mut self, by: NaiveDate, short: Millilitres) -> Option<Tried> {
        let holds = self.season.sack?.get();
        let needed = self.season.requirements.iter().map(|(requirement, _)| requirement.amount().get());
        let needed = needed.fold(0, u64::saturating_add);
        let most = needed.saturating_mul(TIMES_THE_NEED).checked_div(holds)?.saturating_add(1);
        let first = short.get().div_ceil(holds).max(1);
        let found = least((first, most), |count| self.bought(count.checked_mul(holds).ok_or(TooMuch)?, by)).ok()?;
        let (count, reached) = found.map_or((most, None), |(count, reached)| (count, Some(reached)));
        Some(Tried { way: Way::Sacks, action: Action::Sacks(count), act_by: Some(by), reached })
    }

    /// Lets sacks come as late as they reach the goal: looks by halves among these later days, in order, as far as the work suffices.
    pub fn latest(&mut self, tried: &mut Tried, later: &[NaiveDate]) {
        let (Action::Sacks(count), Some(_), Some(holds)) = (&tried.action, tried.reached, self.season.sack) else {
            return;
        };
        let amount = count.saturating_mul(holds.get());
        let mut days = later;
        while let Some(day) = days.get(days.len() / 2) {
            let (sooner, later) = days.split_at(days.len() / 2);
            match self.bought(amount, *day) {
                Ok(None) => days = sooner,
                Ok(reached) => {
                    (tried.act_by, tried.reached) = (Some(*day), reached);
                    days = later.get(1..).unwrap_or_default();
                }
                Err(TooMuch) => return,
            }
        }
    }

    fn bought(&mut self, amount: u64, by: NaiveDate) -> Outcome {
        let lot = self.season.bought(Millilitres::new(amount), Some(by));
        let chance = chance_with(self.season, Change::Bought(lot), *self.how);
        self.outcome(chance)
    }

    /// More ground, and with it more worms and feed.
    pub fn more_ground(&mut self, of: Production<'_>) -> Option<Tried> {
        self.times(Way::MoreGround, (of, &TIMES), larger)
    }

    /// More worms, up to what the ground carries.
    pub fn more_worms(&mut self, of: Production<'_>) -> Option<Tried> {
        let known = Known { request: self.season.request, item: of.overrides };
        let (carries, _): (Estimate<OfMassPerArea>, _) = known.estimate(Assumption::CarryingCapacity);
        let possible = of.possible();
        let carried =
            |times: &&f64| possible.iter().all(|batch| batch.worms.times(**times) <= carries.likely() * batch.area);
        let times: Vec<f64> = TIMES.iter().take_while(carried).copied().collect();
        self.times(Way::MoreWorms, (of, &times), |batch, times| Batch { worms: batch.worms.times(times), ..*batch })
    }

    fn times(
        &mut self,
        way: Way,
        (of, times): (Production<'_>, &[f64]),
        changed: impl Fn(&Batch, f64) -> Batch,
    ) -> Option<Tried> {
        let possible = of.possible();
        let laid = |place: u64| {
            let times = *times.get(usize::try_from(place.checked_sub(1)?).ok()?)?;
            let batches = possible.iter().map(|batch| changed(batch, times)).collect();
            Some(Laid { times, weeks: 0, limiting_factor: None, batches })
        };
        // More is better: where the most does not do, nothing does.
        let most = u64::try_from(times.len()).ok()?;
        self.produced((way, of), (most, most), laid)
    }

    /// An earlier start than that of the batches, where one is possible; with `larger_too` on more ground where it does not do on theirs.
    pub fn earlier(&mut self, of: Production<'_>, larger_too: bool) -> Option<Tried> {
        let planned: Vec<Batch> = of.batches().filter(|batch| batch.start_on.is_some()).collect();
        let most = planned.iter().map(|batch| of.weeks_before(batch)).min()?.min(MAX_WEEKS);
        if most == 0 {
            let late = planned.iter().filter_map(|batch| batch.late);
            let (first, why) = late
                .filter_map(|late| Some((late.first_start_on?, late.limiting_factor)))
                .max_by_key(|(day, _)| *day)?;
            let action = Action::Beds(Laid { times: 1.0, weeks: 0, limiting_factor: Some(why), batches: Vec::new() });
            return Some(Tried { way: Way::EarlierStart, action, act_by: Some(first), reached: None });
        }
        let mut last = None;
        for times in TIMES_EARLIER.into_iter().filter(|times| larger_too || *times <= 1.0) {
            let laid = |place: u64| {
                let weeks = u32::try_from(place).ok()?;
                let days = Days::new(u64::from(weeks) * 7);
                let started =
                    |batch: &Batch| of.started_on(batch.start_on?.checked_sub_days(days)?, larger(batch, times));
                let batches = planned.iter().map(started).collect::<Option<_>>()?;
                Some(Laid { times, weeks, limiting_factor: None, batches })
            };
            // Earlier is not always better: winter may kill what starts too early.
            let tried = self.produced((Way::EarlierStart, of), (1, u64::from(most)), laid)?;
            if tried.reached.is_some() {
                return Some(tried);
            }
            last = Some(tried);
        }
        last
    }

    /// The smallest of so many ways to lay the beds, counted from 1, that reaches the goal, else the last; `None` where there are no beds, or the
    /// work does not suffice.
    fn produced(
        &mut self,
        (way, of): (Way, Production<'_>),
        (first, most): (u64, u64),
        laid: impl Fn(u64) -> Option<Laid>,
    ) -> Option<Tried> {
        if laid(1)?.batches.is_empty() {
            return None;
        }
        let found = least((first, most), |place| {
            let laid = laid(place).ok_or(TooMuch)?;
            let chance = of.chance(self.season, &laid.batches, *self.how);
            self.outcome(chance)
        });
        let (place, reached) = found.ok()?.map_or((most, None), |(place, reached)| (place, Some(reached)));
        let laid = laid(place)?;
        let act_by = laid.batches.iter().filter_map(|batch| batch.start_on).min();
        Some(Tried { way, action: Action::Beds(laid), act_by, reached })
    }

    /// Whether a changed season reaches the goal; what it took is not there for the next.
    fn outcome(&mut self, chance: Option<ChangedChance>) -> Outcome {
        let chance = chance.ok_or(TooMuch)?;
        self.how.most_steps = self.how.most_steps.saturating_sub(chance.steps);
        self.how.beside = self.how.beside.and(chance.sharing);
        let enough = chance.enough.ok_or(TooMuch)?;
        Ok((enough >= self.how.goal).then_some(Reached { enough, shortfall: chance.shortfall }))
    }
}

/// So many times the ground, and with it worms, feed and castings.
fn larger(batch: &Batch, times: f64) -> Batch {
    Batch {
        castings: Millilitres::nearest(batch.castings.volume().times(times)),
        feed: batch.feed.times(times),
        area: batch.area.times(times),
        worms: batch.worms.times(times),
        ..*batch
    }
}

/// The smallest of the numbers from 1 to `most` that reaches the goal while the one before it does not: ever larger ones are tried from `first`
/// on, each three times the one before, until one does, then those between.
fn least(
    (first, most): (u64, u64),
    mut outcome: impl FnMut(u64) -> Outcome,
) -> Result<Option<(u64, Reached)>, TooMuch> {
    let (mut fails, mut next) = (0, first.clamp(1, most.max(1)));
    let mut found = loop {
        if next > most {
            return Ok(None);
        }
        match outcome(next)? {
            Some(reached) => break (next, reached),
            None if next == most => return Ok(None),
            None => (fails, next) = (next, next.saturating_mul(3).min(most)),
        }
    };
    while found.0 - fails > 1 {
        let middle = fails + (found.0 - fails) / 2;
        match outcome(middle)? {
            Some(reached) => found = (middle, reached),
            None => fails = middle,
        }
    }
    Ok(Some(found))
}
