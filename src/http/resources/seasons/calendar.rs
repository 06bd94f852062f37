//! The work of a season as a calendar of all-day events.

use super::SeasonsAnswer;
use super::answer::TaskOut;
use crate::garden::seasons::work::{TaskKind, takes_worms_back};
use crate::http::present::calendar::{Calendar, Reminder, Task, When};
use crate::http::present::words::{shown, shown_beside};
use crate::http::resources::balances::StockOut;
use crate::http::resources::calendar::{Ids, UNFED, Work, item, place, scope, worms_unfed};
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::resources::season_beds::SeasonBedOut;
use chrono::NaiveDate;

/// The work, the last days of lots, and the days from which worms have no feed.
pub fn calendar(answer: &SeasonsAnswer) -> Calendar {
    let mut ids = Ids::default();
    let season = scope(answer.id.as_deref(), answer.name.as_deref());
    let task = |task: &TaskOut| {
        let work = work(task)?;
        let id = ids.next(parts(&season, task).iter().map(String::as_str));
        Some(work.task(id, &answer.cautions))
    };
    // The last day of each lot follows by itself.
    let done = answer.work.iter().filter(|task| task.kind != TaskKind::UseLot.as_str());
    let mut tasks: Vec<Task> = done.filter_map(task).collect();
    let lots = answer.stock.iter().enumerate();
    tasks.extend(lots.filter_map(|lot| last_day(&season, lot, &mut ids)));
    let beds = answer.worm_beds.iter().enumerate();
    tasks.extend(beds.filter_map(|bed| unfed(&season, bed, (answer.as_of, &mut ids))));
    Calendar { product: "Season", revision: Some(answer.revision.unwrap_or_default()), tasks }
}

/// The work that a task is.
pub fn work(task: &TaskOut) -> Option<Work<'_>> {
    let kind = TaskKind::find(task.kind)?;
    let bed = task.worm_bed.as_ref().map(|bed| bed.called("worm bed"));
    let demand = task.demand.as_ref().map(|demand| demand.called("demand"));
    Some(Work {
        kind,
        on: task.on,
        until: task.until,
        at: bed.or(demand).or_else(|| task.at.clone()).unwrap_or_default(),
        layer: task.layer,
        takes_worms_back: task.cycle.zip(task.layer).is_some_and(|(cycle, layer)| takes_worms_back(cycle, layer)),
        volume: task.volume.as_ref(),
        water: task.water.as_ref(),
        batches: task.batches,
        hours: task.hours.as_deref(),
        mass: task.mass.as_ref(),
        depth: task.depth.as_ref(),
        in_containers: &task.in_containers,
        feed: task.feed.as_deref(),
        collect: task.collect.as_ref(),
        materials: if kind == TaskKind::LayFeed {
            ProductionMaterialOut::all_by_mass(&task.materials)
        } else {
            ProductionMaterialOut::all_in_words(&task.materials)
        },
        sacks: task.sacks,
        by: task.by,
        sure: task.sure,
        note: task.mind.clone(),
        cautions: task.cautions.clone(),
        is_overdue: task.overdue,
    })
}

/// What a task is, apart from its day. What is produced or bought is distinguished by the shortfall it is for.
fn parts(season: &str, task: &TaskOut) -> [String; 7] {
    let number = |n: Option<u32>| n.map(|n| n.to_string()).unwrap_or_default();
    [
        season.to_owned(),
        item(task.worm_bed.as_ref()),
        item(task.demand.as_ref()),
        number(task.cycle),
        number(task.layer.or(task.occasion)),
        task.by.map(|by| by.to_string()).unwrap_or_default(),
        task.kind.to_owned(),
    ]
}

/// The last day of a lot that has one.
fn last_day(season: &str, (index, lot): (usize, &StockOut), ids: &mut Ids) -> Option<Task> {
    let on = lot.use_by?;
    let lot_place = place((index, lot.id.as_ref()));
    let name = lot.called(index);
    let expired = Some(&lot.expired).filter(|expired| expired.value.get() > 0.0);
    let lost = expired.map(|expired| format!("; {} expire unused", shown_beside(expired, &lot.amount)));
    Some(Task {
        id: ids.next([season, "stock", lot_place.as_str(), "use_by"]),
        when: When::Days(on, on),
        weeks: 1,
        summary: format!("Last day to use: {name}"),
        details: format!(
            "{}, of which {} are allocated{}",
            shown(&lot.amount),
            shown_beside(&lot.allocated, &lot.amount),
            lost.unwrap_or_default()
        ),
        reminder: (!lot.past).then_some(Reminder::Week),
    })
}

/// The day from which the worms of a bed have no feed for long.
fn unfed(
    season: &str,
    (index, bed): (usize, &SeasonBedOut),
    (today, ids): (Option<NaiveDate>, &mut Ids),
) -> Option<Task> {
    let unfed = bed.forecast.without_feed.as_ref()?;
    let bed_place = place((index, bed.id.as_ref()));
    let name = bed.called(index);
    let is_past = today.is_some_and(|today| unfed.start_on < today);
    let id = ids.next([season, bed_place.as_str(), UNFED]);
    Some(worms_unfed(id, &name, (unfed.start_on, unfed.in_words(), is_past)))
}
