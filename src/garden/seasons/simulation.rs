//! Many runs of a season: a grower follows the plan, and dates and amounts come out otherwise.

use super::chances::{Chances, PlanChances};
use super::days::{Days, NEVER};
use super::drawn::{Amounts, DrawnSeason};
use super::plan::{Season, SeasonPlan};
use super::rule::{Rule, RuleTally, RunState};
use super::supply::{Lots, Sheet};
use super::tally::Tally;
use crate::garden::beds::{Clock, ClockDrawn, Clocks, Outcome};
use crate::garden::draws::Run;
use crate::garden::refusal::Refusal;

/// Answers "how sure is that?" by drawing every uncertain value anew in each run, once for all that depend on it
/// ([`crate::garden::draws`]), and following the plan in it (as [`plan_chances`]).
///
/// What to measure first: the first-order share of the variance of the margin (ready less wanted) on the day on which it is below zero
/// in most runs; of equals the one with the least margin at the likely values.
///
/// # Errors
/// What the plan refuses.
pub fn simulate(season: &Season<'_>, plan: &SeasonPlan, (runs, seed): (u32, u64)) -> Result<Chances, Refusal> {
    let draws = DrawnSeason::new(season, plan)?;
    let days = Days::of(season, plan);
    let sheet = Sheet::new(season, plan, &draws, days);
    let mut follower = Follower::new(season, plan, (&draws, &days));
    let likely = draws.likely();
    let mut account = sheet.account(&likely);
    follower.stage.play(&Run::LIKELY, &mut follower.played);
    sheet.margins(&likely, &follower.played.beds, &mut account);
    let mut tally = Tally::new(plan, (&sheet, &account), (season, runs));
    draws.variables.each_run(seed, (0, runs), |_, run| {
        follower.follow(run);
        sheet.margins(&follower.played.amounts, &follower.played.beds, &mut account);
        tally.take((&follower.played.amounts, &follower.played.beds), &account);
    });
    let plan = follower.chances(runs);
    Ok(tally.chances((&sheet, plan), (&draws, season), seed))
}

/// Answers "how sure is this plan, where a grower follows it?" by the rule of `rule`. Another plan of the same season, or of one with more
/// stock at the end of its list, is played with the same draws: run by run, nothing else differs.
///
/// # Errors
/// What the plan refuses.
pub fn plan_chances(season: &Season<'_>, plan: &SeasonPlan, (runs, seed): (u32, u64)) -> Result<PlanChances, Refusal> {
    let draws = DrawnSeason::new(season, plan)?;
    let days = Days::of(season, plan);
    let mut follower = Follower::new(season, plan, (&draws, &days));
    draws.variables.each_run(seed, (0, runs), |_, run| follower.follow(run));
    Ok(follower.chances(runs))
}

/// So many runs are played before it is looked whether the goal can still be reached. Source: how this service works.
const RUNS_AT_ONCE: u32 = 50;

/// Answers "in how many runs does everybody get all?", as [`plan_chances`], and how many runs were played: no more once it is certain that
/// fewer than `goal` are enough.
///
/// # Errors
/// What the plan refuses.
pub(super) fn runs_with_enough(
    season: &Season<'_>,
    plan: &SeasonPlan,
    ((runs, seed), goal): ((u32, u64), u32),
) -> Result<(u32, u32), Refusal> {
    let draws = DrawnSeason::new(season, plan)?;
    let days = Days::of(season, plan);
    let mut follower = Follower::new(season, plan, (&draws, &days));
    let mut played = 0;
    while played < runs && follower.tally.enough() + (runs - played) >= goal {
        let count = if goal == 0 { runs } else { RUNS_AT_ONCE.min(runs - played) };
        draws.variables.each_run(seed, (played, count), |_, run| follower.follow(run));
        played += count;
    }
    Ok((follower.tally.enough(), played))
}

/// A grower who follows the plan in every run, and the outcome.
struct Follower<'a> {
    stage: Stage<'a>,
    rule: Rule,
    state: RunState,
    tally: RuleTally,
    played: Played,
}

impl<'a> Follower<'a> {
    fn new(season: &'a Season<'a>, plan: &SeasonPlan, (draws, days): (&'a DrawnSeason, &'a Days)) -> Self {
        let rule = Rule::new(season, plan, draws, days);
        Self {
            stage: Stage { season, draws, days, groups: Groups::new(season, draws) },
            state: rule.run_state(plan.requirements.len()),
            tally: rule.tally(plan.requirements.len()),
            rule,
            played: Played { amounts: draws.likely(), beds: Lots::new() },
        }
    }

    /// Plays a run and follows the plan in it.
    fn follow(&mut self, run: &Run<'_>) {
        self.stage.play(run, &mut self.played);
        let Played { amounts, beds } = &self.played;
        self.rule.play((self.stage.draws, run), (amounts, beds), &mut self.state);
        self.tally.take(&self.state);
    }

    fn chances(self, runs: u32) -> PlanChances {
        self.rule.chances((self.tally, runs), self.stage.days)
    }
}

/// The outcome of a run; the buffers are reused by the next run.
struct Played {
    amounts: Amounts,
    beds: Lots,
}

/// Beds that share a climate and what is known of the temperatures share a clock.
struct Groups<'a> {
    of_bed: Vec<usize>,
    clocks: Vec<(&'a Clocks, ClockDrawn)>,
}

impl<'a> Groups<'a> {
    fn new(season: &Season<'a>, draws: &DrawnSeason) -> Self {
        let mut groups = Self { of_bed: Vec::new(), clocks: Vec::new() };
        for (bed, drawn) in season.beds.iter().zip(&draws.clocks) {
            let same = |(clocks, other): &(&Clocks, ClockDrawn)| std::ptr::eq(*clocks, bed.clocks) && other == drawn;
            let place = groups.clocks.iter().position(same).unwrap_or_else(|| {
                groups.clocks.push((bed.clocks, drawn.clone()));
                groups.clocks.len() - 1
            });
            groups.of_bed.push(place);
        }
        groups
    }
}

/// What every run is played on.
struct Stage<'a> {
    season: &'a Season<'a>,
    draws: &'a DrawnSeason,
    days: &'a Days,
    groups: Groups<'a>,
}

impl Stage<'_> {
    fn play(&self, run: &Run<'_>, played: &mut Played) {
        self.outcomes(run, &mut played.beds);
        played.amounts.draw(self.draws, run);
    }

    /// What the beds give in a run.
    fn outcomes(&self, run: &Run<'_>, lots: &mut Lots) {
        let own: Vec<Option<Clock>> =
            self.groups.clocks.iter().map(|(clocks, drawn)| drawn.clock(clocks, run)).collect();
        lots.resize_with(self.draws.beds.len(), Vec::new);
        let beds = self.season.beds.iter().zip(&self.draws.beds).zip(&self.groups.of_bed);
        for (((bed, simulator), group), cycles) in beds.zip(lots) {
            let clock = own.get(*group).and_then(Option::as_ref).unwrap_or(bed.clocks.likely());
            let first = self.days.day(bed.clocks.first());
            cycles.clear();
            simulator.run(run, (bed.clocks, clock), |_, outcome: Outcome| {
                let ready = outcome.ready.map_or(NEVER, |ready| first + ready);
                cycles.push((ready, (outcome.litres * 1000.0).round_ties_even()));
            });
        }
    }
}
