//! What to mind with a task: how sure a start is, the interval after raw manure, and what an option changes before its castings come.

use crate::garden::balances::before::BeforeSupply;
use crate::garden::balances::options::OptionKind;
use crate::garden::brews::DayOfBrew;
use crate::garden::seasons::work::{Task, TaskKind};
use crate::http::output::quantity::{Role, View};
use crate::http::present::moments::moment;
use crate::http::present::words::{day, shown, shown_beside};
use crate::http::resources::balances::{BalanceParts, DemandOut, OccasionOut, OptionOut};
use crate::http::resources::calendar::uncapitalised;
use crate::http::resources::tea::used_by;

/// The remarks on a task.
pub struct Remarks {
    /// All of them.
    pub note: Option<String>,
    /// How sure a start is.
    pub sure: Option<&'static str>,
    /// When a tea is started and ready, or by when it is used up.
    pub hours: Option<String>,
    /// All but those.
    pub mind: Option<String>,
}

/// The remarks on a task of a season with this balance; the first of a demand, or of a time of it, says what is missing, and sacks that come
/// late say who waits for them.
pub fn remarks(
    task: &Task,
    (is_first, waiting): (bool, Option<String>),
    (balance, view): (&BalanceParts, &View<'_>),
) -> Remarks {
    let sure = if task.sure { "for a chance of 90 %" } else { "at the likely values" };
    let sure = Some(sure).filter(|_| task.kind == TaskKind::StartProduction);
    let demand = task.demand.and_then(|demand| balance.demands.get(demand));
    let options = &balance.shortfall_options.options;
    let (of_option, instead) = (before(task, options), instead(task, options));
    let hours = task.tea.map(|tea| hours(task, &tea, view));
    let missing = demand.filter(|_| is_first).and_then(|demand| missing(task, demand));
    let mind = joined(of_kind(task, demand).into_iter().chain(instead).chain(missing).chain(of_option.or(waiting)));
    let before = sure.map(str::to_owned).into_iter().chain(hours.clone());
    Remarks { note: joined(before.chain(mind.clone())), sure, hours, mind }
}

fn joined(remarks: impl Iterator<Item = String>) -> Option<String> {
    let remarks: Vec<String> = remarks.collect();
    (!remarks.is_empty()).then(|| remarks.join("; "))
}

/// When a tea is started and ready, or by when it is used up; without times, how long that takes.
fn hours(task: &Task, tea: &DayOfBrew, view: &View<'_>) -> String {
    let within = format!("within {} of being ready", shown(&view.exact(Role::Hours, tea.use_within)));
    let takes = shown(&view.exact(Role::Hours, tea.brewing_time));
    match (task.kind == TaskKind::Brew, tea.times) {
        (true, Some([first, last])) => {
            let begin = format!("start on {}", moment(first.start));
            let ready = format!("ready on {}", moment(first.ready));
            if first == last {
                return format!("{begin}, {ready}");
            }
            format!("{begin}, {ready}; the last batch starts on {}", moment(last.start))
        }
        (true, None) => format!("ready {takes} after the start"),
        (false, Some([first, last])) => {
            format!("ready on {}, {}", moment(first.ready), used_by([first.use_by, last.use_by], &within))
        }
        (false, None) if tea.batches > 1 => format!("ready {takes} after the start, use each batch {within}"),
        (false, None) => format!("ready {takes} after the start, use all {within}"),
    }
}

/// What holds of a task by its kind, and for the demand that it is for.
fn of_kind(task: &Task, demand: Option<&DemandOut>) -> Option<String> {
    match task.kind {
        TaskKind::Apply | TaskKind::UseTea => {
            let allocations = demand?.allocations.iter().filter(|allotment| allotment.occasion == task.occasion);
            let drawn_on = task.tea.map_or(task.on, |tea| tea.start_on);
            let on_day = allocations.filter(|allotment| allotment.on.is_none_or(|on| on == drawn_on));
            let mut intervals: Vec<String> = on_day.filter_map(|of| of.interval_in_words(day)).collect();
            intervals.dedup();
            joined(intervals.into_iter())
        }
        _ => None,
    }
}

/// What else would close the gap that sacks are bought for; nothing where nothing else would.
fn instead(task: &Task, options: &[OptionOut]) -> Option<String> {
    let ways = [
        ("additional production", &[OptionKind::AdditionalProduction, OptionKind::AdditionalProductionAt90Percent][..]),
        ("later supply", &[OptionKind::LaterSupply][..]),
    ];
    let is_there = |kinds: &[OptionKind]| options.iter().any(|of| kinds.iter().any(|kind| kind.as_str() == of.kind));
    let others: Vec<&str> = ways.into_iter().filter(|(_, kinds)| is_there(kinds)).map(|(way, _)| way).collect();
    (task.kind == TaskKind::BuySacks && !others.is_empty()).then(|| format!("instead of {}", others.join(" or ")))
}

/// Which whole portions get theirs, and how much of what is needed is missing, this time where the demand repeats.
fn missing(task: &Task, demand: &DemandOut) -> Option<String> {
    let time = demand.occasions.iter().find(|time| Some(time.occasion) == task.occasion);
    let some = time.map_or_else(|| demand.some_portions(), OccasionOut::some_portions);
    let (needed, shortfall) = time.map_or((&demand.needed, &demand.shortfall), |time| (&time.needed, &time.shortfall));
    let missing =
        || format!("of the {} of castings needed, {} are missing", shown(needed), shown_beside(shortfall, needed));
    joined(some.map(|some| format!("for {some}")).into_iter().chain((shortfall.value.get() > 0.0).then(missing)))
}

/// What an option changes before its castings come: noted at its first task, and at what is applied until then.
fn before(task: &Task, options: &[OptionOut]) -> Option<String> {
    let kind = match task.kind {
        TaskKind::Apply | TaskKind::Brew => return otherwise(task, options),
        TaskKind::BuySacks => OptionKind::Sacks,
        TaskKind::StartProduction if task.sure => OptionKind::AdditionalProductionAt90Percent,
        TaskKind::StartProduction => OptionKind::AdditionalProduction,
        _ => return None,
    };
    let option = options.iter().find(|option| option.kind == kind.as_str())?;
    let is_first = option.before.as_ref()?.until.is_none_or(|until| task.by == Some(until));
    let first_sentence = option.text.then.first().filter(|_| is_first)?;
    Some(uncapitalised(first_sentence.trim_end_matches('.')))
}

/// That a demand gets all, or waits, before the castings of an option come, where the plan has it otherwise.
fn otherwise(task: &Task, options: &[OptionOut]) -> Option<String> {
    let demand = task.demand?;
    let with = |what: &str, is_changed: fn(&BeforeSupply) -> &[usize]| {
        let changed = options.iter().filter(|option| {
            option.before.as_ref().is_some_and(|before| {
                before.until.is_none_or(|until| task.on < until) && is_changed(before).contains(&demand)
            })
        });
        let act =
            |option: &OptionOut| if option.kind == OptionKind::Sacks.as_str() { "buy sacks" } else { "produce more" };
        let mut acts: Vec<&str> = changed.map(act).collect();
        acts.dedup();
        (!acts.is_empty()).then(|| format!("{what}, if you {}", acts.join(" or ")))
    };
    let all = with("all it needs", |before| &before.in_full);
    joined(all.into_iter().chain(with("it waits", |before| &before.waiting)))
}
