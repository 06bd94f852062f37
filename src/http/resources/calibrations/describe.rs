//! The answer described: what to do with it, what to measure next, what moved, what does not fit, and what a season gains.

use super::CalibrationsAnswer;
use super::answer::{CalibratedOut, FitOut, OneMoreRecordOut};
use super::forecasts::{called, in_words, of, others_of, record_called, recorded, what};
use super::record_names::advice;
use crate::http::output::QuantityOut;
use crate::http::present::words::shown;
use crate::http::present::{Description, Part};
use crate::http::resources::variants::OutcomeOut;
use crate::http::wire::capitalised;

/// Above this share a range does not narrow worth mentioning.
const HARDLY: f64 = 95.0;

/// Describes the answer.
pub(super) fn describe(answer: &CalibrationsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "What your records say");
    first(answer, &mut description);
    moved(answer, &mut description);
    misfits(answer, &mut description);
    season(answer, &mut description);
    description.section("Records and their forecasts", super::tables::records(answer));
    description.parts.push(Part::Chart(super::chart::chart(answer)));
    description.section("One more record", super::tables::one_more(answer));
    description.parts.push(Part::Details);
    description.section("Values", super::tables::values(answer));
    description
}

/// What to do with the answer, and what to measure next.
fn first(answer: &CalibrationsAnswer, description: &mut Description<'_>) {
    let off: Vec<String> = answer.records.iter().filter(|record| !record.fits).map(record_called).collect();
    if !off.is_empty() {
        description.stressed("First check the records that do not fit: ", format!("{}.", off.join(", ")));
    }
    if answer.calibrated_assumptions.is_empty() {
        description.stressed("These records do not change any value.", " Keep the assumptions that you have.");
    } else {
        let what = "Use these values in later requests: the JSON format of this answer has them ready to paste.";
        description.stressed(what, String::new());
    }
    if let Some(next) = next(&answer.one_more_record) {
        description.stressed("Next: ", next);
    }
}

/// What to measure next: what narrows the amount or the day of the next harvest most.
fn next(kinds: &[OneMoreRecordOut]) -> Option<String> {
    let least = |of: fn(&OneMoreRecordOut) -> &QuantityOut| {
        let by = |a: &&OneMoreRecordOut, b: &&OneMoreRecordOut| of(a).value.get().total_cmp(&of(b).value.get());
        kinds.iter().min_by(by).filter(|one| of(one).value.get() < HARDLY)
    };
    let (castings, day) = (least(|one| &one.castings_range_if_known), least(|one| &one.day_range_if_known));
    let to = in_words;
    match (castings, day) {
        (Some(castings), Some(day)) if castings.kind == day.kind => Some(format!(
            "{}. That narrows the range of the next harvest to {} of its width, and that of its day to {}.",
            advice(castings.kind),
            to(&castings.castings_range_if_known),
            to(&day.day_range_if_known)
        )),
        (None, None) => None,
        _ => {
            let of_castings = castings.map(|one| {
                let to = to(&one.castings_range_if_known);
                format!("{}. That narrows the range of the next harvest to {to} of its width.", advice(one.kind))
            });
            let of_day = day.map(|one| {
                let to = to(&one.day_range_if_known);
                format!(
                    "{}. That narrows the range of the day of the next harvest to {to} of its width.",
                    advice(one.kind)
                )
            });
            let both: Vec<String> = of_day.into_iter().chain(of_castings).collect();
            let mut both = both.into_iter();
            let first = both.next()?;
            Some(both.next().map_or(first.clone(), |second| format!("{first} And {second}")))
        }
    }
}

/// The values that moved, a sentence each.
fn moved(answer: &CalibrationsAnswer, description: &mut Description<'_>) {
    if answer.values.is_empty() {
        return;
    }
    description.heading("What moved");
    description.parts.push(Part::List(answer.values.iter().map(|value| sentence(value, answer)).collect()));
}

fn sentence(value: &CalibratedOut, answer: &CalibrationsAnswer) -> String {
    let edge = value.at_edge.map(|edge| format!(" {edge}")).unwrap_or_default();
    let by = most_by(value, answer).map(|by| format!(" {by}")).unwrap_or_default();
    format!("{}: {}; it was {}.{edge}{by}", called(value.id), in_words(&value.after), in_words(&value.before))
}

/// The record that moved a value most.
fn most_by(value: &CalibratedOut, answer: &CalibrationsAnswer) -> Option<String> {
    let moved = value.moved_by.as_deref()?;
    let by = |a: &&super::answer::MovedByOut, b: &&super::answer::MovedByOut| {
        a.by.value.get().abs().total_cmp(&b.by.value.get().abs())
    };
    let most = moved.iter().max_by(by).filter(|most| most.by.value.get() != 0.0 && answer.records.len() > 1)?;
    let sign = if most.by.value.get() > 0.0 { "+" } else { "" };
    Some(format!("{} changed it most, by {sign}{}.", most.record.called("Record"), shown(&most.by)))
}

/// The observations that do not fit, each with its likely reason.
fn misfits(answer: &CalibrationsAnswer, description: &mut Description<'_>) {
    let mut lines = Vec::new();
    for record in answer.records.iter().filter(|record| !record.fits) {
        let off = record.observations.iter().filter(|fit| !fit.fits);
        let mut reasons: Vec<String> = off.map(misfit).collect();
        reasons.extend(record.note.map(str::to_owned));
        lines.push((record_called(record), reasons));
    }
    if lines.is_empty() {
        description.paragraph("All records fit.");
        return;
    }
    description.heading("Records that do not fit");
    description.parts.push(Part::Lines(lines));
}

fn misfit(fit: &FitOut) -> String {
    let forecast = others_of(fit).map_or_else(
        || of(fit).map(|range| format!("{} was forecast", range.text)),
        |range| Some(format!("the other records suggest {}", range.text)),
    );
    let recorded = recorded(fit).map(|(_, text)| text).unwrap_or_default();
    let reason = fit.reason.unwrap_or_default();
    format!("{}: {recorded}; {}. It is {reason}.", capitalised(&what(fit)), forecast.unwrap_or_default())
}

/// The season without and with the block.
fn season(answer: &CalibrationsAnswer, description: &mut Description<'_>) {
    let Some(season) = &answer.season else { return };
    description.heading("The season");
    let line = |name: &str, outcome: &OutcomeOut| (name.to_owned(), vec![outcome.headline.clone()]);
    let lines = vec![line("Before", &season.before), line("With the calibrated assumptions", &season.after)];
    description.parts.push(Part::Lines(lines));
}
