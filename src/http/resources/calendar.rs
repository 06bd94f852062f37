//! Work at beds and for demands as tasks of a calendar: amounts in the titles, watering week by week, reminders of last days.

mod work;

pub use work::Work;

use super::ReferenceOut;
use super::collected::{CollectOut, materials_in_words};
use super::tea::{brewed, used};
use crate::garden::cautions::Severity;
use crate::garden::feeds::{before_worms, before_worms_go_back};
use crate::garden::interrupt::check;
use crate::garden::seasons::work::TaskKind;
use crate::http::output::quantity::System;
use crate::http::output::{CautionOut, InContainers, Number, QuantityOut};
use crate::http::present::calendar::{Reminder, Task, When};
use crate::http::present::counted::{container, containers, in_one, is_near};
use crate::http::present::words::{day, number_of, shown, shown_beside};
use crate::http::wire::capitalised;
use chrono::NaiveDate;
use std::collections::{BTreeMap, HashMap, HashSet};
use uuid::Uuid;

/// The parts of the request that each caution of an answer is about, by name and, in a list, position; none where it is about all of it.
pub struct CautionsByItem(BTreeMap<&'static str, HashSet<(String, Option<usize>)>>);

/// The part of a request that says what to produce for what is short.
pub const ADDITIONAL_PRODUCTION: &str = "additional_production";

impl CautionsByItem {
    /// Those of an answer.
    pub fn of(cautions: &[CautionOut]) -> Self {
        let item = |pointer: &String| {
            let mut steps = pointer.split('/').skip(1);
            Some((steps.next()?.to_owned(), steps.next().and_then(|step| step.parse().ok())))
        };
        let items = |caution: &CautionOut| caution.at.iter().filter_map(item).collect();
        Self(cautions.iter().map(|caution| (caution.rule, items(caution))).collect())
    }

    /// The rules that are about this kind of work at one of these parts of the request.
    pub fn about(&self, kind: TaskKind, of: &[(&str, Option<usize>)]) -> Vec<&'static str> {
        let is_about = |rule: &&'static str| {
            let items = self.0.get(rule);
            items.is_some_and(|items| {
                items.is_empty() || of.iter().any(|(list, i)| items.contains(&((*list).to_owned(), *i)))
            })
        };
        kind.cautions().iter().map(|rule| rule.text().rule).filter(is_about).collect()
    }
}

