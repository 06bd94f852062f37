//! The options where something is short, to be compared: by when to act, what stays short, what it costs.

use super::additional_production::{Batch, ProductionPlan};
use super::allocation::DatedShortfall;
use super::ledger::lost_and_rest;
use super::{Balance, Requirement, SameShare, add};
use crate::garden::closed_list::closed_list;
use crate::garden::units::{Mass, Millilitres, Volume, whole};
use chrono::NaiveDate;

closed_list! {
    /// What an option does. Of options that cost the same and leave as much short, the first comes first.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum OptionKind {
        /// Everybody gets the same share, whatever the priority.
        ProRataShare = "pro_rata_share",
        /// Short demands wait for what is left over.
        LaterSupply = "later_supply",
        /// Sacks are bought.
        Sacks = "sacks",
        /// More is produced, as much and as early as at the likely values.
        AdditionalProduction = "additional_production",
        /// More is produced, as much and as early as for a chance of 90 %.
        AdditionalProductionAt90Percent = "additional_production_at_90_percent",
    }
}

/// One option.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShortfallOption {
    /// What is done.
    pub kind: OptionKind,
    /// The latest day to act; `None` where any day will do.
    pub act_by: Option<NaiveDate>,
    /// What it leaves short, all demands together.
    pub shortfall: Millilitres,
    /// What it costs; `None` where the prices are not known.
    pub cost: Option<f64>,
    /// How many sacks are bought.
    pub sacks: Option<u64>,
}

/// A plan that leaves somebody short.
#[derive(Debug, Clone, Copy)]
pub struct Situation<'a> {
    /// The demands.
    pub requirements: &'a [Requirement],
    /// Who gets what.
    pub balance: &'a Balance,
    /// The caller's today.
    pub as_of: Option<NaiveDate>,
}

/// A sack that can be bought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sack {
    /// What it holds.
    pub holds: Millilitres,
    /// What it costs.
    pub price: Option<f64>,
}

/// Of how much a price is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Per {
    /// By mass.
    Mass(Mass),
    /// By volume.
    Volume(Volume),
}

/// A price for so much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitPrice {
    /// The price.
    pub price: f64,
    /// For so much.
    pub per: Per,
}

impl UnitPrice {
    /// What an amount costs, which is so much by mass and so much by volume.
    #[must_use]
    pub fn of(self, mass: Mass, volume: Volume) -> f64 {
        self.price
            * match self.per {
                Per::Mass(per) => mass.kilograms() / per.kilograms(),
                Per::Volume(per) => volume.litres() / per.litres(),
            }
    }
}

/// What is paid for what is produced with. What has no price is not bought.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProductionPrices {
    /// Of worms, by mass; only where none are in stock.
    pub worms: Option<UnitPrice>,
    /// Of each material, in its order.
    pub materials: Vec<Option<UnitPrice>>,
}

impl ProductionPrices {
    /// What worms and materials cost; `None` where nothing has a price. `materials` are their masses and volumes, in order.
    #[must_use]
    pub fn cost(&self, worms: Mass, materials: impl Iterator<Item = (Mass, Volume)>) -> Option<f64> {
        // Worms are bought by mass.
        let of_worms = self.worms.map(|price| price.of(worms, Volume::from_litres(0.0)));
        let of_materials = self.materials.iter().zip(materials);
        let of_materials = of_materials.filter_map(|(price, (mass, volume))| Some((*price)?.of(mass, volume)));
        of_worms.into_iter().chain(of_materials).reduce(|sum, cost| sum + cost)
    }
}

/// Answers "what can be done about what is short?": one entry for each way, the cheapest first, those without a price last; nothing
/// where nobody is short.
///
/// What is bought or produced comes by the latest day on which it still serves everybody. What would have had to come before `as_of` stays
/// short, and so does what no castings may serve. An option that costs nothing because nothing is bought costs 0; `cost` answers
/// what a batch costs.
#[must_use]
pub fn options(
    situation: Situation<'_>,
    sack: Option<Sack>,
    productions: &[ProductionPlan],
    cost: impl Fn(&Batch) -> Option<f64>,
) -> Vec<ShortfallOption> {
    let Situation { balance, .. } = situation;
    if balance.shortfall() == Millilitres::ZERO {
        return Vec::new();
    }
    let alike = situation.share().map(|same| situation.free(OptionKind::ProRataShare, same.act_by, same.shortfall));
    let likely = productions.iter().map(|plan| (plan, Some(&plan.likely)));
    let sure = productions.iter().map(|plan| (plan, plan.at_90_percent.as_ref()));
    let produced = [
        situation.produce(OptionKind::AdditionalProduction, likely, &cost),
        situation.produce(OptionKind::AdditionalProductionAt90Percent, sure, &cost),
    ];
    let bought = sack.and_then(|sack| situation.buy(sack));
    let mut all: Vec<ShortfallOption> =
        alike.into_iter().chain(situation.wait()).chain(bought).chain(produced.into_iter().flatten()).collect();
    let price = |option: &ShortfallOption| option.cost.unwrap_or(f64::INFINITY);
    all.sort_by(|a, b| {
        let by_price = price(a).total_cmp(&price(b));
        by_price.then(a.shortfall.cmp(&b.shortfall)).then(a.kind.cmp(&b.kind))
    });
    all
}

