//! What is tried, and what comes of it.

use crate::garden::balances::additional_production::{Batch, LimitingFactor};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;

/// One way to a chance of 90 %.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Sacks are bought.
    Sacks,
    /// More is produced: more ground, worms and feed.
    MoreGround,
    /// As much is produced with more worms on the same ground.
    MoreWorms,
    /// The production is begun earlier, on more ground where that alone does not do.
    EarlierStart,
}

impl Way {
    /// Every way.
    pub const ALL: &'static [Self] = &[Self::Sacks, Self::MoreGround, Self::MoreWorms, Self::EarlierStart];

    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Sacks => "sacks",
            Self::MoreGround => "more_ground",
            Self::MoreWorms => "more_worms",
            Self::EarlierStart => "earlier_start",
        }
    }
}

/// What is done.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
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
    /// Begun so many weeks before the start of the option.
    pub weeks: u32,
    /// What stands in the way of any earlier start; then no bed is laid.
    pub limiting_factor: Option<LimitingFactor>,
    /// The beds.
    pub batches: Vec<Batch>,
}

impl Step {
    /// The beds that are laid.
    #[must_use]
    pub fn batches(&self) -> &[Batch] {
        match self {
            Self::Sacks(_) => &[],
            Self::Beds(laid) => &laid.batches,
        }
    }
}

/// A step that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// Which way.
    pub way: Way,
    /// The smallest step that reaches a chance of 90 %, else the largest one that was tried.
    pub step: Step,
    /// The latest day to act; where no earlier start is possible, the first possible one.
    pub act_by: Option<NaiveDate>,
    /// What comes of it; `None` where it does not reach a chance of 90 %.
    pub reached: Option<Reached>,
}

/// What comes of a step that reaches a chance of 90 %.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reached {
    /// Runs in which everybody gets all.
    pub enough: u32,
    /// What it leaves short at the likely values, all demands together.
    pub shortfall: Millilitres,
}
