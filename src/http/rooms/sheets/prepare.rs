//! What to prepare for a shortage, and by when to begin, to print.

use super::gap::demand;
use super::{day, day_or_dash, measures};
use crate::http::output::QuantityOut;
use crate::http::output::page::shown;
use crate::http::rooms::balances::{PrepareOut, PreparedBatchOut, TooLateOut};
use maud::{Markup, html};

/// One preparation.
#[must_use]
pub fn preparation(of: &PrepareOut) -> Markup {
    html! {
        h3 { "Prepare for " (day(of.by)) ": " (shown(&of.short)) " are short" }
        (batches(of))
        @if let Some(on) = of.start_for_50_on {
            p { "For an even chance, with as much as for 90 %, begin by " (day(on)) "." }
        }
        (later(of))
        (choices(of))
        @if !of.could_wait.is_empty() {
            p {
                "Could wait for these castings instead: "
                @for (i, other) in of.could_wait.iter().enumerate() {
                    @if i > 0 { "; " }
                    (demand(&other.demand)) " (" (shown(&other.amount)) ")"
                }
                "."
            }
        }
    }
}

/// The likely one beside that for a chance of 90 %.
fn batches(of: &PrepareOut) -> Markup {
    let both: Vec<&PreparedBatchOut> = std::iter::once(&of.likely).chain(&of.for_90).collect();
    let line = |what: &str, cell: &dyn Fn(&PreparedBatchOut) -> String| {
        html! { tr { td { (what) } @for batch in &both { td.n { (cell(batch)) } } } }
    };
    let of_amount = |what: &str, pick: fn(&PreparedBatchOut) -> &QuantityOut| {
        let nothing = both.iter().all(|batch| pick(batch).value.get() <= 0.0);
        html! { @if !nothing { (line(what, &|batch| shown(pick(batch)))) } }
    };
    html! {
        table {
            thead { tr { td {} th.n { "likely" } @if of.for_90.is_some() { th.n { "for a chance of 90 %" } } } }
            (line("last day to begin", &|batch| day_or_dash(batch.start_on)))
            (line("worms go in", &|batch| day_or_dash(batch.worms_in_on)))
            (line("castings ready", &|batch| day_or_dash(batch.ready_on)))
            @if both.iter().any(|batch| batch.too_late.is_some()) {
                (line("too late?", &|batch| batch.too_late.as_ref().map_or_else(|| "no".to_owned(), too_late)))
            }
            @for (i, material) in of.likely.materials.iter().enumerate() {
                tr {
                    td { (material.material.called("material")) }
                    @for batch in &both { td.n { (taken(batch, i)) } }
                }
            }
            (of_amount("water for the soak", |batch| &batch.soak_water))
            (of_amount("starter for the soak", |batch| &batch.starter))
            (of_amount("water for dry manure", |batch| &batch.rehydration_water))
            (of_amount("water when mixing", |batch| &batch.extra_water))
            (of_amount("the mix", |batch| &batch.mix))
            (of_amount("of it dry matter", |batch| &batch.feed_dry_matter))
            (of_amount("ground of the bed", |batch| &batch.surface_area))
            (of_amount("worms", |batch| &batch.worms))
            (line("layers", &|batch| batch.layers.to_string()))
            (of_amount("castings", |batch| &batch.castings))
        }
    }
}

fn taken(batch: &PreparedBatchOut, index: usize) -> Markup {
    html! {
        @if let Some(material) = batch.materials.get(index) {
            (shown(&material.mass)) ", " (shown(&material.volume))
            @if !material.in_measures.is_empty() { br; span.small { (measures(&material.in_measures)) } }
        }
    }
}

fn too_late(late: &TooLateOut) -> String {
    let mut text = format!("yes ({})", late.binds.replace('_', " "));
    if let Some(on) = late.first_start_on {
        text += &format!("; first start {}", day(on));
    }
    if let Some(on) = late.ready_on {
        text += &format!(", ready {} at the likely values", day(on));
    }
    if let Some(area) = &late.area_needed {
        text += &format!("; needs {}", shown(area));
    }
    text
}

fn later(of: &PrepareOut) -> Markup {
    html! {
        @for slip in &of.if_later {
            p {
                (slip.days) " days later, begun on " (day(slip.start_on)) ": "
                @match (slip.ready_on, slip.days_late) {
                    (Some(on), Some(late)) => { "ready on " (day(on)) ", " (late) " days too late." },
                    (Some(on), None) => { "ready on " (day(on)) "." },
                    (None, _) => { "not ready within a year, or frost or heat kills the worms before." },
                }
            }
        }
    }
}

/// Other numbers of layers.
fn choices(of: &PrepareOut) -> Markup {
    html! {
        @if !of.choices.is_empty() {
            p.lead { "More layers take less ground and fewer worms, and begin earlier:" }
            table {
                thead {
                    tr { th.n { "layers" } th.n { "ground" } th.n { "worms" } th.n { "begin by" } th.n { "for 90 %" } }
                }
                @for choice in &of.choices {
                    tr {
                        td.n { (choice.layers) } td.n { (shown(&choice.surface_area)) } td.n { (shown(&choice.worms)) }
                        td.n { (day_or_dash(choice.start_on)) @if choice.too_late { br; span.small { "too late" } } }
                        td.n { (day_or_dash(choice.start_for_90_on)) }
                    }
                }
            }
        }
    }
}