impl Balance {
    /// What all demands together lack.
    #[must_use]
    pub fn shortfall(&self) -> Millilitres {
        self.demands.iter().fold(Millilitres::ZERO, |sum, served| add(sum, served.shortfall))
    }
}

impl Situation<'_> {
    /// What no castings may serve.
    fn never(&self) -> Millilitres {
        let parts = self.requirements.iter().flat_map(|requirement| &requirement.parts);
        let never = parts.filter(|part| !part.eligibility.leaves_a_day(part.window));
        never.fold(Millilitres::ZERO, |sum, part| add(sum, part.amount))
    }

    /// The same share for everybody, where the plan does not give it already, it is of use to everybody and it leaves no more short, but for
    /// whole millilitres.
    fn share(&self) -> Option<SameShare> {
        let rounding =
            u64::try_from(self.requirements.iter().map(|of| of.parts.len()).sum::<usize>()).unwrap_or(u64::MAX);
        let most = self.balance.shortfall().get().saturating_add(rounding);
        self.balance.same_share.filter(|same| !same.is_planned && same.is_of_use && same.shortfall.get() <= most)
    }

    fn free(&self, kind: OptionKind, act_by: Option<NaiveDate>, shortfall: Millilitres) -> ShortfallOption {
        ShortfallOption { kind, act_by, shortfall, cost: Some(0.0), sacks: None }
    }

    /// Short demands wait for what is left over: they have to know it by the first of their last days.
    fn wait(&self) -> Option<ShortfallOption> {
        let waits = &self.balance.later_supply;
        let lasts = waits.iter().map(|wait| wait.latest);
        let gained = waits.iter().fold(0_u64, |sum, wait| sum.saturating_add(wait.amount.get()));
        let shortfall = Millilitres::new(self.balance.shortfall().get().saturating_sub(gained));
        (!waits.is_empty()).then(|| self.free(OptionKind::LaterSupply, lasts.min(), shortfall))
    }

    /// Sacks are bought for all that is not short before today.
    fn buy(&self, sack: Sack) -> Option<ShortfallOption> {
        let (lost, rest) = lost_and_rest(&self.balance.shortfalls, self.as_of);
        let sum = |of: &[DatedShortfall]| of.iter().fold(Millilitres::ZERO, |sum, short| add(sum, short.amount));
        let act_by = rest.first()?.by;
        let count = sum(&rest).get().checked_add(sack.holds.get())?.checked_sub(1)?.checked_div(sack.holds.get())?;
        Some(ShortfallOption {
            kind: OptionKind::Sacks,
            act_by,
            shortfall: add(self.never(), sum(&lost)),
            cost: sack.price.map(|price| price * whole(count)),
            sacks: Some(count),
        })
    }

    /// What is still in time is produced; nothing where that is nothing, or where it is not known how for every shortfall.
    fn produce<'p>(
        &self,
        kind: OptionKind,
        plans: impl Iterator<Item = (&'p ProductionPlan, Option<&'p Batch>)>,
        cost: impl Fn(&Batch) -> Option<f64>,
    ) -> Option<ShortfallOption> {
        let mut option = ShortfallOption { kind, act_by: None, shortfall: self.never(), cost: None, sacks: None };
        // Nothing is planned for what may not draw on what is produced.
        let mut unplanned =
            self.balance.shortfalls.iter().fold(0_u64, |sum, short| sum.saturating_add(short.amount.get()));
        for (plan, batch) in plans {
            let batch = batch?;
            unplanned = unplanned.saturating_sub(plan.shortfall.amount.get());
            match batch.start_on.filter(|_| batch.is_in_time()) {
                Some(start) => {
                    option.act_by = Some(option.act_by.map_or(start, |first| first.min(start)));
                    option.cost = cost(batch).map(|of_batch| option.cost.unwrap_or(0.0) + of_batch);
                }
                None => option.shortfall = add(option.shortfall, plan.shortfall.amount),
            }
        }
        option.shortfall = add(option.shortfall, Millilitres::new(unplanned));
        option.act_by.map(|_| option)
    }
}
