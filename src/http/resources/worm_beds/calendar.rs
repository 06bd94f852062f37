//! The work of a bed as a calendar of all-day events: worms, feeding, harvests.

use super::WormBedsAnswer;
use super::answer::WeekOut;
use crate::garden::seasons::work::{TaskKind, takes_worms_back};
use crate::http::present::calendar::{Calendar, Task, When};
use crate::http::present::words::{day, shown};
use crate::http::resources::calendar::{
    CautionsByItem, Ids, UNFED, Work, counted, heading, likely, scope, worms_unfed,
};
use crate::http::resources::collected::ProductionMaterialOut;
use chrono::NaiveDate;
use std::iter::once;

/// How far the feed of weeks may lie from that of the first of them, as a share of it, to be one task.
const ALIKE: f64 = 0.1;

/// A task for all that is done.
pub(super) fn calendar(answer: &WormBedsAnswer) -> Calendar {
    let mut ids = Ids::default();
    let all = format!("worm bed {}", scope(answer.id.as_deref(), answer.name.as_deref()));
    let cautions = CautionsByItem::of(&answer.cautions);
    let mut tasks: Vec<(NaiveDate, Task)> = Vec::new();
    for (cycle, work) in work(answer) {
        let id = ids.next([all.as_str(), cycle.as_str(), work.kind.as_str()]);
        let about = cautions.about(work.kind, &[]);
        let work = work.minding(about, answer.units);
        tasks.push((work.on, work.task(id, &answer.cautions)));
    }
    if answer.layers.is_none() {
        let of_feed = cautions.about(TaskKind::LayFeed, &[]);
        let mind: Vec<String> = of_feed.iter().filter_map(|rule| heading(rule, &answer.cautions)).collect();
        tasks.extend(alike(&answer.weeks).into_iter().map(|weeks| {
            let first = weeks.first().map_or(answer.end.on, |week| week.start_on);
            (first, feeding(answer, weeks, (ids.next([all.as_str(), "feed", &first.to_string()]), &mind)))
        }));
    }
    tasks.extend(answer.without_feed.as_ref().map(|unfed| {
        let id = ids.next([all.as_str(), UNFED]);
        (unfed.start_on, worms_unfed(id, &called(answer), (unfed.start_on, unfed.in_words(), false)))
    }));
    tasks.sort_by_key(|(on, _)| *on);
    Calendar { product: "WormBeds", revision: None, tasks: tasks.into_iter().map(|(_, task)| task).collect() }
}

/// Weeks in a row in which about as much is fed, without those in which nothing is.
fn alike(weeks: &[WeekOut]) -> Vec<&[WeekOut]> {
    let fed = |week: &WeekOut| week.feed.value.get();
    let is_alike = |a: f64, b: f64| (a - b).abs() <= ALIKE * a && (a > 0.0) == (b > 0.0);
    let mut found: Vec<&[WeekOut]> = Vec::new();
    let mut rest = weeks;
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|week| is_alike(fed(first), fed(week))).count().max(1);
        let (these, others) = rest.split_at(count);
        if fed(first) > 0.0 {
            found.push(these);
        }
        rest = others;
    }
    found
}

