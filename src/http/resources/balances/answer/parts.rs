//! The parts that balances and seasons answer with.

use super::{BalanceTotal, DayOut, DemandOut, ShortfallOptionsOut, StockOut};
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::{Balance, Requirement};
use crate::garden::cautions::Rule;
use crate::http::output::{QuantityOut, Report};
use chrono::NaiveDate;

/// The parts of an answer that every balance has.
pub(in crate::http::resources) struct BalanceParts {
    pub total: BalanceTotal,
    pub pro_rata_share: QuantityOut,
    pub first_shortfall_on: Option<NaiveDate>,
    /// The days on which a demand gets less than it needs, with its place: those of each time or round by itself, in the order of time.
    pub short_on: Vec<(NaiveDate, usize)>,
    pub demands: Vec<DemandOut>,
    pub stock: Vec<StockOut>,
    pub opening_stock: QuantityOut,
    pub by_date: Vec<DayOut>,
    pub shortfall_options: ShortfallOptionsOut,
}

impl BalanceParts {
    /// Takes the caution of raw manure back where every lot is said to be free of it or treated, and nothing is to be bought or
    /// produced of which that is not known.
    pub fn without_manure(&self, lots: &[Lot], report: &mut Report) {
        let stated = !lots.is_empty() && !lots.iter().any(|lot| lot.untreated);
        if stated && self.shortfall_options.sacks.is_empty() && self.shortfall_options.additional_production.is_empty()
        {
            report.take_back(Rule::RawManure);
        }
    }
}

/// The days on which a demand gets less than it needs, with its place: [`BalanceParts::short_on`].
pub fn short_on(requirements: &[Requirement], balance: &Balance) -> Vec<(NaiveDate, usize)> {
    let demands = requirements.iter().zip(&balance.demands).enumerate();
    let days = demands.flat_map(|(i, (asked, served))| asked.short_on(served).into_iter().map(move |on| (on, i)));
    let mut days: Vec<(NaiveDate, usize)> = days.collect();
    days.sort_unstable();
    days
}
