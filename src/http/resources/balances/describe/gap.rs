//! What would close the shortfall, and what the plan does already.

use super::Account;
use super::additional_production::too_late;
use super::occasions;
use crate::garden::cautions::Rule;
use crate::http::output::{CautionOut, QuantityOut};
use crate::http::present::words::{day, shown};
use crate::http::present::{Description, Part};
use crate::http::resources::balances::{DemandOut, OptionOut};
use crate::http::resources::calendar::uncapitalised;

/// The options, where something is short; else what makes a season surer.
pub fn options(account: &Account<'_>, description: &mut Description<'_>) {
    if account.is_short() {
        let barred = barred_production(description);
        let past = all_past(account);
        let hint = unasked(account).filter(|_| barred.is_none() && past.is_none());
        let ways: Vec<String> = ways(account).into_iter().chain(barred).collect();
        if !ways.is_empty() || hint.is_some() || past.is_some() {
            description.heading("Options to close the shortfall");
        }
        if !ways.is_empty() {
            description.parts.push(Part::List(ways));
        } else if let Some(past) = past {
            description.paragraph(past);
        }
        description.parts.extend(hint);
    } else if let Some(surer) = reaching_90_percent(account).next() {
        description.heading("To be more certain that there is enough");
        description.parts.push(Part::List(vec![surer]));
    }
}

/// What is left to do where all that is short was needed before today.
fn all_past(account: &Account<'_>) -> Option<String> {
    let is_some = |amount: &QuantityOut| amount.value.get() > 0.0;
    let is_past = |of: &DemandOut| match of.occasions.as_slice() {
        [] => of.past,
        times => times.iter().filter(|time| is_some(&time.shortfall)).all(|time| time.past),
    };
    let short = account.demands.iter().enumerate().filter(|(_, of)| is_some(&of.shortfall));
    if !short.clone().all(|(_, of)| is_past(of)) {
        return None;
    }
    let names: Vec<String> = short.map(|(i, of)| of.called(i)).collect();
    Some(match names.as_slice() {
        [one] => format!(
            "It can no longer be closed, since the last day of {one} has passed. Give it a later day, or remove it."
        ),
        _ => "It can no longer be closed, since the last days of these demands have passed. Give them later days, or remove them."
            .to_owned(),
    })
}

/// What the plan serves later than it could.
pub fn served_later(account: &Account<'_>, description: &mut Description<'_>) {
    if !account.gap.served_later.is_empty() {
        description.heading("Served later, so that others get castings in time");
        let moved = account.gap.served_later.iter().map(|moved| {
            let first = moved.first_possible_on.map(|first| format!(" instead of {}", day(first))).unwrap_or_default();
            let time = moved.occasion.map(|occasion| format!(", time {occasion}")).unwrap_or_default();
            format!(
                "{}{time}: {} on {}{first}.",
                moved.demand.called("demand"),
                shown(&moved.amount),
                day(moved.allocated_on)
            )
        });
        description.parts.push(Part::List(moved.collect()));
        if account.chances.is_some() {
            let risk = "The chances assume this. A demand that is served later bears the risk that its castings come late or are too few.";
            description.paragraph(format!("{risk} To serve such a demand at once, give it an earlier last day."));
        }
    }
}

/// What is too late, what can be done, what the interval after raw manure bars, and what the plan drops.
fn ways(account: &Account<'_>) -> Vec<String> {
    let late = account.gap.additional_production.iter().filter_map(too_late);
    let options = late.chain(account.gap.options.iter().map(OptionOut::in_words));
    let options = options.chain(reaching_90_percent(account).next());
    let demands = account.demands.iter().enumerate();
    let barred =
        demands.clone().filter_map(|(i, of)| Some(format!("{}: {}", of.called(i), of.castings_barred.as_ref()?)));
    let dropped = demands.filter(|(_, demand)| demand.dropped.is_some() && !demand.past).map(|(i, demand)| {
        let nothing = demand.dropped.as_ref().is_some_and(|of| of.would_have_been_allocated.value.get() <= 0.0);
        let on_another_day = demand.dropped.as_ref().is_some_and(|of| account.keeps(&of.minimum));
        let why = match (nothing, on_another_day) {
            (true, true) => "nothing is left for it on its days. Choose another day",
            (true, false) => "nothing is left for it on its days",
            (false, true) => "it would get less than its minimum. Ask for less, or choose another day",
            (false, false) => "it would get less than its minimum. Ask for less",
        };
        format!("{} gets nothing in this plan, since {why}.", demand.called(i))
    });
    let dropped = dropped.chain(occasions::dropped(account));
    options.chain(barred).chain(dropped).collect()
}

/// What keeps castings that could be produced from those who are short.
fn barred_production(description: &Description<'_>) -> Option<String> {
    let is_reported = |rule: Rule| {
        let at_production = |caution: &CautionOut| caution.at.iter().any(|at| at == "/additional_production");
        description.cautions.iter().any(|caution| caution.rule == rule.text().rule && at_production(caution))
    };
    let ways = [
        is_reported(Rule::NotIncorporated).then_some("work it into the soil and harvest late enough"),
        is_reported(Rule::IntervalTooShort).then_some("harvest later"),
    ];
    let ways: Vec<&str> = ways.into_iter().flatten().collect();
    (!ways.is_empty()).then(|| {
        format!(
            "What could be produced counts as raw manure, and the interval before the harvest keeps it from crops that are short: produce from \
             materials without manure, or {}.",
            ways.join(", or ")
        )
    })
}

/// The sizes of a sack that the hint names, for litres and for other units.
const SACKS: [&str; 2] = ["40 L", "1.5 ft3"];

/// What the request could say, so that the answer has options that close the shortfall; nothing where it says one of these.
fn unasked(account: &Account<'_>) -> Option<Part> {
    let [litres, feet] = SACKS;
    let sack = if account.series.unit == "L" { litres } else { feet };
    let is_asked = !account.gap.sacks.is_empty() || !account.gap.additional_production.is_empty();
    (!is_asked).then(|| Part::Hint {
        words: format!(
            "To see what closes it and by when, say what a bought sack holds, for example {sack}, or what you could produce more castings \
             from"
        ),
        to_send: format!("add \"sack\": {{\"capacity\": \"{sack}\"}} or \"additional_production\" to the request"),
    })
}

/// What reaches a chance of 90 %, each in a line.
fn reaching_90_percent<'a>(account: &'a Account<'_>) -> impl Iterator<Item = String> + use<'a> {
    let line = |option: &OptionOut| format!("For 90 %, {}", uncapitalised(&option.in_words()));
    account.gap.reach_90_percent.iter().map(line)
}

/// All ways to a chance of 90 % but the first, which is among the options; and what was tried in vain.
pub fn more_for_90_percent(account: &Account<'_>, description: &mut Description<'_>) {
    let more: Vec<String> = reaching_90_percent(account).skip(1).chain(out_of_reach(account)).collect();
    if !more.is_empty() {
        let has_ways = reaching_90_percent(account).nth(1).is_some();
        description.heading(if has_ways {
            "More ways to a chance of 90 %"
        } else {
            "What does not reach a chance of 90 %"
        });
        description.parts.push(Part::List(more));
    }
}

/// What does not make it 90 % sure, in a line.
fn out_of_reach(account: &Account<'_>) -> Option<String> {
    let tried: Vec<&str> = account.gap.out_of_reach.iter().map(|tried| tried.text.as_str()).collect();
    (!tried.is_empty()).then(|| format!("Not enough for a chance of 90 %: {}.", tried.join("; ")))
}
