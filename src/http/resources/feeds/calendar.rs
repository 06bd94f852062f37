//! The steps of a mix as a calendar of all-day events.

use super::FeedsAnswer;
use super::answer::{MaterialOut, StepOut};
use super::describe::{lay_next, name};
use crate::garden::cautions::Rule;
use crate::garden::feeds::StepKind;
use crate::http::output::QuantityOut;
use crate::http::present::calendar::{Calendar, Task, When};
use crate::http::present::words::shown;
use crate::http::resources::calendar::{Ids, counted, heading, likely, scope};
use crate::http::resources::harvests::LayerOut as DatedLayerOut;
use crate::http::wire::{ErrorCode, JsonPath, RequestErrors, capitalised};

/// A task for each step and each dated layer; or an error at `start_on` where the steps have no dates.
pub fn calendar(answer: &FeedsAnswer) -> Result<Calendar, RequestErrors> {
    let mut ids = Ids::default();
    let feed = format!("feed {}", scope(answer.id.as_deref(), answer.name.as_deref()));
    let task = |step: &StepOut| task(answer, step, ids.next([feed.as_str(), step.kind]));
    let tasks = answer.steps.iter().map(task).collect::<Option<Vec<_>>>();
    let dated = answer.layers.iter().flat_map(|laid| &laid.dated).enumerate();
    let count = dated.clone().count();
    let thin = answer.layers.as_ref().and_then(|laid| laid.thin_last.as_ref());
    let later = dated.map(|(at, laid)| {
        let id = ids.next([feed.as_str(), "layer", &at.to_string()]);
        // That holds of the last two.
        layer(answer, laid, (id, thin.filter(|_| at + 2 >= count)))
    });
    let later: Vec<Task> = later.collect();
    tasks
        .map(|tasks| Calendar { product: "Feed", revision: None, tasks: tasks.into_iter().chain(later).collect() })
        .ok_or_else(|| {
            let errors = RequestErrors::body();
            let detail = "A calendar needs dates: give start_on, the first day of work.";
            errors.push(JsonPath::root().field("start_on"), ErrorCode::MissingField, detail);
            errors
        })
}

/// A later layer on its day, with what to do with a last, thin one.
fn layer(answer: &FeedsAnswer, laid: &DatedLayerOut, (id, thin): (String, Option<&String>)) -> Task {
    let amount = |amount: &QuantityOut| shown(&likely(amount, 1));
    let summary = format!("lay feed: {}, {} deep", amount(&laid.volume), amount(&laid.depth));
    let next = format!("Lay it {}. Put it on a part of the bed first if it may heat.", lay_next(answer));
    Task {
        id,
        when: When::Days(laid.on, laid.on),
        weeks: 1,
        summary: titled(answer.name_or_id(), &summary),
        details: prepared(answer).into_iter().chain([next]).chain(thin.cloned()).collect::<Vec<_>>().join("\n"),
        reminder: None,
    }
}

/// What is to be done before a later layer, and how long before: `Begin 5 days before: soak, stir daily, mix.`
fn prepared(answer: &FeedsAnswer) -> Option<String> {
    let steps = || answer.steps.iter().filter(|step| step.is_by_layer);
    let first = steps().map(|step| step.starts_day).min()?;
    let days = steps().map(|step| step.ends_day).max()?.saturating_sub(first);
    let begin = match days {
        0 => "Begin on the day".to_owned(),
        1 => "Begin the day before".to_owned(),
        _ => format!("Begin {days} days before"),
    };
    let kinds: Vec<String> = steps().map(|step| step.kind.replace('_', " ")).collect();
    Some(format!("{begin}: {}.", kinds.join(", ")))
}

fn task(answer: &FeedsAnswer, step: &StepOut, id: String) -> Option<Task> {
    let title = answer.name_or_id();
    let summary = summary(answer, step);
    let is_dusty = step.kind == StepKind::Shred.as_str() || step.kind == StepKind::ShredAgain.as_str();
    let heading = is_dusty.then(|| heading(Rule::Shredding.text().rule, &answer.cautions)).flatten();
    Some(Task {
        id,
        when: When::Days(step.starts_on?, step.ends_on?),
        weeks: 1,
        summary: titled(title, &summary),
        details: heading.into_iter().chain([step.text.clone()]).collect::<Vec<_>>().join("\n"),
        reminder: None,
    })
}

/// `Autumn heap: soak`, or `Soak` where the request has no name.
fn titled(title: Option<&str>, summary: &str) -> String {
    title.map_or_else(|| capitalised(summary), |title| format!("{title}: {summary}"))
}

/// `soak: leaves of the lane 10 barrows (42.3 kg), with 94 L of water`
fn summary(answer: &FeedsAnswer, step: &StepOut) -> String {
    let layer_by_layer = if step.is_by_layer { ", layer by layer" } else { "" };
    let what = step.kind.replace('_', " ") + layer_by_layer;
    let named = step.materials.iter().filter_map(|of| Some((of.index, answer.materials.get(of.index)?)));
    let listed: Vec<String> = named.map(material).collect();
    let action = if listed.is_empty() { what } else { format!("{what}: {}", listed.join("; ")) };
    let (water, amount) = (&answer.water, |amount: &QuantityOut| shown(&likely(amount, 1)));
    let starter = Some(&water.starter).filter(|starter| starter.value.get() > 0.0);
    let starter = starter.map(|starter| format!(" and {} of starter", amount(starter))).unwrap_or_default();
    let extra =
        [(Some(&water.extra), "with", "of extra water"), (water.to_usual_moisture.as_ref(), "and add", "of water")];
    let extra = extra
        .into_iter()
        .filter_map(|(water, before, after)| Some((water.filter(|water| water.value.get() > 0.0)?, before, after)));
    let extra: String = extra.map(|(water, before, after)| format!(", {before} {} {after}", amount(water))).collect();
    let more = [
        (StepKind::Soak, format!(", with {} of water{starter}", amount(&water.soak))),
        (StepKind::RehydrateManure, format!(", with {} of water", amount(&water.rehydration))),
        (StepKind::Mix, format!(": {} in all{}", amount(&answer.mix.mass), extra)),
    ];
    let hot = answer
        .hot_composting
        .as_ref()
        .map(|hot| (StepKind::HotComposting, format!(", with {} of water", amount(&hot.water_to_add))));
    let more = more.into_iter().chain(hot).find(|(kind, _)| kind.as_str() == step.kind).map(|(_, more)| more);
    let layer = answer.layers.as_ref().filter(|_| step.kind == StepKind::FirstLayer.as_str());
    let layer = layer.map(|laid| format!(": {}, {} deep", amount(&laid.first.volume), amount(&laid.first.depth)));
    format!("{action}{}", more.or(layer).unwrap_or_default())
}

/// `leaves of the lane 10 barrows (42.3 kg)`
fn material((index, item): (usize, &MaterialOut)) -> String {
    format!("{} {}", name((index, item)), counted(&likely(&item.mass, 1), &item.in_containers, 1))
}
