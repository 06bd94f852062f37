//! What to do on which day.

mod kind;

pub use kind::TaskKind;

use super::plan::{Season, SeasonPlan};
use crate::garden::balances::additional_production::{ProductionPlan, follows_90_percent};
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::balances::ledger::SackPurchase;
use crate::garden::balances::{Requirement, Served};
use crate::garden::beds::Forecast;
use crate::garden::brews::{Batch, Brew, DayOfBrew};
use crate::garden::units::quantity::OfVolume;
use crate::garden::units::{Estimate, Length, Mass, Millilitres, Volume};
use chrono::{DateTime, Days, FixedOffset, NaiveDate};
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// What comes next is the work of so many days. Source: how this service works.
const NEXT_DAYS: u64 = 30;

/// A piece of work. Amounts are those of the likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Task {
    /// The day, or the first of several.
    pub on: NaiveDate,
    /// The last of several.
    pub until: Option<NaiveDate>,
    /// What is done.
    pub kind: TaskKind,
    /// At which bed, and in which of its cycles, from 1.
    pub bed: Option<(usize, u32)>,
    /// Which layer of that cycle, from 1; those that a running bed had before count.
    pub layer: Option<u32>,
    /// For which demand.
    pub demand: Option<usize>,
    /// Of which lot of the stock.
    pub lot: Option<usize>,
    /// Of a demand that repeats, which time, from 1.
    pub occasion: Option<u32>,
    /// By volume: feed, castings, water, tea.
    pub volume: Option<Volume>,
    /// Of tea: its batches that are brewed or used.
    pub tea: Option<DayOfBrew>,
    /// By mass: feed, worms.
    pub mass: Option<Mass>,
    /// How deep a layer is when fresh.
    pub depth: Option<Length>,
    /// How many sacks.
    pub sacks: Option<u64>,
    /// Of a start, the dry matter of the feed to make.
    pub feed: Option<Mass>,
    /// True if a start is for a chance of 90 %, and not only at the likely values.
    pub sure: bool,
    /// The day by which what is produced or bought is wanted.
    pub by: Option<NaiveDate>,
    /// True if some of its castings count as raw manure.
    pub untreated: bool,
}

impl Task {
    /// Whether its last day is before today.
    #[must_use]
    pub fn is_overdue(&self, today: Option<NaiveDate>) -> bool {
        today.is_some_and(|today| self.until.unwrap_or(self.on) < today)
    }

    /// Its amount in each week, where it takes several.
    #[must_use]
    pub fn each_week(&self) -> Option<Volume> {
        let weeks = self.kind.weeks(self.on, self.until);
        self.volume.filter(|_| weeks > 1).map(|volume| volume.times(1.0 / f64::from(weeks)))
    }

    /// Water to brew a tea with, or to add to it before use.
    #[must_use]
    pub fn water(&self) -> Option<Volume> {
        let water = |tea: DayOfBrew| if self.kind == TaskKind::Brew { tea.water } else { tea.dilution_water };
        self.tea.map(water).filter(|water| water.litres() > 0.0)
    }

    /// The hour of a tea's first batch: when it is started, or when it is ready.
    fn at(&self) -> Option<DateTime<FixedOffset>> {
        let [first, _] = self.tea?.times?;
        Some(if self.kind == TaskKind::Brew { first.start } else { first.ready })
    }

    /// Whether the worms of the harvest before go onto what is laid.
    #[must_use]
    pub fn takes_worms_back(&self) -> bool {
        self.bed.zip(self.layer).is_some_and(|((_, cycle), layer)| takes_worms_back(cycle, layer))
    }

    fn new(on: NaiveDate, kind: TaskKind) -> Self {
        Self {
            on,
            until: None,
            kind,
            bed: None,
            layer: None,
            demand: None,
            lot: None,
            occasion: None,
            volume: None,
            tea: None,
            mass: None,
            depth: None,
            sacks: None,
            feed: None,
            sure: false,
            by: None,
            untreated: false,
        }
    }
}

