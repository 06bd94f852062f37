//! The demands as the rule serves them, and until when each waits.
//!
//! A demand waits while others have an earlier last day, and for the last lot that the plan has ready by its own: so who cannot wait comes first,
//! and what is kept for those who wait is what those lots leave open. Castings that the plan gives it and that do not keep so long are taken from
//! its first day on.

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
    pub opens: f64,
    /// The place of that day among the opening days.
    pub place: usize,
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
pub(in super::super) fn claims(plan: &SeasonPlan, days: &Days) -> (Vec<Claim>, Vec<f64>) {
    let last = |part: &Part| days.span(part.window).1;
    let parts = plan.requirements.iter().flat_map(|requirement| &requirement.parts);
    let due = in_order(parts.filter(|part| part.amount.get() > 0).map(last));
    let dates = Dates::of(plan, days);
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
            for stage in stages((requirement, part), given, (dates.waits_until(part, days), &plan.lots)) {
                let claim = claim((requirement, part), &stage, (all, days));
                claims.push(Claim { requirement: place, rank, due, minimum, ..claim });
            }
        }
    }
    claims.sort_by(|a: &Claim, b: &Claim| a.opens.total_cmp(&b.opens));
    let opening = opening_days(&claims);
    for claim in &mut claims {
        claim.place = opening.partition_point(|day| *day < claim.opens);
    }
    in_order_of_leaving(&mut claims);
    (claims, due)
}

/// The days on which any of them opens, in order.
pub(in super::super) fn opening_days(claims: &[Claim]) -> Vec<f64> {
    in_order(claims.iter().map(|claim| claim.opens).filter(|day| *day < NEVER))
}

/// The latest last day leaves first, of equals the later in the list.
fn in_order_of_leaving(claims: &mut [Claim]) {
    let mut order: Vec<&mut Claim> = claims.iter_mut().rev().collect();
    order.sort_by(|a, b| b.closes.total_cmp(&a.closes));
    order.into_iter().enumerate().for_each(|(place, claim)| claim.leaves = place);
}

/// What of a part is taken from which day on.
struct Stage {
    /// What it needs, mL.
    amount: u64,
    /// What the plan allots to it, mL.
    allotted: u64,
    /// `None`: from its first day on.
    from: Option<NaiveDate>,
}

/// A part as a whole, or what of it does not keep until the day to which it waits, and the rest.
fn stages(
    (requirement, part): (&Requirement, &Part),
    given: &[&Allocated],
    (until, lots): (Option<NaiveDate>, &[Lot]),
) -> Vec<Stage> {
    let sum = |of: &dyn Fn(&Allocated) -> bool| -> u64 {
        given.iter().filter(|one| of(one)).map(|one| one.amount.get()).sum()
    };
    let all = Stage { amount: part.amount.get(), allotted: sum(&|_| true), from: None };
    let Some(day) = until else { return vec![all] };
    let waiting = Window { first: Some(day), ..part.window };
    let keeps = |one: &Allocated| lots.get(one.lot).is_some_and(|lot| part.eligibility.days_on(waiting, lot).is_some());
    let now = sum(&|one| one.on < Some(day) && !keeps(one));
    if now == 0 {
        vec![Stage { from: until, ..all }]
    } else if requirement.whole_portions || requirement.minimum.is_some() {
        // A portion, and what has a minimum, is not taken in two.
        vec![all]
    } else {
        let rest = Stage { amount: all.amount - now, allotted: all.allotted - now, from: until };
        vec![Stage { amount: now, allotted: now, from: None }, rest].into_iter().filter(|of| of.amount > 0).collect()
    }
}

/// The days by which it is known who waits, each kind in order.
struct Dates {
    /// The last days on which somebody may be served.
    last: Vec<f64>,
    /// The days on which lots become ready by the plan.
    ready: Vec<f64>,
}

impl Dates {
    fn of(plan: &SeasonPlan, days: &Days) -> Self {
        let parts = plan.requirements.iter().flat_map(|requirement| &requirement.parts);
        let reach = |part: &Part| part.eligibility.treated.cut(part.window);
        let last = parts.filter(|part| part.amount.get() > 0).filter_map(reach).map(|window| days.span(window).1);
        Self { last: in_order(last), ready: in_order(plan.lots.iter().map(|lot| days.span(lot.window).0)) }
    }

    /// The day until which a part waits, where somebody has an earlier last day: then that has passed, and what the plan counts on has come.
    fn waits_until(&self, part: &Part, days: &Days) -> Option<NaiveDate> {
        let (first, last) = part.eligibility.treated.cut(part.window).map(|window| days.span(window))?;
        let latest_of = |all: &[f64], end: usize| all.get(end.checked_sub(1)?).copied();
        let passed = latest_of(&self.last, self.last.partition_point(|day| *day < last))?;
        let ready = latest_of(&self.ready, self.ready.partition_point(|day| *day <= last)).unwrap_or(passed);
        let day = ready.max(passed + 1.0);
        (day > first).then(|| days.date(day))
    }
}

/// A stage of a part, without its rank, its minimum and its places among the days.
fn claim((requirement, part): (&Requirement, &Part), stage: &Stage, (all, days): (f64, &Days)) -> Claim {
    let (amount, allotted) = (whole(stage.amount), whole(stage.allotted));
    let window = Window { first: stage.from.or(part.window.first), ..part.window };
    let reach = part.eligibility.treated.cut(window);
    let (opens, closes) = reach.map_or((NEVER, NEVER), |window: Window| days.span(window));
    Claim {
        requirement: 0,
        amount,
        part: amount / all,
        planned: allotted / amount,
        allotted,
        minimum: 0.0,
        portions: part.pieces.filter(|_| requirement.whole_portions).map_or(0.0, f64::from),
        opens,
        closes,
        leaves: 0,
        raw_until: match part.eligibility.untreated {
            Limit::Always => NEVER,
            Limit::Until(day) => days.day(day),
            Limit::Never => -NEVER,
        },
        place: 0,
        rank: 0,
        due: 0,
    }
}
