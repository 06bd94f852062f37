//! What would close the gap, to print.

use super::{Ledger, called, day, prepare};
use crate::http::output::page::shown;
use crate::http::rooms::ReferenceOut;
use crate::http::rooms::balances::{GapOut, SackOut};
use maud::{Markup, html};

/// What would close the gap, and what the plan does already.
#[must_use]
pub fn close_the_gap(ledger: &Ledger<'_>) -> Markup {
    let gap = ledger.gap;
    let short = ledger.total.short.value.get() > 0.0;
    html! {
        @if short {
            h2 { "What would close the gap" }
            ul {
                @if gap.even_share.value.get() > 0.0 {
                    li { "Give everybody alike " (shown(&gap.even_share)) " of what is wanted." }
                } @else {
                    li { "There is nothing to share out." }
                }
                @for sack in &gap.sacks { li { (sacks(sack)) } }
                (waits(ledger))
            }
            @for preparation in &gap.prepare { (prepare::preparation(preparation)) }
        }
        (moved(gap))
    }
}

fn sacks(sack: &SackOut) -> Markup {
    let holds = shown(&sack.holds);
    html! {
        "Buy " (sack.count) @if sack.count == 1 { " sack" } @else { " sacks" } " of " (holds)
        @if let Some(by) = sack.by { " by " (day(by)) }
        @if let (Some(cost), Some(currency)) = (&sack.cost, &sack.currency) { ", " (cost) " " (currency) }
        @else if let Some(cost) = &sack.cost { ", at a cost of " (cost) }
        @if sack.past { "; that day is past" }
        "."
    }
}

/// Demands that could wait, and those that the plan drops.
fn waits(ledger: &Ledger<'_>) -> Markup {
    let dropped = ledger.demands.iter().enumerate().filter(|(_, demand)| demand.dropped.is_some());
    html! {
        @for wait in &ledger.gap.wait {
            li {
                "Let " (demand(&wait.demand)) " wait until " (day(wait.until)) ": then " (shown(&wait.amount))
                " of what it is short of are left over for it."
            }
        }
        @for (i, dropped) in dropped {
            li { (called(dropped, i)) " gets nothing in this plan; ask for less, or for another day." }
        }
    }
}

fn moved(gap: &GapOut) -> Markup {
    html! {
        @if !gap.moved.is_empty() {
            h2 { "Served later, so that others get theirs" }
            ul {
                @for moved in &gap.moved {
                    li {
                        (demand(&moved.demand)) ": " (shown(&moved.amount)) " on " (day(moved.drawn_on))
                        @if let Some(first) = moved.first_possible { " instead of " (day(first)) }
                        "."
                    }
                }
            }
        }
    }
}

/// What a demand is called.
pub(super) fn demand(of: &ReferenceOut) -> String {
    of.called("demand")
}
