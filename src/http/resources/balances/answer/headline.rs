//! Whether there is enough, in two sentences: the same in every form of an answer.

use super::{BalanceParts, DemandOut, StockOut};
use crate::http::output::QuantityOut;
use crate::http::present::words::{chance, day, name_of, shown, shown_with_part, times};
use chrono::NaiveDate;

impl BalanceParts {
    /// The headline of a balance, and of a season with the chance that everybody gets all. Demands whose last day has passed come first,
    /// since they still take castings.
    #[must_use]
    pub fn headline(&self, enough: Option<&QuantityOut>) -> String {
        let total = &self.total;
        let [needed, short, left] = [&total.needed, &total.shortfall, &total.remaining].map(shown);
        let past = past(&self.demands);
        let plan = if total.shortfall.value.get() > 0.0 {
            let first = first_less(self.first_shortfall_on, &self.demands).unwrap_or_else(|| {
                let first = first_short(self.first_shortfall_on, &self.demands);
                let first = first.map(|first| format!(" ({first})")).unwrap_or_default();
                self.first_shortfall_on.map(|on| format!(", first on {}{first}", day(on))).unwrap_or_default()
            });
            let needed = shown_with_part(&total.needed, &total.shortfall);
            // Beside what the runs say, that is one of several figures.
            let likely = if enough.is_some() { " at the likely values" } else { "" };
            format!("Not enough. {short} of the {needed} needed are missing{likely}{first}.")
        } else {
            let in_time = if past.is_some() { "" } else { " in time" };
            format!("Enough. Every demand gets all of its castings{in_time}, {needed} in all; {left} remain.")
        };
        let sure = enough.map(|enough| {
            format!(" The chance that everybody gets all in time is {}, if the ranges shown are right.", chance(enough))
        });
        let past = past.map(|past| past + " ").unwrap_or_default();
        let [otherwise, expired] =
            [otherwise_by_content(&self.demands), expired(&self.stock)].map(Option::unwrap_or_default);
        past + &plan + &otherwise + &expired + &sure.unwrap_or_default()
    }
}

impl DemandOut {
    /// What it is called, at its place in the list.
    pub(in crate::http::resources::balances) fn called(&self, index: usize) -> String {
        name_of(self.name.as_deref(), self.id.as_deref(), "demand", index)
    }

    /// The times whose last day has passed, of a demand that repeats.
    fn past_times(&self) -> impl Iterator<Item = u32> {
        self.occasions.iter().filter(|time| time.past).map(|time| time.occasion)
    }

    /// Whether it takes castings though its last day, or that of one of its times, has passed.
    pub(super) fn takes_though_past(&self) -> bool {
        self.allocated.value.get() > 0.0 && (self.past || self.past_times().next().is_some())
    }
}

/// Who gets all of its volume but too little of what it counts, or all of that by less volume, since its lots hold less or more than the
/// volume was computed with.
fn otherwise_by_content(demands: &[DemandOut]) -> Option<String> {
    let otherwise = demands.iter().enumerate().filter_map(|(index, demand)| {
        let (content, is_full) = (demand.content.as_ref()?, demand.shortfall.value.get() <= 0.0);
        (content.is_enough() != is_full).then(|| (demand.called(index), content))
    });
    let otherwise: Vec<_> = otherwise.collect();
    let (name, content) = otherwise.first()?;
    let than_assumed = if content.is_enough() { "more" } else { "less" };
    let more_demands = match otherwise.len() {
        1 => String::new(),
        count => format!(" See who gets what for {} more.", count - 1),
    };
    let what = content.in_words();
    Some(format!(" But the castings of {name} hold {than_assumed} than assumed: the volume {what}.{more_demands}"))
}

/// So many demands are named in a sentence.
const NAMED: usize = 3;

