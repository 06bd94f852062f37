//! Whole plants, pots or batches, and what is made of them.

use super::{DemandOut, OccasionOut};
use crate::http::present::words::shown;
use crate::http::resources::applications::RateOut;
use crate::http::resources::balances::request::Source;
use serde::Serialize;
use utoipa::ToSchema;

/// Whole plants, pots or batches.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WholePieces)]
pub struct WholeOut {
    /// What is needed.
    pub needed: u64,
    /// What is allocated from stock and harvests.
    pub allocated: u64,
    /// What one is called, and several.
    #[serde(skip)]
    #[schema(ignore)]
    names: [&'static str; 2],
}

impl WholeOut {
    /// So many are needed, and so many get theirs.
    pub fn new((needed, allocated): (u64, u64), source: &Source) -> Self {
        let names = match source {
            Source::Brew(_) => ["batch", "batches"],
            Source::Application(_, application) if application.extent.potted => ["pot", "pots"],
            Source::Application(..) => ["plant", "plants"],
            Source::Amount(_) => ["portion", "portions"],
        };
        Self { needed, allocated, names }
    }

    /// How many get theirs where not all do, with the rate of each: `25 of 30 pots at 20 %`.
    fn some_in_words(&self, rate: Option<&RateOut>) -> Option<String> {
        let [one, several] = self.names;
        let at = rate.map(|rate| format!(" at {}", shown(&rate.amount))).unwrap_or_default();
        let name = if self.needed == 1 { one } else { several };
        (self.allocated < self.needed).then(|| format!("{} of {} {name}{at}", self.allocated, self.needed))
    }
}

impl DemandOut {
    /// How many whole portions get theirs, where not all do; of a demand that repeats, each time says its own.
    pub fn some_portions(&self) -> Option<String> {
        self.whole_portions.as_ref().filter(|_| self.occasions.is_empty())?.some_in_words(self.rate_allocated.as_ref())
    }

    /// What is made of what it gets: those of its portions, or its rate.
    pub fn makes(&self) -> Option<String> {
        self.some_portions().or_else(|| self.rate_allocated.as_ref().map(|rate| shown(&rate.amount)))
    }
}

impl OccasionOut {
    /// How many whole portions get theirs this time, where not all do.
    pub fn some_portions(&self) -> Option<String> {
        self.whole_portions.as_ref()?.some_in_words(self.rate_allocated.as_ref())
    }

    /// What is made of what it gets this time: those of its portions, or its rate.
    pub fn makes(&self) -> Option<String> {
        self.some_portions().or_else(|| self.rate_allocated.as_ref().map(|rate| shown(&rate.amount)))
    }
}
