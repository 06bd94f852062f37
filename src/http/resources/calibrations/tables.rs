//! The tables: values, records beside their forecasts, and what one more record would bring.

use super::CalibrationsAnswer;
use super::answer::{CalibratedOut, CheckedRecordOut, FitOut, OneMoreRecordOut};
use super::forecasts::{called, now_of, of, record_called, recorded, rounded, what};
use super::record_names::for_readers;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::{Cell, Column, Rows, Table};
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use crate::http::wire::capitalised;

/// A number whose unit has a column of its own.
fn bare(quantity: &QuantityOut) -> Cell {
    (&QuantityOut { unit: "".into(), ..quantity.clone() }).into()
}

/// A share: whole percents for readers.
fn percents(quantity: &QuantityOut) -> Cell {
    Cell::either(quantity, rounded(quantity))
}

/// The values, before and now.
pub(super) fn values(answer: &CalibrationsAnswer) -> Table {
    let number = |name| Column::data_in(name, "");
    Rows::of(&answer.values, ["value", "values"])
        .named("values")
        .column(Column::data("id"), |value: &&CalibratedOut| value.id)
        .column(Column::words("", "value"), |value| called(value.id))
        .column(Column::data("unit"), |value| value.after.unit.to_string())
        .column(number("before").bounded(), |value| bare(&value.before))
        .column(number("after").bounded(), |value| bare(&value.after))
        .column(Column::shown("before"), |value| Cell::from(&rounded(&value.before)))
        .column(Column::shown("now"), |value| Cell::from(&rounded(&value.after)))
        .column(number("p5"), |value| bare(&value.p5))
        .column(number("p50"), |value| bare(&value.p50))
        .column(number("p95"), |value| bare(&value.p95))
        .column(Column::count("observations", "observations"), |value| value.observations)
        .column(Column::quantity("range_left", "range left", "%").if_room(), |value| percents(&value.range_left))
        .column(Column::data("at_edge"), |value| value.at_edge)
        .done()
}

/// An observation with its record.
type Line<'a> = (&'a CheckedRecordOut, &'a FitOut);

/// The observations of all records.
pub(super) fn records(answer: &CalibrationsAnswer) -> Table {
    let lines = answer.records.iter().flat_map(|record| record.observations.iter().map(move |fit| (record, fit)));
    let number = |name| Column::data_in(name, "");
    let rows = Rows::of(lines, ["observation", "observations"])
        .named("records")
        .about(|(record, _): &Line<'_>| ("records", record.index, record_called(record)))
        .column(Column::data("id"), |(record, _)| &record.id)
        .column(Column::words("record", "record"), |(record, _)| record_called(record))
        .column(Column::data("kind"), |(_, fit)| fit.kind)
        .column(Column::words("", "what"), |(_, fit)| what(fit))
        .column(Column::data("harvest"), |(_, fit)| fit.harvest)
        .column(Column::data("layer"), |(_, fit)| fit.layer)
        .column(Column::data("unit"), |(_, fit)| fit.observed.as_ref().map(|of| of.unit.to_string()))
        .column(number("observed"), |(_, fit)| fit.observed.as_ref().map(bare))
        .column(Column::data("observed_on"), |(_, fit)| fit.observed_on)
        .column(Column::words("", "forecast before"), |(_, fit)| of(fit).map(|range| range.text))
        .column(Column::words("", "recorded"), |(_, fit)| recorded(fit).map(|(_, text)| text))
        .column(Column::words("", "forecast now"), |(_, fit)| now_of(fit).map(|range| range.text));
    let mass = answer.units.unit(Role::Mass).0;
    forecasts(rows)
        .column(Column::data_in("fed_dry_matter", mass), |(record, _)| &record.fed_dry_matter)
        .column(Column::words("fits", "fits"), |(_, fit)| if fit.fits { "yes" } else { "no" })
        .column(Column::data("reason"), |(_, fit)| fit.reason)
        .done()
}

/// The columns of the forecasts, for data.
fn forecasts(mut rows: Rows<Line<'_>>) -> Rows<Line<'_>> {
    type Amounts = fn(&FitOut) -> Option<&Percentiles>;
    type Days = fn(&FitOut) -> Option<&DatePercentiles>;
    let amounts: [([&'static str; 3], Amounts); 3] = [
        (["before_p10", "before_p50", "before_p90"], |fit| fit.before.as_ref()),
        (["after_p10", "after_p50", "after_p90"], |fit| fit.after.as_ref()),
        (["from_others_p10", "from_others_p50", "from_others_p90"], |fit| fit.from_others.as_ref()),
    ];
    for ([p10, p50, p90], of) in amounts {
        rows = rows
            .column(Column::data_in(p10, ""), move |(_, fit)| of(fit).map(|of| bare(&of.p10)))
            .column(Column::data_in(p50, ""), move |(_, fit)| of(fit).map(|of| bare(&of.p50)))
            .column(Column::data_in(p90, ""), move |(_, fit)| of(fit).map(|of| bare(&of.p90)));
    }
    let days: [([&'static str; 3], Days); 3] = [
        (["before_on_p10", "before_on_p50", "before_on_p90"], |fit| fit.before_on.as_ref()),
        (["after_on_p10", "after_on_p50", "after_on_p90"], |fit| fit.after_on.as_ref()),
        (["from_others_on_p10", "from_others_on_p50", "from_others_on_p90"], |fit| fit.from_others_on.as_ref()),
    ];
    for ([p10, p50, p90], of) in days {
        rows = rows
            .column(Column::data(p10), move |(_, fit)| of(fit).and_then(|of| of.p10))
            .column(Column::data(p50), move |(_, fit)| of(fit).and_then(|of| of.p50))
            .column(Column::data(p90), move |(_, fit)| of(fit).and_then(|of| of.p90));
    }
    rows
}

/// What one more record of each kind would bring.
pub(super) fn one_more(answer: &CalibrationsAnswer) -> Table {
    let castings = "range left:\nnext harvest";
    Rows::of(&answer.one_more_record, ["kind", "kinds"])
        .named("one_more")
        .column(Column::data("kind"), |one: &&OneMoreRecordOut| one.kind)
        .column(Column::words("", "one more record of"), |one| capitalised(for_readers(one.kind)))
        .column(Column::quantity("castings_range_if_known", castings, "%"), |one| {
            percents(&one.castings_range_if_known)
        })
        .column(Column::quantity("day_range_if_known", "its\nday", "%"), |one| percents(&one.day_range_if_known))
        .done()
}
