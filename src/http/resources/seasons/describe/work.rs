//! The work described: what to do on which day.

use crate::garden::seasons::work::TaskKind;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::table::For;
use crate::http::present::words::days;
use crate::http::present::{Cell, Column, Rows, Table};
use crate::http::resources::ReferenceOut;
use crate::http::resources::collected::{ProductionMaterialOut, materials_in_words};
use crate::http::resources::seasons::answer::TaskOut;
use crate::http::resources::seasons::{SeasonsAnswer, calendar, sheet};
use chrono::Datelike;

/// The work, to tick off: a heading for each week (ISO 8601) in which tasks begin.
pub fn table(answer: &SeasonsAnswer) -> Table {
    let unit = |role| answer.units.unit(role).0;
    let short: Vec<TaskOut> = shortfalls(answer).collect();
    let mut rows: Vec<&TaskOut> = answer.work.iter().chain(&short).collect();
    rows.sort_by_key(|row| row.on);
    let mut week = None;
    let tasks = Rows::of(rows, ["task", "tasks"])
        .named("work")
        .captioned("The plan week by week")
        .only_for(For::Long)
        .mark(|task: &&TaskOut, row| {
            row.is_data = is_shortfall(task);
            let this = task.on.iso_week();
            row.group = (!row.is_data && week.replace(this) != Some(this)).then(|| sheet::week(task.on));
        })
        .column(Column::words("", "when"), |task| {
            format!("{} {}", task.on.format("%a"), days(task.on, task.until.unwrap_or(task.on)))
        })
        .column(Column::data("on"), |task| task.on)
        .column(Column::data("until"), |task| task.until)
        .column(Column::data("overdue"), |task| Cell::yes(task.overdue))
        .column(Column::data("kind"), |task| task.kind)
        .column(Column::words("text", "what"), |task| Cell::either(&task.text, in_words(task)))
        .column(Column::words("", "note").below(), |task| &task.note);
    let tasks = of_volumes(of_items(tasks), [unit(Role::Water), unit(Role::Bulk)])
        .column(Column::containers(""), |task| &task.in_containers)
        .column(Column::quantity("mass", "mass", unit(Role::Mass)), |task| &task.mass)
        .column(Column::quantity("depth", "depth", unit(Role::Depth)), |task| &task.depth)
        .column(Column::count("sacks", "sacks"), |task| task.sacks)
        .column(Column::data("by"), |task| task.by)
        .column(Column::data("note").sentences(), |task| &task.note);
    let tasks = of_parts(tasks, [unit(Role::Water), unit(Role::Bulk)])
        .column(Column::data_containers("volume"), |task| &task.in_containers)
        .column(Column::data_in("tea", unit(Role::Water)), |task| volume(task, TaskKind::UseTea));
    of_shortfalls(tasks, unit(Role::Bulk)).done()
}

/// The kind of a row that says what a demand does not get.
const SHORTFALL: &str = "shortfall";

fn is_shortfall(row: &TaskOut) -> bool {
    row.kind == SHORTFALL
}

/// Adds what is missing.
fn of_shortfalls<'a>(tasks: Rows<&'a TaskOut>, bulk: &'static str) -> Rows<&'a TaskOut> {
    tasks.column(Column::data_in("shortfall", bulk), |task| task.volume.as_ref().filter(|_| is_shortfall(task)))
}

/// What each demand does not get, each of its times by itself: data have a row for it, so that what is applied and brewed, and what is short,
/// add up to what is needed. It is on the last day, or on that of the season.
fn shortfalls(answer: &SeasonsAnswer) -> impl Iterator<Item = TaskOut> {
    answer.demands.iter().enumerate().flat_map(move |(index, demand)| {
        let whole = (None, demand.latest, [&demand.allocated, &demand.shortfall]);
        let times =
            demand.occasions.iter().map(|time| (Some(time.occasion), time.latest, [&time.allocated, &time.shortfall]));
        let parts = times.chain(demand.occasions.is_empty().then_some(whole));
        let short = parts.filter(|(_, _, [_, short])| short.value.get() > 0.0);
        short.map(move |(occasion, latest, [allocated, short])| TaskOut {
            on: latest.unwrap_or(answer.until),
            kind: SHORTFALL,
            text: format!("{}: castings are missing{}", demand.called(index), time(occasion)),
            demand: Some(ReferenceOut { index, id: demand.id.clone(), name: demand.name.clone() }),
            occasion,
            volume: Some(short.clone()),
            note: (allocated.value.get() <= 0.0).then(|| "gets nothing".to_owned()),
            ..TaskOut::default()
        })
    })
}

