//! How sure the season is with each of its options.

use super::read::Read;
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::balances::additional_production::as_beds;
use crate::garden::balances::allocation::{Lot, LotSource, Window};
use crate::garden::balances::options::{OptionKind, Sack, ShortfallOption, Situation, options};
use crate::garden::beds::{Bed, Clocks};
use crate::garden::cautions::waiting::Manure;
use crate::garden::seasons::options::{Change, Runs, chance_with};
use crate::garden::seasons::{BedPlan, Season, SeasonPlan};
use crate::garden::units::Millilitres;
use crate::http::resources::balances::Prepared;

/// In how many runs everybody gets all, for each option that changes what there is or who waits, as far as the steps go; and the steps that it
/// took.
pub fn chances(
    (season, plan): (&Season<'_>, &SeasonPlan),
    prepared: Option<&Prepared>,
    (read, runs, most_steps): (&Read, (u32, u64), u64),
) -> (Vec<(OptionKind, u32)>, u64) {
    if runs.0 == 0 {
        return (Vec::new(), 0);
    }
    let situation = Situation { requirements: &plan.requirements, balance: &plan.balance, as_of: read.asked.as_of };
    let sack = season.sack.map(|holds| Sack { holds, price: None });
    let plans = prepared.map(|prepared| prepared.found.plans.as_slice()).unwrap_or_default();
    let (mut found, mut taken) = (Vec::new(), 0_u64);
    let mut beside = season.beside.and(plan.sharing);
    for option in options(situation, sack, plans, |_| None) {
        let most_steps = most_steps.saturating_sub(taken);
        let how = Runs { runs, most_steps, beside, climate_days: read.climate_days() };
        let chance = match option.kind {
            OptionKind::ProRataShare => None,
            OptionKind::LaterSupply => chance_with(season, Change::Waiting(&plan.balance.waits), how),
            OptionKind::Sacks => bought(season, option).and_then(|lot| chance_with(season, Change::Bought(lot), how)),
            OptionKind::AdditionalProduction => prepared.and_then(|of| produced(season, (of, false), (read, how))),
            OptionKind::AdditionalProductionAt90Percent => {
                prepared.and_then(|of| produced(season, (of, true), (read, how)))
            }
        };
        if let Some(chance) = chance {
            (taken, beside) = (taken.saturating_add(chance.steps), beside.and(chance.sharing));
            found.extend(chance.enough.map(|enough| (option.kind, enough)));
        }
    }
    (found, taken)
}

/// All sacks of an option, on its day.
fn bought(season: &Season<'_>, option: ShortfallOption) -> Option<Lot> {
    let amount = option.sacks?.checked_mul(season.sack?.get())?;
    Some(Lot {
        amount: Millilitres::new(amount),
        window: Window { first: option.act_by, last: None },
        untreated: false,
        source: LotSource::Stock(season.stock.len()),
    })
}

/// The season with the beds that are prepared.
fn produced(
    season: &Season<'_>,
    (prepared, for_90_percent): (&Prepared, bool),
    (read, how): (&Read, Runs),
) -> Option<crate::garden::seasons::options::ChangedChance> {
    let climate = prepared.climate.as_ref().or(read.climate.as_ref())?;
    let overrides: &Overrides = &prepared.found.bed;
    let known = Known { request: season.request, item: overrides };
    let beds = as_beds(&prepared.recipe, &prepared.found.plans, for_90_percent);
    let clocks: Vec<Clocks> =
        beds.iter().map(|bed| Clocks::new(climate, (bed.start_on, season.until), known).ok()).collect::<Option<_>>()?;
    let manure = if prepared.clean { Manure::NoManure } else { Manure::default() };
    let plan = |(bed, clocks): (Bed, _)| BedPlan { bed, clocks, overrides, manure };
    let days: usize = clocks.iter().map(Clocks::count).sum();
    let how = Runs { climate_days: how.climate_days.saturating_add(days), ..how };
    chance_with(season, Change::Beds(beds.into_iter().zip(&clocks).map(plan).collect()), how)
}
