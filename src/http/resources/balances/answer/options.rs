//! The options where something is short, as they go.

use super::occasions::past;
use super::option_text::{OptionText, Wording};
use super::{SackOut, ShortfallOptionsOut};
use crate::garden::balances::allocation::Window;
use crate::garden::balances::before::BeforeSupply;
use crate::garden::balances::ledger::SackPurchase;
use crate::garden::balances::options::{Sack, ShortfallOption, Situation, options};
use crate::garden::units::whole;
use crate::http::output::quantity::View;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::words::{alike, chance, day, sum_of_money};
use crate::http::resources::balances::additional_production::{PlannedProduction, ProductionBedOut};
use crate::http::resources::balances::answer::write::Balanced;
use crate::http::resources::calendar::uncapitalised;
use crate::http::resources::season_beds::SeasonBedRequest;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// One thing that can be done about the shortfall, to be compared with the others.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ShortfallOption)]
pub struct OptionOut {
    /// What is done; the details are in the list of that name.
    #[schema(schema_with = crate::http::output::enums::option_kinds)]
    pub kind: &'static str,
    /// The same in words.
    #[schema(value_type = String)]
    pub text: OptionText,
    /// Who gets more than planned before its castings come.
    #[serde(skip)]
    pub before: Option<BeforeSupply>,
    /// The latest day to act: buy, start to produce, or decide. Any day will do where there is none.
    pub act_by: Option<NaiveDate>,
    /// True if that day is before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// What it leaves short, all demands together.
    pub shortfall: QuantityOut,
    /// The chance that every demand is met with it, in steps of 5 %; in a season with runs. Left out where the same share is given, and where
    /// the runs would take too long.
    pub chance_enough: Option<QuantityOut>,
    /// What it costs: 0 where nothing is bought, left out where the request gives no price. Of additional production, what the worms and
    /// materials that have a price cost; what has none is not bought.
    #[schema(value_type = Option<f64>)]
    pub cost: Option<Number>,
    /// In which currency.
    pub currency: Option<String>,
    /// In `reach_90_percent`, the beds to lay, as a request has them: among the `worm_beds` of the season they give this chance.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(value_type = Vec<SeasonBedRequest>)]
    pub worm_beds: Vec<ProductionBedOut>,
    /// The largest amount that the text names, in whose unit readers find the shortfall too.
    #[serde(skip)]
    #[schema(ignore)]
    pub named: Option<QuantityOut>,
}

/// What does not give a season a chance of 90 %.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OptionOutOfReach)]
pub struct OutOfReachOut {
    /// What was tried.
    #[schema(schema_with = crate::http::output::enums::option_kinds)]
    pub kind: &'static str,
    /// The largest step of it that was tried, in words.
    pub text: String,
}

impl OptionOut {
    /// All that is to be said of it, in a line that begins with the latest day to act; at once where that has passed.
    #[must_use]
    pub fn in_words(&self) -> String {
        let what = uncapitalised(&self.without_day());
        self.text.with_sentences(match self.act_by {
            Some(by) if self.past => format!("At once, since {} has passed: {what}", day(by)),
            Some(by) => format!("By {}: {what}", day(by)),
            None => self.without_day(),
        })
    }

    /// All that is to be said of it but its latest day.
    fn without_day(&self) -> String {
        let cost = match (&self.cost, &self.currency) {
            (Some(cost), _) if cost.get() == 0.0 => String::new(),
            (Some(cost), Some(currency)) => format!(", {}", sum_of_money(cost, Some(currency))),
            (Some(cost), None) => format!(", at a cost of {}", sum_of_money(cost, None)),
            (None, _) => String::new(),
        };
        let short = Some(&self.shortfall).filter(|short| short.value.get() > 0.0);
        let left = short.map(|short| alike([short, self.named.as_ref().unwrap_or(short)])[0].clone());
        let left = left.map(|left| format!("; {left} are still short")).unwrap_or_default();
        let chance = self.chance_enough.as_ref().map(|of| format!("; chance {}", chance(of))).unwrap_or_default();
        format!("{}{cost}{left}{chance}.", self.text.what)
    }
}

impl Balanced<'_> {
    /// Writes the sacks that are bought for what is short.
    pub fn sacks(&self, view: &View<'_>) -> Vec<SackOut> {
        let (Some(sack), Some(holds)) = (self.labels.sack, self.asked.sack) else { return Vec::new() };
        let purchase = |purchase: &SackPurchase| SackOut {
            by: purchase.by,
            past: past(Window { first: None, last: purchase.by }, self.asked.as_of),
            count: purchase.count,
            capacity: view.whole(holds),
            cost: sack.price.map(|price| Number::rounded(price.0 * whole(purchase.count))),
            currency: sack.currency.as_deref().map(str::to_owned),
        };
        self.balance.sacks.iter().map(purchase).collect()
    }

    /// Writes the options; none where nothing is short.
    pub fn options(
        &self,
        gap: &ShortfallOptionsOut,
        production: Option<&PlannedProduction>,
        view: &View<'_>,
    ) -> Vec<OptionOut> {
        let (labels, asked) = (self.labels, self.asked);
        let price = labels.sack.and_then(|sack| sack.price).map(|price| price.0);
        let sack = asked.sack.map(|holds| Sack { holds, price });
        let situation = Situation { requirements: &asked.requirements, balance: self.balance, as_of: asked.as_of };
        let plans = production.map(|production| production.found.plans.as_slice()).unwrap_or_default();
        let found = options(situation, sack, plans, |batch| production.and_then(|production| production.cost(batch)));
        let of_sack = labels.sack.and_then(|sack| sack.currency.as_deref());
        let currency = of_sack.or_else(|| production.and_then(|production| production.currency.as_deref()));
        let capacity = sack.map(|sack| view.whole(sack.holds));
        let wording = Wording { labels, gap, production, capacity, view };
        let write = |option: ShortfallOption| {
            let before = situation.before(option.kind, self.lots, plans);
            OptionOut {
                kind: option.kind.as_str(),
                text: wording.text(&option, before.as_ref()),
                before,
                act_by: option.act_by,
                past: option.act_by.zip(asked.as_of).is_some_and(|(by, today)| by < today),
                shortfall: view.whole(option.shortfall),
                chance_enough: None,
                cost: option.cost.map(Number::rounded),
                currency: option.cost.and(currency).map(str::to_owned),
                worm_beds: Vec::new(),
                named: wording.named(option.kind),
            }
        };
        found.into_iter().map(write).collect()
    }
}