/// The first of these names, and how many more there are.
fn first_named(names: &[String]) -> String {
    let named = names.iter().take(NAMED).map(String::as_str).collect::<Vec<_>>().join(", ");
    let more = names.len().checked_sub(NAMED).filter(|more| *more > 0);
    more.map(|more| format!("{named} and {more} more")).unwrap_or(named)
}

/// Of which lots something is left after their last day: it does not count any more.
fn expired(stock: &[StockOut]) -> Option<String> {
    let past = stock.iter().enumerate().filter(|(_, lot)| lot.past && lot.expired.value.get() > 0.0);
    let called = |(i, lot): (usize, &StockOut)| name_of(lot.name.as_deref(), lot.id.as_deref(), "lot", i);
    let past: Vec<String> = past.map(called).collect();
    let named = first_named(&past);
    match past.len() {
        0 => None,
        1 => Some(format!(" The use-by of 1 lot has passed, so what is left of it does not count ({named}).")),
        count => {
            Some(format!(" The use-by of {count} lots has passed, so what is left of them does not count ({named})."))
        }
    }
}

/// Whose last day has passed, and what to do about it.
fn past(demands: &[DemandOut]) -> Option<String> {
    let one = |of: (usize, &DemandOut)| {
        let passed: Vec<u32> = of.1.past_times().collect();
        if passed.is_empty() { of.1.called(of.0) } else { format!("{} ({})", of.1.called(of.0), times(&passed)) }
    };
    let taking = demands.iter().enumerate().filter(|(_, demand)| demand.takes_though_past());
    let passed: Vec<String> = taking.map(one).collect();
    let named = first_named(&passed);
    match passed.len() {
        0 => None,
        1 => Some(format!(
            "The last day of 1 demand has passed, and it still takes castings: take it out, or let it start later, if it was served ({named})."
        )),
        count => Some(format!(
            "The last day of {count} demands has passed, and they still take castings: take them out, or let them start later, if they were served ({named})."
        )),
    }
}

/// What is short on the first day of shortfall.
fn first_short(on: Option<NaiveDate>, demands: &[DemandOut]) -> Option<String> {
    demands
        .iter()
        .enumerate()
        .find(|(_, demand)| is_short(demand) && demand.latest == on)
        .map(|(i, demand)| demand.called(i))
}

fn is_short(demand: &DemandOut) -> bool {
    demand.shortfall.value.get() > 0.0
}

/// Who gets less before the first day of shortfall already, and why: since the plan shares evenly with those of its priority who are due
/// later, or keeps castings for those who come first.
fn first_less(on: Option<NaiveDate>, demands: &[DemandOut]) -> Option<String> {
    let on = on?;
    let earlier = demands.iter().enumerate().filter(|(_, demand)| is_short(demand) && demand.latest < Some(on));
    let less = earlier.filter(|(_, demand)| demand.latest.is_some()).min_by_key(|(_, demand)| demand.latest)?;
    let (name, last) = (less.1.called(less.0), less.1.latest?);
    let short = demands.iter().enumerate().find(|(_, demand)| is_short(demand) && demand.latest == Some(on));
    if let Some(first) = short.filter(|(_, demand)| demand.priority == less.1.priority) {
        let (on, last) = (day(on), day(last));
        return Some(format!(
            ", first on {on} ({}); shared evenly, {name} gets less already on {last}",
            first.1.called(first.0)
        ));
    }
    let is_first = |demand: &DemandOut| {
        demand.priority < less.1.priority
            && demand.allocated.value.get() > 0.0
            && demand.latest.is_none_or(|other| other > last)
    };
    let first: Vec<String> =
        demands.iter().enumerate().filter(|(_, demand)| is_first(demand)).map(|(i, demand)| demand.called(i)).collect();
    let why = match first.as_slice() {
        [] => String::new(),
        [one] => format!(", since {one} has priority"),
        [one, another] => format!(", since {one} and {another} have priority"),
        _ => ", since others have priority".to_owned(),
    };
    Some(format!(", first for {name} on {}{why}", day(last)))
}
