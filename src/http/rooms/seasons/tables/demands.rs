//! The demands, one row for each.

use super::super::SeasonsAnswer;
use super::{optional, unit, with_unit, words, yes};
use crate::http::output::quantity::Role;
use crate::http::rooms::balances::DemandOut;
use crate::http::rooms::{cell, column};

/// The rows, header first.
pub fn table(answer: &SeasonsAnswer) -> Vec<Vec<String>> {
    let bulk = unit(answer, Role::Bulk);
    let mut header = words(&["index", "id", "name", "first_day", "last_day", "past", "priority"]);
    header.extend(with_unit(&["wanted", "given", "short"], bulk));
    header.extend(words(&["share_given_%", "chance_%", "whole_wanted", "whole_given"]));
    header.extend(with_unit(&["least", "would_have_given"], bulk));
    header.extend(words(&["rate_kind", "rate_given", "rate_unit", "draws", "dig_in_by"]));
    let measures = answer.demands.first().map(|demand| demand.in_measures.as_slice()).unwrap_or_default();
    header.extend(measures.iter().map(|measure| column("given", &measure.unit)));
    header.push("cautions".to_owned());
    std::iter::once(header).chain(answer.demands.iter().enumerate().map(row)).collect()
}

fn row((index, demand): (usize, &DemandOut)) -> Vec<String> {
    let draws = demand.draws.iter().map(|draw| {
        let on = draw.on.map(|on| format!(" on {on}")).unwrap_or_default();
        let wait = draw.wait_told().map(|wait| format!(" ({wait})")).unwrap_or_default();
        format!("{} {} from {}{on}{wait}", draw.given.value, draw.given.unit, draw.lot())
    });
    let (whole, dropped, rate) = (demand.whole.as_ref(), demand.dropped.as_ref(), demand.rate_given.as_ref());
    let mut row = vec![
        index.to_string(),
        optional(demand.id.as_ref()),
        optional(demand.name.as_ref()),
        optional(demand.earliest),
        optional(demand.latest),
        yes(demand.past),
        demand.priority.to_string(),
        cell(Some(&demand.wanted)),
        cell(Some(&demand.given)),
        cell(Some(&demand.short)),
        cell(Some(&demand.share_given)),
        cell(demand.chance.as_ref()),
        optional(whole.map(|whole| whole.wanted)),
        optional(whole.map(|whole| whole.given)),
        cell(dropped.map(|dropped| &dropped.least)),
        cell(dropped.map(|dropped| &dropped.would_have_given)),
        optional(rate.map(|rate| rate.kind)),
        cell(rate.map(|rate| &rate.amount)),
        optional(rate.map(|rate| rate.amount.unit.as_ref())),
        draws.collect::<Vec<_>>().join("; "),
        optional(demand.dig_in_by),
    ];
    row.extend(demand.in_measures.iter().map(|measure| measure.value.to_string()));
    row.push(demand.cautions.join(" "));
    row
}
