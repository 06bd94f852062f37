//! What waiting would bring to short demands.

use super::super::allocation::{Allocation, Demand, Eligibility, Lot};
use super::super::occasions::{Occasion, occasions};
use super::super::{Requirement, flatten, pieces};
use super::{UnusedLot, rests};
use crate::garden::interrupt::check;
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

/// A short demand that left-over castings would serve if it could wait beyond its last day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct LaterSupply {
    /// The place of the requirement in the list given, from 0.
    pub demand: usize,
    /// Which time of a demand that repeats, from 1; 0 where it does not repeat.
    pub occasion: u32,
    /// Its last day, beyond which it would wait.
    pub latest: NaiveDate,
    /// The first day on which what is left over covers the amount; after its last day.
    pub until: NaiveDate,
    /// How much of what it is short of, in millilitres; never zero.
    pub amount: Millilitres,
}

/// What each short demand would get of the castings left over if it could wait beyond its last day.
///
/// The short demands come by priority, then last day, then list order; each day of a tea in several rounds, and each
/// time of a demand that repeats, counts by itself. For each: the earliest day from its last day on, on which what is left over and usable on that very day covers
/// all it is short of; if none does, the day on which the largest part is covered. What it takes is gone for the next ones:
/// what expires first goes first, then what was ready first, then list order. A demand in whole pieces takes whole ones; a
/// dropped demand takes its minimum or nothing. No entry where waiting brings nothing.
///
/// Beside everybody else's amounts these can be given together. Shared anew with later dates, the others of its priority
/// and the later ones may claim a part of it, so a demand may get less than this; its priority as a whole does not.
#[must_use]
pub fn later_supply(lots: &[Lot], requirements: &[Requirement], allocation: &Allocation) -> Vec<LaterSupply> {
    later_supply_from(None, (lots, requirements), allocation)
}

/// As [`later_supply`], where nobody is served before today.
#[must_use]
pub fn later_supply_from(
    today: Option<NaiveDate>,
    (lots, requirements): (&[Lot], &[Requirement]),
    allocation: &Allocation,
) -> Vec<LaterSupply> {
    let (parts, _) = flatten(requirements);
    let times = occasions(requirements);
    let mut due: Vec<(u8, NaiveDate, usize, Vec<Need>)> = Vec::new();
    for (place, time) in times.iter().enumerate() {
        let given = time.places().filter_map(|part| Some((parts.get(part)?, allocation.allocated.get(part)?)));
        let mut needs: Vec<Need> = given.filter_map(|(part, amount)| Need::of(part, *amount)).collect();
        needs.sort_by_key(|need| need.last);
        if let Some(last) = needs.first().map(|need| need.last) {
            due.push((time.requirement.priority, last, place, needs));
        }
    }
    due.sort_unstable_by_key(|(priority, last, place, _)| (*priority, *last, *place));
    let mut pool = if due.is_empty() { Pool::default() } else { Pool::new((lots, allocation), today) };
    let mut found = Vec::new();
    for (_, _, place, needs) in due {
        let Some(time) = times.get(place) else { continue };
        let given = allocation.allocated.get(time.places()).unwrap_or_default();
        let given = given.iter().fold(0_u64, |sum, amount| sum.saturating_add(amount.get()));
        let minimum = time.requirement.minimum.map_or(0, Millilitres::get);
        found.extend(pool.serve(time, &needs, minimum.saturating_sub(given)));
    }
    found
}

/// A part that is short and has a last day.
struct Need {
    last: NaiveDate,
    needed: u64,
    allocated: u64,
    portions: u32,
    eligibility: Eligibility,
}

impl Need {
    fn of(part: &Demand, allocated: Millilitres) -> Option<Self> {
        let (needed, allocated) = (part.amount.get(), allocated.get());
        let last = part.window.last.filter(|_| allocated < needed && part.window.holds_a_day())?;
        Some(Self { last, needed, allocated, portions: part.portions.unwrap_or(0), eligibility: part.eligibility })
    }

    /// Whether it may draw on lots, untreated ones or the others, on a day.
    fn may(&self, untreated: bool, day: NaiveDate) -> bool {
        self.eligibility.limit(untreated).allows(day)
    }

    const fn short(&self) -> u64 {
        self.needed.saturating_sub(self.allocated)
    }

    /// So much of an amount as is of use: at most what is short, and whole portions.
    fn of_use(&self, amount: u64) -> u64 {
        let amount = amount.min(self.short());
        if self.portions == 0 || amount == self.short() {
            return amount;
        }
        let given = Millilitres::new(self.allocated.saturating_add(amount));
        let count = pieces(Millilitres::new(self.needed), given, self.portions);
        let reached = u128::from(self.needed) * u128::from(count) / u128::from(self.portions);
        u64::try_from(reached).unwrap_or(0).saturating_sub(self.allocated)
    }
}

