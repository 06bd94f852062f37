//! The options where something is short, as they go.

use super::gap::LaterSupplyOut;
use super::occasions::past;
use super::{SackOut, ShortfallOptionsOut};
use crate::garden::balances::allocation::Window;
use crate::garden::balances::ledger::SackPurchase;
use crate::garden::balances::options::{OptionKind, Sack, ShortfallOption, Situation, options};
use crate::garden::units::whole;
use crate::http::output::quantity::View;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::words::{all_of, cell, chance, day, shown, shown_with_part, soon, sum_of_money, times};
use crate::http::resources::balances::additional_production::{
    AdditionalProductionOut, PlannedProduction, ProductionBatchOut, ProductionBedOut, ProductionMaterialOut,
};
use crate::http::resources::balances::answer::write::Balanced;
use crate::http::resources::calendar::uncapitalised;
use crate::http::resources::seasons::SeasonBedRequest;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// One thing that can be done about the shortfall, to be compared with the others.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ShortfallOption)]
pub struct OptionOut {
    /// What is done; the details are in the list of that name.
    #[schema(schema_with = crate::http::output::words::option_kinds)]
    pub kind: &'static str,
    /// The same in words.
    pub text: String,
    /// The latest day to act: buy, start to produce, or decide. Any day will do where there is none.
    pub act_by: Option<NaiveDate>,
    /// True if that day lies before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// What it leaves short, all demands together.
    pub shortfall: QuantityOut,
    /// The chance that everybody gets all with it, in steps of 5 %; in a season with runs. Left out where the same share is given, and where
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

/// What does not make a season 90 % sure.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OptionOutOfReach)]
pub struct OutOfReachOut {
    /// What was tried.
    #[schema(schema_with = crate::http::output::words::option_kinds)]
    pub kind: &'static str,
    /// The most of it that was tried, in words.
    pub text: String,
}

impl OptionOut {
    /// All that is to be said of it, in a line that begins with the latest day to act; at once where that has passed.
    #[must_use]
    pub fn in_words(&self) -> String {
        let what = uncapitalised(&self.without_day());
        match self.act_by {
            Some(by) if self.past => format!("At once, since {} has passed: {what}", day(by)),
            Some(by) => format!("By {}: {what}", day(by)),
            None => self.without_day(),
        }
    }

