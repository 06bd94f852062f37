//! What is tried, and the outcome.

use crate::garden::balances::additional_production::{Batch, LimitingFactor};
use crate::garden::closed_list::closed_list;
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

closed_list! {
    /// One way to a chance of 90 %.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Way {
        /// Sacks are bought.
        Sacks = "sacks",
        /// More is produced: more ground, worms and feed.
        MoreGround = "more_ground",
        /// As much is produced with more worms on the same ground.
        MoreWorms = "more_worms",
        /// The production starts earlier, on more ground where that alone does not do.
        EarlierStart = "earlier_start",
    }
}

/// What is done.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// So many sacks are bought.
    Sacks(u64),
    /// Beds are laid.
    Beds(Laid),
}

/// Beds that are laid otherwise than an option says.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// So many times the ground, the worms, or both with the feed.
    pub times: f64,
    /// Started so many weeks before the start of the option.
    pub weeks: u32,
    /// What prevents any earlier start; then no bed is laid.
    pub limiting_factor: Option<LimitingFactor>,
    /// The beds.
    pub batches: Vec<Batch>,
}

impl Action {
    /// The beds that are laid.
    #[must_use]
    pub fn batches(&self) -> &[Batch] {
        match self {
            Self::Sacks(_) => &[],
            Self::Beds(laid) => &laid.batches,
        }
    }
}

/// An action that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// Which way.
    pub way: Way,
    /// The smallest action that reaches a chance of 90 %, else the largest one that was tried.
    pub action: Action,
    /// The latest day to act; where no earlier start is possible, the first possible one.
    pub act_by: Option<NaiveDate>,
    /// The outcome; `None` where it does not reach a chance of 90 %.
    pub reached: Option<Reached>,
}

/// The outcome of an action that reaches a chance of 90 %.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reached {
    /// Runs in which everybody gets all.
    pub enough: u32,
    /// What it leaves short at the likely values, all demands together.
    pub shortfall: Millilitres,
}
