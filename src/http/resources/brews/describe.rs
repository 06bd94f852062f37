//! The answer described: what goes into each brew, its batches and their times.

use super::BrewsAnswer;
use super::answer::{BatchOut, BrewOut};
use crate::http::present::calendar::{Calendar, Reminder, Task, When};
use crate::http::present::moments;
use crate::http::present::words::{all_of, name_of, shown};
use crate::http::present::{Cell, Column, Description, Rows, Table};
use crate::http::resources::calendar::{Ids, counted, place, scope};
use crate::http::resources::tea::{diluted, takes, used_by};
use crate::http::wire::{ErrorCode, JsonPath, RequestErrors, capitalised};
use chrono::{DateTime, FixedOffset, Utc};
use std::collections::BTreeSet;

/// Describes the answer.
pub fn describe(answer: &BrewsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "Castings for compost tea");
    in_short(answer, &mut description);
    description.section("When each batch starts and is ready", batches(answer));
    description.section("What goes into each brew", amounts(answer));
    description.section("How each is brewed", brewing(answer));
    for (brew, stronger) in answer.brews.iter().enumerate().filter_map(|brew| Some((brew, brew.1.stronger.as_ref()?))) {
        description.paragraph(format!(
            "{}: in one round by brewing stronger, {} of castings in {} of water, then {} of water added to the tea.",
            name(brew),
            shown(&stronger.castings_to_water),
            shown(&stronger.water),
            shown(&stronger.then_add),
        ));
    }
    description
}

/// What the answer comes to: of one brew what it takes and makes, of several how many there are; and when to start.
fn in_short(answer: &BrewsAnswer, description: &mut Description<'_>) {
    let batches = all_batches(answer).count();
    let in_batches = if batches == 1 { "in one batch".to_owned() } else { format!("in {batches} batches") };
    let (what, more) = match answer.brews.as_slice() {
        [brew] => (of_one(brew), format!("{in_batches}.{}", makes(brew))),
        brews => (format!("{} brews", brews.len()), format!("{in_batches}.")),
    };
    description.stressed(format!("{what},"), format!("{more}{}{}", times(answer), assumed_time(answer)));
}

/// `2 buckets (20 L) of castings in 200 L of water`
fn of_one(brew: &BrewOut) -> String {
    takes(&counted(&brew.castings.volume, &brew.castings.in_containers, 1), &brew.water)
}

/// ` Add 24 L of water before use: 48 L of tea.`; nothing where the tea is used as it is.
fn makes(brew: &BrewOut) -> String {
    let made = diluted(&brew.dilution_water, &brew.tea);
    made.map(|made| format!(" {}.", capitalised(&made))).unwrap_or_default()
}

/// When to start, and which brews have no times; nothing where none has. Those of several time zones are given with the batches only.
fn times(answer: &BrewsAnswer) -> String {
    let offsets: BTreeSet<i32> = all_batches(answer)
        .filter_map(|entry| moment(entry.batch.start.as_ref()))
        .map(|start| start.offset().local_minus_utc())
        .collect();
    let untimed = |brew: &(usize, &BrewOut)| brew.1.batches.iter().all(|batch| batch.start.is_none());
    let untimed: Vec<String> = answer.brews.iter().enumerate().filter(untimed).map(name).collect();
    let more = match (offsets.len(), untimed.as_slice()) {
        (0, _) | (_, []) => String::new(),
        (_, names) => format!(" To get times for {}, say when the tea is to be used.", all_of(names)),
    };
    let of_timed = if offsets.len() > 1 {
        " The batches are in several time zones: see the times of each.".to_owned()
    } else {
        in_one_zone(answer)
    };
    of_timed + &more
}

/// ` Start on 9 Jun 2027 06:00 +02:00, and use all by 10 Jun 2027 22:00 +02:00.`; where batches keep to different times, the time of each. Nothing without
/// times.
fn in_one_zone(answer: &BrewsAnswer) -> String {
    let of_all = |pick: fn(&BatchOut) -> Option<&String>| {
        let times = || all_batches(answer).filter_map(|entry| moment(pick(entry.batch)));
        times().min().zip(times().max())
    };
    let Some(((start, _), (first, last))) =
        of_all(|batch| batch.start.as_ref()).zip(of_all(|batch| batch.use_by.as_ref()))
    else {
        return String::new();
    };
    let start = moments::moment(start);
    if first == last {
        return format!(" Start on {start}, and {}.", used_by([first, last], ""));
    }
    let within = answer.brews.first().map(|brew| shown(&brew.use_within)).unwrap_or_default();
    let is_same = answer.brews.iter().all(|brew| shown(&brew.use_within) == within);
    let within = if is_same { format!("within {within} of being ready") } else { "by its own time".to_owned() };
    let late: String = answer.brews.iter().enumerate().filter_map(|brew| ready_late(brew, answer)).collect();
    format!(" Start on {start}. {}.{late}", capitalised(&used_by([first, last], &within)))
}

