//! What the sheets to print and the charts of several questions share: stock against demand as words, tables and a drawing.

pub mod axes;
pub mod chart;
pub mod curves;
pub mod demands;
pub mod forecast;
pub mod gap;
pub mod prepare;
pub mod words;

use crate::http::output::QuantityOut;
use crate::http::output::page::shown;
use crate::http::rooms::balances::{BalanceTotal, BalancesAnswer, DayOut, DemandOut, GapOut};
use crate::http::rooms::seasons::{ChancesOut, SeasonsAnswer};
use chrono::NaiveDate;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Stock against demand, of a balance or of a season.
#[derive(Debug, Clone, Copy)]
pub struct Ledger<'a> {
    /// Its name, else its id.
    pub title: Option<&'a str>,
    /// The last day, where there is one.
    pub until: Option<NaiveDate>,
    /// All together.
    pub total: &'a BalanceTotal,
    /// The last day on which the first shortage could have been met.
    pub first_short_on: Option<NaiveDate>,
    /// The demands.
    pub demands: &'a [DemandOut],
    /// On hand before the first date.
    pub opening: &'a QuantityOut,
    /// The days on which something happens.
    pub by_date: &'a [DayOut],
    /// How sure that is.
    pub chances: Option<&'a ChancesOut>,
    /// What would close the gap.
    pub gap: &'a GapOut,
}

impl<'a> From<&'a SeasonsAnswer> for Ledger<'a> {
    fn from(answer: &'a SeasonsAnswer) -> Self {
        Self {
            title: answer.name.as_deref().or(answer.id.as_deref()),
            until: Some(answer.until),
            total: &answer.total,
            first_short_on: answer.first_short_on,
            demands: &answer.demands,
            opening: &answer.opening,
            by_date: &answer.by_date,
            chances: answer.chances.as_ref(),
            gap: &answer.close_the_gap,
        }
    }
}

impl<'a> From<&'a BalancesAnswer> for Ledger<'a> {
    fn from(answer: &'a BalancesAnswer) -> Self {
        Self {
            title: answer.name.as_deref().or(answer.id.as_deref()),
            until: None,
            total: &answer.total,
            first_short_on: answer.first_short_on,
            demands: &answer.demands,
            opening: &answer.opening,
            by_date: &answer.by_date,
            chances: None,
            gap: &answer.close_the_gap,
        }
    }
}

