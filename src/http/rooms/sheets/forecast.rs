//! What a bed is to do: layers and water, to print.

use super::{day, day_or_dash, days, measures};
use crate::http::output::page::shown;
use crate::http::rooms::harvests::ForecastOut;
use maud::{Markup, html};

/// Layers and water, and the end of the worms if there is one.
#[must_use]
pub fn to_do(forecast: &ForecastOut) -> Markup {
    html! {
        @if let Some(stopped) = &forecast.stopped {
            p { b { "The worms die on " (day(stopped.on)) " of " (stopped.why) "; the plan of this bed ends there." } }
        }
        (layers(forecast))
        (water(forecast))
    }
}

fn layers(forecast: &ForecastOut) -> Markup {
    html! {
        @if !forecast.layers.is_empty() {
            table {
                thead {
                    tr {
                        th { "lay a layer on" } th.n { "harvest" } th.n { "depth" } th.n { "volume" } th.n { "mass" }
                        th { "worked by" }
                    }
                }
                @for layer in &forecast.layers {
                    tr {
                        td { (day(layer.on)) }
                        td.n { (layer.cycle) }
                        td.n { (shown(&layer.depth)) }
                        td.n {
                            (shown(&layer.volume))
                            @if !layer.in_measures.is_empty() { br; span.small { (measures(&layer.in_measures)) } }
                        }
                        td.n { (shown(&layer.mass)) }
                        td { (day_or_dash(layer.worked_on)) }
                    }
                }
            }
        }
    }
}

fn water(forecast: &ForecastOut) -> Markup {
    html! {
        @if !forecast.water.is_empty() {
            table {
                thead { tr { th { "water over these days" } th.n { "to add" } th.n { "to drain" } } }
                @for period in &forecast.water {
                    tr {
                        td { (days(period.start_on, period.end_on)) }
                        td.n { (shown(&period.to_add)) }
                        td.n { (shown(&period.to_drain)) }
                    }
                }
            }
        }
    }
}
