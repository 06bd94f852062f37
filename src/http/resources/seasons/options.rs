//! How sure the season is with each of its options, and what would make it 90 % sure where none does.

use super::read::Read;
use crate::garden::balances::additional_production::in_time;
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::options::{OptionKind, Sack, ShortfallOption, Situation, options};
use crate::garden::beds::Climate;
use crate::garden::cautions::waiting::Manure;
use crate::garden::seasons::options::{Change, Runs, chance_with};
use crate::garden::seasons::reach::{Means, Production, Tried, goal, to_90_percent};
use crate::garden::seasons::{PlanChances, Season, SeasonPlan};
use crate::garden::units::Millilitres;
use crate::http::resources::balances::PlannedProduction;

/// What the runs tell of the options.
#[derive(Debug, Default)]
pub struct Compared {
    /// In how many runs everybody gets all, for each option that changes what there is or who waits, as far as the steps go.
    pub options: Vec<(OptionKind, u32)>,
    /// Where none of them is 90 % sure: what was tried for it.
    pub to_90_percent: Vec<Tried>,
}

/// Plays the options of a season that leaves somebody short, and looks for what would make it 90 % sure where none of them does; and the steps
/// that it took.
pub fn compare(
    (season, plan): (&Season<'_>, &SeasonPlan),
    (planned, chances): (Option<&PlannedProduction>, &PlanChances),
    (read, runs, most_steps): (&Read, (u32, u64), u64),
) -> (Compared, u64) {
    let situation = Situation { requirements: &plan.requirements, balance: &plan.balance, as_of: read.asked.as_of };
    let sack = season.sack.map(|holds| Sack { holds, price: None });
    let plans = planned.map(|planned| planned.found.plans.as_slice()).unwrap_or_default();
    let beside = season.beside.and(plan.sharing);
    let mut how = Runs { runs, most_steps, beside, climate_days: read.climate_days(), goal: 0 };
    let production = planned.and_then(|planned| production(planned, read.climate.as_ref()));
    let mut compared = Compared::default();
    for option in options(situation, sack, plans, |_| None) {
        let produced = |for_90_percent| production?.chance(season, &in_time(plans, for_90_percent), how);
        let chance = match option.kind {
            OptionKind::ProRataShare => None,
            OptionKind::LaterSupply => chance_with(season, Change::Waiting(&plan.balance.later_supply), how),
            OptionKind::Sacks => chance_with(season, Change::Bought(bought(season, option)), how),
            OptionKind::AdditionalProduction => produced(false),
            OptionKind::AdditionalProductionAt90Percent => produced(true),
        };
        if let Some(chance) = chance {
            how.most_steps = how.most_steps.saturating_sub(chance.steps);
            how.beside = how.beside.and(chance.sharing);
            compared.options.extend(chance.enough.map(|enough| (option.kind, enough)));
        }
    }
    let is_sure = compared.options.iter().any(|(_, enough)| *enough >= goal(runs.0));
    if !is_sure {
        // Nothing may be short at the likely values, and yet that is uncertain.
        let means = Means { production, as_of: read.asked.as_of, short: plan.balance.shortfall() };
        compared.to_90_percent = to_90_percent(season, chances, means, &mut how);
    }
    (compared, most_steps.saturating_sub(how.most_steps))
}

/// All sacks of an option, on its day.
fn bought(season: &Season<'_>, option: ShortfallOption) -> Lot {
    let each = season.sack.map_or(0, Millilitres::get);
    let amount = Millilitres::new(each.saturating_mul(option.sacks.unwrap_or(0)));
    season.bought(amount, option.act_by)
}

/// The beds that can be laid, in their temperatures or else in those of the season.
fn production<'a>(planned: &'a PlannedProduction, climate: Option<&'a Climate>) -> Option<Production<'a>> {
    Some(Production {
        recipe: &planned.recipe,
        plans: &planned.found.plans,
        climate: planned.climate.as_ref().or(climate)?,
        overrides: &planned.found.bed,
        first_start: planned.found.first_start,
        manure: if planned.clean { Manure::NoManure } else { Manure::default() },
    })
}