    /// All that is to be said of it but its latest day.
    fn without_day(&self) -> String {
        let cost = match (&self.cost, &self.currency) {
            (Some(cost), _) if cost.get() == 0.0 => String::new(),
            (Some(cost), currency @ Some(_)) => format!(", {}", sum_of_money(cost, currency.as_deref())),
            (Some(cost), None) => format!(", at a cost of {cost}"),
            (None, _) => String::new(),
        };
        let short = Some(&self.shortfall).filter(|short| short.value.get() > 0.0);
        let left = short.map(|short| shown_with_part(short, self.named.as_ref().unwrap_or(short)));
        let left = left.map(|left| format!("; {left} stay short")).unwrap_or_default();
        let chance = self.chance_enough.as_ref().map(|of| format!("; chance {}", chance(of))).unwrap_or_default();
        format!("{}{cost}{left}{chance}.", self.text)
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
        let write = |option: ShortfallOption| OptionOut {
            kind: option.kind.as_str(),
            text: text(&option, gap, sack.map(|sack| view.whole(sack.holds))),
            act_by: option.act_by,
            past: option.act_by.zip(asked.as_of).is_some_and(|(by, today)| by < today),
            shortfall: view.whole(option.shortfall),
            chance_enough: None,
            cost: option.cost.map(Number::rounded),
            currency: option.cost.and(currency).map(str::to_owned),
            worm_beds: Vec::new(),
            named: named(option.kind, gap),
        };
        found.into_iter().map(write).collect()
    }
}

fn text(option: &ShortfallOption, gap: &ShortfallOptionsOut, capacity: Option<QuantityOut>) -> String {
    match option.kind {
        OptionKind::ProRataShare => {
            format!("Give every demand {} of what it needs", shown(&gap.pro_rata_share))
        }
        OptionKind::LaterSupply => {
            let mut by_day: BTreeMap<NaiveDate, Vec<&LaterSupplyOut>> = BTreeMap::new();
            for wait in &gap.later_supply {
                by_day.entry(wait.until).or_default().push(wait);
            }
            let waits = by_day.into_iter().map(|(until, who)| format!("{} wait until {}", waiting(&who), day(until)));
            format!("Let {}", waits.collect::<Vec<_>>().join("; "))
        }
        OptionKind::Sacks => {
            format!("Buy {}", of_sacks(option.sacks.unwrap_or_default(), capacity.as_ref()))
        }
        OptionKind::AdditionalProduction => produce(gap, likely) + misses(gap),
        OptionKind::AdditionalProductionAt90Percent => {
            let what = produce(gap, sure);
            format!("{what}, so that this alone is in time in 90 of 100 runs{}", misses(gap))
        }
    }
}

/// The largest amount that an option names.
fn named(kind: OptionKind, gap: &ShortfallOptionsOut) -> Option<QuantityOut> {
    let all: Vec<&QuantityOut> = match kind {
        OptionKind::ProRataShare | OptionKind::Sacks => Vec::new(),
        OptionKind::LaterSupply => gap.later_supply.iter().map(|wait| &wait.amount).collect(),
        OptionKind::AdditionalProduction => in_time(gap, likely).map(|batch| &batch.castings).collect(),
        OptionKind::AdditionalProductionAt90Percent => in_time(gap, sure).map(|batch| &batch.castings).collect(),
    };
    all.into_iter().max_by(|a, b| a.value.get().total_cmp(&b.value.get())).cloned()
}

/// What the mix of all productions is not as it was to be.
fn misses(gap: &ShortfallOptionsOut) -> &str {
    gap.additional_production.first().and_then(|plan| plan.misses.as_deref()).unwrap_or_default()
}

/// Who waits with how much, each demand once: `24 L of tomatoes (times 3 and 4) and 5 L of leeks`; of a tea in several rounds the days, where
/// several of them wait.
fn waiting(waits: &[&LaterSupplyOut]) -> String {
    let (mut by_demand, mut order): (BTreeMap<usize, Vec<&LaterSupplyOut>>, Vec<usize>) = Default::default();
    for wait in waits {
        let of = by_demand.entry(wait.demand.index).or_default();
        if of.is_empty() {
            order.push(wait.demand.index);
        }
        of.push(wait);
    }
    let waits: Vec<&Vec<&LaterSupplyOut>> = order.iter().filter_map(|demand| by_demand.get(demand)).collect();
    let all: Vec<String> = waits.iter().filter_map(|of| Some(who_waits(&shown(&sum(of)?), of))).collect();
    all_of(&all)
}

/// How much of one demand waits.
fn sum(waits: &[&LaterSupplyOut]) -> Option<QuantityOut> {
    let sum = waits.iter().map(|wait| wait.amount.value.get()).sum();
    Some(QuantityOut { value: Number::rounded(sum), low: None, high: None, ..waits.first()?.amount.clone() })
}

/// That so much of one demand waits.
fn who_waits(amount: &str, waits: &[&LaterSupplyOut]) -> String {
    let Some(first) = waits.first() else { return String::new() };
    let what = format!("{amount} of {}", first.demand.called("demand"));
    let occasions: Vec<u32> = waits.iter().filter_map(|wait| wait.occasion).collect();
    let days: Vec<String> = waits.iter().map(|wait| soon(wait.latest)).collect();
    match (occasions.is_empty(), days.len()) {
        (false, _) => format!("{what} ({})", times(&occasions)),
        (true, 0 | 1) => what,
        (true, _) => format!("{what} ({})", days.join(", ")),
    }
}

/// So many sacks, with what one takes.
pub fn of_sacks(count: u64, capacity: Option<&QuantityOut>) -> String {
    let noun = if count == 1 { "sack" } else { "sacks" };
    // Its size is read on it: 1 ft3, and no gallons.
    let size = |of: &QuantityOut| if of.value.get() < 1.0 { shown(of) } else { cell(of) };
    format!("{count} {noun} of {}", capacity.map(size).unwrap_or_default())
}

/// A batch of a production, if there is one.
type Pick = fn(&AdditionalProductionOut) -> Option<&ProductionBatchOut>;

fn likely(of: &AdditionalProductionOut) -> Option<&ProductionBatchOut> {
    Some(&of.likely)
}

fn sure(of: &AdditionalProductionOut) -> Option<&ProductionBatchOut> {
    of.at_90_percent.as_ref()
}

/// The batches that are in time.
fn in_time(gap: &ShortfallOptionsOut, batch: Pick) -> impl Iterator<Item = &ProductionBatchOut> {
    gap.additional_production.iter().filter_map(batch).filter(|batch| batch.too_late.is_none())
}

/// What is produced in time from what, on which ground with which worms.
fn produce(gap: &ShortfallOptionsOut, batch: Pick) -> String {
    let one = |batch: &ProductionBatchOut| {
        let materials = ProductionMaterialOut::all_in_words(&batch.materials);
        let (castings, worms) = (shown(&batch.castings), shown(&batch.worms));
        format!("{castings} from {materials}, on {} with {worms} of worms", shown(&batch.surface_area))
    };
    format!("Produce {}", in_time(gap, batch).map(one).collect::<Vec<_>>().join("; and "))
}
