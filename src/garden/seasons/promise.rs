//! Whether the plan, as it was printed, holds for each demand in a run.

use super::plan::{Amounts, DrawnSeason, SeasonPlan};
use super::supply::{HALF, Lots, add, of_bed};
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::draws::Run;
use crate::garden::units::whole;
use chrono::NaiveDate;

/// A draw of the plan.
#[derive(Debug, Clone, Copy)]
struct Promise {
    requirement: usize,
    amount: f64,
    /// The last day on which the demand can be served from this lot; `None` if any will do.
    last: Option<f64>,
    /// True if it is weighed out.
    weighed: bool,
}

/// The draws of one lot that is not certain, in the order of the plan.
#[derive(Debug)]
struct LotPromises {
    source: LotSource,
    draws: Vec<Promise>,
}

/// What was promised to each demand.
#[derive(Debug)]
pub(super) struct Promises {
    /// What each demand gets from lots that are certain, mL.
    sure: Vec<f64>,
    promised: Vec<LotPromises>,
    given: Vec<f64>,
}

/// The draws of one lot, with what puts them in order.
type OfLot = Vec<(Option<NaiveDate>, u8, Promise)>;

impl Promises {
    pub fn new(plan: &SeasonPlan, draws: &DrawnSeason, day: impl Fn(NaiveDate) -> f64) -> Self {
        let mut promises = Self { sure: vec![0.0; plan.requirements.len()], promised: Vec::new(), given: Vec::new() };
        let used = plan.lots.iter().zip(by_lot(plan, draws, day)).filter(|(_, list)| !list.is_empty());
        for (Lot { source, .. }, mut list) in used {
            let certain = match *source {
                LotSource::Stock(place) => draws.stock.get(place).is_some_and(|amount| amount.is_known()),
                LotSource::Bed { .. } => false,
            };
            if certain && list.iter().all(|(_, _, draw)| !draw.weighed) {
                list.iter().for_each(|(_, _, draw)| add(&mut promises.sure, draw.requirement, draw.amount));
                continue;
            }
            list.sort_by_key(|(on, priority, draw)| (*on, *priority, draw.requirement));
            let draws = list.into_iter().map(|(_, _, draw)| draw).collect();
            promises.promised.push(LotPromises { source: *source, draws });
        }
        promises
    }

    /// Counts the demands for which the plan holds: each draw counts if its lot is ready by the last day of the demand, and a lot
    /// that gives less than planned serves its draws in the order of the plan. What is asked by mass is weighed out: its draws are
    /// as many more litres as castings are lighter.
    pub fn keep(
        &mut self,
        (draws, run): (&DrawnSeason, &Run<'_>),
        (amounts, beds): (&Amounts, &Lots),
        kept: &mut [u32],
    ) {
        let given = &mut self.given;
        given.clone_from(&self.sure);
        for promised in &self.promised {
            let (ready, mut rest) = match promised.source {
                LotSource::Stock(place) => (f64::NEG_INFINITY, amounts.stock(place)),
                LotSource::Bed { bed, cycle } => of_bed(beds, bed, cycle).unwrap_or((f64::INFINITY, 0.0)),
            };
            for draw in &promised.draws {
                if ready < f64::INFINITY && draw.last.is_none_or(|last| ready <= last) {
                    let weighed = draws.requirements.get(draw.requirement).filter(|_| draw.weighed);
                    let taken =
                        rest.min(weighed.map_or(draw.amount, |requirement| draw.amount * requirement.weighed(run)));
                    rest -= taken;
                    add(given, draw.requirement, taken);
                }
            }
        }
        for ((kept, given), asked) in kept.iter_mut().zip(given).zip(&amounts.requirements) {
            if *given >= asked - HALF {
                *kept += 1;
            }
        }
    }
}

/// The draws of each lot.
fn by_lot(plan: &SeasonPlan, draws: &DrawnSeason, day: impl Fn(NaiveDate) -> f64) -> Vec<OfLot> {
    let mut lots: Vec<OfLot> = plan.lots.iter().map(|_| Vec::new()).collect();
    for (requirement, (asked, served)) in plan.requirements.iter().zip(&plan.balance.demands).enumerate() {
        let weighed = draws.requirements.get(requirement).is_some_and(|amount| amount.is_weighed());
        for draw in &served.allocations {
            // An untreated lot that comes after the demand's last day for it is of no use.
            let (part, lot) = (asked.parts.get(draw.part), plan.lots.get(draw.lot));
            let limit = part.zip(lot).map(|(part, lot)| part.eligibility.limit(lot.untreated));
            let last = part.zip(limit).and_then(|(part, limit)| limit.cut(part.window)?.last).map(&day);
            let one = Promise { requirement, amount: whole(draw.amount.get()), last, weighed };
            if let Some(list) = lots.get_mut(draw.lot) {
                list.push((draw.on, asked.priority, one));
            }
        }
    }
    lots
}
