//! The rule that a grower follows, played in one run.
//!
//! A grower knows a lot from the day on which it is ready, and of the plan three things: the share that it allots to each demand, and
//! each lot's likely day and amount. A demand takes castings until its last day, and no sooner than others whose last day is earlier: see
//! [`claims`] for when it opens. Each batch of a tea takes them on its own day. On each day on which a demand opens or a lot becomes ready,
//! for one priority after the other:
//!
//! 1. raise its demands evenly in got over needed, each up to the share that the plan allots to it, by what is on hand less what is kept
//!    for earlier priorities;
//! 2. then likewise up to all that it needs, by what is on hand less what is kept for earlier priorities and its own.
//!
//! Who waits takes castings that it cannot use later: see [`early`]. Lots that expire first go first. See [`reserve`] for what is kept,
//! [`level`] for whole portions, [`minimums`] for minimums. A demand that may not draw on raw castings takes of the others only, and of
//! these alone something is kept for it; who may draw on both takes raw castings first.
//! What is asked by mass is weighed out: its plan is as many more litres as castings are lighter. What else a demand will ask is known
//! on its first day.

mod claims;
mod early;
mod hand;
mod level;
mod minimums;
mod open_claim;
mod play;
mod reserve;
mod tally;

use super::days::{Days, in_order};
use super::drawn::DrawnSeason;
use super::plan::{Season, SeasonPlan};
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::units::whole;
pub(super) use claims::{Claim, claims, opening_days};
use hand::Arrival;
pub(super) use play::RunState;
use reserve::{Allotted, Kept, Outlook};
pub(super) use tally::RuleTally;

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
    /// Whether somebody waits while there may be castings that it cannot use later.
    takes_early: bool,
    /// Whether the plan's litres differ from run to run, since something is weighed out.
    weighed: bool,
}

impl Rule {
    pub fn new(season: &Season<'_>, plan: &SeasonPlan, draws: &DrawnSeason, days: &Days) -> Self {
        let (claims, due) = claims(plan, season.as_of, days);
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
        let ranks = claims.iter().map(|claim| claim.rank + 1).max().unwrap_or(0);
        let outlook = Outlook::new(opening_days(&claims), &use_by, &lots, barred);
        let passed = season.as_of.map_or(0, |today| due.partition_point(|last| *last < days.day(today)));
        let mut rule = Self {
            passed,
            kept: Kept::new(&outlook, ranks),
            takes_early: claims.iter().any(|claim| claim.opens < claim.waits),
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

    /// What the plan allots to each demand, where that is so many times as many litres: on the day on which it opens, and when it has waited.
    fn allotted(&self, times: impl Fn(usize) -> f64) -> impl Iterator<Item = Allotted> {
        self.claims.iter().flat_map(move |claim| {
            let early = claim.early * claim.amount;
            let by = [(claim.place, claim.opens, early), (claim.waits_place, claim.waits, claim.allotted - early)];
            let times = times(claim.requirement);
            by.map(|(opens, day, amount)| Allotted {
                opens,
                rank: claim.rank,
                amount: amount * times,
                takes_raw: claim.raw_until >= day,
            })
        })
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
