//! What becomes of the stock: lot by lot, and day by day.

use super::Account;
use super::demands::{allocations, rate, whole_portions};
use crate::http::output::{InContainers, Number, QuantityOut};
use crate::http::present::table::For;
use crate::http::present::words::{chance_in_cell, day, name_of};
use crate::http::present::{Cell, Column, Rows, Table};
use crate::http::resources::balances::{ContentOut, DayOut, DemandOut, DroppedOut, StockOut};
use crate::http::resources::chances::DateChanceOut;
use crate::http::resources::season_beds::{SeasonBedOut, SeasonLotOut};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// A lot of the request, or one of a bed.
#[derive(Clone, Copy)]
enum Lot<'a> {
    Stock(usize, &'a StockOut),
    Bed(usize, &'a SeasonBedOut, &'a SeasonLotOut),
}

impl<'a> Lot<'a> {
    fn index(self) -> usize {
        let (Self::Stock(index, _) | Self::Bed(index, ..)) = self;
        index
    }

    fn id(self) -> Option<&'a String> {
        match self {
            Self::Stock(_, lot) => lot.id.as_ref(),
            Self::Bed(_, bed, _) => bed.id.as_ref(),
        }
    }

    fn name(self) -> Option<&'a String> {
        match self {
            Self::Stock(_, lot) => lot.name.as_ref(),
            Self::Bed(_, bed, _) => bed.name.as_ref(),
        }
    }

    fn stock(self) -> Option<&'a StockOut> {
        if let Self::Stock(_, lot) = self { Some(lot) } else { None }
    }

    fn of_bed(self) -> Option<&'a SeasonLotOut> {
        if let Self::Bed(_, _, lot) = self { Some(lot) } else { None }
    }

    fn ready_on(self) -> Option<NaiveDate> {
        self.stock().map_or_else(|| self.of_bed().map(|lot| lot.ready_on), |lot| lot.ready_on)
    }

    /// Its amount, what is given of it, and what is left.
    fn amounts(self) -> [&'a QuantityOut; 3] {
        match self {
            Self::Stock(_, lot) => [&lot.amount, &lot.allocated, &lot.remaining],
            Self::Bed(_, _, lot) => [&lot.amount, &lot.allocated, &lot.remaining],
        }
    }

    const fn in_containers(self) -> &'a InContainers {
        match self {
            Self::Stock(_, lot) => &lot.in_containers,
            Self::Bed(_, _, lot) => &lot.in_containers,
        }
    }

    fn called(self) -> String {
        let what = if self.stock().is_some() { "lot" } else { "worm bed" };
        name_of(self.name().map(String::as_str), self.id().map(String::as_str), what, self.index())
    }

    fn days(self) -> String {
        let ready = self.ready_on().map(|on| format!("ready on {}", day(on)));
        let use_by = self.stock().and_then(|lot| lot.use_by).map(|on| format!("use by {}", day(on)));
        let past = self.stock().is_some_and(|lot| lot.past).then(|| "past".to_owned());
        ready.into_iter().chain(use_by).chain(past).collect::<Vec<_>>().join(", ")
    }
}

