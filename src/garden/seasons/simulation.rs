//! Many runs of a season: the plan stays as it was printed, dates and amounts come out otherwise.

use super::chances::{Chances, DateChance, LotChance, MeasureFirst, Percentiles, ReadyOn};
use super::plan::{Amounts, DrawnSeason, Season, SeasonPlan};
use super::promise::Promises;
use super::supply::{Account, HALF, Lots, Sheet, add, of_bed, run_up};
use crate::garden::beds::{BandDrawn, Clock, Clocks, Outcome};
use crate::garden::draws::{Run, first_order_share, percentiles};
use crate::garden::refusal::Refusal;
use chrono::{Days, NaiveDate};

/// Shares of variance below this are not reported. Source: how this service works.
const LEAST_SHARE: f64 = 0.05;
/// The most dates at which castings ready are reported. Source: limit of this service.
const MOST_STEPS: i64 = 104;
/// The most of those dates x runs: each holds a number until the end. Source: limit of this service.
const MOST_HELD: i64 = 2_000_000;
/// Days between those dates, where the season is short enough. Source: how this service works.
const STEP_DAYS: i64 = 7;
/// Later than every date. Source: how this service works.
pub(super) const NEVER: f64 = f64::INFINITY;

/// Answers "how sure is that?" by drawing every uncertain value anew in each run, once for all that depend on it
/// ([`crate::garden::draws`]).
///
/// Chance of enough by a date: the share of runs in which, on every due date up to it, castings ready are at least castings
/// needed by then. Chance of a demand: the draws of the plan are kept; each counts if its lot is ready by the last day of the
/// demand, and a lot that gives less than planned serves its draws in the order of the plan; what is asked by mass is weighed out.
/// What to measure first: the first-order share of the variance of the margin (ready less wanted) on the date on which it is least
/// at the likely values.
///
/// # Errors
/// What the plan refuses.
pub fn simulate(season: &Season<'_>, plan: &SeasonPlan, (runs, seed): (u32, u64)) -> Result<Chances, Refusal> {
    let draws = DrawnSeason::new(season, plan)?;
    let sheet = Sheet::new(season, plan, &draws);
    let stage = Stage { season, draws: &draws, sheet: &sheet, groups: Groups::new(season, &draws) };
    let mut promises = Promises::new(plan, &draws, |date| sheet.day(date));
    let likely = draws.likely();
    let mut played = Played { amounts: likely.clone(), account: sheet.account(&likely), beds: Lots::new() };
    stage.play(&Run::LIKELY, &mut played);
    let mut tally = Tally::new(plan, &sheet, (season, runs));
    tally.worst = worst(&played.account.margins);
    draws.variables.each_run(seed, (0, runs), |_, run| {
        stage.play(run, &mut played);
        tally.take(&played);
        promises.keep((&draws, run), (&played.amounts, &played.beds), &mut tally.demands);
    });
    Ok(tally.chances((&sheet, &likely), (&draws, season), (runs, seed)))
}

/// What came of a run; the room is used again for the next.
struct Played {
    amounts: Amounts,
    beds: Lots,
    account: Account,
}

/// The date with the least margin; the last of equals, on which more is uncertain.
fn worst(margins: &[f64]) -> Option<usize> {
    let mut least: Option<(usize, f64)> = None;
    for (i, margin) in margins.iter().enumerate() {
        if least.is_none_or(|(_, other)| *margin <= other) {
            least = Some((i, *margin));
        }
    }
    least.map(|(i, _)| i)
}

/// Beds that share a climate and what is known of the temperatures share a clock.
struct Groups<'a> {
    of_bed: Vec<usize>,
    clocks: Vec<(&'a Clocks, BandDrawn)>,
}

impl<'a> Groups<'a> {
    fn new(season: &Season<'a>, draws: &DrawnSeason) -> Self {
        let mut groups = Self { of_bed: Vec::new(), clocks: Vec::new() };
        for (bed, band) in season.beds.iter().zip(&draws.bands) {
            let same = |(clocks, other): &(&Clocks, BandDrawn)| std::ptr::eq(*clocks, bed.clocks) && other == band;
            let place = groups.clocks.iter().position(same).unwrap_or_else(|| {
                groups.clocks.push((bed.clocks, *band));
                groups.clocks.len() - 1
            });
            groups.of_bed.push(place);
        }
        groups
    }
}

/// What every run is played on.
struct Stage<'a> {
    season: &'a Season<'a>,
    draws: &'a DrawnSeason,
    sheet: &'a Sheet,
    groups: Groups<'a>,
}

impl Stage<'_> {
    fn play(&self, run: &Run<'_>, played: &mut Played) {
        self.outcomes(run, &mut played.beds);
        played.amounts.draw(self.draws, run);
        self.sheet.margins(&played.amounts, &played.beds, &mut played.account);
    }

    /// What the beds give in a run.
    fn outcomes(&self, run: &Run<'_>, lots: &mut Lots) {
        let own: Vec<Option<Clock>> = self.groups.clocks.iter().map(|(clocks, band)| band.clock(clocks, run)).collect();
        lots.resize_with(self.draws.beds.len(), Vec::new);
        let beds = self.season.beds.iter().zip(&self.draws.beds).zip(&self.groups.of_bed);
        for (((bed, simulator), group), cycles) in beds.zip(lots) {
            let clock = own.get(*group).and_then(Option::as_ref).unwrap_or(bed.clocks.likely());
            let first = self.sheet.day(bed.clocks.first());
            cycles.clear();
            simulator.run(run, (bed.clocks, clock), |_, outcome: Outcome| {
                let ready = outcome.ready.map_or(NEVER, |ready| first + ready);
                cycles.push((ready, (outcome.litres * 1000.0).round_ties_even()));
            });
        }
    }
}

