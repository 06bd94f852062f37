//! What demands that repeat get each time.

use super::Account;
use super::demands::{between, year};
use crate::http::present::words::times;
use crate::http::present::{Cell, Column, Rows, Table};
use crate::http::resources::balances::{DemandOut, OccasionOut};

/// One time of a demand, with the demand and its place.
type Occasion<'a> = (usize, &'a DemandOut, &'a OccasionOut);

fn all<'a>(account: &Account<'a>) -> impl Iterator<Item = Occasion<'a>> + use<'a> {
    let demands = account.demands.iter().enumerate();
    demands.flat_map(|(i, demand)| demand.occasions.iter().map(move |occasion| (i, demand, occasion)))
}

/// A row for each time of each demand that repeats.
pub fn table(account: &Account<'_>) -> Table {
    let unit = &account.series.unit;
    let bulk = |name, heading| Column::quantity(name, heading, unit.clone());
    let year = year(account);
    Rows::of(all(account), ["time of a demand", "times of demands"])
        .named("occasions")
        .about(|(i, demand, _)| ("demands", *i, demand.called(*i)))
        .mark(|(_, _, one), row| row.is_stressed = one.shortfall.value.get() > 0.0)
        .column(Column::data("index"), |(i, ..)| *i)
        .column(Column::data("id"), |(_, demand, _)| &demand.id)
        .column(Column::data("name"), |(_, demand, _)| &demand.name)
        .column(Column::words("", "each time"), |(i, demand, _)| demand.called(*i))
        .column(Column::count("occasion", "time"), |(.., one)| one.occasion)
        .column(Column::words("", "when"), move |(.., one)| {
            format!("{}{}", between((one.earliest, one.latest), year), if one.past { ", past" } else { "" })
        })
        .column(Column::data("first_day"), |(.., one)| one.earliest)
        .column(Column::data("last_day"), |(.., one)| one.latest)
        .column(Column::data("past"), |(.., one)| Cell::yes(one.past))
        .column(bulk("needed", "needed"), |(.., one)| &one.needed)
        .column(bulk("allocated", "allocated"), |(.., one)| &one.allocated)
        .column(bulk("shortfall", "shortfall").if_room(), |(.., one)| &one.shortfall)
        .column(Column::data_in("share_allocated", "%"), |(.., one)| &one.share_allocated)
        .column(Column::words("", "makes"), |(.., one)| one.makes())
        .column(Column::data_in("share_supplied", "%"), |(.., one)| one.content.as_ref().map(|of| &of.share_supplied))
        .column(Column::data("whole_portions_needed"), |(.., one)| one.whole_portions.as_ref().map(|of| of.needed))
        .column(Column::data("whole_portions_allocated"), |(.., one)| {
            one.whole_portions.as_ref().map(|of| of.allocated)
        })
        .column(Column::data_in("minimum", unit.clone()), |(.., one)| one.dropped.as_ref().map(|of| &of.minimum))
        .column(Column::data_in("would_have_been_allocated", unit.clone()), |(.., one)| {
            one.dropped.as_ref().map(|of| &of.would_have_been_allocated)
        })
        .done()
}

/// The times that get nothing because they could not get their minimum, in a line for each demand.
pub fn dropped(account: &Account<'_>) -> Vec<String> {
    let line = |(i, demand): (usize, &DemandOut)| {
        let dropped = demand.occasions.iter().filter(|one| one.dropped.is_some());
        let on_another_day =
            dropped.clone().any(|one| one.dropped.as_ref().is_some_and(|of| account.keeps(&of.minimum)));
        let dropped: Vec<u32> = dropped.map(|one| one.occasion).collect();
        (!dropped.is_empty()).then(|| {
            let (name, times) = (demand.called(i), times(&dropped));
            let days = if on_another_day { ", or choose other days" } else { "" };
            format!("{name} gets nothing at {times} in this plan. Ask for less{days}.")
        })
    };
    account.demands.iter().enumerate().filter_map(line).collect()
}