/// The lots of the request, then for data those of the beds, which readers find bed by bed.
pub fn lots(account: &Account<'_>) -> Table {
    let unit = &account.series.unit;
    let bulk = |name, heading| Column::quantity(name, heading, unit.clone());
    let of_beds =
        account.beds.iter().enumerate().flat_map(|(i, bed)| bed.lots.iter().map(move |lot| Lot::Bed(i, bed, lot)));
    let all = account.stock.iter().enumerate().map(|(i, lot)| Lot::Stock(i, lot)).chain(of_beds);
    Rows::of(all, ["lot", "lots"])
        .named("stock")
        .about(|lot| (if lot.stock().is_some() { "stock" } else { "worm_beds" }, lot.index(), lot.called()))
        .mark(|lot, row| row.is_data = lot.stock().is_none())
        .column(Column::data("row"), |lot| if lot.stock().is_some() { "stock" } else { "worm_bed" })
        .column(Column::data("index"), |lot| lot.index())
        .column(Column::data("id"), |lot| lot.id())
        .column(Column::data("name"), |lot| lot.name())
        .column(Column::words("", "lot"), |lot| lot.called())
        .column(Column::words("", "days").below(), |lot| lot.days())
        .column(Column::data("cycle"), |lot| lot.of_bed().map(|lot| lot.cycle))
        .column(Column::data("ready_on"), |lot| lot.ready_on())
        .column(Column::data("use_by"), |lot| lot.stock().and_then(|lot| lot.use_by))
        .column(Column::data("past"), |lot| Cell::yes(lot.stock().is_some_and(|lot| lot.past)))
        .column(bulk("amount", "amount"), |lot| lot.amounts()[0])
        .column(Column::containers("amount"), |lot| lot.in_containers())
        .column(bulk("allocated", "allocated"), |lot| lot.amounts()[1])
        .column(bulk("remaining", "remaining"), |lot| lot.amounts()[2])
        .column(bulk("expired", "expired"), |lot| lot.stock().map(|lot| &lot.expired))
        .done()
}

/// What is known of one day.
#[derive(Default)]
struct Known<'a> {
    day: Option<&'a DayOut>,
    chance: Option<&'a DateChanceOut>,
    needed: Option<f64>,
    left: Option<&'a QuantityOut>,
}

/// The days on which something happens or is needed, with what is left and what is needed by then.
fn known<'a>(account: &Account<'a>) -> BTreeMap<NaiveDate, Known<'a>> {
    let mut days: BTreeMap<NaiveDate, Known<'_>> = BTreeMap::new();
    for day in account.by_date {
        days.entry(day.date).or_default().day = Some(day);
    }
    for by in account.chances.iter().flat_map(|chances| &chances.by_date) {
        days.entry(by.date).or_default().chance = Some(by);
    }
    for due in &account.series.due {
        days.entry(due.date).or_default().needed = Some(due.needed);
    }
    let (mut left, mut needed) = (account.opening, 0.0);
    for known in days.values_mut() {
        left = known.day.map_or(left, |day| &day.closing_stock);
        needed = known.needed.unwrap_or(needed);
        (known.left, known.needed) = (Some(left), Some(needed));
    }
    days
}

/// The running balance day by day, with what is needed by then and the chance of enough.
pub fn by_date(account: &Account<'_>, audience: For) -> Table {
    let unit = &account.series.unit;
    let bulk = |name, heading| Column::quantity(name, heading, unit.clone());
    let in_unit = |value: f64| QuantityOut {
        value: Number::rounded(value),
        low: None,
        high: None,
        unit: unit.clone().into(),
        node: 0,
    };
    let of_day = |known: &Known<'_>, pick: fn(&DayOut) -> &QuantityOut| match known.day {
        Some(day) => Cell::from(pick(day)),
        None => Cell::from(&in_unit(0.0)),
    };
    Rows::of(known(account), ["day of the stock", "days of the stock"])
        .named("by_date")
        .only_for(audience)
        .column(Column::words("date", "stock by date"), |(date, _)| *date)
        .column(bulk("received", "received"), |(_, known)| of_day(known, |day| &day.received))
        .column(bulk("allocated", "allocated"), |(_, known)| of_day(known, |day| &day.allocated))
        .column(bulk("expired", "expired"), |(_, known)| of_day(known, |day| &day.expired))
        .column(bulk("closing_stock", "closing\nstock"), |(_, known)| known.left)
        .column(bulk("needed_by_then", "needed\nby then"), |(_, known)| {
            known.needed.map(|needed| Cell::from(&in_unit(needed)))
        })
        .column(Column::quantity("chance_of_enough", "chance\nof enough", "%"), |(_, known)| {
            known.chance.map(|by| Cell::either(&by.chance, chance_in_cell(&by.chance)))
        })
        .done()
}

