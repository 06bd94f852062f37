//! Whether the plan, as it was printed, holds for each demand in a run.

use super::plan::{Draws, Season, SeasonPlan};
use super::simulation::Lots;
use super::supply::HALF;
use crate::garden::draws::Run;
use crate::garden::units::whole;
use chrono::NaiveDate;
use std::cell::RefCell;

/// A draw of the plan.
#[derive(Debug, Clone, Copy)]
struct Draw {
    want: usize,
    amount: f64,
    /// The last day on which the demand can be served; `None` if any will do.
    last: Option<f64>,
}

/// The draws of one lot that is not certain, in the order of the plan.
#[derive(Debug)]
struct Promised {
    /// Its place in the list of lots.
    lot: usize,
    draws: Vec<Draw>,
}

/// What was promised to each demand.
#[derive(Debug)]
pub(super) struct Promises {
    /// How many lots come of the stock.
    stock: usize,
    /// What each demand gets from lots that are certain, mL.
    sure: Vec<f64>,
    promised: Vec<Promised>,
    given: RefCell<Vec<f64>>,
}

impl Promises {
    pub fn new(season: &Season<'_>, plan: &SeasonPlan, draws: &Draws, day: impl Fn(NaiveDate) -> f64) -> Self {
        let stock = season.stock.len();
        let mut sure = vec![0.0; plan.wants.len()];
        let mut lots: Vec<Vec<(Option<NaiveDate>, u8, Draw)>> = plan.lots.iter().map(|_| Vec::new()).collect();
        let mut parts = 0;
        for (want, (asked, served)) in plan.wants.iter().zip(&plan.balance.demands).enumerate() {
            // The parts of all demands are counted through.
            let first = parts;
            parts += asked.parts.len();
            for draw in &served.draws {
                let part = draw.demand.checked_sub(first).and_then(|i| asked.parts.get(i));
                let last = part.and_then(|part| part.window.last).map(&day);
                let one = Draw { want, amount: whole(draw.amount.get()), last };
                let certain = draws.stock.get(draw.lot).is_some_and(|amount| amount.is_known());
                if certain {
                    sure.iter_mut().skip(want).take(1).for_each(|sum| *sum += one.amount);
                } else if let Some(list) = lots.get_mut(draw.lot) {
                    list.push((draw.on, asked.priority, one));
                }
            }
        }
        let mut promised = Vec::new();
        for (lot, mut list) in lots.into_iter().enumerate().filter(|(_, list)| !list.is_empty()) {
            list.sort_by_key(|(on, priority, draw)| (*on, *priority, draw.want));
            promised.push(Promised { lot, draws: list.into_iter().map(|(_, _, draw)| draw).collect() });
        }
        let given = RefCell::new(vec![0.0; plan.wants.len()]);
        Self { stock, sure, promised, given }
    }

    /// Counts the demands for which the plan holds: each draw counts if its lot is ready by the last day of the demand, and a lot
    /// that gives less than planned serves its draws in the order of the plan.
    pub fn keep(
        &self,
        (draws, run): (&Draws, &Run<'_>),
        (origins, beds): (&[(usize, usize)], &Lots),
        kept: &mut [u32],
    ) {
        let mut given = self.given.borrow_mut();
        given.copy_from_slice(&self.sure);
        for promised in &self.promised {
            let (ready, mut rest) = match draws.stock.get(promised.lot) {
                Some(amount) => (f64::NEG_INFINITY, amount.of(run)),
                None => {
                    let origin = promised.lot.checked_sub(self.stock).and_then(|i| origins.get(i));
                    let lot = origin.and_then(|(bed, cycle)| beds.get(*bed)?.get(*cycle));
                    lot.copied().unwrap_or((f64::INFINITY, 0.0))
                }
            };
            for draw in &promised.draws {
                let in_time = ready < f64::INFINITY && draw.last.is_none_or(|last| ready <= last);
                let taken = if in_time { rest.min(draw.amount) } else { 0.0 };
                rest -= taken;
                given.iter_mut().skip(draw.want).take(1).for_each(|sum| *sum += taken);
            }
        }
        for ((kept, given), want) in kept.iter_mut().zip(given.iter()).zip(&draws.wants) {
            if *given >= want.of(run) - HALF {
                *kept += 1;
            }
        }
    }
}
