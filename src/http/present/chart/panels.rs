//! The chart of several things over the same time: one panel below another, each with its own scale.

use super::in_words::NOTHING;
use super::paper::{Drawn, RIGHT, WIDTH, at};
use super::plane::Plane;
use super::{Panel, Panels};
use chrono::NaiveDate;
use maud::{Markup, html};

/// The place of the drawing on the paper.
const LEFT: f64 = 54.0;
/// Above the first panel.
const TOP: f64 = 38.0;
/// The room of a panel, and of what is above and below its drawing.
const ROOM: f64 = 172.0;
const ABOVE: f64 = 28.0;
const BELOW: f64 = 46.0;
/// Room above the highest value.
const HEADROOM: f64 = 1.1;

/// Draws it: the paper, and what is on it.
pub fn draw(chart: &Panels) -> Drawn {
    let first = chart.panels.iter().filter_map(|panel| panel.steps.first()).map(|(on, _)| *on).min();
    let Some(first) = first else { return Drawn::nothing(NOTHING) };
    let tops = std::iter::successors(Some(TOP), |top| Some(top + ROOM));
    let height = tops.clone().nth(chart.panels.len()).unwrap_or(TOP);
    let markup = html! {
        @for (panel, top) in chart.panels.iter().zip(tops) { (one(panel, (first, chart.until), top)) }
    };
    Drawn { width: WIDTH, height, markup }
}

/// One panel, from the first day to the last.
fn one(panel: &Panel, days: (NaiveDate, NaiveDate), top: f64) -> Markup {
    let most = panel.steps.iter().map(|(_, value)| *value).fold(0.0, f64::max);
    let places = ((LEFT, RIGHT), (top + ROOM - BELOW, top + ABOVE));
    let plane = Plane::new(days, places, (most, HEADROOM), &panel.unit);
    html! {
        text.quiet x="8" y=(at(top + ABOVE - 12.0)) { (panel.what) ", in " (plane.amounts.heading()) }
        (plane.axes(4.0, 36.0))
        path.supply d=(plane.steps(&panel.steps)) {}
    }
}
