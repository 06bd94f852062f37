//! What it comes to if everybody is given the same share, whatever the priority.

use super::allocation::{Allocation, Demand, Fraction};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

/// Everybody is given the same share of what they ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SameShare {
    /// What all together then lack, in whole millilitres.
    pub shortfall: Millilitres,
    /// The first day on which the plan gives somebody more than this share: from then on it cannot be kept. `None` where it never does,
    /// or on no particular day.
    pub act_by: Option<NaiveDate>,
}

impl SameShare {
    /// Of a plan, with the share that everybody can get alike.
    #[must_use]
    pub fn of(demands: &[Demand], allocation: &Allocation, share: Fraction) -> Self {
        let part =
            |amount: Millilitres| u128::from(amount.get()).saturating_mul(share.numerator()) / share.denominator();
        let lacks = |demand: &Demand| u128::from(demand.amount.get()).saturating_sub(part(demand.amount));
        let lack: u128 = demands.iter().map(lacks).sum();
        let mut left: Vec<u128> = demands.iter().map(|demand| part(demand.amount).saturating_add(1)).collect();
        let mut draws: Vec<_> = allocation.draws.iter().collect();
        draws.sort_by_key(|draw| draw.on);
        let beyond = draws.into_iter().find(|draw| {
            let amount = u128::from(draw.amount.get());
            left.get_mut(draw.demand).is_some_and(|left| {
                let is_beyond = amount > *left;
                *left = left.saturating_sub(amount);
                is_beyond
            })
        });
        let shortfall = Millilitres::new(u64::try_from(lack).unwrap_or(u64::MAX));
        Self { shortfall, act_by: beyond.and_then(|draw| draw.on) }
    }
}
