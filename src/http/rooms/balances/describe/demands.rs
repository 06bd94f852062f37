//! Who gets what, and from which lots.

use super::{Account, called};
use crate::http::output::QuantityOut;
use crate::http::present::words::{chance, day, days, shown};
use crate::http::present::{Cell, Column, Rows, Table};
use crate::http::rooms::balances::{DemandOut, DrawOut};

/// A demand with its place in the request.
type Demand<'a> = (usize, &'a DemandOut);

/// The castings of a demand in the caller's containers, which all demands have.
pub fn in_measures<'a>(account: &Account<'a>) -> &'a [QuantityOut] {
    account.demands.first().map(|demand| demand.in_measures.as_slice()).unwrap_or_default()
}

/// A row for each demand.
pub fn table(account: &Account<'_>) -> Table {
    let unit = &account.series.unit;
    let bulk = |name, heading| Column::quantity(name, heading, unit.clone());
    let total = account.total;
    let served = Rows::of(account.demands.iter().enumerate(), ["demand", "demands"])
        .named("demands")
        .about(|(i, demand)| ("demands", *i, called(demand, *i)))
        .mark(|(_, demand), row| row.is_stressed = demand.short.value.get() > 0.0)
        .column(Column::data("index"), |(i, _)| *i)
        .column(Column::data("id"), |(_, demand)| &demand.id)
        .column(Column::data("name"), |(_, demand)| &demand.name)
        .column(Column::words("", "for"), |(i, demand)| called(demand, *i))
        .column(Column::words("", "when").below(), |(_, demand)| when(demand))
        .column(Column::data("first_day"), |(_, demand)| demand.earliest)
        .column(Column::data("last_day"), |(_, demand)| demand.latest)
        .column(Column::data("past"), |(_, demand)| Cell::yes(demand.past))
        .column(Column::data("priority"), |(_, demand)| demand.priority)
        .column(bulk("wanted", "wanted"), |(_, demand)| &demand.wanted)
        .column(bulk("given", "given"), |(_, demand)| &demand.given)
        .column(Column::containers("", in_measures(account)), |(_, demand)| &demand.in_measures)
        .column(bulk("short", "short"), |(_, demand)| &demand.short)
        .column(Column::quantity("share_given", "share", "%"), |(_, demand)| &demand.share_given)
        .column(Column::quantity("chance", "chance", "%"), |(_, demand)| {
            demand.chance.as_ref().map(|of| Cell::either(of, chance(of)))
        });
    in_detail(served, account)
        .sum([
            ("for", "all together".into()),
            ("wanted", (&total.wanted).into()),
            ("given", (&total.given).into()),
            ("short", (&total.short).into()),
        ])
        .done()
}

/// Adds where it comes from, at what rate, and why it is not more.
fn in_detail<'a>(served: Rows<Demand<'a>>, account: &Account<'a>) -> Rows<Demand<'a>> {
    let data = |name| Column::data_in(name, account.series.unit.clone());
    let whole = |demand: &DemandOut| demand.whole.as_ref().map(|whole| (whole.wanted, whole.given));
    served
        .column(Column::data("whole_wanted"), |(_, demand)| whole(demand).map(|(wanted, _)| wanted))
        .column(Column::data("whole_given"), |(_, demand)| whole(demand).map(|(_, given)| given))
        .column(data("least"), |(_, demand)| demand.dropped.as_ref().map(|dropped| &dropped.least))
        .column(data("would_have_given"), |(_, demand)| {
            demand.dropped.as_ref().map(|dropped| &dropped.would_have_given)
        })
        .column(Column::data("rate_kind"), |(_, demand)| demand.rate_given.as_ref().map(|rate| rate.kind))
        .column(Column::data_in("rate_given", ""), |(_, demand)| demand.rate_given.as_ref().map(|rate| &rate.amount))
        .column(Column::data("rate_unit"), |(_, demand)| {
            demand.rate_given.as_ref().map(|rate| rate.amount.unit.as_ref())
        })
        .column(Column::words("draws", "from"), |(_, demand)| Cell::either(draws(demand), told(demand).join("; ")))
        .column(Column::data("dig_in_by"), |(_, demand)| demand.dig_in_by)
        .column(Column::data_containers("given", in_measures(account)), |(_, demand)| &demand.in_measures)
}

/// When it can be served, and how urgent it is.
fn when(demand: &DemandOut) -> String {
    let when = match (demand.earliest, demand.latest) {
        (Some(first), Some(last)) => days(first, last),
        (Some(first), None) => format!("from {}", day(first)),
        (None, Some(last)) => format!("by {}", day(last)),
        (None, None) => "any day".to_owned(),
    };
    let past = if demand.past { "; its last day is past" } else { "" };
    format!("{when}; priority {}{past}", demand.priority)
}

/// From which lots, exactly: for data.
pub fn draws(demand: &DemandOut) -> String {
    let one = |draw: &DrawOut| {
        let on = draw.on.map(|on| format!(" on {on}")).unwrap_or_default();
        let wait = draw.wait_told().map(|wait| format!(" ({wait})")).unwrap_or_default();
        format!("{} {} from {}{on}{wait}", draw.given.value, draw.given.unit, draw.lot())
    };
    demand.draws.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// From which lots and when, at what rate, and what else there is to it: for readers.
fn told(demand: &DemandOut) -> Vec<String> {
    let from = |draw: &DrawOut| {
        let on = draw.on.map(|on| format!(" on {}", day(on))).unwrap_or_default();
        let wait = draw.wait_told().map(|wait| format!(" ({wait})")).unwrap_or_default();
        format!("{} from {}{on}{wait}", shown(&draw.given), draw.lot())
    };
    let mut list: Vec<String> = demand.draws.iter().map(from).collect();
    if let Some(rate) = demand.rate_given.as_ref().filter(|_| demand.short.value.get() > 0.0) {
        list.push(format!("that is {} {}", shown(&rate.amount), rate.kind.replace('_', " ")));
    }
    if let Some(whole) = &demand.whole {
        list.push(format!("{} of {} whole ones", whole.given, whole.wanted));
    }
    if let Some(dropped) = &demand.dropped {
        let (least, would) = (shown(&dropped.least), shown(&dropped.would_have_given));
        list.push(format!("gets nothing: it would have got {would}, and less than {least} is of no use"));
    }
    if let Some(by) = demand.dig_in_by {
        list.push(format!("for the first picking dig in raw manure by {}", day(by)));
    }
    list
}
