//! The observations beside the rows of a table that they were read from.

use super::CalibrationsAnswer;
use super::answer::{CheckedRecordOut, FitOut};
use super::forecasts::record_called;
use crate::http::output::QuantityOut;
use crate::http::present::{Column, Description, Rows};
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};

/// A row of a table: a bed, or something that was observed of it.
struct Line<'a> {
    record: &'a CheckedRecordOut,
    /// The list in the record and the position there; none of the bed itself.
    item: Option<(&'static str, usize)>,
    /// What was read from the row.
    fits: Vec<&'a FitOut>,
}

/// The lines of a record: the bed, then what was observed of it. A harvest may have several observations.
fn lines(record: &CheckedRecordOut) -> Vec<Line<'_>> {
    let mut items: BTreeMap<(&'static str, usize), Vec<&FitOut>> = BTreeMap::new();
    let (mut layers, mut weighings) = (0.., 0..);
    for fit in &record.observations {
        let item = match (fit.kind, fit.harvest) {
            (_, Some(harvest)) => Some(("harvested", harvest.saturating_sub(1))),
            ("eaten" | "not_eaten", _) => layers.next().map(|layer| ("layers_eaten", layer)),
            ("worms_weighed", _) => weighings.next().map(|weighing| ("worms_weighed", weighing)),
            _ => None,
        };
        if let Some(item) = item {
            items.entry(item).or_default().push(fit);
        }
    }
    let bed = Line { record, item: None, fits: Vec::new() };
    std::iter::once(bed).chain(items.into_iter().map(|(item, fits)| Line { record, item: Some(item), fits })).collect()
}

/// Whether it is an amount of castings or worms.
fn is_amount(fit: &FitOut) -> bool {
    ["harvested", "worms_weighed"].contains(&fit.kind)
}

impl Line<'_> {
    /// The item of the request that it is.
    fn pointer(&self) -> String {
        let record = format!("/records/{}", self.record.index);
        self.item.map_or_else(|| record.clone(), |(list, position)| format!("{record}/{list}/{position}"))
    }

    /// Its forecasts of an amount: the castings harvested, or the worms.
    fn amounts(&self, of: fn(&FitOut) -> Option<&Percentiles>) -> Option<&Percentiles> {
        self.fits.iter().find(|fit| is_amount(fit)).and_then(|fit| of(fit))
    }

    /// Its forecasts of a day.
    fn days(&self, of: fn(&FitOut) -> Option<&DatePercentiles>) -> Option<&DatePercentiles> {
        self.fits.iter().find_map(|fit| of(fit))
    }

    /// Whether all that was observed fits.
    fn fits(&self) -> Option<&'static str> {
        let all = self.fits.iter().all(|fit| fit.fits);
        (!self.fits.is_empty()).then_some(if all { "yes" } else { "no" })
    }

    /// Why it may not fit.
    fn reason(&self) -> Option<&'static str> {
        self.fits.iter().find_map(|fit| fit.reason)
    }
}

/// An end or the middle of forecasts, as a column has it.
type Percentile = (&'static str, fn(&Percentiles) -> &QuantityOut);

/// Forecasts of amounts: which, and their columns.
type Amounts = (fn(&FitOut) -> Option<&Percentiles>, [Percentile; 3]);

/// Those without records, and with all records.
const AMOUNTS: [Amounts; 2] = [
    (
        |fit| fit.before.as_ref(),
        [("before_p10", |of| &of.p10), ("before_p50", |of| &of.p50), ("before_p90", |of| &of.p90)],
    ),
    (|fit| fit.after.as_ref(), [("after_p10", |of| &of.p10), ("after_p50", |of| &of.p50), ("after_p90", |of| &of.p90)]),
];

/// A day of forecasts, as a column has it.
type DayPercentile = (&'static str, fn(&DatePercentiles) -> Option<NaiveDate>);

/// Forecasts of days: which, and their columns.
type OfDays = (fn(&FitOut) -> Option<&DatePercentiles>, [DayPercentile; 3]);

/// Those without records, and with all records.
const DAYS: [OfDays; 2] = [
    (
        |fit| fit.before_on.as_ref(),
        [("before_on_p10", |of| of.p10), ("before_on_p50", |of| of.p50), ("before_on_p90", |of| of.p90)],
    ),
    (
        |fit| fit.after_on.as_ref(),
        [("after_on_p10", |of| of.p10), ("after_on_p50", |of| of.p50), ("after_on_p90", |of| of.p90)],
    ),
];

/// The rows of a table of records, each with its forecasts. The bed's own has none.
pub fn beside_rows(answer: &CalibrationsAnswer) -> Description<'_> {
    let lines: Vec<Line<'_>> = answer.records.iter().flat_map(lines).collect();
    let mut rows = Rows::of(lines, ["row", "rows"])
        .named("rows")
        .about(|line| ("records", line.record.index, record_called(line.record)))
        .mark(|line, row| row.pointer = line.pointer());
    for unit in units(answer) {
        for (of, columns) in AMOUNTS {
            for (name, percentile) in columns {
                let unit = unit.clone();
                rows = rows.column(Column::data_in(name, unit.clone()), move |line| {
                    line.amounts(of).map(percentile).filter(|amount| amount.unit == unit.as_str()).cloned()
                });
            }
        }
    }
    for (of, columns) in DAYS {
        for (name, percentile) in columns {
            rows = rows.column(Column::data(name), move |line| line.days(of).and_then(percentile));
        }
    }
    let rows = rows.column(Column::data("fits"), Line::fits).column(Column::data("reason"), Line::reason);
    let mut description = Description::of(answer, "What your records say");
    description.section("Records and their forecasts", rows.done());
    description
}

/// The units of all amounts of which there are forecasts.
fn units(answer: &CalibrationsAnswer) -> BTreeSet<String> {
    let fits = answer.records.iter().flat_map(|record| &record.observations).filter(|fit| is_amount(fit));
    fits.filter_map(|fit| Some(fit.before.as_ref()?.p50.unit.to_string())).collect()
}