/// ` Only 1 of 4 batches (20 L of water each) is ready on 1 May 2027 18:00 +02:00, the last on 4 May 2027 18:00 +02:00.`; nothing where all are ready at once.
fn ready_late(brew: (usize, &BrewOut), answer: &BrewsAnswer) -> Option<String> {
    let ready: Vec<_> = brew.1.batches.iter().filter_map(|batch| moment(batch.ready.as_ref())).collect();
    let (first, last) = ready.iter().min().zip(ready.iter().max()).filter(|(first, last)| first != last)?;
    let (at_first, count) = (ready.iter().filter(|at| *at == first).count(), ready.len());
    let of_brew = if answer.brews.len() > 1 { format!(" of {}", name(brew)) } else { String::new() };
    let each = brew.1.batches.first().map(|batch| shown(&batch.water)).unwrap_or_default();
    let are = if at_first == 1 { "is" } else { "are" };
    let (first, last) = (moments::moment(*first), moments::moment(*last));
    Some(format!(
        " Only {at_first} of {count} batches{of_brew} ({each} of water each) {are} ready on {first}, the last on {last}."
    ))
}

/// That the brewing time is an assumption, where it is one.
fn assumed_time(answer: &BrewsAnswer) -> String {
    let assumed = || answer.brews.iter().enumerate().filter(|brew| brew.1.is_time_assumed);
    let names = assumed().map(name).collect::<Vec<_>>();
    let of_brews = if names.len() < answer.brews.len() { format!(" of {}", all_of(&names)) } else { String::new() };
    let text = assumed().next().map(|(_, brew)| {
        let time = shown(&brew.brewing_time);
        format!(" The brewing time of {time}{of_brews} is assumed; give yours if you choose another.")
    });
    text.unwrap_or_default()
}

fn name((index, brew): (usize, &BrewOut)) -> String {
    name_of(brew.name.as_deref(), brew.id.as_deref(), "brew", index)
}

fn unit(answer: &BrewsAnswer, of: fn(&BrewOut) -> &crate::http::output::QuantityOut) -> String {
    answer.brews.first().map(|brew| of(brew).unit.to_string()).unwrap_or_default()
}

fn amounts(answer: &BrewsAnswer) -> Table {
    let (water, bulk) = (unit(answer, |brew| &brew.water), unit(answer, |brew| &brew.castings.volume));
    let mass = unit(answer, |brew| &brew.castings.mass);
    Rows::of(answer.brews.iter().enumerate(), ["brew", "brews"])
        .named("brews")
        .about(|brew| ("brews", brew.0, name(*brew)))
        .column(Column::data("id"), |(_, brew)| &brew.id)
        .column(Column::data("name"), |(_, brew)| &brew.name)
        .column(Column::words("", "brew"), |brew| name(*brew))
        .column(Column::quantity("water", "water", water.clone()), |(_, brew)| &brew.water)
        .column(Column::data_in("castings_to_water", "%").bounded(), |(_, brew)| &brew.castings_to_water)
        .column(Column::quantity("castings", "castings", bulk).bounded().main(), |(_, brew)| &brew.castings.volume)
        .column(Column::containers("castings"), |(_, brew)| &brew.castings.in_containers)
        .column(Column::quantity("castings", "mass", mass).bounded().main(), |(_, brew)| &brew.castings.mass)
        .column(Column::data_in("dilution_water", water.clone()), |(_, brew)| &brew.dilution_water)
        .column(Column::quantity("tea", "tea", water), |(_, brew)| &brew.tea)
        .column(Column::data_in("brewing_time", "h"), |(_, brew)| &brew.brewing_time)
        .column(Column::data_in("use_within", "h"), |(_, brew)| &brew.use_within)
        .column(Column::data("rounds"), |(_, brew)| brew.rounds.get())
        .done()
}

/// What readers find in a table of its own, so that both fit.
fn brewing(answer: &BrewsAnswer) -> Table {
    Rows::of(answer.brews.iter().enumerate(), ["brew", "brews"])
        .column(Column::words("", "brew"), |brew| name(*brew))
        .column(Column::shown("castings\nto water"), |(_, brew)| &brew.castings_to_water)
        .column(Column::shown("water\nto dilute"), |(_, brew)| &brew.dilution_water)
        .column(Column::shown("brewing\ntime"), |(_, brew)| &brew.brewing_time)
        .column(Column::shown("use\nwithin"), |(_, brew)| &brew.use_within)
        .column(Column::count("", "rounds"), |(_, brew)| brew.rounds.get())
        .done()
}

/// A batch with its brew and its place among the batches of it.
struct BatchEntry<'a> {
    brew: (usize, &'a BrewOut),
    place: usize,
    batch: &'a BatchOut,
}

impl BatchEntry<'_> {
    /// `, batch 2 of 4`; nothing where there is one.
    fn of_how_many(&self) -> String {
        let count = self.brew.1.batches.len();
        if count > 1 { format!(", batch {} of {count}", self.place + 1) } else { String::new() }
    }
}

