//! The chart: each value and each observation before and now, with what was recorded.

use super::CalibrationsAnswer;
use super::answer::{CalibratedOut, CheckedRecordOut, FitOut};
use super::forecasts::{called, now_of, of, range_of, record_called, recorded, what};
use crate::http::present::chart::{Chart, Compared, Picture, Ranges};

/// The values first, then the observations.
pub(super) fn chart(answer: &CalibrationsAnswer) -> Chart {
    let values = answer.values.iter().map(value);
    let records = answer.records.iter();
    let observations = records.flat_map(|record| record.observations.iter().filter_map(move |fit| seen(record, fit)));
    let rows = values.chain(observations).collect();
    let what = "Ranges before (thin) and now (grey), with what was recorded (dot).";
    let title = answer.name_or_id().unwrap_or("What your records say");
    Chart::new(title, Picture::Ranges(Ranges { what, rows }))
}

fn value(value: &CalibratedOut) -> Compared {
    Compared { name: called(value.id), before: range_of(&value.before), now: range_of(&value.after), came: None }
}

fn seen(record: &CheckedRecordOut, fit: &FitOut) -> Option<Compared> {
    let name = format!("{}: {}", record_called(record), what(fit));
    Some(Compared { name, before: of(fit)?, now: now_of(fit)?, came: recorded(fit) })
}