/// `, time 2`
fn time(occasion: Option<u32>) -> String {
    occasion.map(|time| format!(", time {time}")).unwrap_or_default()
}

/// What a task is for readers: `mill: lay a mix of leaves (loose), manure, layer 1: take 17 kg (226 L) of leaves (loose) and …`
fn in_words(task: &TaskOut) -> String {
    // The hours of a tea are in the note.
    let work = calendar::work(task).filter(|work| work.hours.is_none());
    let taken = work.and_then(|work| work.further()).map(|taken| format!(": {taken}")).unwrap_or_default();
    let overdue = if task.overdue { " (overdue)" } else { "" };
    materials_in_words(&task.text) + &taken + overdue
}

/// The volume of a task of this kind.
fn volume(task: &TaskOut, kind: TaskKind) -> Option<&QuantityOut> {
    task.volume.as_ref().filter(|_| task.kind == kind.as_str())
}

/// Adds volumes: for data those of water and tea each by itself, for they have a unit of their own.
fn of_volumes<'a>(tasks: Rows<&'a TaskOut>, [water, bulk]: [&'static str; 2]) -> Rows<&'a TaskOut> {
    let of_water = |task: &'a TaskOut| volume(task, TaskKind::Water);
    let is_other = move |task: &'a TaskOut| {
        is_shortfall(task) || of_water(task).or_else(|| volume(task, TaskKind::UseTea)).is_some()
    };
    tasks
        .column(Column::data_in("volume", bulk), move |task| task.volume.as_ref().filter(|_| !is_other(task)))
        .column(Column::data_in("water", water), move |task| of_water(task).or(task.water.as_ref()))
        .column(Column::shown("volume"), |task| &task.volume)
        .column(Column::shown("water\nfor tea").if_room(), |task| &task.water)
}

/// Adds the water of a week, which feed is laid and how much is collected for it, and what is taken for a production.
fn of_parts<'a>(tasks: Rows<&'a TaskOut>, [water, bulk]: [&'static str; 2]) -> Rows<&'a TaskOut> {
    tasks
        .column(Column::quantity("water_each_week", "each\nweek", water).if_room(), |task| &task.each_week)
        .column(Column::data("feed"), |task| &task.feed)
        .column(Column::quantity("collect", "to\ncollect", bulk).if_room(), |task| {
            task.collect.as_ref().map(|of| &of.volume)
        })
        .column(Column::data("materials"), |task| ProductionMaterialOut::all_exactly(&task.materials))
}

/// Adds what a task is about, for data.
fn of_items(tasks: Rows<&TaskOut>) -> Rows<&TaskOut> {
    tasks
        .column(Column::data("worm_bed_index"), |task| task.worm_bed.as_ref().map(|of| of.index))
        .column(Column::data("worm_bed_id"), |task| task.worm_bed.as_ref().and_then(|of| of.id.as_ref()))
        .column(Column::data("worm_bed_name"), |task| task.worm_bed.as_ref().and_then(|of| of.name.as_ref()))
        .column(Column::data("cycle"), |task| task.cycle)
        .column(Column::data("layer"), |task| task.layer)
        .column(Column::data("demand_index"), |task| task.demand.as_ref().map(|of| of.index))
        .column(Column::data("demand_id"), |task| task.demand.as_ref().and_then(|of| of.id.as_ref()))
        .column(Column::data("demand_name"), |task| task.demand.as_ref().and_then(|of| of.name.as_ref()))
        .column(Column::data("occasion"), |task| task.occasion)
}