/// Feeding week by week: `Feed 7 kg each week: bed by the shed`.
fn feeding(answer: &WormBedsAnswer, weeks: &[WeekOut], (id, mind): (String, &[String])) -> Task {
    let (first, last) = (weeks.first(), weeks.last());
    let on = first.map_or(answer.end.on, |week| week.start_on);
    let at = answer.name.as_deref().or(answer.id.as_deref()).map(|name| format!(": {name}")).unwrap_or_default();
    let middle = weeks.get(weeks.len() / 2);
    let amount = middle.map(|week| counted(&likely(&week.feed, 1), &week.feed_in_containers, 1)).unwrap_or_default();
    let each = if weeks.len() > 1 { "about " } else { "" };
    let often = if weeks.len() > 1 { " each week" } else { "" };
    let mut details: Vec<String> = Vec::new();
    if let (Some(first), Some(last)) = (first, last) {
        let line = |week: &WeekOut| format!("{} in the week from {}", shown(&week.feed), day(week.start_on));
        details.push(if weeks.len() > 1 { format!("{}, {}", line(first), line(last)) } else { line(first) });
    }
    let taken = middle.map(|week| ProductionMaterialOut::all_by_mass(&week.materials)).unwrap_or_default();
    details.extend((!taken.is_empty()).then(|| format!("Take {each}{taken}{often}")));
    details.extend(mind.iter().cloned());
    Task {
        id,
        when: When::Days(on, on),
        weeks: u32::try_from(weeks.len()).unwrap_or(1),
        summary: format!("Feed {each}{amount}{often}{at}"),
        details: details.join("\n"),
        reminder: None,
    }
}

/// What is done but for feeding week by week, each with what tells it from others.
fn work(answer: &WormBedsAnswer) -> Vec<(String, Work<'_>)> {
    let worms = &answer.worms;
    let worms = Work { mass: Some(&worms.at_start), ..at(answer, worms.introduce_on, TaskKind::IntroduceWorms) };
    let end = answer.end.on.pred_opt().unwrap_or(answer.end.on);
    let water = answer.water.iter().flatten().filter(|period| period.to_add.value.get() > 0.0).map(|period| {
        let (until, volume) = (Some(period.end_on.min(end)), Some(&period.to_add));
        (String::new(), Work { until, volume, ..at(answer, period.start_on, TaskKind::Water) })
    });
    // The first feed is laid before the worms are put in.
    layers(answer).chain(once((String::new(), worms))).chain(water).chain(harvests(answer)).collect()
}

/// Work at the bed that needs no amount.
fn at(answer: &WormBedsAnswer, on: NaiveDate, kind: TaskKind) -> Work<'_> {
    Work::new(called(answer), on, kind)
}

/// What the bed is called, if it is.
fn called(answer: &WormBedsAnswer) -> String {
    answer.name.clone().or_else(|| answer.id.clone()).unwrap_or_default()
}

/// Layers to lay, told apart by their harvest and their place in it.
fn layers(answer: &WormBedsAnswer) -> impl Iterator<Item = (String, Work<'_>)> {
    let mut last = (0, 0);
    answer.layers.iter().flatten().map(move |layer| {
        last = if last.0 == layer.cycle { (layer.cycle, last.1 + 1) } else { (layer.cycle, 1) };
        let work = Work {
            layer: Some(last.1),
            takes_worms_back: takes_worms_back(last.0, last.1),
            volume: Some(&layer.volume),
            mass: Some(&layer.mass),
            depth: Some(&layer.depth),
            in_containers: &layer.in_containers,
            feed: answer.feed_name.as_deref(),
            collect: layer.collect.as_ref(),
            materials: ProductionMaterialOut::all_by_mass(&layer.materials),
            ..at(answer, layer.on, TaskKind::LayFeed)
        };
        (format!("{} {}", last.0, last.1), work)
    })
}

/// What is done with the castings of each harvest.
fn harvests(answer: &WormBedsAnswer) -> impl Iterator<Item = (String, Work<'_>)> {
    answer.lots.iter().flat_map(move |lot| {
        let castings = &lot.castings;
        [
            at(answer, lot.eaten_on, TaskKind::LetFinish),
            Work { volume: Some(&lot.in_bed), ..at(answer, lot.finished_on, TaskKind::Harvest) },
            Work {
                volume: Some(&castings.volume),
                mass: Some(&castings.mass),
                in_containers: &castings.in_containers,
                ..at(answer, lot.ready.likely, TaskKind::SieveAndStore)
            },
        ]
        .map(|work| (lot.cycle.to_string(), work))
    })
}