fn all_batches(answer: &BrewsAnswer) -> impl Iterator<Item = BatchEntry<'_>> {
    answer
        .brews
        .iter()
        .enumerate()
        .flat_map(|brew| brew.1.batches.iter().enumerate().map(move |(place, batch)| BatchEntry { brew, place, batch }))
}

fn moment(text: Option<&String>) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(text?).ok()
}

fn at(text: Option<&String>) -> Cell {
    moment(text).map_or(Cell::Nothing, Cell::Moment)
}

fn batches(answer: &BrewsAnswer) -> Table {
    let (water, bulk) = (unit(answer, |brew| &brew.water), unit(answer, |brew| &brew.castings.volume));
    Rows::of(all_batches(answer), ["batch", "batches"])
        .named("batches")
        .to_tick()
        .about(|entry| ("brews", entry.brew.0, name(entry.brew)))
        .column(Column::data("brew_index"), |entry| entry.brew.0)
        .column(Column::data("brew_id"), |entry| &entry.brew.1.id)
        .column(Column::data("brew_name"), |entry| &entry.brew.1.name)
        .column(Column::data("batch"), |entry| entry.place + 1)
        .column(Column::words("", "batch"), |entry| format!("{}{}", name(entry.brew), entry.of_how_many()))
        .column(Column::quantity("water", "water", water), |entry| &entry.batch.water)
        .column(Column::containers("water"), |entry| &entry.batch.water_in_containers)
        .column(Column::quantity("castings", "castings", bulk), |entry| {
            Cell::either(&entry.batch.castings, &entry.batch.castings_to_read)
        })
        .column(Column::containers("castings"), |entry| &entry.batch.castings_in_containers)
        .column(Column::shown("water\nto dilute"), |entry| &entry.batch.dilution_water)
        .column(Column::words("start", "start"), |entry| at(entry.batch.start.as_ref()))
        .column(Column::words("ready", "ready").if_room(), |entry| at(entry.batch.ready.as_ref()))
        .column(Column::words("use_by", "use by"), |entry| at(entry.batch.use_by.as_ref()))
        .column(Column::data_in("dilution_water", unit(answer, |brew| &brew.dilution_water)), |entry| {
            &entry.batch.dilution_water
        })
        .done()
}

/// One task from start to ready, one from ready to use-by; or an error at `use_at` of each brew without a time.
pub fn calendar(answer: &BrewsAnswer) -> Result<Calendar, RequestErrors> {
    let errors = RequestErrors::body();
    let mut calendar = Calendar { product: "Brews", revision: None, tasks: Vec::new() };
    let (mut ids, mut untimed) = (Ids::default(), None);
    let all = format!("brews {}", scope(answer.id.as_deref(), answer.name.as_deref()));
    for entry in all_batches(answer) {
        let Some(tasks) = tasks(&entry, &all, &mut ids) else {
            if untimed.replace(entry.brew.0) != Some(entry.brew.0) {
                let (root, detail) =
                    (JsonPath::root(), "A calendar needs times: give use_at, when the first batches are to be ready.");
                let list = root.field("brews");
                errors.push(list.index(entry.brew.0).field("use_at"), ErrorCode::MissingField, detail);
            }
            continue;
        };
        calendar.tasks.extend(tasks);
    }
    if errors.is_empty() { Ok(calendar) } else { Err(errors) }
}

fn tasks(entry: &BatchEntry<'_>, all: &str, ids: &mut Ids) -> Option<[Task; 2]> {
    let utc = |text: Option<&String>| Some(moment(text)?.with_timezone(&Utc));
    let batch = entry.batch;
    let (start, ready, use_by) = (utc(batch.start.as_ref())?, utc(batch.ready.as_ref())?, utc(batch.use_by.as_ref())?);
    let (index, brew) = entry.brew;
    let (item, batch_place) = (place((index, brew.id.as_ref())), entry.place.to_string());
    let name = brew.name.as_deref().or(brew.id.as_deref()).unwrap_or("tea");
    let taken = takes(&shown(&batch.castings_to_read), &batch.water);
    let made = batch.dilution_water.as_ref().and_then(|water| diluted(water, &batch.tea));
    let named = format!("{name}{}", entry.of_how_many());
    let mut task = |verb: &str, (from, to), summary, reminder| Task {
        id: ids.next([all, item.as_str(), batch_place.as_str(), verb]),
        when: When::Times(start, from, to),
        weeks: 1,
        summary,
        details: [Some(taken.as_str()), made.as_deref()].into_iter().flatten().collect::<Vec<_>>().join("\n"),
        reminder,
    };
    let brew = format!("Brew {named}: {taken}");
    let made = made.as_ref().map(|made| format!("; {made}")).unwrap_or_default();
    let used = format!("Use {named}: brewed with {} of water{made}", shown(&batch.water));
    Some([task("brew", (start, ready), brew, None), task("use", (ready, use_by), used, Some(Reminder::Hour))])
}
