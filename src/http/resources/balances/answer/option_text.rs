//! What an option says.

use super::ShortfallOptionsOut;
use super::gap::LaterSupplyOut;
use super::write::Labels;
use crate::garden::balances::additional_production::in_time;
use crate::garden::balances::before::BeforeSupply;
use crate::garden::balances::options::{OptionKind, ShortfallOption};
use crate::http::output::quantity::View;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::words::{all_of, cell, day, shown, soon, times};
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::SackRequest;
use crate::http::resources::balances::additional_production::{
    AdditionalProductionOut, PlannedProduction, ProductionBatchOut,
};
use chrono::NaiveDate;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// So many demands are named one by one. Source: how this service works.
const NAMED: usize = 3;

/// What an option does, and what has to be known with it. JSON has both in one text.
#[derive(Debug, Clone, Default)]
pub struct OptionText {
    /// What is done, without a full stop.
    pub what: String,
    /// Whole sentences after it.
    pub then: Vec<String>,
}

impl Serialize for OptionText {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let what = if self.then.is_empty() { self.what.clone() } else { format!("{}.", self.what) };
        serializer.collect_str(&self.with_sentences(what))
    }
}

impl OptionText {
    /// A first sentence, with those that come after it.
    pub fn with_sentences(&self, first: String) -> String {
        std::iter::once(first).chain(self.then.iter().cloned()).collect::<Vec<_>>().join(" ")
    }
}

/// What the text of an option is made of.
pub struct Wording<'a> {
    pub labels: &'a Labels<'a>,
    pub gap: &'a ShortfallOptionsOut,
    pub production: Option<&'a PlannedProduction>,
    /// What a sack takes.
    pub capacity: Option<QuantityOut>,
    pub view: &'a View<'a>,
}

impl Wording<'_> {
    /// The text of an option.
    pub fn text(&self, option: &ShortfallOption, before: Option<&BeforeSupply>) -> OptionText {
        let (what, more) = match option.kind {
            OptionKind::ProRataShare => {
                (format!("Give every demand {} of what it needs", shown(&self.gap.pro_rata_share)), None)
            }
            OptionKind::LaterSupply => (self.wait(), None),
            OptionKind::Sacks => {
                let (count, mass) = (option.sacks.unwrap_or_default(), self.labels.sack.and_then(SackRequest::mass));
                (format!("Buy {}", of_sacks(count, self.capacity.as_ref(), mass)), None)
            }
            OptionKind::AdditionalProduction => self.produce(false),
            OptionKind::AdditionalProductionAt90Percent => self.produce(true),
        };
        let before = before.map(|before| self.labels.before(before));
        OptionText { what, then: before.into_iter().chain(more).collect() }
    }

    /// The largest amount that an option names.
    pub fn named(&self, kind: OptionKind) -> Option<QuantityOut> {
        let castings_of = |batch: fn(&AdditionalProductionOut) -> Option<&ProductionBatchOut>| {
            let batches = self.gap.additional_production.iter().filter_map(batch);
            batches.filter(|batch| batch.too_late.is_none()).map(|batch| &batch.castings).collect()
        };
        let all: Vec<&QuantityOut> = match kind {
            OptionKind::ProRataShare | OptionKind::Sacks => Vec::new(),
            OptionKind::LaterSupply => self.gap.later_supply.iter().map(|wait| &wait.amount).collect(),
            OptionKind::AdditionalProduction => castings_of(|plan| Some(&plan.likely)),
            OptionKind::AdditionalProductionAt90Percent => castings_of(|plan| plan.at_90_percent.as_ref()),
        };
        all.into_iter().max_by(|a, b| a.value.get().total_cmp(&b.value.get())).cloned()
    }

    fn wait(&self) -> String {
        let mut by_day: BTreeMap<NaiveDate, Vec<&LaterSupplyOut>> = BTreeMap::new();
        for wait in &self.gap.later_supply {
            by_day.entry(wait.until).or_default().push(wait);
        }
        let waits = by_day.into_iter().map(|(until, who)| format!("{} until {}", waiting(&who), day(until)));
        format!("Let {}", waits.collect::<Vec<_>>().join("; "))
    }

    /// What is produced in time, and that it takes more than was given.
    fn produce(&self, for_90_percent: bool) -> (String, Option<String>) {
        let Some(production) = self.production else { return Default::default() };
        let batches = in_time(&production.found.plans, for_90_percent);
        let sure = if for_90_percent { ", so that this alone gives enough in time in 90 of 100 runs" } else { "" };
        let likely = if for_90_percent { "" } else { ", at the likely values" };
        let misses = production.misses().unwrap_or_default();
        let what = format!("Produce {}{likely}{sure}{misses}", production.in_words(&batches, self.view));
        (what, production.more_than_given(&batches, self.view))
    }
}

