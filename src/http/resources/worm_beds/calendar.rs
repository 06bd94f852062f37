//! The work of a bed as a calendar of all-day events: worms, feeding, harvests.

use super::WormBedsAnswer;
use super::answer::WeekOut;
use crate::garden::seasons::work::TaskKind;
use crate::http::present::calendar::{Calendar, Task, When};
use crate::http::present::words::{day, shown};
use crate::http::resources::calendar::{Work, counted, likely};
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::resources::harvests::{BedTasks, PlannedWork};
use std::iter::once;

/// How far the feed of weeks may lie from that of the first of them, as a share of it, to be one task.
const ALIKE: f64 = 0.1;

/// A task for all that is done.
pub(super) fn calendar(answer: &WormBedsAnswer) -> Calendar {
    let mut tasks = BedTasks::of(answer, "worm bed");
    for (part, work) in work(answer) {
        tasks.add(work, &[&part], &[]);
    }
    if answer.layers.is_none() {
        let mind = tasks.headings(TaskKind::LayFeed);
        for weeks in alike(&answer.weeks) {
            let first = weeks.first().map_or(answer.end.on, |week| week.start_on);
            let id = tasks.id(&["feed", &first.to_string()]);
            tasks.push(first, feeding(answer, weeks, (id, &mind)));
        }
    }
    tasks.add_unfed(answer.without_feed.as_ref(), answer.name_or_id().unwrap_or_default(), &[]);
    Calendar { product: "WormBeds", revision: None, tasks: tasks.sorted() }
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
    let at = answer.name_or_id().map(|name| format!(": {name}")).unwrap_or_default();
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

/// What is done but for feeding week by week, each with what tells it from others of its kind: a layer by its harvest and its place in it.
fn work(answer: &WormBedsAnswer) -> Vec<(String, Work<'_>)> {
    let planned = PlannedWork {
        name: answer.name_or_id().unwrap_or_default().to_owned(),
        feed: answer.feed_name.as_deref(),
        layers: answer.layers.as_deref().unwrap_or_default(),
        water: answer.water.as_deref().unwrap_or_default(),
        lots: &answer.lots,
        end: &answer.end,
    };
    let layers = planned.layers().map(|(cycle, work)| (format!("{cycle} {}", work.layer.unwrap_or_default()), work));
    let worms = planned.worms(answer.worms.introduce_on, &answer.worms.at_start);
    let water = planned.water().map(|work| (String::new(), work));
    let harvests = planned.harvests().map(|(cycle, work)| (cycle.to_string(), work));
    // The first feed is laid before the worms are put in.
    layers.chain(once((String::new(), worms))).chain(water).chain(harvests).collect()
}