/// Unused amounts of treated and of untreated lots.
#[derive(Clone, Copy, Default)]
struct Sums {
    treated: u64,
    untreated: u64,
}

impl Sums {
    fn add(&mut self, rest: &UnusedLot) {
        let sum = if rest.lot.untreated { &mut self.untreated } else { &mut self.treated };
        *sum = sum.saturating_add(rest.unused);
    }

    const fn of(&self, untreated: bool) -> u64 {
        if untreated { self.untreated } else { self.treated }
    }
}

/// What is left over, by first day; `ends` are the places in it by last day.
#[derive(Default)]
struct Pool {
    rests: Vec<UnusedLot>,
    ends: Vec<usize>,
    today: Option<NaiveDate>,
}

impl Pool {
    fn new((lots, allocation): (&[Lot], &Allocation), today: Option<NaiveDate>) -> Self {
        let mut rests = rests(lots, allocation);
        rests.retain(|rest| rest.unused > 0);
        let mut ends: Vec<(bool, Option<NaiveDate>, usize)> = rests
            .iter()
            .enumerate()
            .map(|(i, rest)| (rest.lot.window.last.is_none(), rest.lot.window.last, i))
            .collect();
        ends.sort_unstable();
        Self { rests, ends: ends.into_iter().map(|(_, _, place)| place).collect(), today }
    }

    /// Serves the parts of one time of a demand, or none of them where all together stay below `minimum`.
    fn serve(&mut self, time: &Occasion<'_>, needs: &[Need], minimum: u64) -> Vec<LaterSupply> {
        let (demand, occasion) = (time.demand, time.number());
        let before: Vec<u64> =
            if minimum > 0 { self.rests.iter().map(|rest| rest.unused).collect() } else { Vec::new() };
        let mut found = Vec::new();
        let mut sum = 0_u64;
        for need in needs {
            if let Some((until, amount)) = self.best_day(need) {
                self.take((until, amount), need);
                sum = sum.saturating_add(amount);
                let amount = Millilitres::new(amount);
                found.push(LaterSupply { demand, occasion, latest: need.last, until, amount });
            }
        }
        if sum < minimum {
            for (rest, unused) in self.rests.iter_mut().zip(before) {
                rest.unused = unused;
            }
            found.clear();
        }
        found
    }

    /// The earliest day from today on that covers all that is short, or else the most; nothing unless it is after the last day.
    fn best_day(&self, need: &Need) -> Option<(NaiveDate, u64)> {
        let mut ends = self.ends.iter().filter_map(|place| self.rests.get(*place)).peekable();
        let mut starts = self.rests.iter().peekable();
        // What has started and what has ended, of the treated lots and of the others.
        let (mut started, mut ended) = (Sums::default(), Sums::default());
        let start = self.today.map_or(need.last, |today| today.max(need.last));
        let (mut day, mut best) = (start, (start, 0));
        loop {
            check();
            while let Some(rest) = starts.next_if(|rest| rest.lot.window.first <= Some(day)) {
                started.add(rest);
            }
            while let Some(rest) = ends.next_if(|rest| rest.lot.window.last.is_some_and(|last| last < day)) {
                ended.add(rest);
            }
            let there = |untreated: bool| match need.may(untreated, day) {
                true => started.of(untreated).saturating_sub(ended.of(untreated)),
                false => 0,
            };
            let amount = need.of_use(there(false).saturating_add(there(true)));
            if amount > best.1 {
                best = (day, amount);
            }
            match starts.peek().and_then(|rest| rest.lot.window.first) {
                Some(next) if best.1 < need.short() => day = next,
                _ => return Some(best).filter(|(day, amount)| *day > need.last && *amount > 0),
            }
        }
    }

    /// Takes an amount that is there on a day.
    fn take(&mut self, (day, amount): (NaiveDate, u64), need: &Need) {
        let mut due = amount;
        for place in &self.ends {
            let Some(rest) = self.rests.get_mut(*place) else { continue };
            let there = rest.lot.window.first <= Some(day) && rest.lot.window.last.is_none_or(|last| day <= last);
            if there && need.may(rest.lot.untreated, day) {
                let taken = due.min(rest.unused);
                rest.unused = rest.unused.saturating_sub(taken);
                due = due.saturating_sub(taken);
            }
        }
    }
}
