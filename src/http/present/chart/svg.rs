//! The chart of sums over time: supply, demand and stock (SVG 1.1). No scripts, nothing from elsewhere, and no colour: lines differ by
//! their kind, areas by their hatch, and each line is named at its end.

use super::OverTime;
use super::axes::{Scale, marks, round_numbers};
use super::curves::{Curves, Gap, Step, curves};
use super::paper::{Drawn, WIDTH, at, steps};
use super::words::{Amounts, totals};
use crate::http::present::words::day;
use maud::{Markup, html};

/// The place of the drawing on the paper.
const HEIGHT: f64 = 396.0;
const LEFT: f64 = 54.0;
const RIGHT: f64 = 394.0;
const TOP: f64 = 62.0;
const BOTTOM: f64 = 310.0;
/// The room of a label of two lines.
const LABEL: f64 = 38.0;
/// Room above the highest value for what is written beside the mark.
const HEADROOM: f64 = 1.22;

/// Draws it: the paper, and what is on it.
pub fn draw(chart: &OverTime) -> Drawn {
    let Some(curves) = curves(chart) else {
        let markup = html! {
            text x="8" y="52" { "Nothing here has a date, so there is nothing to draw over time." }
            text x="8" y="76" { (totals(chart)) }
        };
        return Drawn { width: WIDTH, height: 88.0, markup };
    };
    Drawn { width: WIDTH, height: HEIGHT, markup: Drawing::new(&curves, &chart.series.unit).draw(&curves) }
}

/// Scales and amounts of one chart.
struct Drawing<'a> {
    across: Scale,
    up: Scale,
    amounts: Amounts<'a>,
}

impl<'a> Drawing<'a> {
    fn new(curves: &Curves, unit: &'a str) -> Self {
        let top = if curves.top > 0.0 { curves.top * HEADROOM } else { 1.0 };
        Self {
            across: Scale { values: (0.0, curves.days(curves.to)), places: (LEFT, RIGHT) },
            up: Scale { values: (0.0, top), places: (BOTTOM, TOP) },
            amounts: Amounts::new(curves.top, unit),
        }
    }

    fn draw(&self, curves: &Curves) -> Markup {
        html! {
            defs {
                pattern id="too-few" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                    rect width="6" height="6" fill="#fff" {}
                    path d="M1 0V6" stroke="#111" stroke-width="1.4" {}
                }
            }
            (self.axes(curves))
            @if !curves.band.is_empty() { (self.band(curves)) }
            @if !curves.gaps.is_empty() { path fill="url(#too-few)" d=(self.areas(curves)) {} }
            path.stock d=(self.steps(curves, &curves.on_hand)) {}
            path.supply d=(self.steps(curves, &curves.come)) {}
            path.demand d=(self.steps(curves, &curves.wanted)) {}
            (self.names(curves))
            @if let Some(worst) = &curves.worst { (self.mark(curves, worst)) }
            (key(curves))
        }
    }

    fn axes(&self, curves: &Curves) -> Markup {
        let numbers = round_numbers(self.up.values.1, 6.5);
        let marks = marks(curves.from, curves.to);
        html! {
            text.quiet x="8" y=(TOP - 15.0) { "Castings summed up to each day, in " (self.amounts.heading()) }
            @for number in numbers {
                @let y = at(self.up.at(number));
                path.grid d=(format!("M{LEFT} {y}H{RIGHT}")) {}
                text.quiet x=(LEFT - 8.0) y=(at(self.up.at(number) + 4.0)) text-anchor="end" { (self.amounts.number(number)) }
            }
            @for mark in marks {
                @let x = at(self.across.at(curves.days(mark.on)));
                path.axis d=(format!("M{x} {BOTTOM}v5")) {}
                text.quiet x=(x) y=(BOTTOM + 20.0) text-anchor="middle" { (mark.label) }
                @if let Some(year) = &mark.year {
                    text.quiet x=(x) y=(BOTTOM + 38.0) text-anchor="middle" { (year) }
                }
            }
            path.axis d=(format!("M{LEFT} {BOTTOM}H{RIGHT}")) {}
        }
    }

    /// The path of a curve that goes in steps.
    fn steps(&self, curves: &Curves, curve: &[Step]) -> String {
        let point = |(date, value): &Step| (self.across.at(curves.days(*date)), self.up.at(*value));
        steps(curve.iter().map(point), RIGHT)
    }

    fn areas(&self, curves: &Curves) -> String {
        let mut path = String::new();
        for gap in &curves.gaps {
            let x = |date| at(self.across.at(curves.days(date)));
            let y = |value| at(self.up.at(value));
            path += &format!("M{} {}H{}V{}H{}Z", x(gap.from), y(gap.wanted), x(gap.to), y(gap.come), x(gap.from));
        }
        path
    }

    fn band(&self, curves: &Curves) -> Markup {
        let edge = |pick: fn(&(chrono::NaiveDate, f64, f64)) -> f64| -> Vec<String> {
            let point = |on: &(chrono::NaiveDate, f64, f64)| {
                format!("{} {}", at(self.across.at(curves.days(on.0))), at(self.up.at(pick(on))))
            };
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
            ("demand", Curves::last(&curves.wanted)),
            ("in stock", Curves::last(&curves.on_hand)),
        ];
        let mut labels: Vec<(&str, f64, f64)> =
            ends.into_iter().map(|(name, value)| (name, value, self.up.at(value))).collect();
        labels.sort_by(|a, b| a.2.total_cmp(&b.2));
        let places = apart(&labels.iter().map(|label| label.2).collect::<Vec<_>>());
        html! {
            @for ((name, value, end), y) in labels.iter().zip(places) {
                path.edge d=(format!("M{} {}L{} {}", RIGHT + 1.0, at(*end), RIGHT + 11.0, at(y))) {}
                text x=(RIGHT + 14.0) y=(at(y - 4.0)) { (name) }
                text.quiet x=(RIGHT + 14.0) y=(at(y + 13.0)) { (self.amounts.short(*value)) }
            }
        }
    }

    /// The day on which most are missing, with how many.
    fn mark(&self, curves: &Curves, worst: &Gap) -> Markup {
        let x = self.across.at(curves.days(worst.from));
        let wanted = self.up.at(worst.wanted);
        let missing = self.amounts.with_unit(worst.wanted - worst.come);
        // Left of the mark and above the step there is no line: all of them only rise up to here.
        let (place, anchor) = if x > LEFT + 130.0 { (x - 7.0, "end") } else { (LEFT + 8.0, "start") };
        html! {
            circle cx=(at(x)) cy=(at(wanted)) r="4" fill="#111" {}
            text.halo x=(at(place)) y=(at(wanted - 24.0)) text-anchor=(anchor) { "shortage " (missing) }
            text.halo x=(at(place)) y=(at(wanted - 7.0)) text-anchor=(anchor) { "on " (day(worst.from)) }
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
