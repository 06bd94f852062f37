//! Whether there is enough, in two sentences: the same in every form of an answer.

use super::{BalanceParts, DemandOut, StockOut};
use crate::http::present::words::{alike, day, name_of, times};
use chrono::NaiveDate;

impl BalanceParts {
    /// The headline of a balance, and of a season with how sure it is. Demands whose last day has passed come first,
    /// since they still take castings.
    #[must_use]
    pub fn headline(&self, sure: Option<&str>) -> String {
        let total = &self.total;
        let [needed, left] = alike([&total.needed, &total.remaining]);
        let past = past(&self.demands);
        let plan = if total.shortfall.value.get() > 0.0 {
            let first = self.first_short().map(|(_, first)| first).unwrap_or_default();
            let [short, needed] = alike([&total.shortfall, &total.needed]);
            // Beside what the runs say, that is one of several figures.
            let likely = if sure.is_some() { " at the likely values" } else { "" };
            format!("Not enough. {short} of the {needed} needed are missing{likely}{first}.")
        } else {
            let in_time = if past.is_some() { "" } else { " in time" };
            format!("Enough. Every demand gets all of its castings{in_time}, {needed} in all; {left} remain.")
        };
        let sure = sure.map(|sure| format!(" {sure}"));
        let past = past.map(|past| past + " ").unwrap_or_default();
        let [otherwise, expired] =
            [otherwise_by_content(&self.demands), expired(&self.stock)].map(Option::unwrap_or_default);
        past + &plan + &otherwise + &expired + &sure.unwrap_or_default()
    }
}

impl StockOut {
    /// What it is called, at its place in the list.
    pub(in crate::http::resources) fn called(&self, index: usize) -> String {
        name_of(self.name.as_deref(), self.id.as_deref(), "lot", index)
    }
}

impl DemandOut {
    /// What it is called, at its place in the list.
    pub(in crate::http::resources) fn called(&self, index: usize) -> String {
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
    let past: Vec<String> = past.map(|(index, lot)| lot.called(index)).collect();
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
            "The last day of 1 demand has passed, and it still takes castings ({named}). If it was served, remove it. If not, give it a later day."
        )),
        count => Some(format!(
            "The last day of {count} demands has passed, and they still take castings ({named}). If they were served, remove them. If not, give them a later day."
        )),
    }
}

impl BalanceParts {
    /// The day on which something is short first, as the headline names it.
    #[must_use]
    pub fn first_short_on(&self) -> Option<NaiveDate> {
        self.first_short().map(|(on, _)| on)
    }

    /// The day on which something is short first, and how the headline says that: who is short, and why somebody gets less before the
    /// day by which not everybody can be served, since the plan shares evenly with those who have later days, or keeps castings for those
    /// who come first.
    fn first_short(&self) -> Option<(NaiveDate, String)> {
        let on = self.first_shortfall_on?;
        let on_that_day = self.short_on.iter().find(|(date, _)| *date == on).map(|(_, demand)| *demand);
        let Some((last, less)) = self.short_on.first().copied().filter(|(last, _)| *last < on) else {
            let who = on_that_day.map(|demand| format!(" ({})", self.called(demand))).unwrap_or_default();
            return Some((on, format!(", first on {}{who}", day(on))));
        };
        let (name, on_last) = (self.called(less), day(last));
        if on_that_day == Some(less) {
            return Some((last, format!(", first for {name} on {on_last}, since its days get equal shares")));
        }
        let is_alike = |demand: &usize| self.priority(*demand) == self.priority(less);
        if let Some(first) = on_that_day.filter(is_alike).map(|demand| self.called(demand)) {
            let first =
                format!(", first on {} ({first}); as shares are equal, {name} already gets less on {on_last}", day(on));
            return Some((on, first));
        }
        Some((last, format!(", first for {name} on {on_last}{}", self.before(less, last))))
    }

    /// Who has priority over a demand, and castings that it could use on its last day: `, since leeks has priority`.
    fn before(&self, less: usize, last: NaiveDate) -> String {
        let is_first = |demand: &DemandOut| {
            Some(demand.priority) < self.priority(less)
                && demand.allocated.value.get() > 0.0
                && demand.latest.is_none_or(|other| other > last)
        };
        let demands = self.demands.iter().enumerate().filter(|(_, demand)| is_first(demand));
        let first: Vec<String> = demands.map(|(i, demand)| demand.called(i)).collect();
        match first.as_slice() {
            [] => String::new(),
            [one] => format!(", since {one} has priority"),
            [one, another] => format!(", since {one} and {another} have priority"),
            _ => ", since others have priority".to_owned(),
        }
    }

    fn called(&self, demand: usize) -> String {
        self.demands.get(demand).map(|of| of.called(demand)).unwrap_or_default()
    }

    fn priority(&self, demand: usize) -> Option<u8> {
        self.demands.get(demand).map(|of| of.priority)
    }
}
