//! The rule that a grower follows, played in one run.
//!
//! A grower knows a lot from the day on which it is ready, and of the plan three things: the share that it allots to each demand, and
//! each lot's likely day and amount. A demand takes castings from its first day through its last until it has all; each batch of a tea
//! on its own day. On each day on which a demand opens or a lot becomes ready, for one priority after the other:
//!
//! 1. raise its demands evenly in got over needed, each up to the share that the plan allots to it, by what is on hand less what is kept
//!    for earlier priorities;
//! 2. then likewise up to all that it needs, by what is on hand less what is kept for earlier priorities and its own.
//!
//! Lots that expire first go first. See [`reserve`] for what is kept, [`level`] for whole portions, [`minimums`] for minimums. A demand
//! that may not draw on raw castings takes of the others only, and of these alone something is kept for it; who may draw on both takes raw
//! castings first.
//! What is asked by mass is weighed out: its plan is as many more litres as castings are lighter. What else a demand will ask is known
//! on its first day.

mod hand;
mod level;
mod minimums;
mod open_claim;
mod play;
mod reserve;
mod tally;

use super::days::{Days, NEVER};
use super::drawn::DrawnSeason;
use super::plan::{Season, SeasonPlan};
use super::supply::add;
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::{Part, Requirement};
use crate::garden::cautions::waiting::Limit;
use crate::garden::units::whole;
use hand::Arrival;
pub(super) use play::RunState;
use reserve::{Allotted, Kept, Outlook};
use std::collections::BTreeSet;
pub(super) use tally::RuleTally;

/// A demand, or a batch of a tea, as the rule serves it. Shares are of what it needs.
#[derive(Debug, Clone, Copy)]
struct Claim {
    requirement: usize,
    /// What it needs in the plan, mL.
    amount: f64,
    /// The same, of what the whole demand needs.
    part: f64,
    /// The share that the plan allots to it.
    planned: f64,
    /// The same in the plan, mL.
    allotted: f64,
    minimum: f64,
    portions: f64,
    opens: f64,
    /// The place of that day among the opening days.
    place: usize,
    closes: f64,
    /// Its place among all of them in the order in which they leave where there is not enough for their minimums.
    leaves: usize,
    /// The last day on which it may draw on raw castings.
    raw_until: f64,
    rank: usize,
    /// The place of its last day among all of them.
    due: usize,
}

/// What the rule goes by in every run.
#[derive(Debug)]
pub(super) struct Rule {
    /// By the day on which they open.
    claims: Vec<Claim>,
    /// The last days of the demands, in order.
    due: Vec<f64>,
    /// How many of these lie before today: no chance is left of them.
    passed: usize,
    ranks: usize,
    use_by: Vec<f64>,
    outlook: Outlook,
    kept: Kept,
    /// The lots of the stock, without their amounts.
    stock: Vec<Arrival>,
    /// For each bed the places of its lots in the plan, by their cycle, and whether they are raw.
    beds: Vec<(Vec<Option<usize>>, bool)>,
    /// Whether the plan's litres differ from run to run, since something is weighed out.
    weighed: bool,
}

impl Rule {
    pub fn new(season: &Season<'_>, plan: &SeasonPlan, draws: &DrawnSeason, days: &Days) -> Self {
        let (mut claims, due) = claims(plan, days);
        let barred =
            plan.requirements.iter().flat_map(|requirement| &requirement.parts).any(|part| part.eligibility.differs());
        let expiry = |lot: &Lot| lot.window.last.map(|last| days.day(last));
        let use_by = in_order(plan.lots.iter().filter_map(expiry));
        let arrival = |(place, lot): (usize, &Lot)| Arrival {
            day: days.span(lot.window).0,
            amount: whole(lot.amount.get()),
            class: expiry(lot).map_or(use_by.len(), |last| use_by.partition_point(|day| *day < last)),
            raw: barred && lot.untreated,
            lot: Some(place),
        };
        let lots: Vec<Arrival> = plan.lots.iter().enumerate().map(arrival).collect();
        let opening = in_order(claims.iter().map(|claim| claim.opens).filter(|day| *day < NEVER));
        for claim in &mut claims {
            claim.place = opening.partition_point(|day| *day < claim.opens);
        }
        let ranks = claims.iter().map(|claim| claim.rank + 1).max().unwrap_or(0);
        let outlook = Outlook::new(opening, &use_by, &lots, barred);
        let passed = season.as_of.map_or(0, |today| due.partition_point(|last| *last < days.day(today)));
        let mut rule = Self {
            passed,
            kept: Kept::new(&outlook, ranks),
            stock: lots.iter().take(season.stock.len()).copied().collect(),
            beds: beds(season, plan, barred),
            weighed: draws.requirements.iter().any(|requirement| requirement.is_weighed()),
            claims,
            due,
            ranks,
            use_by,
            outlook,
        };
        let planned: Vec<Allotted> = rule.allotted(|_| 1.0).collect();
        rule.kept.allot(&rule.outlook, &planned);
        rule
    }

