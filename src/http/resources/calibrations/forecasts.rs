//! Values, records and observations for readers: what they are called, and their forecasts as ranges with numbers to draw.

use super::answer::{CheckedRecordOut, FitOut};
use super::record_names::for_readers;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::chart::RangeOf;
use crate::http::present::words::{day, name_of, shown};
use crate::http::resources::assumption_names::value_called;
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use crate::http::wire::capitalised;
use chrono::{Datelike, NaiveDate};

/// What an assumption is called: `Feed rate of the worms` of `worms.feed_rate`.
pub(super) fn called(id: &str) -> String {
    capitalised(value_called(id))
}

/// A quantity for readers: from 1 %, whole percents, since draws tell no more.
pub(super) fn rounded(quantity: &QuantityOut) -> QuantityOut {
    if quantity.unit != "%" {
        return quantity.clone();
    }
    let whole = |of: Number| if of.get() < 1.0 { of } else { Number::rounded(of.get().round()) };
    let QuantityOut { value, low, high, .. } = quantity;
    QuantityOut { value: whole(*value), low: low.map(whole), high: high.map(whole), ..quantity.clone() }
}

/// A quantity in words.
pub(super) fn in_words(quantity: &QuantityOut) -> String {
    shown(&rounded(quantity))
}

/// What a record is called.
pub(super) fn record_called(record: &CheckedRecordOut) -> String {
    name_of(record.name.as_deref(), record.id.as_deref(), "Record", record.index)
}

/// What an observation is called: `castings harvested (harvest 2)`.
pub(super) fn what(fit: &FitOut) -> String {
    let number = match (fit.harvest, fit.layer) {
        (Some(harvest), _) => format!(" (harvest {harvest})"),
        (None, Some(layer)) => format!(" (layer {layer})"),
        (None, None) => String::new(),
    };
    format!("{}{number}", for_readers(fit.kind))
}

/// Its forecast without any record.
pub(super) fn of(fit: &FitOut) -> Option<RangeOf> {
    range(fit.before.as_ref(), fit.before_on.as_ref())
}

/// Its forecast with all records.
pub(super) fn now_of(fit: &FitOut) -> Option<RangeOf> {
    range(fit.after.as_ref(), fit.after_on.as_ref())
}

/// Its forecast from the other records.
pub(super) fn others_of(fit: &FitOut) -> Option<RangeOf> {
    range(fit.from_others.as_ref(), fit.from_others_on.as_ref())
}

/// What was recorded, and how it is written.
pub(super) fn recorded(fit: &FitOut) -> Option<(f64, String)> {
    match (&fit.observed, fit.observed_on) {
        (Some(amount), _) => Some((amount.value.get(), in_words(amount))),
        (None, Some(on)) if fit.kind == "not_eaten" => Some((number(on), format!("not yet on {}", day(on)))),
        (None, Some(on)) => Some((number(on), day(on))),
        (None, None) => None,
    }
}

/// A quantity with its range, for drawing and reading.
pub(super) fn range_of(quantity: &QuantityOut) -> RangeOf {
    let middle = quantity.value.get();
    let end = |end: Option<Number>| end.map_or(middle, |end| end.get());
    RangeOf { low: end(quantity.low), middle, high: end(quantity.high), text: in_words(quantity) }
}

fn range(amounts: Option<&Percentiles>, days: Option<&DatePercentiles>) -> Option<RangeOf> {
    match (amounts, days) {
        (Some(amounts), _) => {
            let quantity =
                QuantityOut { low: Some(amounts.p10.value), high: Some(amounts.p90.value), ..amounts.p50.clone() };
            Some(range_of(&quantity))
        }
        (None, Some(days)) => {
            let (p10, p50, p90) = (days.p10?, days.p50?, days.p90?);
            let text = format!("{} ({} to {})", day(p50), day(p10), day(p90));
            Some(RangeOf { low: number(p10), middle: number(p50), high: number(p90), text })
        }
        (None, None) => None,
    }
}

/// A day as a number.
fn number(on: NaiveDate) -> f64 {
    f64::from(on.num_days_from_ce())
}
