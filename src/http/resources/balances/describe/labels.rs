//! Labels to cut out for lots, and for what gets castings.

use super::Account;
use super::demands::incorporate;
use crate::http::output::{InContainers, QuantityOut};
use crate::http::present::counted::containers;
use crate::http::present::words::{day, days, shown};
use crate::http::present::{Label, Part};
use crate::http::resources::balances::{DemandOut, StockOut};
use crate::http::resources::season_beds::{SeasonBedOut, SeasonLotOut};
use chrono::NaiveDate;

/// A label for each lot, each harvest of a bed, and each demand that gets something.
pub fn labels(account: &Account<'_>) -> Part {
    let stock = account.stock.iter().enumerate().map(of_lot);
    let beds = account.beds.iter().enumerate().flat_map(of_bed);
    let served = account.demands.iter().enumerate().filter(|(_, demand)| demand.allocated.value.get() > 0.0);
    Part::Labels(stock.chain(beds).chain(served.map(of_demand)).collect())
}

fn of_lot((index, lot): (usize, &StockOut)) -> Label {
    let ready = lot.ready_on.map(|on| format!("ready {}", day(on)));
    let use_by = lot.use_by.map(|on| format!("use by {}", day(on)));
    Label {
        name: lot.called(index),
        lines: castings(&lot.amount, &lot.in_containers).chain(ready).chain(use_by).collect(),
    }
}

fn of_bed((index, bed): (usize, &SeasonBedOut)) -> Vec<Label> {
    let name = bed.called(index);
    let label = |lot: &SeasonLotOut| Label {
        name: format!("{name}, harvest {}", lot.cycle),
        lines: castings(&lot.amount, &lot.in_containers).chain([format!("ready {}", day(lot.ready_on))]).collect(),
    };
    bed.lots.iter().map(label).collect()
}

fn of_demand((index, demand): (usize, &DemandOut)) -> Label {
    let mut on: Vec<NaiveDate> = demand.allocations.iter().filter_map(|of| of.on).collect();
    on.sort_unstable();
    let on = on.first().zip(on.last()).map(|(first, last)| format!("on {}", days(*first, *last)));
    let mut intervals: Vec<String> = demand.allocations.iter().filter_map(|of| of.interval_in_words(day)).collect();
    intervals.dedup();
    let lines = castings(&demand.allocated, &demand.in_containers).chain(on);
    Label { name: demand.called(index), lines: lines.chain(incorporate(demand)).chain(intervals).collect() }
}

/// The amount, and how many of the caller's containers that is.
fn castings(amount: &QuantityOut, in_containers: &InContainers) -> impl Iterator<Item = String> + use<> {
    std::iter::once(format!("{} of castings", shown(amount))).chain(containers(in_containers.iter()))
}
