//! The plan bed by bed.

use crate::http::output::page::shown;
use crate::http::rooms::seasons::SeasonsAnswer;
use crate::http::rooms::seasons::answer::{DatePercentiles, Percentiles, SeasonBedOut, SeasonLotOut};
use crate::http::rooms::sheets::{day, days, forecast, name_of};
use maud::{Markup, html};

/// Each bed with its harvests, layers and water.
#[must_use]
pub fn beds(answer: &SeasonsAnswer) -> Markup {
    html! {
        @if !answer.worm_beds.is_empty() {
            h2 { "The plan bed by bed" }
            @for (i, bed) in answer.worm_beds.iter().enumerate() { (one(bed, i)) }
        }
    }
}

fn one(bed: &SeasonBedOut, index: usize) -> Markup {
    html! {
        h3 {
            (name_of((bed.name.as_deref(), bed.id.as_deref()), "worm bed", index)) ", " (shown(&bed.surface_area))
        }
        @if bed.lots.is_empty() { p { "No harvest is ready by the last day." } } @else { (lots(&bed.lots)) }
        (forecast::to_do(&bed.forecast))
    }
}

fn lots(lots: &[SeasonLotOut]) -> Markup {
    let runs = lots.iter().any(|lot| lot.ready.is_some());
    html! {
        table {
            thead {
                tr {
                    th.n { "harvest" } th { "ready on" } @if runs { th { "in 80 of 100 runs" } }
                    th.n { "castings" } @if runs { th.n { "in 80 of 100 runs" } }
                    th.n { "given" } th.n { "left" }
                }
            }
            @for lot in lots {
                tr {
                    td.n { (lot.cycle) }
                    td { (day(lot.ready_on)) }
                    @if runs { td { (lot.ready.as_ref().map(dates).unwrap_or_default()) } }
                    td.n { (shown(&lot.amount)) }
                    @if runs { td.n { (lot.volume.as_ref().map(volumes).unwrap_or_default()) } }
                    td.n { (shown(&lot.given)) }
                    td.n { (shown(&lot.left)) }
                }
            }
        }
    }
}

fn dates(dates: &DatePercentiles) -> String {
    match (dates.p10, dates.p90) {
        (Some(first), Some(last)) => days(first, last),
        (Some(first), None) => format!("{} to after the last day", day(first)),
        (None, _) => "after the last day".to_owned(),
    }
}

fn volumes(volume: &Percentiles) -> String {
    use crate::http::output::page::digits;
    format!("{}–{} {}", digits(volume.p10.value.get()), digits(volume.p90.value.get()), volume.p90.unit)
}
