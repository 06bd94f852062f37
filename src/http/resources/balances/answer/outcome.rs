//! What is kept of a balance to compare it with others.

use super::{BalanceTotal, BalancesPart, ShortfallOptionsOut};
use crate::garden::balances::options::OptionKind;
use crate::http::output::Number;
use crate::http::resources::variants::OutcomeOut;
use chrono::NaiveDate;

impl OutcomeOut {
    /// What is kept of a balance, or but for its chance of a season.
    #[must_use]
    pub fn of(
        name: &str,
        headline: &str,
        (total, first_shortfall_on): (&BalanceTotal, Option<NaiveDate>),
        options: &ShortfallOptionsOut,
    ) -> Self {
        let (cost, currency) = options.cost_of_sacks().unzip();
        Self {
            name: name.to_owned(),
            headline: headline.to_owned(),
            chance_enough: None,
            cost,
            currency: currency.flatten(),
            shortfall: total.shortfall.clone(),
            first_shortfall_on,
        }
    }
}

impl BalancesPart {
    /// What is kept of it to compare it with others.
    #[must_use]
    pub fn outcome(&self, name: &str) -> OutcomeOut {
        OutcomeOut::of(name, &self.headline, (&self.total, self.first_shortfall_on), &self.shortfall_options)
    }
}

impl ShortfallOptionsOut {
    /// The price of all sacks together, with its currency; none where no sack is needed or they have no price.
    #[must_use]
    pub fn cost_of_sacks(&self) -> Option<(Number, Option<String>)> {
        let sacks = self.options.iter().find(|option| option.kind == OptionKind::Sacks.as_str())?;
        Some((sacks.cost?, sacks.currency.clone()))
    }
}
