//! Writing the work of a season: what to do on which day.

use super::answer::TaskOut;
use super::read::Read;
use super::remarks::{Remarks, remarks};
use crate::garden::balances::additional_production::{CanWait, Shortfall, waits_for_sacks};
use crate::garden::brews::Brew;
use crate::garden::seasons::work::{Task, TaskKind, work};
use crate::garden::seasons::{Season, SeasonPlan};
use crate::garden::units::{Estimate, Mass, Millilitres, Volume};
use crate::http::output::quantity::{Role, View};
use crate::http::present::words::{all_of, day, shown};
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::{BalanceParts, Labels, PlannedProduction, Source};
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};

/// A season, its plan, and what is produced besides.
type Planned<'a> = (&'a Season<'a>, &'a SeasonPlan, Option<&'a PlannedProduction>);

/// The work of a season.
pub(super) fn tasks(read: &Read, (season, plan, production): Planned<'_>) -> Vec<Task> {
    let plans = production.map(|production| production.found.plans.as_slice()).unwrap_or_default();
    let brews: Vec<Option<&Brew>> = read.asked.sources.iter().map(Source::brew).collect();
    work(season, (plan, &brews), plans)
}

/// What to do on which day.
pub(super) fn work_list(
    tasks: &[Task],
    (labels, ledger): (&Labels<'_>, &BalanceParts),
    (read, planned, view): (&Read, Planned<'_>, &View<'_>),
) -> Vec<TaskOut> {
    let (.., production) = planned;
    let mut seen = BTreeSet::new();
    let waiting = waiting(tasks, (labels, planned), view);
    let write = |task: &Task| {
        let is_first = task.demand.is_some_and(|demand| seen.insert((demand, task.occasion)));
        let Remarks { note, sure, hours, mind } =
            remarks(task, (is_first, waiting.get(&task.on).cloned().filter(|_| task.sacks.is_some())), (ledger, view));
        let mut out = task_out(task, labels, (read, view));
        if let Some((production, feed)) = production.zip(task.feed) {
            out.materials = production.materials(feed, view);
        }
        TaskOut { note, sure, hours, mind, ..out }
    };
    tasks.iter().map(write).collect()
}

/// Who waits for the sacks that are bought by a day: `until then let carrots wait for 10 L`.
fn waiting(
    tasks: &[Task],
    (labels, (season, plan, _)): (&Labels<'_>, Planned<'_>),
    view: &View<'_>,
) -> BTreeMap<NaiveDate, String> {
    let holds = season.sack.map_or(0, Millilitres::get);
    let bought = |task: &Task| {
        let amount = Millilitres::new(holds.saturating_mul(task.sacks?));
        Some(Shortfall { by: task.on, amount })
    };
    let sacks: Vec<Shortfall> = tasks.iter().filter_map(bought).collect();
    // What is bought on one day alone is an option, which says who waits.
    if sacks.len() < 2 {
        return BTreeMap::new();
    }
    let waits = waits_for_sacks(&sacks, &plan.requirements, &plan.lots, &plan.balance);
    let words = |waits: &[CanWait]| {
        let who = waits.iter().map(|wait| {
            let demand = ReferenceOut::to(labels.demands, wait.demand).called("demand");
            format!("{demand} wait for {}", shown(&view.whole(wait.amount)))
        });
        format!("until then let {}", all_of(&who.collect::<Vec<_>>()))
    };
    let some = sacks.iter().zip(&waits).filter(|(_, waits)| !waits.is_empty());
    some.map(|(sack, waits)| (sack.by, words(waits))).collect()
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
