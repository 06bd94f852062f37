//! The answer described: is there enough, who gets what, what closes the shortfall, what to do in which week, what to measure.

mod work;

use super::answer::{MeasureOut, TaskOut};
use super::{SeasonsAnswer, records, sheet};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::table::For;
use crate::http::present::words::{day, days, from_to, shown, shown_beside, soon, spread};
use crate::http::present::{Cell, Column, Description, Part, Rows, Table};
use crate::http::resources::assumption_names::value_called;
use crate::http::resources::balances::Account;
use crate::http::resources::chances::{DatePercentiles, Percentiles};
use crate::http::resources::harvests::{PlannedBed, endings, feed_and_water};
use crate::http::resources::season_beds::{SeasonBedOut, SeasonLotOut};
use crate::http::resources::variants::AS_ASKED;
use chrono::{Datelike, NaiveDate};

/// Describes the answer.
pub fn describe(answer: &SeasonsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "A season of castings");
    description.subtitle = subtitle(answer);
    let account = Account {
        headline: &answer.headline,
        total: &answer.total,
        demands: &answer.demands,
        stock: &answer.stock,
        beds: &answer.worm_beds,
        opening: &answer.opening_stock,
        by_date: &answer.by_date,
        chances: answer.chances.as_ref(),
        gap: &answer.shortfall_options,
        series: &answer.series,
        outcome: answer.outcome(AS_ASKED),
        variants: &answer.variants,
    };
    account.headline(&mut description);
    next(answer, &mut description);
    account.describe(&mut description);
    harvests(answer, &mut description);
    let planned = answer.worm_beds.iter().enumerate().map(|(index, bed)| {
        let given = [bed.id.as_deref(), bed.name.as_deref()];
        PlannedBed { index, given, name: bed.called(index), forecast: &bed.forecast }
    });
    let planned: Vec<PlannedBed<'_>> = planned.collect();
    endings(&planned, For::Long, &mut description);
    account.details(answer.name_or_id(), &mut description);
    description.table(beds(answer));
    description.parts.push(sheet::plan(answer));
    description.table(work::table(answer));
    account.stock(&mut description);
    feed_and_water(&planned, (For::Long, answer.units), &mut description);
    description.section("What to measure first", measure_first(answer));
    description.parts.push(records::to_fill_in(answer));
    description.parts.push(account.labels());
    description
}

/// From today until the last day, or until when a season was that is over.
fn subtitle(answer: &SeasonsAnswer) -> String {
    let until = day(answer.until);
    let as_of = match answer.as_of {
        Some(on) if on > answer.until => format!("until {until}, seen on {}", day(on)),
        Some(on) => format!("{} to {until}", day(on)),
        None => format!("until {until}"),
    };
    let revision = answer.revision.map(|revision| format!(", revision {revision}")).unwrap_or_default();
    format!("{as_of}{revision}")
}

/// The first day after today on which there is something to do.
fn ahead(answer: &SeasonsAnswer) -> Option<NaiveDate> {
    answer.work.iter().map(|task| task.on).find(|on| answer.as_of.is_none_or(|today| *on > today))
}

/// The tasks of the next weeks, or where there are none those of the first day that has some; and how many earlier ones are overdue.
fn next(answer: &SeasonsAnswer, description: &mut Description<'_>) {
    let tasks = sheet::lines(&answer.next, answer);
    let first = answer.as_of.or_else(|| answer.next.first().map(|task| task.on));
    if let Some(first) = first.filter(|_| !tasks.is_empty()) {
        description.heading(format!("What to do in the 30 days from {}", day(first)));
        description.parts.push(Part::Tasks(tasks));
    }
    let overdue = answer.work.iter().filter(|task| task.overdue).count();
    if let Some(ahead) = ahead(answer).filter(|_| answer.next.is_empty()) {
        let new = if overdue > 0 { "new " } else { "" };
        description.heading(format!("Next {new}work, on {}", day(ahead)));
        let tasks: Vec<TaskOut> = answer.work.iter().filter(|task| task.on == ahead).cloned().collect();
        description.parts.push(Part::Tasks(sheet::lines(&tasks, answer)));
    }
    if overdue > 0 {
        let those = if overdue == 1 { "1 earlier task is".to_owned() } else { format!("{overdue} earlier tasks are") };
        description.paragraph(format!("{those} overdue: see the plan week by week, and do what is not done."));
    }
}