impl Labels<'_> {
    /// Who gets more than planned before the castings of an option come, and who waits for them.
    pub fn before(&self, before: &BeforeSupply) -> String {
        let wait = match before.waiting.as_slice() {
            [] => String::new(),
            waiting => format!(", and let {} wait for these castings", self.some(waiting)),
        };
        let (who, from) = (self.some(&before.in_full), day(before.from));
        let they_need = if before.in_full.len() == 1 { "it needs" } else { "they need" };
        format!("Then give {who} all {they_need} from {from} on{wait}.")
    }

    /// `carrots`, `beans, leeks and 12 more`
    fn some(&self, demands: &[usize]) -> String {
        // One more is named as shortly as it is counted.
        let named = if demands.len() <= NAMED { NAMED } else { NAMED - 1 };
        let names = demands.iter().take(named).map(|one| ReferenceOut::to(self.demands, *one).called("demand"));
        let more = demands.len().saturating_sub(named);
        all_of(&names.chain((more > 0).then(|| format!("{more} more"))).collect::<Vec<_>>())
    }
}

/// Who waits with how much, each demand once: `24 L of tomatoes (times 3 and 4) and 5 L of leeks`; of a tea in several rounds the days, where
/// several of them wait.
fn waiting(waits: &[&LaterSupplyOut]) -> String {
    let (mut by_demand, mut order): (BTreeMap<usize, Vec<&LaterSupplyOut>>, Vec<usize>) = Default::default();
    for wait in waits {
        let waits_of_demand = by_demand.entry(wait.demand.index).or_default();
        if waits_of_demand.is_empty() {
            order.push(wait.demand.index);
        }
        waits_of_demand.push(wait);
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

/// That one demand waits for so much.
fn who_waits(amount: &str, waits: &[&LaterSupplyOut]) -> String {
    let Some(first) = waits.first() else { return String::new() };
    let what = format!("{} wait for {amount}", first.demand.called("demand"));
    let occasions: Vec<u32> = waits.iter().filter_map(|wait| wait.occasion).collect();
    let days: Vec<String> = waits.iter().map(|wait| soon(wait.latest)).collect();
    match (occasions.is_empty(), days.len()) {
        (false, _) => format!("{what} ({})", times(&occasions)),
        (true, 0 | 1) => what,
        (true, _) => format!("{what} ({})", days.join(", ")),
    }
}

/// So many sacks, with what one takes: `6 sacks of 20 kg (33.3 L)`.
pub fn of_sacks(count: u64, capacity: Option<&QuantityOut>, mass: Option<String>) -> String {
    let noun = if count == 1 { "sack" } else { "sacks" };
    // Its size is read on it: 1 ft3, and no gallons.
    let size = |of: &QuantityOut| if of.value.get() < 1.0 { shown(of) } else { cell(of) };
    let size = capacity.map(size).unwrap_or_default();
    let holds = mass.map_or_else(|| size.clone(), |mass| format!("{mass} ({size})"));
    format!("{count} {noun} of {holds}")
}