    /// What the plan allots to each demand, where that is so many times as many litres.
    fn allotted(&self, times: impl Fn(usize) -> f64) -> impl Iterator<Item = Allotted> {
        self.claims.iter().map(move |claim| Allotted {
            opens: claim.place,
            rank: claim.rank,
            amount: claim.allotted * times(claim.requirement),
            takes_raw: claim.raw_until >= claim.opens,
        })
    }
}

/// The demands by the day on which they open, and the last days of all of them.
fn claims(plan: &SeasonPlan, days: &Days) -> (Vec<Claim>, Vec<f64>) {
    let last = |part: &Part| days.span(part.window).1;
    let due = in_order(
        plan.requirements
            .iter()
            .flat_map(|requirement| &requirement.parts)
            .filter(|part| part.amount.get() > 0)
            .map(last),
    );
    let priorities: BTreeSet<u8> = plan.requirements.iter().map(|requirement| requirement.priority).collect();
    let mut claims = Vec::new();
    for (place, (requirement, served)) in plan.requirements.iter().zip(&plan.balance.demands).enumerate() {
        let mut allotted = vec![0.0; requirement.parts.len()];
        served.allocations.iter().for_each(|one| add(&mut allotted, one.part, whole(one.amount.get())));
        let rank = priorities.range(..requirement.priority).count();
        let all = whole(requirement.amount().get());
        let each_time = whole(requirement.amount_each_time().get());
        let minimum = requirement.minimum.map_or(0.0, |minimum| whole(minimum.get()) / each_time);
        for (part, allotted) in requirement.parts.iter().zip(allotted).filter(|(part, _)| part.amount.get() > 0) {
            let due = due.partition_point(|day| *day < last(part));
            claims.push(Claim { rank, due, minimum, ..claim((place, requirement), (part, allotted), (all, days)) });
        }
    }
    claims.sort_by(|a: &Claim, b: &Claim| a.opens.total_cmp(&b.opens));
    in_order_of_leaving(&mut claims);
    (claims, due)
}

/// The latest last day leaves first, of equals the later in the list.
fn in_order_of_leaving(claims: &mut [Claim]) {
    let mut order: Vec<&mut Claim> = claims.iter_mut().rev().collect();
    order.sort_by(|a, b| b.closes.total_cmp(&a.closes));
    order.into_iter().enumerate().for_each(|(place, claim)| claim.leaves = place);
}

/// A part of a demand, without its rank, its minimum and its places among the days.
fn claim(
    (place, requirement): (usize, &Requirement),
    (part, allotted): (&Part, f64),
    (all, days): (f64, &Days),
) -> Claim {
    let amount = whole(part.amount.get());
    let reach = part.eligibility.treated.cut(part.window);
    let (opens, closes) = reach.map_or((NEVER, NEVER), |window: Window| days.span(window));
    Claim {
        requirement: place,
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

/// For each bed the places of its lots in the plan, by their cycle, and whether they are raw.
fn beds(season: &Season<'_>, plan: &SeasonPlan, barred: bool) -> Vec<(Vec<Option<usize>>, bool)> {
    let mut beds: Vec<_> = season.beds.iter().map(|bed| (Vec::new(), barred && bed.manure.has_wait())).collect();
    for (place, lot) in plan.lots.iter().enumerate() {
        let LotSource::Bed { bed, cycle } = lot.source else { continue };
        let (Some((lots, _)), Ok(cycle)) = (beds.get_mut(bed), usize::try_from(cycle)) else { continue };
        lots.resize(lots.len().max(cycle), None);
        if let Some(slot) = cycle.checked_sub(1).and_then(|cycle| lots.get_mut(cycle)) {
            *slot = Some(place);
        }
    }
    beds
}

/// Days in order, each once.
fn in_order(days: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut days: Vec<f64> = days.collect();
    days.sort_by(f64::total_cmp);
    days.dedup();
    days
}
