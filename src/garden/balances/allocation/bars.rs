//! Lots that some demands may not draw on, or only up to some day.

use super::Window;
use crate::garden::cautions::waiting::Limit;

/// Up to which day a demand may draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Limits {
    /// On lots without a wait.
    pub clean: Limit,
    /// On lots with a wait; never later than on the others.
    pub waiting: Limit,
}

/// Which lots have a wait, and up to which day each demand may draw on them and on the others. Lots and demands that are not in these
/// lists are not barred.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Bars {
    /// Whether each lot has a wait.
    pub lots: Vec<bool>,
    /// The limits of each demand.
    pub demands: Vec<Limits>,
}

impl Bars {
    /// Nothing is barred.
    pub const NONE: &'static Self = &Self { lots: Vec::new(), demands: Vec::new() };

    /// Whether a lot has a wait.
    #[must_use]
    pub fn waits(&self, lot: usize) -> bool {
        self.lots.get(lot).copied().unwrap_or(false)
    }

    /// The limits of a demand.
    #[must_use]
    pub fn limits(&self, demand: usize) -> Limits {
        self.demands.get(demand).copied().unwrap_or_default()
    }

    /// The limit of a demand for a lot.
    #[must_use]
    pub fn limit(&self, lot: usize, demand: usize) -> Limit {
        let Limits { clean, waiting } = self.limits(demand);
        if self.waits(lot) { waiting } else { clean }
    }

    /// How many pairs of lot and demand have to be looked at one by one: all of them, where somebody may draw on some lots longer than
    /// on others; none otherwise.
    #[must_use]
    pub fn pairs(&self, lots: usize, demands: usize) -> usize {
        let differ = self.demands.iter().any(|limits| limits.clean != limits.waiting);
        if differ && self.lots.contains(&true) { lots.saturating_mul(demands) } else { 0 }
    }
}

impl Limit {
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
