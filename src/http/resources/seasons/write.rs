//! Writing the answer.

use super::answer::{DatePercentiles, SeasonBedOut, SeasonLotOut, SeasonsAnswer, SeasonsPart, TaskOut};
use super::chances::{chance_enough, chances_out, in_words, measure_first, percentiles, share};
use super::next;
use super::options::Compared;
use super::reach::reach_90_percent;
use super::read::Read;
use super::remarks::{Remarks, remarks};
use super::request::SeasonsRequest;
use crate::garden::assumptions::{Assumed, Castings, Known};
use crate::garden::balances::allocation::{Lot, LotSource};
use crate::garden::balances::figures::{BalanceFigures, LotFigures};
use crate::garden::balances::lot_analysis::of_harvest;
use crate::garden::brews::Brew;
use crate::garden::draws::shown_chance;
use crate::garden::seasons::work::{Task, TaskKind, work};
use crate::garden::seasons::{self, Chances, LotChance, Season, SeasonPlan};
use crate::garden::units::{Estimate, Mass, Volume};
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{Role, View};
use crate::http::output::skipped::with_left_out;
use crate::http::output::{Echo, Report};
use crate::http::present::words::day;
use crate::http::resources::balances::{BalanceParts, Balanced, Labels, PlannedProduction, Source, series};
use crate::http::resources::harvests::ForecastOut;
use crate::http::resources::{ReferenceOut, close};
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// What the core made of a season.
pub struct Computed<'a> {
    pub season: Season<'a>,
    pub plan: SeasonPlan,
    pub chances: Option<Chances>,
    pub production: Option<PlannedProduction>,
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
    let stock = request.stock.as_deref().unwrap_or_default();
    let labels = Labels { stock, demands: &request.demands, sack: request.sack.as_ref(), beds: &beds };
    let mut report = Report::of_castings();
    let (wanted, stock) = read.asked.amounts();
    let figures = computed.plan.figures((&wanted, &stock), read.asked.as_of, view.book());
    let worm_beds = bed_list(request, (read, computed, &figures), &mut report, (context, view));
    let ledger = ledger(&labels, (read, computed, &figures), &mut report, (context, view));
    let tasks = tasks(read, computed);
    let sure = computed.chances.as_ref().map(|of| in_words(&of.plan, view));
    let (balance, days) = (&computed.plan.balance, (Some(read.until), ledger.first_short_on()));
    let series = series(balance, (&read.asked.requirements, &computed.plan.lots), days, view);
    let part = SeasonsPart {
        headline: with_left_out(ledger.headline(sure.as_deref()), &context.skipped),
        next: Vec::new(),
        work: work_list(&tasks, (&labels, &ledger, computed.production.as_ref()), (read, view)),
        as_of: read.asked.as_of,
        until: read.until,
        chance_enough: computed.chances.as_ref().and_then(|of| chance_enough(&of.plan, view)),
        total: ledger.total,
        pro_rata_share: ledger.pro_rata_share,
        first_shortfall_on: ledger.first_shortfall_on,
        worm_beds,
        demands: ledger.demands,
        stock: ledger.stock,
        opening_stock: ledger.opening_stock,
        by_date: ledger.by_date,
        series,
        chances: computed.chances.as_ref().map(|chances| chances_out(chances, view)),
        measure_first: computed.chances.as_ref().map(|c| measure_first(c, &labels, view)).unwrap_or_default(),
        shortfall_options: ledger.shortfall_options,
        variants: Vec::new(),
    };
    finish(request, (part, report), (&tasks, read.asked.as_of), (context, view))
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

/// The work of a season.
fn tasks(read: &Read, computed: &Computed<'_>) -> Vec<Task> {
    let plans = computed.production.as_ref().map(|production| production.found.plans.as_slice()).unwrap_or_default();
    let brews: Vec<Option<&Brew>> = read.asked.sources.iter().map(Source::brew).collect();
    work(&computed.season, (&computed.plan, &brews), plans)
}

/// What the beds of a request are called.
fn beds(request: &SeasonsRequest) -> Vec<ReferenceOut> {
    let items = request.worm_beds.as_deref().unwrap_or_default();
    (0..items.len()).map(|bed| ReferenceOut::to(items, bed)).collect()
}

