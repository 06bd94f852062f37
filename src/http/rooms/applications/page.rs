//! The places as a sheet to print: what each row, bed, plant and pot takes.

use super::ApplicationsAnswer;
use super::answer::AreaOut;
use crate::http::output::explained::how_it_is_computed;
use crate::http::output::page::{page, shown};
use crate::http::rooms::CastingsOut;
use crate::http::rooms::sheets::{measures, name_of};
use maud::{Markup, html};

/// Writes the sheet.
#[must_use]
pub fn write(answer: &ApplicationsAnswer) -> String {
    let title = answer.name.as_deref().or(answer.id.as_deref()).unwrap_or("How much each place takes");
    let total = &answer.total;
    let sections = html! {
        p { b { (shown(&total.castings.volume)) } " of castings in all, or " (shown(&total.castings.mass)) "." }
        @if !total.castings.in_measures.is_empty() { p { (measures(&total.castings.in_measures)) "." } }
        h2 { "What each place takes" }
        table {
            thead { tr { td {} th { "where" } th.n { "castings" } th.n { "by mass" } } }
            @for (i, area) in answer.areas.iter().enumerate() { (row(area, i)) }
        }
        h2 { "What they carry" }
        (nutrients(answer))
    };
    page(
        title,
        &html! { (sections) (how_it_is_computed(answer.explanations.as_deref())) },
        &answer.cautions,
        &answer.assumptions,
    )
}

fn row(area: &AreaOut, index: usize) -> Markup {
    html! {
        tr {
            td { span.tick {} }
            td {
                (name_of((area.name.as_deref(), area.id.as_deref()), "place", index))
                br;
                span.small { (extent(area).join(", ")) }
            }
            td.n { (amount(&area.castings)) }
            td.n { (shown(&area.castings.mass)) }
        }
    }
}

fn amount(castings: &CastingsOut) -> Markup {
    html! {
        (shown(&castings.volume))
        @if !castings.in_measures.is_empty() { br; span.small { (measures(&castings.in_measures)) } }
    }
}

/// How large it is, and how deep the castings lie.
fn extent(area: &AreaOut) -> Vec<String> {
    let mut list: Vec<String> = [&area.surface_area, &area.row_length].into_iter().flatten().map(shown).collect();
    list.extend(area.plants.map(|count| format!("{} plants", count.get())));
    list.extend(area.pots.map(|count| format!("{} pots", count.get())));
    list.extend(area.mix.as_ref().map(|mix| format!("{} of mix", shown(mix))));
    list.extend(area.depth.as_ref().map(|depth| format!("{} deep", shown(depth))));
    let limits = [(&area.phosphorus_limited_depth, "phosphorus"), (&area.nitrate_limit_depth, "the nitrate limit")];
    for (depth, of) in limits {
        list.extend(depth.as_ref().map(|depth| format!("{} would do by {of}", shown(depth))));
    }
    list
}

/// The nutrients of all places together.
fn nutrients(answer: &ApplicationsAnswer) -> Markup {
    let all = &answer.total.nutrients;
    let rows = [
        ("nitrogen (N)", &all.nitrogen),
        ("of it available in the first season", &all.available_nitrogen),
        ("phosphorus (P)", &all.phosphorus),
        ("as phosphate (P2O5)", &all.phosphate),
        ("potassium (K)", &all.potassium),
        ("as potash (K2O)", &all.potash),
    ];
    html! {
        table {
            thead { tr { th { "in all places" } th.n { "mass" } } }
            @for (name, nutrient) in rows { tr { td { (name) } td.n { (shown(&nutrient.mass)) } } }
        }
    }
}
