//! The exact sharing of scarce castings among demands.
//!
//! A [`Lot`] may serve a [`Demand`] when their date ranges share a day.
//!
//! * Priorities come in order, 1 first. No later priority can take anything an
//!   earlier one could use.
//! * Within a priority every demand gets the same share of what it needs, as far
//!   as the dates allow: the smallest share is as large as it can be, then the
//!   second smallest, and so on (lexicographic max-min of allocated / needed).
//! * Nothing usable stays unused while a demand it could serve is short.
//!
//! The shares are worked out as exact fractions by maximum flows and their cuts
//! (see `fair`), rounded to whole millilitres by largest remainder (see
//! `round`), or to whole portions where a demand comes in portions (see
//! `whole`), and then routed lot by lot in date order (see `routing`).
//!
//! A demand may draw on lots that count as raw manure up to some day only ([`Eligibility`]): then the flows are found by paths (see
//! `flow`).
//!
//! Amounts above a cubic kilometre (10^15 mL) count as 10^15 mL. A date range
//! whose last day is before its first day holds no day, so it shares none.

mod board;
mod cut;
mod eligibility;
mod fair;
mod flow;
mod fraction;
mod levels;
mod network;
mod round;
mod routing;
mod sharing;
mod shortfalls;
mod sweep;
mod whole;

pub use eligibility::Eligibility;
pub use fraction::Fraction;
pub(super) use sharing::Sharing;
pub use shortfalls::{DatedShortfall, shortfalls};

use crate::garden::units::Millilitres;
use board::Board;
use chrono::NaiveDate;

/// A range of days whose two ends are included; an absent end is open.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Window {
    /// The first day; `None` means from the start.
    pub first: Option<NaiveDate>,
    /// The last day; `None` means without end.
    pub last: Option<NaiveDate>,
}

impl Window {
    /// Whether the range holds at least one day: first <= last, or an open end.
    #[must_use]
    pub fn holds_a_day(self) -> bool {
        match (self.first, self.last) {
            (Some(first), Some(last)) => first <= last,
            _ => true,
        }
    }

    /// The days that lie in both ranges: later first day to earlier last day.
    ///
    /// The answer may hold no day; see [`Window::holds_a_day`].
    #[must_use]
    pub fn common(self, other: Self) -> Self {
        let last = match (self.last, other.last) {
            (Some(one), Some(two)) => Some(one.min(two)),
            (one, two) => one.or(two),
        };
        Self { first: self.first.max(other.first), last }
    }

    /// Whether the two ranges share at least one day.
    #[must_use]
    pub fn overlaps(self, other: Self) -> bool {
        self.common(other).holds_a_day()
    }
}

/// Where a lot comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LotSource {
    /// The stock, where it is listed at this position, from 0.
    Stock(usize),
    /// A worm bed.
    Bed {
        /// The position of the bed, from 0.
        bed: usize,
        /// The cycle, from 1.
        cycle: u32,
    },
}

impl Default for LotSource {
    fn default() -> Self {
        Self::Stock(0)
    }
}

/// A quantity of castings that can be drawn on within a range of days.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Lot {
    /// How much there is, in millilitres.
    pub amount: Millilitres,
    /// From the day it is ready to the day it must be used by.
    pub window: Window,
    /// Whether it counts as raw manure, on which a demand may have to stop drawing earlier.
    pub untreated: bool,
    /// Where it comes from.
    pub source: LotSource,
}

/// A quantity of castings asked for within a range of days.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Demand {
    /// How much is asked, in millilitres.
    pub amount: Millilitres,
    /// The days on which it can be used.
    pub window: Window,
    /// The place in the queue: the lowest number is served first.
    pub priority: u8,
    /// `Some(n)`: the amount is `n` equal portions and only whole portions are
    /// of use (plants, pots, batches). `None` or `Some(0)`: any amount will do.
    pub portions: Option<u32>,
    /// Up to which day it may draw on which lots.
    pub eligibility: Eligibility,
}