impl Ledger<'_> {
    /// The unit of its castings.
    #[must_use]
    pub fn unit(&self) -> &str {
        &self.total.wanted.unit
    }

    /// Castings wanted by the end of each day on which something is due. A demand without a last day is due on the last of all
    /// days; none where there is no date at all. A tea in several rounds is due round by round where chances were drawn.
    #[must_use]
    pub fn wanted_by(&self) -> Vec<(NaiveDate, f64)> {
        if let Some(chances) = self.chances {
            return chances.by_date.iter().map(|by| (by.date, by.wanted.value.get())).collect();
        }
        let Some(end) = self.last_day() else { return Vec::new() };
        let mut days: BTreeMap<NaiveDate, f64> = BTreeMap::new();
        for demand in self.demands {
            *days.entry(demand.latest.unwrap_or(end)).or_default() += demand.wanted.value.get();
        }
        let mut sum = 0.0;
        let up_to = |(date, wanted)| {
            sum += wanted;
            (date, sum)
        };
        days.into_iter().map(up_to).collect()
    }

    /// The last of its days.
    fn last_day(&self) -> Option<NaiveDate> {
        let due = self.demands.iter().flat_map(|demand| [demand.earliest, demand.latest]).flatten();
        self.until.or_else(|| self.by_date.iter().map(|day| day.date).chain(due).max())
    }

    /// There from the start: on hand before the first date, and what was given from it on no particular day.
    #[must_use]
    pub fn there_at_first(&self) -> f64 {
        let undated = self.demands.iter().flat_map(|demand| &demand.draws).filter(|draw| draw.on.is_none());
        self.opening.value.get() + undated.map(|draw| draw.given.value.get()).sum::<f64>()
    }

    /// Whether there is enough, and how sure that is: two sentences.
    #[must_use]
    pub fn in_words(&self) -> Markup {
        let total = self.total;
        let enough = total.short.value.get() <= 0.0;
        html! {
            p {
                @if enough {
                    b { "Enough." } " All " (shown(&total.wanted)) " that are wanted are given in time, and "
                    (shown(&total.left)) " are left over."
                } @else {
                    b { "Not enough." } " " (shown(&total.short)) " of the " (shown(&total.wanted)) " wanted are short"
                    @if let Some(on) = self.first_short_on {
                        ", first on " (day(on))
                        @if let Some(first) = self.first_short() { " (" (first) ")" }
                    }
                    "."
                }
                @if let Some(sure) = self.how_sure() { " " (sure) }
            }
            @let too_early = self.too_early();
            @if !too_early.is_empty() {
                p {
                    b { "Not safe to harvest as planned:" } " " (too_early.join(", ")) ". Raw manure needs its wait before \
                    harvest; see under who gets what, and mind local rules."
                }
            }
        }
    }

    /// The demands whose wait after raw manure is not kept.
    fn too_early(&self) -> Vec<String> {
        let breaks = |d: &DemandOut| d.draws.iter().any(crate::http::rooms::balances::DrawOut::breaks_a_wait);
        self.demands.iter().enumerate().filter(|(_, d)| breaks(d)).map(|(i, d)| called(d, i)).collect()
    }

    /// What is short on the first day.
    fn first_short(&self) -> Option<String> {
        let on = self.first_short_on;
        let short = |d: &DemandOut| d.short.value.get() > 0.0 && d.latest == on;
        self.demands.iter().enumerate().find(|(_, d)| short(d)).map(|(i, d)| called(d, i))
    }

    fn how_sure(&self) -> Option<String> {
        let chances = self.chances?;
        let last = chances.by_date.last()?;
        let chance = chance(&last.chance);
        Some(format!(
            "The chance that on every day there are as many castings as are wanted by then is {chance}, {}.",
            chances.provided
        ))
    }
}

/// A day: `5 Apr 2027`.
#[must_use]
pub fn day(date: NaiveDate) -> String {
    date.format("%-d %b %Y").to_string()
}

/// A day, or a dash where there is none.
#[must_use]
pub fn day_or_dash(date: Option<NaiveDate>) -> String {
    date.map_or_else(|| "–".to_owned(), day)
}

/// Days from one to another, without saying twice what they share: `14–26 Sep 2026`.
#[must_use]
pub fn days(first: NaiveDate, last: NaiveDate) -> String {
    use chrono::Datelike;
    let form = match (first == last, first.year() == last.year(), first.month() == last.month()) {
        (true, ..) => return day(last),
        (_, true, true) => "%-d",
        (_, true, false) => "%-d %b",
        (_, false, _) => "%-d %b %Y",
    };
    format!("{}–{}", first.format(form), day(last))
}

/// What a demand is called.
#[must_use]
pub fn called(demand: &DemandOut, index: usize) -> String {
    name_of((demand.name.as_deref(), demand.id.as_deref()), "demand", index)
}

/// Its name, else its id, else what it is and its place counted from 1.
#[must_use]
pub fn name_of((name, id): (Option<&str>, Option<&str>), what: &str, index: usize) -> String {
    name.or(id).map_or_else(|| format!("{what} {}", index + 1), str::to_owned)
}

/// A chance: those at either end stand for all beyond.
#[must_use]
pub fn chance(chance: &QuantityOut) -> String {
    let value = chance.value.get();
    let beyond = if value >= 95.0 {
        " or more"
    } else if value <= 5.0 {
        " or less"
    } else {
        ""
    };
    format!("{}{beyond}", shown(chance))
}

/// In the caller's measures, one after the other.
#[must_use]
pub fn measures(list: &[QuantityOut]) -> String {
    list.iter().map(shown).collect::<Vec<_>>().join(", ")
}
