//! How much work the runs of a season are.

use super::days::Days;
use super::plan::{Amount, Season, SeasonPlan};
use super::rule::{Claim, claims, opening_days};
use crate::garden::balances::Served;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::work::{MAX_DATES_KEPT, MAX_STEPS_OF_RUNS};
use std::collections::BTreeSet;

/// A bed, and a harvest of one, are as much work in a run as so many demands. Source: how this service works.
const DEMANDS_PER_BED: usize = 8;
/// So many days of a climate are as much work in a run as a demand. Source: how this service works.
const DAYS_PER_DEMAND: usize = 4;
/// So many pairs of a lot that expires and a demand are as much work in a run as a demand. Source: how this service works.
const PAIRS_PER_DEMAND: usize = 8;
/// A demand that is open when others open or lots are ready is as much work in a run, each time, as so many demands. Source: how this service
/// works.
const DEMANDS_PER_RAISE: usize = 2;
/// So many pairs of values that go together are as much work in a run as a demand, and so is each of the values. Source: how this service works.
const CORRELATED_PER_DEMAND: usize = 32;
/// So many looks at what is kept, on one day for one priority and one use-by date or harvest, are as much work in a run as a demand.
/// Source: how this service works.
const LOOKS_PER_DEMAND: usize = 8;

impl SeasonPlan {
    /// How much work a run is: demands (each day of a tea counts) and lots, twice where their amount is not certain, + what is drawn from lots by its mass or a nutrient, + 8 x (beds + their
    /// harvests) + days of their climates / 4 + demands x lots that expire / 8, and what the rule takes: for each demand twice the days after
    /// its first on which others open or lots are ready, + priorities x (days on which a demand opens or a lot is ready x (1 + lots that
    /// expire) + days on which a demand opens x harvests) / 8, and values that go together + their square / 32. `climate_days` are those of all climates together.
    #[must_use]
    pub fn work_of_a_run(&self, season: &Season<'_>, climate_days: usize) -> u64 {
        let weight = |amount: &Amount| if amount.factors.is_empty() { 1 } else { 2 };
        let parts: usize = self.requirements.iter().map(|requirement| requirement.parts.len()).sum();
        let asked: usize =
            season.requirements.iter().map(|(requirement, amount)| requirement.parts.len() * weight(amount)).sum();
        let counted = season.requirements.iter().zip(&self.balance.demands).filter(|((_, of), _)| of.is_counted());
        let lots_of =
            |served: &Served| served.allocations.iter().map(|allotment| allotment.lot).collect::<BTreeSet<_>>().len();
        let of_lots: usize = counted.map(|(_, served)| lots_of(served)).sum();
        let stock: usize = season.stock.iter().map(|(_, amount)| weight(amount)).sum();
        let expire = self.lots.iter().filter(|lot| lot.window.last.is_some()).count();
        let harvests = self.bed_lots().count();
        let beds = self.forecasts.len().saturating_add(harvests).saturating_mul(DEMANDS_PER_BED);
        let pairs = parts.saturating_mul(expire) / PAIRS_PER_DEMAND;
        let rule = self.work_of_the_rule(season, (expire, harvests));
        let together = season.request.copula().map_or(0, |copula| copula.members.len());
        let drawn = together.saturating_add(together.saturating_mul(together) / CORRELATED_PER_DEMAND);
        let all = [asked, of_lots, stock, harvests, beds, climate_days / DAYS_PER_DEMAND, pairs, rule, drawn];
        u64::try_from(all.into_iter().fold(0, usize::saturating_add)).unwrap_or(u64::MAX)
    }

    /// How much of it the rule takes: each day raises those who are open, and looks at what is kept for each priority.
    fn work_of_the_rule(&self, season: &Season<'_>, (expire, harvests): (usize, usize)) -> usize {
        let days = Days::of(season, self);
        let (claims, _) = claims(self, season.as_of, &days);
        let opening = opening_days(&claims);
        let mut ready: Vec<f64> = self.lots.iter().map(|lot| days.span(lot.window).0).collect();
        ready.sort_by(f64::total_cmp);
        let within = |all: &[f64], claim: &Claim| {
            all.partition_point(|day| *day <= claim.closes)
                .saturating_sub(all.partition_point(|day| *day <= claim.opens))
        };
        let raised = claims.iter().map(|claim| within(&opening, claim).saturating_add(within(&ready, claim)));
        let priorities: BTreeSet<u8> = self.requirements.iter().map(|requirement| requirement.priority).collect();
        let looks = (opening.len().saturating_add(ready.len())).saturating_mul(expire.saturating_add(1));
        // A harvest that comes early changes what is kept for the days after it.
        let looks = looks.saturating_add(opening.len().saturating_mul(harvests)).saturating_mul(priorities.len());
        let raised = raised.fold(0, usize::saturating_add).saturating_mul(DEMANDS_PER_RAISE);
        raised.saturating_add(looks / LOOKS_PER_DEMAND)
    }

    /// Refuses more draws than one answer may take beside sharing; answers how many steps of runs are left.
    ///
    /// # Errors
    /// `too_large` at `simulation_runs`, with the most that there may be.
    pub fn check_runs(&self, season: &Season<'_>, runs: u32, climate_days: usize) -> Result<u64, Refusal> {
        let demands: usize = self.requirements.iter().map(|requirement| requirement.parts.len()).sum();
        let (lots, of_beds) = (self.lots.len(), u64::try_from(self.bed_lots().count()).unwrap_or(u64::MAX));
        let each = self.work_of_a_run(season, climate_days);
        let work = u64::from(runs).saturating_mul(each);
        let drawn = u64::from(runs).saturating_mul(of_beds);
        // What sharing takes, and what else is answered, is not there for the draws.
        let limit = self.sharing.and(season.beside).runs_beside();
        if work <= limit && drawn <= MAX_DATES_KEPT {
            return Ok(limit.saturating_sub(work));
        }
        let most = (limit / each.max(1)).min(MAX_DATES_KEPT / of_beds.max(1));
        let beside = if limit < MAX_STEPS_OF_RUNS { ", beside the rest of the work," } else { "" };
        let detail = format!(
            "for {demands} demands, {lots} lots and {climate_days} days of climate of the beds{beside} use at most \
             {most} simulation runs, or split the request"
        );
        let most = f64::from(u32::try_from(most).unwrap_or(u32::MAX));
        Err(Refusal::new(Reason::TooLarge, detail).between(0.0, most).at("simulation_runs"))
    }
}
