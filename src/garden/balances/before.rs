//! What is given otherwise than planned before castings come that are bought or produced, so that with them everybody gets all.

use super::additional_production::ProductionPlan;
use super::allocation::{DatedShortfall, Lot, Window, allocate};
use super::ledger::lost_and_rest;
use super::options::{OptionKind, Situation};
use super::{Balance, Part, Requirement, flatten};
use crate::garden::units::Millilitres;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// What is given otherwise than planned before the first new castings come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BeforeSupply {
    /// The first day on which anybody gets another amount than planned.
    pub from: NaiveDate,
    /// The day on which the first of the new castings come; `None` where any day will do.
    pub until: Option<NaiveDate>,
    /// The places of the demands that have to get all before that day, and get less in the plan.
    pub in_full: Vec<usize>,
    /// The places of those that get less before that day than in the plan, and the rest later.
    pub waiting: Vec<usize>,
}

impl Situation<'_> {
    /// Answers "who has to get more than planned before the castings of this option come?"; `None` where that is nobody, or where none come.
    ///
    /// With the new castings the stock is shared out anew: the first day is the one on which that differs from the plan. What may be given on
    /// any day counts on the last day of its demand.
    #[must_use]
    pub fn before(&self, kind: OptionKind, lots: &[Lot], plans: &[ProductionPlan]) -> Option<BeforeSupply> {
        self.before_supply(&self.supply(kind, plans), lots)
    }

    /// The same of castings that come by these days.
    #[must_use]
    pub fn before_supply(&self, supply: &[DatedShortfall], lots: &[Lot]) -> Option<BeforeSupply> {
        let until = supply.iter().map(|of| of.by).min_by_key(|by| by.unwrap_or(NaiveDate::MAX))?;
        let first = until.unwrap_or(NaiveDate::MAX);
        let planned = AmountsByDay::planned(self.requirements, self.balance);
        let is_early = |part: &Part| part.window.last.is_some_and(|last| last < first && Some(last) >= self.as_of);
        let mut short = parts(self.requirements)
            .filter(|(place, part)| is_early(part) && planned.of(*place) < part.amount.get())
            .peekable();
        // Where no such demand is short, nothing has to change, and nothing is shared out anew.
        short.peek()?;
        let changed = AmountsByDay::with(supply, (lots, self.requirements));
        let in_full = short.filter(|(place, part)| changed.of(*place) == part.amount.get());
        let mut in_full: Vec<usize> = in_full.map(|((demand, _), _)| demand).collect();
        in_full.dedup();
        let differences = changed.beyond(&planned, first);
        let from = differences.values().filter_map(|of| of.first).min()?.max(self.as_of.unwrap_or(NaiveDate::MIN));
        let waiting = differences.iter().filter(|(_, of)| of.sum < 0).map(|(demand, _)| *demand).collect();
        (!in_full.is_empty()).then_some(BeforeSupply { from, until, in_full, waiting })
    }

    /// What an option adds to the stock, by the day on which it comes.
    fn supply(&self, kind: OptionKind, plans: &[ProductionPlan]) -> Vec<DatedShortfall> {
        let produced = |is_made: fn(&ProductionPlan) -> bool| {
            let made = plans.iter().filter(|plan| is_made(plan)).map(|plan| plan.shortfall);
            made.map(|made| DatedShortfall { by: Some(made.by), amount: made.amount }).collect()
        };
        match kind {
            OptionKind::ProRataShare | OptionKind::LaterSupply => Vec::new(),
            OptionKind::Sacks => {
                let (_, rest) = lost_and_rest(&self.balance.shortfalls, self.as_of);
                let by = rest.first().and_then(|first| first.by);
                rest.into_iter().map(|short| DatedShortfall { by, ..short }).collect()
            }
            OptionKind::AdditionalProduction => produced(|plan| plan.likely.is_in_time()),
            OptionKind::AdditionalProductionAt90Percent => {
                produced(|plan| plan.at_90_percent.is_some_and(|batch| batch.is_in_time()))
            }
        }
    }
}

/// Every part of every demand, with its place.
fn parts(requirements: &[Requirement]) -> impl Iterator<Item = (Place, &Part)> {
    let all = requirements.iter().enumerate();
    all.flat_map(|(demand, of)| of.parts.iter().enumerate().map(move |(i, part)| ((demand, i), part)))
}

/// The place of a demand, and of a part in it.
type Place = (usize, usize);

/// What each part of each demand is given on which day.
struct AmountsByDay(BTreeMap<Place, BTreeMap<Option<NaiveDate>, u64>>);

/// How what a demand is given before a day differs between two plans.
#[derive(Default)]
struct Difference {
    /// The first day on which it differs.
    first: Option<NaiveDate>,
    /// How much more it is in all.
    sum: i128,
}

impl AmountsByDay {
    /// By the plan.
    fn planned(requirements: &[Requirement], balance: &Balance) -> Self {
        let mut given = Self(BTreeMap::new());
        for (owner, served) in balance.demands.iter().enumerate() {
            for allotment in &served.allocations {
                given.note(requirements, (owner, allotment.part), (allotment.on, allotment.amount));
            }
        }
        given
    }

    /// With more castings, from their days on.
    fn with(supply: &[DatedShortfall], (lots, requirements): (&[Lot], &[Requirement])) -> Self {
        let added = supply.iter().map(|part| Lot {
            amount: part.amount,
            // What may come on any day comes last.
            window: Window { first: part.by.or(Some(NaiveDate::MAX)), last: None },
            ..Lot::default()
        });
        let all: Vec<Lot> = lots.iter().copied().chain(added).collect();
        let (demands, _) = flatten(requirements);
        let places: Vec<Place> = parts(requirements).map(|(place, _)| place).collect();
        let mut given = Self(BTreeMap::new());
        for allotment in allocate(&all, &demands).allotments {
            if let Some(place) = places.get(allotment.demand) {
                given.note(requirements, *place, (allotment.on, allotment.amount));
            }
        }
        given
    }

    fn note(&mut self, requirements: &[Requirement], place: Place, (on, amount): (Option<NaiveDate>, Millilitres)) {
        let part = requirements.get(place.0).and_then(|of| of.parts.get(place.1));
        let on = on.or_else(|| part.and_then(|part| part.window.last));
        let sum = self.0.entry(place).or_default().entry(on).or_default();
        *sum = sum.saturating_add(amount.get());
    }

    /// What a part is given in all.
    fn of(&self, place: Place) -> u64 {
        self.0.get(&place).map_or(0, |days| days.values().sum())
    }

    /// What each demand is given beyond another plan before a day.
    fn beyond(&self, other: &Self, before: NaiveDate) -> BTreeMap<usize, Difference> {
        let mut by_day: BTreeMap<(usize, NaiveDate), i128> = BTreeMap::new();
        for (given, sign) in [(self, 1), (other, -1)] {
            let allotments =
                given.0.iter().flat_map(|(place, days)| days.iter().map(move |(on, amount)| (place.0, *on, *amount)));
            for (owner, on, amount) in allotments {
                if let Some(on) = on.filter(|on| *on < before) {
                    *by_day.entry((owner, on)).or_default() += sign * i128::from(amount);
                }
            }
        }
        let mut differences: BTreeMap<usize, Difference> = BTreeMap::new();
        for ((owner, on), amount) in by_day.into_iter().filter(|(_, amount)| *amount != 0) {
            let difference = differences.entry(owner).or_default();
            difference.first = difference.first.or(Some(on));
            difference.sum += amount;
        }
        differences
    }
}
