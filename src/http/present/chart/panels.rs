//! The chart of several things over the same time: one panel below another, each with its own scale.

use super::axes::{Scale, days_from, marks, round_numbers};
use super::paper::{Drawn, RIGHT, WIDTH, at, steps};
use super::words::{Amounts, NOTHING};
use super::{Panel, Panels};
use chrono::NaiveDate;
use maud::{Markup, html};

/// The place of the drawing on the paper.
const LEFT: f64 = 54.0;
/// Above the first panel.
const TOP: f64 = 38.0;
/// The room of a panel, and of what stands above and below its drawing.
const ROOM: f64 = 172.0;
const ABOVE: f64 = 28.0;
const BELOW: f64 = 46.0;
/// Room above the highest value.
const HEADROOM: f64 = 1.1;

/// Draws it: the paper, and what is on it.
pub fn draw(chart: &Panels) -> Drawn {
    let first = chart.panels.iter().filter_map(|panel| panel.steps.first()).map(|(on, _)| *on).min();
    let Some(first) = first else {
        let markup = html! { text x="8" y="52" { (NOTHING) } };
        return Drawn { width: WIDTH, height: 64.0, markup };
    };
    let tops = std::iter::successors(Some(TOP), |top| Some(top + ROOM));
    let height = tops.clone().nth(chart.panels.len()).unwrap_or(TOP);
    let markup = html! {
        @for (panel, top) in chart.panels.iter().zip(tops) { (Drawing::new(panel, (first, chart.until), top).draw(panel)) }
    };
    Drawn { width: WIDTH, height, markup }
}

/// Scales and amounts of one panel.
struct Drawing<'a> {
    days: (NaiveDate, NaiveDate),
    top: f64,
    across: Scale,
    up: Scale,
    amounts: Amounts<'a>,
}

impl<'a> Drawing<'a> {
    fn new(panel: &'a Panel, days: (NaiveDate, NaiveDate), top: f64) -> Self {
        let most = panel.steps.iter().map(|(_, value)| *value).fold(0.0, f64::max);
        let values = (0.0, if most > 0.0 { most * HEADROOM } else { 1.0 });
        Self {
            days,
            top,
            across: Scale { values: (0.0, days_from(days.0, days.1)), places: (LEFT, RIGHT) },
            up: Scale { values, places: (top + ROOM - BELOW, top + ABOVE) },
            amounts: Amounts::new(most, &panel.unit),
        }
    }

    fn draw(&self, panel: &Panel) -> Markup {
        let bottom = self.up.places.0;
        html! {
            text.quiet x="8" y=(at(self.top + ABOVE - 12.0)) { (panel.what) ", in " (self.amounts.heading()) }
            @for number in round_numbers(self.up.values.1, 4.0) {
                @let y = at(self.up.at(number));
                path.grid d=(format!("M{LEFT} {y}H{RIGHT}")) {}
                text.quiet x=(at(LEFT - 8.0)) y=(at(self.up.at(number) + 4.0)) text-anchor="end" { (self.amounts.number(number)) }
            }
            @for mark in marks(self.days.0, self.days.1) {
                @let x = at(self.across.at(days_from(self.days.0, mark.on)));
                path.axis d=(format!("M{x} {}v5", at(bottom))) {}
                text.quiet x=(x) y=(at(bottom + 20.0)) text-anchor="middle" { (mark.label) }
                @if let Some(year) = &mark.year {
                    text.quiet x=(x) y=(at(bottom + 36.0)) text-anchor="middle" { (year) }
                }
            }
            path.axis d=(format!("M{LEFT} {}H{RIGHT}", at(bottom))) {}
            path.supply d=(self.steps(panel)) {}
        }
    }

    /// The path of what goes in steps, to the last day.
    fn steps(&self, panel: &Panel) -> String {
        let point =
            |(date, value): &(NaiveDate, f64)| (self.across.at(days_from(self.days.0, *date)), self.up.at(*value));
        steps(panel.steps.iter().map(point), RIGHT)
    }
}
