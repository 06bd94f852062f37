//! Which demands may draw on which lots, and up to which day.

use super::{Demand, Lot, Window};
use crate::garden::cautions::waiting::Limit;

/// Up to which day a demand may draw on lots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Eligibility {
    /// On treated lots, and those without manure.
    pub treated: Limit,
    /// On lots that count as raw manure; never later than on the others.
    pub untreated: Limit,
}

impl Eligibility {
    /// The limit for lots that count as raw manure, or for the others.
    #[must_use]
    pub const fn limit(self, untreated: bool) -> Limit {
        if untreated { self.untreated } else { self.treated }
    }

    /// Whether these days hold one on which it may draw on any lot.
    #[must_use]
    pub fn leaves_a_day(self, window: Window) -> bool {
        self.treated.cut(window).is_some()
    }

    /// The days of these on which it may draw on a lot; `None` where there are none.
    #[must_use]
    pub fn days_on(self, window: Window, lot: &Lot) -> Option<Window> {
        let window = self.limit(lot.untreated).cut(window)?.common(lot.window);
        window.holds_a_day().then_some(window)
    }

    /// Whether it may draw on some lots longer than on others.
    #[must_use]
    pub fn differs(self) -> bool {
        self.treated != self.untreated
    }
}

impl Demand {
    /// The days on which it may draw on a lot; `None` where there are none.
    #[must_use]
    pub fn days_on(&self, lot: &Lot) -> Option<Window> {
        self.eligibility.days_on(self.window, lot)
    }
}

impl Limit {
    /// Whether it allows a day.
    #[must_use]
    pub fn allows(self, day: chrono::NaiveDate) -> bool {
        match self {
            Self::Always => true,
            Self::Until(last) => day <= last,
            Self::Never => false,
        }
    }

    /// The days of a range up to the limit; `None` where there are none.
    #[must_use]
    pub fn cut(self, window: Window) -> Option<Window> {
        let cut = match self {
            Self::Always => window,
            Self::Until(day) => Window { last: Some(window.last.map_or(day, |last| last.min(day))), ..window },
            Self::Never => return None,
        };
        cut.holds_a_day().then_some(cut)
    }
}
