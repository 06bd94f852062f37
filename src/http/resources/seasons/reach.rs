//! Writing what would make a season 90 % sure where no option does.

use super::options::Compared;
use super::read::Read;
use crate::garden::balances::additional_production::Batch;
use crate::garden::balances::allocation::DatedShortfall;
use crate::garden::balances::options::Situation;
use crate::garden::draws::shown_chance;
use crate::garden::seasons::SeasonPlan;
use crate::garden::seasons::reach::{Action, Laid, Reached, Tried, Way};
use crate::garden::units::{Millilitres, Share, whole};
use crate::http::output::Number;
use crate::http::output::quantity::{Role, View};
use crate::http::present::words::day;
use crate::http::resources::balances::{
    BalanceParts, Labels, OptionOut, OptionText, OutOfReachOut, PlannedProduction, SackRequest, ground_and_worms,
    of_sacks,
};

/// Writes the steps that reach it, the cheapest first, and those that do not.
pub fn reach_90_percent(
    ledger: &mut BalanceParts,
    labels: &Labels<'_>,
    (compared, production, plan): (&Compared, Option<&PlannedProduction>, &SeasonPlan),
    (read, view): (&Read, &View<'_>),
) {
    let writing = Writing { labels, read, production, plan, view };
    let gap = &mut ledger.shortfall_options;
    for tried in &compared.to_90_percent {
        match &tried.reached {
            Some(reached) => gap.reach_90_percent.push(writing.option(tried, *reached)),
            None => gap.out_of_reach.push(OutOfReachOut { kind: tried.way.as_str(), text: writing.most(tried) }),
        }
    }
    let price = |option: &OptionOut| option.cost.map_or(f64::INFINITY, Number::get);
    gap.reach_90_percent.sort_by(|a, b| price(a).total_cmp(&price(b)));
}

struct Writing<'a> {
    labels: &'a Labels<'a>,
    read: &'a Read,
    plan: &'a SeasonPlan,
    production: Option<&'a PlannedProduction>,
    view: &'a View<'a>,
}

impl Writing<'_> {
    fn option(&self, tried: &Tried, reached: Reached) -> OptionOut {
        let (cost, currency) = self.cost(tried).unzip();
        let beds = self
            .production
            .iter()
            .flat_map(|production| tried.action.batches().iter().filter_map(|batch| production.bed(batch, self.view)));
        let chance = Share::from_fraction(shown_chance(reached.enough, self.read.runs.0));
        OptionOut {
            kind: tried.way.as_str(),
            text: OptionText {
                what: self.text(tried),
                then: self.before(tried).or_else(|| self.more_than_given(tried)).into_iter().collect(),
            },
            before: None,
            act_by: tried.act_by,
            past: false,
            shortfall: self.view.whole(reached.shortfall),
            chance_enough: Some(self.view.exact(Role::Share, chance)),
            cost: cost.map(Number::rounded),
            currency: currency.flatten(),
            worm_beds: beds.collect(),
            named: None,
        }
    }

    /// What it costs, and in which currency; `None` where nothing has a price.
    fn cost(&self, tried: &Tried) -> Option<(f64, Option<String>)> {
        if let Action::Sacks(count) = tried.action {
            let sack = self.labels.sack?;
            return Some((sack.price?.0 * whole(count), sack.currency.as_deref().map(str::to_owned)));
        }
        let production = self.production?;
        let of_each = tried.action.batches().iter().filter_map(|batch| production.cost(batch));
        Some((of_each.reduce(|sum, cost| sum + cost)?, production.currency.clone()))
    }

    fn text(&self, tried: &Tried) -> String {
        let laid = match &tried.action {
            Action::Sacks(count) => return format!("Buy {}", self.sacks(*count)),
            Action::Beds(laid) => laid,
        };
        let (times, beds) = (laid.times, self.beds(&laid.batches));
        match tried.way {
            Way::EarlierStart => {
                let size = if times > 1.0 { format!(" and {}", as_much(times)) } else { String::new() };
                format!("Start the production {}{size}: {beds}", earlier(laid.weeks))
            }
            Way::MoreWorms => format!("Produce with {times} times the worms: {beds}"),
            Way::MoreGround | Way::Sacks => format!("Produce {}: {beds}", as_much(times)),
        }
    }

    /// The most that was tried.
    fn most(&self, tried: &Tried) -> String {
        match (tried.way, &tried.action) {
            (_, Action::Sacks(count)) => {
                let by = tried.act_by.map(|by| format!(" by {}", day(by))).unwrap_or_default();
                format!("{}{by}", self.sacks(*count))
            }
            (Way::MoreWorms, Action::Beds(laid)) => format!("{} times the worms", laid.times),
            (Way::EarlierStart, Action::Beds(Laid { limiting_factor: Some(why), .. })) => {
                let first = tried.act_by.map(day).unwrap_or_default();
                format!("an earlier start: the first possible one is {first} ({})", why.first_day())
            }
            (Way::EarlierStart, Action::Beds(laid)) => {
                let ground =
                    if laid.times > 1.0 { format!(" on {} times the ground", laid.times) } else { String::new() };
                format!("a start {}{ground}", earlier(laid.weeks))
            }
            (_, Action::Beds(laid)) => format!("{} times the ground", laid.times),
        }
    }

    fn sacks(&self, count: u64) -> String {
        let capacity = self.read.asked.sack.map(|holds| self.view.whole(holds));
        of_sacks(count, capacity.as_ref(), self.labels.sack.and_then(SackRequest::mass))
    }

    /// Ground and worms of all beds together, and what they are fed with.
    fn beds(&self, batches: &[Batch]) -> String {
        let feed = self.production.map(|production| production.taken_in_words(batches, self.view)).unwrap_or_default();
        let misses = self.production.and_then(PlannedProduction::misses).unwrap_or_default();
        format!("{}, fed with {feed}{misses}", ground_and_worms(batches, self.view))
    }

    /// Who gets more than planned before sacks come.
    fn before(&self, tried: &Tried) -> Option<String> {
        let Action::Sacks(count) = tried.action else { return None };
        let amount = Millilitres::new(count.checked_mul(self.read.asked.sack?.get())?);
        let asked = &self.read.asked;
        let situation =
            Situation { requirements: &asked.requirements, balance: &self.plan.balance, as_of: asked.as_of };
        let supply = [DatedShortfall { by: tried.act_by, amount }];
        Some(self.labels.before(&situation.before_supply(&supply, &self.plan.lots)?))
    }

    /// That it takes more than the request gives.
    fn more_than_given(&self, tried: &Tried) -> Option<String> {
        self.production?.more_than_given(tried.action.batches(), self.view)
    }
}

fn earlier(weeks: u32) -> String {
    if weeks == 1 { "a week earlier".to_owned() } else { format!("{weeks} weeks earlier") }
}

fn as_much(times: f64) -> String {
    format!("{times} times as much")
}
