//! Demands in time: served later than they could be so that others get theirs, and what waiting would bring.

use super::allocation::{Allocation, Demand, Draw, Lot, Window};
use super::{Want, add, flatten};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A demand that is served later than on its first possible day, within its own dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Moved {
    /// The place of the want in the list given, from 0.
    pub demand: usize,
    /// The first day on which castings that it could use were on hand; `None` means from the start.
    pub first_possible: Option<NaiveDate>,
    /// The day on which it is served instead.
    pub drawn_on: NaiveDate,
    /// How much, in millilitres; never zero.
    pub amount: Millilitres,
}

/// A short demand that left-over castings would serve if it could wait beyond its last day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Wait {
    /// The place of the want in the list given, from 0.
    pub demand: usize,
    /// The first day on which what is left over covers the amount; after its last day.
    pub until: NaiveDate,
    /// How much of what it is short of, in millilitres; never zero.
    pub amount: Millilitres,
}

/// A lot as the sharing leaves it.
struct Rest {
    /// Its place in the list of lots.
    lot: usize,
    window: Window,
    /// What nobody draws, in millilitres.
    unused: u64,
    /// The day of its last draw; nothing where none has a date.
    last_draw: Option<NaiveDate>,
}

/// The lots that hold something, by first day, then list order.
fn rests(lots: &[Lot], allocation: &Allocation) -> Vec<Rest> {
    let mut used = vec![(0_u64, None); lots.len()];
    for draw in &allocation.draws {
        if let Some((amount, last)) = used.get_mut(draw.lot) {
            *amount = draw.amount.get().saturating_add(*amount);
            *last = draw.on.max(*last);
        }
    }
    let holding = lots
        .iter()
        .zip(used)
        .enumerate()
        .filter(|(_, (lot, _))| lot.amount > Millilitres::ZERO && lot.window.holds_a_day());
    let mut rests: Vec<Rest> = holding
        .map(|(place, (lot, (amount, last_draw)))| Rest {
            lot: place,
            window: lot.window,
            unused: lot.amount.get().saturating_sub(amount),
            last_draw,
        })
        .collect();
    rests.sort_by_key(|rest| (rest.window.first, rest.lot));
    rests
}

impl Rest {
    /// The first day on which this part could draw on the lot, if it still holds something then.
    fn on_hand(&self, part: &Demand) -> Option<Option<NaiveDate>> {
        let common = self.window.common(part.window);
        let there = self.unused > 0 || self.last_draw >= common.first;
        (common.holds_a_day() && there).then_some(common.first)
    }
}

/// The lots by first day, with the latest last day up to each, so that those that end before a day are passed over.
struct Shelf {
    rests: Vec<Rest>,
    reach: Vec<NaiveDate>,
}

impl Shelf {
    fn new(rests: Vec<Rest>) -> Self {
        let latest = |reach: &mut NaiveDate, rest: &Rest| {
            *reach = rest.window.last.unwrap_or(NaiveDate::MAX).max(*reach);
            Some(*reach)
        };
        let reach = rests.iter().scan(NaiveDate::MIN, latest).collect();
        Self { rests, reach }
    }

    /// The lots without the ones at the front that all end before this day.
    fn open_from(&self, day: Option<NaiveDate>) -> &[Rest] {
        let ended = day.map_or(0, |day| self.reach.partition_point(|reach| *reach < day));
        self.rests.get(ended..).unwrap_or_default()
    }
}