impl Work<'_> {
    /// The same with the cautions that it gives reason for, in an answer in these units; worms on fresh feed have to wait.
    #[must_use]
    pub fn minding(self, cautions: Vec<&'static str>, units: System) -> Self {
        let is_first = self.kind == TaskKind::IntroduceWorms;
        let wait = worms_wait(&cautions, is_first, units);
        let note = wait.filter(|_| is_first || self.takes_worms_back).or(self.note);
        Self { note, cautions, ..self }
    }

    /// Its task, with the headings of the cautions that it gives reason for.
    pub fn task(&self, id: String, cautions: &[CautionOut]) -> Task {
        let weeks = self.weeks();
        let last = self.until.filter(|_| self.kind != TaskKind::Water).unwrap_or(self.on);
        let at = if self.at.is_empty() { String::new() } else { format!(": {}", self.at) };
        let is_last_day = matches!(self.kind, TaskKind::StartProduction | TaskKind::BuySacks | TaskKind::UseLot);
        Task {
            id,
            when: When::Days(self.on, last),
            weeks,
            summary: format!(
                "{}{at}{}",
                capitalised(&self.action(weeks)),
                if self.is_overdue { " (overdue)" } else { "" }
            ),
            details: self.details(weeks, cautions).join("\n"),
            reminder: (is_last_day && !self.is_overdue).then_some(Reminder::Week),
        }
    }

    /// Over how many weeks its amount is spread evenly.
    #[must_use]
    pub fn weeks(&self) -> u32 {
        self.kind.weeks(self.on, self.until)
    }

    /// What is done with how much of it: `water with 2 buckets (24 L) each week`, for an equal part of several weeks.
    #[must_use]
    pub fn action(&self, weeks: u32) -> String {
        let amount = self.volume.map(|volume| {
            let collected = self.collect.map_or(volume, |of| &of.volume);
            counted_beside((&likely(volume, weeks), &part(collected, weeks)), self.in_containers, weeks)
        });
        let amount = amount.unwrap_or_default();
        let by = self.by.filter(|by| *by != self.on).map(|by| format!(", needed by {}", day(by))).unwrap_or_default();
        let last_day_to = if self.is_overdue { "" } else { "last day to " };
        match self.kind {
            TaskKind::StartProduction => {
                let sure = self.sure.map(|sure| format!(", {sure}")).unwrap_or_default();
                format!("{last_day_to}start producing {amount}{sure}{by}")
            }
            TaskKind::UseLot => format!("use {amount} of castings, which no demand takes, or lose them"),
            TaskKind::BuySacks => format!("{last_day_to}buy {}{by}", sacks(self.sacks.unwrap_or_default())),
            TaskKind::IntroduceWorms => {
                format!("introduce {} of worms", self.mass.map(|mass| shown(&likely(mass, 1))).unwrap_or_default())
            }
            TaskKind::LayFeed => self.lay(&amount),
            TaskKind::Water if weeks > 1 => format!("water with {amount} each week"),
            TaskKind::Water if self.until.is_some() => format!("water with {amount} in all"),
            TaskKind::Water => format!("water with {amount}"),
            TaskKind::LetFinish => "lay no more feed, let the bed finish".to_owned(),
            TaskKind::Harvest => format!("take out {amount} of castings and spread them to dry"),
            TaskKind::SieveAndStore => format!("sieve and store {amount} of castings"),
            TaskKind::Apply => format!("apply {amount} of castings"),
            TaskKind::Brew => brewed(&amount, self.water, self.batches),
            TaskKind::UseTea => used(&amount, self.water.zip(self.volume)),
        }
    }

    /// What is taken of each material of a mix, `take 352 buckets of leaves`, or the hours of a tea.
    #[must_use]
    pub fn further(&self) -> Option<String> {
        let taken = (!self.materials.is_empty()).then(|| format!("take {}", self.materials));
        taken.or_else(|| self.hours.map(str::to_owned))
    }

    /// `lay 120 mm of leaves (loose), 1440 L as laid, from about 4030 L as collected`
    fn lay(&self, amount: &str) -> String {
        let feed = materials_in_words(self.feed.unwrap_or("feed"));
        let lay = match self.depth {
            Some(depth) => format!("lay {} of {feed}, {amount}", shown(&likely(depth, 1))),
            None => format!("lay {amount} of {feed}"),
        };
        let collected = |of: &CollectOut| counted(&likely(&of.volume, 1), &of.in_containers, 1);
        self.collect.map(|of| format!("{lay} as laid, from about {} as collected", collected(of))).unwrap_or(lay)
    }

    /// Amounts, containers, what to mind: one on a line.
    fn details(&self, weeks: u32, cautions: &[CautionOut]) -> Vec<String> {
        let one = |amount: &QuantityOut| shown(&part(amount, weeks));
        let amounts = [self.volume, self.mass, self.depth].into_iter().flatten().map(one);
        let layer = self.layer.map(|layer| format!("layer {layer}"));
        let all = self.volume.zip(self.until).filter(|_| weeks > 1);
        let all = all.map(|(all, last)| format!("{} in all, from {} to {}", shown(all), day(self.on), day(last)));
        let headings = self.cautions.iter().filter_map(|rule| heading(rule, cautions));
        let further = self.further().map(|text| capitalised(&text));
        amounts
            .chain(further)
            .chain(self.sacks.map(sacks))
            .chain(containers(self.in_containers.iter().map(|amount| part(&amount, weeks))))
            .chain(layer)
            .chain(all)
            .chain(self.note.clone())
            .chain(headings)
            .collect()
    }
}

/// What to do before worms go onto feed with these cautions, the first time or after a harvest, in an answer in these units; `None` where
/// nothing is.
pub fn worms_wait(cautions: &[&str], is_first: bool, units: System) -> Option<String> {
    let text = if is_first { before_worms } else { before_worms_go_back };
    text(cautions, units == System::Us)
}

/// What tells an entry on worms without feed from others at its bed.
pub const UNFED: &str = "worms_unfed";

/// The same of a bed that gets its worms in the plan or has them, and that is fed again after a harvest or not.
pub fn worms_wait_in_all(cautions: &[&str], (is_new, is_fed_again): (bool, bool), units: System) -> Option<String> {
    let wait = worms_wait(cautions, true, units)?;
    match (is_new, is_fed_again) {
        (true, true) => Some(format!("{wait} The same holds after each harvest, when its worms go back.")),
        (true, false) => Some(wait),
        (false, true) => Some(format!("After each harvest, when its worms go back: {}", uncapitalised(&wait))),
        (false, false) => None,
    }
}

/// The last day to feed the worms of a bed, which have no feed from then on, as this text says.
pub fn worms_unfed(id: String, at: &str, (on, text, is_past): (NaiveDate, String, bool)) -> Task {
    let at = if at.is_empty() { String::new() } else { format!(": {at}") };
    Task {
        id,
        when: When::Days(on, on),
        weeks: 1,
        summary: format!("Last day to feed the worms{at}"),
        details: capitalised(&text),
        reminder: (!is_past).then_some(Reminder::Week),
    }
}

