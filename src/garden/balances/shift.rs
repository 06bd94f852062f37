//! Demands in time: served later than they could be so that others get theirs, and what waiting would bring.

mod later_supply;

pub use later_supply::{LaterSupply, later_supply, later_supply_from};

use super::allocation::{Allocation, Allotment, Demand, Lot};
use super::{Requirement, add, flatten};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A demand that is served later than on its first possible day, within its own dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ServedLater {
    /// The place of the requirement in the list given, from 0.
    pub demand: usize,
    /// Which time of a demand that repeats, from 1; 0 where it does not repeat.
    pub occasion: u32,
    /// The first day on which castings that it could use were on hand; `None` means from the start.
    pub first_possible_on: Option<NaiveDate>,
    /// The day on which it is served instead.
    pub allocated_on: NaiveDate,
    /// How much, in millilitres; never zero.
    pub amount: Millilitres,
}

/// A lot as the sharing leaves it.
struct UnusedLot {
    /// Its place in the list of lots.
    place: usize,
    lot: Lot,
    /// What is allotted to nobody, in millilitres.
    unused: u64,
    /// The days of its allotments in their order, each with what is allotted from it on, in millilitres.
    allotted_from: Vec<(Option<NaiveDate>, u64)>,
}

/// The lots that hold something, by first day, then list order.
fn rests(lots: &[Lot], allocation: &Allocation) -> Vec<UnusedLot> {
    let mut used: Vec<Vec<(Option<NaiveDate>, u64)>> = vec![Vec::new(); lots.len()];
    for allotment in &allocation.allotments {
        if let Some(days) = used.get_mut(allotment.lot) {
            days.push((allotment.on, allotment.amount.get()));
        }
    }
    let holding = lots
        .iter()
        .zip(used)
        .enumerate()
        .filter(|(_, (lot, _))| lot.amount > Millilitres::ZERO && lot.window.holds_a_day());
    let mut rests: Vec<UnusedLot> = holding
        .map(|(place, (lot, mut allotted_from))| {
            allotted_from.sort_unstable();
            let mut sum = 0_u64;
            for (_, amount) in allotted_from.iter_mut().rev() {
                sum = amount.saturating_add(sum);
                *amount = sum;
            }
            UnusedLot { place, lot: *lot, unused: lot.amount.get().saturating_sub(sum), allotted_from }
        })
        .collect();
    rests.sort_by_key(|rest| (rest.lot.window.first, rest.place));
    rests
}

impl UnusedLot {
    /// The first day on which this part could draw on the lot, if it still holds something then.
    fn on_hand(&self, part: &Demand) -> Option<Option<NaiveDate>> {
        let common = part.days_on(&self.lot)?;
        let there = self.unused > 0 || self.allotted_from.last().is_some_and(|(last, _)| *last >= common.first);
        there.then_some(common.first)
    }

    /// What is allotted of it from the first day on which this part could draw on it, in millilitres.
    fn allotted_meanwhile(&self, part: &Demand) -> u64 {
        let Some(common) = part.days_on(&self.lot) else { return 0 };
        let before = self.allotted_from.partition_point(|(on, _)| *on < common.first);
        self.allotted_from.get(before).map_or(0, |(_, sum)| *sum)
    }
}

/// The lots by first day, with the latest last day up to each, so that those that end before a day are passed over.
struct LotsByFirstDay {
    rests: Vec<UnusedLot>,
    reach: Vec<NaiveDate>,
}

impl LotsByFirstDay {
    fn new(rests: Vec<UnusedLot>) -> Self {
        let latest = |reach: &mut NaiveDate, rest: &UnusedLot| {
            *reach = rest.lot.window.last.unwrap_or(NaiveDate::MAX).max(*reach);
            Some(*reach)
        };
        let reach = rests.iter().scan(NaiveDate::MIN, latest).collect();
        Self { rests, reach }
    }

    /// The lots without the ones at the front that all end before this day.
    fn open_from(&self, day: Option<NaiveDate>) -> &[UnusedLot] {
        let ended = day.map_or(0, |day| self.reach.partition_point(|reach| *reach < day));
        self.rests.get(ended..).unwrap_or_default()
    }
}