/// How many of what to measure first a short text names.
const MEASURES: usize = 2;

/// Why the chance is what it is: the tightest day, and what causes most of the uncertainty.
fn how_sure(answer: &SeasonsAnswer) -> Vec<(String, Vec<String>)> {
    let Some(chances) = answer.chances.as_ref() else { return Vec::new() };
    let tightest = chances.worst_on.zip(chances.margin.as_ref()).map(|(on, margin)| {
        let [low, middle, high] =
            [&margin.p10, &margin.p50, &margin.p90].map(|of| spare(shown_beside(of, &margin.p50)));
        let range = if low == high { String::new() } else { format!(" ({low} to {high})") };
        ("tightest day".to_owned(), vec![format!("{}: typically {middle}{range}", day(on))])
    });
    let named = answer.measure_first.iter().take(MEASURES);
    let named: Vec<String> =
        named.map(|one| format!("{}, {}", uncertain(one), shown(&one.share_of_variance))).collect();
    let measure = (!named.is_empty())
        .then(|| ("measure first".to_owned(), vec![format!("{} of the uncertainty", named.join("; "))]));
    tightest.into_iter().chain(measure).collect()
}

/// `12 L spare`, `69.5 L short`
fn spare(margin: String) -> String {
    margin.strip_prefix('-').map_or_else(|| format!("{margin} spare"), |missing| format!("{missing} short"))
}

/// A day on which a harvest is ready, of those that the runs give.
fn ready(lot: Option<&SeasonLotOut>, pick: fn(&DatePercentiles) -> Option<NaiveDate>) -> Option<NaiveDate> {
    lot.and_then(|lot| lot.ready.as_ref()).and_then(pick)
}

/// One row for each harvest of a bed; a bed without any has one row.
fn beds(answer: &SeasonsAnswer) -> Table {
    type Harvest<'a> = ((usize, &'a SeasonBedOut), Option<&'a SeasonLotOut>);
    let unit = |role| answer.units.unit(role).0;
    let bulk = |name, heading| Column::quantity(name, heading, unit(Role::Bulk));
    let data = |name| Column::data_in(name, unit(Role::Bulk));
    let rows = answer.worm_beds.iter().enumerate().flat_map(|bed| -> Vec<Harvest<'_>> {
        let lots = &bed.1.lots;
        if lots.is_empty() { vec![(bed, None)] } else { lots.iter().map(|lot| (bed, Some(lot))).collect() }
    });
    let volume = |lot: Option<&SeasonLotOut>, pick: fn(&Percentiles) -> &crate::http::output::QuantityOut| {
        Cell::from(lot.and_then(|lot| lot.volume.as_ref()).map(pick))
    };
    Rows::of(rows, ["harvest of a bed", "harvests of beds"])
        .named("worm_beds")
        .only_for(For::Long)
        .mark(|(_, lot), row| row.is_data = lot.is_none())
        .about(|(bed, _)| ("worm_beds", bed.0, bed.1.called(bed.0)))
        .column(Column::data("index"), |(bed, _)| bed.0)
        .column(Column::data("id"), |(bed, _)| &bed.1.id)
        .column(Column::data("name"), |(bed, _)| &bed.1.name)
        .column(Column::data_in("surface_area", unit(Role::Area)), |(bed, _)| &bed.1.surface_area)
        .column(Column::words("", "worm bed"), |(bed, _)| bed.1.called(bed.0))
        .column(Column::shown("ground").only_for(For::Page), |(bed, _)| &bed.1.surface_area)
        .column(Column::count("cycle", "harvest"), |(_, lot)| lot.map(|lot| lot.cycle))
        .column(Column::words("ready_on", "ready on"), |(_, lot)| lot.map(|lot| lot.ready_on))
        .column(Column::data("ready_p10"), |(_, lot)| ready(*lot, |ready| ready.p10))
        .column(Column::data("ready_p50"), |(_, lot)| ready(*lot, |ready| ready.p50))
        .column(Column::data("ready_p90"), |(_, lot)| ready(*lot, |ready| ready.p90))
        .column(Column::words("", "80 of 100 runs"), |(_, lot)| lot.and_then(|lot| lot.ready.as_ref()).map(dates))
        .column(bulk("amount", "castings"), |(_, lot)| lot.map(|lot| &lot.amount))
        .column(Column::words("", "80 of 100 runs"), |(_, lot)| lot.and_then(|lot| lot.volume.as_ref()).map(volumes))
        .column(bulk("allocated", "allocated").only_for(For::Page), |(_, lot)| lot.map(|lot| &lot.allocated))
        .column(bulk("remaining", "remaining").only_for(For::Page), |(_, lot)| lot.map(|lot| &lot.remaining))
        .column(data("volume_p10"), |(_, lot)| volume(*lot, |volume| &volume.p10))
        .column(data("volume_p50"), |(_, lot)| volume(*lot, |volume| &volume.p50))
        .column(data("volume_p90"), |(_, lot)| volume(*lot, |volume| &volume.p90))
        .done()
}

