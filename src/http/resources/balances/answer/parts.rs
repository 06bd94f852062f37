//! The parts that balances and seasons answer with.

use super::{BalanceTotal, DayOut, DemandOut, ShortfallOptionsOut, StockOut};
use crate::garden::balances::allocation::Lot;
use crate::garden::cautions::Rule;
use crate::http::output::{QuantityOut, Report};
use chrono::NaiveDate;

/// The parts of an answer that every balance has.
pub(in crate::http::resources) struct BalanceParts {
    pub total: BalanceTotal,
    pub pro_rata_share: QuantityOut,
    pub first_shortfall_on: Option<NaiveDate>,
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
