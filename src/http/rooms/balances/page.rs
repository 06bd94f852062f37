//! The balance as a sheet to print, and as a chart.

use super::BalancesAnswer;
use crate::http::output::explained::how_it_is_computed;
use crate::http::output::page::page;
use crate::http::rooms::sheets::{Ledger, chart, demands, gap};
use maud::{PreEscaped, html};

/// Writes the sheet.
#[must_use]
pub fn write(answer: &BalancesAnswer) -> String {
    let ledger = Ledger::from(answer);
    let sections = html! {
        (ledger.in_words())
        figure { (PreEscaped(chart::chart(&ledger, false))) }
        (demands::who_gets_what(&ledger))
        (gap::close_the_gap(&ledger))
        (demands::stock(&answer.stock))
    };
    page(
        ledger.title.unwrap_or("Stock against demand"),
        &html! { (sections) (how_it_is_computed(answer.explanations.as_deref())) },
        &answer.cautions,
        &answer.assumptions,
    )
}

/// Draws the chart.
#[must_use]
pub fn svg(answer: &BalancesAnswer) -> String {
    chart::document(&Ledger::from(answer))
}
