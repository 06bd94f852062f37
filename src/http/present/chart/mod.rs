//! A chart of castings over time: how many have come, are wanted and on hand, and when they are too few.

mod axes;
mod curves;
mod svg;
mod words;

pub use svg::{document, figure};
pub use words::{totals, words};

use chrono::NaiveDate;

/// What the account of a balance or a season holds day by day, in one unit and not rounded.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Series {
    /// The unit of all amounts.
    pub unit: String,
    /// There from the start: on hand before the first date, and what was given from it on no particular day.
    pub at_first: f64,
    /// On hand before the first date.
    pub opening: f64,
    /// The days on which something happens.
    pub days: Vec<Day>,
    /// The days on which something is due.
    pub due: Vec<Due>,
    /// All that is there or to come, all that is wanted, and all that is short.
    pub total: Total,
    /// The last day shown, where it is not the last of these.
    pub until: Option<NaiveDate>,
}

/// A day on which something happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// The day.
    pub date: NaiveDate,
    /// Ready from this day on.
    pub arrived: f64,
    /// On hand after this day.
    pub left: f64,
}

/// A day on which something is due.
#[must_use]
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Due {
    /// The day.
    pub date: NaiveDate,
    /// Wanted by the end of this day.
    pub wanted: f64,
    /// Short of what is due on this day.
    pub short: f64,
}

/// Sums over all days.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Total {
    /// There or to come.
    pub stock: f64,
    /// Wanted.
    pub wanted: f64,
    /// Short.
    pub short: f64,
}

/// A chart.
#[derive(Debug, Clone)]
pub struct Chart {
    /// What it is called.
    pub title: String,
    /// The account.
    pub series: Series,
    /// What so many of 100 runs do not pass by each day: 10, and 90; empty where nothing was drawn.
    pub band: Vec<(NaiveDate, f64, f64)>,
    /// What to mind, for the description of a chart that stands alone.
    pub mind: Vec<String>,
}
