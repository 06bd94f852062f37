//! The feed as a sheet to print and pin up: what to take, what to do on which day, layers, castings.

use super::FeedsAnswer;
use super::answer::{LayerOut, LayersOut, MaterialOut, StepOut};
use crate::http::output::QuantityOut;
use crate::http::output::explained::how_it_is_computed;
use crate::http::output::page::{page, shown};
use maud::{Markup, html};

/// Writes the sheet.
#[must_use]
pub fn write(answer: &FeedsAnswer) -> String {
    let title = answer.name.as_deref().or(answer.id.as_deref()).unwrap_or("Feed for worms");
    let sections = html! {
        (materials(&answer.materials))
        (mix(answer))
        @if !answer.out_of_reach.is_empty() {
            h2 { "Out of reach" }
            ul { @for missed in &answer.out_of_reach { li { (missed.text) } } }
        }
        h2 { "What to do" }
        table {
            tr { th {} th { "when" } th { "what" } }
            @for step in &answer.steps { (row(step)) }
        }
        @if let Some(laid) = &answer.layers { (layers(laid)) }
        h2 { "Castings to expect" }
        p {
            (shown(&answer.castings.stored.volume)) " in store, or " (shown(&answer.castings.stored.mass)) ", at "
            (shown(&answer.castings.store_moisture)) " moisture, from " (shown(&answer.castings.dry_matter_in)) " of dry feed."
        }
        (how_it_is_computed(answer.explanations.as_deref()))
    };
    page(title, &sections, &answer.cautions, &answer.assumptions)
}

fn measures(list: &[QuantityOut]) -> String {
    list.iter().map(shown).collect::<Vec<_>>().join(", ")
}

fn materials(list: &[MaterialOut]) -> Markup {
    html! {
        h2 { "What to take" }
        table {
            tr { th { "material" } th.n { "mass" } th.n { "volume" } th.n { "add water" } }
            @for (i, item) in list.iter().enumerate() {
                tr {
                    td {
                        (item.name.as_deref().or(item.id.as_deref()).or(item.material.as_deref())
                            .map_or_else(|| format!("material {}", i + 1), str::to_owned))
                        @if item.chosen { " (chosen)" }
                        @if !item.in_measures.is_empty() { br; span.small { (measures(&item.in_measures)) } }
                    }
                    td.n { (shown(&item.mass)) }
                    td.n { (shown(&item.volume)) }
                    td.n { (shown(&item.water_added)) }
                }
            }
        }
    }
}

fn mix(answer: &FeedsAnswer) -> Markup {
    let (water, mix) = (&answer.water, &answer.mix);
    html! {
        p {
            "Water: " (shown(&water.soak)) " for the soak with " (shown(&water.starter)) " of starter, "
            (shown(&water.rehydration)) " for dry manure, " (shown(&water.extra)) " when mixing."
        }
        p {
            "The mix: " (shown(&mix.mass)) ", " (shown(&mix.volume)) ", moisture " (shown(&mix.moisture))
            ", carbon to nitrogen " (shown(&mix.carbon_to_nitrogen)) ", air " (shown(&mix.air_space)) "."
        }
    }
}

fn row(step: &StepOut) -> Markup {
    let day = |date: Option<chrono::NaiveDate>, day: u32| date.map_or_else(|| format!("day {day}"), |d| d.to_string());
    let (first, last) = (day(step.starts_on, step.starts_day), day(step.ends_on, step.ends_day));
    let of: Vec<&str> = step.materials.iter().filter_map(|m| m.name.as_deref().or(m.id.as_deref())).collect();
    html! {
        tr {
            td { span.tick {} }
            td { (first) @if first != last { " to " (last) } }
            td {
                (step.text)
                @if !of.is_empty() { br; span.small { (of.join(", ")) } }
            }
        }
    }
}

fn layers(laid: &LayersOut) -> Markup {
    let layer = |layer: &LayerOut| format!("{} ({})", shown(&layer.depth), shown(&layer.volume));
    html! {
        h2 { "Layers" }
        p {
            "On " (shown(&laid.surface_area)) ": first " (layer(&laid.first)) ", then " (laid.later) " of " (layer(&laid.each))
            @if let Some(last) = &laid.last { ", and a last one of " (layer(last)) }
            ". Lay the next when four fifths of the one before are worked."
        }
    }
}
