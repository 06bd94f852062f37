//! Who gets what, as a table to print.

use super::{Ledger, called, chance, day, days, measures, name_of};
use crate::http::output::page::shown;
use crate::http::rooms::balances::{DemandOut, DrawOut, StockOut};
use maud::{Markup, html};

/// Who gets what, and from where.
#[must_use]
pub fn who_gets_what(ledger: &Ledger<'_>) -> Markup {
    let chances = ledger.chances.is_some();
    html! {
        h2 { "Who gets what" }
        table {
            thead {
                tr {
                    th { "for" } th.n { "wanted" } th.n { "given" } th.n { "short" }
                    @if chances { th.n { "chance" } }
                }
            }
            @for (i, demand) in ledger.demands.iter().enumerate() { (row(demand, i, chances)) }
            @let total = ledger.total;
            tr {
                td { i { "all together" } }
                td.n { (shown(&total.wanted)) } td.n { (shown(&total.given)) } td.n { (shown(&total.short)) }
                @if chances { td {} }
            }
        }
        @if chances {
            p.small {
                "Chance: that what the plan gives comes in time and is as much as is wanted. It is told in steps of 5 %."
            }
        }
    }
}

fn row(demand: &DemandOut, index: usize, chances: bool) -> Markup {
    let short = demand.short.value.get() > 0.0;
    html! {
        tr {
            td {
                @if short { b { (called(demand, index)) } } @else { (called(demand, index)) }
                br;
                span.small { (details(demand).join("; ")) }
            }
            td.n { (shown(&demand.wanted)) }
            td.n {
                (shown(&demand.given))
                @if !demand.in_measures.is_empty() { br; span.small { (measures(&demand.in_measures)) } }
            }
            td.n { @if short { b { (shown(&demand.short)) } } @else { "–" } }
            @if chances { td.n { (demand.chance.as_ref().map(chance).unwrap_or_default()) } }
        }
    }
}

/// When, how urgent, at what rate, from which lots.
fn details(demand: &DemandOut) -> Vec<String> {
    let when = match (demand.earliest, demand.latest) {
        (Some(first), Some(last)) => days(first, last),
        (Some(first), None) => format!("from {}", day(first)),
        (None, Some(last)) => format!("by {}", day(last)),
        (None, None) => "any day".to_owned(),
    };
    let mut list = vec![when, format!("priority {}", demand.priority)];
    if demand.past {
        list.push("its last day is past".to_owned());
    }
    if let Some(rate) = demand.rate_given.as_ref().filter(|_| demand.short.value.get() > 0.0) {
        list.push(format!("that is {} {}", shown(&rate.amount), rate.kind.replace('_', " ")));
    }
    if let Some(whole) = &demand.whole {
        list.push(format!("{} of {} whole ones", whole.given, whole.wanted));
    }
    if let Some(dropped) = &demand.dropped {
        let (least, would) = (shown(&dropped.least), shown(&dropped.would_have_given));
        list.push(format!("gets nothing: it would have got {would}, and less than {least} is of no use"));
    }
    list.extend(demand.draws.iter().map(from));
    if let Some(by) = demand.dig_in_by {
        list.push(format!("for the first picking dig in raw manure by {}", day(by)));
    }
    list
}

fn from(draw: &DrawOut) -> String {
    let on = draw.on.map(|on| format!(" on {}", day(on))).unwrap_or_default();
    let wait = draw.wait_told().map(|wait| format!(" ({wait})")).unwrap_or_default();
    format!("{} from {}{on}{wait}", shown(&draw.given), draw.lot())
}

/// What becomes of the lots in stock.
#[must_use]
pub fn stock(lots: &[StockOut]) -> Markup {
    html! {
        @if !lots.is_empty() {
            h2 { "Stock" }
            table {
                thead { tr { th { "lot" } th.n { "amount" } th.n { "given" } th.n { "expired" } th.n { "left" } } }
                @for (i, lot) in lots.iter().enumerate() {
                    tr {
                        td {
                            (name_of((lot.name.as_deref(), lot.id.as_deref()), "lot", i))
                            @if lot.ready_on.is_some() || lot.use_by.is_some() { br; }
                            span.small {
                                @if let Some(on) = lot.ready_on { "ready on " (day(on)) " " }
                                @if let Some(on) = lot.use_by { "use by " (day(on)) }
                                @if lot.past { " (past)" }
                            }
                        }
                        td.n { (shown(&lot.amount)) } td.n { (shown(&lot.given)) }
                        td.n { (shown(&lot.expired)) } td.n { (shown(&lot.left)) }
                    }
                }
            }
        }
    }
}
