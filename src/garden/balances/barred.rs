//! Castings that stay unused though a demand is short, since the interval after raw manure bars them from it.

use super::allocation::{Allocation, Lot, LotSource, Window};
use super::ledger::LotState;
use super::{Requirement, Served, add};
use crate::garden::cautions::waiting::{Crop, Wait};
use crate::garden::interrupt::check;
use crate::garden::units::Millilitres;
use chrono::{Days, NaiveDate};

/// Castings that nobody gets, though a demand that is short could have them but for the interval after raw manure.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Barred {
    /// Where they lie, and how much of each lot nobody gets, never nothing: the first [`NAMED`] lots.
    pub lots: Vec<(LotSource, Millilitres)>,
    /// How many lots there are besides.
    pub more_lots: u64,
    /// Whether any of these lots counts as raw manure; else the demand is for a tea that does.
    pub untreated_lots: bool,
    /// The day from which the first of them is there; `None` means from the start.
    pub ready_on: Option<NaiveDate>,
    /// The last day on which to take them for the crop, worked in; `None` where no first harvest is given.
    pub apply_by: Option<NaiveDate>,
    /// From this day on the crop may be harvested where they are worked in, each on the first day on which the demand and the lot allow it;
    /// `None` where no such day is known.
    pub earliest_crop_harvest: Option<NaiveDate>,
}

/// So many lots are named. Source: how this service works.
const NAMED: usize = 3;

/// A lot of which something is left, with how much.
type Unused<'a> = (&'a Lot, Millilitres);

/// Tells each demand that is short what the interval bars it from.
pub(super) fn report(
    served: &mut [Served],
    requirements: &[Requirement],
    (lots, states): (&[Lot], &[LotState]),
    allocation: &Allocation,
) {
    let left = lots.iter().zip(states).map(|(lot, state)| (lot, add(state.remaining, state.expired)));
    let unused: Vec<Unused<'_>> = left.filter(|(_, amount)| *amount > Millilitres::ZERO).collect();
    let mut first = 0_usize;
    for (one, requirement) in served.iter_mut().zip(requirements) {
        let after = first.saturating_add(requirement.parts.len());
        let given = allocation.allocated.get(first..after).unwrap_or_default();
        first = after;
        one.barred = Barred::of(requirement, given, &unused);
    }
}

impl Barred {
    fn of(requirement: &Requirement, given: &[Millilitres], unused: &[Unused<'_>]) -> Option<Self> {
        let grown = requirement.grown.as_ref()?;
        let parts = requirement.parts.iter().zip(given).enumerate();
        let short: Vec<_> = parts.filter(|(_, (part, given))| **given < part.amount).collect();
        let mut found = Self::default();
        let mut later = 0;
        for (lot, amount) in unused {
            check();
            let barred = short.iter().filter_map(|(place, (part, _))| {
                let days = common(part.window, lot)?;
                part.eligibility.days_on(part.window, lot).is_none().then_some((*place, days))
            });
            let mut is_barred = false;
            for (place, days) in barred {
                is_barred = true;
                later = later.max(grown.later(place));
                let worked_in = Crop { incorporated: true, ..grown.crop }.wait(grown.in_soil(place, days.first));
                if let Wait::Until { earliest_crop_harvest, .. } = worked_in {
                    found.earliest_crop_harvest = found.earliest_crop_harvest.max(earliest_crop_harvest);
                }
            }
            if is_barred {
                let first = lot.window.first;
                found.ready_on = if found.lots.is_empty() { first } else { found.ready_on.min(first) };
                found.untreated_lots |= lot.untreated;
                match found.lots.len() {
                    0..NAMED => found.lots.push((lot.source, *amount)),
                    _ => found.more_lots += 1,
                }
            }
        }
        let last = grown.crop.incorporate_by();
        found.apply_by = last.map(|day| day.checked_sub_days(Days::new(later)).unwrap_or(NaiveDate::MIN));
        (!found.lots.is_empty()).then_some(found)
    }
}

/// The days that the dates of a demand and of a lot share; `None` where there are none.
fn common(window: Window, lot: &Lot) -> Option<Window> {
    Some(window.common(lot.window)).filter(|days| days.holds_a_day())
}
