//! Beds and heaps as a sheet to print: what each yields, and what a bed to come is to do.

use super::HarvestsAnswer;
use super::answer::{BedOut, HeapOut};
use super::fed::{ComparisonOut, FromFeedOut};
use super::forecast::ForecastOut;
use crate::http::output::QuantityOut;
use crate::http::output::explained::how_it_is_computed;
use crate::http::output::page::{page, shown};
use crate::http::rooms::CastingsOut;
use crate::http::rooms::sheets::{day, forecast, measures, name_of};
use maud::{Markup, html};

/// Writes the sheet.
#[must_use]
pub fn write(answer: &HarvestsAnswer) -> String {
    let title = answer.name.as_deref().or(answer.id.as_deref()).unwrap_or("Castings to harvest");
    let total = &answer.total;
    let sections = html! {
        table {
            thead { tr { th { "in all" } th.n { "castings" } th.n { "by mass" } } }
            @if total.castings.value.get() > 0.0 {
                tr { td { "as they lie in beds and heaps" } td.n { (shown(&total.castings)) } td.n { "–" } }
                (in_store("these, once in store", &total.stored))
            }
            @if let Some(fed) = &total.from_feed { (in_store("from what was fed, in store", fed)) }
            @if let Some(come) = &total.forecast { (in_store("to come by forecast, in store", come)) }
        }
        @for (i, bed) in answer.worm_beds.iter().enumerate() { (one_bed(bed, i)) }
        @for (i, heap) in answer.heaps.iter().enumerate() { (one_heap(heap, i)) }
    };
    page(
        title,
        &html! { (sections) (how_it_is_computed(answer.explanations.as_deref())) },
        &answer.cautions,
        &answer.assumptions,
    )
}

fn in_store(what: &str, castings: &CastingsOut) -> Markup {
    html! {
        tr {
            td {
                (what)
                @if !castings.in_measures.is_empty() { br; span.small { (measures(&castings.in_measures)) } }
            }
            td.n { (shown(&castings.volume)) }
            td.n { (shown(&castings.mass)) }
        }
    }
}

fn line(what: &str, quantity: Option<&QuantityOut>) -> Markup {
    html! { @if let Some(quantity) = quantity { tr { td { (what) } td.n { (shown(quantity)) } } } }
}

fn one_bed(bed: &BedOut, index: usize) -> Markup {
    html! {
        h2 { (name_of((bed.name.as_deref(), bed.id.as_deref()), "worm bed", index)) ", " (shown(&bed.surface_area)) }
        @if bed.in_bed.is_some() {
            table {
                (line("in the bed", bed.in_bed.as_ref()))
                (line("not ready, stays in", bed.not_ready.as_ref()))
                (line("ready, taken out", bed.ready.as_ref()))
                (line("castings that pass the sieve", bed.castings.as_ref()))
                (line("held back by the sieve", bed.sieved_off.as_ref()))
            }
        }
        @if let Some(stored) = &bed.stored { table { (in_store("castings in store", stored)) } }
        @if let Some(fed) = &bed.from_feed { (from_feed(fed)) }
        @if let Some(compared) = &bed.comparison { (comparison(compared)) }
        @if let Some(plan) = &bed.forecast { (lots(plan)) (forecast::to_do(plan)) }
    }
}

fn from_feed(fed: &FromFeedOut) -> Markup {
    html! {
        table {
            (line("fed", Some(&fed.fed_mass)))
            (line("of it dry matter", Some(&fed.fed_dry_matter)))
            (line("organic matter lost", Some(&fed.organic_matter_loss)))
            (line("held back by the sieve", Some(&fed.sieved_off)))
            (line("moisture of the castings in store", Some(&fed.castings_moisture)))
        }
        table { (in_store("castings from what was fed, in store", &fed.castings)) }
    }
}

fn lots(plan: &ForecastOut) -> Markup {
    html! {
        @if plan.lots.is_empty() {
            p { "No harvest is ready by the last day." }
        } @else {
            table {
                thead { tr { th.n { "harvest" } th { "ready on" } th { "at the earliest" } th { "at the latest" } th.n { "castings" } } }
                @for lot in &plan.lots {
                    tr {
                        td.n { (lot.cycle) }
                        td { (day(lot.ready.likely)) }
                        td { (day(lot.ready.earliest)) }
                        td { (lot.ready.latest.map_or_else(|| "after the last day".to_owned(), day)) }
                        td.n { (shown(&lot.castings.volume)) }
                    }
                }
            }
        }
    }
}

fn one_heap(heap: &HeapOut, index: usize) -> Markup {
    html! {
        h2 { (name_of((heap.name.as_deref(), heap.id.as_deref()), "heap", index)) " (" (heap.kind) ")" }
        table {
            (line("in the heap", Some(&heap.in_heap)))
            (line("not ready", Some(&heap.not_ready)))
            (line("ready", Some(&heap.ready)))
            (line("castings that pass the sieve", Some(&heap.castings)))
            (line("held back by the sieve", Some(&heap.sieved_off)))
            (line("castings by mass", Some(&heap.mass)))
        }
        @if !heap.in_measures.is_empty() { p.small { "Castings: " (measures(&heap.in_measures)) "." } }
    }
}

fn comparison(compared: &ComparisonOut) -> Markup {
    html! {
        p {
            "By its depth " (shown(&compared.by_depth)) ", by what was fed " (shown(&compared.by_feed)) ": a gap of "
            (shown(&compared.gap)) " (" (shown(&compared.gap_share)) "), "
            @if compared.ranges_meet { "within what the assumptions leave open." }
            @else { "more than the assumptions leave open: something was measured or counted wrong." }
        }
    }
}