/// The demands that are served later than they could be so that others get theirs.
///
/// The first possible day of a part is the first day of its dates on which a lot that it can use is ready and, as the plan
/// allots, not yet used up. What it gets on a later day is moved, less what it could have had before that day from castings that
/// nobody gets, and no more than what others get meanwhile of castings that it could have had. So with everybody else's allotments as
/// they are, it could not have had the moved amount before the day on which it gets it. In the order of the requirements, then of their
/// times, then by day; the allotments of one time on one day are one entry.
#[must_use]
pub fn served_later(lots: &[Lot], requirements: &[Requirement], allocation: &Allocation) -> Vec<ServedLater> {
    let (parts, owners) = flatten(requirements);
    let mut late: BTreeMap<usize, BTreeMap<NaiveDate, u64>> = BTreeMap::new();
    for Allotment { demand, on, amount, .. } in &allocation.allotments {
        let start = parts.get(*demand).and_then(|part| part.window.first);
        if let Some(day) = on.filter(|day| start.is_none_or(|start| start < *day)) {
            let sum = late.entry(*demand).or_default().entry(day).or_default();
            *sum = sum.saturating_add(amount.get());
        }
    }
    if late.is_empty() {
        return Vec::new();
    }
    let shelf = LotsByFirstDay::new(rests(lots, allocation));
    let own = of_each_lot(allocation, |demand| late.contains_key(&demand));
    let times: Vec<u32> = requirements.iter().flat_map(|of| &of.parts).map(|part| part.occasion).collect();
    let mut all: BTreeMap<(usize, u32, Option<NaiveDate>, NaiveDate), Millilitres> = BTreeMap::new();
    for (place, days) in &late {
        let (Some(part), Some(owner)) = (parts.get(*place), owners.get(*place)) else { continue };
        let others = |rest: &UnusedLot| {
            let own = own.get(&(*place, rest.place)).copied().unwrap_or(0);
            rest.allotted_meanwhile(part).saturating_sub(own)
        };
        for (first, day, amount) in moved_of(part, days, (shelf.open_from(part.window.first), others)) {
            let occasion = times.get(*place).copied().unwrap_or(0);
            let sum = all.entry((*owner, occasion, first, day)).or_default();
            *sum = add(*sum, Millilitres::new(amount));
        }
    }
    let entry = |((demand, occasion, first_possible_on, allocated_on), amount)| ServedLater {
        demand,
        occasion,
        first_possible_on,
        allocated_on,
        amount,
    };
    all.into_iter().map(entry).collect()
}

/// What these parts get of each lot, in millilitres, by part and lot.
fn of_each_lot(allocation: &Allocation, is_one: impl Fn(usize) -> bool) -> BTreeMap<(usize, usize), u64> {
    let mut sums: BTreeMap<(usize, usize), u64> = BTreeMap::new();
    for of in allocation.allotments.iter().filter(|of| is_one(of.demand)) {
        let sum = sums.entry((of.demand, of.lot)).or_default();
        *sum = sum.saturating_add(of.amount.get());
    }
    sums
}

/// The first possible day, the day of the allotment and the amount, for each day on which a part is served late. `others` is what others get
/// of a lot meanwhile.
fn moved_of(
    part: &Demand,
    days: &BTreeMap<NaiveDate, u64>,
    (rests, others): (&[UnusedLot], impl Fn(&UnusedLot) -> u64),
) -> Vec<(Option<NaiveDate>, NaiveDate, u64)> {
    let usable = || rests.iter().filter(|rest| part.days_on(&rest.lot).is_some());
    // They come by first day, so the first one found is the earliest.
    let Some(first) = usable().find_map(|rest| rest.on_hand(part)) else { return Vec::new() };
    let mut earlier = usable().peekable();
    let (mut unused, mut of_others) = (0_u64, 0_u64);
    let mut found = Vec::new();
    for (day, drawn) in days {
        while let Some(rest) = earlier.next_if(|rest| rest.lot.window.first < Some(*day)) {
            unused = unused.saturating_add(rest.unused);
            of_others = of_others.saturating_add(others(rest));
        }
        let spare = unused.min(*drawn);
        unused = unused.saturating_sub(spare);
        let amount = drawn.saturating_sub(spare).min(of_others);
        of_others = of_others.saturating_sub(amount);
        if amount > 0 && first < Some(*day) {
            found.push((first, *day, amount));
        }
    }
    found
}
