//! What it comes to if everybody is given the same share, whatever the priority.

use super::allocation::{Allocation, Demand, Fraction};
use super::occasions::Occasion;
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

/// Everybody is given the same share of what they ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SameShare {
    /// What all together then lack, in whole millilitres.
    pub shortfall: Millilitres,
    /// The first day on which the plan gives an amount that differs from this share: somebody more, or the last of less. `None` where it
    /// never does, or on no particular day.
    pub act_by: Option<NaiveDate>,
    /// Whether the plan gives everybody this share already, but for rounding.
    pub is_planned: bool,
    /// Whether it is of use to everybody: no less than a minimum, and whole portions only where these alone are of use.
    pub is_of_use: bool,
}

impl SameShare {
    /// Of a plan, with the share that everybody can get alike.
    #[must_use]
    pub(super) fn of((demands, times): (&[Demand], &[Occasion<'_>]), allocation: &Allocation, share: Fraction) -> Self {
        let part = |amount: Millilitres| part_of(amount, share);
        let lacks = |demand: &Demand| u128::from(demand.amount.get()).saturating_sub(part(demand.amount));
        let lack: u128 = demands.iter().map(lacks).sum();
        let parts: Vec<u128> = demands.iter().map(|demand| part(demand.amount)).collect();
        let shortfall = Millilitres::new(u64::try_from(lack).unwrap_or(u64::MAX));
        let days = beyond(&parts, allocation).into_iter().chain(below(demands, &parts, allocation));
        let is_planned =
            parts.iter().zip(&allocation.allocated).all(|(part, given)| part.abs_diff(given.get().into()) <= 1);
        Self { shortfall, act_by: days.min(), is_planned, is_of_use: times.iter().all(|time| is_of_use(time, share)) }
    }
}

/// A share of an amount, in whole millilitres, rounded down.
fn part_of(amount: Millilitres, share: Fraction) -> u128 {
    u128::from(amount.get()).saturating_mul(share.numerator()) / share.denominator()
}

/// Whether a share of all of it reaches the minimum of this time and comes to whole portions.
fn is_of_use(time: &Occasion<'_>, share: Fraction) -> bool {
    let is_whole = |pieces: u32| {
        let portions = u128::from(pieces).checked_mul(share.numerator());
        portions.is_some_and(|portions| portions % share.denominator() == 0)
    };
    let minimum = time.requirement.minimum.is_none_or(|minimum| part_of(time.amount(), share) >= minimum.get().into());
    minimum && (!time.requirement.whole_portions || time.parts.iter().filter_map(|part| part.pieces).all(is_whole))
}

/// The first day on which the plan has given somebody more than this part, but for rounding; what is given on no particular day
/// can wait.
fn beyond(parts: &[u128], allocation: &Allocation) -> Option<NaiveDate> {
    let mut left: Vec<u128> = parts.iter().map(|part| part.saturating_add(1)).collect();
    let mut allotments: Vec<_> = allocation.allotments.iter().collect();
    allotments.sort_by_key(|allotment| allotment.on);
    let beyond = allotments.into_iter().find(|allotment| {
        let amount = u128::from(allotment.amount.get());
        left.get_mut(allotment.demand).is_some_and(|left| {
            let is_beyond = amount > *left;
            *left = left.saturating_sub(amount);
            is_beyond && allotment.on.is_some()
        })
    });
    beyond.and_then(|allotment| allotment.on)
}

/// The first day on which the plan gives somebody the last of less than this part, but for rounding; who gets nothing would get it by the
/// last day.
fn below(demands: &[Demand], parts: &[u128], allocation: &Allocation) -> Option<NaiveDate> {
    let mut last: Vec<Option<NaiveDate>> = vec![None; demands.len()];
    for allotment in &allocation.allotments {
        if let Some(last) = last.get_mut(allotment.demand) {
            *last = allotment.on.max(*last);
        }
    }
    let each = demands.iter().zip(parts).zip(&allocation.allocated).zip(last);
    let less = each.filter(|(((_, part), given), _)| u128::from(given.get()).saturating_add(1) < **part);
    less.filter_map(|(((demand, _), _), last)| last.or(demand.window.last)).min()
}