/// A demand, or a lot of the request.
#[derive(Clone, Copy)]
enum Either<'a> {
    Demand(usize, &'a DemandOut),
    Lot(usize, &'a StockOut),
}

impl<'a> Either<'a> {
    fn id(self) -> Option<&'a String> {
        match self {
            Self::Demand(_, demand) => demand.id.as_ref(),
            Self::Lot(_, lot) => lot.id.as_ref(),
        }
    }

    fn name(self) -> Option<&'a String> {
        match self {
            Self::Demand(_, demand) => demand.name.as_ref(),
            Self::Lot(_, lot) => lot.name.as_ref(),
        }
    }

    fn demand(self) -> Option<&'a DemandOut> {
        if let Self::Demand(_, demand) = self { Some(demand) } else { None }
    }

    fn allocated(self) -> &'a QuantityOut {
        match self {
            Self::Demand(_, demand) => &demand.allocated,
            Self::Lot(_, lot) => &lot.allocated,
        }
    }

    fn dropped(self) -> Option<&'a DroppedOut> {
        self.demand()?.dropped.as_ref()
    }

    fn content(self) -> Option<&'a ContentOut> {
        self.demand()?.content.as_ref()
    }

    fn lot(self) -> Option<&'a StockOut> {
        if let Self::Lot(_, lot) = self { Some(lot) } else { None }
    }
}

/// The demands and the lots in one table, for data.
pub fn both(account: &Account<'_>) -> Table {
    let data = |name| Column::data_in(name, account.series.unit.clone());
    let demands = account.demands.iter().enumerate().map(|(i, demand)| Either::Demand(i, demand));
    let lots = account.stock.iter().enumerate().map(|(i, lot)| Either::Lot(i, lot));
    let rows = Rows::of(demands.chain(lots), ["row", "rows"])
        .named("balance")
        .only_for(For::Data)
        .about(|of| match *of {
            Either::Demand(i, demand) => ("demands", i, demand.called(i)),
            Either::Lot(i, lot) => ("stock", i, Lot::Stock(i, lot).called()),
        })
        .column(Column::data("row"), |of| if of.demand().is_some() { "demand" } else { "stock" })
        .column(Column::data("id"), |of| of.id())
        .column(Column::data("name"), |of| of.name())
        .column(Column::data("first_day"), |of| {
            of.demand().map_or_else(|| of.lot().and_then(|l| l.ready_on), |d| d.earliest)
        })
        .column(Column::data("last_day"), |of| {
            of.demand().map_or_else(|| of.lot().and_then(|l| l.use_by), |d| d.latest)
        })
        .column(Column::data("priority"), |of| of.demand().map(|demand| demand.priority))
        .column(data("needed"), |of| of.demand().map(|demand| &demand.needed))
        .column(data("allocated"), |of| of.allocated())
        .column(data("shortfall"), |of| of.demand().map(|demand| &demand.shortfall))
        .column(Column::data_in("share_allocated", "%"), |of| of.demand().map(|demand| &demand.share_allocated))
        .column(data("remaining"), |of| of.lot().map(|lot| &lot.remaining))
        .column(data("expired"), |of| of.lot().map(|lot| &lot.expired))
        .column(Column::data("allocations"), |of| of.demand().map(allocations))
        .column(data("would_have_been_allocated"), |of| of.dropped().map(|of| &of.would_have_been_allocated))
        .column(Column::data_in("share_supplied", "%"), |of| of.content().map(|content| &content.share_supplied))
        .column(Column::data("incorporate_by"), |of| of.demand().and_then(|demand| demand.incorporate_by));
    rate(whole_portions(rows, |of| of.demand()), |of| of.demand())
        .column(Column::data("castings_barred").sentences(), |of| {
            of.demand().and_then(|demand| demand.castings_barred.as_ref())
        })
        .column(Column::containers("allocated"), |of| of.demand().map(|demand| Cell::from(&demand.in_containers)))
        .done()
}