/// The demands that are served later than they could be so that others get theirs.
///
/// The first possible day of a part is the first day of its dates on which a lot that it can use is ready and, as the plan
/// draws, not yet used up. What it draws on a later day is moved, less what it could have drawn before that day from
/// castings that nobody gets. So with everybody else's draws as they are, it could not have had the moved amount before the
/// day on which it is drawn. In the order of the wants, then by day; the draws of one day are one entry.
#[must_use]
pub fn moved(lots: &[Lot], wants: &[Want], allocation: &Allocation) -> Vec<Moved> {
    let (parts, owners) = flatten(wants);
    let mut late: BTreeMap<usize, BTreeMap<NaiveDate, u64>> = BTreeMap::new();
    for Draw { demand, on, amount, .. } in &allocation.draws {
        let start = parts.get(*demand).and_then(|part| part.window.first);
        if let Some(day) = on.filter(|day| start.is_none_or(|start| start < *day)) {
            let sum = late.entry(*demand).or_default().entry(day).or_default();
            *sum = sum.saturating_add(amount.get());
        }
    }
    if late.is_empty() {
        return Vec::new();
    }
    let shelf = Shelf::new(rests(lots, allocation));
    let mut all: BTreeMap<(usize, Option<NaiveDate>, NaiveDate), Millilitres> = BTreeMap::new();
    for (place, days) in &late {
        let (Some(part), Some(owner)) = (parts.get(*place), owners.get(*place)) else { continue };
        for (first, day, amount) in moved_of(part, days, shelf.open_from(part.window.first)) {
            let sum = all.entry((*owner, first, day)).or_default();
            *sum = add(*sum, Millilitres::new(amount));
        }
    }
    let entry = |((demand, first_possible, drawn_on), amount)| Moved { demand, first_possible, drawn_on, amount };
    all.into_iter().map(entry).collect()
}

/// The first possible day, the day of the draw and the amount, for each day on which a part is served late.
fn moved_of(
    part: &Demand,
    days: &BTreeMap<NaiveDate, u64>,
    rests: &[Rest],
) -> Vec<(Option<NaiveDate>, NaiveDate, u64)> {
    let usable = || rests.iter().filter(|rest| rest.window.overlaps(part.window));
    // They come by first day, so the first one found is the earliest.
    let Some(first) = usable().find_map(|rest| rest.on_hand(part)) else { return Vec::new() };
    let mut earlier = usable().peekable();
    let mut unused = 0_u64;
    let mut found = Vec::new();
    for (day, drawn) in days {
        while let Some(rest) = earlier.next_if(|rest| rest.window.first < Some(*day)) {
            unused = unused.saturating_add(rest.unused);
        }
        let spare = unused.min(*drawn);
        unused = unused.saturating_sub(spare);
        let amount = drawn.saturating_sub(spare);
        if amount > 0 && first < Some(*day) {
            found.push((first, *day, amount));
        }
    }
    found
}

/// What each short demand would get of the castings left over if it could wait beyond its last day.
///
/// The short demands come by priority, then last day, then list order; each day of a tea in several rounds counts by
/// itself. For each: the earliest day from its last day on, on which what is left over and usable on that very day covers
/// all it is short of; if none does, the day on which the largest part is covered. What it takes is gone for the next ones:
/// what expires first goes first, then what was ready first, then list order. A demand in whole pieces takes whole ones; a
/// dropped demand takes its least or nothing. No entry where waiting brings nothing.
///
/// Beside everybody else's amounts these can be given together. Shared anew with later dates, the others of its priority
/// and the later ones may claim a part of it, so a demand may get less than this; its priority as a whole does not.
#[must_use]
pub fn waits(lots: &[Lot], wants: &[Want], allocation: &Allocation) -> Vec<Wait> {
    let (parts, owners) = flatten(wants);
    let mut needs: Vec<Vec<Need>> = wants.iter().map(|_| Vec::new()).collect();
    let mut given = vec![0_u64; wants.len()];
    for ((part, owner), amount) in parts.iter().zip(&owners).zip(&allocation.given) {
        if let (Some(list), Some(sum)) = (needs.get_mut(*owner), given.get_mut(*owner)) {
            *sum = sum.saturating_add(amount.get());
            list.extend(Need::of(part, *amount));
        }
    }
    let mut order: Vec<(u8, NaiveDate, usize)> = Vec::new();
    for (place, (want, list)) in wants.iter().zip(&needs).enumerate() {
        order.extend(list.iter().map(|need| need.last).min().map(|last| (want.priority, last, place)));
    }
    order.sort_unstable();
    let mut pool = if order.is_empty() { Pool::default() } else { Pool::new(lots, allocation) };
    let mut found = Vec::new();
    for (_, _, place) in order {
        let (Some(want), Some(list), Some(given)) = (wants.get(place), needs.get_mut(place), given.get(place)) else {
            continue;
        };
        list.sort_by_key(|need| need.last);
        let least = want.least.map_or(0, Millilitres::get);
        found.extend(pool.serve(place, list, least.saturating_sub(*given)));
    }
    found
}

/// A part that is short and has a last day.
struct Need {
    last: NaiveDate,
    wanted: u64,
    given: u64,
    portions: u64,
}

