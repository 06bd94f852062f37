//! The chart of sums over time: supply, demand and stock (SVG 1.1). No scripts, nothing from elsewhere, and no colour: lines differ by
//! their kind, areas by their hatch, and each line is named at its end.

use super::curves::{Curves, curves, value_on};
use super::in_words::totals;
use super::paper::{Drawn, WIDTH, at, narrower};
use super::plane::Plane;
use super::{OverTime, Total};
use crate::http::present::words::day;
use chrono::NaiveDate;
use maud::{Markup, html};

/// The place of the drawing on the paper.
const HEIGHT: f64 = 396.0;
const LEFT: f64 = 54.0;
const RIGHT: f64 = 380.0;
const TOP: f64 = 62.0;
const BOTTOM: f64 = 310.0;
/// The height of a label of two lines, and its place and room right of the drawing.
const LABEL: f64 = 38.0;
const BESIDE: f64 = RIGHT + 14.0;
const ROOM: f64 = WIDTH - BESIDE - 2.0;
/// Room above the highest value for what is written at the mark.
const HEADROOM: f64 = 1.22;

/// Draws it: the paper, and what is on it.
pub fn draw(chart: &OverTime) -> Drawn {
    let Some(curves) = curves(chart) else {
        let markup = html! {
            text x="8" y="52" { "Nothing here has a date," }
            text x="8" y="71" { "so there is nothing to draw over time." }
            text x="8" y="95" { (totals(chart)) }
        };
        return Drawn { width: WIDTH, height: 107.0, markup };
    };
    let (days, places) = ((curves.from, curves.to), ((LEFT, RIGHT), (BOTTOM, TOP)));
    let plane = Plane::new(days, places, (curves.top, HEADROOM), &chart.series.unit);
    let markup = plane.draw(&curves, &chart.series.total);
    Drawn { width: WIDTH, height: HEIGHT, markup }
}

impl Plane<'_> {
    fn draw(&self, curves: &Curves, total: &Total) -> Markup {
        html! {
            defs {
                pattern id="too-few" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                    rect width="6" height="6" fill="#fff" {}
                    path d="M1 0V6" stroke="#111" stroke-width="1.4" {}
                }
            }
            text.quiet x="8" y=(TOP - 15.0) { "Castings summed up to each day, in " (self.amounts.heading()) }
            (self.axes(6.5, 38.0))
            @if !curves.band.is_empty() { (self.band(curves)) }
            @if !curves.gaps.is_empty() { path fill="url(#too-few)" d=(self.areas(curves)) {} }
            path.stock d=(self.steps(&curves.on_hand)) {}
            path.supply d=(self.steps(&curves.come)) {}
            path.demand d=(self.steps(&curves.needed)) {}
            (self.names(curves))
            @if let Some(first) = total.first_short_on { (self.mark(curves, total.short, first)) }
            (key(curves))
        }
    }

    fn areas(&self, curves: &Curves) -> String {
        let mut path = String::new();
        for gap in &curves.gaps {
            let x = |date| at(self.x(date));
            let y = |value| at(self.y(value));
            path += &format!("M{} {}H{}V{}H{}Z", x(gap.from), y(gap.needed), x(gap.to), y(gap.down_to), x(gap.from));
        }
        path
    }

    fn band(&self, curves: &Curves) -> Markup {
        let edge = |pick: fn(&(NaiveDate, f64, f64)) -> f64| -> Vec<String> {
            let point = |on: &(NaiveDate, f64, f64)| format!("{} {}", at(self.x(on.0)), at(self.y(pick(on))));
            curves.band.iter().map(point).collect()
        };
        let (low, high) = (edge(|on| on.1), edge(|on| on.2));
        let back: Vec<String> = low.iter().rev().cloned().collect();
        html! {
            path fill="#e4e4e4" d=(format!("M{}L{}Z", high.join("L"), back.join("L"))) {}
            path.edge d=(format!("M{}", high.join("L"))) {}
            path.edge d=(format!("M{}", low.join("L"))) {}
        }
    }

    /// Each line is named at its end.
    fn names(&self, curves: &Curves) -> Markup {
        let ends = [
            ("supply", Curves::last(&curves.come)),
            ("demand", Curves::last(&curves.needed)),
            ("in stock", Curves::last(&curves.on_hand)),
        ];
        let mut labels: Vec<(&str, f64, f64)> =
            ends.into_iter().map(|(name, value)| (name, value, self.y(value))).collect();
        labels.sort_by(|a, b| a.2.total_cmp(&b.2));
        let places = apart(&labels.iter().map(|label| label.2).collect::<Vec<_>>());
        html! {
            @for ((name, value, end), y) in labels.iter().zip(places) {
                path.edge d=(format!("M{} {}L{} {}", RIGHT + 1.0, at(*end), RIGHT + 11.0, at(y))) {}
                text x=(BESIDE) y=(at(y - 4.0)) { (name) }
                @let amount = self.amounts.short(*value);
                text.quiet x=(BESIDE) y=(at(y + 13.0)) textLength=[narrower(&amount, ROOM)] lengthAdjust=[narrower(&amount, ROOM).map(|_| "spacingAndGlyphs")] { (amount) }
            }
        }
    }

    /// The first day on which something is short, with how much is short in all: in the room above all lines.
    fn mark(&self, curves: &Curves, short: f64, first: NaiveDate) -> Markup {
        let x = self.x(first);
        let demand = self.y(value_on(&curves.needed, first));
        let (place, anchor) = if x > (LEFT + RIGHT) / 2.0 { (x - 7.0, "end") } else { (x + 7.0, "start") };
        html! {
            path.edge d=(format!("M{} {TOP}V{}", at(x), at(demand))) {}
            circle cx=(at(x)) cy=(at(demand)) r="4" fill="#111" {}
            text.halo x=(at(place)) y=(at(TOP + 13.0)) text-anchor=(anchor) { "shortfall " (self.amounts.with_unit(short)) }
            text.halo x=(at(place)) y=(at(TOP + 30.0)) text-anchor=(anchor) { "first on " (day(first)) }
        }
    }
}

/// What the areas mean.
fn key(curves: &Curves) -> Markup {
    let y = HEIGHT - 10.0;
    let swatch = |x: f64, fill: &str| {
        html! { rect x=(x) y=(y - 11.0) width="22" height="13" fill=(fill) stroke="#777" stroke-width=".7" {} }
    };
    let second = if curves.band.is_empty() { LEFT } else { LEFT + 222.0 };
    html! {
        @if !curves.band.is_empty() {
            (swatch(LEFT, "#e4e4e4"))
            text.quiet x=(LEFT + 29.0) y=(y) { "supply in 80 of 100 runs" }
        }
        @if !curves.gaps.is_empty() {
            (swatch(second, "url(#too-few)"))
            text.quiet x=(second + 29.0) y=(y) { "demand above supply" }
        }
    }
}

/// Places of labels, sorted, so far apart that none lies on another, all of them within the drawing.
fn apart(wanted: &[f64]) -> Vec<f64> {
    let mut places = Vec::with_capacity(wanted.len());
    let mut free = TOP;
    for place in wanted {
        let place = place.max(free);
        places.push(place);
        free = place + LABEL;
    }
    let mut most = BOTTOM - 10.0;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - LABEL;
    }
    places
}