/// What is written down of each run.
struct Tally {
    worst: Option<usize>,
    enough: Vec<u32>,
    demands: Vec<u32>,
    /// The lots of the plan that come of a bed.
    lots: Vec<LotRecord>,
    steps: Vec<NaiveDate>,
    days: Vec<f64>,
    /// The first of these days on which each lot of the stock is there.
    stock: Vec<usize>,
    come: Vec<f64>,
    ready: Vec<Vec<f64>>,
    margin: Vec<f64>,
}

/// Ready days and amounts of a lot that comes of a bed.
struct LotRecord {
    bed: usize,
    /// From 1.
    cycle: u32,
    days: Vec<f64>,
    amounts: Vec<f64>,
}

impl Tally {
    fn new(plan: &SeasonPlan, sheet: &Sheet, (season, runs): (&Season<'_>, u32)) -> Self {
        let steps = steps(season, sheet, i64::from(runs));
        let room = usize::try_from(runs).unwrap_or(0);
        let empty = || Vec::with_capacity(room);
        let record = |(bed, cycle)| LotRecord { bed, cycle, days: empty(), amounts: empty() };
        let from = |first: Option<NaiveDate>| first.map_or(0, |day| steps.partition_point(|step| *step < day));
        Self {
            worst: None,
            enough: vec![0; sheet.dates.len()],
            demands: vec![0; plan.requirements.len()],
            lots: plan.bed_lots().map(record).collect(),
            days: steps.iter().map(|date| sheet.day(*date)).collect(),
            stock: season.stock.iter().map(|(lot, _)| from(lot.window.first)).collect(),
            come: vec![0.0; steps.len()],
            ready: steps.iter().map(|_| Vec::with_capacity(room)).collect(),
            steps,
            margin: Vec::with_capacity(room),
        }
    }

    fn take(&mut self, played: &Played) {
        let margins = &played.account.margins;
        for (enough, _) in self.enough.iter_mut().zip(margins).take_while(|(_, margin)| **margin >= -HALF) {
            *enough += 1;
        }
        self.margin.extend(self.worst.and_then(|worst| margins.get(worst)));
        self.come.fill(0.0);
        for (place, amount) in self.stock.iter().zip(&played.amounts.stock) {
            add(&mut self.come, *place, *amount);
        }
        for (ready, amount) in played.beds.iter().flatten() {
            add(&mut self.come, self.days.partition_point(|day| day < ready), *amount);
        }
        run_up(&mut self.come);
        for (list, come) in self.ready.iter_mut().zip(&self.come) {
            list.push(*come);
        }
        for LotRecord { bed, cycle, days, amounts } in &mut self.lots {
            let (day, amount) = of_bed(&played.beds, *bed, *cycle).unwrap_or((NEVER, 0.0));
            days.push(day);
            amounts.push(amount);
        }
    }

    fn chances(
        self,
        (sheet, likely): (&Sheet, &Amounts),
        (draws, season): (&DrawnSeason, &Season<'_>),
        (runs, seed): (u32, u64),
    ) -> Chances {
        let measure_first = what_to_measure(draws, &self.margin, seed);
        let wanted = sheet.wanted(likely);
        let by_date = sheet.dates.iter().zip(wanted).zip(&self.enough);
        let lots = self.lots.into_iter().map(|LotRecord { bed, cycle, days, amounts }| LotChance {
            bed,
            cycle,
            ready: dates(days, sheet, season.until),
            litres: litres(amounts),
        });
        let ready = self.steps.iter().zip(self.ready);
        Chances {
            runs,
            seed,
            by_date: by_date
                .map(|((date, wanted), enough)| DateChance { date: *date, wanted: wanted / 1000.0, enough: *enough })
                .collect(),
            demands: self.demands,
            lots: lots.collect(),
            ready: ready.map(|(date, values)| ReadyOn { date: *date, litres: litres(values) }).collect(),
            worst_on: self.worst.and_then(|worst| sheet.dates.get(worst).copied()),
            margin: self.worst.map(|_| litres(self.margin)),
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
    let most = MOST_STEPS.min(MOST_HELD / runs.max(1)).max(1);
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
    let date = |day: f64| (day < NEVER).then(|| sheet.date(day)).filter(|date| *date <= until);
    Percentiles { p10: date(found.p10), p50: date(found.p50), p90: date(found.p90) }
}

fn what_to_measure(draws: &DrawnSeason, margin: &[f64], seed: u64) -> Vec<MeasureFirst> {
    let all = draws.variables.all().iter().enumerate();
    let mut found: Vec<MeasureFirst> = all
        .map(|(column, variable)| {
            let x = draws.variables.column(seed, column, margin.len());
            MeasureFirst { variable: *variable, share: first_order_share(&x, margin) }
        })
        .filter(|one| one.share >= LEAST_SHARE)
        .collect();
    found.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.variable.cmp(&b.variable)));
    found
}