/// Whether the worms of the harvest before go onto this layer of a cycle, both from 1.
#[must_use]
pub const fn takes_worms_back(cycle: u32, layer: u32) -> bool {
    cycle > 1 && layer == 1
}

/// The work of a season in order of its days; on one day in the order of [`TaskKind`], then of the lists.
/// `brews` has the tea of each demand that is one.
#[must_use]
pub fn work(
    season: &Season<'_>,
    (plan, brews): (&SeasonPlan, &[Option<&Brew>]),
    produce: &[ProductionPlan],
) -> Vec<Task> {
    let mut tasks = Vec::new();
    for (bed, (planned, forecast)) in season.beds.iter().zip(&plan.forecasts).enumerate() {
        // A running bed has its worms.
        let worms = forecast.worms.first().filter(|_| planned.bed.running.is_none());
        tasks.extend(worms.map(|worms| Task {
            bed: Some((bed, 1)),
            mass: Some(worms.mass.likely()),
            ..Task::new(planned.bed.start_on, TaskKind::IntroduceWorms)
        }));
        of_bed(bed, forecast, season.until, &mut tasks);
    }
    for (demand, of) in plan.requirements.iter().zip(&plan.balance.demands).enumerate() {
        let brew = brews.get(demand).copied().flatten();
        of_demand(of, &plan.lots, (brew, season.until, season.as_of), |task| {
            tasks.push(Task { demand: Some(demand), ..task })
        });
    }
    let sure = follows_90_percent(produce);
    tasks.extend(produce.iter().filter_map(|plan| production(plan, sure)));
    let buy = |purchase: &SackPurchase| {
        let by = purchase.by.unwrap_or(season.until);
        Task { sacks: Some(purchase.count), by: Some(by), ..Task::new(by, TaskKind::BuySacks) }
    };
    // What had to be bought before today is bought no more.
    let is_lost = |purchase: &&SackPurchase| purchase.by.zip(season.as_of).is_some_and(|(by, today)| by < today);
    tasks.extend(plan.balance.sacks.iter().filter(|purchase| !is_lost(purchase)).map(buy));
    tasks.extend(unused(season, plan));
    tasks.sort_by_key(|task| {
        // What is brewed and used on one day is in the order of its hours; what is ready is used before the next is started.
        let (kind, at) = (task.kind.min(TaskKind::Brew), task.at());
        let place = (task.lot, task.bed, task.layer, task.demand, task.occasion);
        (task.on, kind, place, at, at.map(|_| Reverse(task.kind)), task.kind)
    });
    tasks
}

/// What is done for a demand: castings are applied, a tea is brewed and used.
fn of_demand(
    (asked, served): (&Requirement, &Served),
    lots: &[Lot],
    (brew, until, today): (Option<&Brew>, NaiveDate, Option<NaiveDate>),
    mut done: impl FnMut(Task),
) {
    let mut days: BTreeMap<(NaiveDate, usize), (Millilitres, bool)> = BTreeMap::new();
    for allotment in &served.allocations {
        // What may be taken on any day is taken on the last on which it may, or on the last of the season.
        let on = allotment.on.or_else(|| asked.last_day_of(allotment, lots, today)).unwrap_or(until);
        let (sum, untreated) = days.entry((on, allotment.part)).or_default();
        *sum = crate::garden::balances::add(*sum, allotment.amount);
        *untreated |= lots.get(allotment.lot).is_some_and(|lot| lot.untreated);
    }
    let by_day: Vec<Vec<&Batch>> = brew.map(|brew| brew.by_day().into_values().collect()).unwrap_or_default();
    // The share of each part whose castings came on days before.
    let mut made: BTreeMap<usize, f64> = BTreeMap::new();
    for ((on, place), (amount, untreated)) in days {
        let Some(part) = asked.parts.get(place) else { continue };
        let (occasion, volume) = (Some(part.occasion).filter(|time| *time > 0), Some(amount.volume()));
        // Each time has the same days.
        let batches = place.checked_rem(by_day.len()).and_then(|day| by_day.get(day));
        let Some((brew, batches)) = brew.zip(batches) else {
            done(Task { occasion, volume, untreated, ..Task::new(on, TaskKind::Apply) });
            continue;
        };
        let made = made.entry(place).or_default();
        let from = std::mem::replace(made, *made + amount.volume().litres() / part.amount.volume().litres());
        let day = DayOfBrew::of(brew, batches, (on, [from, *made]));
        let tea = Some(day);
        done(Task { occasion, volume, tea, untreated, ..Task::new(on, TaskKind::Brew) });
        let until = Some(day.use_by).filter(|last| *last != day.ready_on);
        let used = Task::new(day.ready_on, TaskKind::UseTea);
        done(Task { occasion, volume: Some(day.tea), until, tea, untreated, ..used });
    }
}

