//! Reading what balances and seasons have in common: stock, demands and sack, each as far as it can be read.

use super::days::{days, span};
use super::parsed::{ParsedBalance, Source, Stocked};
use super::repeat::few_parts;
use super::{BalancesRequest, DemandRequest, SackRequest, StockRequest, minimum};
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::size::Size;
use crate::garden::balances::{Requirement, total};
use crate::garden::units::Millilitres;
use crate::garden::work::Work;
use crate::http::input::castings::there;
use crate::http::input::{RequestContext, optionally};
use crate::http::limits::{MAX_SHARED, MIN_AMOUNT};
use crate::http::resources::Named;
use crate::http::resources::brews::STEPS_FOR_BATCH;
use crate::http::wire::{JsonPath, RequestErrors};
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// The parts of a balance that more than one question has.
#[derive(Clone, Copy)]
pub(in crate::http::resources) struct BalanceFields<'a> {
    pub as_of: Option<&'a str>,
    pub stock: &'a [StockRequest],
    pub demands: &'a [DemandRequest],
    pub sack: Option<&'a SackRequest>,
    pub enforce_application_to_harvest_interval: bool,
}

impl BalancesRequest {
    pub(in crate::http::resources) fn fields(&self) -> BalanceFields<'_> {
        let (stock, demands): (&[StockRequest], &[DemandRequest]) = (&self.stock, &self.demands);
        let enforce_application_to_harvest_interval = self.enforce_application_to_harvest_interval.unwrap_or(false);
        BalanceFields {
            as_of: self.as_of.as_deref(),
            stock,
            demands,
            sack: self.sack.as_ref(),
            enforce_application_to_harvest_interval,
        }
    }
}

/// Reads the request.
pub fn read(request: &BalancesRequest, context: &RequestContext<'_>) -> Option<ParsedBalance> {
    let mut read = request.fields().read(context).all()?;
    read.open_from_today(None);
    Some(read)
}

impl BalanceFields<'_> {
    /// How many lots, and demands each time they are asked, as far as can be seen ahead.
    pub fn items(&self, context: &RequestContext<'_>) -> usize {
        let errors = RequestErrors::default();
        let ahead = context.apart(&errors);
        self.demands.iter().map(|demand| demand.times(&ahead)).sum::<usize>().saturating_add(self.stock.len())
    }

    /// At most so much work it is to read and share, as far as can be seen ahead.
    pub fn work(&self, ahead: &RequestContext<'_>) -> Work {
        let (size, batches) = self.size(ahead);
        size.work().and(Work::of(batches, STEPS_FOR_BATCH))
    }

    /// How large the balance is, before any of its parts is made, and the batches of its brews.
    fn size(&self, ahead: &RequestContext<'_>) -> (Size, usize) {
        let (mut batches, mut parts, mut minimums) = (0_usize, 0_usize, 0_usize);
        for demand in self.demands {
            let (times, brewed) = demand.times_and_batches(ahead);
            batches = batches.saturating_add(brewed);
            parts = parts.saturating_add(parts_of(times, brewed));
            minimums = minimums.saturating_add(if demand.minimum.is_some() { times } else { 0 });
        }
        let size = Size {
            lots: self.stock.len(),
            parts,
            priorities: self.demands.iter().map(|demand| demand.priority.map(|p| p.0)).collect::<BTreeSet<_>>().len(),
            minimums,
            portions: self.demands.iter().any(|demand| demand.whole_portions == Some(true)),
            barred: self.enforce_application_to_harvest_interval,
        };
        (size, batches)
    }

    /// Reads stock, demands and sack, each as far as it can be read.
    pub fn read(&self, context: &RequestContext<'_>) -> ReadBalance {
        let root = JsonPath::root();
        let (stock_list, demand_list) = (root.field("stock"), root.field("demands"));
        context.unique_ids(self.stock.iter().map(StockRequest::id), stock_list);
        context.unique_ids(self.demands.iter().map(DemandRequest::id), demand_list);
        let as_of = context.day(self.as_of, root.field("as_of"));
        let sack = optionally(self.sack, |sack| {
            let found = context.amount_of_castings(&sack.capacity, MIN_AMOUNT, root.field("sack").field("capacity"));
            found.map(|holds| there(&holds).volume)
        });
        let stock: Vec<_> =
            self.stock.iter().enumerate().map(|(i, stock)| stock.read(i, context, stock_list.index(i))).collect();
        let (demands, few) = self.read_demands(context, demand_list);
        let read = ReadBalance { stock, demands, sack, as_of, fits: None };
        // What is wrong with several items together is reported beside what is wrong with one.
        let supply = context.keep(stock_list, total(read.lots().map(|lot| lot.amount)));
        let needed = context.keep(demand_list, total(read.requirements().map(Requirement::amount)));
        let dates = self.check_dates(context);
        let all_dates = dates.and_then(|()| context.keep(root, span(days(read.lots(), read.requirements()))));
        ReadBalance { fits: supply.and(needed).and(all_dates).and(few), ..read }
    }

    /// Reads the demands; those that come to more times and batches than are shared are not made.
    fn read_demands(
        &self,
        context: &RequestContext<'_>,
        list: JsonPath<'_>,
    ) -> (Vec<Option<(Requirement, Source)>>, Option<()>) {
        let unheard = RequestErrors::default();
        let ahead = context.apart(&unheard);
        let few_parts = few_parts(self.size(&ahead).0.parts, context, list);
        let few_minimums = minimum::count(self.demands, context, list);
        let mut room = MAX_SHARED;
        let mut read = |(i, demand): (usize, &DemandRequest)| {
            if few_parts.is_none() {
                let (times, brewed) = demand.times_and_batches(&ahead);
                room = room.checked_sub(parts_of(times, brewed))?;
            }
            let (mut requirement, source) = demand.read(context, list.index(i))?;
            if self.enforce_application_to_harvest_interval {
                requirement.enforce_application_to_harvest_interval();
            }
            Some((requirement, source))
        };
        let demands = self.demands.iter().enumerate().map(&mut read).collect();
        (demands, few_parts.and(few_minimums))
    }
}