/// One line for each bed: when each harvest is ready, and how much it is. Then how sure the season is.
fn harvests(answer: &SeasonsAnswer, description: &mut Description<'_>) {
    let beds = answer.worm_beds.iter().enumerate().filter(|(_, bed)| !bed.lots.is_empty());
    let beds: Vec<(String, Vec<String>)> =
        beds.map(|of| (of.1.called(of.0), of.1.lots.iter().map(harvest).collect())).collect();
    let sure = how_sure(answer);
    let heading = match (beds.is_empty(), sure.is_empty()) {
        (true, true) => return,
        (false, true) => "Harvests of the worm beds",
        (true, false) => "How certain that is (in brackets: 80 % of simulated seasons)",
        (false, false) => "Harvests of the worm beds, and how certain it is (in brackets: 80 % of simulated seasons)",
    };
    description.heading(heading);
    description.parts.push(Part::Lines(beds.into_iter().chain(sure).collect()));
}

/// `22 Apr 2027 (19 Mar–1 Jun): 297 L (216–381)`
fn harvest(lot: &SeasonLotOut) -> String {
    let in_year = |on: NaiveDate| if on.year() == lot.ready_on.year() { soon(on) } else { day(on) };
    let first_to_last = |dates: &DatePercentiles| match (dates.p10, dates.p90) {
        (Some(first), Some(last)) => format!(" ({}–{})", in_year(first), in_year(last)),
        (Some(first), None) => format!(" ({} or later)", in_year(first)),
        (None, _) => " (after the last day)".to_owned(),
    };
    let days = lot.ready.as_ref().map(first_to_last).unwrap_or_default();
    let volume = lot.volume.as_ref().map_or_else(|| shown(&lot.amount), |of| of_runs(&lot.amount, of));
    format!("{}{days}: {volume}", day(lot.ready_on))
}

fn dates(dates: &DatePercentiles) -> String {
    match (dates.p10, dates.p90) {
        (Some(first), Some(last)) => days(first, last),
        (Some(first), None) => format!("{} or later", day(first)),
        (None, _) => "after the last day".to_owned(),
    }
}

/// `297 L (216–381)`
fn of_runs(amount: &QuantityOut, volume: &Percentiles) -> String {
    spread(amount, &volume.p10, &volume.p90)
}

/// `216–381 L`
fn volumes(volume: &Percentiles) -> String {
    from_to(&volume.p10, &volume.p90)
}

/// What to know better first.
fn measure_first(answer: &SeasonsAnswer) -> Table {
    Rows::of(&answer.measure_first, ["measurement", "measurements"])
        .column(Column::words("", "what"), |measure: &&MeasureOut| uncertain(measure))
        .column(Column::words("", "how"), |measure| measure.measure_it.unwrap_or("–"))
        .column(Column::shown("of the\nuncertainty"), |measure| &measure.share_of_variance)
        .column(Column::shown("narrows the\nrange to"), |measure| &measure.range_if_known)
        .done()
}

/// What is uncertain: an assumption, or an amount of the request.
fn uncertain(measure: &MeasureOut) -> String {
    match (measure.assumption, &measure.lot, &measure.demand) {
        (Some(id), ..) => value_called(id).to_owned(),
        (None, Some(lot), _) => format!("the amount of {}", lot.called("lot")),
        (None, None, Some(demand)) => format!("the amount of {}", demand.called("demand")),
        (None, None, None) => String::new(),
    }
}
