//! What is kept of a balance to compare it with others.

use super::{BalancesPart, GapOut};
use crate::garden::balances::options::OptionKind;
use crate::http::output::Number;
use crate::http::resources::variants::OutcomeOut;

impl BalancesPart {
    /// What is kept of it to compare it with others.
    #[must_use]
    pub fn outcome(&self, name: &str) -> OutcomeOut {
        let (cost, currency) = self.shortfall_options.cost_of_sacks().unzip();
        OutcomeOut {
            name: name.to_owned(),
            headline: self.headline.clone(),
            chance_enough: None,
            cost,
            currency: currency.flatten(),
            shortfall: self.total.shortfall.clone(),
            first_shortfall_on: self.first_shortfall_on,
        }
    }
}

impl GapOut {
    /// The price of all sacks together, with its currency; none where no sack is needed or they have no price.
    #[must_use]
    pub fn cost_of_sacks(&self) -> Option<(Number, Option<String>)> {
        let sacks = self.options.iter().find(|option| option.kind == OptionKind::Sacks.as_str())?;
        Some((sacks.cost?, sacks.currency.clone()))
    }
}
