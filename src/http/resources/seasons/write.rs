//! Writing the answer.

use super::answer::{SeasonsAnswer, SeasonsPart};
use super::chances::{chance_enough, chances_out, in_words, measure_first, percentiles, share};
use super::next;
use super::options::Compared;
use super::reach::reach_90_percent;
use super::read::Read;
use super::request::SeasonsRequest;
use super::work_list::work_list;
use crate::garden::assumptions::{Assumed, Castings, Known};
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::balances::figures::{BalanceFigures, LotFigures};
use crate::garden::balances::lot_analysis::of_harvest;
use crate::garden::draws::shown_chance;
use crate::garden::seasons::work::Task;
use crate::garden::seasons::{self, Chances, LotChance, Season, SeasonPlan};
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{Role, View};
use crate::http::output::skipped::with_left_out;
use crate::http::output::{Echo, Report};
use crate::http::resources::balances::{BalanceParts, Balanced, Labels, PlannedProduction, series};
use crate::http::resources::chances::DatePercentiles;
use crate::http::resources::harvests::ForecastOut;
use crate::http::resources::season_beds::{SeasonBedOut, SeasonLotOut};
use crate::http::resources::{ReferenceOut, close};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

/// What the core made of a season.
pub struct Computed<'a> {
    pub season: Season<'a>,
    pub plan: SeasonPlan,
    pub chances: Option<Chances>,
    pub production: Option<PlannedProduction>,
    /// What to do on which day.
    pub tasks: Vec<Task>,
    /// What the runs tell of the options.
    pub compared: Compared,
}