/// So much of one lot for one demand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Allotment {
    /// The place of the lot in the list given, from 0.
    pub lot: usize,
    /// The place of the demand in the list given, from 0.
    pub demand: usize,
    /// The first day both ranges allow: the later of the two first days;
    /// `None` when both are open.
    pub on: Option<NaiveDate>,
    /// How much is taken, in millilitres; never zero.
    pub amount: Millilitres,
}

/// Who gets how much, and from which lot.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Allocation {
    /// What each demand is given, in millilitres, in the order of the demands.
    /// Always the sum of that demand's allotments, and never more than it asked.
    pub allocated: Vec<Millilitres>,
    /// Every allotment, by demand, then by lot: the one that expires first, then
    /// the one ready first, then list order.
    pub allotments: Vec<Allotment>,
}

/// Shares the lots among the demands.
///
/// Guarantees, all exact:
///
/// * the total served to the first priority is the largest possible, then the
///   total to the second, and so on;
/// * within a priority the shares allocated / needed are the lexicographic
///   max-min, computed as fractions; each amount is that fraction rounded down
///   or up to a whole millilitre (up by largest remainder, then list order,
///   where the lots allow), so that the total of the priority stays the
///   largest possible;
/// * a demand in portions is given floor(amount * k / n) for some whole k.
///
/// The rule for portions, within one priority:
///
/// 1. Work out the fair shares as if nothing came in portions. Round each
///    demand in portions down to whole portions, every other one down to whole
///    millilitres.
/// 2. Give each demand that lost a part of a portion one portion more, if it
///    can be served with every other demand keeping what it has at that moment:
///    the one with the smallest share of whole portions first, of equals the
///    one of fewer portions, then list order. From one lot, in portions of one
///    size, the shares come out as even as whole portions allow that leave
///    nobody below the fair share rounded down: the smallest is as large as it
///    can be, then the second smallest, and so on.
/// 3. With these amounts fixed, work out the fair shares of the rest of the
///    priority again.
/// 4. What is still usable is handed out in turns in the same order, one whole
///    portion a turn (a sixty-fourth of all its portions for a demand of 128
///    portions or more, less when that is too much), until nobody can take a
///    further whole portion.
///
/// Routing, with the amounts fixed, goes through the days. When the last day
/// of a demand comes it draws from the lots then open: the one that expires
/// first, then the one ready first, then list order. When the last day of a lot
/// comes, what is left of it goes to the demands then open and not yet served:
/// the soonest last day first, then priority, then list order. On the same day
/// demands come before lots; open ends come last.
///
/// A demand may draw on a lot if their date ranges share a day up to the limit of its [`Eligibility`]. So a lot is barred from some
/// demands and stays there for the others, and treated lots go to those who can use nothing else. The way through the days is the
/// same, each drawing on what it may; where that leaves somebody short, allotments are exchanged until nobody is.
#[must_use]
pub fn allocate(lots: &[Lot], demands: &[Demand]) -> Allocation {
    let mut sharing = Sharing::new(lots, demands);
    sharing.fill(..);
    sharing.route(lots, demands)
}

/// The largest share that every demand could get of what it asks.
///
/// Exact: the minimum, over all groups of demands, of (the stock any of them
/// could use) / (what they ask together), and 1/1 when all can be served in
/// full. All priorities count alike and portions are ignored. `None` when no
/// demand asks for more than zero.
#[must_use]
pub fn pro_rata_share(lots: &[Lot], demands: &[Demand]) -> Option<Fraction> {
    let asking = demands.iter().filter(|demand| demand.amount > Millilitres::ZERO);
    let count = asking.count();
    let board = Board::new(lots, demands);
    if count == 0 {
        None
    } else if board.demands.len() < count {
        Some(Fraction::ZERO)
    } else {
        Some(fair::least(&board))
    }
}

#[cfg(test)]
mod tests;
