//! The demands as the rule serves them, and until when each waits.
//!
//! A demand waits while others have an earlier last day, and for the last lot that the plan has ready by its own: so who cannot wait comes first,
//! and what is kept for those who wait is what those lots leave open. Meanwhile it takes only castings that it cannot use later ([`early`]).

use super::super::days::{Days, NEVER, in_order};
use super::super::plan::SeasonPlan;
use crate::garden::balances::allocation::{Lot, Window};
use crate::garden::balances::{Allocated, Part, Requirement};
use crate::garden::cautions::waiting::Limit;
use crate::garden::units::whole;
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};

/// A demand, or a part of it, as the rule serves it. Shares are of what it needs.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Claim {
    pub requirement: usize,
    /// What it needs in the plan, mL.
    pub amount: f64,
    /// The same, of what the whole demand needs.
    pub part: f64,
    /// The share that the plan allots to it.
    pub planned: f64,
    /// The same in the plan, mL.
    pub allotted: f64,
    pub minimum: f64,
    pub portions: f64,
    /// The first day on which it takes anything.
    pub opens: f64,
    /// The place of that day among the opening days.
    pub place: usize,
    /// Until this day it takes only castings that it cannot use later; the day on which it opens where it does not wait.
    pub waits: f64,
    /// The place of that day among the opening days.
    pub waits_place: usize,
    /// The share that the plan allots to it of castings that it cannot use later.
    pub early: f64,
    pub closes: f64,
    /// Its place among all of them in the order in which they leave where there is not enough for their minimums.
    pub leaves: usize,
    /// The last day on which it may draw on raw castings.
    pub raw_until: f64,
    pub rank: usize,
    /// The place of its last day among all of them.
    pub due: usize,
}

/// The demands by the day on which they open, and the last days of all of them.
pub(in super::super) fn claims(plan: &SeasonPlan, today: Option<NaiveDate>, days: &Days) -> (Vec<Claim>, Vec<f64>) {
    let last = |part: &Part| days.span(part.window).1;
    let parts = plan.requirements.iter().flat_map(|requirement| &requirement.parts);
    let due = in_order(parts.filter(|part| part.amount.get() > 0).map(last));
    let dates = Dates::of(plan, today, days);
    let priorities: BTreeSet<u8> = plan.requirements.iter().map(|requirement| requirement.priority).collect();
    let mut claims = Vec::new();
    for (place, (requirement, served)) in plan.requirements.iter().zip(&plan.balance.demands).enumerate() {
        let mut given: BTreeMap<usize, Vec<&Allocated>> = BTreeMap::new();
        served.allocations.iter().for_each(|one| given.entry(one.part).or_default().push(one));
        let rank = priorities.range(..requirement.priority).count();
        let all = whole(requirement.amount().get());
        let each_time = whole(requirement.amount_each_time().get());
        let minimum = requirement.minimum.map_or(0.0, |minimum| whole(minimum.get()) / each_time);
        for (i, part) in requirement.parts.iter().enumerate().filter(|(_, part)| part.amount.get() > 0) {
            let due = due.partition_point(|day| *day < last(part));
            let given = given.get(&i).map(Vec::as_slice).unwrap_or_default();
            let wait = dates.wait(part, given, (&plan.lots, days));
            claims.push(Claim {
                requirement: place,
                rank,
                due,
                minimum,
                ..claim((requirement, part), &wait, (given, all, days))
            });
        }
    }
    claims.sort_by(|a: &Claim, b: &Claim| a.opens.total_cmp(&b.opens));
    let opening = opening_days(&claims);
    let place = |day: f64| opening.partition_point(|other| *other < day);
    for claim in &mut claims {
        (claim.place, claim.waits_place) = (place(claim.opens), place(claim.waits));
    }
    in_order_of_leaving(&mut claims);
    (claims, due)
}

/// The days on which any of them opens, or has waited, in order.
pub(in super::super) fn opening_days(claims: &[Claim]) -> Vec<f64> {
    in_order(claims.iter().flat_map(|claim| [claim.opens, claim.waits]).filter(|day| *day < NEVER))
}

/// The latest last day leaves first, of equals the later in the list.
fn in_order_of_leaving(claims: &mut [Claim]) {
    let mut order: Vec<&mut Claim> = claims.iter_mut().rev().collect();
    order.sort_by(|a, b| b.closes.total_cmp(&a.closes));
    order.into_iter().enumerate().for_each(|(place, claim)| claim.leaves = place);
}