impl DemandRequest {
    /// How many times it is asked, and the batches of its brew each time, as far as can be seen ahead.
    fn times_and_batches(&self, ahead: &RequestContext<'_>) -> (usize, usize) {
        (self.times(ahead), self.brew.as_ref().map_or(0, |brew| brew.batches(ahead)))
    }
}

/// At most so many parts has a demand that is asked so many times, with so many batches each time.
const fn parts_of(times: usize, brewed: usize) -> usize {
    times.saturating_mul(brewed.saturating_add(1))
}

/// Stock, demands and sack, each as far as it could be read.
pub(in crate::http::resources) struct ReadBalance {
    stock: Vec<Option<(Lot, Stocked)>>,
    demands: Vec<Option<(Requirement, Source)>>,
    sack: Option<Option<Millilitres>>,
    as_of: Option<Option<NaiveDate>>,
    /// Nothing where something is wrong with several of them together.
    fits: Option<()>,
}

impl ReadBalance {
    /// The lots that could be read.
    pub fn lots(&self) -> impl Iterator<Item = &Lot> {
        self.stock.iter().flatten().map(|(lot, _)| lot)
    }

    /// The demands that could be read.
    pub fn requirements(&self) -> impl Iterator<Item = &Requirement> + Clone {
        self.placed_requirements().map(|(_, requirement)| requirement)
    }

    /// The demands that could be read, each with its place in the list.
    pub fn placed_requirements(&self) -> impl Iterator<Item = (usize, &Requirement)> + Clone {
        self.demands.iter().enumerate().filter_map(|(i, demand)| Some((i, &demand.as_ref()?.0)))
    }

    /// Whether every demand could be read.
    pub fn has_all_demands(&self) -> bool {
        self.demands.iter().all(Option::is_some)
    }

    /// All of it; nothing where anything is wrong.
    pub fn all(self) -> Option<ParsedBalance> {
        let Self { stock, demands, sack, as_of, fits } = self;
        let (lots, stock) = stock.into_iter().collect::<Option<Vec<_>>>()?.into_iter().unzip();
        let (requirements, sources) = demands.into_iter().collect::<Option<Vec<_>>>()?.into_iter().unzip();
        fits?;
        Some(ParsedBalance { lots, stock, requirements, sources, sack: sack?, as_of: as_of? })
    }
}