/// An equal part of an amount.
fn part(amount: &QuantityOut, parts: u32) -> QuantityOut {
    let share_of = |value: Number| Number::rounded(value.get() / f64::from(parts));
    QuantityOut {
        value: share_of(amount.value),
        low: amount.low.map(share_of),
        high: amount.high.map(share_of),
        ..amount.clone()
    }
}

/// `2½ buckets (30.3 L)`: an amount that is an equal part of what is counted in the caller's containers; the amount alone
/// where no count of them is near.
pub fn counted(amount: &QuantityOut, in_containers: &InContainers, parts: u32) -> String {
    counted_beside((amount, amount), in_containers, parts)
}

/// The same in the unit of another amount, to be compared with it.
fn counted_beside((amount, other): (&QuantityOut, &QuantityOut), in_containers: &InContainers, parts: u32) -> String {
    let amount = shown_beside(amount, other);
    in_own(in_containers.iter(), parts).map_or_else(|| amount.clone(), |counted| format!("{counted} ({amount})"))
}

/// So far a count of containers may lie from an amount that is not given beside it, as a share of it. Source: how this service works.
const NEARER: f64 = 0.05;

/// `284 buckets`: the amount in those of the caller's containers that say it nearly; `None` where none does.
pub fn measured(in_containers: &InContainers) -> Option<String> {
    in_own(in_containers.iter().filter(|of| is_near(of, NEARER)), 1)
}

/// `2½ buckets`: an equal part of what is counted in the caller's containers; `None` where no count is near.
fn in_own(in_containers: impl Iterator<Item = QuantityOut>, parts: u32) -> Option<String> {
    in_one(in_containers.map(|amount| part(&amount, parts))).map(|count| container(&likely(&count, 1)))
}

/// The text with a small letter at its beginning.
pub fn uncapitalised(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_lowercase().chain(chars).collect()).unwrap_or_default()
}

/// The likely value of an equal part of an amount.
pub fn likely(amount: &QuantityOut, parts: u32) -> QuantityOut {
    QuantityOut { low: None, high: None, ..part(amount, parts) }
}

/// `1 sack`, `3 sacks`
pub fn sacks(count: u64) -> String {
    number_of(count, ["sack", "sacks"])
}

/// The heading of a caution, if the answer has it: `Mind the depth of layers`, or `Warning: Protect yourself from dust and germs`.
pub fn heading(rule: &str, cautions: &[CautionOut]) -> Option<String> {
    let caution = cautions.iter().find(|caution| caution.rule == rule)?;
    let warning = if caution.severity == Severity::Warning.as_str() { "Warning: " } else { "" };
    Some(format!("{warning}{}", caution.heading))
}

/// The name space of the ids of tasks: chosen once at random.
const SPACE: Uuid = Uuid::from_u128(0x6f2d_2a0e_83c4_4b57_9d1b_c7e0_5a94_1f36);

/// Ids of tasks: name-based UUIDs (RFC 9562, section 5.5; RFC 7986, section 5.3, asks for ids that tell nothing) of what is done and what
/// for, never of when, so importing again updates.
#[derive(Default)]
pub struct Ids {
    seen: HashMap<String, u32>,
}

impl Ids {
    /// The id of a task that these parts tell from others; the same parts again get the next id. Every part is written with its length,
    /// so that no two of them run into one another.
    pub fn next<'p>(&mut self, parts: impl IntoIterator<Item = &'p str>) -> String {
        check();
        let key: String = parts.into_iter().map(|part| format!("{}:{part};", part.len())).collect();
        let before = self.seen.entry(key.clone()).or_default();
        let id = Uuid::new_v5(&SPACE, format!("{key}{before}").as_bytes()).to_string();
        *before += 1;
        id
    }
}

/// What tells an answer from others: its id, else its name.
pub fn scope(id: Option<&str>, name: Option<&str>) -> String {
    match (id, name) {
        (Some(id), _) => format!("id {id}"),
        (None, Some(name)) => format!("name {name}"),
        (None, None) => String::new(),
    }
}

/// What tells an item from others of its list: its id, else its place, which no id can imitate.
pub fn item(of: Option<&ReferenceOut>) -> String {
    of.map(|of| place((of.index, of.id.as_ref()))).unwrap_or_default()
}

/// The same of an item whose place and id are known.
pub fn place((index, id): (usize, Option<&String>)) -> String {
    id.map_or_else(|| format!("index {index}"), |id| format!("id {id}"))
}