impl Need {
    fn of(part: &Demand, given: Millilitres) -> Option<Self> {
        let (wanted, given) = (part.amount.get(), given.get());
        let last = part.window.last.filter(|_| given < wanted && part.window.holds_a_day())?;
        Some(Self { last, wanted, given, portions: part.portions.map_or(0, u64::from) })
    }

    const fn short(&self) -> u64 {
        self.wanted.saturating_sub(self.given)
    }

    /// So much of an amount as is of use: at most what is short, and whole portions.
    fn of_use(&self, amount: u64) -> u64 {
        let amount = amount.min(self.short());
        if self.portions == 0 || amount == self.short() {
            return amount;
        }
        let (wanted, portions) = (u128::from(self.wanted), u128::from(self.portions));
        // The largest floor(wanted k / n) <= given + amount: wanted k < n (given + amount + 1).
        let limit = portions * (u128::from(self.given) + u128::from(amount) + 1);
        let count = limit.saturating_sub(1).checked_div(wanted).unwrap_or(0);
        let reached = (wanted * count).checked_div(portions).unwrap_or(0);
        u64::try_from(reached).unwrap_or(0).saturating_sub(self.given)
    }
}

/// What is left over, by first day; `ends` are the places in it by last day.
#[derive(Default)]
struct Pool {
    rests: Vec<Rest>,
    ends: Vec<usize>,
}

impl Pool {
    fn new(lots: &[Lot], allocation: &Allocation) -> Self {
        let mut rests = rests(lots, allocation);
        rests.retain(|rest| rest.unused > 0);
        let mut ends: Vec<(bool, Option<NaiveDate>, usize)> =
            rests.iter().enumerate().map(|(i, rest)| (rest.window.last.is_none(), rest.window.last, i)).collect();
        ends.sort_unstable();
        Self { rests, ends: ends.into_iter().map(|(_, _, place)| place).collect() }
    }

    /// Serves the parts of one want, or none of them where all together stay below `least`.
    fn serve(&mut self, demand: usize, needs: &[Need], least: u64) -> Vec<Wait> {
        let before: Vec<u64> = if least > 0 { self.rests.iter().map(|rest| rest.unused).collect() } else { Vec::new() };
        let mut found = Vec::new();
        let mut sum = 0_u64;
        for need in needs {
            if let Some((until, amount)) = self.best_day(need) {
                self.take(until, amount);
                sum = sum.saturating_add(amount);
                found.push(Wait { demand, until, amount: Millilitres::new(amount) });
            }
        }
        if sum < least {
            for (rest, unused) in self.rests.iter_mut().zip(before) {
                rest.unused = unused;
            }
            found.clear();
        }
        found
    }

    /// The earliest day that covers all that is short, or else the most; nothing unless it lies after the last day.
    fn best_day(&self, need: &Need) -> Option<(NaiveDate, u64)> {
        let mut ends = self.ends.iter().filter_map(|place| self.rests.get(*place)).peekable();
        let mut starts = self.rests.iter().peekable();
        let (mut begun, mut ended) = (0_u64, 0_u64);
        let (mut day, mut best) = (need.last, (need.last, 0));
        loop {
            while let Some(rest) = starts.next_if(|rest| rest.window.first <= Some(day)) {
                begun = begun.saturating_add(rest.unused);
            }
            while let Some(rest) = ends.next_if(|rest| rest.window.last.is_some_and(|last| last < day)) {
                ended = ended.saturating_add(rest.unused);
            }
            let amount = need.of_use(begun.saturating_sub(ended));
            if amount > best.1 {
                best = (day, amount);
            }
            match starts.peek().and_then(|rest| rest.window.first) {
                Some(next) if best.1 < need.short() => day = next,
                _ => return Some(best).filter(|(day, amount)| *day > need.last && *amount > 0),
            }
        }
    }

    /// Takes an amount that is there on a day.
    fn take(&mut self, day: NaiveDate, amount: u64) {
        let mut due = amount;
        for place in &self.ends {
            let Some(rest) = self.rests.get_mut(*place) else { continue };
            let there = rest.window.first <= Some(day) && rest.window.last.is_none_or(|last| day <= last);
            if there {
                let taken = due.min(rest.unused);
                rest.unused = rest.unused.saturating_sub(taken);
                due = due.saturating_sub(taken);
            }
        }
    }
}