/// The days of the work that comes next, first and last: from `today`, else from the first of these tasks.
#[must_use]
pub fn next_days(tasks: &[Task], today: Option<NaiveDate>) -> Option<(NaiveDate, NaiveDate)> {
    let first = today.or_else(|| tasks.first().map(|task| task.on))?;
    let last = first.checked_add_days(Days::new(NEXT_DAYS))?.pred_opt()?;
    Some((first, last))
}

/// The last days of lots of the stock of which some is not drawn by then, from today on.
fn unused<'a>(season: &'a Season<'_>, plan: &'a SeasonPlan) -> impl Iterator<Item = Task> + 'a {
    plan.lots.iter().zip(&plan.balance.stock).filter_map(|(lot, state)| {
        let LotSource::Stock(index) = lot.source else { return None };
        let is_ahead = |last: &NaiveDate| season.as_of.is_none_or(|today| today <= *last);
        let on = lot.window.last.filter(is_ahead).filter(|_| state.expired > Millilitres::ZERO)?;
        let volume = Some(state.expired.volume());
        Some(Task { lot: Some(index), volume, ..Task::new(on, TaskKind::UseLot) })
    })
}

/// The last day to begin, with what to make; none where it is too late.
fn production(plan: &ProductionPlan, sure: bool) -> Option<Task> {
    let batch = if sure { plan.at_90_percent.as_ref()? } else { &plan.likely };
    let on = batch.start_on.filter(|_| batch.is_in_time())?;
    let (volume, by) = (Some(batch.castings.volume()), Some(plan.shortfall.by));
    Some(Task { volume, by, feed: Some(batch.feed), sure, ..Task::new(on, TaskKind::StartProduction) })
}

fn of_bed(bed: usize, forecast: &Forecast, until: NaiveDate, tasks: &mut Vec<Task>) {
    for laid in &forecast.layers {
        tasks.push(Task {
            bed: Some((bed, laid.cycle)),
            layer: Some(laid.number),
            volume: Some(laid.volume.likely()),
            mass: Some(laid.mass.likely()),
            depth: Some(laid.depth.likely()),
            ..Task::new(laid.on, TaskKind::LayFeed)
        });
    }
    for period in &forecast.water {
        let cycle = forecast.layers.iter().rev().find(|laid| laid.on <= period.from).map_or(1, |laid| laid.cycle);
        let litres: Estimate<OfVolume> = period.to_add;
        if litres.likely().litres() > 0.0 {
            tasks.push(Task {
                // A forecast ends on the morning after the last day.
                until: Some(period.to.min(until)),
                bed: Some((bed, cycle)),
                volume: Some(litres.likely()),
                ..Task::new(period.from, TaskKind::Water)
            });
        }
    }
    for lot in &forecast.lots {
        let at = |on, kind, volume| Task { bed: Some((bed, lot.cycle)), volume, ..Task::new(on, kind) };
        tasks.extend(lot.let_finish_on.map(|on| at(on, TaskKind::LetFinish, None)));
        tasks.push(at(lot.finished_on, TaskKind::Harvest, Some(lot.in_bed.likely())));
        tasks.push(at(lot.ready.likely, TaskKind::SieveAndStore, Some(lot.yields.castings.likely())));
    }
}
