//! Whether there is enough, in two sentences: the same in every form of an answer.

use super::{BalanceParts, DemandOut};
use crate::http::output::QuantityOut;
use crate::http::present::words::{chance, day, name_of, shown};
use chrono::NaiveDate;

impl BalanceParts {
    /// The headline of a balance, and of a season with the chance that everybody gets all.
    #[must_use]
    pub fn headline(&self, enough: Option<&QuantityOut>) -> String {
        let (total, needed) = (&self.total, shown(&self.total.needed));
        let plan = if total.shortfall.value.get() > 0.0 {
            let first = first_short(self.first_shortfall_on, &self.demands);
            let first = first.map(|first| format!(" ({first})")).unwrap_or_default();
            let on = self.first_shortfall_on.map(|on| format!(", first on {}{first}", day(on))).unwrap_or_default();
            let before = first_less(self.first_shortfall_on, &self.demands).unwrap_or_default();
            format!("Not enough. {} of the {needed} needed are missing{on}{before}.", shown(&total.shortfall))
        } else {
            let left = shown(&total.remaining);
            format!("Enough. Every demand gets all of its castings in time, {needed} in all; {left} remain.")
        };
        let sure = enough.map(|enough| {
            format!(" The chance that everybody gets all in time is {}, if the ranges shown are right.", chance(enough))
        });
        plan + &otherwise_by_content(&self.demands).unwrap_or_default() + &sure.unwrap_or_default()
    }
}

/// Who gets all of its volume but too little of what it counts, or all of that by less volume, since its lots hold less or more than the
/// volume was computed with.
fn otherwise_by_content(demands: &[DemandOut]) -> Option<String> {
    let otherwise = demands.iter().enumerate().filter_map(|(index, demand)| {
        let (content, is_full) = (demand.content.as_ref()?, demand.shortfall.value.get() <= 0.0);
        (content.is_enough() != is_full)
            .then(|| (name_of(demand.name.as_deref(), demand.id.as_deref(), "demand", index), content))
    });
    let otherwise: Vec<_> = otherwise.collect();
    let (name, content) = otherwise.first()?;
    let than_assumed = if content.is_enough() { "more" } else { "less" };
    let others = match otherwise.len() {
        1 => String::new(),
        count => format!(" See who gets what for {} more.", count - 1),
    };
    let what = content.in_words();
    Some(format!(" But the castings of {name} hold {than_assumed} than assumed: the volume {what}.{others}"))
}

/// What is short on the first day of shortfall.
fn first_short(on: Option<NaiveDate>, demands: &[DemandOut]) -> Option<String> {
    let short = |d: &DemandOut| d.shortfall.value.get() > 0.0 && d.latest == on;
    let (index, demand) = demands.iter().enumerate().find(|(_, demand)| short(demand))?;
    Some(name_of(demand.name.as_deref(), demand.id.as_deref(), "demand", index))
}

/// Who gets less before the first day of shortfall already, since the plan shares what there is with those who are due later.
fn first_less(on: Option<NaiveDate>, demands: &[DemandOut]) -> Option<String> {
    let is_earlier =
        |d: &DemandOut| d.shortfall.value.get() > 0.0 && d.latest.zip(on).is_some_and(|(last, on)| last < on);
    let earlier = demands.iter().enumerate().filter(|(_, demand)| is_earlier(demand));
    let (index, demand) = earlier.min_by_key(|(_, demand)| demand.latest)?;
    let name = name_of(demand.name.as_deref(), demand.id.as_deref(), "demand", index);
    Some(format!("; shared evenly, {name} gets less already on {}", demand.latest.map(day).unwrap_or_default()))
}