/// Writes the answer.
pub fn write(
    request: &SeasonsRequest,
    (read, computed): (&Read, &Computed<'_>),
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> SeasonsAnswer {
    let beds = beds(request);
    let labels = labels(request, &beds);
    let mut report = Report::of_castings();
    let (wanted, stock) = read.asked.amounts();
    let figures = computed.plan.figures((&wanted, &stock), read.asked.as_of, view.book());
    let worm_beds = bed_list(request, (read, computed, &figures), &mut report, (context, view));
    let ledger = ledger(&labels, (read, computed, &figures), &mut report, (context, view));
    let planned = (&computed.season, &computed.plan, computed.production.as_ref());
    let (tasks, chances) = (computed.tasks.as_slice(), computed.chances.as_ref());
    let sure = chances.map(|of| in_words(&of.plan, view));
    let (balance, days) = (&computed.plan.balance, (Some(read.until), ledger.first_short_on()));
    let series = series(balance, (&read.asked.requirements, &computed.plan.lots), days, view);
    let part = SeasonsPart {
        headline: with_left_out(ledger.headline(sure.as_deref()), &context.skipped),
        next: Vec::new(),
        work: work_list(tasks, (&labels, &ledger), (read, planned, view)),
        as_of: read.asked.as_of,
        until: read.until,
        chance_enough: chances.and_then(|of| chance_enough(&of.plan, view)),
        total: ledger.total,
        pro_rata_share: ledger.pro_rata_share,
        first_shortfall_on: ledger.first_shortfall_on,
        worm_beds,
        demands: ledger.demands,
        stock: ledger.stock,
        opening_stock: ledger.opening_stock,
        by_date: ledger.by_date,
        series,
        chances: chances.map(|of| chances_out(of, view)),
        measure_first: chances.map(|of| measure_first(of, &labels, view)).unwrap_or_default(),
        shortfall_options: ledger.shortfall_options,
        variants: Vec::new(),
    };
    finish(request, (part, report), (tasks, read.asked.as_of), (context, view))
}

/// What everything in a request is called.
fn labels<'a>(request: &'a SeasonsRequest, beds: &'a [ReferenceOut]) -> Labels<'a> {
    let stock = request.stock.as_deref().unwrap_or_default();
    Labels { stock, demands: &request.demands, sack: request.sack.as_ref(), beds }
}

/// Puts the part of a season into its answer, with what to do next.
fn finish(
    request: &SeasonsRequest,
    (part, report): (SeasonsPart, Report),
    (tasks, today): (&[Task], Option<NaiveDate>),
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> SeasonsAnswer {
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    let mut answer = close(echo, part, report, (context, view));
    answer.revision = request.revision.and_then(|revision| u32::try_from(revision.0).ok());
    next::complete(&mut answer, tasks, today);
    answer
}

/// What the beds of a request are called.
fn beds(request: &SeasonsRequest) -> Vec<ReferenceOut> {
    let items = request.worm_beds.as_deref().unwrap_or_default();
    (0..items.len()).map(|bed| ReferenceOut::to(items, bed)).collect()
}

/// The balance of the season, with the chances of its demands and what to produce.
fn ledger(
    labels: &Labels<'_>,
    (read, computed, figures): (&Read, &Computed<'_>, &BalanceFigures),
    report: &mut Report,
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> BalanceParts {
    let plan = &computed.plan;
    let harvests = harvests(read, plan, context);
    let (asked, lots, balance) = (&read.asked, plan.lots.as_slice(), &plan.balance);
    let balanced = Balanced { labels, asked, lots, balance, figures, harvests: &harvests };
    let mut ledger = balanced.parts(computed.production.as_ref(), report, (context, view));
    if let Some(chances) = &computed.chances {
        for (demand, of) in ledger.demands.iter_mut().zip(&chances.plan.demands) {
            let chance = |runs| Some(share(shown_chance(runs, chances.plan.runs), view));
            (demand.chance_full, demand.chance_allocated) = (chance(of.full), chance(of.allocated));
        }
    }
    if let Some(chances) = &computed.chances {
        for option in &mut ledger.shortfall_options.options {
            let played = computed.compared.options.iter().find(|(kind, _)| kind.as_str() == option.kind);
            option.chance_enough = played.map(|(_, enough)| share(shown_chance(*enough, chances.plan.runs), view));
        }
    }
    let found = (&computed.compared, computed.production.as_ref(), plan);
    reach_90_percent(&mut ledger, labels, found, (read, view));
    ledger.without_manure(&plan.lots, report);
    ledger
}

/// What the harvests of the beds hold, in the order of the plan's lots.
fn harvests(read: &Read, plan: &SeasonPlan, context: &RequestContext<'_>) -> Vec<Option<Castings>> {
    let castings = |bed: usize, cycle: u32| {
        let lot = plan.forecasts.get(bed)?.lots.iter().find(|lot| lot.cycle == cycle)?;
        let known = Known { request: &context.overrides, item: read.overrides(bed)? };
        of_harvest(lot, known, context.book()).ok()
    };
    let of_beds = plan.lots.iter().filter_map(|lot| match lot.source {
        LotSource::Bed { bed, cycle } => Some(castings(bed, cycle)),
        LotSource::Stock(_) => None,
    });
    of_beds.collect()
}

fn bed_list(
    request: &SeasonsRequest,
    (read, computed, figures): (&Read, &Computed<'_>, &BalanceFigures),
    report: &mut Report,
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> Vec<SeasonBedOut> {
    let root = JsonPath::root();
    let list = root.field("worm_beds");
    let plan = &computed.plan;
    let items = request.worm_beds.as_deref().unwrap_or_default();
    let mut beds = Vec::with_capacity(items.len());
    for (i, ((item, forecast), area)) in items.iter().zip(&plan.forecasts).zip(read.areas()).enumerate() {
        let place = list.index(i);
        let in_runs = computed.season.beds.get(i).filter(|_| computed.chances.is_some());
        let in_runs = in_runs.and_then(|bed| bed.assumed_in_runs(computed.season.request));
        let assumed: Vec<Assumed> = forecast.assumed.iter().copied().chain(in_runs).collect();
        report.used(&assumed, place);
        if let Some(overrides) = read.overrides(i) {
            context.note_used(place, overrides, &assumed);
        }
        let lots = plan.lots.iter().zip(&figures.stock).filter_map(|(planned, of)| match planned.source {
            LotSource::Bed { bed, cycle } if bed == i => {
                let chance = computed.chances.as_ref().and_then(|chances| chances.of_lot(bed, cycle));
                Some(lot((planned, of), cycle, chance, view))
            }
            _ => None,
        });
        beds.push(SeasonBedOut {
            id: echoed(item.id.as_ref()),
            name: echoed(item.name.as_ref()),
            surface_area: view.estimate(Role::Area, area),
            observed_on: read.observed_on(i),
            lots: lots.collect(),
            forecast: ForecastOut::new(forecast, read.collected(i), view),
            cautions: report.cautions(&read.cautions(i, forecast), place),
        });
    }
    beds
}

fn lot((lot, of): (&Lot, &LotFigures), cycle: u32, chance: Option<&LotChance>, view: &View<'_>) -> SeasonLotOut {
    let dates = |p: &seasons::Percentiles<Option<NaiveDate>>| DatePercentiles { p10: p.p10, p50: p.p50, p90: p.p90 };
    SeasonLotOut {
        cycle,
        ready_on: lot.window.first.unwrap_or_default(),
        amount: view.whole(of.amount),
        in_containers: view.in_containers(of.amount.figure(), None),
        allocated: view.whole(of.allocated),
        remaining: view.whole(of.remaining),
        ready: chance.map(|chance| dates(&chance.ready)),
        volume: chance.map(|chance| percentiles(&chance.litres, view)),
    }
}
