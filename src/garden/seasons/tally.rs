//! What is written down of each run, and what that comes to.

use super::chances::{Chances, LotChance, MeasureFirst, Percentiles, PlanChances, ReadyOn};
use super::days::NEVER;
use super::drawn::{Amounts, DrawnSeason};
use super::plan::{Season, SeasonPlan};
use super::supply::{Account, Lots, Sheet, add, lot_of_cycle, run_up};
use super::worst::Margins;
use crate::garden::draws::{Variable, first_order_share, percentiles};
use chrono::{Days, NaiveDate};

/// Shares of variance below this are not reported. Source: how this service works.
const MIN_SHARE: f64 = 0.05;
/// The most dates at which castings ready are reported. Source: limit of this service.
const MAX_STEPS: i64 = 104;
/// The most of those dates x runs: each holds a number until the end. Source: limit of this service.
const MAX_HELD: i64 = 2_000_000;
/// Days between those dates, where the season is short enough. Source: how this service works.
const STEP_DAYS: i64 = 7;

/// What is written down of each run.
pub(super) struct Tally {
    /// The margins, of which those of the worst day are reported.
    margins: Margins,
    /// The lots of the plan that come of a bed.
    lots: Vec<LotRecord>,
    steps: Vec<NaiveDate>,
    days: Vec<f64>,
    /// The first of these days on which each lot of the stock is there.
    stock: Vec<usize>,
    come: Vec<f64>,
    ready: Vec<Vec<f64>>,
}

/// Ready days and amounts of a lot from a bed.
struct LotRecord {
    bed: usize,
    /// From 1.
    cycle: u32,
    days: Vec<f64>,
    amounts: Vec<f64>,
}

impl Tally {
    /// Before the first run; `likely` is the account at the likely values.
    pub fn new(plan: &SeasonPlan, (sheet, likely): (&Sheet, &Account), (season, runs): (&Season<'_>, u32)) -> Self {
        let steps = steps(season, sheet, i64::from(runs));
        let capacity = usize::try_from(runs).unwrap_or(0);
        let empty = || Vec::with_capacity(capacity);
        let record = |(bed, cycle)| LotRecord { bed, cycle, days: empty(), amounts: empty() };
        let from = |first: Option<NaiveDate>| first.map_or(0, |day| steps.partition_point(|step| *step < day));
        let passed = season.as_of.map_or(0, |today| sheet.dates.partition_point(|last| *last < today));
        Self {
            margins: Margins::new(&likely.margins, passed),
            lots: plan.bed_lots().map(record).collect(),
            days: steps.iter().map(|date| sheet.days.day(*date)).collect(),
            stock: season.stock.iter().map(|(lot, _)| from(lot.window.first)).collect(),
            come: vec![0.0; steps.len()],
            ready: steps.iter().map(|_| Vec::with_capacity(capacity)).collect(),
            steps,
        }
    }

    pub fn take(&mut self, (amounts, beds): (&Amounts, &Lots), account: &Account) {
        self.margins.take(&account.margins);
        self.come.fill(0.0);
        for (place, amount) in self.stock.iter().zip(&amounts.stock) {
            add(&mut self.come, *place, *amount);
        }
        for (ready, amount) in beds.iter().flatten() {
            add(&mut self.come, self.days.partition_point(|day| day < ready), *amount);
        }
        run_up(&mut self.come);
        for (list, come) in self.ready.iter_mut().zip(&self.come) {
            list.push(*come);
        }
        for LotRecord { bed, cycle, days, amounts } in &mut self.lots {
            let (day, amount) = lot_of_cycle(beds, *bed, *cycle).unwrap_or((NEVER, 0.0));
            days.push(day);
            amounts.push(amount);
        }
    }

    pub fn chances(
        self,
        (sheet, plan): (&Sheet, PlanChances),
        (draws, season): (&DrawnSeason, &Season<'_>),
        seed: u64,
    ) -> Chances {
        let (worst, margin) = self.margins.worst().unzip();
        let measure_first = what_to_measure(draws, margin.as_deref().unwrap_or_default(), seed);
        let lots = self.lots.into_iter().map(|LotRecord { bed, cycle, days, amounts }| LotChance {
            bed,
            cycle,
            ready: dates(days, sheet, season.until),
            litres: litres(amounts),
        });
        let ready = self.steps.iter().zip(self.ready);
        Chances {
            seed,
            plan,
            lots: lots.collect(),
            ready: ready.map(|(date, values)| ReadyOn { date: *date, litres: litres(values) }).collect(),
            worst_on: worst.and_then(|worst| sheet.dates.get(worst).copied()),
            margin: margin.map(litres),
            measure_first,
        }
    }
}

/// Even steps over the season, with its last day; wider ones for many runs.
fn steps(season: &Season<'_>, sheet: &Sheet, runs: i64) -> Vec<NaiveDate> {
    let starts = season.beds.iter().map(|bed| bed.bed.start_on);
    let stock = season.stock.iter().filter_map(|(lot, _)| lot.window.first);
    let first = starts.chain(stock).chain(sheet.dates.iter().copied()).min().unwrap_or(season.until);
    let span = season.until.signed_duration_since(first).num_days().max(0);
    let most = MAX_STEPS.min(MAX_HELD / runs.max(1)).max(1);
    let step = (span / most + 1).max(STEP_DAYS);
    let step = Days::new(u64::try_from(step).unwrap_or(1));
    let mut dates = Vec::new();
    let mut next = Some(first);
    while let Some(date) = next.filter(|date| *date < season.until) {
        dates.push(date);
        next = date.checked_add_days(step);
    }
    dates.push(season.until);
    dates
}

fn three(mut values: Vec<f64>, nothing: f64) -> Percentiles<f64> {
    let [p10, p50, p90] = percentiles(&mut values, [10, 50, 90]).unwrap_or([nothing; 3]);
    Percentiles { p10, p50, p90 }
}

fn litres(millilitres: Vec<f64>) -> Percentiles<f64> {
    let found = three(millilitres, 0.0);
    Percentiles { p10: found.p10 / 1000.0, p50: found.p50 / 1000.0, p90: found.p90 / 1000.0 }
}

fn dates(days: Vec<f64>, sheet: &Sheet, until: NaiveDate) -> Percentiles<Option<NaiveDate>> {
    let found = three(days, NEVER);
    let date = |day: f64| (day < NEVER).then(|| sheet.days.date(day)).filter(|date| *date <= until);
    Percentiles { p10: date(found.p10), p50: date(found.p50), p90: date(found.p90) }
}

fn what_to_measure(draws: &DrawnSeason, margin: &[f64], seed: u64) -> Vec<MeasureFirst> {
    // The weather of a month cannot be known beforehand.
    let is_measurable = |(_, variable): &(usize, &Variable)| !matches!(variable, Variable::Weather(_));
    let all = draws.variables.all().iter().enumerate().filter(is_measurable);
    let mut found: Vec<MeasureFirst> = all
        .map(|(column, variable)| {
            let x = draws.variables.column(seed, column, margin.len());
            MeasureFirst { variable: *variable, share: first_order_share(&x, margin) }
        })
        .filter(|measure| measure.share >= MIN_SHARE)
        .collect();
    found.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.variable.cmp(&b.variable)));
    found
}
