//! The season as a sheet to print: is there enough, who gets what, what closes the gap, and what to do in which week.

mod beds;
mod weeks;

pub(super) use weeks::amounts;

use super::SeasonsAnswer;
use super::answer::MeasureOut;
use crate::http::output::explained::how_it_is_computed;
use crate::http::output::page::{breakable, page, shown};
use crate::http::rooms::sheets::{Ledger, chart, day, demands, gap};
use maud::{Markup, PreEscaped, html};

/// Writes the sheet.
#[must_use]
pub fn write(answer: &SeasonsAnswer) -> String {
    let ledger = Ledger::from(answer);
    let title = ledger.title.unwrap_or("A season of castings");
    let sections = html! {
        p.small {
            @if let Some(today) = answer.as_of { "As of " (day(today)) ", until " (day(answer.until)) }
            @else { "Until " (day(answer.until)) }
            @if let Some(revision) = answer.revision { "; revision " (revision) }
        }
        (ledger.in_words())
        figure { (PreEscaped(chart::chart(&ledger, false))) }
        (demands::who_gets_what(&ledger))
        (gap::close_the_gap(&ledger))
        (demands::stock(&answer.stock))
        (beds::beds(answer))
        (weeks::weeks(&answer.work))
        (measure_first(answer))
    };
    page(
        title,
        &html! { (sections) (how_it_is_computed(answer.explanations.as_deref())) },
        &answer.cautions,
        &answer.assumptions,
    )
}

/// What to know better first.
fn measure_first(answer: &SeasonsAnswer) -> Markup {
    html! {
        @if !answer.measure_first.is_empty() {
            h2 { "What to measure first" }
            p.lead {
                "What is over or short on the worst day"
                @if let Some(on) = answer.chances.as_ref().and_then(|chances| chances.worst_on) { ", " (day(on)) "," }
                " hangs most on:"
            }
            table {
                thead {
                    tr { th { "what" } th { "how" } th.n { "share of variance" } th.n { "range narrows to" } }
                }
                @for measure in &answer.measure_first {
                    tr {
                        td.id { (what(measure)) }
                        td { (measure.measure_it.unwrap_or("–")) }
                        td.n { (shown(&measure.share_of_variance)) }
                        td.n { (shown(&measure.narrows_to)) }
                    }
                }
            }
        }
    }
}

fn what(measure: &MeasureOut) -> Markup {
    let text = match (measure.assumption, &measure.stock, &measure.demand) {
        (Some(id), ..) => return breakable(id),
        (None, Some(lot), _) => format!("the amount of {}", lot.called("lot")),
        (None, None, Some(demand)) => format!("the amount of {}", demand.called("demand")),
        (None, None, None) => String::new(),
    };
    html! { (text) }
}