/// What to do on which day.
fn work_list(
    tasks: &[Task],
    (labels, ledger, production): (&Labels<'_>, &BalanceParts, Option<&PlannedProduction>),
    (read, view): (&Read, &View<'_>),
) -> Vec<TaskOut> {
    let mut seen = BTreeSet::new();
    let write = |task: &Task| {
        let is_first = task.demand.is_some_and(|demand| seen.insert((demand, task.occasion)));
        let Remarks { note, sure, hours, mind } = remarks(task, is_first, (ledger, view));
        let mut out = task_out(task, labels, (read, view));
        if let Some((production, feed)) = production.zip(task.feed) {
            out.materials = production.materials(feed, view);
        }
        TaskOut { note, sure, hours, mind, ..out }
    };
    tasks.iter().map(write).collect()
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

fn task_out(task: &Task, labels: &Labels<'_>, (read, view): (&Read, &View<'_>)) -> TaskOut {
    let [bed, demand, lot] = items(task, labels);
    let fed = task.bed.filter(|_| task.kind == TaskKind::LayFeed).map(|(bed, _)| read.collected(bed));
    let role = if matches!(task.kind, TaskKind::Water | TaskKind::UseTea) { Role::Water } else { Role::Bulk };
    let containers = |volume: Volume| {
        let mass = task.mass.filter(|_| task.kind == TaskKind::LayFeed);
        view.in_containers(Estimate::exactly(volume), mass.map(|mass: Mass| Estimate::exactly(mass)))
    };
    TaskOut {
        is_next: false,
        on: task.on,
        until: task.until,
        overdue: task.is_overdue(read.asked.as_of),
        kind: task.kind.as_str(),
        at: lot.as_ref().map(|lot| lot.called("lot")),
        text: text(task, fed.and_then(|fed| fed.name.as_deref()), [bed.as_ref(), demand.as_ref(), lot.as_ref()]),
        feed: fed.and_then(|fed| fed.name.clone()),
        collect: fed.zip(task.mass).and_then(|(fed, mass)| fed.mass(mass.into(), view)),
        worm_bed: bed,
        cycle: task.bed.map(|(_, cycle)| cycle),
        layer: task.layer,
        demand,
        occasion: task.occasion,
        volume: task.volume.map(|volume| view.exact(role, volume)),
        water: task.water().map(|water| view.exact(Role::Water, water)),
        batches: task.tea.map_or(1, |tea| tea.batches),
        each_week: task.each_week().map(|volume| view.exact(role, volume)),
        mass: task.mass.map(|mass| view.exact(Role::Mass, mass)),
        depth: task.depth.map(|depth| view.exact(Role::Depth, depth)),
        materials: fed.zip(task.mass).map(|(fed, mass)| fed.materials_of_one(mass.into(), view)).unwrap_or_default(),
        sacks: task.sacks,
        note: None,
        sure: None,
        hours: None,
        mind: None,
        by: task.by,
        in_containers: task.volume.map(containers).unwrap_or_default(),
        cautions: Vec::new(),
    }
}

/// The bed, the demand and the lot that a task is about.
fn items(task: &Task, labels: &Labels<'_>) -> [Option<ReferenceOut>; 3] {
    [
        task.bed.and_then(|(bed, _)| labels.beds.get(bed).cloned()),
        task.demand.map(|demand| ReferenceOut::to(labels.demands, demand)),
        task.lot.map(|lot| ReferenceOut::to(labels.stock, lot)),
    ]
}

/// A short sentence without amounts: `north bed: lay leaves_loose, layer 2`.
fn text(task: &Task, feed: Option<&str>, [bed, demand, lot]: [Option<&ReferenceOut>; 3]) -> String {
    let diluted = task.water().filter(|_| task.kind == TaskKind::UseTea);
    let kind = diluted.map_or(task.kind.text(), |_| "dilute the tea and use it");
    let what = match (task.layer, task.occasion) {
        (Some(layer), _) => {
            let lay = feed.map_or_else(|| kind.to_owned(), |feed| format!("lay {feed}"));
            format!("{lay}, layer {layer}")
        }
        (None, Some(occasion)) => format!("{kind}, time {occasion}"),
        (None, None) => kind.to_owned(),
    };
    match (bed, demand, lot) {
        (Some(bed), ..) => format!("{}: {what}", bed.called("worm bed")),
        (None, Some(demand), _) => format!("{}: {what}", demand.called("demand")),
        (None, None, Some(lot)) => format!("{}: {what}", lot.called("lot")),
        (None, None, None) => {
            task.by.map_or_else(|| what.clone(), |by| format!("{what} for what is short by {}", day(by)))
        }
    }
}
