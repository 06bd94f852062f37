//! Charts: supply, demand and stock over time, with the shortfalls; what each bed and heap yields, as bars; several things over the same
//! time, one below another; or ranges before and now.

mod amounts;
mod axes;
mod bars;
mod curves;
mod in_words;
mod panels;
mod paper;
mod plane;
mod ranges;
mod svg;
mod units;

pub use in_words::words;
pub use paper::STYLE;

use paper::{paper, papers};

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
    /// The days on which something is needed.
    pub due: Vec<Needs>,
    /// All that is there or to come, all that is needed, and all that is short.
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
    pub received: f64,
    /// No longer usable from this day on, and not allocated.
    pub expired: f64,
    /// On hand after this day.
    pub left: f64,
}

/// A day on which something is needed.
#[must_use]
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Needs {
    /// The day.
    pub date: NaiveDate,
    /// Needed by the end of this day.
    pub needed: f64,
    /// Short of what is needed on this day.
    pub short: f64,
}

/// Sums over all days.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Total {
    /// There or to come.
    pub stock: f64,
    /// Needed.
    pub needed: f64,
    /// Short.
    pub short: f64,
    /// The day of the first shortfall, as the headline names it.
    pub first_short_on: Option<NaiveDate>,
}

/// Sums over time.
#[derive(Debug, Clone)]
pub struct OverTime {
    /// The account.
    pub series: Series,
    /// What so many of 100 runs do not pass by each day: 10, and 90; empty where nothing was drawn.
    pub band: Vec<(NaiveDate, f64, f64)>,
}

/// An amount, as a bar.
#[derive(Debug, Clone)]
pub struct Bar {
    /// What it is of.
    pub name: String,
    /// How it was found, or when it is ready.
    pub note: String,
    /// The likely amount.
    pub value: f64,
    /// Its bounds, where it has a range.
    pub range: Option<(f64, f64)>,
}

/// Amounts side by side, in one unit.
#[derive(Debug, Clone)]
pub struct Bars {
    /// What all of them are.
    pub what: &'static str,
    /// Their unit.
    pub unit: String,
    /// The amounts.
    pub bars: Vec<Bar>,
}

/// One thing over time.
#[derive(Debug, Clone)]
pub struct Panel {
    /// What it is.
    pub what: &'static str,
    /// Its unit.
    pub unit: String,
    /// The value that holds from each day on, in the order of the days.
    pub steps: Vec<(NaiveDate, f64)>,
}

/// Several things over the same time, one below another.
#[derive(Debug, Clone)]
pub struct Panels {
    /// The last day shown.
    pub until: NaiveDate,
    /// Each of them.
    pub panels: Vec<Panel>,
}

/// A range with its middle.
#[derive(Debug, Clone)]
pub struct RangeOf {
    /// Its lower end.
    pub low: f64,
    /// Its middle.
    pub middle: f64,
    /// Its upper end.
    pub high: f64,
    /// How it is written.
    pub text: String,
}

/// Something before and now, on a scale of its own.
#[derive(Debug, Clone)]
pub struct Compared {
    /// What it is called.
    pub name: String,
    /// Its range before.
    pub before: RangeOf,
    /// Its range now.
    pub now: RangeOf,
    /// What came, and how that is written.
    pub came: Option<(f64, String)>,
}

/// Ranges before and now, one below another.
#[derive(Debug, Clone)]
pub struct Ranges {
    /// What all of them are.
    pub what: &'static str,
    /// Each of them.
    pub rows: Vec<Compared>,
}

/// What a chart shows.
#[derive(Debug, Clone)]
pub enum Picture {
    /// Several things over the same time.
    Panels(Panels),
    /// Sums over time.
    OverTime(OverTime),
    /// Amounts side by side.
    Bars(Bars),
    /// Ranges before and now.
    Ranges(Ranges),
}

/// A chart.
#[derive(Debug, Clone)]
pub struct Chart {
    /// What it is called.
    title: String,
    /// What it shows, in units for people.
    picture: Picture,
}

impl Chart {
    /// A chart of this title, which has amounts in units for people.
    #[must_use]
    pub fn new(title: &str, mut picture: Picture) -> Self {
        match &mut picture {
            Picture::Panels(panels) => panels.panels.iter_mut().for_each(Panel::write_for_people),
            Picture::OverTime(chart) => chart.write_for_people(),
            Picture::Bars(bars) => bars.write_for_people(),
            // Each of these is on a scale of its own, and has its text.
            Picture::Ranges(_) => {}
        }
        Self { title: title.to_owned(), picture }
    }

    /// Draws it within a page.
    #[must_use]
    pub fn figure(&self) -> String {
        match &self.picture {
            Picture::Ranges(chart) => {
                let (first, others) = ranges::parts(chart);
                papers(self, &first, &others)
            }
            _ => self.draw(None),
        }
    }

    /// Whether a page has it in parts, between which it may end.
    #[must_use]
    pub const fn is_in_parts(&self) -> bool {
        matches!(self.picture, Picture::Ranges(_))
    }

    /// The chart as a file of its own, below its title, with these cautions in its description.
    #[must_use]
    pub fn document(&self, cautions: &[String]) -> String {
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n", self.draw(Some(cautions)))
    }

    fn draw(&self, cautions: Option<&[String]>) -> String {
        let drawn = match &self.picture {
            Picture::OverTime(chart) => svg::draw(chart),
            Picture::Bars(chart) => bars::draw(chart),
            Picture::Panels(chart) => panels::draw(chart),
            Picture::Ranges(chart) => ranges::draw(chart),
        };
        paper(self, &drawn, cautions)
    }
}