/// How long a part waits.
#[derive(Default)]
struct Wait {
    /// The day until which it waits; `None` where it does not.
    until: Option<NaiveDate>,
    /// Whether there may be castings that it can use before that day only.
    takes_early: bool,
    /// What the plan allots to it of these, mL.
    early: u64,
}

/// The days by which it is known who waits, each kind in order.
struct Dates {
    /// The last days, from today on, on which somebody may be served.
    last: Vec<f64>,
    /// The days on which lots become ready by the plan.
    ready: Vec<f64>,
    /// The last days of use of lots, the first of them in front.
    use_by: Vec<f64>,
    /// Whether there are castings that count as raw manure.
    any_raw: bool,
}

impl Dates {
    fn of(plan: &SeasonPlan, today: Option<NaiveDate>, days: &Days) -> Self {
        let parts = plan.requirements.iter().flat_map(|requirement| &requirement.parts);
        let reach = |part: &Part| part.eligibility.treated.cut(part.window);
        let last = parts.filter(|part| part.amount.get() > 0).filter_map(reach).map(|window| days.span(window).1);
        let first = today.map_or(0.0, |today| days.day(today));
        Self {
            last: in_order(last.filter(|last| *last >= first)),
            ready: in_order(plan.lots.iter().map(|lot| days.span(lot.window).0)),
            use_by: in_order(plan.lots.iter().filter_map(|lot| lot.window.last).map(|last| days.day(last))),
            any_raw: plan.lots.iter().any(|lot| lot.untreated),
        }
    }

    /// How long a part waits: where somebody has an earlier last day, until that has passed, and what the plan counts on has come.
    fn wait(&self, part: &Part, given: &[&Allocated], (lots, days): (&[Lot], &Days)) -> Wait {
        let Some(day) = self.waits_until(part, days) else { return Wait::default() };
        let until = days.date(day);
        let waited = Window { first: Some(until), ..part.window };
        let keeps =
            |one: &Allocated| lots.get(one.lot).is_some_and(|lot| part.eligibility.days_on(waited, lot).is_some());
        let early = given.iter().filter(|one| one.on < Some(until) && !keeps(one)).map(|one| one.amount.get());
        let expires = self.use_by.first().is_some_and(|first| *first < day);
        Wait {
            until: Some(until),
            takes_early: expires || (self.any_raw && !part.eligibility.untreated.allows(until)),
            early: early.sum(),
        }
    }

    fn waits_until(&self, part: &Part, days: &Days) -> Option<f64> {
        let (first, last) = part.eligibility.treated.cut(part.window).map(|window| days.span(window))?;
        let latest_of = |all: &[f64], end: usize| all.get(end.checked_sub(1)?).copied();
        let passed = latest_of(&self.last, self.last.partition_point(|day| *day < last))?;
        let ready = latest_of(&self.ready, self.ready.partition_point(|day| *day <= last)).unwrap_or(passed);
        Some(ready.max(passed + 1.0)).filter(|day| *day > first)
    }
}

/// A part of a demand, without its rank, its minimum and its places among the days.
fn claim(
    (requirement, part): (&Requirement, &Part),
    wait: &Wait,
    (given, all, days): (&[&Allocated], f64, &Days),
) -> Claim {
    let amount = whole(part.amount.get());
    let allotted = whole(given.iter().map(|one| one.amount.get()).sum());
    let reach = part.eligibility.treated.cut(part.window);
    let (first, closes) = reach.map_or((NEVER, NEVER), |window: Window| days.span(window));
    let waits = wait.until.map_or(first, |until| days.day(until));
    Claim {
        requirement: 0,
        amount,
        part: amount / all,
        planned: allotted / amount,
        allotted,
        minimum: 0.0,
        portions: part.pieces.filter(|_| requirement.whole_portions).map_or(0.0, f64::from),
        opens: if wait.takes_early { first } else { waits },
        waits,
        early: whole(wait.early) / amount,
        closes,
        leaves: 0,
        raw_until: match part.eligibility.untreated {
            Limit::Always => NEVER,
            Limit::Until(day) => days.day(day),
            Limit::Never => -NEVER,
        },
        place: 0,
        waits_place: 0,
        rank: 0,
        due: 0,
    }
}
